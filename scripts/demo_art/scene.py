"""The scene that the night orchard is painted in, and the light in it.

The canvas is twice the printed size. Every coordinate that a caller gives is in printed pixels.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import cv2
import numpy as np
from numpy.typing import NDArray

from .curves import Points
from .engraving import SHIFT
from .palette import AMBER, BARK, INK, Colour, mixed

FINE = 2
WOOD = mixed(BARK, INK, 0.72)
Canvas = NDArray[np.uint8]


@dataclass(frozen=True)
class Composition:
    """Where things hang in the picture, as shares of its width and height.

    Attributes
    ----------
    moon
        Middle of the moon.
    hooks
        Where the lanterns' bails hang.
    on_the_ground
        Whether a ladder, a basket and a fourth lantern stand under the near tree.
    """

    moon: tuple[float, float] = (0.7, 0.2)
    hooks: tuple[tuple[float, float], ...] = ((0.4, 0.315), (0.62, 0.365), (0.085, 0.36))
    on_the_ground: bool = True


@dataclass
class Scene:
    """The picture while it is painted, and the lights in it.

    Attributes
    ----------
    canvas
        uint8 RGB at twice the printed size.
    moon
        Place of the moon in printed pixels.
    lamps
        Place and reach of each lamp in printed pixels.
    """

    width: int
    height: int
    rng: np.random.Generator
    moon: tuple[float, float, float]
    lamps: list[tuple[float, float, float]] = field(default_factory=list)
    canvas: Canvas = field(init=False)

    def fill(self, outline: Points, paint: Colour) -> None:
        """Fill an outline given in printed pixels."""
        fixed = np.round(outline * FINE * (1 << SHIFT)).astype(np.int32)
        cv2.fillPoly(self.canvas, [fixed], [round(c * 255) for c in paint], cv2.LINE_AA, SHIFT)

    def lit(self, x: float, y: float, dark: Colour, moonlit: Colour, facing: float) -> Colour:
        """Colour of a surface: dark, lighter towards the moon, warm near a lamp."""
        paint = mixed(dark, moonlit, max(0.0, min(1.0, facing)))
        for lx, ly, reach in self.lamps:
            warmth = math.exp(-((math.hypot(x - lx, y - ly) / reach) ** 2) * 1.6)
            paint = mixed(paint, AMBER, min(0.8, warmth * (0.45 + 0.4 * self.rng.random())))
        return paint
