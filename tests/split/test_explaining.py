"""Each stage of a split is drawn from what it handed on, and looking on changes nothing."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from split.composed_pages import PPI, ComposedPage, disc, lettering, photo

from kitprep.pages import Raster
from kitprep.split import SplitHints, split_page
from kitprep.split.explaining import (
    CHEQUERS,
    COVER,
    PALETTE,
    PART,
    EdgeColours,
    Explained,
    draw_background,
    draw_edges,
    draw_groups,
    draw_regions,
    explained_split,
    paled,
)

HOUSE = EdgeColours((200, 0, 0), (0, 160, 0), (0, 0, 200))


def a_page() -> ComposedPage:
    """A photograph, a disc and a wording of five letters on cream."""
    page = ComposedPage.plain((250, 244, 226))
    page.put(photo("astronaut", 420, 560), 110, 120)
    page.put(photo("coffee", 520, 400), 700, 160, disc(520, 400))
    mask = lettering("MOTHS", 150)
    page.put(np.full((*mask.shape, 3), 30, np.uint8), 300, 1100, mask)
    return page


def explained(hints: SplitHints | None = None) -> Explained:
    return explained_split(a_page().raster(), PPI, hints or SplitHints())[1]


def at(picture: NDArray[np.uint8], x: int, y: int) -> tuple[int, ...]:
    """The colour at a place in page pixels; the page is looked at at a third of its scale."""
    return tuple(int(level) for level in picture[y // 3, x // 3])


def near(one: tuple[int, ...], other: tuple[float, ...], within: float = 3) -> bool:
    return max(abs(a - b) for a, b in zip(one, other, strict=True)) <= within


def test_a_split_that_is_watched_is_the_same_split() -> None:
    raster = a_page().raster()
    assert explained_split(raster, PPI)[0] == split_page(raster, PPI)


def test_background_is_chequered_and_everything_else_left_as_it_is() -> None:
    seen = explained()
    drawn = draw_background(seen)
    assert at(drawn, 30, 30) in CHEQUERS
    assert at(drawn, 1300, 1700) in CHEQUERS
    assert at(drawn, 300, 400) == at(seen.page, 300, 400)
    assert seen.colour is not None
    assert near(seen.colour, (250, 244, 226), 2)
    true = (420 * 560 + np.pi / 4 * 520 * 400) / (1500 * 1800)
    assert 1 - true - 0.03 < seen.background_share < 1 - true


def test_solid_regions_have_colours_of_their_own_and_letters_are_dark() -> None:
    seen = explained()
    drawn, ground = draw_regions(seen), paled(seen.page)
    assert sum(region.is_part for region in seen.regions or ()) == 5
    for x, y, colour in ((300, 400, PALETTE[0]), (960, 360, PALETTE[1])):
        expected = tuple((1 - COVER) * g + COVER * c for g, c in zip(at(ground, x, y), colour, strict=True))
        assert near(at(drawn, x, y), expected)
    dark = np.abs(drawn[1100 // 3 :].astype(int) - np.array(PART)).max(axis=2) < 80
    assert dark.sum() > 300
    assert at(drawn, 30, 30) == at(ground, 30, 30)


def test_the_letters_of_a_wording_are_one_group_within_one_line() -> None:
    seen = explained()
    assert [region.parts for region in seen.groups if region.is_part] == [5]
    line = tuple(int(0.6 * level) for level in PALETTE[2])
    drawn = draw_groups(seen)
    left = min(region.left for region in seen.groups if region.is_part)
    right = max(region.right for region in seen.groups if region.is_part)
    row = drawn[next(region for region in seen.groups if region.is_part).top, left:right]
    assert (np.abs(row.astype(int) - line).max(axis=1) < 30).mean() > 0.8


def test_edges_lie_on_outlines_in_the_colour_of_their_sort() -> None:
    split, seen = explained_split(a_page().raster(), PPI)
    drawn = draw_edges(seen.page, split.elements, (1500, 1800), HOUSE)
    reds = (np.abs(drawn.astype(int) - HOUSE.rectangle).max(axis=2) < 40).nonzero()
    assert (reds[1].min(), reds[1].max()) == (pytest.approx(110 / 3, abs=2), pytest.approx(530 / 3, abs=2))
    assert (np.abs(drawn.astype(int) - HOUSE.cut_out).max(axis=2) < 40).sum() > 400
    assert not (np.abs(drawn.astype(int) - HOUSE.by_hand).max(axis=2) < 40).any()


def test_a_grid_has_no_regions_to_show_and_as_many_groups_as_cells() -> None:
    seen = explained(SplitHints(rows=2, columns=3))
    assert seen.regions is None
    assert len(seen.groups) == 6


def test_a_page_without_background_is_shown_as_it_is() -> None:
    page = ComposedPage.plain((0, 0, 0))
    page.put(photo("flower", 1500, 1800), 0, 0)
    seen = explained_split(page.raster(), PPI)[1]
    assert seen.something is None
    assert (draw_background(seen) == seen.page).all()


def test_transparency_is_shown_as_background_whatever_colour_lies_under_it() -> None:
    pixels = np.zeros((600, 500, 4), np.uint8)
    pixels[..., :3] = (10, 200, 30)
    pixels[100:400, 100:400] = (90, 60, 40, 255)
    seen = explained_split(Raster(pixels, (1500, 1800)), PPI)[1]
    assert seen.transparent
    assert seen.colour is None
    assert tuple(draw_background(seen)[5, 5]) in CHEQUERS
