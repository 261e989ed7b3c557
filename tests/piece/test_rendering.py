from __future__ import annotations

import cv2
import numpy as np
import pytest
from piece.drawn_pages import (
    PPI,
    circle,
    cut_out,
    laid_on,
    opacity_of,
    page_of,
    reader,
    rectangle,
    texture,
    wanted,
)

from kitprep.lengths import ZERO, inches
from kitprep.piece import make_artwork, render_piece
from kitprep.piece.fitting import fit_element, output_pixels
from kitprep.piece.wanted import Fit

SIZE = 700, 800


def rendered(element, pixels, width, height=None, fit=Fit.COVER, bleed=ZERO, size_px=None):
    fitting = fit_element(element, PPI, wanted(width, height, fit))
    artwork = make_artwork(element, page_of(pixels), "kit/p01", fitting, bleed, reader(pixels))
    return render_piece(artwork, size_px or output_pixels(fitting)[0], reader(pixels))


def page_with(element, colours=None):
    return laid_on(
        texture(*SIZE) if colours is None else colours, opacity_of([(element.outline, 1)], SIZE), (255,) * 3
    )


def test_an_upright_element_keeps_its_pixels_value_for_value():
    element = rectangle(100, 120, 420, 500)
    pixels = page_with(element)
    assert (rendered(element, pixels, inches("2")) == pixels[120:620, 100:520]).all()


def test_a_crop_keeps_the_pixels_of_its_part():
    element = rectangle(100, 120, 420, 500)
    pixels = page_with(element)
    assert (rendered(element, pixels, inches("1.4"), inches("1.4")) == pixels[160:580, 100:520]).all()


def test_a_leaning_element_comes_out_straight_to_half_a_pixel():
    element = rectangle(120, 130, 400, 480, 3.5)
    marks = [(60, 60), (340, 60), (200, 240), (60, 420), (340, 420)]  # in the element, from its corner
    upright = fit_element(element, PPI, wanted(inches("4"), None))
    to_page = upright.to_piece.inverse
    point = upright.trim.width.points / 400
    colours = np.full((800, 700, 3), 90.0)
    discs = [circle(*to_page(x * point, y * point), 9) for x, y in marks]
    colours += opacity_of([(disc, 1) for disc in discs], SIZE)[..., None] * 120
    picture = rendered(element, page_with(element, colours), inches("4"), size_px=(400, 480))
    for x, y in marks:
        patch = picture[y - 20 : y + 20, x - 20 : x + 20, 0].astype(float) - 90
        rows, cols = np.mgrid[y - 20 : y + 20, x - 20 : x + 20] + 0.5
        found = (cols * patch).sum() / patch.sum(), (rows * patch).sum() / patch.sum()
        assert np.hypot(found[0] - x, found[1] - y) < 0.5
    assert picture[2:-2, 2:-2].max() < 225  # no corner of the white page came along


def test_bleed_is_the_picture_mirrored_and_never_the_page():
    element = rectangle(100, 120, 300, 400)
    picture = rendered(element, page_with(element), inches(1), bleed=inches("0.06"), size_px=(336, 436))
    assert picture.shape == (436, 336, 3)
    assert picture.max() < 215
    first = 18 + 2  # the bleed, and the two pixels inside the edge that the mirror covers
    assert (picture[:, first - 1 :: -1][:, :18] == picture[:, first : first + 18]).all()


@pytest.mark.parametrize("fit", [Fit.INSIDE, Fit.COVER, Fit.STRETCH])
@pytest.mark.parametrize("size_px", [(150, 90), (1000, 611)])
def test_any_size_in_pixels_is_made_exactly(fit, size_px):
    element = rectangle(100.3, 120.6, 420.4, 500.2)
    assert rendered(element, page_with(element), inches(2), inches(1), fit, size_px=size_px).shape == (
        *size_px[::-1],
        3,
    )


def test_stretching_shows_all_of_the_element():
    element = rectangle(100, 120, 400, 400)
    colours = np.full((800, 700, 3), 60.0)
    colours[120:220, 100:200] = 200
    picture = rendered(
        element, page_with(element, colours), inches(2), inches(1), Fit.STRETCH, size_px=(400, 200)
    )
    assert picture[10:40, 10:90].min() > 190
    assert picture[10:40, 110:390].max() < 70


def test_a_cut_out_is_rendered_clear_around_its_outline():
    disc = circle(300, 300, 150)
    pixels = laid_on(np.full((800, 700, 3), 90.0), opacity_of([(disc, 1)], SIZE), (255,) * 3)
    picture = rendered(cut_out(disc), pixels, inches(1))
    assert picture.shape == (300, 300, 4)
    assert picture[2, 2, 3] == 0 and picture[150, 150, 3] == 255
    assert np.abs(picture[picture[..., 3] > 8][:, :3].astype(int) - 90).max() <= 4  # 2 % of the page's white


class TestTooFineForAnyPrinter:
    element = rectangle(50, 50, 600, 700)
    pixels = page_with(element)

    def artwork(self, width, bleed=ZERO, **keep):
        fitting = fit_element(self.element, PPI, wanted(width, None))
        return make_artwork(
            self.element, page_of(self.pixels), "kit/p01", fitting, bleed, reader(self.pixels), **keep
        )

    def test_720_ppi_are_shown_by_the_page_itself(self):
        assert self.artwork(inches("600/720")).made is None

    def test_more_is_reduced_to_600(self):
        artwork = self.artwork(inches("1/2"), inches("1/20"))
        assert artwork.made.pixels.shape == (410, 360, 3)  # (7/12 + 1/10, 1/2 + 1/10) in at 600 PPI
        assert artwork.patches == ()
        inner = artwork.made.pixels[30:-30, 30:-30].astype(int)
        expected = cv2.resize(self.pixels[50:750, 50:650], (300, 350), interpolation=cv2.INTER_AREA)
        assert np.abs(inner - expected)[4:-4, 4:-4].mean() < 3

    def test_all_pixels_are_kept_when_asked(self):
        assert self.artwork(inches("1/2"), keep_all_pixels=True).made is None

    def test_a_cut_out_is_reduced_too(self):
        disc = circle(300, 300, 240)
        pixels = laid_on(texture(*SIZE), opacity_of([(disc, 1)], SIZE), (255,) * 3)
        fitting = fit_element(cut_out(disc), PPI, wanted(inches("1/2"), None))
        made = make_artwork(cut_out(disc), page_of(pixels), "kit/p01", fitting, ZERO, reader(pixels)).made
        assert made.pixels.shape[1] == pytest.approx((made.place[2] - made.place[0]) / 72 * 600, abs=1)
