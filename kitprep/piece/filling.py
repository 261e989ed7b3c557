"""Fills a picture from some of its pixels outward, softly: what the bleeds of cut-outs are made of."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.piece.cleaning import Floats, Mask, distance_to

CORNER_REACH = 1.5  # times the radius of a disc: reaches from its middle past a right corner, at 1.41
SMOOTHING = 0.6  # width (sigma) of the smoothing per pixel of distance
SMOOTHING_LEVELS = (1.0, 2.0, 4.0, 8.0, 16.0)  # widths made; between them is interpolated


def filled_from(colours: Floats, rim: Mask, still: Mask, seen_px: float) -> Floats:
    """Each pixel in the colour of the nearest of a rim, smoothed the more, the farther from there it lies.

    Parameters
    ----------
    colours : ndarray
        float32, shape (rows, cols, channels), premultiplied.
    rim : ndarray
        bool, shape (rows, cols): not empty.
    still : ndarray
        bool, shape (rows, cols): what is not smoothed.
    seen_px : float
        Farther from the rim than this nothing is shown, so nothing is smoothed.

    Returns
    -------
    ndarray
        Like `colours`.
    """
    filled, distance = nearest(colours, rim)
    return _smoothed(filled, np.where(still, 0, distance), seen_px)


def picture(straight: NDArray[Any], alpha: NDArray[Any]) -> Floats:
    """Colours not premultiplied and alpha, both 0 to 255, as one: float32, shape (rows, cols, 4)."""
    return np.asarray(np.clip(np.dstack([straight, alpha]), 0, 255), dtype=np.float32)


def over(above: Floats, below: Floats) -> Floats:
    """One picture of straight alpha, 0 to 255, laid over another (Porter and Duff 1984)."""
    top, under = above[..., 3:] / 255, below[..., 3:] / 255 * (1 - above[..., 3:] / 255)
    opacity = top + under
    colour = (above[..., :3] * top + below[..., :3] * under) / np.maximum(opacity, 1 / 255)
    return picture(colour, opacity[..., 0] * 255)


def wider_than(width: float, mask: Mask) -> Mask:
    """The parts of a mask that a disc of that width fits into, with their corners left sharp."""
    if not mask.any():
        return mask
    fits = mask & (distance_to(~mask) > width / 2)
    if not fits.any():
        return fits
    return np.asarray(mask & (distance_to(fits) <= width / 2 * CORNER_REACH), dtype=np.bool_)


def nearest(colours: Floats, core: Mask) -> tuple[Floats, Floats]:
    """Each pixel's nearest core colour, and how far that is."""
    distance, label = cv2.distanceTransformWithLabels(
        (~core).astype(np.uint8), cv2.DIST_L2, cv2.DIST_MASK_5, labelType=cv2.DIST_LABEL_PIXEL
    )
    table = np.zeros((int(label.max()) + 1, colours.shape[2]), dtype=np.float32)
    table[label[core]] = colours[core]
    return table[label], np.asarray(distance, dtype=np.float32)


def _smoothed(filled: Floats, distance: NDArray[Any], seen_px: float) -> Floats:
    """Blur what was filled, the more the farther it lies from where it came from."""
    wanted = SMOOTHING * np.where(distance <= seen_px + 1, distance, 0)
    smooth, below, narrower = filled.copy(), filled, 0.0
    for width in SMOOTHING_LEVELS:
        if not (wanted > narrower).any():
            break
        above = _blurred(filled, width)
        last = width == SMOOTHING_LEVELS[-1]
        between = (wanted > narrower) & ((wanted <= width) | last)
        share = (np.minimum(wanted[between], width) - narrower)[:, None] / (width - narrower)
        smooth[between] = below[between] * (1 - share) + above[between] * share
        below, narrower = above, width
    return smooth


def _blurred(picture: Floats, width: float) -> Floats:
    """A Gaussian blur; wide ones on a reduced picture, where they look the same and cost less."""
    reduce = max(int(width / 2), 1)
    rows, cols = picture.shape[:2]
    small_px = max(cols // reduce, 1), max(rows // reduce, 1)
    small = cv2.resize(picture, small_px, interpolation=cv2.INTER_AREA) if reduce > 1 else picture
    small = cv2.GaussianBlur(small, (0, 0), width / reduce)
    large = cv2.resize(small, (cols, rows), interpolation=cv2.INTER_LINEAR) if reduce > 1 else small
    return np.asarray(large, dtype=np.float32)
