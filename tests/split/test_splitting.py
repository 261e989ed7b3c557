"""Whole pages come apart as a person would cut them; each family of pages once or twice."""

from __future__ import annotations

from itertools import pairwise

import cv2
import numpy as np
import pytest
from split.composed_pages import (
    PPI,
    ComposedPage,
    bordered,
    disc,
    ink,
    lettering,
    original,
    perforated,
    photo,
    reads_in_order,
    tag,
)

from kitprep.lengths import inches
from kitprep.pages import Kind, PagePpi, PixelBox, PpiSource, Raster
from kitprep.split import SplitHints, SplitNote, split_page

NO_HINTS = SplitHints()
WHITE, CREAM, DARK = (255, 255, 255), (250, 244, 226), (28, 34, 48)


def boxes(page: ComposedPage, hints: SplitHints = NO_HINTS) -> list[PixelBox]:
    return [element.box for element in split_page(page.raster(), PPI, hints).elements]


def cut_outs(colour: tuple[int, int, int]) -> ComposedPage:
    page = ComposedPage.plain(colour)
    page.put(photo("astronaut", 420, 560), 110, 120)
    page.put(photo("coffee", 520, 400), 700, 160, disc(520, 400))
    page.put(photo("chelsea", 360, 620), 130, 880, tag(360, 620))
    page.put(photo("brick", 700, 300), 680, 900)
    return page


@pytest.mark.parametrize("colour", [WHITE, CREAM, DARK, (64, 120, 90)])
def test_cut_outs_on_a_plain_page_are_found_to_two_pixels(colour: tuple[int, int, int]) -> None:
    page = cut_outs(colour)
    assert reads_in_order(boxes(page), page.boxes)


def test_cut_outs_on_a_textured_page_are_found_to_two_pixels() -> None:
    page = cut_outs((196, 160, 116))
    grain = cv2.GaussianBlur(np.random.default_rng(3).normal(0, 1, page.pixels.shape[:2]), (0, 0), 1.5)
    fresh = ComposedPage.plain((196, 160, 116))
    fresh.pixels += (grain / grain.std() * 5)[..., None]
    fresh.put(photo("astronaut", 420, 560), 110, 120)
    fresh.put(photo("flower", 520, 400), 700, 160)
    assert reads_in_order(boxes(fresh), fresh.boxes)


def test_cut_outs_on_a_graded_page_are_found_to_two_pixels() -> None:
    page = ComposedPage.plain((0, 0, 0))
    rows, cols = page.pixels.shape[:2]
    slope = (np.linspace(0, 1, rows)[:, None] + np.linspace(0, 0.4, cols)[None])[..., None]
    page.pixels = (np.array((252, 246, 235)) - 45 * slope).astype(np.float32)
    page.put(photo("astronaut", 420, 560), 110, 120)
    page.put(photo("flower", 520, 400), 700, 160)
    page.put(photo("brick", 700, 300), 680, 900)
    assert reads_in_order(boxes(page), page.boxes)


@pytest.mark.parametrize("lean", [-9.0, -2.5, 0.7, 6.0])
def test_a_leaning_rectangle_is_straightened_to_a_fifth_of_a_degree(lean: float) -> None:
    page = ComposedPage.plain(CREAM)
    page.put(photo("china", 720, 460), 300, 400, lean=lean)
    (element,) = split_page(page.raster(), PPI).elements
    width, height = element.straight_size_px
    assert element.rectangular
    assert element.angle_deg == pytest.approx(lean, abs=0.2)
    assert (width, height) == (pytest.approx(720, abs=2), pytest.approx(460, abs=2))


def test_the_corners_of_a_leaning_rectangle_go_clockwise_from_its_own_top_left() -> None:
    page = ComposedPage.plain(WHITE)
    page.put(photo("china", 720, 460), 300, 400, lean=8.0)
    (element,) = split_page(page.raster(), PPI).elements
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = element.outline
    assert ax < bx and dx < cx and ay < dy and by < cy and by > ay


def test_an_upright_rectangle_has_whole_pixel_corners_and_no_lean() -> None:
    page = ComposedPage.plain(WHITE)
    page.put(photo("china", 720, 460), 300, 400)
    (element,) = split_page(page.raster(), PPI).elements
    assert element.angle_deg == 0.0
    assert element.outline == element.box.corners


@pytest.mark.parametrize("gutter", [6, 12])
def test_stamps_with_thin_gutters_come_apart(gutter: int) -> None:
    page = ComposedPage.plain(WHITE)
    names = ["astronaut", "chelsea", "coffee", "china", "flower", "rocket"]
    for row in range(3):
        for column in range(4):
            art = bordered(names[(row + column) % 6], 300, 360, 24, (246, 240, 228))
            page.put(art, 90 + column * (300 + gutter), 120 + row * (360 + gutter), perforated(300, 360))
    assert reads_in_order(boxes(page), page.boxes)


