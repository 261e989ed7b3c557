"""What is measured of an element: its luma, cut into tiles that lie well inside it.

The sharp outline of a cut-out would make any picture look sharp, so tiles near it are not measured.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Luma = NDArray[np.uint8]
"""uint8, shape (rows, cols): as bytes, every pass over it costs a quarter of what it would in floats."""

WINDOW_PX = 1024  # a larger element is measured in its busiest window of this side
BUSY_MOST = 60  # of the Laplacian: one hard edge must not outweigh a textured area
WINDOW_STEP_PX = 64
LOOKED_AT = 2  # of rows and columns every second is enough to find what is busy
TILE_PX = 16
SMALL_TILE_PX = 12  # of an element whose shorter side is under 300 px
SMALL_SIDE_PX = 300
OUTLINE_PX = 4  # pixels this near the outline hold something of the page
TILE_MARGIN_PX = 12  # tiles keep this far from the outline of a cut-out
OPAQUE_ALPHA = 250  # less is an edge, or a wash whose colour alone does not tell
BORDER_PX = 4  # and this far from the border of the picture
AROUND_PX = 24  # of its surroundings that a tile is looked at with


@dataclass(frozen=True, slots=True, eq=False)
class Tiles:
    """A window of an element, in tiles.

    Parameters
    ----------
    luma : ndarray
        uint8, shape (rows, cols); whole tiles only.
    side : int
        Pixels along one side of a tile.
    measured : ndarray
        bool, shape (tile rows, tile cols): which tiles lie inside the element.
    """

    luma: Luma
    side: int
    measured: NDArray[np.bool_]

    def means(self, values: NDArray[np.float32]) -> NDArray[np.float32]:
        """The mean of some values, given per pixel, for each measured tile: float32, shape (tiles,)."""
        rows, cols = self.measured.shape
        means = cv2.resize(values, (cols, rows), interpolation=cv2.INTER_AREA)
        return np.asarray(means, dtype=np.float32)[self.measured]

    def with_surroundings(self, chosen: NDArray[np.int64]) -> NDArray[np.float32]:
        """Some of the measured tiles, each in the middle of what is around it.

        Parameters
        ----------
        chosen : ndarray
            int64, shape (n,): which of the measured tiles, in the order of `means`.

        Returns
        -------
        ndarray
            float32, shape (n, across, across) with `across` = `side` + 2 `AROUND_PX`.
        """
        around = cv2.copyMakeBorder(
            self.luma, AROUND_PX, AROUND_PX, AROUND_PX, AROUND_PX, cv2.BORDER_REFLECT_101
        )
        across = self.side + 2 * AROUND_PX
        rows, cols = (places[chosen] * self.side for places in np.nonzero(self.measured))
        squares = np.lib.stride_tricks.sliding_window_view(around, (across, across))
        return squares[rows, cols].astype(np.float32)


def cut_tiles(pixels: NDArray[np.uint8], mask: NDArray[np.bool_] | None) -> Tiles | None:
    """Cut an element into tiles; None where not one fits inside it.

    Parameters
    ----------
    pixels : ndarray
        uint8, shape (rows, cols), (rows, cols, 3) sRGB or (rows, cols, 4) with straight alpha.
    mask : ndarray or None
        bool, shape (rows, cols): the element; None where it fills the picture.
    """
    inside = _inside(pixels, mask)
    top, left = _busiest_window(pixels, inside)
    window = slice(top, top + WINDOW_PX), slice(left, left + WINDOW_PX)
    part = inside[window]
    luma = _luma(pixels[window])
    side = SMALL_TILE_PX if min(luma.shape) < SMALL_SIDE_PX else TILE_PX
    down, across = ((length - 2 * BORDER_PX) // side for length in luma.shape)
    if down < 1 or across < 1:
        return None
    whole = (
        slice(BORDER_PX, BORDER_PX + down * side),
        slice(BORDER_PX, BORDER_PX + across * side),
    )
    deep = part if part.all() else _eroded(part, TILE_MARGIN_PX)
    measured = np.asarray(deep[whole].reshape(down, side, across, side).all(axis=(1, 3)), np.bool_)
    return Tiles(np.ascontiguousarray(luma[whole]), side, measured) if measured.any() else None


def _inside(pixels: NDArray[np.uint8], mask: NDArray[np.bool_] | None) -> NDArray[np.bool_]:
    inside = np.ones(pixels.shape[:2], dtype=np.bool_) if mask is None else mask
    if pixels.ndim == 3 and pixels.shape[2] == 4:
        return np.asarray(inside & (pixels[..., 3] > OPAQUE_ALPHA), dtype=np.bool_)
    return inside


def _luma(pixels: NDArray[np.uint8]) -> Luma:
    """Y = .299 R + .587 G + .114 B (ITU-R BT.601) of code values."""
    if pixels.ndim == 2:
        return pixels
    code = cv2.COLOR_RGBA2GRAY if pixels.shape[2] == 4 else cv2.COLOR_RGB2GRAY
    return np.asarray(cv2.cvtColor(pixels, code), np.uint8)


def _busiest_window(pixels: NDArray[np.uint8], inside: NDArray[np.bool_]) -> tuple[int, int]:
    """Top and left of the window with the most going on in it."""
    rows, cols = inside.shape
    if rows <= WINDOW_PX and cols <= WINDOW_PX:
        return 0, 0
    seen = slice(None, None, LOOKED_AT)
    luma = _luma(np.ascontiguousarray(pixels[seen, seen]))
    busy = np.minimum(cv2.Laplacian(luma, cv2.CV_8U), BUSY_MOST)
    busy[~_eroded(np.ascontiguousarray(inside[seen, seen]), OUTLINE_PX // LOOKED_AT)] = 0
    small = cv2.resize(busy.astype(np.float32), (-(-cols // WINDOW_STEP_PX), -(-rows // WINDOW_STEP_PX)),
                       interpolation=cv2.INTER_AREA)  # fmt: skip
    side = WINDOW_PX // WINDOW_STEP_PX
    sums = cv2.boxFilter(
        np.asarray(small, np.float32), -1, (side, side), anchor=(0, 0), borderType=cv2.BORDER_CONSTANT
    )
    last_row, last_col = max(small.shape[0] - side, 0), max(small.shape[1] - side, 0)
    best = np.unravel_index(np.argmax(sums[: last_row + 1, : last_col + 1]), (last_row + 1, last_col + 1))
    top = min(int(best[0]) * WINDOW_STEP_PX, max(rows - WINDOW_PX, 0))
    return top, min(int(best[1]) * WINDOW_STEP_PX, max(cols - WINDOW_PX, 0))


def _eroded(mask: NDArray[np.bool_], by_px: int) -> NDArray[np.bool_]:
    kernel = np.ones((2 * by_px + 1, 2 * by_px + 1), np.uint8)
    return np.asarray(cv2.erode(mask.view(np.uint8), kernel), dtype=np.bool_)
