"""Elements joined and divided by hand."""

from __future__ import annotations

import math

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from split.composed_pages import PPI

from kitprep.errors import CannotCombine, OutsidePage
from kitprep.pages import Element, Kind, PixelBox
from kitprep.split import Along, divide, join


def upright(number: int, left: int, top: int, right: int, bottom: int) -> Element:
    box = PixelBox(left, top, right, bottom)
    return Element(number, box, box.corners, 0.0, Kind.CARD, True, words=(f"w{number}",))


def test_joining_neighbours_that_fill_their_common_box_gives_a_rectangle() -> None:
    joined = join([upright(1, 0, 0, 300, 200), upright(2, 300, 0, 500, 200)], 9, PPI)
    assert (joined.box, joined.rectangular, joined.number) == (PixelBox(0, 0, 500, 200), True, 9)
    assert joined.words == ("w1", "w2")


def test_joining_what_lies_apart_keeps_both_within_the_outline() -> None:
    joined = join([upright(1, 0, 0, 100, 100), upright(2, 300, 250, 500, 400)], 3, PPI)
    assert not joined.rectangular
    assert {(0.0, 0.0), (500.0, 400.0)} <= set(joined.outline)
    assert (500.0, 0.0) not in joined.outline


def test_one_element_alone_cannot_be_joined() -> None:
    with pytest.raises(CannotCombine):
        join([upright(1, 0, 0, 10, 10)], 2, PPI)


@given(st.integers(1, 499), st.sampled_from(Along))
def test_the_halves_of_a_rectangle_fill_it_exactly(at: int, along: Along) -> None:
    whole = upright(1, 40, 60, 540, 560)
    start = 40 if along is Along.X else 60
    first, second = divide(whole, start + at, along, (5, 6))
    areas = [part.box.width * part.box.height for part in (first, second)]
    assert sum(areas) == 500 * 500
    assert (first.number, second.number) == (5, 6)
    assert join([first, second], 1, PPI).box == whole.box


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


def leaning(number: int, corners: list[tuple[float, float]], angle: float) -> Element:
    x, y = zip(*corners, strict=True)
    box = PixelBox(int(min(x)), int(min(y)), math.ceil(max(x)), math.ceil(max(y)))
    return Element(number, box, tuple(corners), angle, Kind.CARD, True)


def turned(width: float, height: float, degrees: float) -> list[tuple[float, float]]:
    turn = math.radians(degrees)
    along, down = (math.cos(turn), math.sin(turn)), (-math.sin(turn), math.cos(turn))
    return [
        (400 + x * along[0] + y * down[0], 200 + x * along[1] + y * down[1])
        for x, y in ((0, 0), (width, 0), (width, height), (0, height))
    ]


@given(
    st.floats(-10, 10).filter(lambda angle: abs(angle) > 0.1), st.integers(10, 490), st.sampled_from(Along)
)
def test_the_halves_of_a_leaning_rectangle_lean_and_are_it_again_when_joined(
    angle: float, far: int, along: Along
) -> None:
    whole = leaning(1, turned(600, 500, angle), angle)
    start = whole.box.left if along is Along.X else whole.box.top
    halves = divide(whole, start + far, along, (2, 3))
    first = halves[0].straight_size_px[0 if along is Along.X else 1]
    assert first == pytest.approx(far, abs=0.05)
    assert all(half.rectangular and half.angle_deg == angle for half in halves)
    again = join(halves, 4, PPI)
    assert again.rectangular
    assert np.abs(np.array(again.outline) - np.array(whole.outline)).max() < 0.1


def test_joining_cut_outs_that_touch_keeps_their_own_edges() -> None:
    wing = ((100.0, 100.0), (300.0, 100.0), (300.0, 200.0), (200.0, 200.0), (200.0, 400.0), (100.0, 400.0))
    upper = Element(1, PixelBox(100, 100, 300, 400), wing, 0.0, Kind.FIGURE, False)
    lower = Element(
        2, PixelBox(100, 403, 300, 500), PixelBox(100, 403, 300, 500).corners, 0.0, Kind.LABEL, True
    )
    joined = join([upper, lower], 3, PPI)
    area = cv2.contourArea(np.array(joined.outline, np.float32))
    assert area == pytest.approx(200 * 100 + 100 * 200 + 200 * 97 + 3 * 100, rel=0.01)
    assert joined.box == PixelBox(100, 100, 300, 500)
    assert joined.kind is Kind.FIGURE
