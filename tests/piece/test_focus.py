from __future__ import annotations

import cv2
import numpy as np
import pytest
from skimage import data

from kitprep.lengths import Size, WantedSize, inches
from kitprep.pages import Element, Kind, PagePpi, PixelBox, PpiSource
from kitprep.piece.fitting import fit_element
from kitprep.piece.focus import guess_focus, interest_of
from kitprep.piece.wanted import Fit, WantedPiece


def focus_of(pixels, share):
    return guess_focus(*interest_of(pixels, np.ones(pixels.shape[:2], bool)), share)


def scene(at, size=(600, 300)):
    """A plain evening with one bright moth on it."""
    pixels = np.full((size[1], size[0], 3), (40, 44, 70), np.uint8)
    for k in range(6):
        cv2.circle(pixels, (at, size[1] // 2), 40 - 6 * k, (200, 160 - 20 * k, 90 + 20 * k), 3, cv2.LINE_AA)
    return pixels


@pytest.mark.parametrize("at", [60, 200, 300, 450, 540])
def test_the_crop_holds_the_only_figure_whole(at):
    x, y = focus_of(scene(at), (0.5, 1.0))
    left, right = (np.clip(x, 0.25, 0.75) + side for side in (-0.25, 0.25))
    assert left <= (at - 42) / 600
    assert (at + 42) / 600 <= right
    assert y == 0.5


def test_the_figure_is_kept_clear_of_the_crop_s_edges():
    # Anywhere from .2 to .37 would hold it; what the crop cuts through must be the plain evening.
    x, _ = focus_of(scene(170), (0.4, 1.0))
    assert abs(170 / 600 - x) < 0.08


def test_a_figure_at_the_top_is_found_as_well():
    _, y = focus_of(np.ascontiguousarray(scene(70).transpose(1, 0, 2)), (1.0, 0.5))
    assert y == pytest.approx(0.25, abs=0.02)


@pytest.mark.parametrize("name", ["brick", "grass", "gravel"])
def test_a_pattern_keeps_its_middle(name):
    pixels = np.dstack([getattr(data, name)()] * 3)
    assert focus_of(pixels, (0.5, 1.0)) == (0.5, 0.5)


def test_what_is_outside_the_mask_does_not_draw_the_crop():
    pixels = scene(520)
    mask = np.zeros(pixels.shape[:2], bool)
    mask[:, :400] = True
    with_noise = pixels.copy()
    cv2.circle(with_noise, (120, 150), 30, (230, 220, 180), 4, cv2.LINE_AA)
    x, _ = guess_focus(*interest_of(with_noise, mask), (0.4, 1.0))
    assert x < 0.35


@pytest.mark.parametrize("pixels", [np.full((5, 400, 3), 90, np.uint8), np.full((1, 1, 3), 9, np.uint8)])
def test_nothing_to_see_is_the_middle(pixels):
    assert focus_of(pixels, (0.3, 0.9)) == (0.5, 0.5)


def test_a_focus_that_is_given_is_never_guessed_away():
    element = Element(
        1, PixelBox(0, 0, 600, 300), ((0, 0), (600, 0), (600, 300), (0, 300)), 0.0, Kind.PAPER, True
    )
    wanted = WantedPiece("p01-01", WantedSize(inches(1), inches(1)), fit=Fit.COVER, focus=(0.9, 0.5))

    def never(share):
        raise AssertionError(share)

    fitting = fit_element(element, PagePpi(300, 300, PpiSource.FILE), wanted, never)
    assert fitting.trim == Size(inches(1), inches(1))
    assert fitting.cropped[2] == 1
