"""Pictures of finished PDF pages, to look at before printing."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from kitprep.files.kit.mupdf import opened_by_mupdf
from kitprep.files.replace import replacing

if TYPE_CHECKING:
    from PIL.Image import Image
    from pymupdf import Document, Page

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


def write_preview(pdf: Path, png: Path, *, ppi: int = 100, overwrite: bool = False) -> None:
    """Draw all pages side by side, up to four in a row, on one PNG.

    Where that would be over 40 megapixels the resolution is lowered until it is not.

    Parameters
    ----------
    pdf, png, ppi, overwrite
        As in `write_page_preview`.

    Raises
    ------
    OutputExists, MissingFile, CannotWrite
        See `kitprep.files.replace.replacing`.
    """
    with replacing(png, overwrite=overwrite) as temporary, opened_by_mupdf(pdf) as document:
        boxes = [page.rect for page in document]
        columns = min(_COLUMNS, len(boxes))
        cell = max(box.width for box in boxes) / 72, max(box.height for box in boxes) / 72
        rows = -(-len(boxes) // columns)
        inches = columns * (cell[0] + _BETWEEN) * rows * (cell[1] + _BETWEEN)
        ppi = min(ppi, int((_MOST_PIXELS / inches) ** 0.5))
        _desk(document, columns, rows, cell, ppi).save(temporary, "PNG", dpi=(ppi, ppi))


def _drawn(page: Page, ppi: int) -> Image:
    from PIL import Image

    pixmap = page.get_pixmap(dpi=ppi, alpha=False)
    return Image.frombytes("RGB", (pixmap.width, pixmap.height), pixmap.samples)


def _desk(document: Document, columns: int, rows: int, cell: tuple[float, float], ppi: int) -> Image:
    from PIL import Image

    between = round(_BETWEEN * ppi)
    wide, tall = round(cell[0] * ppi) + between, round(cell[1] * ppi) + between
    desk = Image.new("RGB", (columns * wide + between, rows * tall + between), _DESK)
    for number in range(len(document)):
        row, column = divmod(number, columns)
        desk.paste(_drawn(document[number], ppi), (between + column * wide, between + row * tall))
    return desk
