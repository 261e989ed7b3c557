from __future__ import annotations

import math

import cv2
import numpy as np
import pytest
from piece.drawn_pages import (
    PPI,
    as_jpeg,
    circle,
    cut_out,
    laid_on,
    opacity_of,
    page_of,
    reader,
    texture,
    wanted,
)
from piece.rasterising import rasterise
from skimage.color import deltaE_ciede2000, rgb2lab

from kitprep.lengths import ZERO, from_pixels, inches
from kitprep.piece import make_artwork
from kitprep.piece.artwork import BleedSource
from kitprep.piece.fitting import fit_element
from kitprep.piece.growing import coverage
from kitprep.piece.wanted import Fit

SIZE = 600, 560
RED, WHITE, DARK = (255, 0, 0), (255, 255, 255), (40, 40, 60)
FLOWER = tuple(
    (300 + (180 + 40 * math.sin(9 * t)) * math.cos(t), 280 + (180 + 40 * math.sin(9 * t)) * math.sin(t))
    for t in np.linspace(0, 2 * math.pi, 1440, endpoint=False)
)
HOLE = circle(320, 260, 25)
OPACITY = opacity_of([(FLOWER, 1)], SIZE)
BRICK = np.full((560, 600, 3), (170.0, 60.0, 40.0))
SIXTEENTH = inches("1/16")


def made(pixels, element, bleed, width=None, **fitting):
    fitted = fit_element(element, PPI, wanted(width or from_pixels(element.box.width, 300), **fitting))
    return fitted, make_artwork(element, page_of(pixels), "kit/p01", fitted, bleed, reader(pixels))


def on_page(artwork, fitting, shape=(560, 600)):
    """The made pixels put back where they lie on the page: float, shape (rows, cols, 4)."""
    left, top = (round(v) for v in fitting.to_piece.inverse(*artwork.made.place[:2]))
    full = np.zeros((*shape, 4))
    rows, cols = artwork.made.pixels.shape[:2]
    full[top : top + rows, left : left + cols] = artwork.made.pixels
    return full


def difference(colours, to):
    """CIEDE2000, from scikit-image, which checks it against the pairs of Sharma, Wu and Dalal 2005."""
    return deltaE_ciede2000(rgb2lab(colours / 255), rgb2lab(np.broadcast_to(to, colours.shape) / 255))


def page_colour_got_in(pixels, ground, colours, opacity, element, bleed):
    """By how much each pixel, laid on red, is nearer to the old page than the truth is."""
    fitting, artwork = made(pixels, element, bleed)
    got = on_page(artwork, fitting)
    share = got[..., 3:] / 255
    true_share = np.ones_like(share) if bleed else opacity[..., None]
    seen, truth = (
        c * a + np.array(RED, float) * (1 - a) for c, a in ((got[..., :3], share), (colours, true_share))
    )
    return difference(truth, np.array(ground, float)) - difference(seen, np.array(ground, float))


@pytest.mark.parametrize("ground", [WHITE, (246, 238, 220)], ids=["white", "cream"])
@pytest.mark.parametrize("bleed", [ZERO, SIXTEENTH], ids=["no bleed", "bleed"])
def test_laid_on_red_a_cut_out_has_no_fringe_of_its_old_page(ground, bleed):
    pixels = laid_on(BRICK, OPACITY, ground)
    nearer = page_colour_got_in(pixels, ground, BRICK, OPACITY, cut_out(FLOWER), bleed)
    edge = cv2.dilate((OPACITY > 0).astype(np.uint8), np.ones((3, 3))) > 0
    deep = cv2.erode((OPACITY == 1).astype(np.uint8), np.ones((9, 9))) > 0
    assert nearer[edge & ~deep].max() < 3


def test_a_jpeg_page_leaves_no_more_of_itself_at_the_edge_than_its_noise_inside():
    pixels = as_jpeg(laid_on(BRICK, OPACITY, WHITE), 90)
    nearer = page_colour_got_in(pixels, WHITE, BRICK, OPACITY, cut_out(FLOWER), SIXTEENTH)
    depth = cv2.distanceTransform((OPACITY >= 0.5).astype(np.uint8), cv2.DIST_L2, 5)
    rim, inside = nearer[(depth > 0) & (depth <= 2)], nearer[(depth > 4) & (depth <= 8)]
    assert np.quantile(rim, 0.99) < max(3.0, np.quantile(inside, 0.99) + 1)


