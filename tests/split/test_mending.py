"""Elements taken, joined and divided by hand."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from split.composed_pages import PPI, ComposedPage, photo

from kitprep.errors import CannotCombine, OutsidePage
from kitprep.pages import Element, Kind, PixelBox
from kitprep.split import Along, divide, element_from_box, join


def upright(number: int, left: int, top: int, right: int, bottom: int) -> Element:
    box = PixelBox(left, top, right, bottom)
    return Element(number, box, box.corners, 0.0, Kind.CARD, True, words=(f"w{number}",))


def a_page() -> ComposedPage:
    page = ComposedPage.plain((250, 246, 236))
    page.put(photo("astronaut", 500, 600), 300, 400)
    return page


def test_a_box_drawn_nearly_right_snaps_to_the_true_edge() -> None:
    element = element_from_box(a_page().raster(), PPI, PixelBox(291, 411, 812, 990), 7)
    off = (element.box.left - 300, element.box.top - 400, element.box.right - 800, element.box.bottom - 1000)
    assert max(map(abs, off)) <= 2
    assert (element.number, element.by_hand, element.rectangular) == (7, True, True)


def test_a_box_stays_as_it_was_drawn_where_no_edge_is_near() -> None:
    asked = PixelBox(240, 320, 900, 1100)
    assert element_from_box(a_page().raster(), PPI, asked, 1).box == asked


def test_a_box_stays_as_it_was_drawn_when_told_not_to_snap() -> None:
    asked = PixelBox(291, 411, 812, 990)
    assert element_from_box(a_page().raster(), PPI, asked, 1, snap=False).box == asked


@pytest.mark.parametrize(
    "box", [PixelBox(-1, 0, 50, 50), PixelBox(0, 0, 1501, 50), PixelBox(40, 40, 40, 90), PixelBox(9, 9, 4, 4)]
)
def test_a_box_beyond_the_page_is_refused_with_the_limits_of_the_page(box: PixelBox) -> None:
    with pytest.raises(OutsidePage, match="1500,1800"):
        element_from_box(a_page().raster(), PPI, box, 1)


def test_joining_neighbours_that_fill_their_common_box_gives_a_rectangle() -> None:
    joined = join([upright(1, 0, 0, 300, 200), upright(2, 300, 0, 500, 200)], 9)
    assert (joined.box, joined.rectangular, joined.number) == (PixelBox(0, 0, 500, 200), True, 9)
    assert joined.words == ("w1", "w2")


def test_joining_what_lies_apart_keeps_both_within_the_outline() -> None:
    joined = join([upright(1, 0, 0, 100, 100), upright(2, 300, 250, 500, 400)], 3)
    assert not joined.rectangular
    assert {(0.0, 0.0), (500.0, 400.0)} <= set(joined.outline)
    assert (500.0, 0.0) not in joined.outline


def test_one_element_alone_cannot_be_joined() -> None:
    with pytest.raises(CannotCombine):
        join([upright(1, 0, 0, 10, 10)], 2)


@given(st.integers(1, 499), st.sampled_from(Along))
def test_the_halves_of_a_rectangle_fill_it_exactly(at: int, along: Along) -> None:
    whole = upright(1, 40, 60, 540, 560)
    start = 40 if along is Along.X else 60
    first, second = divide(whole, start + at, along, (5, 6))
    areas = [part.box.width * part.box.height for part in (first, second)]
    assert sum(areas) == 500 * 500
    assert (first.number, second.number) == (5, 6)
    assert join([first, second], 1).box == whole.box


def test_a_cut_out_is_divided_along_the_line() -> None:
    diamond = Element(
        1, PixelBox(0, 0, 200, 200), ((100, 0), (200, 100), (100, 200), (0, 100)), 0.0, Kind.FIGURE, False
    )
    left, right = divide(diamond, 100, Along.X, (1, 2))
    assert (left.box, right.box) == (PixelBox(0, 0, 100, 200), PixelBox(100, 0, 200, 200))
    assert max(x for x, _ in left.outline) == 100 == min(x for x, _ in right.outline)


@pytest.mark.parametrize("at", [40, 540, 39, 700])
def test_a_line_that_misses_the_element_is_refused(at: int) -> None:
    with pytest.raises(OutsidePage):
        divide(upright(1, 40, 60, 540, 560), at, Along.X, (2, 3))
