"""How far the pixels of a raster are from the background, measured only where it is asked for.

Coordinates are *raster pixels*: x to the right, y down, (0, 0) the corner of the first pixel, so a
pixel's middle is at a half.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.split.background import CHROMA_WEIGHT, Background, background_at, distance_from
from kitprep.split.softness import may_be_shade, shade_of

SPECKS = 0.7  # of the page's roughness


@dataclass(frozen=True, slots=True, eq=False)
class Surroundings:
    """A raster with its background, to measure edges against.

    Parameters
    ----------
    pixels : ndarray
        uint8, shape (rows, cols, 3 or 4), sRGB with or without straight alpha.
    background : Background or None
        None where transparency says exactly what is background; then distance is alpha.
    px_per_inch : float
        Raster pixels per inch.
    shadowed : bool
        Whether elements of the page throw soft shadows.
    roughness : float
        Distance that specks of the page reach, at least the background's threshold.
    """

    pixels: NDArray[Any]
    background: Background | None
    px_per_inch: float
    shadowed: bool = False
    roughness: float = 0.0

    @property
    def least_contrast(self) -> float:
        """Distance below which nothing is an edge."""
        return 64.0 if self.background is None else max(2.0, 0.7 * self.background.threshold)

    @property
    def specks(self) -> float:
        """Distance within which a pixel may be a speck of the page."""
        return SPECKS * self.roughness

    def sample(self, x: NDArray[Any], y: NDArray[Any]) -> NDArray[Any]:
        """Distance from the background at places; float32, of the shape of `x`."""
        values = self._remapped(x, y)
        if self.background is None:
            return values[..., 3].astype(np.float32)
        return self._distance(values, x, y, self.background)

    def colours(self, x: NDArray[Any], y: NDArray[Any]) -> NDArray[Any]:
        """Lab as OpenCV scales it, at places; uint8, of the shape of `x` and 3."""
        return cv2.cvtColor(self._remapped(x, y), cv2.COLOR_RGB2LAB)

    def colours_and_distance(self, x: NDArray[Any], y: NDArray[Any]) -> tuple[NDArray[Any], NDArray[Any]]:
        """Lab as OpenCV scales it, uint8, and its distance from the background, float32, at places."""
        values = self._remapped(x, y)
        lab = cv2.cvtColor(values, cv2.COLOR_RGB2LAB)
        if self.background is None:
            return lab, values[..., 3].astype(np.float32)
        return lab, self._distance(values, x, y, self.background)

    def distance_and_shade(self, x: NDArray[Any], y: NDArray[Any]) -> tuple[NDArray[Any], NDArray[Any]]:
        """Distance from the background at places, float32, and whether it may be the background in shade."""
        colours, distance = self.colours_and_distance(x, y)
        return distance, self.shade(colours, x, y)

    def shade(self, colours: NDArray[Any], x: NDArray[Any], y: NDArray[Any]) -> NDArray[Any]:
        """Whether 8-bit Lab at places may be the background in shade; bool."""
        if self.background is None:
            return np.zeros(x.shape, bool)
        ground = self.background.ground
        if self.background.is_flat:
            return shade_of(colours, ground[0, 0]) > 0
        rows, cols = self.pixels.shape[:2]
        return may_be_shade(colours.astype(np.float32), background_at(ground, x / cols, y / rows))

    def within(self, left: int, top: int, right: int, bottom: int) -> NDArray[Any]:
        """Distance from the background in a box; float32, shape (bottom - top, right - left)."""
        part = self.pixels[top:bottom, left:right]
        if self.background is None:
            return part[..., 3].astype(np.float32)
        y, x = (None, None) if self.background.is_flat else np.mgrid[top:bottom, left:right]
        return self._distance(part, x, y, self.background)

    def _remapped(self, x: NDArray[Any], y: NDArray[Any]) -> NDArray[Any]:
        """All bands at places between pixels."""
        at_x, at_y = np.asarray(x - 0.5, np.float32), np.asarray(y - 0.5, np.float32)
        return cv2.remap(self.pixels, at_x, at_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)

    def _distance(
        self, pixels: NDArray[Any], x: NDArray[Any] | None, y: NDArray[Any] | None, background: Background
    ) -> NDArray[Any]:
        lab = cv2.cvtColor(pixels, cv2.COLOR_RGB2LAB)
        if x is None or y is None or background.is_flat:
            return distance_from(lab, background.ground[0, 0]).astype(np.float32)
        rows, cols = self.pixels.shape[:2]
        there = background_at(background.ground, x / cols, y / rows)
        off = np.abs(lab.astype(np.float32) - there)
        return np.asarray(np.maximum(off[..., 0], CHROMA_WEIGHT * np.maximum(off[..., 1], off[..., 2])))
