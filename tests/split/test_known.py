"""What a PDF says of where things lie, brought together with what was found in the pixels."""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
import pytest
from split.composed_pages import PPI, ComposedPage, disc, ink, lettering, photo, reads_in_order

from kitprep.pages import Element, Kind, KnownBox, PixelBox, Raster
from kitprep.split import SplitHints, split_page


def rendered(page: ComposedPage) -> Raster:
    """The page at half scale, without the noise of a photograph's storage."""
    rows, cols = page.pixels.shape[:2]
    small = cv2.resize(page.pixels, (cols // 2, rows // 2), interpolation=cv2.INTER_AREA)
    return Raster(small.clip(0, 255).round().astype(np.uint8), (cols, rows))


def split(page: ComposedPage, known: Sequence[KnownBox] = ()) -> tuple[Element, ...]:
    return split_page(rendered(page), PPI, known_boxes=known).elements


def boxes(elements: Sequence[Element]) -> list[PixelBox]:
    return [element.box for element in elements]


def cover_of(mask: np.ndarray) -> np.ndarray:
    return (255 * mask[::2, ::2]).astype(np.uint8)


def area_of(element: Element) -> float:
    return float(cv2.contourArea(np.array(element.outline, np.float32)))


def white() -> ComposedPage:
    return ComposedPage.plain((255, 255, 255))


def test_a_pale_cut_out_has_its_outline_from_its_cover() -> None:
    page, mask = white(), disc(601, 501)
    page.put(ink(mask, (254, 254, 254)), 300, 401, mask)
    assert split(page) == ()
    (found,) = split(page, [KnownBox(page.boxes[0], cover=cover_of(mask))])
    assert found.box == page.boxes[0]
    assert not found.rectangular
    assert area_of(found) == pytest.approx(np.pi / 4 * 601 * 501, rel=0.01)


def test_a_hole_in_a_cover_is_a_hole_of_the_element() -> None:
    page, mask = white(), disc(600, 600)
    mask[240:360, 240:360] = 0
    page.put(photo("flower", 600, 600), 300, 400, mask)
    (found,) = split(page, [KnownBox(page.boxes[0], cover=cover_of(mask))])
    (hole,) = found.holes
    assert np.min(hole, axis=0) == pytest.approx((540, 640), abs=2)
    assert np.max(hole, axis=0) == pytest.approx((660, 760), abs=2)


def test_a_cover_that_is_solid_is_a_rectangle() -> None:
    page = white()
    page.put(photo("coffee", 603, 501), 300, 401)
    (found,) = split(page, [KnownBox(page.boxes[0], cover=np.full((251, 302), 255, np.uint8))])
    assert found.rectangular
    assert found.outline == page.boxes[0].corners


def test_a_cut_out_of_separate_parts_is_one_element() -> None:
    page, mask = white(), np.zeros((600, 900), np.float32)
    mask[:, :350] = disc(350, 600)
    mask[:, 550:] = disc(350, 600)
    page.put(photo("grass", 900, 600), 300, 400, mask)
    assert len(split(page)) == 2
    assert boxes(split(page, [KnownBox(page.boxes[0], cover=cover_of(mask))])) == page.boxes


def test_letters_that_are_pictures_are_left_to_be_words() -> None:
    page, known = white(), []
    for number, letter in enumerate("MILL"):
        mask = lettering(letter, 130)
        page.put(ink(mask, (40, 50, 90)), 300 + 110 * number, 400, mask)
        known.append(KnownBox(page.boxes[-1], cover=cover_of(mask)))
    (found,) = split(page, known)
    assert found.kind is Kind.WORDS


def test_a_pale_label_around_dark_words_is_found_by_its_drawing() -> None:
    page, mask = white(), lettering("plum", 120)
    label = ComposedPage.plain((253, 251, 249), 701, 401)
    label.put(ink(mask, (60, 30, 80)), 200, 150, mask)
    page.put(label.pixels, 300, 401)
    assert boxes(split(page)) != page.boxes
    (found,) = split(page, [KnownBox(page.boxes[0], is_drawing=True)])
    assert found.box == page.boxes[0]
    assert found.rectangular


def test_a_page_strewn_with_drawings_is_left_to_the_pixels() -> None:
    page = white()
    page.put(ink(np.ones((300, 300)), (253, 251, 249)), 300, 400)
    strewn = [PixelBox(x, y, x + 60, y + 60) for x in range(700, 1450, 70) for y in range(20, 1700, 70)]
    label, rest = PixelBox(300, 400, 600, 700), [KnownBox(box, is_drawing=True) for box in strewn]
    assert boxes(split(page, [KnownBox(label, is_drawing=True), *rest[:20]])) == [label]
    assert split(page, [KnownBox(label, is_drawing=True), *rest]) == split(page) == ()


def test_a_panel_that_nobody_can_see_holds_nothing_together() -> None:
    page = white()
    page.pixels[350:750, 150:1150] = 254
    page.put(photo("flower", 300, 300), 200, 400)
    page.put(photo("coffee", 300, 300), 800, 400)
    panel = KnownBox(PixelBox(150, 350, 1150, 750), is_drawing=True)
    assert reads_in_order(boxes(split(page, [panel])), page.boxes)


def test_papers_drawn_edge_to_edge_come_apart_as_before() -> None:
    page = white()
    page.put(ink(np.ones((500, 400)), (200, 60, 60)), 200, 400)
    page.put(ink(np.ones((500, 400)), (60, 90, 200)), 600, 400)
    together = KnownBox(PixelBox(200, 400, 1000, 900), is_drawing=True)
    assert boxes(split(page, [together])) == boxes(split(page)) == page.boxes


@pytest.mark.parametrize(("off", "goes"), [(3, True), (9, False)])
def test_an_edge_goes_to_that_of_a_drawing_where_they_nearly_agree(off: int, goes: bool) -> None:
    page = white()
    page.put(ink(np.ones((500, 400)), (200, 60, 60)), 200, 400)
    (found,) = split(page, [KnownBox(PixelBox(200, 400, 600, 900 + off), is_drawing=True)])
    assert found.box == PixelBox(200, 400, 600, 900 + (off if goes else 0))
    assert found.outline == found.box.corners


def test_a_part_apart_goes_with_its_drawing() -> None:
    page, mask = white(), disc(500, 500)
    page.put(ink(mask, (200, 60, 60)), 200, 400, mask)
    page.put(ink(np.ones((40, 30)), (30, 30, 30)), 435, 930)
    drawing = PixelBox(200, 400, 700, 970)
    assert boxes(split(page)) == page.boxes[:1]
    assert boxes(split(page, [KnownBox(drawing, is_drawing=True)])) == [drawing]


def test_a_picture_in_a_frame_of_dots_goes_with_the_frame() -> None:
    page = white()
    page.put(photo("flower", 300, 300), 450, 650)
    dot = disc(24, 24)
    for step in range(20):
        for x, y in (
            (300, 500 + 30 * step),
            (876, 500 + 30 * step),
            (300 + 30 * step, 500),
            (300 + 30 * step, 1076),
        ):
            page.put(ink(dot, (30, 60, 30)), x, y, dot)
    (found,) = split(page, [KnownBox(page.boxes[0])])
    assert found.box.contains(page.boxes[0].grown(100))


def test_motifs_that_run_off_the_page_are_no_elements_of_their_own() -> None:
    page, motif, known = ComposedPage.plain((250, 240, 220)), disc(200, 200), []
    for row in range(-1, 7):
        for column in range(-1, 6):
            x, y = 300 * column + 150 * (row % 2), 280 * row + 100
            left, top = max(0, x), max(0, y)
            part = motif[top - y : max(0, 1800 - y), left - x : max(0, 1500 - x)]
            if part.size and part.any():
                page.put(ink(part, (40, 110, 70)), left, top, part)
                known.append(KnownBox(page.boxes[-1], cover=cover_of(part)))
    assert boxes(split(page)) == boxes(split(page, known)) == [PixelBox(0, 0, 1500, 1800)]


def test_one_picture_on_a_paper_that_fills_the_page_goes_with_it() -> None:
    page = ComposedPage(photo("grass", 1500, 1800).astype(np.float32))
    page.put(photo("coffee", 200, 200), 600, 700)
    assert boxes(split(page, [KnownBox(page.boxes[0])])) == [PixelBox(0, 0, 1500, 1800)]
    page.put(photo("coffee", 200, 200), 900, 1200)
    assert boxes(split(page, list(map(KnownBox, page.boxes)))) == page.boxes


def test_a_hint_goes_before_what_the_file_knows() -> None:
    page = white()
    page.put(photo("flower", 300, 300), 200, 400)
    found = split_page(rendered(page), PPI, SplitHints(whole=True), [KnownBox(page.boxes[0])]).elements
    assert boxes(found) == [PixelBox(0, 0, 1500, 1800)]


@pytest.mark.parametrize(
    "box", [PixelBox(-50, -50, 0, 100), PixelBox(1490, 1790, 1600, 1900), PixelBox(0, 0, 1, 1)]
)
@pytest.mark.parametrize("is_drawing", [True, False])
def test_a_box_at_the_rim_of_the_page_does_no_harm(box: PixelBox, is_drawing: bool) -> None:
    page = white()
    page.put(photo("flower", 300, 300), 200, 400)
    found = split(page, [KnownBox(box, is_drawing=is_drawing)])
    assert page.boxes[0] in boxes(found)
    assert all(PixelBox(0, 0, 1500, 1800).contains(element.box) for element in found)
