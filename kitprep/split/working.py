"""The page at the scale at which it is looked at: about 100 pixels per inch, in CIE Lab.

Coordinates here are *working pixels*: x to the right, y down, (0, 0) the corner of the first pixel.
100 pixels per inch is enough to see every gutter of 0.02 in as two pixels; finer work gains no element
and costs time. Exact edges are measured afterwards on the raster itself (`kitprep.split.outlines`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.pages import PagePpi, Raster

WORKING_PPI = 100.0
MOST_WORKING_PIXELS = 2_500_000
SMOOTH_FROM = 0.9  # reduced to less than this, pixels must be averaged; above, two of them are enough
TWO_THIRDS = 0.05  # of two thirds; a reduction this near to it is made exactly that, which is quicker
SOLID_ALPHA = 128  # an element's pixel is one that is at least half opaque


@dataclass(frozen=True, slots=True, eq=False)
class Working:
    """A page ready to be looked at.

    Parameters
    ----------
    lab : ndarray
        uint8, shape (rows, cols, 3), CIE Lab as OpenCV scales it: L over 0 to 255, a and b plus 128.
    opaque : ndarray or None
        uint8 0 or 255, shape (rows, cols), where the page is opaque; None where it has no transparency.
    ppi : float
        Working pixels per inch (geometric mean of across and down).
    to_raster : tuple of float
        Raster pixels per working pixel, across and down.
    """

    lab: NDArray[Any]
    opaque: NDArray[Any] | None
    ppi: float
    to_raster: tuple[float, float]

    @property
    def rows(self) -> int:
        """Working pixels down."""
        return int(self.lab.shape[0])

    @property
    def cols(self) -> int:
        """Working pixels across."""
        return int(self.lab.shape[1])

    def px(self, inches: float) -> float:
        """Working pixels in so many inches."""
        return inches * self.ppi


def look_at(raster: Raster, ppi: PagePpi) -> Working:
    """Reduce a page to the working scale.

    Parameters
    ----------
    raster : Raster
        uint8 sRGB with or without straight alpha.
    ppi : PagePpi
        Of the page at full scale.
    """
    rows, cols = raster.pixels.shape[:2]
    across, down = raster.scale
    raster_ppi = ((ppi.x / across) * (ppi.y / down)) ** 0.5
    by = min(1.0, WORKING_PPI / raster_ppi, (MOST_WORKING_PIXELS / (rows * cols)) ** 0.5)
    small, to_raster = _reduced(raster.pixels, by)
    return Working(
        lab=cv2.cvtColor(small, cv2.COLOR_RGB2LAB),
        opaque=_opaque(small),
        ppi=raster_ppi / (to_raster[0] * to_raster[1]) ** 0.5,
        to_raster=to_raster,
    )


def _reduced(pixels: NDArray[Any], by: float) -> tuple[NDArray[Any], tuple[float, float]]:
    """The pixels reduced, and how many of them one reduced pixel is across and down."""
    rows, cols = pixels.shape[:2]
    if by == 1.0:
        return pixels, (1.0, 1.0)
    if abs(by * 1.5 - 1) <= TWO_THIRDS and min(rows, cols) >= 3:
        reduced = cv2.transpose(_rows_by_two_thirds(cv2.transpose(_rows_by_two_thirds(pixels))))
        return reduced, (1.5, 1.5)
    size = (max(1, round(cols * by)), max(1, round(rows * by)))
    way = cv2.INTER_AREA if by < SMOOTH_FROM else cv2.INTER_LINEAR
    return cv2.resize(pixels, size, interpolation=way), (cols / size[0], rows / size[1])


def _rows_by_two_thirds(pixels: NDArray[Any]) -> NDArray[Any]:
    """Two rows, each the mean of one and a half, for every three; those of an unfinished last pixel dropped."""
    rows, cols, channels = pixels.shape
    whole = cv2.copyMakeBorder(pixels, 0, -rows % 3, 0, 0, cv2.BORDER_REPLICATE) if rows % 3 else pixels
    first, middle, last = (whole.reshape(-1, 3, cols * channels)[:, at] for at in range(3))
    reduced = np.empty((len(first), 2, cols, channels), np.uint8)
    reduced[:, 0] = cv2.addWeighted(first, 2 / 3, middle, 1 / 3, 0).reshape(-1, cols, channels)
    reduced[:, 1] = cv2.addWeighted(last, 2 / 3, middle, 1 / 3, 0).reshape(-1, cols, channels)
    return reduced.reshape(-1, cols, channels)[: round(rows * 2 / 3)]


def _opaque(pixels: NDArray[Any]) -> NDArray[Any] | None:
    if pixels.shape[2] < 4:
        return None
    alpha = cv2.extractChannel(pixels, 3)
    if int(alpha.min()) >= SOLID_ALPHA:
        return None
    return cv2.threshold(alpha, SOLID_ALPHA - 1, 255, cv2.THRESH_BINARY)[1]
