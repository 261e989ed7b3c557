"""Carries a cut-out past its line on a page with alpha, which says itself how much of each pixel is picture.

Without bleed nothing is made: the cut-out is the page, clear beyond its line. With bleed only the soft rim
and what lies beyond are made; all that lies deeper keeps the page's colour and alpha, be it clear,
see-through or full.
"""

from __future__ import annotations

import cv2
import numpy as np

from kitprep.piece.cleaning import DEEPEST_SOFT_PX, RIM_PX, Floats, Mask, core_by_alpha, distance_to, within
from kitprep.piece.filling import filled_from, over, picture, wider_than
from kitprep.piece.shape import Shape

FAINT_ALPHA = 25  # a tenth: less opacity is the outer rim of an anti-aliased edge
CLEAN_SHARE = 0.95  # of the greatest opacity nearby: less, and a program may have mixed the pixel's colour


def grow_by_alpha(pixels: Floats, shape: Shape, bleed_px: float, thin_px: float) -> Floats:
    """As `grow` for float32 pixels of shape (rows, cols, 4), straight alpha, 0 to 255."""
    mask = _belonging(pixels[..., 3], shape)
    page = picture(pixels[..., :3], np.where(within(RIM_PX, mask), pixels[..., 3], 0))
    if bleed_px:
        layer = _with_bleed(page, mask, shape, bleed_px, thin_px)
    else:
        layer = page
        layer[..., 3] *= np.where(shape.whole == shape.kept, 1, shape.kept)
    return layer


def _belonging(alpha: Floats, shape: Shape) -> Mask:
    """What is the cut-out's own inside its outline, openings left out.

    What is told as an opening may be see-through, not clear, as a veil is. What hangs together with the
    cut-out there belongs to it; what lies apart is another element in the opening.
    """
    whole = shape.whole >= 0.5
    mask = whole & (shape.holes < 0.5)
    drawn = whole & (alpha > 0)
    _, label = cv2.connectedComponents(drawn.astype(np.uint8), connectivity=4)
    return np.asarray(mask | (drawn & np.isin(label, np.unique(label[mask & drawn]))), dtype=np.bool_)


def _with_bleed(page: Floats, mask: Mask, shape: Shape, bleed_px: float, thin_px: float) -> Floats:
    """The page's pixels inside the rim, grown ones beyond: straight alpha, 0 to 255."""
    seen = mask & (page[..., 3] > FAINT_ALPHA)
    inside = shape.kept >= 0.5
    deep = core_by_alpha(page[..., 3], shape.whole >= 0.5)
    solid = seen & wider_than(thin_px, mask)
    layer = _grown(page, solid, deep, bleed_px)
    layer[..., 3] *= _reach(solid & inside, bleed_px)
    fine = seen & ~solid
    thin = within(RIM_PX, fine) & (fine | ~mask)
    layer = over(picture(page[..., :3], np.where(thin, page[..., 3] * shape.kept, 0)), layer)
    layer[deep] = page[deep]
    layer[..., 3] *= np.where(deep, _reach(inside, bleed_px), 1)
    return layer


def _reach(of: Mask, bleed_px: float) -> Floats:
    """1 up to the bleed around a mask, with a soft outer edge of one pixel."""
    return np.asarray(
        np.clip(bleed_px + 1 - distance_to(of), 0, 1) if of.any() else np.zeros(of.shape), np.float32
    )


def _grown(page: Floats, solid: Mask, deep: Mask, bleed_px: float) -> Floats:
    """Colours and opacity filled outward from the outermost pixels that are clean; clear if there are none.

    Clean is what is nearly as opaque as any pixel beside it. A dark contour may be no deeper than the
    soft edge, so colour is taken as far out as it is clean.
    """
    band = solid & within(RIM_PX - 1, ~deep)
    opacity = cv2.dilate(np.where(band, page[..., 3], np.float32(0)), np.ones((5, 5), np.uint8))
    clean = band & (page[..., 3] >= CLEAN_SHARE * opacity)
    rim = clean & within(RIM_PX - 1, ~(clean | deep))
    if not rim.any():
        return np.zeros_like(page)
    colours = np.dstack([page[..., :3] * opacity[..., None] / 255, opacity])
    grown = filled_from(colours, rim, rim | deep, bleed_px + DEEPEST_SOFT_PX)
    straight = grown[..., :3] / np.maximum(grown[..., 3:], 1) * 255
    return picture(np.where(clean[..., None], page[..., :3], straight), grown[..., 3])
