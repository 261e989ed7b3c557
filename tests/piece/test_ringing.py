"""What JPEG spreads into the edge of a cut-out is taken out, and the picture is not."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from piece.drawn_pages import as_jpeg, cut_out, laid_on, texture
from piece.test_growing import (
    BRICK,
    FLOWER,
    OPACITY,
    SIXTEENTH,
    SIZE,
    WHITE,
    made,
    on_page,
    page_colour_got_in,
)
from skimage import data

from kitprep.lengths import ZERO
from kitprep.piece.cleaning import core_of
from kitprep.piece.ringing import without_ringing

SOLID = OPACITY >= 0.5
DEPTH = cv2.distanceTransform(SOLID.astype(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
BAND = (DEPTH > 1) & (DEPTH <= 12)
ROWS, COLS = np.mgrid[0:560, 0:600]
NAVY = np.full((560, 600, 3), (20.0, 30.0, 80.0))
PICTURES = {
    "photograph": cv2.resize(data.chelsea(), SIZE).astype(float),
    "contour": np.where((DEPTH <= 3)[..., None], (30.0, 25.0, 40.0), BRICK),
    "hatching": BRICK - np.where((DEPTH <= 14) & ((ROWS + COLS) % 8 < 3), 25.0, 0)[..., None],
    "dots": BRICK - np.where((COLS % 14 < 4) & (ROWS % 14 < 4), 40.0, 0)[..., None],
    "shaded rim": BRICK - 20 * np.exp(-DEPTH / 5)[..., None],
    "slope": BRICK + (COLS[..., None] - 300) / 8,
}


def error(got: np.ndarray, truth: np.ndarray, where: np.ndarray) -> float:
    return float(np.sqrt(np.square(got[where][:, :3] - truth[where]).mean()))


@pytest.mark.parametrize("quality", [90, 75])
@pytest.mark.parametrize("ground", [WHITE, (246, 238, 220), (150, 180, 140)], ids=["white", "cream", "green"])
@pytest.mark.parametrize("bleed", [ZERO, SIXTEENTH], ids=["no bleed", "bleed"])
@pytest.mark.parametrize("figure", [BRICK, NAVY], ids=["brick", "navy"])
def test_laid_on_red_hardly_a_pixel_of_a_plain_cut_out_off_a_jpeg_page_is_nearer_to_the_page(
    quality: int, ground: tuple[int, int, int], bleed: object, figure: np.ndarray
) -> None:
    pixels = as_jpeg(laid_on(figure, OPACITY, ground), quality)
    nearer = page_colour_got_in(pixels, ground, figure, OPACITY, cut_out(FLOWER), bleed)
    edge = (cv2.dilate((OPACITY > 0).astype(np.uint8), np.ones((3, 3))) > 0) & (DEPTH < 6)
    assert (nearer[edge] > 3).mean() < 0.002


@pytest.mark.parametrize("name", PICTURES)
@pytest.mark.parametrize("quality", [95, 90, 75])
def test_the_edge_of_a_picture_comes_no_less_true_than_jpeg_left_it(name: str, quality: int) -> None:
    truth = np.clip(PICTURES[name], 0, 255)
    pixels = as_jpeg(laid_on(truth, OPACITY, WHITE), quality)
    core, _ = core_of(pixels.astype(np.float32), SOLID)
    cleaned = without_ringing(pixels.astype(np.float32), SOLID, core)
    assert error(cleaned, truth, BAND & core) <= error(pixels, truth, BAND & core)


def test_a_rim_that_is_shaded_softly_keeps_its_shade() -> None:
    truth = np.clip(PICTURES["shaded rim"], 0, 255)
    pixels = as_jpeg(laid_on(truth, OPACITY, WHITE), 75)
    fitting, artwork = made(pixels, cut_out(FLOWER), ZERO)
    got, rim = on_page(artwork, fitting)[..., :3], (DEPTH > 1) & (DEPTH <= 3)
    assert abs(float((got[rim] - truth[rim]).mean())) < 2  # of 13 levels of shade


@pytest.mark.parametrize("colours", [BRICK, texture(*SIZE)], ids=["plain", "texture"])
def test_on_a_page_without_jpeg_nothing_is_changed(colours: np.ndarray) -> None:
    pixels = laid_on(colours, OPACITY, WHITE).astype(np.float32)
    core, _ = core_of(pixels, SOLID)
    assert np.array_equal(without_ringing(pixels, SOLID, core), pixels)


def test_on_a_page_with_a_texture_of_its_own_nothing_is_changed() -> None:
    paper = 225 + cv2.GaussianBlur(np.random.default_rng(2).normal(0, 12, (560, 600)), (0, 0), 1.5)
    mixed = BRICK * OPACITY[..., None] + paper[..., None] * (1 - OPACITY[..., None])
    pixels = as_jpeg(np.rint(np.clip(mixed, 0, 255)).astype(np.uint8), 90).astype(np.float32)
    core, _ = core_of(pixels, SOLID)
    assert np.array_equal(without_ringing(pixels, SOLID, core), pixels)


def test_a_strip_too_narrow_to_have_deep_pixels_is_left_as_it_is() -> None:
    solid = np.zeros((200, 400), bool)
    solid[90:106, 50:350] = True
    pixels = as_jpeg(np.where(solid[..., None], (170, 60, 40), (255, 255, 255)).astype(np.uint8), 75)
    assert np.array_equal(without_ringing(pixels.astype(np.float32), solid, solid), pixels.astype(np.float32))


def test_a_pale_rim_around_which_a_darker_line_is_drawn_inside_keeps_its_colour() -> None:
    colours = np.where(((DEPTH > 3) & (DEPTH <= 6))[..., None], BRICK - 25, BRICK)
    fitting, artwork = made(laid_on(colours, OPACITY, WHITE), cut_out(FLOWER), SIXTEENTH)
    rim = (DEPTH > 1) & (DEPTH <= 2)
    assert np.abs(on_page(artwork, fitting)[rim][:, :3] - BRICK[rim]).max() <= 2
