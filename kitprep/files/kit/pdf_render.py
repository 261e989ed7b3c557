"""Renders PDF pages with MuPDF, for pages that are more than placed pictures.

What MuPDF's messages tell of missing parts is reported.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from math import hypot
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kitprep.errors import DamagedPdf, LockedFile
from kitprep.files.kit.mupdf import damage_by_mupdf, mupdf_module, opened_by_mupdf
from kitprep.files.kit.pdf_geometry import UNITS_PER_INCH
from kitprep.files.kit.pdf_known import known_boxes
from kitprep.files.kit.pdf_painted import painted_by
from kitprep.pages import Affine, KnownBox, PixelBox

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

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
    with ExitStack() as stack:
        with _damage_named(name, number):
            document = stack.enter_context(opened_by_mupdf(path))
            locked = document.needs_pass and not document.authenticate(password or "")
            page = None if locked else document[number]
        if locked:
            raise LockedFile(name)
        yield Rendering(page, name, number)


@contextmanager
def _damage_named(name: str, number: int) -> Iterator[None]:
    try:
        yield
    except damage_by_mupdf() as fault:
        raise DamagedPdf(name, f"page {number + 1} cannot be rendered") from fault


class Rendering:
    """A page that can be rendered, as long as its document is open."""

    def __init__(self, page: Any, name: str, number: int) -> None:
        self._page, self._name, self._number = page, name, number
        self._list: Any = None

    def finest_ppi(self) -> float:
        """The highest resolution of a picture on the page, across or down; 0 where there is none."""
        finest = 0.0
        with _damage_named(self._name, self._number):
            pictures = self._page.get_image_info()
        for picture in pictures:
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

        pymupdf = mupdf_module()
        whole = self._page.rect
        matrix = pymupdf.Matrix(grid_px[0] / whole.width, grid_px[1] / whole.height)
        # Half a pixel within the box's edges, so that rounding outward gives just the box.
        inner = pymupdf.Rect(box.left + 0.5, box.top + 0.5, box.right - 0.5, box.bottom - 0.5)
        with _damage_named(self._name, self._number):
            drawn = self._listed().get_pixmap(matrix=matrix, clip=inner * ~matrix, alpha=False)
        assert (drawn.x, drawn.y, drawn.width, drawn.height) == (box.left, box.top, box.width, box.height)
        rows = np.frombuffer(drawn.samples, np.uint8).reshape(drawn.height, drawn.stride)
        return rows[:, : drawn.width * 3].reshape(drawn.height, drawn.width, 3)

    def known_boxes(self, page_px: tuple[int, int], per_raster_px: float) -> tuple[KnownBox, ...]:
        """What on the page is one thing for certain; see `pdf_known.known_boxes`.

        None where the page draws too much to follow.
        """
        whole = self._page.rect
        to_page = Affine(page_px[0] / whole.width, 0, 0, page_px[1] / whole.height, 0, 0)
        with _damage_named(self._name, self._number):
            painted = painted_by(self._listed())
            return () if painted is None else known_boxes(painted, to_page, page_px, per_raster_px)

    def _listed(self) -> Any:
        """What the page draws, read once."""
        if self._list is None:
            self._list = self._page.get_displaylist()
        return self._list

    def has_faults(self) -> bool:
        """Whether MuPDF found parts of the page that it could not draw."""
        return _MISSING_PARTS.search(mupdf_module().TOOLS.mupdf_warnings(reset=False)) is not None


def _is_on(page: Any, box: Sequence[float]) -> bool:
    return bool(box[0] < page.x1 and box[2] > page.x0 and box[1] < page.y1 and box[3] > page.y0)
