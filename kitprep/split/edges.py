"""Where the straight edges of a rectangle lie, to a fraction of a pixel.

Across each side, profiles of the distance from the background are taken; the edge is where a profile
passes half of the height it reaches just inside. A robust line through these places is the side.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.split.surroundings import Surroundings

REACH = 0.035  # in; how far the edge is looked for on either side of where it is expected
FAR_REACH = 0.09  # in; the same where ripples or unevenness hide it
SHADE_REACH = 0.16  # in; the same through a hard, flat shadow
STEP = 0.5  # raster px between places on a profile
NEAR_LINE = 0.006  # in; places this near the line bear it out
STRAIGHT = 0.06  # degrees; less is a rounding error of the pixels, not a lean
SHADE_COUNTS = 0.25  # of a step counts where it leads into what may be shade
FIRST_STEP = 0.5  # of the strongest: the first step inwards as high as this is the edge
LEAST_SEEN = 0.2  # of the places; a side of which less is seen is not fitted
PLACES = 96  # along each side; half of them for a first look
AT_ONCE = 256  # sides sampled together; OpenCV maps no more than 32,767 columns
CORNER_SHARE = 0.07  # of a side, kept clear of at its ends


@dataclass(frozen=True, slots=True, eq=False)
class Sides:
    """Fitted sides of rectangles, each in its own frame; arrays of shape (rectangles, 4).

    Parameters
    ----------
    offset : ndarray
        Raster px from the expected side at its middle, outwards.
    slope : ndarray
        Outward px per px along the side.
    seen : ndarray
        Share of places at which there was an edge; 0 where a side is left as it is.
    near : ndarray
        Share of those that bear the line out.
    """

    offset: NDArray[Any]
    slope: NDArray[Any]
    seen: NDArray[Any]
    near: NDArray[Any]


def fit_rectangles(
    around: Surroundings,
    corners: NDArray[Any],
    reach_inches: float = REACH,
    held: Sequence[bool] = (False, False, False, False),
) -> tuple[NDArray[Any], Sides]:
    """Move the corners of rectangles to their true edges.

    Parameters
    ----------
    around : Surroundings
        The raster.
    corners : ndarray
        float, shape (rectangles, 4, 2), (x, y) in raster px, clockwise on the screen.
    reach_inches : float
        How far the edges are looked for at first.
    held : sequence of bool
        Top, right, bottom, left: sides to be left where they are.

    Returns
    -------
    ndarray, Sides
        The corners moved, and how well each side was seen.
    """
    reach = max(3.0, reach_inches * around.px_per_inch)
    coarse = STEP if around.shadowed else 2 * STEP
    for narrower, step, count in ((1.0, coarse, PLACES // 2), (0.6 * REACH / reach_inches, STEP, PLACES)):
        offsets = np.arange(reach * narrower, -reach * narrower - step / 2, -step)
        sides = _fit_sides(around, corners, offsets, np.asarray(held), count)
        corners = _moved(corners, sides)
    return corners, sides


def _fit_sides(
    around: Surroundings, corners: NDArray[Any], offsets: NDArray[Any], held: NDArray[Any], count: int
) -> Sides:
    """All sides at once; profiles of shape (side, place, step)."""
    start, along, long = (part.reshape(-1, *part.shape[2:]) for part in _frames(corners))
    places = np.linspace(CORNER_SHARE, 1 - CORNER_SHARE, count)[None] * long[:, None]
    profile, shade = _profiles(around, start, along, places, offsets)
    profile = profile.reshape(-1, len(offsets))
    if shade is None:
        found, seen = crossings(profile, offsets, around.least_contrast)
    else:
        found, seen = steps(profile, offsets, around.least_contrast, shade.reshape(profile.shape))
    found, seen = found.reshape(-1, count), seen.reshape(-1, count)
    u = places - long[:, None] / 2
    slope, offset = _robust_lines(u, found, seen)
    off = np.abs(found - (offset[:, None] + slope[:, None] * u))
    close = (off < max(0.6, NEAR_LINE * around.px_per_inch)) & seen
    share = seen.mean(axis=1)
    fitted = ~np.tile(held, len(corners)) & (long >= 4) & (share >= LEAST_SEEN)
    near = close.sum(axis=1) / np.maximum(seen.sum(axis=1), 1)
    return Sides(*(np.where(fitted, part, 0.0).reshape(-1, 4) for part in (offset, slope, share, near)))


def _frames(corners: NDArray[Any]) -> tuple[NDArray[Any], NDArray[Any], NDArray[Any]]:
    """Where each side begins, its direction, shapes (rectangles, 4, 2), and its length, (rectangles, 4)."""
    sides = np.roll(corners, -1, axis=1) - corners
    long = np.maximum(np.hypot(sides[..., 0], sides[..., 1]), 1e-6)
    return corners, sides / long[..., None], long


def _profiles(
    around: Surroundings,
    start: NDArray[Any],
    along: NDArray[Any],
    places: NDArray[Any],
    offsets: NDArray[Any],
) -> tuple[NDArray[Any], NDArray[Any] | None]:
    """Distance from the background across sides, evened out along each, and what may be shade.

    float32 and bool, shape (side, place, step); None for shade on a page without shadows.
    """
    found = np.empty((*places.shape, len(offsets)), np.float32)
    shade = np.empty(found.shape, bool) if around.shadowed else None
    for first in range(0, len(start), AT_ONCE):
        some = slice(first, first + AT_ONCE)
        base = start[some] + places.T[:, some, None] * along[some]
        x = base[..., :1] + offsets * along[some, 1:]
        y = base[..., 1:] - offsets * along[some, :1]
        flat = x.reshape(len(x), -1), y.reshape(len(y), -1)
        if shade is None:
            sampled = around.sample(*flat)
        else:
            sampled, shaded = around.distance_and_shade(*flat)
            shade[some] = shaded.reshape(x.shape).transpose(1, 0, 2)
        found[some] = cv2.blur(sampled, (1, 3)).reshape(x.shape).transpose(1, 0, 2)
    return found, shade


def crossings(
    profile: NDArray[Any], offsets: NDArray[Any], least: float
) -> tuple[NDArray[Any], NDArray[Any]]:
    """Where profiles pass half of the height that they reach.

    Parameters
    ----------
    profile : ndarray
        float, shape (places, steps), distance from the background from outside to inside.
    offsets : ndarray
        Offset of each step, falling.
    least : float
        Profiles that reach less have no edge.

    Returns
    -------
    ndarray, ndarray
        The offset for each place, and whether there is an edge (bool).
    """
    steps = np.arange(profile.shape[1])
    peak_at = profile.argmax(axis=1)
    peak = profile.max(axis=1)
    half = peak / 2
    below = (profile < half[:, None]) & (steps[None] < peak_at[:, None])
    last = np.where(below, steps[None], -1).max(axis=1)
    seen = (last >= 0) & (peak >= least)
    before = np.clip(last, 0, len(steps) - 2)
    rows = np.arange(len(profile))
    low, high = profile[rows, before], profile[rows, before + 1]
    share = np.clip((half - low) / np.maximum(high - low, 1e-6), 0, 1)
    return offsets[before] + share * (offsets[before + 1] - offsets[before]), seen


def steps(
    profile: NDArray[Any], offsets: NDArray[Any], least: float, shade: NDArray[Any] | None = None
) -> tuple[NDArray[Any], NDArray[Any]]:
    """Where profiles are steepest: an edge seen through a shadow; as `crossings` otherwise.

    `shade`, bool of the shape of `profile`, says what may be shade. A step into it is hardly one.
    """
    change = profile[:, 2:] - profile[:, :-2]
    if shade is not None:
        into_shade = (change > 0) & shade[:, 2:]
        change = np.where(into_shade, SHADE_COUNTS * change, change)
    change = cv2.blur(np.abs(change), (2, 1))
    rows, strongest = np.arange(len(change)), change.max(axis=1, keepdims=True)
    first = (change >= FIRST_STEP * strongest).argmax(axis=1)
    near = np.minimum(first[:, None] + np.arange(3), change.shape[1] - 1)
    at = near[rows, change[rows[:, None], near].argmax(axis=1)]
    inner = np.clip(at, 1, change.shape[1] - 2)
    before, peak, after = change[rows, inner - 1], change[rows, inner], change[rows, inner + 1]
    bend = np.maximum(2 * peak - before - after, 1e-6)
    shift = np.clip((after - before) / (2 * bend), -1, 1)
    return offsets[inner + 1] + shift * (offsets[1] - offsets[0]), peak >= least


def strongest_step(strip: NDArray[Any]) -> float | None:
    """Where the columns of a strip change most, as the corner between two pixels.

    Parameters
    ----------
    strip : ndarray
        uint8, shape (rows, cols, 3 or 4), sRGB with or without alpha.

    Returns
    -------
    float or None
        Columns from the strip's left; None where nothing steps.
    """
    lab = cv2.cvtColor(np.ascontiguousarray(strip[..., :3]), cv2.COLOR_RGB2LAB).astype(np.float32)
    layers = [lab] if strip.shape[2] == 3 else [lab, strip[..., 3:].astype(np.float32)]
    step = np.abs(np.diff(np.concatenate(layers, axis=2), axis=1)).max(axis=2)
    strength = step.mean(axis=0)
    pairs = strength[:-1] + strength[1:]
    if not pairs.size or pairs.max() < 1.0:
        return None
    at = int(pairs.argmax())
    near = strength[max(0, at - 1) : at + 3]
    places = np.arange(max(0, at - 1), max(0, at - 1) + len(near)) + 1.0
    weights = np.clip(near - near.min(), 0, None)
    return float((weights * places).sum() / weights.sum()) if weights.sum() > 0 else float(at + 1.5)


def _robust_lines(u: NDArray[Any], v: NDArray[Any], seen: NDArray[Any]) -> tuple[NDArray[Any], NDArray[Any]]:
    """Slope and offset of a line through the places seen on each side, outliers left out step by step."""
    slope, offset = np.zeros(len(u)), _middles(v, seen)
    for limit in (4.0, 1.5, 0.6):
        off = np.abs(v - (offset[:, None] + slope[:, None] * u))
        keep = seen & (off <= np.maximum(limit, 1.2 * _middles(off, seen))[:, None])
        count = np.maximum(keep.sum(axis=1), 1)
        x, y = np.where(keep, u, 0.0), np.where(keep, v, 0.0)
        middle, level = x.sum(axis=1) / count, y.sum(axis=1) / count
        aside = np.where(keep, u - middle[:, None], 0.0)
        slope = (aside * y).sum(axis=1) / np.maximum((aside * aside).sum(axis=1), 1e-9)
        offset = level - slope * middle
    return slope, offset


def _middles(values: NDArray[Any], seen: NDArray[Any]) -> NDArray[Any]:
    """The middle value of what is seen in each row."""
    ordered = np.sort(np.where(seen, values, np.inf), axis=1)
    at = np.maximum(seen.sum(axis=1) - 1, 0) // 2
    middle = ordered[np.arange(len(values)), at]
    return np.where(np.isfinite(middle), middle, 0.0)


def _moved(corners: NDArray[Any], sides: Sides) -> NDArray[Any]:
    start, along, _ = _frames(corners)
    outward = np.stack([along[..., 1], -along[..., 0]], -1)
    through = (start + np.roll(start, -1, axis=1)) / 2 + outward * sides.offset[..., None]
    return _meetings(through, along + outward * sides.slope[..., None])


def _meetings(through: NDArray[Any], along: NDArray[Any]) -> NDArray[Any]:
    """Where each line of a ring meets the one before it; both of shape (rings, lines, 2)."""
    before, its_way = np.roll(through, 1, axis=1), np.roll(along, 1, axis=1)
    apart = through - before
    cross = its_way[..., 0] * along[..., 1] - its_way[..., 1] * along[..., 0]
    parallel = np.abs(cross) < 1e-9
    far = (apart[..., 0] * along[..., 1] - apart[..., 1] * along[..., 0]) / np.where(parallel, 1.0, cross)
    return np.asarray(
        np.where(parallel[..., None], (before + through) / 2, before + far[..., None] * its_way)
    )
