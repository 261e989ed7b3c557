"""The plain values that jobs take and give, for the doors to name without knowing the rooms."""

from __future__ import annotations

from kitprep.cards import FoldEdge, FoldStyle, find_size
from kitprep.detail.grades import Grade
from kitprep.files.shelf import Readings
from kitprep.pack.packing import CutMode
from kitprep.pages import Kind, PixelBox
from kitprep.piece.colours import read_colour
from kitprep.piece.wanted import Border, Fit

__all__ = [
    "Border",
    "CutMode",
    "Fit",
    "FoldEdge",
    "FoldStyle",
    "Grade",
    "Kind",
    "PixelBox",
    "Readings",
    "find_size",
    "read_colour",
]
