"""Guesses what to keep in view when a picture covers a size of other proportions.

Interest is where the detail lies and where colour stands out from the rest of the element. The crop goes
where most of it is kept, and where the least of it is cut through: a face half inside is worse than none.
A pattern is as interesting everywhere, and keeps its middle. The weights are set by eye on drawn figures,
photographs and papers; there is no published source.
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

Profile = tuple[float, ...]
"""Where interest lies along one axis, in at most 64 equal steps: shares of all of it."""

LOOKED_AT_PX = 256  # longest side of what is looked at: what a person sees at a glance
CELLS = 64  # along the longest side
MOST_EDGE = 40.0  # of the Laplacian: one hard edge must not outweigh a textured figure
MOST_COLOUR = 60.0  # of the distance in Lab from the element's usual colour
COLOUR_WEIGHT = 0.5
EDGE_BAND = 0.06  # of the element's side, to either side of a crop's edge
CUT_COST = 0.6  # what is cut through counts so much against a crop
MIDDLE_COST = 0.04  # of being a whole side off the middle
WORTH_IT = 0.03  # a crop no better than this stays in the middle


def interest_of(pixels: NDArray[np.uint8], mask: NDArray[np.bool_]) -> tuple[Profile, Profile]:
    """Where the interest of an element lies, across and down.

    Parameters
    ----------
    pixels : ndarray
        uint8, shape (rows, cols, 3 or 4), sRGB: its box of the page.
    mask : ndarray
        bool, shape (rows, cols): which of them are its own.
    """
    rows, cols = mask.shape
    scale = min(LOOKED_AT_PX / max(rows, cols), 1.0)
    size_px = max(round(cols * scale), 1), max(round(rows * scale), 1)
    small = cv2.resize(np.ascontiguousarray(pixels[..., :3]), size_px, interpolation=cv2.INTER_AREA)
    own = np.asarray(cv2.resize(mask.astype(np.float32), size_px, interpolation=cv2.INTER_AREA))
    lab = cv2.cvtColor(small.astype(np.float32) / 255, cv2.COLOR_RGB2Lab)
    inside = own > 0.999
    usual = np.median(lab[inside], axis=0) if inside.any() else np.zeros(3)
    stands_out = np.minimum(np.sqrt(np.square(lab - usual).sum(axis=2)), MOST_COLOUR) / MOST_COLOUR
    edges = np.minimum(np.abs(cv2.Laplacian(lab[..., 0], cv2.CV_32F)), MOST_EDGE) / MOST_EDGE
    found = edges / max(float(edges.mean()), 1e-6) + COLOUR_WEIGHT * stands_out / max(
        float(stands_out.mean()), 1e-6
    )
    cells = min(CELLS, size_px[0]), min(CELLS, size_px[1])
    interest = np.asarray(cv2.resize((found * own).astype(np.float32), cells, interpolation=cv2.INTER_AREA))
    interest = interest / max(float(interest.sum()), 1e-9)
    return tuple(map(float, interest.sum(axis=0))), tuple(map(float, interest.sum(axis=1)))


def guess_focus(across: Profile, down: Profile, share: tuple[float, float]) -> tuple[float, float]:
    """The middle of the crop that keeps the interest best.

    Parameters
    ----------
    across, down : tuple of float
        From `interest_of`.
    share : tuple of float
        Width and height of the crop as shares of the element, each at most 1.

    Returns
    -------
    tuple of float
        Shares across and down. The middle along an axis where nothing is cropped, or where no crop is
        clearly better.
    """
    return _middle_of_crop(across, share[0]), _middle_of_crop(down, share[1])


def _middle_of_crop(profile: Profile, share: float) -> float:
    if share >= 1:
        return 0.5
    sums = np.concatenate([[0.0], np.cumsum(profile, dtype=np.float64)])
    places = np.linspace(0, 1, len(sums))

    def held(start: NDArray[np.float64], stop: NDArray[np.float64]) -> NDArray[np.float64]:
        ends = np.interp(np.clip(stop, 0, 1), places, sums), np.interp(np.clip(start, 0, 1), places, sums)
        return np.asarray(ends[0] - ends[1], dtype=np.float64)

    starts = np.linspace(0, 1 - share, 2 * len(profile) + 1)
    # The element's own edge counts as one of usual interest, or every crop of a pattern would lean on it.
    cut = np.zeros_like(starts)
    for edge in (starts, starts + share):
        low, high = np.clip(edge - EDGE_BAND, 0, 1), np.clip(edge + EDGE_BAND, 0, 1)
        through = held(low, high) / (high - low)
        cut += 2 * EDGE_BAND * np.where((edge > 1e-9) & (edge < 1 - 1e-9), through, 1.0)
    off_middle = np.abs(starts + share / 2 - 0.5)
    score = held(starts, starts + share) - CUT_COST * cut - MIDDLE_COST * off_middle
    best = int(np.argmax(score))
    worth = score[best] - score[len(profile)] > WORTH_IT
    return float(starts[best] + share / 2) if worth else 0.5
