"""Lays an even border around a cut-out, as stickers have it, and finds the line to cut it along.

The border is all that lies within its width of the figure. Its outer joins are round for that, and notches
narrower than half its width are rounded out, since scissors do not follow them. Openings are filled: a
sticker has a back.
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.pages import Outline
from kitprep.piece.cleaning import Floats, Mask, distance_to
from kitprep.piece.colours import Colour
from kitprep.piece.filling import over, picture
from kitprep.piece.opacity import Samples, from_levels, in_levels

NOTCH_SHARE = 0.5  # of the border's width: the radius to which inward joins are rounded
SMOOTHING_PX = 0.5  # an outline may leave the border's edge by so much; less than a cutter's own error


def border_reach_px(border_px: float, bleed_px: float) -> float:
    """How far around a figure pixels are needed."""
    return border_px * (1 + NOTCH_SHARE) + bleed_px + 2


def bordered(
    figure: NDArray[Samples], kept: Floats, border_px: float, bleed_px: float, colour: Colour
) -> tuple[NDArray[Samples], Outline]:
    """A figure with a border.

    Parameters
    ----------
    figure : ndarray
        uint8 or uint16, shape (rows, cols, 4), straight alpha: the cut-out without bleed.
    kept : ndarray
        float32, shape (rows, cols), 0 to 1: the cut-out's shape, its openings filled.
    border_px, bleed_px : float
        How wide the border is, and how far its colour goes on beyond the line it is cut at.
    colour : Colour
        Of the border.

    Returns
    -------
    ndarray
        The same dtype and shape.
    Outline
        The outer edge of the border, in pixels from the corner of the first.
    """
    inside = _inside_of_border(kept, border_px)
    share = np.clip(inside + bleed_px + 0.5, 0, 1)
    ground = np.broadcast_to(np.array(colour, dtype=np.float32), (*kept.shape, 3))
    layer = over(in_levels(figure), picture(ground, share * 255))
    return from_levels(layer, figure.dtype), _outline(inside > -0.5)


def _inside_of_border(kept: Floats, border_px: float) -> Floats:
    """How far inside the border's outer edge each pixel's middle lies, negative beyond it."""
    notch = border_px * NOTCH_SHARE
    # A pixel's edge lies half a pixel from its middle, where coverage passes one half.
    wide: Mask = distance_to(kept >= 0.5) <= border_px + notch + 0.5
    shape = _filled(distance_to(~wide) > notch + 0.5)
    return np.asarray(np.where(shape, distance_to(~shape) - 0.5, 0.5 - distance_to(shape)), dtype=np.float32)


def _filled(shape: Mask) -> Mask:
    """A shape with what it encloses."""
    contours, _ = cv2.findContours(shape.astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    full = np.zeros(shape.shape, np.uint8)
    cv2.drawContours(full, contours, -1, (1,), cv2.FILLED)
    return np.asarray(full > 0, dtype=np.bool_)


def _outline(shape: Mask) -> Outline:
    """The outer edge of a shape's largest part, along the edges of its pixels' middles."""
    contours, _ = cv2.findContours(shape.astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    largest = max(contours, key=cv2.contourArea)
    smooth = cv2.approxPolyDP(largest, SMOOTHING_PX, closed=True)[:, 0, :]
    return tuple((float(x) + 0.5, float(y) + 0.5) for x, y in smooth)
