"""What is drawn where on a sheet, and what its cut guide says."""

from kitprep.sheet.backs import margins_behind
from kitprep.sheet.cut_lines import PieceLines, cut_lines
from kitprep.sheet.drawn import Line, LineKind, Sheet, SheetItem, SheetPiece, Text, TextKind, letter
from kitprep.sheet.laying_out import lay_out
from kitprep.sheet.marks import MARK_LENGTH
from kitprep.sheet.printer_page import measuring_frame
from kitprep.sheet.strip import PRINT_WORDS, check_strip

__all__ = [
    "MARK_LENGTH",
    "PRINT_WORDS",
    "Line",
    "LineKind",
    "PieceLines",
    "Sheet",
    "SheetItem",
    "SheetPiece",
    "Text",
    "TextKind",
    "check_strip",
    "cut_lines",
    "lay_out",
    "letter",
    "margins_behind",
    "measuring_frame",
]
