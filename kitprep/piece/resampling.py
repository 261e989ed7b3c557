"""Makes pictures of another pixel count: shrinks, enlarges, straightens.

The kernel is Lanczos' windowed sinc (Duchon, "Lanczos filtering in one and two dimensions", 1979), widened
by the factor when shrinking so that little aliases. Sums are taken over light, not over code values: sRGB
is undone first and done again after (IEC 61966-2-1), so that fine light and dark lines keep their
brightness. Colours count by their opacity (premultiplied alpha), so that what is hidden under a
transparent pixel never shows at an edge.

Over light, the usual three lobes undershoot into black beside every bright line. Shrinking therefore takes
two lobes whose sinc passes a tenth more and whose window falls faster, to the power of one and a half: that
is as near as scikit-image's anti-aliased resize to the mean light under each new pixel, to three lobes in
light, and to scikit-image's own filter in light, and at once nearer to each than Pillow's Lanczos over code
values.

Enlarging takes the usual three lobes, over code values. Of the classical kernels that came nearest to halved
pictures reduced and enlarged again: by 2, 30.8 dB and an SSIM of .883, where two lobes in light have 29.9 and
.868, Catmull-Rom over code values 30.4 and .874, Mitchell 29.7 and .854, bilinear 29.3 and .842.
`scripts/benches/resampling.py` prints the figures.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.pages import Affine
from kitprep.piece.opacity import OPAQUE_BELOW, Samples, premultiplied, straight

_Floats = NDArray[np.float32]
Light = NDArray[np.float32]

LOBES = 2  # when shrinking
ENLARGE_LOBES = 3
SHRINK_PASS = (
    0.9  # width of the sinc when shrinking, in new pixels: a tenth more than the sampling theorem asks
)
SHRINK_FALL = (
    1.5  # power of the window when shrinking: its lobes are a third lower than with the plain window
)
BLOCK = 16  # new pixels summed in one product of matrices, so that few of its weights are zero
ONE_THREAD = 1 << 18  # multiplications: OpenBLAS shares out larger products, and then waits on a busy machine


def resize(
    pixels: NDArray[Samples],
    size_px: tuple[int, int],
    box: tuple[float, float, float, float] | None = None,
    light: Light | None = None,
) -> NDArray[Samples]:
    """A picture, or a part of it, at another pixel count.

    Parameters
    ----------
    pixels : ndarray
        uint8 or uint16, shape (rows, cols), (rows, cols, 3) or (rows, cols, 4); sRGB code values, the
        fourth channel straight alpha.
    size_px : tuple of int
        Width and height wanted, at least 1.
    box : tuple of float or None
        (left, top, right, bottom) in pixels: the part that is to fill the new size; may cut through
        pixels. None for all.
    light : ndarray or None
        float32, shape (65536,), never falling: the light of each code value, 0 to 1, for uint16 in colours
        other than sRGB.

    Returns
    -------
    ndarray
        The same dtype and channels, shape (height, width, ...). The very same values where the box lies
        on whole pixels and the count does not change.
    """
    rows, cols = pixels.shape[:2]
    box = box or (0.0, 0.0, float(cols), float(rows))
    if _is_whole(box) and (box[2] - box[0], box[3] - box[1]) == size_px:
        left, top, right, bottom = (int(edge) for edge in box)
        return pixels[top:bottom, left:right].copy()
    enlarges = size_px[0] >= box[2] - box[0] and size_px[1] >= box[3] - box[1]
    sums = _OVER_CODE if enlarges else _OVER_LIGHT if light is None else _over(light)
    if pixels.ndim == 2:
        return sums.write(_resampled(sums.read(pixels), size_px, box), pixels.dtype)
    if pixels.shape[2] == 3:
        planes = [
            sums.write(_resampled(sums.read(pixels[..., c]), size_px, box), pixels.dtype) for c in range(3)
        ]
        return np.dstack(planes)
    return _resize_transparent(pixels, size_px, box, sums)


def straighten(pixels: NDArray[Samples], to_source: Affine, size_px: tuple[int, int]) -> NDArray[Samples]:
    """A picture turned upright at its own scale.

    Parameters
    ----------
    pixels : ndarray
        uint8 or uint16, shape (rows, cols), (rows, cols, 3) or (rows, cols, 4) with straight alpha.
    to_source : Affine
        From points of the upright picture to points of `pixels`; both count from the corner of the first
        pixel. Must keep the scale to within some per cent: nothing is filtered against aliasing.
    size_px : tuple of int
        Width and height of the upright picture.

    Returns
    -------
    ndarray
        The same dtype and channels, by bicubic interpolation over code values; beyond the edge of
        `pixels` its edge is repeated.
    """
    shifted = Affine(1, 0, 0, 1, 0.5, 0.5).then(to_source).then(Affine(1, 0, 0, 1, -0.5, -0.5))
    matrix = np.array([[shifted.a, shifted.c, shifted.e], [shifted.b, shifted.d, shifted.f]])
    transparent = pixels.ndim == 3 and pixels.shape[2] == 4
    source = premultiplied(pixels) if transparent else pixels.astype(np.float32)
    turned = cv2.warpAffine(
        source,
        matrix,
        size_px,
        flags=cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP,
        borderMode=cv2.BORDER_REPLICATE,
    )
    top = np.iinfo(pixels.dtype).max
    if transparent:
        turned = straight(np.asarray(turned, dtype=np.float32), float(top))
    rounded: NDArray[Samples] = np.clip(np.rint(turned), 0, top).astype(pixels.dtype)
    return rounded


def _is_whole(box: tuple[float, float, float, float]) -> bool:
    return all(float(edge).is_integer() for edge in box)


def _resize_transparent(
    pixels: NDArray[Samples], size_px: tuple[int, int], box: tuple[float, float, float, float], sums: _Sums
) -> NDArray[Samples]:
    top = np.iinfo(pixels.dtype).max
    opacity = pixels[..., 3].astype(np.float32) / np.float32(top)
    new_opacity = _resampled(opacity, size_px, box)
    seen = np.maximum(new_opacity, np.float32(OPAQUE_BELOW))
    new = np.empty((size_px[1], size_px[0], 4), dtype=pixels.dtype)
    for channel in range(3):
        colour = _resampled(sums.read(pixels[..., channel]) * opacity, size_px, box)
        colour /= seen
        new[..., channel] = sums.write(colour, pixels.dtype)
    new[..., 3] = np.rint(np.clip(new_opacity, 0, 1) * top)
    return new


def _resampled(plane: _Floats, size_px: tuple[int, int], box: tuple[float, float, float, float]) -> _Floats:
    left, top, right, bottom = box
    high = np.empty((size_px[1], plane.shape[1]), dtype=np.float32)
    for first, low, weights in _blocks(size_px[1], top, bottom, len(plane)):
        seen, made = plane[low : low + weights.shape[1]], high[first : first + len(weights)]
        for strip in _strips(weights, plane.shape[1]):
            made[:, strip] = weights @ seen[:, strip]
    new = np.empty((size_px[1], size_px[0]), dtype=np.float32)
    for first, low, weights in _blocks(size_px[0], left, right, plane.shape[1]):
        seen, made = high[:, low : low + weights.shape[1]], new[:, first : first + len(weights)]
        for strip in _strips(weights, len(high)):
            made[strip] = seen[strip] @ weights.T
    return new


def _strips(weights: _Floats, length: int) -> Iterator[slice]:
    """Parts of the other axis for which one product is small enough to stay on one thread."""
    step = max(ONE_THREAD // weights.size, 1)
    return (slice(start, start + step) for start in range(0, length, step))


def _blocks(count: int, start: float, stop: float, length: int) -> Iterator[tuple[int, int, _Floats]]:
    """Weights of the old pixels from `start` to `stop` in `count` new ones, in blocks of new ones.

    Each block is the number of its first new pixel, the number of the first old pixel it can see, and a
    small matrix of shape (new, old).
    """
    step = (stop - start) / count
    kernel, lobes = (_shrinking, LOBES) if step > 1 else (_enlarging, ENLARGE_LOBES)
    reach = lobes * max(step, 1.0)
    centres = start + (np.arange(count) + 0.5) * step
    for first in range(0, count, BLOCK):
        middle = centres[first : first + BLOCK]
        lowest, highest = math.floor(middle[0] - reach), math.ceil(middle[-1] + reach)
        seen = np.arange(lowest, highest + 1)
        weights = kernel((seen + 0.5 - middle[:, None]) / max(step, 1.0))
        weights /= weights.sum(axis=1, keepdims=True)
        yield first, max(lowest, 0), _folded(weights, seen, length)


def _enlarging(x: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.where(np.abs(x) < ENLARGE_LOBES, np.sinc(x) * np.sinc(x / ENLARGE_LOBES), 0.0)


def _shrinking(x: NDArray[np.float64]) -> NDArray[np.float64]:
    x = x / SHRINK_PASS
    return np.where(np.abs(x) < LOBES, np.sinc(x) * np.abs(np.sinc(x / LOBES)) ** SHRINK_FALL, 0.0)


def _folded(weights: NDArray[np.float64], places: NDArray[np.int64], length: int) -> _Floats:
    """Weights of places outside the picture go to the pixel at its edge."""
    below, above = int((places < 0).sum()), int((places >= length).sum())
    inside = weights[:, below : weights.shape[1] - above].astype(np.float32)
    inside[:, 0] += weights[:, :below].sum(axis=1)
    inside[:, -1] += weights[:, weights.shape[1] - above :].sum(axis=1)
    return inside


# ---------------------------------------------------------------- sRGB, IEC 61966-2-1


def _to_light(code: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)


def _to_code(light: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.where(light <= 0.0031308, light * 12.92, 1.055 * np.maximum(light, 0) ** (1 / 2.4) - 0.055)


_LIGHT_OF_8_BITS = _to_light(np.arange(256) / 255).astype(np.float32)
_LIGHT_OF_16_BITS = _to_light(np.arange(65536) / 65535).astype(np.float32)
_CODE_STEPS = 1 << 16  # a step near black is 0.05 of a code value of 8 bits
_CODE_8_BITS = np.rint(_to_code(np.arange(_CODE_STEPS + 1) / _CODE_STEPS) * 255).astype(np.uint8)


def _linear(plane: NDArray[Samples]) -> _Floats:
    if plane.dtype == np.uint8:
        return np.asarray(cv2.LUT(np.ascontiguousarray(plane), _LIGHT_OF_8_BITS), dtype=np.float32)
    return _LIGHT_OF_16_BITS[plane]


def _encoded(light: _Floats, dtype: np.dtype[Samples]) -> NDArray[Samples]:
    bounded = np.clip(light, 0, 1)
    if dtype == np.uint8:
        return _CODE_8_BITS[(bounded * _CODE_STEPS + 0.5).astype(np.int32)].astype(dtype, copy=False)
    return np.rint(_to_code(bounded.astype(np.float64)) * 65535).astype(dtype)


def _scaled(plane: NDArray[Samples]) -> _Floats:
    return plane.astype(np.float32) / np.float32(np.iinfo(plane.dtype).max)


def _rounded(code: _Floats, dtype: np.dtype[Samples]) -> NDArray[Samples]:
    return np.rint(np.clip(code, 0, 1) * np.iinfo(dtype).max).astype(dtype)


@dataclass(frozen=True, slots=True)
class _Sums:
    """What pixels are summed over: how they are read, and how sums are written as pixels again."""

    read: Callable[[NDArray[Any]], _Floats]
    write: Callable[[_Floats, Any], NDArray[Any]]


_OVER_LIGHT = _Sums(_linear, _encoded)
_OVER_CODE = _Sums(_scaled, _rounded)


def _over(light: Light) -> _Sums:
    def encoded(wanted: _Floats, dtype: np.dtype[Any]) -> NDArray[Any]:
        return np.rint(np.interp(wanted, light, np.arange(len(light)))).astype(dtype)

    return _Sums(lambda plane: light[plane], encoded)
