"""How wide the sharpest edges of a picture are.

An edge of a picture that holds all its resolution rises within about a pixel; enlarging widens it by the
factor. Edges in focus are the narrow ones, so a low quantile speaks.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.detail.tiles import AROUND_PX, Tiles

TILES = 96  # tiles with the most to see whose edges are looked at
SPREAD_PX = 8  # one edge from each square of this side, so that one hard contour does not speak for all
REACH_PX = 12.0  # a profile runs this far to both sides
STEP_PX = 0.25
LINES_PX = (-1.5, -0.75, 0.0, 0.75, 1.5)  # parallel lines whose mean is the profile
LEAST_GRADIENT = 2.0
LEAST_CONTRAST = 20.0
NOISES_GRADIENT = 2.0
NOISES_CONTRAST = 6.0
USUAL_SHARE = 0.1  # quantile of the widths that is less upset by a single edge
NARROW = 6  # so many widths may be less than the answer: noise makes a few
FACTOR_OF_WIDTH = (0.88, 1.48)  # gain and power, fitted to pictures enlarged 2 to 4 times


@dataclass(frozen=True, slots=True)
class EdgeWidth:
    """What edges say.

    Parameters
    ----------
    factor : float
        By how much the picture could be smaller, 1 or more, by the width of its sharpest edges.
    usual_px : float
        How wide the edges are that are sharp, though not the very sharpest: 0 where there are none.
    count : int
        How many edges had a clear profile.
    """

    factor: float
    usual_px: float
    count: int


def edge_width(tiles: Tiles, rank: NDArray[np.float32], noise: float) -> EdgeWidth:
    """Measure the edges inside some tiles.

    Parameters
    ----------
    tiles : Tiles
    rank : ndarray
        float32, shape (tiles,): how much there is to see in each measured tile.
    noise : float
        Standard deviation of the noise, in values of luma.
    """
    squares = tiles.with_surroundings(np.argsort(rank, kind="stable")[-TILES:])
    column = squares.reshape(-1, squares.shape[2])
    x, y, across, down = _edges(column, tiles.side, max(LEAST_GRADIENT, NOISES_GRADIENT * noise))
    if not len(x):
        return EdgeWidth(1.0, 0.0, 0)
    width, contrast = _widths(_profiles(column, x, y, across, down))
    clear = width[contrast > max(LEAST_CONTRAST, NOISES_CONTRAST * noise)]
    if not len(clear):
        return EdgeWidth(1.0, 0.0, 0)
    gain, power = FACTOR_OF_WIDTH
    place = min(NARROW, len(clear) - 1)
    narrow = max(float(np.partition(clear, place)[place]), 0.0)
    usual_px = max(float(np.quantile(clear, USUAL_SHARE)), 0.0)
    return EdgeWidth(max(1.0, gain * narrow**power), usual_px, len(clear))


_Values = NDArray[np.float32]


def _edges(column: _Values, side: int, least: float) -> tuple[_Values, _Values, _Values, _Values]:
    """Places (x, y) of thinned edges and their unit gradients, the strongest of each part of each tile.

    `column` has the tiles one above the other, each of `side` pixels amid `AROUND_PX` of its surroundings.
    """
    smooth = cv2.GaussianBlur(column, (0, 0), 1.0)
    gx = np.asarray(cv2.Sobel(smooth, cv2.CV_32F, 1, 0, scale=1 / 8), dtype=np.float32)
    gy = np.asarray(cv2.Sobel(smooth, cv2.CV_32F, 0, 1, scale=1 / 8), dtype=np.float32)
    strength = np.asarray(cv2.magnitude(gx, gy))
    part = min(SPREAD_PX, side // 2)
    inner = slice(AROUND_PX, AROUND_PX + side // part * part)
    tiles = strength.reshape(-1, column.shape[1], column.shape[1])[:, inner, inner]
    count, parts = len(tiles), side // part
    parted = tiles.reshape(count, parts, part, parts, part).transpose(0, 1, 3, 2, 4)
    parted = parted.reshape(-1, part * part)
    best = parted.argmax(axis=1)
    strong = np.nonzero(parted[np.arange(len(parted)), best] > least)[0]
    tile, down, across = np.unravel_index(strong, (count, parts, parts))
    y = tile * column.shape[1] + AROUND_PX + down * part + best[strong] // part
    x = AROUND_PX + across * part + best[strong] % part
    unit = strength[y, x]
    return x.astype(np.float32), y.astype(np.float32), gx[y, x] / unit, gy[y, x] / unit


def _profiles(column: _Values, x: _Values, y: _Values, across: _Values, down: _Values) -> _Values:
    """Brightness along the gradient of each edge: float32, shape (edges, places), rising through the middle."""
    along = np.arange(-REACH_PX, REACH_PX + STEP_PX / 2, STEP_PX, dtype=np.float32)
    total = np.zeros((len(x), len(along)), dtype=np.float32)
    for aside in LINES_PX:
        places_x = (x - down * aside)[:, None] + across[:, None] * along
        places_y = (y + across * aside)[:, None] + down[:, None] * along
        total += cv2.remap(
            column,
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
