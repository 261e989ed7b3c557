"""Boxes of placed pictures, as a PDF page gives them."""

from __future__ import annotations

from split.composed_pages import PPI, ComposedPage, ink, lettering, photo, reads_in_order

from kitprep.pages import KnownBox, PixelBox
from kitprep.split import split_page


def found(page: ComposedPage, known: list[PixelBox]) -> list[PixelBox]:
    return [
        element.box
        for element in split_page(page.raster(), PPI, known_boxes=[*map(KnownBox, known)]).elements
    ]


def two_photos() -> ComposedPage:
    page = ComposedPage.plain((255, 255, 255))
    page.put(photo("astronaut", 500, 600), 100, 120)
    page.put(photo("flower", 500, 600), 700, 120)
    return page


def test_known_boxes_are_kept_to_the_pixel() -> None:
    page = two_photos()
    assert found(page, page.boxes) == page.boxes


def test_what_is_drawn_beside_placed_pictures_is_found_too() -> None:
    page = two_photos()
    mask = lettering("windfall", 140)
    page.put(ink(mask, (70, 40, 30)), 300, 1200, mask)
    assert reads_in_order(found(page, page.boxes[:2]), page.boxes)


def test_a_picture_that_fills_the_page_is_looked_into() -> None:
    page = two_photos()
    assert reads_in_order(found(page, [PixelBox(0, 0, 1500, 1800)]), page.boxes)


def test_a_picture_placed_on_another_goes_with_it() -> None:
    page = ComposedPage.plain((255, 255, 255))
    page.put(photo("brick", 900, 900), 200, 200)
    page.put(photo("flower", 300, 300), 500, 500)
    assert found(page, page.boxes) == page.boxes[:1]


def test_bands_of_one_picture_are_one_element() -> None:
    page = ComposedPage.plain((255, 255, 255))
    page.put(photo("flower", 900, 900), 200, 200)
    bands = [PixelBox(200, 200 + 300 * i, 1100, 500 + 300 * i) for i in range(3)]
    assert found(page, bands) == page.boxes


def test_pictures_that_touch_and_differ_stay_two() -> None:
    page = ComposedPage.plain((255, 255, 255))
    page.put(photo("flower", 600, 900), 100, 200)
    page.put(photo("astronaut", 600, 900), 700, 200)
    assert found(page, page.boxes) == page.boxes
