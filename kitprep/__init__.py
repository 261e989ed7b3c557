"""kitprep: a bought kit goes in; sharp, true-size, cut-ready sheets with a cut guide come out.

The jobs of the command line as typed functions. Heavy libraries are loaded by the first job that needs
them, not by this import.

Examples
--------
>>> from kitprep import read_size
>>> read_size("4 3/4 x 2 3/4").text()
'4 3/4 x 2 3/4 in'
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from kitprep.errors import KitprepError, NotFound, ShelfProblem, UnusableFile, WrongUse
    from kitprep.files.makelist import MakeList, read_makelist
    from kitprep.jobs.cards import make_card_list
    from kitprep.jobs.checking import Checked, check_elements, check_make_list
    from kitprep.jobs.finding import Wish, draw_contact_sheet, find_elements, list_kits
    from kitprep.jobs.importing import ImportOptions, ImportReport, import_kit
    from kitprep.jobs.mending import (
        LengthBox,
        crop_element,
        describe_element,
        divide_element,
        drop_elements,
        join_elements,
        undo,
    )
    from kitprep.jobs.picturing import draw_check
    from kitprep.jobs.printing import (
        add_printer,
        list_printers,
        make_test_page,
        measure_printer,
        remove_printer,
    )
    from kitprep.jobs.resizing import Resized, resize_element
    from kitprep.jobs.resplitting import PageHints, PagePlace, Resplit, split_again
    from kitprep.jobs.sheet_files import SheetFiles
    from kitprep.jobs.sheets import SheetOptions, SheetReport, make_sheets
    from kitprep.jobs.values import CutMode, Fit, FoldEdge, FoldStyle, Grade, Kind, PixelBox, find_size
    from kitprep.lengths import (
        Length,
        Size,
        Unit,
        WantedSize,
        inches,
        mm,
        read_length,
        read_size,
        read_wanted_size,
    )
    from kitprep.papers import Margins, Paper, find_paper
    from kitprep.piece.wanted import WantedPiece

__all__ = [
    "Checked",
    "CutMode",
    "Fit",
    "FoldEdge",
    "FoldStyle",
    "Grade",
    "ImportOptions",
    "ImportReport",
    "Kind",
    "KitprepError",
    "Length",
    "LengthBox",
    "MakeList",
    "Margins",
    "NotFound",
    "PageHints",
    "PagePlace",
    "Paper",
    "PixelBox",
    "Resized",
    "Resplit",
    "SheetFiles",
    "SheetOptions",
    "SheetReport",
    "ShelfProblem",
    "Size",
    "Unit",
    "UnusableFile",
    "WantedPiece",
    "WantedSize",
    "Wish",
    "WrongUse",
    "add_printer",
    "check_elements",
    "check_make_list",
    "crop_element",
    "describe_element",
    "divide_element",
    "draw_check",
    "draw_contact_sheet",
    "drop_elements",
    "find_elements",
    "find_paper",
    "find_size",
    "import_kit",
    "inches",
    "join_elements",
    "list_kits",
    "list_printers",
    "make_card_list",
    "make_sheets",
    "make_test_page",
    "measure_printer",
    "mm",
    "read_length",
    "read_makelist",
    "read_size",
    "read_wanted_size",
    "remove_printer",
    "resize_element",
    "split_again",
    "undo",
]

# Where each name lives: a program that uses one job does not pay for loading all of them.
_HOMES = {
    "kitprep.errors": ("KitprepError", "NotFound", "ShelfProblem", "UnusableFile", "WrongUse"),
    "kitprep.files.makelist": ("MakeList", "read_makelist"),
    "kitprep.jobs.cards": ("make_card_list",),
    "kitprep.jobs.checking": ("Checked", "check_elements", "check_make_list"),
    "kitprep.jobs.finding": ("Wish", "draw_contact_sheet", "find_elements", "list_kits"),
    "kitprep.jobs.importing": ("ImportOptions", "ImportReport", "import_kit"),
    "kitprep.jobs.mending": (
        "LengthBox",
        "crop_element",
        "describe_element",
        "divide_element",
        "drop_elements",
        "join_elements",
        "undo",
    ),
    "kitprep.jobs.picturing": ("draw_check",),
    "kitprep.jobs.printing": (
        "add_printer",
        "list_printers",
        "measure_printer",
        "remove_printer",
        "make_test_page",
    ),
    "kitprep.jobs.resizing": ("Resized", "resize_element"),
    "kitprep.jobs.resplitting": ("PageHints", "PagePlace", "Resplit", "split_again"),
    "kitprep.jobs.sheet_files": ("SheetFiles",),
    "kitprep.jobs.sheets": ("SheetOptions", "SheetReport", "make_sheets"),
    "kitprep.jobs.values": (
        "CutMode",
        "Fit",
        "FoldEdge",
        "FoldStyle",
        "Grade",
        "Kind",
        "PixelBox",
        "find_size",
    ),
    "kitprep.lengths": (
        "Length",
        "Size",
        "Unit",
        "WantedSize",
        "inches",
        "mm",
        "read_length",
        "read_size",
        "read_wanted_size",
    ),
    "kitprep.papers": ("Margins", "Paper", "find_paper"),
    "kitprep.piece.wanted": ("WantedPiece",),
}


def __getattr__(name: str) -> Any:
    for home, names in _HOMES.items():
        if name in names:
            return getattr(import_module(home), name)
    raise AttributeError(f"module 'kitprep' has no attribute '{name}'")


def __dir__() -> list[str]:
    return __all__