def test_perforated_edges_keep_their_teeth() -> None:
    page = ComposedPage.plain((120, 140, 150))
    page.put(bordered("astronaut", 480, 600, 40, (250, 248, 240)), 200, 200, perforated(480, 600, 30, 9))
    (element,) = split_page(page.raster(), PPI).elements
    drawn = np.zeros((1800, 1500), np.uint8)
    cv2.fillPoly(drawn, [np.round(np.array(element.outline)).astype(np.int32)], 1)
    truth = np.zeros_like(drawn)
    truth[200:800, 200:680] = perforated(480, 600, 30, 9) >= 0.5
    assert element.kind is Kind.STAMP
    assert (drawn & truth).sum() / (drawn | truth).sum() > 0.98


def test_pale_stamps_on_a_flecked_page_keep_their_teeth() -> None:
    page = ComposedPage.plain((236, 226, 205))
    for x, y in np.random.default_rng(8).integers(0, (1490, 1790), (300, 2)):
        page.pixels[y : y + 6, x : x + 6] -= 14
    for name, x in (("flower", 200), ("coffee", 820)):
        page.put(bordered(name, 480, 600, 60, (236, 230, 214)), x, 200, perforated(480, 600, 30, 9))
    elements = split_page(page.raster(), PPI).elements
    assert [element.kind for element in elements] == [Kind.STAMP, Kind.STAMP]
    for element, left in zip(elements, (200, 820), strict=True):
        drawn, truth = np.zeros((1800, 1500), np.uint8), np.zeros((1800, 1500), np.uint8)
        cv2.fillPoly(drawn, [np.round(np.array(element.outline)).astype(np.int32)], 1)
        truth[200:800, left : left + 480] = perforated(480, 600, 30, 9) >= 0.5
        assert (drawn & truth).sum() / (drawn | truth).sum() > 0.98


def test_a_white_border_on_an_almost_white_page_belongs_to_its_stamp() -> None:
    page = ComposedPage.plain((249, 247, 242))
    for column in range(3):
        page.put(bordered("flower", 360, 420, 36, (255, 255, 255)), 120 + column * 430, 300)
    assert reads_in_order(boxes(page), page.boxes)


def test_a_border_that_drowns_in_the_grain_of_the_page_is_still_seen() -> None:
    page = ComposedPage.plain((236, 233, 226))
    grain = cv2.GaussianBlur(np.random.default_rng(5).normal(0, 1, page.pixels.shape[:2]), (0, 0), 6)
    page.pixels += (grain / grain.std() * 3.5)[..., None]
    page.put(bordered("coffee", 640, 800, 45, (244, 241, 235)), 400, 400)
    found = boxes(page)
    assert reads_in_order(found, page.boxes, within=4), found


def test_soft_shadows_are_not_part_of_what_throws_them() -> None:
    page = ComposedPage.plain(WHITE)
    page.put(photo("astronaut", 420, 560), 150, 150, shadow=0.45)
    page.put(bordered("chelsea", 480, 480, 40, (244, 240, 232)), 800, 180, shadow=0.45)
    page.put(photo("flower", 700, 420), 400, 1000, lean=4.0, shadow=0.45)
    found = boxes(page)
    assert reads_in_order(found, page.boxes, within=6), found


def test_the_letters_of_a_wording_are_one_element_of_words() -> None:
    page = ComposedPage.plain(CREAM)
    for y, text in ((200, "gathered by\nlantern light"), (900, "windfall")):
        mask = lettering(text, 130)
        page.put(ink(mask, (60, 40, 30)), 200, y, mask)
    split = split_page(page.raster(), PPI)
    assert reads_in_order([element.box for element in split.elements], page.boxes)
    assert [element.kind for element in split.elements] == [Kind.WORDS, Kind.WORDS]
    assert not any(element.unwanted for element in split.elements)


def test_a_makers_line_at_the_foot_is_kept_as_words_that_are_likely_not_wanted() -> None:
    page = cut_outs(CREAM)
    mask = lettering("Quillmoss Paper Room - sheet 2 of 4", 34)
    page.put(ink(mask, (90, 80, 70)), 400, 1735, mask)
    *others, last = split_page(page.raster(), PPI).elements
    assert (last.kind, last.unwanted) == (Kind.WORDS, True)
    assert not any(element.unwanted for element in others)


