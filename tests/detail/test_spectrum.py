"""Squares of which the spectrum is known."""

from __future__ import annotations

import numpy as np
import pytest

from kitprep.detail.spectrum import fine_share

ACROSS = 64


def waves(cycles_per_px, axis=1):
    places = np.indices((ACROSS, ACROSS))[axis]
    return (128 + 60 * np.sin(2 * np.pi * cycles_per_px * places + 0.3)).astype(np.float32)


def quiet(count=6):
    return [np.full((ACROSS, ACROSS), 90, np.float32)] * count


@pytest.mark.parametrize("axis", [0, 1])
@pytest.mark.parametrize(("cycles_per_px", "share"), [(0.15, 0), (0.25, 0), (0.38, 1), (0.45, 1)])
def test_only_what_is_finer_than_an_enlarged_picture_can_hold_counts(axis, cycles_per_px, share):
    squares = np.stack([waves(cycles_per_px, axis), *quiet()])
    assert fine_share(squares, 1) == pytest.approx(share, abs=0.02)


def test_noise_that_quiet_squares_have_too_does_not_count():
    rng = np.random.default_rng(7)
    grainy = [square + rng.normal(0, 4, square.shape) for square in [*[waves(0.15)] * 8, *quiet(16)]]
    assert fine_share(np.stack(grainy).astype(np.float32), 8) < 0.1


def test_nothing_but_plain_ground_has_no_fine_detail():
    assert fine_share(np.stack(quiet()), 2) == 0


def test_shade_that_runs_out_of_the_window_is_not_taken_for_detail():
    ramp = np.tile(np.linspace(20, 230, ACROSS, dtype=np.float32), (ACROSS, 1))
    assert fine_share(np.stack([ramp + waves(0.15) * 0.1, *quiet()]), 1) < 0.02
