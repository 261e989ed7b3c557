"""Printed rules: frames, lines, dots and small ornaments, as covers to be pressed onto paper."""

from __future__ import annotations

import cv2
import numpy as np

from .curves import Points, PointsLike
from .engraving import SHIFT
from .noise import Field

FINE = 4


class Rules:
    """A sheet of rules the size of a piece, drawn fine and reduced.

    Parameters
    ----------
    width, height
        Size in pixels.
    """

    def __init__(self, width: int, height: int) -> None:
        self.width, self.height = width, height
        self._canvas = np.zeros((height * FINE, width * FINE), np.uint8)

    def line(self, points: PointsLike, width: float, closed: bool = False, ink: int = 255) -> None:
        """Draw a line of a width in pixels."""
        fixed = np.round(np.asarray(points, np.float64) * FINE * (1 << SHIFT)).astype(np.int32)
        cv2.polylines(self._canvas, [fixed], closed, ink, max(1, round(width * FINE)), cv2.LINE_8, SHIFT)

    def box(self, x0: float, y0: float, x1: float, y1: float, width: float, corner: float = 0.0) -> None:
        """Draw a frame; a corner above 0 is scooped inwards by that radius."""
        self.line(scooped(x0, y0, x1, y1, corner), width, closed=True)

    def fill(self, outline: PointsLike, ink: int = 255) -> None:
        """Fill an outline."""
        fixed = np.round(np.asarray(outline, np.float64) * FINE * (1 << SHIFT)).astype(np.int32)
        cv2.fillPoly(self._canvas, [fixed], ink, cv2.LINE_8, SHIFT)

    def dots(self, x0: float, x1: float, y: float, pitch: float, radius: float) -> None:
        """Draw a row of dots."""
        for x in np.arange(x0, x1 + 0.1, pitch):
            cv2.circle(
                self._canvas, (round(x * FINE), round(y * FINE)), round(radius * FINE), 255, -1, cv2.LINE_8
            )

    def lozenge(self, x: float, y: float, half: float, tall: float = 1.0) -> None:
        """Draw a small diamond."""
        self.fill([(x - half, y), (x, y - half * tall), (x + half, y), (x, y + half * tall)])

    def cover(self) -> Field:
        """Give the cover at printed size."""
        small = cv2.resize(self._canvas, (self.width, self.height), interpolation=cv2.INTER_AREA)
        return small.astype(np.float32) / 255


def scooped(x0: float, y0: float, x1: float, y1: float, corner: float) -> Points:
    """Give a rectangle whose corners are scooped inwards, clockwise from the top left."""
    if corner <= 0:
        return np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], np.float64)
    arcs = []
    for x, y, start in ((x0, y0, 90), (x1, y0, 180), (x1, y1, 270), (x0, y1, 0)):
        turn = np.radians(np.linspace(start, start - 90, 12))
        arcs.append(np.column_stack([x + corner * np.cos(turn), y + corner * np.sin(turn)]))
    return np.vstack(arcs)


def tally_marks(count: int, height: float, rng: np.random.Generator) -> Field:
    """Strike a count by hand: four strokes, and a fifth across them.

    Parameters
    ----------
    count
        How many; at least 1.
    height
        Height of a stroke in pixels.
    rng
        Source of the hand's unsteadiness.

    Returns
    -------
    Field
        Cover from 0 to 1.
    """
    pitch = height * 0.36
    rules = Rules(int(pitch * (count + count // 5 + 3)), int(height * 1.5))
    x = pitch
    for at in range(count):
        top, bottom = height * 0.25 + rng.normal(0, 1.5), height * 1.25 + rng.normal(0, 1.5)
        if at % 5 == 4:
            rules.line(
                [(x - pitch * 4.5, bottom - height * 0.2), (x - pitch * 0.3, top + height * 0.16)], 3.2
            )
            x += pitch * 0.6
        else:
            rules.line([(x + height * 0.09 + rng.normal(0, 1.2), top), (x + rng.normal(0, 1.2), bottom)], 3.2)
            x += pitch
    return rules.cover()
