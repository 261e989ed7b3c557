"""Measures how much of a picture's resolution is real, whatever its pixel count says.

The question is by what factor s a picture could be smaller without visible loss; the answer is 1/s. Two
independent measures are taken, a round trip through a smaller size and the width of the sharpest edges,
and believed where they agree. A picture of repeated pixels passes both as sharp, so it is looked for
first. (Capture standards, ISO 19264-1:2021 and FADGI 2023, call the same idea sampling efficiency.)

A low answer means "soft", never "was enlarged": an original out of focus measures the same. Below a
factor of 1.45 a sharp original and a slightly soft one cannot be told apart, so nothing is claimed there.
`scripts/benches/detail.py` prints how often it is right.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from kitprep.detail.captions import without_captions
from kitprep.detail.doubled import doubled_share, noise_of
from kitprep.detail.edge_width import EdgeWidth, edge_width
from kitprep.detail.round_trip import RoundTrip, round_trip
from kitprep.detail.tiles import Tiles, cut_tiles

ENOUGH_EDGES = 30
ALONE_CONTRAST = 8.0  # without edges, the round trip is believed from here
ALONE_NOISES = 3.0
AGREE_WITHIN = 2.0  # a factor
MANY_EDGES = 100  # so many speak alone where grain hides what a round trip loses
GRAINY_NOISES = 5.0  # of contrast: below this, grain passes for fine detail
WIDE_EDGES = 1.8  # grain narrows no edge, so a wide one is believed
SHARP_BELOW = 1.45
TOLD_ABOVE = 1.65
LEAST_TILES = 9


def measure_detail(pixels: NDArray[np.uint8], mask: NDArray[np.bool_] | None = None) -> float | None:
    """The share of a picture's resolution that is real.

    Parameters
    ----------
    pixels : ndarray
        uint8, shape (rows, cols), (rows, cols, 3) sRGB or (rows, cols, 4) with straight alpha, at its own
        pixel count.
    mask : ndarray or None
        bool, shape (rows, cols): which pixels belong to the element; None for all.

    Returns
    -------
    float or None
        Above 0 to 1, per direction: 0.5 is a picture that half as many pixels across and down would hold.
        None where it cannot be told: too small, too plain, or the measures contradict each other.
    """
    tiles = cut_tiles(pixels, mask)
    if tiles is None or tiles.measured.sum() < LEAST_TILES:
        return None
    noise = noise_of(tiles.luma)
    share, picture = _share(tiles, noise), without_captions(tiles)
    rest = None if picture is None else _share(picture, noise)
    if share is None or rest is None:
        return rest if share is None else share
    return min(share, rest)  # what was set on a picture can only make it look sharper than it is


def _share(tiles: Tiles, noise: float) -> float | None:
    doubled = doubled_share(tiles.luma, noise)
    if doubled is not None:
        return doubled
    factor = _together(round_trip(tiles), edge_width(tiles, noise))
    return None if factor is None else 1 / _claimed(factor)


def _together(trip: RoundTrip, edges: EdgeWidth) -> float | None:
    """The factor that both measures speak for; None where they do not."""
    grainy = trip.contrast < GRAINY_NOISES * trip.noise
    if grainy and edges.count >= MANY_EDGES and edges.factor > max(trip.factor, WIDE_EDGES):
        return edges.factor
    if trip.contrast < trip.noise:
        return None
    if edges.count < ENOUGH_EDGES:
        clear = trip.contrast >= ALONE_CONTRAST and trip.contrast >= ALONE_NOISES * trip.noise
        return trip.factor if clear else None
    low, high = sorted((trip.factor, edges.factor))
    if high > AGREE_WITHIN * low:
        return low if low >= AGREE_WITHIN else None
    return math.sqrt(trip.factor * edges.factor)


def _claimed(factor: float) -> float:
    """A factor too near 1 to be told from it counts as 1; from there on it comes in gradually."""
    if factor <= SHARP_BELOW:
        return 1.0
    if factor >= TOLD_ABOVE:
        return factor
    return 1 + (factor - SHARP_BELOW) / (TOLD_ABOVE - SHARP_BELOW) * (TOLD_ABOVE - 1)
