"""Soft shadows where they are hard to tell: on rough grounds, and at pale borders."""

from __future__ import annotations

import numpy as np
import pytest
from split.composed_pages import PPI, ComposedPage, bordered, photo, reads_in_order, tag

from kitprep.pages import PixelBox
from kitprep.split import split_page

CREAM = (250, 244, 230)


def boxes(page: ComposedPage) -> list[PixelBox]:
    return [element.box for element in split_page(page.raster(), PPI).elements]


def on_gravel() -> ComposedPage:
    gravel = photo("gravel", 1500, 1800).astype(np.float32).mean(axis=2, keepdims=True)
    texture = (gravel - gravel.mean()) / gravel.std()
    return ComposedPage((np.array((206, 176, 140)) + 6.0 * texture).astype(np.float32))


def test_shadows_on_a_rough_ground_are_not_part_of_what_throws_them() -> None:
    page = on_gravel()
    page.put(photo("astronaut", 420, 560), 150, 150, shadow=0.5)
    page.put(photo("chelsea", 480, 520), 800, 180, tag(480, 520), shadow=0.5)
    page.put(photo("flower", 700, 420), 400, 1000, shadow=0.5)
    found = boxes(page)
    assert reads_in_order(found, page.boxes, within=8), found


def test_without_shadows_a_rough_ground_gives_the_same_things() -> None:
    page = on_gravel()
    page.put(photo("astronaut", 420, 560), 150, 150)
    page.put(photo("chelsea", 480, 520), 800, 180, tag(480, 520))
    assert reads_in_order(boxes(page), page.boxes, within=8)


@pytest.mark.parametrize("border", [36, 48])
def test_a_pale_border_is_kept_on_the_sides_that_the_light_comes_from(border: int) -> None:
    page = ComposedPage.plain(CREAM)
    page.put(bordered("coffee", 640, 480, border, (226, 222, 214)), 200, 200, shadow=0.45)
    page.put(photo("flower", 420, 520), 900, 900, shadow=0.45)
    found = boxes(page)
    assert reads_in_order(found, page.boxes, within=6), found


def test_a_photograph_with_a_plain_strip_along_one_side_gains_no_border() -> None:
    page = ComposedPage.plain(CREAM)
    art = photo("coffee", 640, 480)
    art[:, -40:] = (150, 60, 60)
    page.put(art, 200, 200, shadow=0.45)
    page.put(photo("chelsea", 420, 520), 900, 900, shadow=0.45)
    assert reads_in_order(boxes(page), page.boxes, within=6)
