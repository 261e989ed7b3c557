"""Openings in elements: the hole of a tag, the inside of a frame.

An opening shows the background and nothing else. In a thin line it is the face of a label, which belongs to
the label; in a frame, which is broad, it is what one looks through and cuts out.

Coordinates are raster pixels as in `kitprep.split.surroundings`.
"""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.split.regions import filled_contour
from kitprep.split.surroundings import Surroundings

OPEN_SHARE = 0.12  # of the element's usual distance: so is what is this near, ripples and all
OPEN = 1.4  # times the least contrast: what is this near to the background is an opening
SMALL_HOLE = 0.35  # in; a hole punched for a string
LEAST_SIDE = 0.05  # in; of any opening
LEAST_FRAMED = 0.15  # of the element, that a frame goes round
FRAME = 0.055  # in; the least breadth of a frame where it is broadest, so that it is more than a line
EMPTY = 0.985  # of an opening is background; a label's face has words on it
SMOOTH = 0.85  # of its hull


def find_openings(
    inside: NDArray[Any], distance: NDArray[Any], core: NDArray[Any], around: Surroundings
) -> list[NDArray[Any]]:
    """Contours of the openings of an element, as OpenCV gives them.

    Parameters
    ----------
    inside : ndarray
        uint8 0 or 255: the element, its openings included.
    distance : ndarray
        float32, of that shape: distance from the background.
    core : ndarray
        uint8 0 or 255: the element without its edge, where openings are looked for.
    around : Surroundings
        The raster.
    """
    clear = cv2.bitwise_and(cv2.inRange(distance, 0.0, _plain(distance, core, around)), core)
    if not cv2.countNonZero(clear):
        return []
    clear = cv2.morphologyEx(clear, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    contours, _ = cv2.findContours(clear, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    return [
        contour
        for contour in contours
        if len(contour) > 8 and _is_opening(contour, clear, inside, distance, around)
    ]


def _plain(distance: NDArray[Any], core: NDArray[Any], around: Surroundings) -> float:
    if around.background is None:
        return 127.0
    levels = cv2.calcHist([cv2.convertScaleAbs(distance)], [0], core, [256], [0, 256]).ravel()
    usual = float(np.searchsorted(np.cumsum(levels), 0.5 * levels.sum()))
    return max(around.specks * OPEN, OPEN * around.least_contrast, OPEN_SHARE * usual)


def _is_opening(
    contour: NDArray[Any],
    clear: NDArray[Any],
    inside: NDArray[Any],
    distance: NDArray[Any],
    around: Surroundings,
) -> bool:
    left, top, width, height = cv2.boundingRect(contour)
    least = (LEAST_SIDE * around.px_per_inch) ** 2
    if width * height < least:
        return False
    area = cv2.contourArea(contour)
    if area < least:
        return False
    if around.background is None:
        return True
    if max(width, height) < SMALL_HOLE * around.px_per_inch:
        return bool(area > 0.7 * (width - 1) * (height - 1) and max(width, height) < 1.3 * min(width, height))
    if area < LEAST_FRAMED * cv2.countNonZero(inside):
        return False
    if area < SMOOTH * cv2.contourArea(cv2.convexHull(contour)):
        return False
    whole = filled_contour(contour, left, top, width, height)
    shown = cv2.bitwise_and(clear[top : top + height, left : left + width], whole)
    if cv2.countNonZero(shown) < EMPTY * cv2.countNonZero(whole):
        return False
    return _breadth(inside, distance, around) >= FRAME * around.px_per_inch


def _breadth(inside: NDArray[Any], distance: NDArray[Any], around: Surroundings) -> float:
    """How broad what is not background of an element is where it is broadest, but for a twentieth of it."""
    solid = cv2.bitwise_and(inside, cv2.inRange(distance, around.least_contrast, np.inf))
    framed = cv2.copyMakeBorder(solid, 1, 1, 1, 1, cv2.BORDER_CONSTANT, value=0)
    depth = cv2.distanceTransform(framed, cv2.DIST_L2, 3)
    return 2.0 * float(np.percentile(depth[depth > 0], 95)) if cv2.countNonZero(solid) else 0.0
