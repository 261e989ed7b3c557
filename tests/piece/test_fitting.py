from __future__ import annotations

import math
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from piece.drawn_pages import PPI, cut_out, rectangle, wanted

from kitprep.errors import BadOption, BadSize
from kitprep.lengths import Length, Size, inches, mm
from kitprep.pages import PagePpi, PpiSource
from kitprep.piece.fitting import fit_element, output_pixels
from kitprep.piece.wanted import Fit

sides_px = st.integers(20, 3000)
lengths = st.integers(Length(0).emu + 914_400 // 8, 914_400 * 40).map(Length)
angles = st.floats(-20, 20)
shares = st.floats(0, 1)


@given(sides_px, sides_px, angles, lengths, lengths, shares, shares)
def test_a_cover_crop_has_the_size_asked_and_never_leaves_its_element(w, h, angle, width, height, x, y):
    fitting = fit_element(rectangle(50, 60, w, h, angle), PPI, wanted(width, height, Fit.COVER, (x, y)))
    assert fitting.trim == Size(width, height)
    left, top, right, bottom = fitting.reach
    slack = 1e-6 * max(width.points, height.points)
    assert left <= slack and top <= slack
    assert right >= width.points - slack and bottom >= height.points - slack
    assert 0 <= fitting.cropped[0] <= fitting.cropped[2] <= 1
    assert fitting.distortion == 0


@given(sides_px, sides_px, lengths, lengths)
def test_fitted_inside_a_piece_never_exceeds_the_size_and_touches_it_in_one_direction(w, h, width, height):
    trim = fit_element(rectangle(0, 0, w, h), PPI, wanted(width, height, Fit.INSIDE)).trim
    assert trim.fits_in(Size(width, height))
    assert trim.width == width or trim.height == height
    assert abs(trim.width.emu * h - trim.height.emu * w) <= max(w, h)


@given(sides_px, sides_px, lengths, st.sampled_from(Fit))
def test_a_width_alone_keeps_the_proportions_whatever_the_fit(w, h, width, fit):
    fitting = fit_element(rectangle(0, 0, w, h), PPI, wanted(width, None, fit))
    assert fitting.trim.width == width
    assert abs(fitting.trim.height.emu - Fraction(width.emu * h, w)) <= 1
    assert fitting.shown_px == pytest.approx((w, h))


@given(sides_px, sides_px, angles)
def test_the_corners_of_a_leaning_element_land_on_the_corners_of_the_trim(w, h, angle):
    element = rectangle(500, 400, w, h, angle)
    fitting = fit_element(element, PPI, wanted(inches(3), None))
    right, bottom = fitting.trim.width.points, fitting.trim.height.points
    half_a_pixel = 0.5 * right / w + 1e-9
    for corner, goal in zip(element.outline, ((0, 0), (right, 0), (right, bottom), (0, bottom)), strict=True):
        assert math.dist(fitting.to_piece(*corner), goal) <= half_a_pixel * 1.5


def test_four_corners_that_are_no_parallelogram_are_met_halfway():
    element = rectangle(0, 0, 400, 300)
    bent = ((0.0, 0.0), (400.0, 0.0), (408.0, 300.0), (0.0, 300.0))
    fitting = fit_element(
        type(element)(1, element.box, bent, 0.0, element.kind, True), PPI, wanted(inches(4), None)
    )
    assert fitting.shown_px[0] == pytest.approx(404)
    missed = [fitting.to_piece(*corner) for corner in bent]
    point = fitting.trim.width.points / 404
    assert max(abs(x - goal) / point for (x, _), goal in zip(missed, (0, 288, 288, 0), strict=True)) < 4.1


def test_at_its_own_size_an_element_has_the_resolution_of_its_page():
    element = rectangle(10, 20, 900, 600)
    own = element.size(PPI)
    assert fit_element(element, PPI, wanted(own.width, own.height)).ppi == pytest.approx((300, 300))


def test_a_page_with_different_resolutions_across_and_down_keeps_round_things_round():
    ppi = PagePpi(300.0, 150.0, PpiSource.FILE)
    trim = fit_element(rectangle(0, 0, 600, 300), ppi, wanted(inches(1), None)).trim
    assert trim == Size(inches(1), inches(1))


def test_the_focus_moves_the_crop_and_stops_at_the_edge():
    element = rectangle(0, 0, 1000, 500)
    square = inches(1), inches(1)
    crops = [fit_element(element, PPI, wanted(*square, Fit.COVER, focus)).cropped for focus in
             (None, (0.4, 0.5), (0.0, 0.5), (1.0, 0.0))]  # fmt: skip
    assert [crop[0] for crop in crops] == pytest.approx([0.25, 0.15, 0.0, 0.5])
    assert all(crop[2] - crop[0] == pytest.approx(0.5) for crop in crops)


def test_stretching_tells_how_far_the_proportions_are_bent():
    fitting = fit_element(rectangle(0, 0, 300, 300), PPI, wanted(inches("2"), inches("1"), Fit.STRETCH))
    assert fitting.distortion == pytest.approx(1.0)
    assert fitting.ppi == pytest.approx((150, 300))


def test_a_cut_out_is_fitted_by_its_upright_box():
    diamond = cut_out(((100.0, 0.0), (200.0, 150.0), (100.0, 300.0), (0.0, 150.0)))
    fitting = fit_element(diamond, PPI, wanted(None, inches(1)))
    assert fitting.trim.text() == "0.667 x 1 in"
    assert fitting.to_piece(100, 0) == pytest.approx((24, 0))


def test_a_rectangle_given_by_more_than_four_points_is_straightened_by_its_angle():
    corners = rectangle(300, 300, 400, 200, 4).outline
    middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in pairwise(corners)]
    many = (corners[0], middles[0], corners[1], middles[1], corners[2], middles[2], corners[3])
    element = rectangle(300, 300, 400, 200, 4)
    same = type(element)(1, element.box, many, 4.0, element.kind, True)
    assert fit_element(same, PPI, wanted(inches(2), None)).shown_px == pytest.approx((400, 200))


