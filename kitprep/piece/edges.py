"""How deep the page's colour reaches into a rectangular element at each edge.

At the edge of an element pixels are mixed with the page around it: by drawing, by scanning, by JPEG, or
because the maker drew the edge worn or the corners round. What is cut there may show the page, so the
bleed is reflected inside of it.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.lengths import Length
from kitprep.pages import Affine, PixelBox
from kitprep.piece.fitting import Fitting
from kitprep.piece.mirroring import Insets
from kitprep.piece.opacity import in_levels, premultiplied

LEAST_INSET_PX = 1.5  # an anti-aliased edge and the error of an outline read from pixels
DEEPEST_INSET_IN = 1 / 32  # deeper wear belongs to the picture
LOOK_OUTSIDE_PX = 8
SKIPPED_OUTSIDE_PX = 3  # the element's own soft edge reaches out that far
MOSTLY_ON_PAGE_PX = 5  # a strip may leave the page by less than what is left of it to look at
ENDS_SHARE = 0.03  # of a side: its corners may be rounded and say nothing about the side
PLAIN_WITHIN = 8.0  # colour values: a page that varies more than this beside an edge is a neighbour
TELLS_APART = 12.0  # colour values: less than this between element and page cannot be seen at the cut
PALE_SHARE = 0.2  # quantile over depth: the element's palest tone counts, not a dark frame drawn on it
UNWORN_SHARE = 0.7  # quantile over places: so many may be worn through
REACHED = 0.5  # of the way from the page's colour to the element's own
WORN_SHARE = 0.98  # of the places along a side that must be clean
COARSE_PPI = 300.0  # a preview or a printer at this resolution averages the pixels of a finer picture
BLENDED = 2.0  # picture pixels by which it draws in what lies beyond an edge, for each that it averages more
SPARE_PX = 1.5  # from the outer edge of the first pixel that is more element than page

Read = Callable[[PixelBox], NDArray[np.uint8 | np.uint16]]
"""Reads a box of page pixels: uint8, shape (rows, cols, 3) sRGB or (rows, cols, 4) with straight alpha; or
uint16 of the same shapes, in the page's own colours."""

_Colours = NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class _Look:
    """What is seen across one edge.

    Parameters
    ----------
    colours : ndarray
        float32, shape (depth, place, channel), premultiplied, from outside inward.
    paper : ndarray
        float32, shape (channel,): the page beside the edge.
    own : float
        How far the element's palest tone lies from the page, in colour values.
    """

    colours: _Colours
    paper: _Colours
    own: float


def soft_edges(fitting: Fitting, bleed: Length, page: PixelBox, read: Read) -> Insets:
    """How far inside each edge the element is clean.

    Parameters
    ----------
    fitting : Fitting
        Of a rectangular element.
    bleed : Length
        Edges that lie farther out than this are not looked at: they do not show.
    page : PixelBox
        All pixels of its page.
    read : callable

    Returns
    -------
    tuple of float
        Left, top, right, bottom in straightened pixels: at least 1.5, at most 1/32 in at the piece's size,
        and what a coarse renderer blends over the edge of a fine picture.
    """
    left, top, right, bottom = fitting.reach
    point_x = fitting.trim.width.points / fitting.shown_px[0]
    point_y = fitting.trim.height.points / fitting.shown_px[1]
    size = (right - left) / point_x, (bottom - top) / point_y
    deepest = [max(ppi * DEEPEST_INSET_IN, LEAST_INSET_PX) for ppi in fitting.ppi]
    to_page = fitting.to_piece.inverse
    across = (
        Affine(0.0, point_y, point_x, 0.0, left, top),
        Affine(point_x, 0.0, 0.0, point_y, left, top),
        Affine(0.0, point_y, -point_x, 0.0, right, top),
        Affine(point_x, 0.0, 0.0, -point_y, left, bottom),
    )
    looks: list[_Look | None] = [None] * 4
    insets = [LEAST_INSET_PX] * 4
    for side in _edges_that_show(fitting, bleed):
        axis, length = side % 2, size[1 - side % 2]
        along = ENDS_SHARE * length, (1 - ENDS_SHARE) * length
        look = looks[side] = _look(_strip(across[side].then(to_page), along, deepest[axis], page, read))
        if look is not None:
            insets[side] = min(max(_side_depth(look), LEAST_INSET_PX), deepest[axis])
    for x, inward_x, side_x in ((left, point_x, 0), (right, -point_x, 2)):
        for y, inward_y, side_y in ((top, point_y, 1), (bottom, -point_y, 3)):
            # A rounded corner shows the page where the two mirrors meet: both must stand inside of it.
            sides = looks[side_x], looks[side_y]
            diagonal = Affine(inward_x, -inward_y, inward_x, inward_y, x, y).then(to_page)
            if sides[0] is not None and sides[1] is not None:
                strip = _strip(diagonal, (-0.5, 0.5), min(deepest), page, read)
                depth = min(_corner_depth(strip, sides[0], sides[1]), min(deepest))
                insets[side_x], insets[side_y] = max(insets[side_x], depth), max(insets[side_y], depth)
    blended = [BLENDED * max(ppi / COARSE_PPI - 1, 0.0) for ppi in fitting.ppi]
    left_inset, top_inset, right_inset, bottom_inset = (insets[side] + blended[side % 2] for side in range(4))
    return left_inset, top_inset, right_inset, bottom_inset


