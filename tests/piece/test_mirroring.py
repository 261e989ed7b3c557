from __future__ import annotations

import math
from itertools import pairwise

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from piece.drawn_pages import (
    PPI,
    as_jpeg,
    circle,
    laid_on,
    opacity_of,
    page_of,
    reader,
    rectangle,
    texture,
    wanted,
)
from piece.rasterising import rasterise

from kitprep.lengths import ZERO, inches
from kitprep.piece import make_artwork
from kitprep.piece.artwork import BleedSource
from kitprep.piece.fitting import fit_element
from kitprep.piece.wanted import Fit

BLEED = inches("1/16")
WHITE = (255, 255, 255)
DARKEST_OF_A_FRINGE = 215  # the drawn texture reaches 190; a pixel mixed a third with white is lighter


def drawn(element, grounds=WHITE, quality=None, size=(700, 800)):
    """A page with one textured element, its edge anti-aliased, perhaps JPEG-coded."""
    pixels = laid_on(texture(*size), opacity_of([(element.outline, 1)], size), grounds)
    return pixels if quality is None else as_jpeg(pixels, quality)


def artwork_of(element, pixels, width, height=None, fit=Fit.COVER, bleed=BLEED):
    fitting = fit_element(element, PPI, wanted(width, height, fit))
    return make_artwork(element, page_of(pixels), "kit/p01", fitting, bleed, reader(pixels))


def cut_off_by(picture, ppi, right, down):
    """What lies within the knife's cut when it misses by the bleed in a direction."""
    past = round(BLEED.pixels(ppi))
    rows, cols = picture.shape[:2]
    x, y = past + round(right * past), past + round(down * past)
    return picture[y : rows - 2 * past + y, x : cols - 2 * past + x]


EIGHT_WAYS = [(math.sin(math.radians(a)), math.cos(math.radians(a))) for a in range(0, 360, 45)]


@pytest.mark.parametrize("ppi", [150, 300, 600])
@pytest.mark.parametrize(
    "element",
    [rectangle(100, 120, 420, 500), rectangle(100.4, 120.7, 420, 500), rectangle(120, 130, 400, 480, 3.5)],
    ids=["upright", "between pixels", "leaning"],
)
@pytest.mark.parametrize("quality", [None, 85], ids=["png", "jpeg"])
def test_cut_off_by_the_bleed_in_eight_directions_no_page_white_shows(element, quality, ppi):
    pixels = drawn(element, quality=quality)
    picture = rasterise(artwork_of(element, pixels, inches("1.4")), pixels, ppi)
    for right, down in EIGHT_WAYS:
        assert cut_off_by(picture, ppi, right, down).max() < DARKEST_OF_A_FRINGE


def test_the_same_cut_without_bleed_made_would_show_white():
    element = rectangle(100, 120, 420, 500)
    pixels = drawn(element)
    picture = rasterise(artwork_of(element, pixels, inches("1.4"), bleed=ZERO), pixels, 300)
    around = np.pad(picture, ((19, 19), (19, 19), (0, 0)), constant_values=255)
    assert all(cut_off_by(around, 300, *way).max() > DARKEST_OF_A_FRINGE for way in EIGHT_WAYS)


def test_an_edge_worn_by_less_than_a_32nd_of_an_inch_shows_no_page_either():
    element = rectangle(100, 120, 420, 500)
    nicks = [(((100, y), (106, y + 4), (100, y + 8)), 0) for y in range(140, 600, 30)]
    pixels = laid_on(texture(700, 800), opacity_of([(element.outline, 1), *nicks], (700, 800)), WHITE)
    picture = rasterise(artwork_of(element, pixels, inches("1.4")), pixels, 300)
    assert cut_off_by(picture, 300, 0, 0).max() < DARKEST_OF_A_FRINGE
    assert cut_off_by(picture, 300, -1, 0).max() < DARKEST_OF_A_FRINGE


