"""How wide the sharpest edges of a picture are.

An edge of a picture that holds all its resolution rises within about a pixel; enlarging widens it by the
factor. Edges in focus are the narrow ones, so a low quantile speaks.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.detail.tiles import Luma, Tiles

MOST_EDGES = 1500
SPREAD_PX = 8  # one edge from each square of this side, so that one hard contour does not speak for all
REACH_PX = 12.0  # a profile runs this far to both sides
STEP_PX = 0.25
LINES_PX = (-1.5, -0.75, 0.0, 0.75, 1.5)  # parallel lines whose mean is the profile
LEAST_GRADIENT = 2.0
LEAST_CONTRAST = 20.0
NOISES_GRADIENT = 2.0
NOISES_CONTRAST = 6.0
NARROW_SHARE = 0.03  # quantile of the widths that is the answer
FACTOR_OF_WIDTH = (1.18, 0.97)  # gain and power, fitted to pictures enlarged 2 to 4 times


@dataclass(frozen=True, slots=True)
class EdgeWidth:
    """What edges say.

    Parameters
    ----------
    factor : float
        By how much the picture could be smaller, 1 or more, by the width of its sharpest edges.
    count : int
        How many edges had a clear profile.
    """

    factor: float
    count: int


def edge_width(tiles: Tiles, noise: float) -> EdgeWidth:
    """Measure the edges inside some tiles.

    Parameters
    ----------
    tiles : Tiles
    noise : float
        Standard deviation of the noise, in values of luma.
    """
    x, y, across, down = _edges(tiles, max(LEAST_GRADIENT, NOISES_GRADIENT * noise))
    if not len(x):
        return EdgeWidth(1.0, 0)
    profiles = _profiles(tiles.luma, x, y, across, down)
    width, contrast = _widths(profiles)
    clear = contrast > max(LEAST_CONTRAST, NOISES_CONTRAST * noise)
    if not clear.any():
        return EdgeWidth(1.0, 0)
    gain, power = FACTOR_OF_WIDTH
    narrow = max(float(np.quantile(width[clear], NARROW_SHARE)), 0.0)
    return EdgeWidth(max(1.0, gain * narrow**power), int(clear.sum()))


_Values = NDArray[np.float32]


def _edges(tiles: Tiles, least: float) -> tuple[_Values, _Values, _Values, _Values]:
    """Places (x, y) of thinned edges and their unit gradients, the strongest of each square."""
    smooth = cv2.GaussianBlur(tiles.luma, (0, 0), 1.0)
    gx = np.asarray(cv2.Sobel(smooth, cv2.CV_32F, 1, 0, scale=1 / 8), dtype=np.float32)
    gy = np.asarray(cv2.Sobel(smooth, cv2.CV_32F, 0, 1, scale=1 / 8), dtype=np.float32)
    strength = cv2.magnitude(gx, gy)
    inside = cv2.resize(
        tiles.measured.astype(np.uint8), strength.shape[::-1], interpolation=cv2.INTER_NEAREST
    )
    strength = np.where((inside > 0) & (strength > least), strength, 0)
    rows, cols = (length // SPREAD_PX * SPREAD_PX for length in strength.shape)
    whole = strength[:rows, :cols].reshape(rows // SPREAD_PX, SPREAD_PX, cols // SPREAD_PX, SPREAD_PX)
    squares = whole.transpose(0, 2, 1, 3).reshape(-1, SPREAD_PX * SPREAD_PX)
    best = squares.argmax(axis=1)
    value = squares[np.arange(len(squares)), best]
    chosen = np.argsort(-value, kind="stable")[:MOST_EDGES]
    chosen = chosen[value[chosen] > 0]
    y = chosen // (cols // SPREAD_PX) * SPREAD_PX + best[chosen] // SPREAD_PX
    x = chosen % (cols // SPREAD_PX) * SPREAD_PX + best[chosen] % SPREAD_PX
    across, down = gx[y, x] / strength[y, x], gy[y, x] / strength[y, x]
    return x.astype(np.float32), y.astype(np.float32), across, down


def _profiles(luma: Luma, x: _Values, y: _Values, across: _Values, down: _Values) -> _Values:
    """Luma along the gradient of each edge: float32, shape (edges, places), rising through the middle."""
    along = np.arange(-REACH_PX, REACH_PX + STEP_PX / 2, STEP_PX, dtype=np.float32)
    total = np.zeros((len(x), len(along)), dtype=np.float32)
    for aside in LINES_PX:
        places_x = (x - down * aside)[:, None] + across[:, None] * along
        places_y = (y + across * aside)[:, None] + down[:, None] * along
        total += cv2.remap(
            luma,
            places_x.astype(np.float32),
            places_y.astype(np.float32),
            cv2.INTER_LINEAR,
            borderMode=cv2.BORDER_REPLICATE,
        )
    return total / np.float32(len(LINES_PX))


def _widths(profiles: _Values) -> tuple[_Values, _Values]:
    """The 10 to 90 % width of each profile's rise about its middle, in pixels, and its contrast."""
    middle = profiles.shape[1] // 2
    falls = np.diff(profiles, axis=1) <= 0
    right = falls[:, middle:]
    end = middle + np.where(right.any(axis=1), right.argmax(axis=1), right.shape[1])
    left = falls[:, :middle][:, ::-1]
    start = middle - np.where(left.any(axis=1), left.argmax(axis=1), left.shape[1])
    each = np.arange(len(profiles))
    low, high = profiles[each, start], profiles[each, end]
    contrast = high - low
    share = (profiles - low[:, None]) / np.maximum(contrast, 1e-6)[:, None]
    places = _place_of(0.9, share, start, end) - _place_of(0.1, share, start, end)
    return places * np.float32(STEP_PX), contrast


def _place_of(level: float, share: _Values, start: NDArray[np.int64], end: NDArray[np.int64]) -> _Values:
    """Where each profile passes a level between `start` and `end`, interpolated."""
    place = np.arange(share.shape[1])
    below = (place >= start[:, None]) & (place < end[:, None]) & (share <= level)
    last = np.minimum(start + np.maximum(below.sum(axis=1), 1) - 1, share.shape[1] - 2)
    each = np.arange(len(share))
    before, after = share[each, last], share[each, last + 1]
    part = (level - before) / np.maximum(after - before, 1e-6)
    return np.asarray(last + np.clip(part, 0, 1), dtype=np.float32)
