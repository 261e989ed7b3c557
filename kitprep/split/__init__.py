"""Finds the elements on a page: background, regions, groups, dividing, outlines, kinds, order."""

from kitprep.split.again import Again, settle
from kitprep.split.mending import Along, divide, join
from kitprep.split.splitting import Split, SplitHints, SplitNote, split_page
from kitprep.split.taking import element_from_box

__all__ = [
    "Again",
    "Along",
    "Split",
    "SplitHints",
    "SplitNote",
    "divide",
    "element_from_box",
    "join",
    "settle",
    "split_page",
]