def test_two_solid_things_are_never_joined_however_near() -> None:
    page = ComposedPage.plain(WHITE)
    page.put(photo("astronaut", 400, 400), 200, 300)
    page.put(photo("flower", 400, 400), 612, 300)
    assert len(boxes(page)) == 2


def test_papers_that_share_edges_come_apart() -> None:
    page = ComposedPage.plain(WHITE)
    page.put(photo("flower", 640, 900), 90, 90)
    page.put(photo("brick", 680, 900), 730, 90)
    page.put(photo("china", 640, 720), 90, 990)
    page.put(np.full((720, 680, 3), (90, 140, 120), np.uint8), 730, 990)
    assert reads_in_order(boxes(page), page.boxes)


@pytest.mark.parametrize("width", [60, 120])
def test_a_page_of_gingham_stays_whole(width: int) -> None:
    page = ComposedPage.plain(WHITE)
    y, x = np.mgrid[0:1800, 0:1500]
    checks = (((x // width) % 2) + ((y // width) % 2))[..., None] / 2
    page.pixels = (np.array((240, 236, 220)) * (1 - checks) + np.array((70, 110, 90)) * checks).astype(
        np.float32
    )
    assert boxes(page) == [PixelBox(0, 0, 1500, 1800)]


@pytest.mark.parametrize("margin", [0, 90])
def test_a_busy_page_that_is_one_picture_stays_whole(margin: int) -> None:
    page = ComposedPage.plain(WHITE)
    page.put(photo("coffee", 1500 - 2 * margin, 1800 - 2 * margin), margin, margin)
    (element,) = split_page(page.raster(), PPI).elements
    assert element.kind is Kind.PAPER
    assert reads_in_order([element.box], page.boxes)


def test_motifs_that_run_off_the_page_are_one_paper_and_said_to_be() -> None:
    page = ComposedPage.plain(CREAM)
    for row in range(6):
        for column in range(5):
            x, y = column * 340 - 150 + 170 * (row % 2), row * 330 - 120
            part = photo("flower", 150, 150)[max(0, -y) : 1800 - y, max(0, -x) : 1500 - x]
            mask = disc(150, 150)[max(0, -y) : 1800 - y, max(0, -x) : 1500 - x]
            if part.size:
                page.put(part, max(0, x), max(0, y), mask)
    split = split_page(page.raster(), PPI)
    assert [element.box for element in split.elements] == [PixelBox(0, 0, 1500, 1800)]
    assert split.notes == (SplitNote.TEXTURE_IS_ONE_PAPER,)


def test_over_a_thousand_regions_are_one_paper_and_said_to_be() -> None:
    page = ComposedPage.plain(CREAM)
    for row in range(40):
        for column in range(33):
            at = (60 + column * 42, 60 + row * 42)
            cv2.circle(page.pixels, at, 10, (60, 70, 110), -1, cv2.LINE_AA)
    split = split_page(page.raster(), PPI)
    assert [element.kind for element in split.elements] == [Kind.PAPER]
    assert split.notes == (SplitNote.TEXTURE_IS_ONE_PAPER,)


def test_a_page_that_is_all_background_has_no_elements_and_says_so() -> None:
    split = split_page(ComposedPage.plain(CREAM).raster(), PPI)
    assert (split.elements, split.notes) == ((), (SplitNote.NOTHING_FOUND,))


def test_transparency_says_exactly_what_is_an_element() -> None:
    page = cut_outs((0, 0, 0))
    page.alpha = np.zeros((1800, 1500), np.float32)
    clear = ComposedPage(page.pixels, alpha=page.alpha)
    clear.put(photo("coffee", 520, 400), 160, 160, disc(520, 400))
    clear.put(photo("chelsea", 360, 620), 800, 500, tag(360, 620))
    split = split_page(clear.raster(), PPI)
    assert reads_in_order([element.box for element in split.elements], clear.boxes)
    assert [len(element.holes) for element in split.elements] == [0, 1]


def test_a_punched_hole_is_an_opening_of_its_tag() -> None:
    page = ComposedPage.plain(CREAM)
    page.put(photo("grass", 420, 700), 400, 400, tag(420, 700))
    (element,) = split_page(page.raster(), PPI).elements
    (hole,) = element.holes
    area = cv2.contourArea(np.array(hole, np.float32))
    assert element.kind is Kind.TAG
    assert area == pytest.approx(np.pi * 26**2, rel=0.08)


def test_the_outline_of_a_cut_out_lies_on_its_edge() -> None:
    page = ComposedPage.plain(WHITE)
    page.put(photo("flower", 900, 700), 300, 500, disc(900, 700))
    (element,) = split_page(page.raster(), PPI).elements
    x, y = np.array(element.outline).T
    off = np.abs(np.hypot((x - 750) / 450, (y - 850) / 350) - 1) * 350
    drawn, truth = (np.zeros((1800, 1500), np.uint8) for _ in range(2))
    cv2.fillPoly(drawn, [np.round(np.array(element.outline)).astype(np.int32)], 1)
    truth[500:1200, 300:1200] = disc(900, 700) >= 0.5
    assert np.percentile(off, 90) < 1.0
    assert (drawn & truth).sum() / (drawn | truth).sum() > 0.997


def test_every_coin_of_the_coins_picture_is_found() -> None:
    """skimage.data.coins shows four rows of six coins (counted by eye) on a dark ground that is not even."""
    coins = original("coins")
    raster = Raster(np.ascontiguousarray(coins), (coins.shape[1], coins.shape[0]))
    split = split_page(raster, PagePpi(100.0, 100.0, PpiSource.GIVEN))
    assert len(split.elements) == 24


def test_elements_are_counted_along_rows_from_one() -> None:
    page = ComposedPage.plain(WHITE)
    for row, tops in enumerate([(100, 112, 94), (640, 652, 631), (1180, 1170, 1186)]):
        for column, y in enumerate(tops):
            page.put(photo("brick", 380, 420 - 20 * column), 90 + column * 470, y - 10 * row)
    split = split_page(page.raster(), PPI)
    assert [element.number for element in split.elements] == list(range(1, 10))
    assert reads_in_order([element.box for element in split.elements], page.boxes)


def test_the_same_page_always_comes_apart_the_same_way() -> None:
    raster = cut_outs(CREAM).raster()
    first, second = split_page(raster, PPI), split_page(raster, PPI)
    assert first == second


@pytest.mark.parametrize("reduced", [1, 2, 3])
def test_boxes_are_page_pixels_at_whatever_scale_the_page_is_seen(reduced: int) -> None:
    page = cut_outs(WHITE)
    whole = np.clip(page.pixels + 0.5, 0, 255).astype(np.uint8)
    seen = cv2.resize(whole, None, fx=1 / reduced, fy=1 / reduced, interpolation=cv2.INTER_AREA)
    found = [element.box for element in split_page(Raster(seen, (1500, 1800)), PPI).elements]
    assert reads_in_order(found, page.boxes), found


def test_a_page_seen_as_whole_is_one_paper() -> None:
    assert boxes(cut_outs(WHITE), SplitHints(whole=True)) == [PixelBox(0, 0, 1500, 1800)]


@pytest.mark.parametrize(("rows", "columns"), [(1, 1), (2, 2), (3, 4)])
def test_a_grid_hint_gives_exactly_so_many_elements(rows: int, columns: int) -> None:
    assert len(boxes(cut_outs(WHITE), SplitHints(rows=rows, columns=columns))) == rows * columns


def test_a_grid_hint_divides_what_only_a_person_can_tell_apart() -> None:
    page = ComposedPage.plain(WHITE)
    page.put(photo("brick", 1200, 600), 150, 300)
    found = boxes(page, SplitHints(rows=1, columns=3))
    assert [box.top for box in found] == pytest.approx([300] * 3, abs=2)
    assert all(abs(b.left - a.right) <= 3 for a, b in pairwise(found))


def test_a_gap_hint_joins_what_lies_nearer() -> None:
    page = ComposedPage.plain(WHITE)
    page.put(photo("astronaut", 400, 400), 200, 300)
    page.put(photo("flower", 400, 400), 640, 300)
    page.put(photo("coffee", 400, 400), 400, 1000)
    assert len(boxes(page)) == 3
    assert len(boxes(page, SplitHints(gap=inches("1/4")))) == 2


def test_what_a_gap_hint_joins_to_a_rectangle_is_within_its_outline() -> None:
    page = ComposedPage.plain(WHITE)
    page.put(photo("astronaut", 600, 600), 200, 300)
    page.put(photo("coffee", 120, 120), 830, 500)
    (whole,) = boxes(page, SplitHints(gap=inches("1/8")))
    assert reads_in_order([whole], [PixelBox(200, 300, 950, 900)])


def test_a_background_hint_finds_what_shares_the_colour_of_the_rim() -> None:
    page = ComposedPage.plain((60, 60, 70))
    page.pixels[60:-60, 60:-60] = (240, 238, 230)
    page.put(photo("astronaut", 400, 400), 500, 500)
    found = boxes(page, SplitHints(background=(240, 238, 230)))
    assert any(reads_in_order([box], page.boxes, within=3) for box in found), found
