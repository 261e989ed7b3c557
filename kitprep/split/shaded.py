"""The edge of a cut-out that throws a shadow: where the colour steps, not where the shade begins."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.split.edges import steps
from kitprep.split.surroundings import Surroundings

INWARDS, OUTWARDS = 0.09, 0.02  # in; how far the step is looked for from where the shade was left
SMOOTHED = 0.12  # in of outline over which the middle offset is taken, so that one bright spot moves nothing
APART = 2  # points of a dense outline from one that is looked at to the next; the others go along
LEAST = 6.0  # levels of Lab over two places; less is no step


def moved_to_steps(points: NDArray[Any], around: Surroundings) -> NDArray[Any]:
    """A dense contour, clockwise on the screen in raster px, moved along its normals to the step of colour."""
    count = len(points)
    apart = min(4, count // 8)
    if apart < 1:
        return points
    along = np.roll(points, -apart, axis=0) - np.roll(points, apart, axis=0)
    along /= np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-6)[:, None]
    outward = np.stack([along[:, 1], -along[:, 0]], 1)
    offsets = np.arange(OUTWARDS * around.px_per_inch, -INWARDS * around.px_per_inch, -0.5)
    looked = np.arange(0, count, APART)
    x = points[looked, :1] + outward[looked, :1] * offsets
    y = points[looked, 1:] + outward[looked, 1:] * offsets
    colours = around.colours(x, y)
    found, seen = steps(_travelled(colours), offsets, LEAST, around.shade(colours, x, y))
    if seen.sum() < 0.3 * len(looked):
        return points
    filled = np.interp(looked, looked[seen], found[seen], period=count)
    moved = np.interp(np.arange(count), looked, _smoothed(filled, around), period=count)
    return np.asarray(points + outward * moved[:, None])


def _travelled(colours: NDArray[Any]) -> NDArray[Any]:
    """Length of the path through colour along each profile: its rise at a place is the change there."""
    change = cv2.absdiff(colours[:, 1:], colours[:, :-1]).max(axis=2)
    change = cv2.blur(np.asarray(change, np.float32), (1, 5))
    return np.concatenate([np.zeros((len(change), 1), np.float32), np.cumsum(change, axis=1)], axis=1)


def _smoothed(offsets: NDArray[Any], around: Surroundings) -> NDArray[Any]:
    """Running middle value round the outline."""
    half = max(1, round(SMOOTHED * around.px_per_inch / (2 * APART)))
    half = min(half, (len(offsets) - 1) // 2)
    ring = np.concatenate([offsets[-half:], offsets, offsets[:half]])
    windows = np.lib.stride_tricks.sliding_window_view(ring, 2 * half + 1)
    return np.asarray(np.median(windows, axis=1))
