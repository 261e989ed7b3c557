"""Measures how much of a picture's resolution is real, whatever its pixel count says.

The question is by what factor s a picture could be smaller without visible loss; the answer is 1/s. An
enlarged picture holds nothing finer than its factor allows, nowhere; a sharp one does somewhere, though it be
only where the lens was in focus. So the finest tiles are asked, in this order:

1. Pixels that were repeated pass for sharp to every other test, so they are looked for first.
2. How much of the detail is the finest there can be (`kitprep.detail.spectrum`). Most pictures are sharp by it,
   and are done.
3. Else a round trip through smaller sizes and the width of the sharpest edges, two independent measures,
   believed where they agree.

(Capture standards, ISO 19264-1:2021 and FADGI 2023, call the same idea sampling efficiency.)

A low answer means "soft", never "was enlarged": an original out of focus measures the same. A sharp original
and a slightly soft one cannot be told apart, so below a factor of 2 nothing is promised.
`scripts/benches/detail.py` prints how often it is right.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from kitprep.detail.captions import without_captions
from kitprep.detail.doubled import doubled_share, noise_of
from kitprep.detail.edge_width import EdgeWidth, edge_width
from kitprep.detail.round_trip import COARSER_AT, SHARP_SHARE, RoundTrip, fineness, finest, losses, round_trip
from kitprep.detail.tiles import Tiles, cut_tiles

ENOUGH_EDGES = 30
ALONE_CONTRAST = 8.0  # without edges, the round trip is believed from here
ALONE_NOISES = 3.0  # the same, times noise
AGREE_WITHIN = 2.0  # a factor
MANY_EDGES = 100  # so many speak alone where grain hides what a round trip loses
GRAINY_NOISES = 5.0  # of contrast: below this, grain passes for fine detail
WIDE_EDGES = 1.8  # grain narrows no edge, so a wide one is believed
HIGH_CONTRAST = 16.0  # of the finest tiles: above this no grain passes for detail
GRAIN_CONTRAST = 0.8  # times noise: more than the finest of tiles that hold nothing but grain have
SHARP_BELOW = 1.45  # both measures are off by as much on pictures that are sharp
TOLD_ABOVE = 1.65
NOT_SHARP_EDGES = 1.2  # a factor by edges
LINES_SHARE = 0.12  # of fine detail, where edges are sharp: a drawing of few lines has no more
LEAST_SOFT = 1.7  # the factor of a picture that is soft for certain
SOFT_SHARE = 0.165  # of fine detail: a picture that loses no more is soft for certain
FACTOR_OF_BOTH = (0.87, 0.42, 0.80)  # gain, power of the crossing, power of the width: see `_joint`
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
    doubled = doubled_share(tiles.luma, noise)
    if doubled is not None:
        return doubled
    fine = fineness(tiles)
    share, picture = _share(tiles, fine, noise), without_captions(tiles)
    if picture is None:
        return share
    kept = picture.measured[tiles.measured]
    if kept[finest(fine)].all():  # what is left out had no say
        return share
    rest = _share(picture, fine[kept], noise, ALONE_CONTRAST)
    if share is None or rest is None:
        return rest if share is None else share
    return min(share, rest)  # what was set on a picture can only make it look sharper than it is


def _share(
    tiles: Tiles, fine: NDArray[np.float32], noise: float, least_contrast: float = 0.0
) -> float | None:
    trip = round_trip(tiles, fine)
    if trip.contrast < least_contrast:
        return None
    seen = trip.contrast >= max(ALONE_CONTRAST, GRAIN_CONTRAST * trip.noise)
    sharp = seen and trip.fine_share >= SHARP_SHARE
    if sharp and trip.contrast >= HIGH_CONTRAST:
        return 1.0  # most elements end here
    edges = edge_width(tiles, losses(tiles, COARSER_AT), noise)
    if sharp and not _wide(edges):
        return 1.0
    factor = _together(trip, edges)
    return None if factor is None else 1 / factor


def _wide(edges: EdgeWidth) -> bool:
    """Whether edges speak against what may be grain: it narrows none."""
    return edges.count >= MANY_EDGES and edges.factor > WIDE_EDGES


def _together(trip: RoundTrip, edges: EdgeWidth) -> float | None:
    """The factor that both measures speak for; None where they do not."""
    seen = trip.contrast >= ALONE_CONTRAST
    grainy = trip.contrast < GRAINY_NOISES * trip.noise or (seen and trip.fine_share >= SHARP_SHARE)
    if grainy and _wide(edges) and edges.factor > trip.factor:
        return edges.factor
    if trip.contrast < trip.noise:
        return None
    if edges.count < ENOUGH_EDGES:
        clear = trip.contrast >= ALONE_CONTRAST and trip.contrast >= ALONE_NOISES * trip.noise
        return _claimed(trip.factor, trip.factor, trip) if clear else None
    low, high = sorted((trip.factor, edges.factor))
    if high > AGREE_WITHIN * low and trip.fine_share > SOFT_SHARE:
        return low if low >= AGREE_WITHIN else None
    return _claimed(_joint(trip, edges), math.sqrt(low * high), trip, edges.factor >= NOT_SHARP_EDGES)


def _joint(trip: RoundTrip, edges: EdgeWidth) -> float:
    """The factor by both measures, for a picture that is soft.

    The very sharpest edges, which tell best whether a picture is soft, are too few to tell how soft: in a
    drawing some are drawn softer than others. Fitted to bundled photographs and to drawings of
    openclipart-svg, enlarged 2 to 4 times, by least absolute error of the logarithm.
    """
    gain, by_crossing, by_width = FACTOR_OF_BOTH
    return max(1.0, gain * math.pow(trip.crossing, by_crossing) * math.pow(edges.usual_px, by_width))


def _claimed(factor: float, mean: float, trip: RoundTrip, edges_agree: bool = True) -> float:
    """A factor, or 1 where the `mean` of both measures is too near it, but for a picture soft for certain.

    That is one with so little fine detail as no sharp picture has.
    Where edges are sharp it takes less of that: a drawing of a few smooth lines has little fine detail.
    Both come in gradually: a little less of a picture makes a little difference.
    """
    near = (mean - SHARP_BELOW) / (TOLD_ABOVE - SHARP_BELOW)
    sharp_share = SHARP_SHARE if edges_agree else LINES_SHARE
    sure = (sharp_share - trip.fine_share) / (SHARP_SHARE - SOFT_SHARE)
    return max(math.pow(factor, _clipped(near)), math.pow(LEAST_SOFT, _clipped(sure)))


def _clipped(share: float) -> float:
    return min(max(share, 0.0), 1.0)
