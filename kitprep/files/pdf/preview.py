"""Pictures of finished PDF pages, to look at before printing."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from kitprep.files.kit.mupdf import opened_by_mupdf
from kitprep.files.replace import replacing

if TYPE_CHECKING:
    from PIL.Image import Image
    from pymupdf import Page

_CLEAN_PPI = 200  # at fewer, renderers draw paper white into a picture's edge where a reflection meets it
_MOST_TIMES = 3  # nobody looks for hairlines on a stamp-size picture of a hundred sheets
_BETWEEN = 0.15  # inches of desk between sheets
_DESK = (214, 212, 207)
_MOST_PIXELS = 40_000_000
_COLUMNS = 4


def write_page_preview(
    pdf: Path, png: Path, *, page: int = 1, ppi: int = 150, overwrite: bool = False
) -> None:
    """Draw one page of a PDF as a PNG that records its resolution.

    Parameters
    ----------
    pdf : Path
        A PDF of ours.
    png : Path
        The picture. It appears whole or not at all.
    page : int
        Which page, from 1.
    ppi : int
        Pixels per inch.
    overwrite : bool
        Whether a file that is there may be replaced.

    Raises
    ------
    OutputExists, MissingFile, CannotWrite
        See `kitprep.files.replace.replacing`.
    """
    with replacing(png, overwrite=overwrite) as temporary, opened_by_mupdf(pdf) as document:
        _drawn(document[page - 1], ppi).save(temporary, "PNG", dpi=(ppi, ppi))


def page_count(pdf: Path) -> int:
    """How many pages a PDF of ours has."""
    with opened_by_mupdf(pdf) as document:
        return len(document)


def write_preview(pdfs: Sequence[Path], png: Path, *, ppi: int = 100, overwrite: bool = False) -> None:
    """Draw all pages of PDFs side by side, up to four in a row, on one PNG.

    Where that would be over 40 megapixels the resolution is lowered until it is not.

    Parameters
    ----------
    pdfs : sequence of Path
        PDFs of ours.
    png, ppi, overwrite
        As in `write_page_preview`.

    Raises
    ------
    OutputExists, MissingFile, CannotWrite
        See `kitprep.files.replace.replacing`.
    """
    sizes = [size for pdf in pdfs for size in _page_sizes(pdf)]
    columns = min(_COLUMNS, len(sizes))
    cell = max(width for width, _ in sizes), max(height for _, height in sizes)
    rows = -(-len(sizes) // columns)
    inches = columns * (cell[0] + _BETWEEN) * rows * (cell[1] + _BETWEEN)
    ppi = min(ppi, int((_MOST_PIXELS / inches) ** 0.5))
    with replacing(png, overwrite=overwrite) as temporary:
        _desk(pdfs, columns, rows, cell, ppi).save(temporary, "PNG", dpi=(ppi, ppi))


def _page_sizes(pdf: Path) -> list[tuple[float, float]]:
    """Width and height of each page in inches."""
    with opened_by_mupdf(pdf) as document:
        return [(page.rect.width / 72, page.rect.height / 72) for page in document]


def _drawn(page: Page, ppi: int) -> Image:
    """The page, rendered finer and reduced where it is wanted coarse."""
    from PIL import Image

    times = min(-(-_CLEAN_PPI // ppi), _MOST_TIMES)
    pixmap = page.get_pixmap(dpi=ppi * times, alpha=False)
    drawn = Image.frombytes("RGB", (pixmap.width, pixmap.height), pixmap.samples)
    return drawn.reduce(times) if times > 1 else drawn


def _desk(pdfs: Sequence[Path], columns: int, rows: int, cell: tuple[float, float], ppi: int) -> Image:
    from PIL import Image

    between = round(_BETWEEN * ppi)
    wide, tall = round(cell[0] * ppi) + between, round(cell[1] * ppi) + between
    desk = Image.new("RGB", (columns * wide + between, rows * tall + between), _DESK)
    number = 0
    for pdf in pdfs:
        with opened_by_mupdf(pdf) as document:
            for page in document:
                row, column = divmod(number, columns)
                desk.paste(_drawn(page, ppi), (between + column * wide, between + row * tall))
                number += 1
    return desk
