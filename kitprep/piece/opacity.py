"""Colours weighed by their opacity and back, so that what is clear adds nothing to a sum of pixels."""

from __future__ import annotations

from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

SIXTEEN_PER_EIGHT = 257  # levels of 16 bits in one of 8: 65 535 / 255
OPAQUE_BELOW = 1 / 512  # opacity under half a step of 8 bits is none: its colour is noise

Samples = TypeVar("Samples", bound=np.uint8 | np.uint16)
_Floats = NDArray[np.float32]


def in_levels(pixels: NDArray[np.uint8 | np.uint16]) -> _Floats:
    """Pixels in levels of eight bits, those of sixteen with a fraction: float32, 0 to 255."""
    floats = pixels.astype(np.float32)
    return floats if pixels.dtype == np.uint8 else floats / np.float32(SIXTEEN_PER_EIGHT)


def from_levels(levels: _Floats, dtype: np.dtype[Samples]) -> NDArray[Samples]:
    """The same undone, rounded: `levels` 0 to 255."""
    scale = np.float32(1 if dtype == np.uint8 else SIXTEEN_PER_EIGHT)
    rounded: NDArray[Samples] = np.rint(levels * scale).astype(dtype)
    return rounded


def premultiplied(pixels: NDArray[Any]) -> _Floats:
    """Pixels with their colours times their opacity.

    Parameters
    ----------
    pixels : ndarray
        uint8 or uint16, or float32 in levels of eight bits; shape (rows, cols, 3), or (rows, cols, 4) with
        straight alpha.

    Returns
    -------
    ndarray
        float32, the same shape and scale; colours unchanged where there is no alpha.
    """
    top = np.iinfo(pixels.dtype).max if pixels.dtype.kind == "u" else 255
    floats = pixels.astype(np.float32)
    if floats.shape[2] == 4:
        floats[..., :3] *= floats[..., 3:] / np.float32(top)
    return floats


def straight(floats: _Floats, top: float) -> _Floats:
    """The same undone, in place: float32, shape (rows, cols, 4); `top` is full opacity."""
    opacity = np.clip(floats[..., 3:] / top, 0, 1)
    floats[..., :3] /= np.where(opacity > OPAQUE_BELOW, opacity, np.inf)
    return floats