def test_the_bleed_off_a_jpeg_page_has_the_hue_of_the_picture_not_a_paler_one():
    pixels = as_jpeg(laid_on(BRICK, OPACITY, WHITE), 75)
    fitting, artwork = made(pixels, cut_out(FLOWER), SIXTEENTH)
    got = on_page(artwork, fitting)
    bleed = got[(OPACITY == 0) & (got[..., 3] == 255)][:, :3].mean(axis=0)
    assert difference(bleed[None, None], np.array([170.0, 60.0, 40.0])).item() < 1


def test_a_thin_dark_contour_is_kept():
    colours = BRICK.copy()
    depth = cv2.distanceTransform((OPACITY >= 0.5).astype(np.uint8), cv2.DIST_L2, 5)
    colours[depth <= 3] = (30, 25, 40)
    fitting, artwork = made(laid_on(colours, OPACITY, WHITE), cut_out(FLOWER), SIXTEENTH)
    got = on_page(artwork, fitting)
    contour = (depth > 0.9) & (depth <= 2.1)
    assert np.abs(got[contour][:, :3] - (30, 25, 40)).max() <= 6  # a tenth of the page's white would be 22
    assert np.abs(got[(OPACITY == 0) & (got[..., 3] == 255)][:, :3] - (30, 25, 40)).max() <= 6


def test_the_core_keeps_the_pixels_of_the_page():
    colours = texture(*SIZE)
    pixels = laid_on(colours, OPACITY, WHITE)
    fitting, artwork = made(pixels, cut_out(FLOWER), SIXTEENTH)
    deep = cv2.erode((OPACITY == 1).astype(np.uint8), np.ones((9, 9))) > 0
    assert (on_page(artwork, fitting)[deep][:, :3] == pixels[deep]).all()


def test_cut_a_sixteenth_off_in_eight_directions_a_cut_out_shows_no_white():
    pixels = laid_on(texture(*SIZE), OPACITY, WHITE)
    fitting, artwork = made(pixels, cut_out(FLOWER), SIXTEENTH)
    picture = rasterise(artwork, pixels, 300, ground=WHITE)
    past = SIXTEENTH.pixels(300)
    origin = fitting.to_piece.inverse(-SIXTEENTH.points, -SIXTEENTH.points)
    for turn in np.arange(0, 2 * math.pi, math.pi / 4):
        # The knife may be off by the bleed, less the half pixel of its soft outer edge.
        off = (past - 1) * np.array([math.cos(turn), math.sin(turn)]) - origin
        line = np.array(FLOWER) + off
        inside = coverage([tuple(map(tuple, line))], picture.shape[1::-1]) > 0.999
        assert picture[inside].max() < 215


def test_bleed_is_as_wide_as_asked_and_no_wider():
    disc = circle(300, 280, 150)
    pixels = laid_on(BRICK, opacity_of([(disc, 1)], SIZE), WHITE)
    fitting, artwork = made(pixels, cut_out(disc), SIXTEENTH)
    rows, cols = np.mgrid[0:560, 0:600] + 0.5
    out = np.hypot(cols - 300, rows - 280) - 150
    alpha = on_page(artwork, fitting)[..., 3]
    past = SIXTEENTH.pixels(300)
    assert alpha[out < past - 1.5].min() == 255
    assert alpha[out > past + 1.5].max() == 0
    assert artwork.sources == {BleedSource.GROWN}


def test_the_bleed_has_no_streaks():
    """Along a line parallel to the edge, far out, colour changes slowly even where the edge is noisy."""
    noisy = np.clip(np.random.default_rng(5).normal(120, 50, (560, 600, 3)), 0, 220)
    disc = circle(300, 280, 150)
    pixels = laid_on(noisy, opacity_of([(disc, 1)], SIZE), WHITE)
    fitting, artwork = made(pixels, cut_out(disc), SIXTEENTH)
    got = on_page(artwork, fitting)[..., :3]
    turns = np.arange(0, 2 * math.pi, 1 / 166)
    x, y = (300 + 166 * np.cos(turns)).astype(int), (280 + 166 * np.sin(turns)).astype(int)
    assert np.abs(np.diff(got[y, x], axis=0)).mean() < 3


