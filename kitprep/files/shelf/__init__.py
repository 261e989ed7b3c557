"""The shelf of kits on disk: kits, ids, index, corrections, printers.

=================  ====================================================================
module             what it owns
=================  ====================================================================
`place`            where the shelf is
`lock`             one writer at a time
`arriving`         a kit comes whole or not at all; slugs, digests
`kitfile`          `kit.toml`, the truth about one kit
`catalogue`        the index over all kits, rebuilt when needed
`ids`              which page or element a person means
`history`          what a page was before each correction
`printers`         what each printer cannot reach and how far it is off
`shelf`            all of these together
=================  ====================================================================
"""

from kitprep.files.shelf.arriving import slug_for
from kitprep.files.shelf.catalogue import ElementSummary, KitSummary
from kitprep.files.shelf.place import shelf_folder
from kitprep.files.shelf.printers import Printer, Printers, Readings
from kitprep.files.shelf.shelf import Added, ElementRef, PageRef, Shelf, Undone

__all__ = [
    "Added",
    "ElementRef",
    "ElementSummary",
    "KitSummary",
    "PageRef",
    "Printer",
    "Printers",
    "Readings",
    "Shelf",
    "Undone",
    "shelf_folder",
    "slug_for",
]
