"""Elements taken by a box drawn by hand."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from split.composed_pages import PPI, ComposedPage, bordered, perforated, photo, tag

from kitprep.errors import OutsidePage
from kitprep.pages import Kind, PixelBox, Raster
from kitprep.split import element_from_box


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


def test_a_box_taken_by_hand_has_the_kind_of_what_is_printed_in_it() -> None:
    page = ComposedPage.plain((250, 246, 236))
    page.pixels[300:900, 300:700] = (120, 60, 50)
    page.put(bordered("coffee", 400, 300, 30, (255, 255, 255)), 900, 300)
    plain, stamp = (
        element_from_box(page.raster(), PPI, box, 1, snap=False)
        for box in (PixelBox(300, 300, 700, 900), page.boxes[0])
    )
    assert (plain.kind, stamp.kind) == (Kind.CARD, Kind.STAMP)


def full_scale(page: ComposedPage) -> Raster:
    """The page as an original of 300 pixels per inch gives it, not reduced."""
    return Raster(page.stored(), page.raster().page_px)


def loosely(box: PixelBox) -> PixelBox:
    return PixelBox(box.left - 9, box.top + 7, box.right + 8, box.bottom - 6)


def test_a_stamp_taken_by_a_loose_box_keeps_its_teeth() -> None:
    page = ComposedPage.plain((250, 246, 236))
    page.put(bordered("coffee", 384, 480, 40, (255, 255, 252)) * 0.94, 300, 400, perforated(384, 480))
    taken = element_from_box(full_scale(page), PPI, loosely(page.boxes[0]), 1)
    assert (taken.kind, taken.rectangular, taken.by_hand) == (Kind.STAMP, False, True)
    assert near(taken.box, page.boxes[0])
    assert cv2.arcLength(np.array(taken.outline, np.float32), True) > 1.1 * 2 * (384 + 480)


def test_a_tag_taken_by_a_loose_box_has_its_hole_and_a_leaning_card_its_lean() -> None:
    page = ComposedPage.plain((250, 246, 236))
    page.put(photo("chelsea", 360, 620), 200, 300, tag(360, 620))
    page.put(photo("brick", 500, 380), 800, 400, lean=6.0)
    raster = full_scale(page)
    hung, card = (element_from_box(raster, PPI, loosely(box), 1) for box in page.boxes)
    assert (hung.kind, len(hung.holes)) == (Kind.TAG, 1)
    assert near(hung.box, page.boxes[0])
    assert card.rectangular
    assert card.angle_deg == pytest.approx(6.0, abs=0.2)
    assert card.straight_size_px == (pytest.approx(500, abs=2), pytest.approx(380, abs=2))


def test_a_box_within_a_picture_takes_that_part_and_nothing_else() -> None:
    page = ComposedPage.plain((250, 246, 236))
    page.put(photo("astronaut", 1100, 1300), 200, 250)
    asked = PixelBox(560, 620, 760, 800)
    taken = element_from_box(full_scale(page), PPI, asked, 1)
    assert taken.rectangular
    assert near(taken.box, asked, 16)


def near(one: PixelBox, other: PixelBox, within: int = 2) -> bool:
    return (
        max(
            abs(one.left - other.left),
            abs(one.top - other.top),
            abs(one.right - other.right),
            abs(one.bottom - other.bottom),
        )
        <= within
    )
