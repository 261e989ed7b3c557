"""Busy papers stay whole: dots, lines, writing, stripes, patchwork, faint pictures, horizons."""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np
import pytest
from split.composed_pages import PPI, ComposedPage, Pixels, lettering, photo, reads_in_order

from kitprep.pages import PixelBox
from kitprep.split import SplitNote, split_page

WHITE, CREAM = (255, 255, 255), (249, 243, 228)
WHOLE = [PixelBox(0, 0, 1500, 1800)]


def boxes(page: ComposedPage) -> list[PixelBox]:
    return [element.box for element in split_page(page.raster(), PPI).elements]


def dots(page: ComposedPage) -> None:
    for x in range(0, 1470, 135):
        for y in range(70, 1760, 135):
            cv2.circle(page.pixels, (x, y), 28, (60, 80, 130), -1, cv2.LINE_AA)


def rules(page: ComposedPage) -> None:
    for y in range(90, 1800, 90):
        page.pixels[y : y + 4] = (150, 160, 190)
    page.pixels[:, 300:306] = (200, 120, 120)
    mask = lettering("six baskets of pears", 60)
    page.put(np.full((*mask.shape, 3), 50, np.uint8), 340, 200, mask)


def planks(page: ComposedPage) -> None:
    for x in (240, 610, 980, 1290):
        page.pixels[:, x : x + 10] = (90, 78, 66)


def staves(page: ComposedPage) -> None:
    for top in range(60, 1700, 160):
        for line in range(5):
            page.pixels[top + line * 18 : top + line * 18 + 3, 70:1430] = 40
        for note in range(8):
            at = 150 + note * 160
            cv2.rectangle(page.pixels, (at, top - 50), (at + 4, top + 20), (40, 40, 40), -1)


def letter(page: ComposedPage) -> None:
    for top in range(120, 1650, 72):
        mask = lettering("nineteen crates of pears, and the first frost on the", 52)
        page.put(np.full((*mask.shape, 3), 50, np.uint8), 150, top, mask)


@pytest.mark.parametrize("draw", [dots, rules, planks, staves, letter])
def test_a_printed_page_is_one_paper_and_said_to_be(draw: Callable[[ComposedPage], None]) -> None:
    page = ComposedPage.plain(CREAM)
    draw(page)
    split = split_page(page.raster(), PPI)
    assert [element.box for element in split.elements] == WHOLE
    assert split.notes == (SplitNote.TEXTURE_IS_ONE_PAPER,)


def test_dots_around_an_empty_middle_are_no_patterned_paper() -> None:
    page = ComposedPage.plain(CREAM)
    for turn in np.linspace(0, 2 * np.pi, 80, endpoint=False):
        at = round(750 + 560 * np.cos(turn)), round(900 + 560 * np.sin(turn))
        cv2.circle(page.pixels, at, 12, (60, 80, 130), -1, cv2.LINE_AA)
    (found,) = boxes(page)
    assert abs(found.left - 178) <= 3 and abs(found.right - 1323) <= 3


def test_strips_that_run_across_the_page_come_apart() -> None:
    page = ComposedPage.plain(CREAM)
    for index, name in enumerate(("brick", "grass", "gravel", "flower")):
        page.put(photo(name, 1500, 120), 0, 150 + index * 400)
    assert reads_in_order(boxes(page), page.boxes, within=4)


def faded(share: float) -> Pixels:
    picture = cv2.GaussianBlur(photo("coffee", 1500, 1800), (0, 0), 9).astype(np.float32)
    return picture * share + np.array(CREAM, np.float32) * (1 - share)


@pytest.mark.parametrize("share", [0.12, 0.18])
def test_a_faint_soft_picture_is_a_paper_and_no_empty_page(share: float) -> None:
    page = ComposedPage(faded(share))
    assert boxes(page) == WHOLE


def stripes(widths: list[int], colours: list[tuple[int, int, int]], height: int) -> Pixels:
    return np.concatenate(
        [np.full((height, w, 3), colours[i % len(colours)], np.uint8) for i, w in enumerate(widths)], axis=1
    )


