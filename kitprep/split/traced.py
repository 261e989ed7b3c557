"""What a traced outline is.

Coordinates are raster pixels as in `kitprep.split.surroundings`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kitprep.split.edges import STRAIGHT


@dataclass(frozen=True, slots=True, eq=False)
class Traced:
    """An outline in raster pixels.

    Parameters
    ----------
    points : ndarray
        float, shape (n, 2), clockwise on the screen.
    box : tuple of float
        Left, top, right, bottom of what is opaque, which a joined outline may pass by.
    angle_deg : float
        Lean clockwise.
    rectangular : bool
        Whether `points` are the four corners of a rectangle.
    holes : tuple of ndarray
        Openings.
    sureness : float
        0 to 1: how well the edge was seen.
    """

    points: NDArray[Any]
    box: tuple[float, float, float, float]
    angle_deg: float
    rectangular: bool
    holes: tuple[NDArray[Any], ...] = ()
    sureness: float = 1.0


def rectangle_of(corners: NDArray[Any], shape: tuple[int, ...], sureness: float = 1.0) -> Traced:
    """The traced rectangle of four corners: straightened where it hardly leans, kept on the page."""
    top, right = corners[1] - corners[0], corners[2] - corners[1]
    bottom, left = corners[2] - corners[3], corners[3] - corners[0]
    across, down = top + bottom, right + left
    angle = float(np.degrees(np.arctan2(across[1] - down[0], across[0] + down[1])))
    if abs(angle) < STRAIGHT:
        angle = 0.0
        x = np.array([corners[[0, 3], 0].mean(), corners[[1, 2], 0].mean()]).clip(0, shape[1])
        y = np.array([corners[[0, 1], 1].mean(), corners[[2, 3], 1].mean()]).clip(0, shape[0])
        corners = np.array([[x[0], y[0]], [x[1], y[0]], [x[1], y[1]], [x[0], y[1]]])
    low, high = corners.min(axis=0), corners.max(axis=0)
    return Traced(corners, (low[0], low[1], high[0], high[1]), angle, True, sureness=sureness)
