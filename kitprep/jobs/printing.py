"""What is known of each printer: the edges it cannot reach, how far it is off true size."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from kitprep.errors import BadOption, NotTested
from kitprep.files.shelf import Printer, Readings, Shelf, shelf_folder
from kitprep.lengths import ZERO, inches
from kitprep.papers import LETTER, Margins, Paper, find_paper
from kitprep.sheet import measuring_frame

if TYPE_CHECKING:
    from kitprep.files.pdf import PrinterCorrection

USUAL_MARGINS = Margins(inches("1/4"), inches("1/4"), inches("1/4"), inches("1/2"))
"""What 95 of 100 printers keep to at each side, of those whose margins the PPD collection of Debian's
foomatic-db knows, up to the next 1/4 in: the 95 % quantiles on letter and on A4
are 0.250 in at left and right, 0.200 in at the head, 0.460 in at the foot, of 483 printers in
foomatic-db-compressed-ppds 20230202-1. ``scripts/printer_margins.py`` reads them from the package."""
WIDEST_MARGIN = inches(2)
"""Over this it is a slip. A bound of our own choice, no published source."""


def list_printers(*, shelf: Path | None = None) -> tuple[Printer, ...]:
    """All printers on the shelf, by name."""
    return Shelf(shelf_folder(shelf)).printers.list()


def add_printer(name: str, margins: Margins | None = None, *, shelf: Path | None = None) -> Printer:
    """Add a printer, or change the margins of one that is there.

    Parameters
    ----------
    name : str
        As its owner calls it.
    margins : Margins or None
        What it cannot reach; None for `USUAL_MARGINS`, or for what is known of it.
    shelf : Path or None
        The shelf's folder; None for the usual one.

    Raises
    ------
    BadOption
        If the name is empty, or a margin is below zero or over two inches.
    CannotWrite, ShelfBusy
        If the shelf cannot be written to.
    """
    if margins is not None:
        sides = (margins.left, margins.top, margins.right, margins.bottom)
        if min(sides) < ZERO or max(sides) > WIDEST_MARGIN:
            needed = f"lengths from zero to {WIDEST_MARGIN.text()}; no printer leaves more"
            raise BadOption("--margin", margins.text(), needed)
    printers = Shelf(shelf_folder(shelf)).printers
    printer = Printer(name.strip(), margins or USUAL_MARGINS)
    for known in printers.list():
        if known.name.casefold() == printer.name.casefold():
            printer = replace(known, margins=margins or known.margins)
    printers.put(printer)
    return printer


def make_test_page(
    name: str,
    path: Path,
    paper: Paper = LETTER,
    *,
    corrected: bool = False,
    overwrite: bool = False,
    shelf: Path | None = None,
) -> Printer:
    """Write a printer's test page, and remember which paper it is for.

    Parameters
    ----------
    name : str
        The printer.
    path : Path
        The PDF.
    paper : Paper
        What it is to be printed on.
    corrected : bool
        Whether it makes up for what was measured before, to see that all is well; such a page is not for
        measuring. Of a printer that was never measured it is the usual page.
    overwrite : bool
        Whether a file that is there may be replaced.
    shelf : Path or None
        The shelf's folder; None for the usual one.

    Raises
    ------
    NoSuchPrinter
        If there is none of that name.
    BadOption
        If the file's name does not end in .pdf.
    OutputExists, MissingFile, CannotWrite
        If it cannot be written.
    """
    from kitprep.files.pdf import NO_CORRECTION, write_test_page

    if path.suffix.lower() != ".pdf":
        raise BadOption("-o", path.name, "a name that ends in .pdf")
    printers = Shelf(shelf_folder(shelf)).printers
    printer = printers.get(name)
    correction = correction_for(printer) if corrected else NO_CORRECTION
    write_test_page(printer.name, paper, path, overwrite=overwrite, correction=correction)
    if correction == NO_CORRECTION:
        printer = replace(printer, tested=paper.name)
        printers.put(printer)
    return printer


def measure_printer(name: str, read: Readings, *, shelf: Path | None = None) -> Printer:
    """Keep what a ruler shows of a printed test page, so that sheets for this printer make up for it.

    Parameters
    ----------
    name : str
        The printer.
    read : Readings
        What a ruler shows.
    shelf : Path or None
        The shelf's folder; None for the usual one.

    Raises
    ------
    NoSuchPrinter
        If there is none of that name.
    NotTested
        If no test page was written for it.
    ScaledByDialog
        If the page is more than 3 % off.
    BadOption
        If the frame is further beside its place than any printer puts it.
    """
    printers = Shelf(shelf_folder(shelf)).printers
    printer = printers.get(name)
    if not printer.tested:
        raise NotTested(printer.name)
    printer = printer.measured(measuring_frame(find_paper(printer.tested)), read)
    printers.put(printer)
    return printer


def correction_for(printer: Printer | None) -> PrinterCorrection:
    """What undoes a printer: it prints x at scale x + offset, so x is sent as (x - offset) / scale."""
    from kitprep.files.pdf import NO_CORRECTION, PrinterCorrection

    if printer is None:
        return NO_CORRECTION
    back_x, back_y = 1 / printer.scale_x, 1 / printer.scale_y
    return PrinterCorrection(
        back_x, back_y, -printer.offset_x.scaled(back_x), -printer.offset_y.scaled(back_y)
    )


def remove_printer(name: str, *, shelf: Path | None = None) -> Printer:
    """Forget a printer.

    Raises
    ------
    NoSuchPrinter
        If there is none of that name.
    """
    return Shelf(shelf_folder(shelf)).printers.remove(name)
