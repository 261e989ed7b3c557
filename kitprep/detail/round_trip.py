"""How far a picture can be shrunk and enlarged again before it changes.

For each factor k the picture is shrunk by k and enlarged back; what a tile loses by that is E_k. In the
tiles with the finest detail the loss starts at the factor by which the picture could be smaller: a picture
enlarged s times loses almost nothing until k passes s. The finest tiles speak for the picture, not those
of the highest contrast: a beetle in focus may sit among blossoms that are not.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.detail.tiles import Luma, Tiles

FACTORS = (1.15, 1.3, 1.5, 1.75, 2.0, 2.35, 2.75, 3.2, 3.8, 4.5, 5.5, 7.0)
FINE_AT = FACTORS.index(2.0)  # what is lost here is fine detail
TOP_SHARE = 0.97  # quantile: tiles with more fine detail than this share of tiles are looked at
LEAST_TOP = 6  # tiles looked at in a small element
QUIET_SHARE = 0.1  # quantile: what the quietest tiles lose is noise
LOST = 0.3  # the share of the greatest loss that marks the factor
FACTOR_OF_CROSSING = (0.55, 1.61)  # gain and power, fitted to pictures enlarged 2 to 4 times


@dataclass(frozen=True, slots=True)
class RoundTrip:
    """What a round trip says.

    Parameters
    ----------
    factor : float
        By how much the picture could be smaller, 1 or more.
    contrast : float
        Root of the mean loss at the largest factor in the tiles looked at, above noise; in values of luma.
    noise : float
        Root of the mean loss at that factor in the quietest tiles.
    """

    factor: float
    contrast: float
    noise: float


def losses(luma: Luma, tiles: Tiles, factor: float) -> NDArray[np.float32]:
    """What each measured tile loses by one round trip: mean square, float32, shape (tiles,)."""
    rows, cols = luma.shape
    small_px = max(round(cols / factor), 2), max(round(rows / factor), 2)
    small = cv2.resize(luma, small_px, interpolation=cv2.INTER_AREA)
    back = cv2.resize(small, (cols, rows), interpolation=cv2.INTER_CUBIC)
    return tiles.means(np.square(luma - back, dtype=np.float32))


def round_trip(tiles: Tiles) -> RoundTrip:
    """Measure how far the picture in some tiles can be shrunk."""
    lost = np.stack([losses(tiles.luma, tiles, factor) for factor in FACTORS])
    quiet = np.quantile(lost, QUIET_SHARE, axis=1)
    fine = lost[FINE_AT]
    top = fine >= min(np.quantile(fine, TOP_SHARE), np.sort(fine)[-min(LEAST_TOP, len(fine))])
    above = np.maximum(lost[:, top].mean(axis=1) - quiet, 0)
    shares = np.sqrt(above / max(float(above[-1]), 1e-9))
    return RoundTrip(_factor(_crossing(shares)), math.sqrt(above[-1]), math.sqrt(quiet[-1]))


def _crossing(shares: NDArray[np.float64]) -> float:
    """The factor at which the share of the greatest loss passes `LOST`, interpolated in its logarithm."""
    if shares[0] >= LOST:
        return FACTORS[0] * min(max(LOST / float(shares[0]), 0.5), 1.0)
    over = int(np.argmax(shares >= LOST))
    low, high = math.log(FACTORS[over - 1]), math.log(FACTORS[over])
    part = (LOST - shares[over - 1]) / (shares[over] - shares[over - 1])
    return math.exp(low + float(part) * (high - low))


def _factor(crossing: float) -> float:
    gain, power = FACTOR_OF_CROSSING
    return max(1.0, gain * math.pow(crossing, power))
