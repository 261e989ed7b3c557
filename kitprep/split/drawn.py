"""Lines and fills that touch, as a PDF page has them, brought together with what was found in the pixels.

Their box does not say that they are one thing. The edge of what was found there goes to theirs where the two
nearly agree. Where some of what is painted was not found, because it is pale or lies a little apart, what
differs at all from the one colour around the box is the element.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.pages import Element, Outline, PixelBox
from kitprep.split.covers import ScaledPage, element_of, is_thing
from kitprep.split.placed import area, shared
from kitprep.split.regions import filled

IN_DRAWING = 0.8  # of the box of something found
AGREES = 0.95  # intersection over union of boxes that need no second look
SNAP = 0.01  # in; as far as an edge found in the pixels goes to the file's
MISSED = 0.1  # of what is painted
FAINTEST = 4  # levels of sRGB; less is not seen
RING = 3  # raster px around a drawing where the colour behind it is seen
FLAT = 0.8  # of that ring has one colour
ONE_THING = 0.95  # of what is painted holds together
FITS = 0.9  # of a drawing's box, which is too large where its lines are curved


def with_drawing(found: Sequence[Element], box: PixelBox, page: ScaledPage) -> list[Element]:
    """What was found, heeding a box in which lines and fills touch."""
    inside = [one for one in found if shared(one.box, box) >= IN_DRAWING * area(one.box)]
    others = [one for one in found if not any(one is other for other in inside)]
    alike = _alike(inside[0].box, box) if len(inside) == 1 else 0.0
    if alike < AGREES and (missed := _missed(inside, others, box, page)) is not None:
        return [*others, missed]
    return [*others, _snapped(inside[0], box, page)] if alike >= IN_DRAWING else list(found)


def _alike(one: PixelBox, other: PixelBox) -> float:
    both = shared(one, other)
    return both / (area(one) + area(other) - both)


def _snapped(found: Element, box: PixelBox, page: ScaledPage) -> Element:
    """The element with those of its edges on the box's that nearly are."""
    if found.angle_deg:
        return found
    reach = SNAP * page.ppi.x, SNAP * page.ppi.y
    edges = [
        there if abs(there - here) <= reach[index % 2] else here
        for index, (here, there) in enumerate(zip(_edges(found.box), _edges(box), strict=True))
    ]
    return _stretched(found, PixelBox(*edges))


def _edges(box: PixelBox) -> tuple[int, int, int, int]:
    return box.left, box.top, box.right, box.bottom


def _stretched(element: Element, box: PixelBox) -> Element:
    old = element.box
    across, down = box.width / old.width, box.height / old.height

    def moved(outline: Outline) -> Outline:
        return tuple(
            (round(box.left + (x - old.left) * across, 2), round(box.top + (y - old.top) * down, 2))
            for x, y in outline
        )

    outline = box.corners if element.rectangular else moved(element.outline)
    return replace(element, box=box, outline=outline, holes=tuple(map(moved, element.holes)))


def _missed(
    inside: Sequence[Element], others: Sequence[Element], box: PixelBox, page: ScaledPage
) -> Element | None:
    """What is painted in a box, where that is one thing and some of it was not found; else None."""
    across, down = page.raster.scale
    left, top = int(box.left / across), int(box.top / down)
    right, bottom = round(box.right / across), round(box.bottom / down)
    cover = _painted(page.raster.pixels[..., :3], PixelBox(left, top, right, bottom))
    if cover is None:
        return None

    def drawn(elements: Sequence[Element]) -> NDArray[Any]:
        outlines = [np.array(one.outline) / (across, down) - (left, top) for one in elements]
        outlines = [outline.round().astype(np.int32) for outline in outlines]
        return cv2.fillPoly(np.zeros_like(cover), outlines, 255) if outlines else np.zeros_like(cover)

    cover = cv2.subtract(filled(cover), drawn([one for one in others if shared(one.box, box)]))
    x, y, cols, rows = cv2.boundingRect(cover)
    if cols * rows < FITS * cover.size:
        return None
    there = _page_box(PixelBox(left + x, top + y, left + x + cols, top + y + rows), page)
    if len(inside) == 1:
        is_whole = inside[0].box.grown(round(SNAP * page.ppi.x)).contains(there)
    else:
        left_out = cv2.countNonZero(cv2.subtract(cover, drawn(inside)))
        is_whole = left_out < MISSED * cv2.countNonZero(cover) or not _is_one_thing(cover)
    if is_whole or not is_thing(there, page):
        return None
    element = element_of(cover[y : y + rows, x : x + cols], there, page)
    return None if element is None else _snapped(element, box, page)


def _is_one_thing(cover: NDArray[Any]) -> bool:
    """Whether nearly all of a cover holds together."""
    sizes = cv2.connectedComponentsWithStats(cover, connectivity=8)[2][1:, cv2.CC_STAT_AREA]
    return bool(sizes.max() >= ONE_THING * sizes.sum())


def _page_box(box: PixelBox, page: ScaledPage) -> PixelBox:
    across, down = page.raster.scale
    return PixelBox(
        round(box.left * across), round(box.top * down), round(box.right * across), round(box.bottom * down)
    ).clipped(page.whole)


def _painted(pixels: NDArray[Any], box: PixelBox) -> NDArray[Any] | None:
    """Where a box of a raster differs from the one colour around it; None where that is not one colour."""
    wide = box.grown(RING).clipped(PixelBox(0, 0, pixels.shape[1], pixels.shape[0]))
    part = pixels[wide.top : wide.bottom, wide.left : wide.right].astype(np.int16)
    inner = np.s_[box.top - wide.top : box.bottom - wide.top, box.left - wide.left : box.right - wide.left]
    beside = np.ones(part.shape[:2], bool)
    beside[inner] = False
    if beside.all() or not beside.any():
        return None
    ring = part[beside]
    colour = np.median(ring, axis=0)
    if (np.abs(ring - colour).max(axis=1) <= FAINTEST).mean() < FLAT:
        return None
    return np.where(np.abs(part[inner] - colour).max(axis=2) > FAINTEST, 255, 0).astype(np.uint8)
