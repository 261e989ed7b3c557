"""Renders PDF pages with MuPDF, for pages that are more than placed pictures.

MuPDF keeps one context for the whole program, which two threads must not use at once: every use is under one
lock. It writes its messages to the terminal unless its own switch turns that off, which there is only one of;
here they are gathered instead, for each use apart, and what tells of missing parts is reported.
"""

from __future__ import annotations

import re
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from math import hypot
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kitprep.errors import DamagedPdf, LockedFile
from kitprep.files.kit.pdf_geometry import UNITS_PER_INCH
from kitprep.pages import PixelBox

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_MUPDF = threading.Lock()
# Messages, in MuPDF's own words, that mean something is missing from the picture; others are about fonts,
# metadata and repairs that worked. From its source and from damaged files; no published list.
_MISSING_PARTS = re.compile(
    r"cannot (load|draw|decode|find|read)|premature end|corrupt|zlib error|syntax error|truncated"
    r"|ignoring error",
    re.IGNORECASE,
)


@contextmanager
def rendering(path: Path, name: str, number: int, password: str | None) -> Iterator[Rendering]:
    """One page, open for rendering.

    Parameters
    ----------
    path : Path
        The PDF.
    name : str
        What to call it in errors.
    number : int
        The page, from 0.
    password : str or None
        What opens it.

    Raises
    ------
    LockedFile
        If the password is missing or wrong.
    DamagedPdf
        If MuPDF cannot read it.
    """
    pymupdf = _pymupdf()
    with _MUPDF:
        pymupdf.TOOLS.mupdf_display_errors(False)
        pymupdf.TOOLS.mupdf_display_warnings(False)
        pymupdf.TOOLS.reset_mupdf_warnings()
        try:
            with pymupdf.open(path, filetype="pdf") as document:
                if document.needs_pass and not document.authenticate(password or ""):
                    raise LockedFile(name)
                yield Rendering(document[number])
        except (pymupdf.mupdf.FzErrorBase, pymupdf.FileDataError, IndexError, RuntimeError) as fault:
            raise DamagedPdf(name, f"page {number + 1} cannot be rendered") from fault
        finally:
            pymupdf.TOOLS.store_shrink(100)  # else it keeps up to 256 MB of decoded pictures


class Rendering:
    """A page that can be rendered, as long as its document is open."""

    def __init__(self, page: Any) -> None:
        self._page = page

    def finest_ppi(self) -> float:
        """The highest resolution of a picture on the page, across or down; 0 where there is none."""
        finest = 0.0
        for picture in self._page.get_image_info():
            a, b, c, d, _, _ = picture["transform"]
            across, down = hypot(a, b), hypot(c, d)
            if across and down and _is_on(self._page.rect, picture["bbox"]):
                finest = max(finest, picture["width"] / across, picture["height"] / down)
        return finest * UNITS_PER_INCH

    def pixels(self, grid_px: tuple[int, int], box: PixelBox) -> NDArray[np.uint8]:
        """A box of the page, drawn on white.

        Parameters
        ----------
        grid_px : tuple of int
            Columns and rows of the whole page.
        box : PixelBox
            The part of them that is wanted.

        Returns
        -------
        ndarray
            uint8, shape (rows of the box, columns of the box, 3), sRGB.
        """
        import numpy as np

        pymupdf = _pymupdf()
        whole = self._page.rect
        matrix = pymupdf.Matrix(grid_px[0] / whole.width, grid_px[1] / whole.height)
        # Half a pixel within the box's edges, so that rounding outward gives just the box.
        inner = pymupdf.Rect(box.left + 0.5, box.top + 0.5, box.right - 0.5, box.bottom - 0.5)
        drawn = self._page.get_pixmap(matrix=matrix, clip=inner * ~matrix, alpha=False)
        assert (drawn.x, drawn.y, drawn.width, drawn.height) == (box.left, box.top, box.width, box.height)
        rows = np.frombuffer(drawn.samples, np.uint8).reshape(drawn.height, drawn.stride)
        return rows[:, : drawn.width * 3].reshape(drawn.height, drawn.width, 3)

    def has_faults(self) -> bool:
        """Whether MuPDF found parts of the page that it could not draw."""
        return _MISSING_PARTS.search(_pymupdf().TOOLS.mupdf_warnings(reset=False)) is not None


def _is_on(page: Any, box: Sequence[float]) -> bool:
    return bool(box[0] < page.x1 and box[2] > page.x0 and box[1] < page.y1 and box[3] > page.y0)


def _pymupdf() -> Any:
    """The module, which has no type annotations of its own."""
    import pymupdf

    return pymupdf