def test_a_hole_stays_open_and_clean():
    opacity = opacity_of([(FLOWER, 1), (HOLE, 0)], SIZE)
    pixels = laid_on(BRICK, opacity, WHITE)
    fitting, artwork = made(pixels, cut_out(FLOWER, (HOLE,)), SIXTEENTH)
    got = on_page(artwork, fitting)
    assert got[260, 320, 3] == 0
    ring = (opacity > 0.1) & (np.hypot(*(np.mgrid[0:560, 0:600] - np.array([260, 320])[:, None, None])) < 40)
    assert np.abs(got[ring][:, :3] - (170, 60, 40)).max() <= 2
    assert np.abs(got[ring][:, 3] / 255 - opacity[ring]).max() < 0.35


def test_hairs_too_thin_to_cut_are_not_grown_into_a_blot():
    hair = tuple((x, y) for x, y in ((298, 20), (302, 20), (302, 200), (298, 200)))
    body = circle(300, 300, 120)
    opacity = opacity_of([(hair, 1), (body, 1)], SIZE)
    pixels = laid_on(BRICK, opacity, WHITE)
    element = cut_out(_joined(opacity))
    fitting, artwork = made(pixels, element, SIXTEENTH)
    alpha = on_page(artwork, fitting)[..., 3]
    assert alpha[60, 299:301].min() > 200
    assert alpha[60, 280:294].max() == 0


