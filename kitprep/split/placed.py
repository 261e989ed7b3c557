"""Pictures placed on a PDF page, whose boxes are known exactly.

A picture that fills the page is the page itself and is looked into. One that lies on another was drawn
upon it and goes with it. Pictures that touch and go on across the line between them are bands of one
picture, as some programs store them; pictures that touch and differ are neighbours.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kitprep.pages import PixelBox, Raster
from kitprep.split.working import Working

FILLS_PAGE = 0.8  # of the page's area
LIES_ON = 0.95  # of the smaller box
TOUCHING = 2  # page px
GOES_ON = 0.15  # more of the line between two pictures than of the lines beside it may show a step
BESIDE = 7  # working px from the line between
STEP = 10  # levels of Lab


def placed_elements(boxes: Sequence[PixelBox], raster: Raster, page: Working) -> list[PixelBox]:
    """The boxes of the pictures placed on a page: bands joined, without those that fill it.

    Parameters
    ----------
    boxes : sequence of PixelBox
        In page pixels, in any order.
    raster : Raster
        For the size of the page.
    page : Working
        The page, to see whether touching pictures go on in each other.
    """
    whole = PixelBox(0, 0, *raster.page_px)
    inside = [box.clipped(whole) for box in boxes]
    kept = [box for box in inside if area(box) and not fills_page(box, raster)]
    kept = _joined_bands(list(dict.fromkeys(kept)), raster, page)
    return [box for box in kept if not fills_page(box, raster)]


def fills_page(box: PixelBox, raster: Raster) -> bool:
    """Whether a box takes so much of the page that it is the page itself."""
    return area(box) >= FILLS_PAGE * raster.page_px[0] * raster.page_px[1]


def uppermost(boxes: Sequence[PixelBox]) -> list[int]:
    """Which boxes lie on no larger one, nor on an equal one before them."""
    return [
        index
        for index, box in enumerate(boxes)
        if not any(
            lies_on(box, other) and (area(other) > area(box) or (area(other) == area(box) and at < index))
            for at, other in enumerate(boxes)
            if at != index
        )
    ]


def overlaps_any(box: PixelBox, boxes: Sequence[PixelBox]) -> bool:
    """Whether a box shares half of itself, or of one of the boxes, with that one."""
    return any(shared(box, other) >= 0.5 * min(area(box), area(other)) for other in boxes)


def _joined_bands(boxes: list[PixelBox], raster: Raster, page: Working) -> list[PixelBox]:
    for index, one in enumerate(boxes):
        for at in range(index + 1, len(boxes)):
            other = boxes[at]
            if _is_band(one, other) and _goes_on(one, other, raster, page):
                both = PixelBox(
                    min(one.left, other.left),
                    min(one.top, other.top),
                    max(one.right, other.right),
                    max(one.bottom, other.bottom),
                )
                rest = [box for place, box in enumerate(boxes) if place not in (index, at)]
                return _joined_bands([*rest, both], raster, page)
    return boxes


def _is_band(one: PixelBox, other: PixelBox) -> bool:
    stacked = abs(one.left - other.left) <= TOUCHING and abs(one.right - other.right) <= TOUCHING
    abreast = abs(one.top - other.top) <= TOUCHING and abs(one.bottom - other.bottom) <= TOUCHING
    down = min(abs(one.bottom - other.top), abs(other.bottom - one.top)) <= TOUCHING
    across = min(abs(one.right - other.left), abs(other.right - one.left)) <= TOUCHING
    return (stacked and down) or (abreast and across)


def _goes_on(one: PixelBox, other: PixelBox, raster: Raster, page: Working) -> bool:
    across = raster.page_px[0] / page.cols
    down = raster.page_px[1] / page.rows
    if abs(one.left - other.left) <= TOUCHING:
        at = round(min(one.bottom, other.bottom) / down)
        lines = page.lab[:, round(one.left / across) + 1 : round(one.right / across) - 1]
    else:
        at = round(min(one.right, other.right) / across)
        lines = page.lab[round(one.top / down) + 1 : round(one.bottom / down) - 1].transpose(1, 0, 2)
    if at < BESIDE + 3 or at + BESIDE + 3 > len(lines):
        return False
    beside = max(_stepped(lines, at - BESIDE), _stepped(lines, at + BESIDE))
    return _stepped(lines, at) <= beside + GOES_ON


def _stepped(lines: NDArray[Any], at: int) -> float:
    """Share of a line at which the colour steps across it."""
    off = np.abs(lines[at - 2].astype(np.int16) - lines[at + 1].astype(np.int16))
    return float((off.max(axis=1) > STEP).mean())


def lies_on(box: PixelBox, other: PixelBox) -> bool:
    """Whether nearly all of a box lies within another."""
    return shared(box, other) >= LIES_ON * area(box)


def shared(one: PixelBox, other: PixelBox) -> int:
    """Page pixels that two boxes have in common."""
    return max(0, min(one.right, other.right) - max(one.left, other.left)) * max(
        0, min(one.bottom, other.bottom) - max(one.top, other.top)
    )


def area(box: PixelBox) -> int:
    """Its page pixels."""
    return box.width * box.height
