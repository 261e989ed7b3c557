"""Takes out of a cut-out's edge what JPEG spread into it from the page.

JPEG codes blocks of 8 x 8 brightness and, with its usual half resolution, 16 x 16 of hue (ITU-T T.81; JFIF
1.02). A block that the outline runs through rings on both sides of it, deeper than any soft edge. On the
page's side that can be measured where the page is plain: what is not the page's colour there is ringing. On
the cut-out's side as much of it is expected, and told from the picture by what lies deeper: a pixel is moved
towards the mean of the deep pixels nearby as far as their own variance leaves it unexplained (Lee, "Digital
image enhancement and noise filtering by use of local statistics", 1980). Shading towards the edge, which does
not swing as ringing does, is fitted first and kept; what stands out by more than ringing could, such as a
contour, stays as it is.
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.piece.cleaning import PAGE_RING_PX, Floats, Mask, distance_to

BLOCK_PX = 12.0  # the farthest that a block of brightness reaches inward from an edge: 8 times the root of 2
HUE_BLOCK_PX = 20.0  # the same for hue, less the outermost, where nothing could be seen
TINTED_PX = 3.0  # hue so near the edge is mixed with the page's all along it, and tells no shading
NEARBY_PX = 8.0  # width (sigma) of what counts as nearby
COARSER = 4  # times; means over what is nearby are taken on a picture reduced by so much
ENOUGH = 0.01  # of the pixels nearby must be deep: else the cut-out is too narrow here to tell
LEAST_RINGING = 0.35  # levels; less is rounding
NEAR_PX, FAR_PX, FADES = 5.0, 6.0, 1.2  # ringing up to the one is so many times that from the other on
PLAIN = 1.0  # levels: of a page that is plain in brightness, where only hue rings
ONE_SIDED = 0.2  # of the page's pixels: so many at least on one side of its colour tell the ringing
AT_EDGE, FULL_PX, FALLS_PX = 1.9, 2.0, 4.8
"""Ringing by depth, as times that on the page's side: full so deep, then falling exponentially. Fitted to plain
figures on plain pages at qualities 75 and 90, see `scripts/benches/fringe.py`."""
STANDS_OUT = (5.0, 7.0)  # times the ringing: from here less is taken for it, from there nothing
MOST = 36.0  # levels: more is a contour, whatever rings; at quality 75 plain figures ring by up to 30
FIT_NOISE = 1 / 3  # of the ringing: what is left of it in a shading that was fitted
LEAST_DETERMINANT = 1e-6
DEEPEST_NEARBY_PX = 28.0  # deeper than the deepest of a block by so much, a pixel has no weight: 3.5 sigma
Places = tuple[NDArray[np.intp], ...]
_TO_YCC = np.array(  # JFIF 1.02, of ITU-R BT.601
    [[0.299, 0.587, 0.114], [-0.168736, -0.331264, 0.5], [0.5, -0.418688, -0.081312]], np.float32
)
_FROM_YCC = np.linalg.inv(_TO_YCC).astype(np.float32)


def without_ringing(colours: Floats, solid: Mask, core: Mask) -> Floats:
    """Colours with the ringing of the edge taken out inside of it.

    Parameters
    ----------
    colours : ndarray
        float32, shape (rows, cols, 3), 0 to 255.
    solid : ndarray
        bool, shape (rows, cols): the cut-out.
    core : ndarray
        bool, shape (rows, cols): what of it is not mixed with the page by a soft edge.

    Returns
    -------
    ndarray
        Like `colours`; the same where there is no ringing, or none that could be told.
    """
    away = distance_to(solid)
    ring = (away > PAGE_RING_PX[0]) & (away <= PAGE_RING_PX[1])
    page, away = colours[ring], away[ring]
    if not len(page):
        return colours
    apart = np.asarray((page - np.median(page, axis=0)) @ _TO_YCC.T, dtype=np.float32)
    if not _fades(apart[:, 0], away):
        return colours
    ycc = np.asarray(cv2.transform(colours, _TO_YCC), dtype=np.float32)
    depth = np.where(core, distance_to(~solid), np.float32(0))
    clean = ycc.copy()
    for channels, reach, told_from in ((slice(0, 1), BLOCK_PX, 0.0), (slice(1, 3), HUE_BLOCK_PX, TINTED_PX)):
        ringing = _ringing(apart[:, channels])
        if ringing > LEAST_RINGING:
            clean[..., channels] = _cleaned(ycc[..., channels], depth, reach, told_from, ringing)
    changed = (clean != ycc).any(axis=2)
    cleaned = colours.copy()
    cleaned[changed] = clean[changed] @ _FROM_YCC.T
    return cleaned


def _fades(apart: Floats, away: Floats) -> bool:
    """Whether what differs from the page's colour fades away from the edge, as no texture of a page does."""
    near, far = (_ringing(apart[part]) for part in (away <= NEAR_PX, away > FAR_PX))
    return near < PLAIN or near > FADES * far


