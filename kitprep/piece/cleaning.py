"""Tells which pixels of a cut-out hold nothing of the page that it was cut from.

Just inside the outline pixels are mixed with the page, by drawing, scanning or JPEG. How deep is measured
on the picture itself, ring by ring from the edge, so that a thin dark contour is not lost with them.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]
Mask = NDArray[np.bool_]

DEEPEST_SOFT_PX = 4  # a soft edge deeper than this is drawn so
RIM_PX = 2  # an anti-aliased edge reaches no farther out
CLEAN_SHARE = 0.95  # of the greatest difference from the page near the edge: reached, a ring is unmixed
HUE_CLEAN_SHARE = 0.97
HUE_TELLS = 12.0  # code values: less difference in hue between page and cut-out is not repaired
SAME_LEVEL = 0.9  # rings whose mean brightness differs by less belong to one surface
LUMA = np.array([0.299, 0.587, 0.114], dtype=np.float32)  # ITU-R BT.601, as in JPEG
LEVEL_SHARE = 0.985  # of the next ring's difference: reached, the edge rises no more, whatever lies deeper
AHEAD_PX = 2  # how far beyond a ring that greatest difference is looked for
PAGE_RING_PX = (3, 8)  # the page's colour is read this far outside the outline


def core_of(colours: Floats, solid: Mask) -> tuple[Mask, Mask]:
    """The pixels that hold nothing of the page, and those whose hue holds nothing of it either.

    JPEG keeps hue at half the resolution, so the page's reaches deeper than its brightness does.

    Parameters
    ----------
    colours : ndarray
        float32, shape (rows, cols, 3), 0 to 255.
    solid : ndarray
        bool, shape (rows, cols): the cut-out.

    Returns
    -------
    core : ndarray
    pure : ndarray
        bool, shape (rows, cols); `pure` lies within `core`.
    """
    rings = _rings(distance_to(~solid))
    difference = colours - page_colour(colours, solid)
    soft = _soft_depth(_means(np.sqrt(np.square(difference).sum(axis=2)), rings), CLEAN_SHARE)
    core = _deeper(solid, rings, soft)
    brightness = difference @ LUMA
    hues = _means(np.sqrt(np.square(difference - brightness[..., None]).sum(axis=2)), rings)
    tinted = _soft_depth(hues, HUE_CLEAN_SHARE)
    levels = _means(np.abs(brightness), rings)[soft : tinted + 1]
    # A step in brightness as well is a contour, whose own hue is right.
    if tinted <= soft or hues[tinted] < HUE_TELLS or min(levels) < SAME_LEVEL * max(levels):
        return core, core
    return core, _deeper(solid, rings, tinted)


def core_by_alpha(alpha: NDArray[Any], whole: Mask) -> Mask:
    """The pixels deeper inside an outline than its soft edge, on a page with alpha.

    Colour is not asked: a dark contour around a light figure is as opaque as the figure.

    Parameters
    ----------
    alpha : ndarray
        0 to 255, shape (rows, cols).
    whole : ndarray
        bool, shape (rows, cols): inside the outline, openings included.

    Returns
    -------
    ndarray
        bool, shape (rows, cols).
    """
    rings = _rings(distance_to(~whole))
    return _deeper(whole, rings, _soft_depth(_means(alpha, rings), CLEAN_SHARE)) if rings else whole


def _rings(depth: Floats) -> list[Mask]:
    """Pixels up to one, up to two, ... pixels deep inside the edge, as long as there are any."""
    rings = [(depth > k) & (depth <= k + 1) for k in range(DEEPEST_SOFT_PX + AHEAD_PX)]
    return [ring for ring in rings if ring.any()]


def _means(values: NDArray[Any], rings: Sequence[Mask]) -> list[float]:
    return [float(values[ring].mean()) for ring in rings]


def _soft_depth(away: Sequence[float], clean_share: float) -> int:
    """How many rings are mixed with the page, from the mean difference of each."""
    for k in range(min(DEEPEST_SOFT_PX, len(away))):
        if away[k] >= clean_share * max(away[k : k + 1 + AHEAD_PX]) or _is_level(away, k):
            return k
    return min(DEEPEST_SOFT_PX, len(away) - 1)


def _is_level(away: Sequence[float], k: int) -> bool:
    return 0 < k < len(away) - 1 and away[k] >= LEVEL_SHARE * away[k + 1] and away[k - 1] < away[k]


def _deeper(solid: Mask, rings: Sequence[Mask], count: int) -> Mask:
    """A mask without its outermost rings."""
    deep = solid.copy()
    for ring in rings[:count]:
        deep &= ~ring
    return deep if deep.any() else solid


def page_colour(colours: Floats, mask: Mask) -> Floats:
    """The page's colour around a mask, channel by channel."""
    ring = within(PAGE_RING_PX[1], mask) & ~within(PAGE_RING_PX[0], mask)
    around = colours[ring if ring.any() else ~mask if not mask.all() else mask]
    return np.asarray(np.median(around, axis=0), dtype=np.float32)


def distance_to(mask: Mask) -> Floats:
    """From each pixel's middle to that of the nearest pixel of the mask; 0 on the mask."""
    away = cv2.distanceTransform((~mask).astype(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
    return np.asarray(away, dtype=np.float32)


def within(by_px: int, mask: Mask) -> Mask:
    """A mask and what lies within some pixels of it."""
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * by_px + 1, 2 * by_px + 1))
    return np.asarray(cv2.dilate(mask.astype(np.uint8), disc), dtype=np.bool_)
