"""Pages drawn with letters: every file in tests/cases/split is a picture, a line, the boxes to be found.

A dot is background, every letter something of its own colour; a cell is a tenth of an inch. Boxes are
left, top, right, bottom in cells, in reading order. A new case is a new file.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from split.composed_pages import PPI, ComposedPage, reads_in_order

from kitprep.pages import PixelBox
from kitprep.split import split_page

CELL = 30  # page px, a tenth of an inch
CASES = sorted((Path(__file__).parent.parent / "cases" / "split").glob("*.txt"))
COLOURS = [(150, 60, 40), (40, 90, 70), (70, 60, 130), (190, 140, 40), (60, 60, 60), (120, 40, 90)]


def drawn(picture: list[str]) -> ComposedPage:
    page = ComposedPage.plain((250, 246, 236), CELL * max(map(len, picture)), CELL * len(picture))
    noise = np.random.default_rng(1).normal(0, 12, page.pixels.shape[:2])
    for row, line in enumerate(picture):
        for column, letter in enumerate(line):
            if letter != ".":
                at = np.s_[row * CELL : (row + 1) * CELL, column * CELL : (column + 1) * CELL]
                page.pixels[at] = COLOURS[ord(letter) % len(COLOURS)]
                page.pixels[at] += noise[at][..., None]
    return page


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.stem)
def test_a_drawn_page_comes_apart_into_the_boxes_beneath_it(case: Path) -> None:
    picture, _, boxes = case.read_text(encoding="utf-8").partition("----\n")
    expected = [PixelBox(*(int(word) * CELL for word in line.split())) for line in boxes.splitlines()]
    found = [element.box for element in split_page(drawn(picture.splitlines()).raster(), PPI).elements]
    assert reads_in_order(found, expected), found
