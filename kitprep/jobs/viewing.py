"""One kit whole, and single finished sheets, for looking at."""

from __future__ import annotations

from pathlib import Path

from kitprep.files.shelf import Shelf, shelf_folder
from kitprep.pages import Kit

SCREEN_PPI = 110  # a letter sheet is then 935 pixels wide: sharp where a window shows it whole


def view_kit(kit: str, *, shelf: Path | None = None) -> Kit:
    """A kit with its pages and their elements.

    Parameters
    ----------
    kit : str
        Its slug.
    shelf : Path or None
        The shelf's folder; None for the usual one.

    Raises
    ------
    NoSuchKit
        If there is none of that name.
    ShelfDamaged, ShelfTooNew
        If it cannot be read.
    """
    return Shelf(shelf_folder(shelf)).kit(kit)


def draw_sheet(pdf: Path, page: int, png: Path, *, ppi: int = SCREEN_PPI) -> None:
    """Draw one page of a finished PDF as a PNG.

    Parameters
    ----------
    pdf : Path
        From `kitprep.jobs.sheets.make_sheets`.
    page : int
        Which page, from 1; `SheetReport.where` tells it of a sheet.
    png : Path
        The picture.
    ppi : int
        Pixels per inch.

    Raises
    ------
    OutputExists, CannotWrite
        If the picture is there already or cannot be written.
    """
    from kitprep.files.pdf.preview import write_page_preview

    write_page_preview(pdf, png, page=page, ppi=ppi)