def _ringing(apart: Floats) -> float:
    """Root mean square of what is not the page's colour; a white page shows one side of it only."""
    sides = [apart[apart > 0], apart[apart < 0]]
    return max((_root_mean_square(side) for side in sides if side.size > ONE_SIDED * apart.size), default=0.0)


def _root_mean_square(values: Floats) -> float:
    return float(np.sqrt(np.square(values).mean()))


def _cleaned(planes: Floats, depth: Floats, reach: float, told_from: float, ringing: float) -> Floats:
    """Planes of brightness or hue, of shape (rows, cols, 1 or 2), without ringing."""
    near = _Nearby(depth.shape)
    deep = (depth > reach) & (depth <= reach + DEEPEST_NEARBY_PX)
    band = (depth > 0) & (depth <= reach)
    there, here = np.nonzero(deep), np.nonzero(band)
    ones = np.ones((len(there[0]), 1), np.float32)
    known = planes[there]
    sums = near.at(here, near.sums(there, np.hstack([ones, known, np.square(known)])))
    enough = sums[:, 0] > ENOUGH
    here, sums = (here[0][enough], here[1][enough]), sums[enough]
    count = known.shape[1]
    mean, square = sums[:, 1 : 1 + count] / sums[:, :1], sums[:, 1 + count :] / sums[:, :1]
    variance = np.maximum(square - np.square(mean), 0).mean(axis=1)
    expected = ringing * AT_EDGE * np.exp(-np.maximum(depth[here] - FULL_PX, 0) / FALLS_PX)
    high = np.minimum(STANDS_OUT[1] * expected, MOST)
    low = high * STANDS_OUT[0] / STANDS_OUT[1]
    out = planes[here] - mean
    like = _size(out) < high
    told = like & (depth[here] > told_from)
    out -= _shading(out, here, told, 1 - depth[here] / reach, near, FIT_NOISE * ringing)
    taken = np.clip((high - _size(out)) / (high - low), 0, 1) * expected**2 / (variance + expected**2)
    cleaned = planes.copy()
    cleaned[here] -= out * (taken * like)[:, None]
    return cleaned


def _size(out: Floats) -> Floats:
    return np.asarray(np.sqrt(np.square(out).mean(axis=1)), dtype=np.float32)


def _shading(out: Floats, here: Places, told: Mask, ramp: Floats, near: _Nearby, noise: float) -> Floats:
    """What differs from the deep pixels in one way all along the edge nearby: a straight line and a parabola.

    By least squares over what is nearby; as much of it as stands out of the noise that is left in it.
    """
    line, parabola = (0.5 + ramp)[:, None], np.square(ramp)[:, None]
    products = np.hstack([line * line, line * parabola, parabola * parabola, out * line, out * parabola])
    sums = near.at(here, near.sums((here[0][told], here[1][told]), products[told]))
    count = out.shape[1]
    a, b, c = sums[:, :1], sums[:, 1:2], sums[:, 2:3]
    along, bent = sums[:, 3 : 3 + count], sums[:, 3 + count :]
    determinant = np.maximum(a * c - b * b, LEAST_DETERMINANT)
    fitted = (along * c - bent * b) / determinant * line + (bent * a - along * b) / determinant * parabola
    power = np.square(fitted).mean(axis=1, keepdims=True)
    return np.asarray(fitted * (power / (power + noise**2)), dtype=np.float32)


class _Nearby:
    """Sums over what is nearby, weighted by a Gaussian, on a grid of coarser cells.

    Parameters
    ----------
    shape : tuple of int
        Rows and columns of the picture.
    """

    def __init__(self, shape: tuple[int, ...]) -> None:
        self._rows, self._cols = (-(-side // COARSER) for side in shape)

    def sums(self, places: Places, values: Floats) -> Floats:
        """Sums of values at some places: float32, shape (cells down, cells across, columns of `values`)."""
        cells = places[0] // COARSER * self._cols + places[1] // COARSER
        size = self._rows * self._cols
        planes = [np.bincount(cells, column, size).reshape(self._rows, self._cols) for column in values.T]
        grid = np.dstack(planes).astype(np.float32) / COARSER**2
        blurred = cv2.GaussianBlur(grid, (0, 0), NEARBY_PX / COARSER)
        return np.asarray(blurred, np.float32).reshape(self._rows, self._cols, -1)

    def at(self, places: Places, grid: Floats) -> Floats:
        """Such sums around some places, shape (places, columns), by bilinear interpolation."""
        found = np.zeros((len(places[0]), grid.shape[2]), np.float32)
        y, x = (np.maximum((place + 0.5) / COARSER - 0.5, 0) for place in places)
        top, left = y.astype(np.intp), x.astype(np.intp)
        for row, down in ((top, 1 - (y - top)), (np.minimum(top + 1, self._rows - 1), y - top)):
            for col, across in ((left, 1 - (x - left)), (np.minimum(left + 1, self._cols - 1), x - left)):
                found += grid[row, col] * (down * across).astype(np.float32)[:, None]
        return found
