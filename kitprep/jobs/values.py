"""The plain values that jobs take and give, for the doors to name without knowing the rooms."""

from __future__ import annotations

from kitprep.cards import FoldEdge, FoldStyle
from kitprep.detail.grades import Grade
from kitprep.pack.packing import CutMode
from kitprep.pages import Kind, PixelBox
from kitprep.piece.wanted import Fit

__all__ = ["CutMode", "Fit", "FoldEdge", "FoldStyle", "Grade", "Kind", "PixelBox"]
