"""A box drawn by hand goes to the true edges at full scale: upright, leaning, soft, faint."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from split.composed_pages import ComposedPage, photo

from kitprep.pages import PixelBox
from kitprep.split.snapping import snapped

PPI = (300.0, 300.0)
CREAM = (250, 246, 236)


def off(corners: NDArray[np.float64], true: PixelBox) -> float:
    return float(np.abs(corners - np.array(true.corners)).max())


@settings(max_examples=25, deadline=None)
@given(*[st.integers(-14, 14)] * 4)
def test_a_box_drawn_within_a_twentieth_of_an_inch_meets_the_edges_to_a_pixel(
    left: int, top: int, right: int, bottom: int
) -> None:
    drawn = PixelBox(300 + left, 400 + top, 800 + right, 1000 + bottom)
    found = snapped(PLAIN, PPI, drawn)
    assert found.angle_deg == 0
    assert off(found.corners, PixelBox(300, 400, 800, 1000)) <= 1


def plain() -> NDArray[np.uint8]:
    page = ComposedPage.plain(CREAM)
    page.put(photo("astronaut", 500, 600), 300, 400)
    return page.stored()


PLAIN = plain()


def test_a_soft_edge_is_met_at_its_middle() -> None:
    page = ComposedPage.plain(CREAM)
    page.pixels[400:1000, 300:800] = (70, 90, 60)
    page.pixels = cv2.GaussianBlur(page.pixels, (0, 0), 3.0)
    assert (
        off(snapped(page.stored(), PPI, PixelBox(290, 409, 811, 992)).corners, PixelBox(300, 400, 800, 1000))
        <= 1
    )


def test_a_faint_edge_in_noise_is_met() -> None:
    page = ComposedPage.plain((238, 232, 220))
    page.pixels[400:1000, 300:800] = (250, 249, 246)
    page.pixels += np.random.default_rng(4).normal(0, 4, page.pixels.shape)
    found = snapped(page.stored(), PPI, PixelBox(292, 392, 807, 1008))
    assert all(found.found)
    assert off(found.corners, PixelBox(300, 400, 800, 1000)) <= 2


@pytest.mark.parametrize("lean", [-1.2, 0.4, 1.0])
def test_a_box_around_something_that_leans_a_little_leans_with_it(lean: float) -> None:
    page = ComposedPage.plain(CREAM)
    page.put(photo("coffee", 620, 500), 300, 400, lean=lean)
    true = page.boxes[0]
    found = snapped(
        page.stored(), PPI, PixelBox(true.left + 6, true.top + 6, true.right - 6, true.bottom - 6)
    )
    assert all(found.found)
    assert found.angle_deg == pytest.approx(lean, abs=0.2)
    across = np.hypot(*(found.corners[1] - found.corners[0]))
    down = np.hypot(*(found.corners[3] - found.corners[0]))
    assert (across, down) == (pytest.approx(620, abs=2), pytest.approx(500, abs=2))


def test_of_two_true_edges_the_nearer_is_meant() -> None:
    page = ComposedPage.plain((255, 255, 255))
    page.pixels[400:1000, 300:800] = (170, 120, 60)
    page.pixels[412:988, 312:788] = (40, 40, 50)
    outer, inner = PixelBox(297, 398, 803, 1003), PixelBox(314, 414, 785, 985)
    assert off(snapped(page.stored(), PPI, outer).corners, PixelBox(300, 400, 800, 1000)) <= 1
    assert off(snapped(page.stored(), PPI, inner).corners, PixelBox(312, 412, 788, 988)) <= 1


def test_a_side_with_no_edge_near_stays_where_it_was_drawn() -> None:
    found = snapped(PLAIN, PPI, PixelBox(240, 410, 790, 990))
    assert found.found == (True, True, True, False)
    assert found.corners[0, 0] == 240


def test_an_edge_along_a_part_of_a_side_is_not_its_edge() -> None:
    page = ComposedPage.plain(CREAM)
    page.pixels[400:620, 310:800] = (40, 60, 90)
    found = snapped(page.stored(), PPI, PixelBox(302, 408, 806, 1000))
    assert found.found == (True, False, False, False)
    assert off(found.corners, PixelBox(302, 400, 806, 1000)) <= 1


def test_the_edge_of_transparency_is_met_where_colours_do_not_step() -> None:
    pixels = np.full((900, 900, 4), 200, np.uint8)
    pixels[..., 3] = 0
    pixels[200:700, 150:650, 3] = 255
    assert off(snapped(pixels, PPI, PixelBox(143, 208, 655, 693)).corners, PixelBox(150, 200, 650, 700)) <= 1


@pytest.mark.parametrize(
    "box", [PixelBox(0, 0, 1, 1), PixelBox(0, 0, 1500, 1800), PixelBox(1499, 5, 1500, 9)]
)
def test_boxes_at_the_rim_and_of_one_pixel_are_no_trouble(box: PixelBox) -> None:
    found = snapped(PLAIN, PPI, box)
    assert found.corners.shape == (4, 2)
