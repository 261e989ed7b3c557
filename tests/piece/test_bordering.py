from __future__ import annotations

import math

import cv2
import numpy as np
import pytest
from piece.drawn_pages import PPI, circle, cut_out, laid_on, opacity_of, page_of, reader, rectangle

from kitprep.errors import BadOption
from kitprep.files.makelist import makelist_text, parse_makelist
from kitprep.lengths import ZERO, WantedSize, inches
from kitprep.piece import make_artwork
from kitprep.piece.fitting import fit_element
from kitprep.piece.wanted import Border, WantedPiece

CREAM = (251, 244, 228)
L_SHAPE = ((100, 100), (160, 100), (160, 200), (260, 200), (260, 260), (100, 260))


def made(outline, border="1/8", bleed=ZERO, colour=CREAM, holes=(), size_px=(400, 400)):
    """A red figure on white with a border, its artwork, and how it was fitted: at its own 300 PPI."""
    opacity = opacity_of([(outline, 1), *((hole, 0) for hole in holes)], size_px)
    page = laid_on(np.full((*size_px[::-1], 3), (200.0, 30.0, 40.0)), opacity, (255, 255, 255))
    element = cut_out(outline, holes)
    size = element.size(PPI)
    wanted = WantedPiece("p01-01", WantedSize(size.width, size.height), border=Border(inches(border), colour))
    fitting = fit_element(element, PPI, wanted)
    return fitting, make_artwork(element, page_of(page), "kit/p01", fitting, bleed, reader(page))


def test_the_border_lies_outside_the_size_asked():
    fitting, artwork = made(circle(200, 200, 90))
    assert fitting.picture.width.inches == pytest.approx(180 / 300, abs=0.01)
    assert artwork.trim.width - fitting.picture.width == 2 * inches("1/8")
    assert fitting.ppi == pytest.approx((300, 300))


@pytest.mark.parametrize("outline", [circle(200, 200, 90), L_SHAPE], ids=["round", "angled"])
def test_the_cut_line_keeps_one_distance_from_the_figure_and_rounds_its_joins(outline):
    fitting, artwork = made(outline)
    figure = np.array([fitting.to_piece(*point) for point in outline], np.float32)
    for x, y in artwork.outline:
        away = -cv2.pointPolygonTest(figure, (float(x), float(y)), True) / 72
        # In a notch the border is rounded out, so there the line is farther off; never nearer.
        assert away > 1 / 8 - 1.5 / 300  # drawn in pixels of 1/300 in, thinned to within half of one
    outer = [(x, y) for x, y in artwork.outline if math.dist((x, y), figure.mean(axis=0)) > 30]
    aways = [-cv2.pointPolygonTest(figure, (float(x), float(y)), True) / 72 for x, y in outer]
    assert np.median(aways) == pytest.approx(1 / 8, abs=0.004)


def test_all_between_the_figure_and_the_cut_has_the_border_s_colour():
    _, artwork = made(circle(200, 200, 90), bleed=inches("1/16"))
    pixels, place = artwork.made.pixels, artwork.made.place
    middle = (pixels.shape[1] / 2, pixels.shape[0] / 2)
    y, x = np.indices(pixels.shape[:2])
    away = np.hypot(x + 0.5 - middle[0], y + 0.5 - middle[1]) - 90
    ring = (away > 2) & (away < (1 / 8 + 1 / 16) * 300 - 2)
    assert (pixels[ring] == (*CREAM, 255)).all()
    assert (pixels[away > (1 / 8 + 1 / 16) * 300 + 2][:, 3] == 0).all()
    assert place[0] == pytest.approx(-72 / 16, abs=0.4)


def test_no_white_of_the_page_is_left_between_figure_and_border():
    _, artwork = made(circle(200, 200, 90), colour=(10, 20, 120))
    pixels = artwork.made.pixels.astype(int)
    y, x = np.indices(pixels.shape[:2])
    away = np.hypot(x + 0.5 - pixels.shape[1] / 2, y + 0.5 - pixels.shape[0] / 2) - 90
    edge = pixels[(np.abs(away) < 4)]
    assert edge[:, 1].max() < 60  # red and blue have little green, the page has all of it


def test_openings_and_what_the_border_encloses_are_filled():
    ring = circle(200, 200, 90)
    _, artwork = made(ring, holes=(circle(200, 200, 40),))
    pixels = artwork.made.pixels
    assert tuple(pixels[pixels.shape[0] // 2, pixels.shape[1] // 2]) == (*CREAM, 255)


def test_a_rectangle_gets_no_border():
    wanted = WantedPiece("p01-01", WantedSize(inches(1), None), border=Border(inches("1/8")))
    with pytest.raises(BadOption, match="cut-out only"):
        fit_element(rectangle(10, 10, 300, 200), PPI, wanted)


def test_a_make_list_keeps_a_border_and_its_colour():
    text = (
        '[[piece]]\nelement = "p04-05"\nsize = "2 in wide"\nborder = "3/16 in"\nborder_colour = "#224466"\n'
    )
    listed = parse_makelist(text)
    assert listed.pieces[0].border == Border(inches("3/16"), (0x22, 0x44, 0x66))
    assert parse_makelist(makelist_text(listed)).pieces[0].border == listed.pieces[0].border
