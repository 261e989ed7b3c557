"""Reads a page reduced and splits it, as an import does. Imports kitprep alone, so that its memory is kitprep's."""

from __future__ import annotations

from pathlib import Path

from kitprep.files.kit import Look, Original, find_pages
from kitprep.jobs.importing import WORKING_PPI
from kitprep.pages import Element
from kitprep.split import split_page

NO_DIGEST = ""  # reading and splitting do not ask for it, and hashing is not what is timed


def look_and_split(path: Path) -> tuple[Look, tuple[Element, ...]]:
    """What one look at a page finds, and its elements."""
    original = Original(path.name, path, NO_DIGEST, path.stat().st_size)
    (source,) = find_pages([original]).pages
    look = source.look(1, WORKING_PPI)
    return look, split_page(look.raster, look.page.ppi, known_boxes=look.known_boxes).elements
