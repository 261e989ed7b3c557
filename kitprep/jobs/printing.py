"""What is known of each printer: the edges it cannot reach, how far it is off true size."""

from __future__ import annotations

from pathlib import Path

from kitprep.errors import BadOption
from kitprep.files.shelf import Printer, Shelf, shelf_folder
from kitprep.jobs.packing import DEFAULT_MARGINS
from kitprep.lengths import ZERO, Length
from kitprep.papers import Margins


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
        What it cannot reach; None for 1/4 in on every side.
    shelf : Path or None
        The shelf's folder; None for the usual one.

    Raises
    ------
    BadOption
        If the name is empty or a margin is below zero.
    CannotWrite, ShelfBusy
        If the shelf cannot be written to.
    """
    margins = margins or DEFAULT_MARGINS
    if min(margins.left, margins.top, margins.right, margins.bottom) < ZERO:
        raise BadOption("--margin", margins.text(), "lengths of zero or more")
    printers = Shelf(shelf_folder(shelf)).printers
    printer = Printer(name.strip(), margins)
    for known in printers.list():
        if known.name.casefold() == printer.name.casefold():
            printer = Printer(
                known.name, margins, known.scale_x, known.scale_y, known.offset_x, known.offset_y
            )
    printers.put(printer)
    return printer


def measure_printer(
    name: str, true: Length, across: Length, down: Length, *, shelf: Path | None = None
) -> Printer:
    """Keep what a ruler shows of a length printed at 100 %, so that sheets for this printer make up for it.

    Parameters
    ----------
    name : str
        The printer.
    true : Length
        What was to be printed.
    across, down : Length
        What a ruler shows across and down the sheet.
    shelf : Path or None
        The shelf's folder; None for the usual one.

    Raises
    ------
    NoSuchPrinter
        If there is none of that name.
    BadOption
        If a reading is so far off that the print dialog must have scaled the page.
    """
    printers = Shelf(shelf_folder(shelf)).printers
    printer = printers.get(name).measured(true, across, down)
    printers.put(printer)
    return printer


def remove_printer(name: str, *, shelf: Path | None = None) -> Printer:
    """Forget a printer.

    Raises
    ------
    NoSuchPrinter
        If there is none of that name.
    """
    return Shelf(shelf_folder(shelf)).printers.remove(name)
