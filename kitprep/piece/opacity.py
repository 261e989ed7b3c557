"""Colours weighed by their opacity and back, so that what is clear adds nothing to a sum of pixels."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

OPAQUE_BELOW = 1 / 512  # opacity under half a step of 8 bits is none: its colour is noise

_Floats = NDArray[np.float32]


def premultiplied(pixels: NDArray[Any]) -> _Floats:
    """Pixels with their colours times their opacity.

    Parameters
    ----------
    pixels : ndarray
        uint8 or uint16, shape (rows, cols, 3), or (rows, cols, 4) with straight alpha.

    Returns
    -------
    ndarray
        float32, the same shape and scale; colours unchanged where there is no alpha.
    """
    floats = pixels.astype(np.float32)
    if floats.shape[2] == 4:
        floats[..., :3] *= floats[..., 3:] / np.float32(np.iinfo(pixels.dtype).max)
    return floats


def straight(floats: _Floats, top: float) -> _Floats:
    """The same undone, in place: float32, shape (rows, cols, 4); `top` is full opacity."""
    opacity = np.clip(floats[..., 3:] / top, 0, 1)
    floats[..., :3] /= np.where(opacity > OPAQUE_BELOW, opacity, np.inf)
    return floats