@pytest.mark.parametrize("focus", [(1.2, 0.5), (0.5, -0.1)])
def test_a_focus_outside_the_picture_is_refused(focus):
    with pytest.raises(BadOption, match="focus cannot be"):
        fit_element(rectangle(0, 0, 10, 10), PPI, wanted(inches(1), inches(1), Fit.COVER, focus))


def test_a_side_over_48_inches_is_refused_in_the_unit_it_was_asked_in():
    with pytest.raises(BadSize, match="'49 in wide' is over 48 in"):
        fit_element(rectangle(0, 0, 10, 10), PPI, wanted(inches(49), None))


class TestOutputPixels:
    element = rectangle(0, 0, 600, 400)

    def test_fewer_than_300_ppi_keep_the_pixels_there_are(self):
        size_px, ppi = output_pixels(fit_element(self.element, PPI, wanted(inches(4), None)))
        assert size_px == (600, 400)
        assert ppi == pytest.approx((150, 150))

    def test_more_than_300_ppi_are_reduced_to_300(self):
        size_px, ppi = output_pixels(fit_element(self.element, PPI, wanted(inches(1), None)))
        assert size_px == (300, 200)
        assert ppi == pytest.approx((300, 300))

    def test_a_resolution_asked_for_is_made_even_by_enlarging(self):
        size_px, ppi = output_pixels(fit_element(self.element, PPI, wanted(inches(4), None)), 200)
        assert size_px == (800, 533)
        assert ppi == pytest.approx((200, 200), abs=0.2)

    def test_the_resolution_recorded_makes_the_pixels_exactly_the_size(self):
        fitting = fit_element(self.element, PPI, wanted(mm(83), None))
        size_px, ppi = output_pixels(fitting)
        assert size_px[0] / ppi[0] == pytest.approx(fitting.trim.width.inches, rel=1e-12)
        assert size_px[1] / ppi[1] == pytest.approx(fitting.trim.height.inches, rel=1e-12)
