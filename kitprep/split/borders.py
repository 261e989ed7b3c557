"""Finding a border too faint to see pixel by pixel: the white edge of a stamp on an almost white page.

A step of one level drowns in noise at any one place, but not in the middle value of a whole side. A
border is there where all sides step the same way at the same distance from the picture. Where things throw
shadows, a pale border is found on the shaded sides alone, and is as wide on the others.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from kitprep.split.surroundings import Surroundings

NEAREST, WIDEST = 0.03, 0.24  # in; widths of a border
PLACES = 48  # along each side
AVERAGED = 4  # raster px on either side of a step
LEAST_STEP = 1.3  # levels of Lab
OVER_NOISE = 3.5  # times the unevenness on both sides of the step
ALIKE = 0.018  # in; how far the widths of the sides may differ
LEAST_SIDES = 3
BAND_FROM = 0.013  # in; from a side on: nearer to it pixels are of both sides
ONE_COLOUR = 3.0  # levels of Lab that a band may stray


def with_borders(around: Surroundings, corners: NDArray[Any]) -> list[NDArray[Any] | None]:
    """The corners of rectangles grown by their faint borders; None for one that has none.

    Parameters
    ----------
    around : Surroundings
        The raster.
    corners : ndarray
        float, shape (rectangles, 4, 2), raster px, clockwise on the screen.
    """
    grown: list[NDArray[Any] | None] = [None] * len(corners)
    sides = np.roll(corners, -1, axis=1) - corners
    long = np.hypot(sides[..., 0], sides[..., 1])
    outward = np.stack([sides[..., 1], -sides[..., 0]], -1) / np.maximum(long, 1e-6)[..., None]
    offsets = np.arange(0.008 * around.px_per_inch + 1.0, WIDEST * around.px_per_inch + AVERAGED + 1, 1.0)
    looked_at = np.flatnonzero(
        (long.min(axis=1) >= 4 * AVERAGED) & _on_page(around, corners, outward * offsets[-1])
    )
    if not len(looked_at):
        return grown
    profiles, distances = _profiles(around, corners[looked_at], sides[looked_at], outward[looked_at], offsets)
    strength, sign = _steps(profiles)
    strength[~_background_beyond(distances, around)] = 0
    strength[..., : int(np.searchsorted(offsets, NEAREST * around.px_per_inch))] = 0
    for at in np.flatnonzero(((strength > 0).any(axis=2)).sum(axis=1) >= LEAST_SIDES):
        widths = _agreed(offsets, strength[at], sign[at], ALIKE * around.px_per_inch)
        if widths is not None:
            index = looked_at[at]
            moved = outward[index] * widths[:, None]
            grown[index] = np.asarray(corners[index] + moved + np.roll(moved, 1, axis=0))
    return grown


def with_lit_borders(around: Surroundings, corners: NDArray[Any]) -> list[NDArray[Any] | None]:
    """The corners of rectangles grown by the sides of a border that were left outside.

    On a page with shadows the same border is found on the sides that throw one, and passes for shade on those
    that the light comes from. It is there where a band of one colour runs all round, as wide just inside some
    sides as just outside the others.

    Parameters
    ----------
    around : Surroundings
        The raster, of a page with shadows.
    corners : ndarray
        float, shape (rectangles, 4, 2), raster px, clockwise on the screen.

    Returns
    -------
    list of ndarray or None
        None for a rectangle of which that is not so.
    """
    sides = np.roll(corners, -1, axis=1) - corners
    outward = np.stack([sides[..., 1], -sides[..., 0]], -1)
    outward /= np.maximum(np.hypot(sides[..., 0], sides[..., 1]), 1e-6)[..., None]
    offsets = np.arange(BAND_FROM * around.px_per_inch, WIDEST * around.px_per_inch + 1, 1.0)
    inside = _bands(around, corners, sides, -outward, offsets)
    outside = _bands(around, corners, sides, outward, offsets)
    grown: list[NDArray[Any] | None] = []
    for index in range(len(corners)):
        width = _left_outside(inside[index], outside[index], around.px_per_inch)
        if width is None:
            grown.append(None)
            continue
        moved = outward[index] * width[:, None]
        larger = corners[index] + moved + np.roll(moved, 1, axis=0)
        grown.append(larger if _on_page(around, larger[None], np.zeros((1, 4, 2)))[0] else None)
    return grown


@dataclass(frozen=True, slots=True, eq=False)
class _Bands:
    """What lies just beside the sides of one rectangle, inside or outside of it.

    Parameters
    ----------
    colours : ndarray
        float, shape (4, 3), Lab of each.
    widths : ndarray
        float, shape (4,), raster px that it reaches; infinite where it goes on further than a border does.
    """

    colours: NDArray[Any]
    widths: NDArray[Any]


def _bands(
    around: Surroundings, corners: NDArray[Any], sides: NDArray[Any], way: NDArray[Any], offsets: NDArray[Any]
) -> list[_Bands]:
    middle, _ = _profiles(around, corners, sides, way, offsets)
    same = (np.abs(middle - middle[:, :, :1]) <= ONE_COLOUR).all(axis=-1)
    widths = np.where(same.all(axis=-1), np.inf, offsets[same.argmin(axis=-1)])
    return [_Bands(*one) for one in zip(middle[:, :, 0], widths, strict=True)]


def _left_outside(inside: _Bands, outside: _Bands, px_per_inch: float) -> NDArray[Any] | None:
    """How far each side of a rectangle lies within its border; None where there is no such border."""
    alike = ALIKE * px_per_inch
    within = np.isfinite(inside.widths) & (inside.widths >= NEAREST * px_per_inch)
    for side in np.flatnonzero(within):
        width, colour = inside.widths[side], inside.colours[side]
        found = within & (np.abs(inside.widths - width) <= alike) & _is_colour(inside.colours, colour)
        lost = ~found & (outside.widths >= width - alike) & _is_colour(outside.colours, colour)
        if (found | lost).all() and lost.any():
            return np.where(lost, inside.widths[found].mean(), 0.0)
    return None


def _is_colour(colours: NDArray[Any], colour: NDArray[Any]) -> NDArray[Any]:
    return np.asarray((np.abs(colours - colour) <= 2 * ONE_COLOUR).all(axis=-1))


def _on_page(around: Surroundings, corners: NDArray[Any], outwards: NDArray[Any]) -> NDArray[Any]:
    """Which rectangles stay on the page when each side is moved outwards; bool, shape (rectangles,)."""
    rows, cols = around.pixels.shape[:2]
    ends = np.concatenate([corners + outwards, np.roll(corners, -1, axis=1) + outwards], axis=1)
    return np.asarray(((ends >= 0) & (ends <= (cols, rows))).all(axis=(1, 2)))


def _profiles(
    around: Surroundings,
    corners: NDArray[Any],
    sides: NDArray[Any],
    outward: NDArray[Any],
    offsets: NDArray[Any],
) -> tuple[NDArray[Any], NDArray[Any]]:
    """Middle colour of each side at each offset, and distance from the background.

    float, shapes (rectangles, 4, offsets, 3) and (rectangles, 4, offsets).
    """
    places = np.linspace(0.06, 0.94, PLACES)
    at = (
        corners[..., None, None, :]
        + places[:, None] * sides[..., None, None, :]
        + offsets[:, None, None] * outward[..., None, None, :]
    ).reshape(-1, len(offsets) * PLACES, 2)
    colours, away = around.colours_and_distance(at[..., 0], at[..., 1])
    shape = (*corners.shape[:2], len(offsets), PLACES)
    # numpy sorts 16 bits ten times as fast as 8
    ordered = np.sort(colours.reshape(*shape, 3).swapaxes(-1, -2).astype(np.uint16, order="C"), axis=-1)
    middle = ordered[..., PLACES // 2 - 1 : PLACES // 2 + 1].mean(axis=-1)
    return middle, np.sort(away.reshape(shape), axis=-1)[..., round(0.75 * PLACES)]


def _background_beyond(distances: NDArray[Any], around: Surroundings) -> NDArray[Any]:
    """Where nothing but background lies just further out, so that a gutter is no border."""
    limit = around.background.threshold if around.background is not None else 0.0
    beyond = np.zeros(distances.shape, bool)
    windows = sliding_window_view(distances[..., 1:], AVERAGED, axis=-1)
    beyond[..., :-AVERAGED] = windows.max(axis=-1) <= limit
    return beyond


def _steps(profiles: NDArray[Any]) -> tuple[NDArray[Any], NDArray[Any]]:
    """How strongly each side steps at each offset over its unevenness, and which way."""
    windows = sliding_window_view(profiles, AVERAGED, axis=2)
    mean, rough = windows.mean(axis=-1), windows.std(axis=-1)
    step = mean[:, :, : -AVERAGED - 1] - mean[:, :, AVERAGED + 1 :]
    rough = np.maximum(rough[:, :, : -AVERAGED - 1], rough[:, :, AVERAGED + 1 :])
    clear = np.abs(step) - OVER_NOISE * rough
    best = clear.argmax(axis=-1)[..., None]
    step, clear = (np.take_along_axis(part, best, axis=-1)[..., 0] for part in (step, clear))
    strength, sign = np.zeros(profiles.shape[:3]), np.zeros(profiles.shape[:3])
    inner = np.s_[..., AVERAGED:-AVERAGED]
    strength[inner] = np.where(np.abs(step) >= LEAST_STEP, clear, 0.0).clip(0)
    sign[inner] = np.sign(step) * (best[..., 0] + 1)
    return strength, sign


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
