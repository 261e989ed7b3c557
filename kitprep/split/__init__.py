"""Finds the elements on a page: background, regions, groups, dividing, outlines, kinds, order."""

from kitprep.split.mending import Along, divide, element_from_box, join
from kitprep.split.splitting import Split, SplitHints, SplitNote, split_page

__all__ = [
    "Along",
    "Split",
    "SplitHints",
    "SplitNote",
    "divide",
    "element_from_box",
    "join",
    "split_page",
]
