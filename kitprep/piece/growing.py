"""Carries a cut-out past the line it is cut at, without a fringe of the page.

1. The outline gives a mask. Just inside it pixels are mixed with the page; how deep is measured on the
   picture itself, so that a thin dark contour is not lost with them. What lies deeper is the core and is
   kept as it is.
2. Every other pixel takes the colour of the nearest pixel on the core's rim.
3. That is smoothed the more, the farther from the core it lies; else each edge pixel would draw a ray.
4. Opacity is full up to the bleed beyond the line, with a soft outer edge of one pixel.

Feelers, hairs and tips too thin for scissors are laid over that as they are, with their own soft edge:
grown, they would be a blot. Openings inside the line stay open: they are not cut.

A page with alpha tells more, see `growing_by_alpha`.
"""

from __future__ import annotations

from collections.abc import Iterable

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.pages import Outline
from kitprep.piece.cleaning import (
    DEEPEST_SOFT_PX,
    LUMA,
    RIM_PX,
    Floats,
    Mask,
    core_of,
    distance_to,
    page_colour,
    within,
)
from kitprep.piece.filling import filled_from, nearest, over, picture, wider_than
from kitprep.piece.growing_by_alpha import grow_by_alpha
from kitprep.piece.opacity import Samples, from_levels, in_levels
from kitprep.piece.ringing import without_ringing
from kitprep.piece.shape import Shape

FINER = 8  # the outline is drawn this many times finer, so that its edge has 64 steps of coverage
PURE_SHARE = 0.85  # of the greatest difference from the page nearby: a pixel of a hair that has it is unmixed


def coverage(polygons: Iterable[Outline], size_px: tuple[int, int]) -> Floats:
    """How much of each pixel lies inside one of some polygons.

    Parameters
    ----------
    polygons : iterable of Outline
        In pixels from the corner of the first pixel.
    size_px : tuple of int
        Width and height of the answer.

    Returns
    -------
    ndarray
        float32, shape (rows, cols), 0 to 1.
    """
    wide, high = size_px
    fine = np.zeros((high * FINER, wide * FINER), dtype=np.uint8)
    for polygon in polygons:
        points = np.array(polygon, dtype=np.float64) * FINER - 0.5
        cv2.fillPoly(fine, [np.rint(points * 256).astype(np.int32)], 255, lineType=cv2.LINE_8, shift=8)
    small = cv2.resize(fine, (wide, high), interpolation=cv2.INTER_AREA)
    return np.asarray(small, dtype=np.float32) / np.float32(255)


def grow(pixels: NDArray[Samples], shape: Shape, bleed_px: float, thin_px: float = 0.0) -> NDArray[Samples]:
    """A cut-out with its colours grown outward from the line it is cut at.

    Beyond a crop the cut-out's own pixels are the bleed.

    Parameters
    ----------
    pixels : ndarray
        uint8 or uint16, shape (rows, cols, 3), or (rows, cols, 4) with straight alpha: the page around the
        cut-out.
    shape : Shape
        On the same grid.
    bleed_px : float
        How far to grow; 0 keeps the cut-out's own soft edge.
    thin_px : float
        Parts narrower than this are not grown.

    Returns
    -------
    ndarray
        The same dtype, shape (rows, cols, 4), straight alpha.
    """
    levels = in_levels(pixels)
    grown = (_grown_by_colour if pixels.shape[2] == 3 else grow_by_alpha)(levels, shape, bleed_px, thin_px)
    return from_levels(grown, pixels.dtype)


def _grown_by_colour(colours: Floats, shape: Shape, bleed_px: float, thin_px: float) -> Floats:
    mask = (shape.whole >= 0.5) & (shape.holes < 0.5)
    solid = wider_than(thin_px, mask)
    own = shape.whole * (1 - shape.holes)
    layer = np.zeros((*mask.shape, 4), dtype=np.float32)
    if solid.any():
        layer = _solid_layer(colours, own, solid, shape, bleed_px)
    if (mask & ~solid).any():
        layer = over(_fine_layer(colours, own * shape.kept, mask, mask & ~solid), layer)
    return layer


def _solid_layer(colours: Floats, own: Floats, solid: Mask, shape: Shape, bleed_px: float) -> Floats:
    """What can be cut, with its bleed: straight alpha, 0 to 255."""
    core, pure = core_of(colours, solid)
    colours = without_ringing(colours, solid, core)
    # Only the core's own rim colours the bleed: blurring must not draw in what lies behind a contour.
    grown = filled_from(colours, pure & within(RIM_PX - 1, ~pure), pure, bleed_px + DEEPEST_SOFT_PX)
    tinted = core & ~pure
    grown[tinted] += (colours[tinted] - grown[tinted]) @ LUMA[:, None]
    grown[pure] = colours[pure]
    share = np.where(core, 1, np.where(within(RIM_PX, solid), own, 0))
    if bleed_px:
        inside = shape.kept >= 0.5
        at_the_cut = within(DEEPEST_SOFT_PX, ~inside)
        full = np.clip(bleed_px + 1 - distance_to(solid & inside), 0, 1)
        share = np.where(at_the_cut, full, share)
    else:
        share = share * np.where(shape.whole == shape.kept, 1, shape.kept)
    return picture(grown, share * 255)


def _fine_layer(colours: Floats, own: Floats, mask: Mask, fine: Mask) -> Floats:
    """What is too thin to cut, in its purest colours: straight alpha, 0 to 255."""
    difference = np.sqrt(np.square(colours - page_colour(colours, mask)).sum(axis=2))
    away = np.where(fine, difference, np.float32(0))
    purest = cv2.dilate(away, np.ones((5, 5), np.uint8))
    straight, _ = nearest(colours, fine & (away >= PURE_SHARE * purest))
    return picture(straight, np.where(within(RIM_PX, fine) & (fine | ~mask), own * 255, 0))
