"""A grid that a person named comes out exactly, wherever its gutters and seams lie."""

from __future__ import annotations

import numpy as np
import pytest
from split.composed_pages import PPI, ComposedPage, lettering, photo, reads_in_order

from kitprep.errors import TooFineGrid
from kitprep.pages import PixelBox
from kitprep.split import SplitHints, split_page

WHITE = (255, 255, 255)


def found(page: ComposedPage, rows: int | None, columns: int | None) -> list[PixelBox]:
    hints = SplitHints(rows=rows, columns=columns)
    return [element.box for element in split_page(page.raster(), PPI, hints).elements]


def test_a_title_above_the_grid_does_not_shift_it() -> None:
    page = ComposedPage.plain(WHITE)
    for row in range(3):
        for column in range(2):
            page.put(photo("coffee", 500, 380), 200 + 600 * column, 420 + 430 * row)
    true = list(page.boxes)
    title = lettering("Harvest", 60)
    page.put(np.full((*title.shape, 3), 20, np.float32), 480, 90, title)
    assert reads_in_order(found(page, 3, 2), true)


def test_papers_that_share_edges_are_parted_at_their_seams_not_at_even_spacing() -> None:
    page = ComposedPage.plain(WHITE)
    for name, at, width in (("brick", 100, 430), ("flower", 530, 380), ("coffee", 910, 490)):
        page.put(photo(name, width, 900), at, 300)
    assert reads_in_order(found(page, 1, 3), page.boxes)


def test_papers_that_fill_the_page_are_parted_to_its_edges() -> None:
    page = ComposedPage.plain(WHITE)
    page.put(photo("flower", 700, 1800), 0, 0)
    page.put(photo("brick", 800, 1800), 700, 0)
    assert reads_in_order(found(page, 1, 2), page.boxes)


@pytest.mark.parametrize("turned", [False, True])
def test_columns_or_rows_that_break_at_places_of_their_own_are_divided_there(turned: bool) -> None:
    page = ComposedPage.plain(WHITE)
    parts = (
        ("brick", 100, 100, 600, 700),
        ("flower", 740, 100, 600, 560),
        ("coffee", 100, 830, 600, 570),
        ("astronaut", 740, 690, 600, 710),
    )
    for name, x, y, width, height in parts:
        if turned:
            page.put(photo(name, height, width), y, x)
        else:
            page.put(photo(name, width, height), x, y)
    order = (0, 2, 1, 3) if turned else (0, 1, 2, 3)
    assert reads_in_order(found(page, 2, 2), [page.boxes[index] for index in order])


@pytest.mark.parametrize(("rows", "columns"), [(200, 1), (1, 300), (9000, 9000)])
def test_a_grid_too_fine_to_cut_out_is_refused_with_the_most_there_may_be(rows: int, columns: int) -> None:
    page = ComposedPage.plain(WHITE)
    page.put(photo("brick", 1200, 900), 100, 100)
    with pytest.raises(TooFineGrid, match=r"too small to cut out; ask for at most (28|21)"):
        found(page, rows, columns)


def test_the_finest_grid_that_is_allowed_comes_out_exactly() -> None:
    page = ComposedPage.plain(WHITE)
    page.put(photo("brick", 1200, 900), 100, 100)
    assert len(found(page, 21, 28)) == 21 * 28


def test_a_grid_on_an_empty_page_divides_the_page() -> None:
    assert len(found(ComposedPage.plain(WHITE), 2, 3)) == 6