def _joined(opacity):
    found, _ = cv2.findContours((opacity >= 0.5).astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    return tuple((float(x) + 0.5, float(y) + 0.5) for x, y in max(found, key=len)[:, 0])


def test_a_transparent_page_gives_the_cut_out_its_own_alpha():
    pixels = np.dstack([np.rint(BRICK), np.rint(OPACITY * 255)]).astype(np.uint8)
    pixels[OPACITY == 0, :3] = (0, 255, 0)  # what a program may hide under clear pixels
    fitting, artwork = made(pixels, cut_out(FLOWER), ZERO)
    got = on_page(artwork, fitting)
    assert np.abs(got[..., 3] - OPACITY * 255).max() <= 26
    assert np.abs(got[got[..., 3] > 0][:, :3] - (170, 60, 40)).max() <= 2


def test_an_opening_that_is_clear_on_the_page_stays_open_though_no_one_called_it_a_hole():
    opacity = opacity_of([(FLOWER, 1), (HOLE, 0)], SIZE)
    pixels = np.dstack([np.rint(BRICK), np.rint(opacity * 255)]).astype(np.uint8)
    fitting, artwork = made(pixels, cut_out(FLOWER), SIXTEENTH)
    near = np.hypot(*(np.mgrid[0:560, 0:600] - np.array([260, 320])[:, None, None])) < 40
    assert np.abs(on_page(artwork, fitting)[..., 3] / 255 - opacity)[near].max() < 0.1


def test_a_see_through_wash_bleeds_as_see_through_as_it_is():
    pixels = np.dstack([np.rint(BRICK), np.rint(OPACITY * 128)]).astype(np.uint8)
    fitting, artwork = made(pixels, cut_out(FLOWER), SIXTEENTH)
    got = on_page(artwork, fitting)
    beyond = (cv2.dilate((OPACITY > 0).astype(np.uint8), np.ones((11, 11))) > 0) & (OPACITY == 0)
    assert np.abs(got[beyond][:, 3] - 128).max() <= 2


def test_a_cropped_cut_out_bleeds_into_its_own_picture():
    pixels = laid_on(texture(*SIZE), OPACITY, WHITE)
    fitting, artwork = made(pixels, cut_out(FLOWER), SIXTEENTH, inches(1), height=inches(2), fit=Fit.COVER)
    assert all(-0.01 <= x <= 72.01 and -0.01 <= y <= 144.01 for x, y in artwork.outline)
    left = round(fitting.to_piece.inverse(0, 0)[0])
    got = on_page(artwork, fitting)
    assert (got[280, left - 8 : left + 8, :3] == pixels[280, left - 8 : left + 8]).all()
    assert got[280, left - 8, 3] == 255


def test_the_outline_is_told_in_piece_coordinates():
    disc = circle(300, 280, 150, 90)
    pixels = laid_on(BRICK, opacity_of([(disc, 1)], SIZE), WHITE)
    _, artwork = made(pixels, cut_out(disc), ZERO, inches(2))
    xs, ys = zip(*artwork.outline, strict=True)
    assert (min(xs), max(xs)) == pytest.approx((0, 144), abs=0.01)
    assert (min(ys), max(ys)) == pytest.approx((0, 144), abs=0.5)


def test_coverage_is_the_true_one_to_a_sixteenth_on_average():
    drawn = coverage([FLOWER], SIZE)
    edge = (OPACITY > 0) & (OPACITY < 1)
    error = np.abs(drawn - OPACITY)[edge]
    assert error.mean() < 1 / 16  # each pixel has sixteen samples
    assert error.max() < 0.3
    assert drawn.sum() == pytest.approx(OPACITY.sum(), rel=0.002)


def veiled():
    """A dark-rimmed figure with an opaque coat, a mottled see-through veil in it and a clear opening."""
    colours = texture(*SIZE)
    rows, cols = np.mgrid[0:560, 0:600] + 0.5
    veil = np.hypot(cols - 290, rows - 280) < 90
    mottled = np.random.default_rng(8).integers(0, 256, (560, 600))
    alpha = np.where(veil, mottled, 255) * OPACITY
    alpha = np.where(np.hypot(cols - 390, rows - 200) < 12, 0, alpha)
    colours[veil] = 230
    return np.dstack([np.rint(colours), np.rint(alpha)]).astype(np.uint8)


def depth_inside(shape):
    return cv2.distanceTransform((shape >= 0.5).astype(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_PRECISE)


@pytest.mark.parametrize("bleed", [ZERO, SIXTEENTH], ids=["no bleed", "bleed"])
@pytest.mark.parametrize("holes", [(), (circle(390, 200, 12),)], ids=["hole not named", "hole named"])
def test_inside_its_rim_a_cut_out_of_a_transparent_page_is_the_page_exactly(bleed, holes):
    pixels = veiled()
    fitting, artwork = made(pixels, cut_out(FLOWER, holes), bleed)
    got, deep = on_page(artwork, fitting), depth_inside(OPACITY) > 2
    assert (got[deep][:, 3] == pixels[deep][:, 3]).all()
    shown = deep & (pixels[..., 3] > 0)
    assert (got[shown] == pixels[shown]).all()


def test_without_bleed_a_cut_out_of_a_transparent_page_is_the_page_to_its_soft_edge():
    pixels = veiled()
    fitting, artwork = made(pixels, cut_out(FLOWER), ZERO)
    got, shown = on_page(artwork, fitting), pixels[..., 3] > 0
    assert (got[shown] == pixels[shown]).all()
    assert got[~shown][:, 3].max() == 0


def test_around_a_figure_with_a_veil_the_bleed_is_opaque():
    fitting, artwork = made(veiled(), cut_out(FLOWER), SIXTEENTH)
    away = cv2.distanceTransform((OPACITY < 0.5).astype(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
    bleed = (away > 0) & (away < SIXTEENTH.pixels(300) - 1)
    assert on_page(artwork, fitting)[bleed][:, 3].min() == 255


@pytest.mark.parametrize("wide_px", [2, 3])
def test_a_dark_contour_of_a_light_figure_on_a_transparent_page_colours_the_bleed(wide_px):
    colours = np.full((560, 600, 3), 240.0)
    contour = depth_inside(OPACITY) <= wide_px
    colours[contour] = (20, 20, 30)
    pixels = np.dstack([colours, np.rint(OPACITY * 255)]).astype(np.uint8)
    fitting, artwork = made(pixels, cut_out(FLOWER), SIXTEENTH)
    got = on_page(artwork, fitting)
    beyond = (OPACITY == 0) & (got[..., 3] == 255)
    assert np.quantile(np.abs(got[beyond][:, :3] - (20, 20, 30)), 0.99) <= 6
    assert (got[contour & (OPACITY == 1)][:, :3] == (20, 20, 30)).all()


def test_a_see_through_pane_told_as_a_hole_is_kept_and_another_element_in_a_hole_is_not():
    opacity = opacity_of([(FLOWER, 1), (HOLE, 0), (circle(320, 260, 10), 1)], SIZE)
    pane = np.hypot(*(np.mgrid[0:560, 0:600] + 0.5 - np.array([340, 220])[:, None, None])) < 20
    pixels = np.dstack([np.rint(BRICK), np.rint(np.where(pane, 102, opacity * 255))]).astype(np.uint8)
    fitting, artwork = made(pixels, cut_out(FLOWER, (HOLE, circle(220, 340, 20))), ZERO)
    got = on_page(artwork, fitting)
    assert (got[pane] == pixels[pane]).all()
    assert got[255:265, 315:325, 3].max() == 0