@pytest.mark.parametrize("radius", [6, 20])
@pytest.mark.parametrize("angle", [0, -3])
def test_a_rounded_corner_shows_no_page_where_the_mirrors_meet(radius, angle):
    element = rectangle(100, 120, 420, 500, angle)
    middle = np.mean(element.outline, axis=0)
    inner = [tuple(corner + (middle - corner) / np.abs(middle - corner) * radius) for corner in
             map(np.array, rectangle(100, 120, 420, 500).outline)]  # fmt: skip
    turned = [_turned(point, middle, angle) for point in inner]
    shape = cv2.convexHull(np.array([p for x, y in turned for p in circle(x, y, radius, 90)], np.float32))
    size = (700, 800)
    opacity = opacity_of([(tuple(map(tuple, shape[:, 0].tolist())), 1)], size)
    pixels = laid_on(texture(*size), opacity, WHITE)
    picture = rasterise(artwork_of(element, pixels, inches("1.4")), pixels, 300)
    for right, down in EIGHT_WAYS:
        assert cut_off_by(picture, 300, right, down).max() < DARKEST_OF_A_FRINGE


def _turned(point, about, angle_deg):
    turn = math.radians(angle_deg)
    x, y = np.array(point) - about
    return (
        float(about[0] + x * math.cos(turn) - y * math.sin(turn)),
        float(about[1] + x * math.sin(turn) + y * math.cos(turn)),
    )


def test_the_bleed_never_shows_a_neighbour_that_shares_the_edge():
    element, size = rectangle(100, 100, 300, 400), (700, 600)
    pixels = laid_on(texture(*size), opacity_of([(element.outline, 1)], size), (0, 255, 0))
    artwork = artwork_of(element, pixels, inches(1))
    assert artwork.sources == {BleedSource.MIRROR}
    assert rasterise(artwork, pixels, 300)[..., 1].max() < 200  # the texture's own green stays under 190


def test_a_crop_out_of_a_larger_paper_bleeds_into_what_really_surrounds_it():
    element = rectangle(50, 60, 600, 600)
    pixels = drawn(element)
    artwork = artwork_of(element, pixels, inches(1), inches("1.5"))
    assert artwork.sources == {BleedSource.SURROUNDINGS, BleedSource.MIRROR}
    picture = rasterise(artwork, pixels, 400)
    # 400 px across come from 600 / 1.5 = 400 px of the page, centred: the crop starts at x = 150.
    there = pixels[60:660, 150 - 25 : 550 + 25]
    apart = np.abs(picture[25:-25][10:-10].astype(int) - there[10:-10])
    assert apart.mean() < 1 and apart.max() < 10


def test_a_mirror_stands_at_the_edge_and_the_picture_is_not_moved():
    element = rectangle(100, 100, 300, 300)
    pixels = drawn(element)
    past = 18
    artwork = artwork_of(element, pixels, inches(1), bleed=inches("0.06"))
    picture = rasterise(artwork, pixels, 300).astype(int)
    apart = np.abs(picture[past + 4 : -past - 4, past + 4 : -past - 4] - pixels[104:396, 104:396])
    assert apart.mean() < 1 and apart.max() < 10
    row = picture[200]
    # The mirror stands 1.5 px inside, so pixel 19 is its own image.
    mirrored = [abs(row[past + 1 - k] - row[past + 1 + k]).max() for k in range(1, past)]
    assert max(mirrored) <= 4


def test_without_bleed_there_is_one_patch_and_no_page_pixel_is_read():
    def unread(box):
        raise AssertionError(f"{box} was read")

    element = rectangle(100, 100, 300, 300)
    fitting = fit_element(element, PPI, wanted(inches(1), None))
    artwork = make_artwork(element, page_of(drawn(element)), "kit/p01", fitting, ZERO, unread)
    assert len(artwork.patches) == 1
    assert artwork.sources == {BleedSource.NONE}


@given(st.integers(8, 200), st.integers(8, 200), st.sampled_from(["1/32", "1/8", "1/2"]))
def test_patches_fill_trim_and_bleed_without_a_gap_even_for_a_tiny_element(w, h, bleed):
    element = rectangle(300, 300, w, h)
    pixels = np.full((900, 900, 3), 90, np.uint8)
    artwork = artwork_of(element, pixels, inches("1/2"), bleed=inches(bleed))
    for axis, length in ((0, artwork.trim.width.points), (1, artwork.trim.height.points)):
        spans = sorted({(patch.clip[axis], patch.clip[axis + 2]) for patch in artwork.patches[1:]})
        assert spans[0][0] <= -artwork.bleed.points + 1e-9
        assert max(stop for _, stop in spans) >= length + artwork.bleed.points - 1e-9
        assert all(after[0] <= before[1] + 1e-9 for before, after in pairwise(spans))
