"""Finding a border too faint to see pixel by pixel: the white edge of a stamp on an almost white page.

A step of one level drowns in noise at any one place, but not in the middle value of a whole side. A
border is there where all sides step the same way at the same distance from the picture.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from kitprep.split.surroundings import Surroundings

NEAREST, WIDEST = 0.03, 0.24  # in; widths of a border
PLACES = 48  # along each side
AVERAGED = 4  # raster px on either side of a step
LEAST_STEP = 1.3  # levels of Lab
OVER_NOISE = 3.5  # times the unevenness on both sides of the step
ALIKE = 0.018  # in; how far the widths of the sides may differ
LEAST_SIDES = 3


def with_border(around: Surroundings, corners: NDArray[Any]) -> NDArray[Any] | None:
    """The corners of a rectangle grown by its faint border; None where there is none.

    Parameters
    ----------
    around : Surroundings
        The raster.
    corners : ndarray
        float, shape (4, 2), raster px, clockwise on the screen.
    """
    following = np.roll(corners, -1, axis=0)
    long = np.hypot(*(following - corners).T)
    if long.min() < 4 * AVERAGED:
        return None
    along = (following - corners) / long[:, None]
    outward = np.stack([along[:, 1], -along[:, 0]], 1)
    offsets = np.arange(0.008 * around.px_per_inch + 1.0, WIDEST * around.px_per_inch + AVERAGED + 1, 1.0)
    measured = _profiles(around, corners, along * long[:, None], outward, offsets)
    if measured is None:
        return None
    profiles, distances = measured
    strength, sign = _steps(profiles)
    strength[~_background_beyond(distances, around)] = 0
    first = int(np.searchsorted(offsets, NEAREST * around.px_per_inch))
    strength[:, :first] = 0
    widths = _agreed(offsets, strength, sign, ALIKE * around.px_per_inch)
    if widths is None:
        return None
    moved = outward * widths[:, None]
    return np.asarray(corners + moved + np.roll(moved, 1, axis=0))


def _profiles(
    around: Surroundings,
    corners: NDArray[Any],
    sides: NDArray[Any],
    outward: NDArray[Any],
    offsets: NDArray[Any],
) -> tuple[NDArray[Any], NDArray[Any]] | None:
    """Middle colour of each side at each offset, and distance from the background.

    float, shapes (4, offsets, 3) and (4, offsets).
    """
    rows, cols = around.pixels.shape[:2]
    places = np.linspace(0.06, 0.94, PLACES)
    start = corners[:, None] + places[None, :, None] * sides[:, None]
    x = start[..., :1] + offsets * outward[:, None, :1]
    y = start[..., 1:] + offsets * outward[:, None, 1:]
    if x.min() < 0 or y.min() < 0 or x.max() > cols or y.max() > rows:
        return None
    x, y = x.reshape(-1, len(offsets)), y.reshape(-1, len(offsets))
    lab = around.colours(x, y).reshape(4, PLACES, len(offsets), 3)
    distance = around.sample(x, y).reshape(4, PLACES, len(offsets))
    return np.median(lab, axis=1), np.percentile(distance, 75, axis=1)


def _background_beyond(distances: NDArray[Any], around: Surroundings) -> NDArray[Any]:
    """Where nothing but background lies just further out, so that a gutter is no border; (4, offsets)."""
    limit = around.background.threshold if around.background is not None else 0.0
    beyond = np.zeros(distances.shape, bool)
    for at in range(distances.shape[1] - AVERAGED):
        beyond[:, at] = distances[:, at + 1 : at + 1 + AVERAGED].max(axis=1) <= limit
    return beyond


def _steps(profiles: NDArray[Any]) -> tuple[NDArray[Any], NDArray[Any]]:
    """How strongly each side steps at each offset over its unevenness, and which way; (4, offsets)."""
    count = profiles.shape[1]
    strength, sign = np.zeros((4, count)), np.zeros((4, count))
    for at in range(AVERAGED, count - AVERAGED):
        inner, outer = profiles[:, at - AVERAGED : at], profiles[:, at + 1 : at + 1 + AVERAGED]
        step = inner.mean(axis=1) - outer.mean(axis=1)
        rough = np.maximum(inner.std(axis=1), outer.std(axis=1))
        clear = np.abs(step) - OVER_NOISE * rough
        best = clear.argmax(axis=1)
        rows = np.arange(4)
        strength[:, at] = np.where(np.abs(step[rows, best]) >= LEAST_STEP, clear[rows, best], 0.0)
        sign[:, at] = np.sign(step[rows, best]) * (best + 1)
    return np.clip(strength, 0, None), sign


def _agreed(
    offsets: NDArray[Any], strength: NDArray[Any], sign: NDArray[Any], alike: float
) -> NDArray[Any] | None:
    """The width at which enough sides step the same way; one for each side."""
    best: tuple[float, NDArray[Any]] | None = None
    for side in range(4):
        at = int(strength[side].argmax())
        if strength[side, at] <= 0:
            continue
        near = np.abs(offsets - offsets[at]) <= alike
        same = np.where(near & (sign == sign[side, at]), strength, 0.0)
        there = same.max(axis=1) > 0
        if there.sum() < LEAST_SIDES:
            continue
        widths = offsets[same.argmax(axis=1)]
        widths = np.where(there, widths, np.median(widths[there]))
        total = float(same.max(axis=1).sum())
        if best is None or total > best[0]:
            best = (total, widths)
    return None if best is None else best[1]