def _edges_that_show(fitting: Fitting, bleed: Length) -> list[int]:
    """Which of the left, top, right and bottom edge of the element lie within trim and bleed."""
    left, top, right, bottom = fitting.reach
    near = bleed.points + 72 * DEEPEST_INSET_IN
    beyond = (-left, -top, right - fitting.trim.width.points, bottom - fitting.trim.height.points)
    return [side for side, reach in enumerate(beyond) if reach < near]


def _strip(
    to_page: Affine, along: tuple[float, float], deepest: float, page: PixelBox, read: Read
) -> _Colours | None:
    """Premultiplied colours across an edge, shape (depth, place, channel), from outside inward.

    `to_page` maps (place along the edge, depth inside it) to page pixels. None where the edge is the
    page's own.
    """
    start, stop = along
    outermost, innermost = -LOOK_OUTSIDE_PX, math.ceil(2 * deepest)
    corners = [to_page(place, depth) for place in along for depth in (outermost, innermost)]
    box = PixelBox(
        math.floor(min(x for x, _ in corners)) - 1,
        math.floor(min(y for _, y in corners)) - 1,
        math.ceil(max(x for x, _ in corners)) + 1,
        math.ceil(max(y for _, y in corners)) + 1,
    )
    seen = box.clipped(page)
    if not page.contains(box.grown(-MOSTLY_ON_PAGE_PX)) or seen.width < 2 or seen.height < 2:
        return None
    pixels = premultiplied(in_levels(read(seen)))
    places = Affine(1, 0, 0, 1, start + 0.5, outermost + 0.5).then(to_page)
    shifted = places.then(Affine(1, 0, 0, 1, -seen.left - 0.5, -seen.top - 0.5))
    matrix = np.array([[shifted.a, shifted.c, shifted.e], [shifted.b, shifted.d, shifted.f]])
    size = max(int(stop - start), 1), innermost - outermost
    strip = cv2.warpAffine(
        pixels, matrix, size, flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP, borderMode=cv2.BORDER_REPLICATE
    )
    return np.asarray(strip, dtype=np.float32).reshape(size[1], size[0], pixels.shape[2])


def _look(strip: _Colours | None) -> _Look | None:
    """What a strip shows; None where the page beside it is not plain, or looks like the element."""
    if strip is None:
        return None
    beside = strip[: LOOK_OUTSIDE_PX - SKIPPED_OUTSIDE_PX]
    paper = np.median(beside.reshape(-1, strip.shape[2]), axis=0)
    if np.median(_distance(beside, paper)) > PLAIN_WITHIN:
        return None
    pale = np.quantile(_distance(strip[LOOK_OUTSIDE_PX + 1 :], paper), PALE_SHARE, axis=0)
    own = float(np.quantile(pale, UNWORN_SHARE))
    return _Look(strip, paper, own) if own > TELLS_APART else None


def _side_depth(look: _Look) -> float:
    """How deep the page reaches into one side, in pixels."""
    away = _distance(look.colours[LOOK_OUTSIDE_PX:], look.paper)
    clean = away >= REACHED * look.own
    drawn = np.median(away[len(away) // 2 :], axis=0) >= REACHED * look.own  # else the page's tone is its own
    if not drawn.any():
        return 0.0
    first = np.where(clean.any(axis=0), clean.argmax(axis=0), len(away))[drawn]
    return float(np.quantile(first, WORN_SHARE)) + SPARE_PX


def _corner_depth(strip: _Colours | None, *sides: _Look) -> float:
    """How deep the page reaches into a corner, along both sides alike, in pixels."""
    if strip is None:
        return LEAST_INSET_PX
    own = min(side.own for side in sides)
    clean = (_distance(strip[LOOK_OUTSIDE_PX:], sides[0].paper) >= REACHED * own).all(axis=1)
    return float(clean.argmax()) + SPARE_PX if clean.any() else LEAST_INSET_PX


def _distance(colours: _Colours, to: _Colours) -> _Colours:
    return np.asarray(np.sqrt(((colours - to) ** 2).sum(axis=-1)), dtype=np.float32)
