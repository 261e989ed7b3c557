"""Finds pictures enlarged by repeating pixels (nearest neighbour), which stay sharp to every other test.

Steps of brightness then stand alone, and only at places a whole number of new pixels apart, so counts of
such steps by column and by row have a strong period.
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.detail.tiles import Luma

LEAST_STEP = 10.0
NOISES_STEP = 5.0
SPECTRUM = 8192  # points of the transform: frequencies 1/8192 per pixel apart
LOWEST_FREQUENCY = 0.16  # per pixel: enlarged six times
CAP = 3.0  # times the mean count: one long straight edge is not a period
_LOWEST = round(LOWEST_FREQUENCY * SPECTRUM)
BOTH_ALONE = 0.40
BOTH_PEAK = 0.5
BOTH_COUNT = 20
BOTH_PLACES = 6.0
ONE_ALONE = 0.6
ONE_PEAK = 0.75
ONE_COUNT = 40
ONE_PLACES = 8.0
NEAR_PEAK = 0.8  # the lowest frequency this near the peak is the period itself, not a multiple


def doubled_share(luma: Luma, noise: float) -> float | None:
    """The share of pixels per length that are real in a picture of repeated pixels; None if it is not one.

    Parameters
    ----------
    luma : ndarray
        uint8, shape (rows, cols).
    noise : float
        Standard deviation of the noise, in values of luma.
    """
    least = int(max(LEAST_STEP, NOISES_STEP * noise))
    axes = [_Axis(luma, least), _Axis(np.ascontiguousarray(luma.T), least)]
    lesser = np.minimum(axes[0].periods, axes[1].periods)
    if all(axis.passes(BOTH_ALONE, BOTH_COUNT, BOTH_PLACES) for axis in axes) and lesser.max() >= BOTH_PEAK:
        return _lowest(lesser)
    for axis in axes:
        if axis.passes(ONE_ALONE, ONE_COUNT, ONE_PLACES) and axis.periods.max() >= ONE_PEAK:
            return _lowest(axis.periods)
    return None


class _Axis:
    """Steps of brightness from one column to the next."""

    def __init__(self, luma: Luma, least: int) -> None:
        size = cv2.absdiff(luma[:, 1:], luma[:, :-1])
        inner, before, after = size[:, 1:-1], size[:, :-2], size[:, 2:]
        step = (inner > least) & (inner >= cv2.max(before, after))
        alone = step & (cv2.add(before, after) < inner - inner // 2)
        steps, self.count = cv2.countNonZero(step.view(np.uint8)), cv2.countNonZero(alone.view(np.uint8))
        self.alone = self.count / steps if steps else 0.0
        counts = cv2.reduce(alone.view(np.uint8), 0, cv2.REDUCE_SUM, dtype=cv2.CV_32S)[0].astype(np.float64)
        weights = np.minimum(counts, CAP * max(float(counts.mean()), 1e-9))
        total = max(float(weights.sum()), 1e-9)
        self.places = total**2 / max(float((weights**2).sum()), 1e-9)
        self.periods = np.abs(np.fft.rfft(weights, SPECTRUM))[_LOWEST:] / total

    def passes(self, alone: float, count: int, places: float) -> bool:
        """Whether enough steps stand alone, in enough places."""
        return self.alone >= alone and self.count >= count and self.places >= places


def _lowest(periods: NDArray[np.float64]) -> float:
    return float(_LOWEST + np.argmax(periods >= NEAR_PEAK * periods.max())) / SPECTRUM


def noise_of(luma: Luma, side: int = 8) -> float:
    """The standard deviation of a picture's noise, from its quietest squares.

    The filter [1 -2 1; -2 4 -2; 1 -2 1] answers to noise and to little else (Immerkaer 1996).
    """
    kernel = np.array([1, -2, 1], dtype=np.float32)
    answer = np.square(np.asarray(cv2.sepFilter2D(luma, cv2.CV_32F, kernel, kernel), np.float32))
    cols, rows = max(luma.shape[1] // side, 1), max(luma.shape[0] // side, 1)
    squares = cv2.resize(answer, (cols, rows), interpolation=cv2.INTER_AREA)
    return 1.12 * float(np.sqrt(np.quantile(squares, 0.1))) / 6
