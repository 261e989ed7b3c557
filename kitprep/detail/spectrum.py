"""How much of what a few tiles show is finer than an enlarged picture can hold.

Enlarging by s leaves nothing above 0.5 / s cycles per pixel but what the kernel lets through, whatever the
picture: a roof tiled at the limit of its resolution loses much by any round trip, and is told from a sharp
one only here. Frequencies count by the greater of their two parts, as enlarging works along rows and columns.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

WINDOW_PX = 32
FINE = 10  # cycles in a window, 0.31 per pixel: beyond a picture enlarged twice (0.25) and its window's blur
ALL = 3  # 0.09 per pixel: slower changes are shade, not detail


def fine_share(squares: NDArray[np.float32], tops: int) -> float:
    """The amplitude of the finest detail as a share of that of all detail, above noise: 0 to 1.

    Parameters
    ----------
    squares : ndarray
        float32, shape (n, across, across), `across` at least `WINDOW_PX`; what is in their middle counts.
    tops : int
        So many of them, the first, are looked at; the rest tell the noise.
    """
    power = _power(squares)
    energy = np.stack([(power * _counted(least)).sum(axis=(1, 2)) for least in (FINE, ALL)])
    noise = np.median(energy[:, tops:], axis=1)
    fine, whole = np.maximum(energy[:, :tops].mean(axis=1) - noise, 0)
    return math.sqrt(fine / whole) if whole > 0 else 0.0


def _power(squares: NDArray[np.float32]) -> NDArray[np.float64]:
    """The energy of each square's middle by cycles down and across: shape (n, WINDOW_PX, WINDOW_PX / 2 + 1)."""
    start = (squares.shape[1] - WINDOW_PX) // 2
    middle = squares[:, start : start + WINDOW_PX, start : start + WINDOW_PX]
    # A Hann window, so that what is cut at the edge does not pass for fine detail.
    side = np.hanning(WINDOW_PX + 1)[:-1].astype(np.float32)
    window = np.outer(side, side)
    mean = (middle * window).sum(axis=(1, 2), keepdims=True) / window.sum()
    return np.asarray(np.square(np.abs(np.fft.rfft2((middle - mean) * window))), np.float64)


def _counted(least: int) -> NDArray[np.int64]:
    """How often each energy counts: those of `least` cycles and more, as half of them stands for all."""
    down = np.minimum(np.arange(WINDOW_PX), WINDOW_PX - np.arange(WINDOW_PX))[:, None]
    across = np.arange(WINDOW_PX // 2 + 1)
    times = np.where((across == 0) | (across == WINDOW_PX // 2), 1, 2)
    return np.where(np.maximum(down, across) >= least, times, 0)
