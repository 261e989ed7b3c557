"""Smooth curves, outlines and where a motif stands.

Points are float64 arrays of shape (n, 2), columns x and y; y runs down.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
PointsLike = Points | Sequence[tuple[float, float]]


@dataclass(frozen=True)
class Frame:
    """Where a motif stands on a plate, and how large.

    Attributes
    ----------
    x, y
        The motif's own origin, in plate pixels.
    size
        Plate pixels to one motif unit.
    angle
        Clockwise turn in degrees.
    mirror
        Whether left and right change places before the turn.
    """

    x: float
    y: float
    size: float
    angle: float = 0.0
    mirror: bool = False

    def at(self, points: PointsLike) -> Points:
        """Carry motif points to plate pixels."""
        flat = np.asarray(points, np.float64).reshape(-1, 2) * self.size
        if self.mirror:
            flat = flat * np.array([-1.0, 1.0])
        turn = math.radians(self.angle)
        cos, sin = math.cos(turn), math.sin(turn)
        return flat @ np.array([[cos, sin], [-sin, cos]]) + np.array([self.x, self.y])

    def within(
        self, x: float, y: float, size: float = 1.0, angle: float = 0.0, mirror: bool = False
    ) -> Frame:
        """Make a frame inside this one, its place, size and turn given in this one's units."""
        (place,) = self.at([(x, y)])
        return replace(
            self,
            x=float(place[0]),
            y=float(place[1]),
            size=self.size * size,
            angle=self.angle + (-angle if self.mirror else angle),
            mirror=self.mirror != mirror,
        )


def smooth(points: PointsLike, closed: bool = False, steps: int = 14) -> Points:
    """Run a Catmull-Rom curve through the points.

    Parameters
    ----------
    points
        At least three places the curve goes through.
    closed
        Whether it returns to its start.
    steps
        Curve points for each given point.
    """
    given = np.asarray(points, np.float64)
    if closed:
        around = np.vstack([given[-1:], given, given[:2]])
    else:
        around = np.vstack([2 * given[:1] - given[1:2], given, 2 * given[-1:] - given[-2:-1]])
    share = np.linspace(0, 1, steps, endpoint=False)[:, None]
    pieces = []
    for a, b, c, d in zip(around, around[1:], around[2:], around[3:], strict=False):
        pieces.append(
            0.5
            * (
                2 * b
                + (c - a) * share
                + (2 * a - 5 * b + 4 * c - d) * share**2
                + (3 * b - a - 3 * c + d) * share**3
            )
        )
    curve = np.vstack(pieces)
    return curve if closed else np.vstack([curve, given[-1:]])


def ellipse(
    x: float, y: float, rx: float, ry: float, start: float = 0.0, end: float = 360.0, n: int = 72
) -> Points:
    """Run round an ellipse from one angle to another, degrees clockwise from the right."""
    turn = np.radians(np.linspace(start, end, n, endpoint=abs(end - start) < 360))
    return np.column_stack([x + rx * np.cos(turn), y + ry * np.sin(turn)])


def ribbon(line: PointsLike, width: float | Sequence[float]) -> Points:
    """Give a line a width, which may change along it.

    Parameters
    ----------
    line
        The middle of the ribbon.
    width
        Full width in the points' unit; several are spread evenly along the line.
    """
    middle = np.asarray(line, np.float64)
    along = np.gradient(middle, axis=0)
    along /= np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-9)[:, None]
    across = np.column_stack([-along[:, 1], along[:, 0]])
    half = np.interp(
        np.linspace(0, 1, len(middle)),
        np.linspace(0, 1, np.size(width)),
        np.ravel(np.asarray(width, np.float64)),
    )[:, None]
    return np.vstack([middle + across * half / 2, (middle - across * half / 2)[::-1]])


def resampled(line: PointsLike, step: float, closed: bool = False) -> Points:
    """Set points at even distances along a line.

    Parameters
    ----------
    line
        The line to follow.
    step
        Distance between points, in the points' unit.
    closed
        Whether the line returns to its start.
    """
    points = np.asarray(line, np.float64)
    if closed:
        points = np.vstack([points, points[:1]])
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    n = max(2, round(run[-1] / step))
    where = np.linspace(0, run[-1], n, endpoint=not closed)
    return np.column_stack([np.interp(where, run, points[:, 0]), np.interp(where, run, points[:, 1])])


def rectangle(x0: float, y0: float, x1: float, y1: float) -> Points:
    """Give the four corners of an upright rectangle, clockwise from the top left."""
    return np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], np.float64)
