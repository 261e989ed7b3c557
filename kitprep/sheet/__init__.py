"""What is drawn where on a sheet, and what its cut guide says."""

from kitprep.sheet.drawn import Line, LineKind, Sheet, SheetItem, SheetPiece, Text, TextKind, letter
from kitprep.sheet.laying_out import lay_out
from kitprep.sheet.marks import MARK_LENGTH
from kitprep.sheet.strip import PRINT_WORDS, check_strip

__all__ = [
    "MARK_LENGTH",
    "PRINT_WORDS",
    "Line",
    "LineKind",
    "Sheet",
    "SheetItem",
    "SheetPiece",
    "Text",
    "TextKind",
    "check_strip",
    "lay_out",
    "letter",
]
