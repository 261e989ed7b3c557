"""Carries a cut-out past the line it is cut at, without a fringe of the page.

1. The outline gives a mask. Just inside it pixels are mixed with the page; how deep is measured on the
   picture itself, so that a thin dark contour is not lost with them. What lies deeper is the core and is
   kept as it is.
2. Every other pixel takes the colour of the nearest pixel on the core's rim.
3. That is smoothed the more, the farther from the core it lies; else each edge pixel would draw a ray.
4. Opacity is full up to the bleed beyond the line, with a soft outer edge of one pixel.

Feelers, hairs and tips too thin for scissors are laid over that as they are, with their own soft edge:
grown, they would be a blot. Openings inside the line, and what is transparent there on the page, stay
open: they are not cut.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.pages import Outline
from kitprep.piece.cleaning import (
    DEEPEST_SOFT_PX,
    LUMA,
    Floats,
    Mask,
    core_of,
    distance_to,
    page_colour,
    within,
)

FINER = 3  # the outline is drawn this many times finer, so that its edge has ten steps of coverage
PURE_SHARE = 0.85  # of the greatest difference from the page nearby: a pixel of a hair that has it is unmixed
RIM_PX = 2  # an anti-aliased edge reaches no farther out
CORNER_REACH = 1.5  # times the radius of a disc: reaches from its middle past a right corner, at 1.41
FAINT_ALPHA = 25  # a tenth: less opacity is the outer rim of an anti-aliased edge
SMOOTHING = 0.6  # width (sigma) of the smoothing per pixel of distance
SMOOTHING_LEVELS = (1.0, 2.0, 4.0, 8.0, 16.0)  # widths made; between them is interpolated


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


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """A cut-out's shape on a grid of pixels; each array is a `coverage`, float32, shape (rows, cols).

    Parameters
    ----------
    whole : ndarray
        Inside the outline of the whole element.
    kept : ndarray
        Inside the line it is cut at: the same, or less where it is cropped.
    holes : ndarray
        Inside its openings.
    """

    whole: Floats
    kept: Floats
    holes: Floats


def grow(pixels: NDArray[np.uint8], shape: Shape, bleed_px: float, thin_px: float = 0.0) -> NDArray[np.uint8]:
    """A cut-out with its colours grown outward from the line it is cut at.

    Beyond a crop the cut-out's own pixels are the bleed.

    Parameters
    ----------
    pixels : ndarray
        uint8, shape (rows, cols, 3), or (rows, cols, 4) with straight alpha: the page around the cut-out.
    shape : Shape
        On the same grid.
    bleed_px : float
        How far to grow; 0 keeps the cut-out's own soft edge.
    thin_px : float
        Parts narrower than this are not grown.

    Returns
    -------
    ndarray
        uint8, shape (rows, cols, 4), straight alpha.
    """
    mask = (shape.whole >= 0.5) & (shape.holes < 0.5) & _seen(pixels)
    solid = _wider_than(thin_px, mask)
    own = shape.whole * (1 - shape.holes)
    if pixels.shape[2] == 4:
        own = np.where(within(RIM_PX, mask), pixels[..., 3] / np.float32(255), np.float32(0))
    layer = np.zeros((*mask.shape, 4), dtype=np.float32)
    if solid.any():
        layer = _solid_layer(pixels, own, solid, shape, bleed_px)
    if (mask & ~solid).any():
        layer = _over(_fine_layer(pixels, own * shape.kept, mask, mask & ~solid), layer)
    return np.asarray(np.rint(layer), dtype=np.uint8)


def _solid_layer(
    pixels: NDArray[np.uint8], own: Floats, solid: Mask, shape: Shape, bleed_px: float
) -> Floats:
    """What can be cut, with its bleed: straight alpha, 0 to 255."""
    colours = _premultiplied(pixels)
    core, pure = core_of(colours, solid)
    # Only the core's own rim colours the bleed: blurring must not draw in what lies behind a contour.
    filled, distance = _nearest(colours, pure & within(RIM_PX - 1, ~pure))
    grown = _smoothed(filled, np.where(pure, 0, distance), bleed_px + DEEPEST_SOFT_PX)
    straight, opacity = _straight(grown)
    tinted = core & ~pure
    straight[tinted] += (pixels[tinted, :3] - straight[tinted]) @ LUMA[:, None]
    straight[pure] = pixels[pure, :3]
    inside = shape.kept >= 0.5
    share = np.clip(own * 255 / np.maximum(opacity, 1), 0, 1)
    share = np.where(core, 1, np.where(within(RIM_PX, solid), share, 0))
    if bleed_px:
        at_the_cut = within(DEEPEST_SOFT_PX, ~inside)
        full = np.clip(bleed_px + 1 - distance_to(solid & inside), 0, 1)
        share = np.where(at_the_cut, full, share)
    else:
        share = share * np.where(shape.whole == shape.kept, 1, shape.kept)
    return _picture(straight, opacity * share)


def _fine_layer(pixels: NDArray[np.uint8], own: Floats, mask: Mask, fine: Mask) -> Floats:
    """What is too thin to cut, in its purest colours: straight alpha, 0 to 255."""
    colours = _premultiplied(pixels)
    near = within(RIM_PX, fine)
    if pixels.shape[2] == 4:
        straight = pixels[..., :3].astype(np.float32)
    else:
        difference = np.sqrt(np.square(colours - page_colour(colours, mask)).sum(axis=2))
        away = np.where(fine, difference, np.float32(0))
        purest = cv2.dilate(away, np.ones((5, 5), np.uint8))
        straight, _ = _nearest(colours, fine & (away >= PURE_SHARE * purest))
    return _picture(straight, np.where(near & (fine | ~mask), own * 255, 0))


def _picture(straight: NDArray[Any], alpha: NDArray[Any]) -> Floats:
    return np.asarray(np.clip(np.dstack([straight, alpha]), 0, 255), dtype=np.float32)


def _over(above: Floats, below: Floats) -> Floats:
    """One picture of straight alpha, 0 to 255, laid over another (Porter and Duff 1984)."""
    top, under = above[..., 3:] / 255, below[..., 3:] / 255 * (1 - above[..., 3:] / 255)
    opacity = top + under
    colour = (above[..., :3] * top + below[..., :3] * under) / np.maximum(opacity, 1 / 255)
    return _picture(colour, opacity[..., 0] * 255)


def _wider_than(width: float, mask: Mask) -> Mask:
    """The parts of a mask that a disc of that width fits into, with their corners left sharp."""
    if not mask.any():
        return mask
    fits = mask & (distance_to(~mask) > width / 2)
    if not fits.any():
        return fits
    return np.asarray(mask & (distance_to(fits) <= width / 2 * CORNER_REACH), dtype=np.bool_)


def _seen(pixels: NDArray[np.uint8]) -> Mask:
    """Where a page is not transparent: openings inside an outline stay open."""
    if pixels.shape[2] == 3:
        return np.ones(pixels.shape[:2], dtype=np.bool_)
    return np.asarray(pixels[..., 3] > FAINT_ALPHA, dtype=np.bool_)


def _premultiplied(pixels: NDArray[np.uint8]) -> Floats:
    """Float colours, 0 to 255, of three channels, or of four premultiplied."""
    floats = pixels.astype(np.float32)
    if pixels.shape[2] == 4:
        floats[..., :3] *= floats[..., 3:] / np.float32(255)
    return floats


def _straight(colours: Floats) -> tuple[Floats, Floats]:
    """Colours not premultiplied, and their opacity, both 0 to 255."""
    if colours.shape[2] == 3:
        return colours, np.full(colours.shape[:2], 255, dtype=np.float32)
    opacity = colours[..., 3]
    straight = colours[..., :3] / np.maximum(opacity, 1)[..., None] * 255
    return np.asarray(straight, dtype=np.float32), opacity


def _nearest(colours: Floats, core: Mask) -> tuple[Floats, Floats]:
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
