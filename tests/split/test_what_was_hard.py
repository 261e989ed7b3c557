"""Frames, seams between textures, rows of round labels, leaning corner marks, things that run off the page."""

from __future__ import annotations

import numpy as np
import pytest
from split.composed_pages import (
    PPI,
    ComposedPage,
    bordered,
    disc,
    drawn_mask,
    ink,
    lettering,
    original,
    photo,
    reads_in_order,
)

from kitprep.pages import Element, PixelBox
from kitprep.split import split_page

WHITE, CREAM = (255, 255, 255), (249, 243, 228)


def ring(width: int, height: int, breadth: int, oval: bool) -> np.ndarray:
    def draw(pen, k: int) -> None:
        shape = pen.ellipse if oval else pen.rectangle
        shape((0, 0, width * k - 1, height * k - 1), fill=255)
        shape((breadth * k, breadth * k, (width - breadth) * k - 1, (height - breadth) * k - 1), fill=0)

    return drawn_mask(width, height, draw)


def area(points) -> float:
    x, y = np.array(points).T
    return abs(float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum())) / 2


def boxes(elements: tuple[Element, ...]) -> list[PixelBox]:
    return [element.box for element in elements]


@pytest.mark.parametrize("oval", [True, False], ids=["oval", "rectangle"])
@pytest.mark.parametrize("colour", [WHITE, (38, 44, 62)], ids=["white page", "dark page"])
def test_the_inside_of_a_frame_is_an_opening(oval: bool, colour: tuple[int, int, int]) -> None:
    page = ComposedPage.plain(colour)
    page.put(photo("coffee", 700, 500), 300, 400, ring(700, 500, 60, oval))
    (frame,) = split_page(page.raster(), PPI).elements
    (opening,) = frame.holes
    true = np.pi / 4 * 580 * 380 if oval else 580 * 380
    assert abs(area(opening) / true - 1) < 0.03  # one page pixel all round


@pytest.mark.parametrize(
    ("breadth", "words"), [(60, "42"), (8, "")], ids=["words in a frame", "nothing in a line"]
)
def test_the_face_of_a_label_is_no_opening(breadth: int, words: str) -> None:
    page = ComposedPage.plain(WHITE)
    page.put(ink(ring(700, 500, breadth, True), (60, 80, 50)), 300, 400, ring(700, 500, breadth, True))
    if words:
        mask = lettering(words, 160)
        page.put(ink(mask, (60, 80, 50)), 540, 580, mask)
    (label,) = split_page(page.raster(), PPI).elements
    assert label.holes == ()


def texture(name: str, tint: tuple[float, float, float], width: int, height: int) -> np.ndarray:
    return (photo(name, width, height) * np.array(tint)).astype(np.uint8)


def test_textures_that_share_edges_come_apart() -> None:
    page = ComposedPage.plain(WHITE, 2400, 2400)
    page.put(texture("gravel", (1.0, 0.6, 0.8), 900, 900), 300, 300)
    page.put(texture("grass", (0.5, 1.0, 0.6), 900, 900), 1200, 300)
    page.put(texture("grass", (0.9, 0.5, 1.0), 900, 900), 300, 1200)
    page.put(texture("gravel", (0.6, 0.8, 1.0), 900, 900), 1200, 1200)
    assert reads_in_order(boxes(split_page(page.raster(), PPI).elements), page.boxes)


def test_stripes_are_not_cut_beside_the_paper_next_to_them() -> None:
    stripes = np.zeros((1600, 700, 3), np.uint8)
    stripes[:] = np.where(np.arange(700)[:, None] // 33 % 2, (210, 120, 120), (80, 90, 170))
    page = ComposedPage.plain(WHITE, 2400, 2400)
    page.put(stripes, 300, 300)
    page.put(photo("flower", 900, 1600), 1000, 300)
    assert reads_in_order(boxes(split_page(page.raster(), PPI).elements), page.boxes)


def test_a_horizon_within_a_border_divides_no_card() -> None:
    sky = np.full((700, 500, 3), (70, 120, 200), np.uint8)
    sky[340:] = original("grass")[:1, :1]
    card = np.full((760, 560, 3), 236, np.uint8)
    card[30:730, 30:530] = sky
    page = ComposedPage.plain(CREAM)
    page.put(card, 400, 500)
    assert reads_in_order(boxes(split_page(page.raster(), PPI).elements), page.boxes)


def test_round_labels_that_almost_touch_come_apart() -> None:
    page = ComposedPage.plain(CREAM, 1700, 1800)
    rim = ring(380, 500, 12, True)
    for row in range(3):
        for column in range(4):
            x, y = 60 + column * 386, 60 + row * 506
            page.put(ink(disc(380, 500), (243, 240, 232)), x, y, disc(380, 500))
            page.put(ink(rim, (40, 80, 60)), x, y, rim)
    true = page.boxes[::2]
    assert reads_in_order(boxes(split_page(page.raster(), PPI).elements), true)


@pytest.mark.parametrize("lean", [0.0, 5.0])
def test_four_corner_marks_and_what_they_frame_are_one(lean: float) -> None:
    def draw(pen, k: int) -> None:
        for x, y in ((0, 0), (620, 0), (0, 390), (620, 390)):
            pen.rectangle((x * k, y * k, (x + 80) * k, (y + 10) * k), fill=255)
        for x, y in ((0, 0), (690, 0), (0, 320), (690, 320)):
            pen.rectangle((x * k, y * k, (x + 10) * k, (y + 80) * k), fill=255)

    marks = drawn_mask(702, 402, draw)
    words = lettering("night pear", 90)
    marks[160 : 160 + words.shape[0], 130 : 130 + words.shape[1]] = words
    page = ComposedPage.plain(WHITE)
    page.put(ink(marks, (50, 40, 60)), 300, 500, marks, lean=lean)
    assert reads_in_order(boxes(split_page(page.raster(), PPI).elements), page.boxes, within=4)


def test_photographs_that_run_off_the_page_are_no_pattern() -> None:
    page = ComposedPage.plain(WHITE, 2400, 3000)
    for name, width, height, x, y in [
        ("china", 600, 400, 0, 300), ("flower", 500, 700, 1700, 0), ("coffee", 500, 500, 400, 2500),
        ("rocket", 500, 700, 1100, 1400), ("astronaut", 600, 600, 300, 1200),
    ]:  # fmt: skip
        page.put(photo(name, width, height), x, y)
    found = boxes(split_page(page.raster(), PPI).elements)
    assert len(found) == 5
    assert all(any(reads_in_order([one], [true]) for true in page.boxes) for one in found)


def test_a_hard_shadow_is_not_part_of_the_card_that_throws_it() -> None:
    page = ComposedPage.plain(WHITE)
    page.put(bordered("coffee", 700, 500, 0, WHITE), 300, 400, shadow=0.5)
    page.put(bordered("chelsea", 500, 600, 0, WHITE), 500, 1050, shadow=0.5)
    elements = split_page(page.raster(), PPI).elements
    assert all(element.rectangular for element in elements)
    assert reads_in_order(boxes(elements), page.boxes, within=4)
