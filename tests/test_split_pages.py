"""Composed pages say truly what is on them, and scores count what they say."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitprep.pages import Element, Kind, PixelBox
from scripts.split_pages.art import Art, ArtMissing, gather
from scripts.split_pages.composing import ComposedPage
from scripts.split_pages.families import parts_gap
from scripts.split_pages.grounds import plain
from scripts.split_pages.making import is_last_look, make_page, seeds
from scripts.split_pages.paper_families import shared_edges
from scripts.split_pages.part_pieces import wording
from scripts.split_pages.pieces import Piece, coloured, solid, stamp
from scripts.split_pages.scoring import matched, overlaps_of, score_page, with_clusters_as_one
from scripts.split_pages.shapes import filled
from scripts.split_pages.studio import Studio
from scripts.split_pages.truth import PageTruth, Truth, read_truth, run_lengths, traced, write_truth

WHITE, INK = (255, 255, 255), (40, 60, 90)
AS_COMPOSED = (1.0, 1.0)


def studio(seed: int = 0) -> Studio:
    return Studio(np.random.default_rng(seed), Art())


def blank_page() -> ComposedPage:
    return ComposedPage.on(plain((600, 500), WHITE))


def block(width: int = 200, height: int = 120) -> Piece:
    return solid(coloured(width, height, INK), "paper")


def as_found(truth: Truth, **changes: object) -> Element:
    """What a perfect split finds of it."""
    found = Element(
        1, PixelBox(*truth.box), tuple((x, y) for x, y in truth.outlines[0]), truth.angle_deg,
        Kind(truth.kind or "other"), truth.rectangular,
    )  # fmt: skip
    return dataclasses.replace(found, **changes)


def true_box(left: int, top: int, right: int, bottom: int, wanted: bool = True, cluster: int = -1) -> Truth:
    mask = np.ones((bottom - top, right - left), bool)
    corners = [[[left, top], [right, top], [right, bottom], [left, bottom]]]
    facts = {"kind": "paper", "rectangular": True, "angle_deg": 0.0, "outlines": corners, "holes": []}
    return traced(mask, left, top, wanted=wanted, cluster=cluster, **facts)


# ------------------------------------------------------------------------- truth


@given(st.lists(st.lists(st.booleans(), min_size=5, max_size=5), min_size=1, max_size=6))
def test_a_mask_comes_back_from_its_run_lengths(rows: list[list[bool]]) -> None:
    mask = np.array(rows)
    truth = Truth((0, 0, 5, len(rows)), "", False, 0.0, [], [], run_lengths(mask))
    assert (truth.mask == mask).all()


def test_a_page_s_truth_comes_back_from_its_file(tmp_path: Path) -> None:
    page = PageTruth("rows", 2, "rows-002.jpg", (600, 500), (true_box(3, 4, 50, 60), true_box(70, 4, 90, 60)))
    write_truth(page, tmp_path / "rows-002.json")
    assert read_truth(tmp_path / "rows-002.json") == page


@pytest.mark.parametrize("lean", [-10.0, -0.4, 3.0, 9.5])
def test_the_corners_of_a_leaning_rectangle_are_those_of_its_mask(lean: float) -> None:
    page = blank_page()
    assert page.lay(block(), 150.3, 120.8, lean)
    (truth,) = page.truths
    left, top, right, bottom = truth.box
    drawn = filled(right - left, bottom - top, [np.array(truth.outlines[0]) - (left, top)]) >= 128
    assert truth.mask.sum() == pytest.approx(200 * 120, rel=0.001)
    assert np.count_nonzero(drawn ^ truth.mask) < 0.01 * truth.mask.sum()  # a third of a pixel along its edge


def test_a_leaning_rectangle_turns_clockwise_by_its_lean() -> None:
    page = blank_page()
    page.lay(block(), 150, 120, 8.0)
    (x0, y0), (x1, y1) = page.truths[0].outlines[0][:2]
    assert np.degrees(np.arctan2(y1 - y0, x1 - x0)) == pytest.approx(8.0, abs=0.001)
    dark = np.argwhere(page.pixels[..., 0] < 150)
    assert dark[dark[:, 1].argmin()][0] > dark[dark[:, 1].argmax()][0] - 200  # it lies where its truth says
    assert dark[:, 0].min() == pytest.approx(page.truths[0].box[1], abs=1)


def test_a_stamp_s_truth_has_teeth() -> None:
    page = blank_page()
    page.lay(stamp(studio(), 240, 200, (200, 190, 180)), 100, 100)
    (truth,) = page.truths
    assert not truth.rectangular
    assert 0.9 < truth.mask.mean() < 0.99


def test_a_piece_of_the_page_s_colour_is_not_laid() -> None:
    page = blank_page()
    assert not page.lay(solid(coloured(200, 100, (252, 252, 250)), "paper"), 50, 50)
    assert page.truths == []
    assert (page.pixels == 255).all()


def test_a_piece_of_which_an_end_does_not_show_is_not_laid() -> None:
    face = coloured(200, 100, INK)
    face[:, 190:] = 254
    assert not blank_page().lay(solid(face, "strip"), 50, 50)


def test_what_runs_off_the_page_has_the_box_of_what_shows() -> None:
    page = blank_page()
    page.lay(block(200, 120), -80, 300)
    assert page.truths[0].box == (0, 300, 120, 420)


# ------------------------------------------------------------------------- pages


def test_a_quarter_of_the_pages_is_kept_for_the_last_look() -> None:
    assert list(seeds(6, 2)) == [0, 1, 2, 3, 4, 5, 6, 7]
    assert list(seeds(0, 3)) == [3, 7, 11]
    assert sum(is_last_look(seed) for seed in range(100)) == 25


@pytest.mark.parametrize("family", ["dark", "pdf"])
def test_a_page_is_the_same_each_time(family: str) -> None:
    one, other = make_page(family, 1, Art()), make_page(family, 1, Art())
    assert one.content == other.content
    assert one.truth == other.truth
    assert one.content != make_page(family, 2, Art()).content


@pytest.mark.parametrize("family", ["rows", "parts", "shadows", "transparent", "overlapping", "off-page"])
def test_every_family_makes_pages_without_a_folder_of_art(family: str) -> None:
    page = make_page(family, 0, Art())
    assert page.truth.elements
    width, height = page.truth.size_px
    for truth in page.truth.elements:
        left, top, right, bottom = truth.box
        assert 0 <= left < right <= width
        assert 0 <= top < bottom <= height


def test_papers_that_share_an_edge_leave_no_gap() -> None:
    boxes = [truth.box for truth in shared_edges(studio(1)).truths if truth.kind == "paper"]
    touching = [(a, b) for a in boxes for b in boxes if a[2] == b[0] or a[3] == b[1]]
    assert len(touching) >= 1


def test_other_things_stay_farther_from_a_wording_than_its_letters_from_each_other() -> None:
    for seed in range(6):
        piece = wording(studio(seed), 700, 400)
        reach = parts_gap(piece) // 2
        mask = cv2.copyMakeBorder(
            (piece.rgba[..., 3] > 100).astype(np.uint8), *[reach] * 4, cv2.BORDER_CONSTANT
        )
        grown = cv2.dilate(mask, cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * reach + 1, 2 * reach + 1)))
        assert cv2.connectedComponents(grown)[0] == 2


def test_a_folder_without_clip_art_is_told_with_where_to_get_it(tmp_path: Path) -> None:
    with pytest.raises(ArtMissing, match=r"no clip art in .*openclipart-svg"):
        gather(tmp_path, [])


# ------------------------------------------------------------------------ scores


def test_the_matching_is_an_optimum_not_the_best_first() -> None:
    overlaps = np.array([[0.99, 0.92], [0.91, 0.0]])
    assert matched(overlaps, 0.9) == [(0, 1), (1, 0)]


def test_a_box_over_half_of_another_overlaps_by_a_third() -> None:
    overlaps = overlaps_of(np.array([[0.0, 0, 10, 10]]), np.array([[5.0, 0, 15, 10], [20.0, 0, 30, 10]]))
    assert overlaps.tolist() == [[pytest.approx(1 / 3), 0.0]]


def test_a_perfect_split_is_all_right() -> None:
    truths = [true_box(10, 10, 110, 60), true_box(200, 10, 300, 60)]
    score = score_page(truths, [as_found(truth) for truth in truths], AS_COMPOSED)
    assert score.all_right
    assert score.masks == [1.0, 1.0]
    assert score.edges_px == [0.0] * 8
    assert score.angles_deg == [0.0, 0.0]


def test_a_box_four_pixels_off_is_told_by_its_edges() -> None:
    truth = true_box(10, 10, 110, 110)
    score = score_page([truth], [as_found(truth, box=PixelBox(14, 10, 110, 110))], AS_COMPOSED)
    assert (score.tight, score.edges_px) == (1, [4.0, 0.0, 0.0, 0.0])


def test_an_element_in_two_pieces_is_split_and_two_in_one_are_merged() -> None:
    truths = [true_box(0, 0, 100, 100), true_box(200, 0, 300, 100), true_box(310, 0, 410, 100)]
    halves = [true_box(0, 0, 50, 100), true_box(50, 0, 100, 100), true_box(200, 0, 410, 100)]
    score = score_page(truths, [as_found(half) for half in halves], AS_COMPOSED)
    assert (score.split, score.merged, score.missed, score.false) == (1, 1, 0, 0)
    assert (score.there, score.found, score.tight) == (3, 3, 0)


def test_what_is_not_found_is_missed_and_what_is_nothing_is_false() -> None:
    score = score_page([true_box(0, 0, 100, 100)], [as_found(true_box(300, 300, 340, 340))], AS_COMPOSED)
    assert (score.missed, score.false) == (1, 1)


@pytest.mark.parametrize("unwanted", [True, False])
def test_a_title_counts_neither_as_there_nor_as_found(unwanted: bool) -> None:
    title, element = true_box(0, 0, 300, 40, wanted=False), true_box(0, 100, 100, 200)
    found = [as_found(title, kind=Kind.WORDS, unwanted=unwanted), as_found(element)]
    score = score_page([title, element], found, AS_COMPOSED)
    assert score.all_right
    assert (score.titles, score.titles_known) == (1, int(unwanted))


def test_a_pdf_read_finer_is_scored_in_the_pixels_it_was_composed_in() -> None:
    truth = true_box(10, 10, 110, 60)
    finer = as_found(true_box(20, 20, 220, 120))
    score = score_page([truth], [finer], (0.5, 0.5))
    assert score.all_right
    assert score.masks == [1.0]


def test_things_that_overlap_can_count_as_one() -> None:
    piled = [true_box(0, 0, 100, 100, cluster=0), true_box(60, 60, 160, 160, cluster=0)]
    (one, alone) = sorted(with_clusters_as_one([*piled, true_box(300, 0, 340, 40)]), key=lambda t: t.box)
    assert one.box == (0, 0, 160, 160)
    assert one.mask.sum() == 2 * 100 * 100 - 40 * 40
    assert alone.box == (300, 0, 340, 40)


def test_a_title_that_came_in_two_is_no_false_find() -> None:
    title = true_box(0, 0, 300, 40, wanted=False)
    halves = [as_found(true_box(0, 0, 120, 40)), as_found(true_box(160, 0, 300, 40))]
    score = score_page([title], halves, AS_COMPOSED)
    assert (score.found, score.false, score.titles_known) == (0, 0, 0)