def test_uneven_stripes_stay_whole() -> None:
    art = stripes(
        [260, 40, 200, 120, 60, 240, 130, 90, 160],
        [(190, 80, 70), (240, 210, 150), (190, 80, 70), (60, 110, 120), (240, 210, 150)],
        1620,
    )
    page = ComposedPage.plain(WHITE)
    page.put(art, 90, 90)
    assert reads_in_order(boxes(page), page.boxes)


def test_two_striped_papers_that_share_an_edge_come_apart() -> None:
    page = ComposedPage.plain(WHITE)
    page.put(stripes([60, 40] * 6 + [60], [(190, 80, 70), (240, 210, 150)], 1620), 90, 90)
    page.put(stripes([50, 70] * 5 + [50], [(60, 110, 120), (150, 190, 90)], 1620), 750, 90)
    assert reads_in_order(boxes(page), page.boxes)


def test_stripes_almost_as_pale_as_the_page_are_no_gutters() -> None:
    page = ComposedPage.plain(WHITE)
    page.put(stripes([150, 30] * 7, [(120, 160, 200), (240, 240, 240)], 1500), 100, 100)
    page.put(photo("flower", 1260, 100), 100, 1650)
    assert len(boxes(page)) == 2


def test_a_patchwork_stays_whole() -> None:
    page = ComposedPage.plain(WHITE, 2000, 2400)
    colours = np.random.default_rng(2).integers(40, 230, (5, 4, 1, 1, 3), np.uint8)
    patches = [np.concatenate([np.tile(patch, (440, 440, 1)) for patch in row], axis=1) for row in colours]
    page.put(np.concatenate(patches, axis=0), 100, 100)
    assert reads_in_order(boxes(page), page.boxes)


def seascape(soft: float) -> Pixels:
    """A sky over a sea, each with its own fine texture, and between them an edge of that softness."""
    rng = np.random.default_rng(4)
    sea = np.full((1600, 1300, 3), (60, 100, 140), np.float32)
    sea[:700] = (150, 190, 230)
    sea += rng.normal(0, 6, (1600, 1300, 1))
    if soft:
        sea[640:760] = cv2.GaussianBlur(sea, (0, 0), sigmaX=0.6, sigmaY=soft)[640:760]
    return np.clip(sea, 0, 255)


def test_a_soft_horizon_divides_no_photograph() -> None:
    page = ComposedPage.plain(WHITE)
    page.put(seascape(5.0), 100, 100)
    assert reads_in_order(boxes(page), page.boxes)


def test_the_same_two_colours_with_a_sharp_edge_are_two_papers() -> None:
    page = ComposedPage.plain(WHITE)
    page.put(seascape(0.0), 100, 100)
    assert [(box.top, box.bottom) for box in boxes(page)] == [(100, 800), (800, 1700)]


def test_a_sky_that_pales_to_the_colour_of_the_page_is_no_gutter() -> None:
    sky = np.sqrt(np.linspace(0, 1, 900))[:, None, None]
    picture = np.zeros((1600, 1300, 3))
    picture[:900] = np.array((120, 160, 220)) * (1 - sky) + np.array((246, 248, 250)) * sky
    picture[900:] = (40, 80, 110)
    picture[860:] = cv2.GaussianBlur(picture[860:], (0, 0), sigmaX=0.6, sigmaY=9.0)
    page = ComposedPage.plain(WHITE)
    page.put(picture, 100, 100)
    assert reads_in_order(boxes(page), page.boxes)


def test_three_photographs_that_run_off_the_page_are_no_pattern_though_alike_in_size() -> None:
    page = ComposedPage.plain(WHITE, 2400, 3000)
    for name, x, y in [
        ("china", 0, 300), ("flower", 1900, 900), ("coffee", 900, 2600),
        ("rocket", 800, 200), ("astronaut", 1500, 400), ("chelsea", 700, 1300), ("brick", 1300, 1800),
    ]:  # fmt: skip
        page.put(photo(name, 500, 400), x, y)
    assert len(boxes(page)) == 7
