"""Elements made or corrected by hand: taken by a box, joined, divided.

Coordinates are page pixels, as in `kitprep.pages`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from enum import Enum
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.errors import CannotCombine, OutsidePage
from kitprep.pages import Element, Kind, Outline, PagePpi, PixelBox, Raster
from kitprep.split.edges import strongest_step
from kitprep.split.kinds import Looks, judge_kind

SNAP = 0.05  # in; the nearest true edge within this is meant
STEPPED = 0.6  # of a side along which there must be a step for it to be a true edge


class Along(Enum):
    """Which way a dividing line is measured."""

    X = "x"
    """At a column: left and right of it."""
    Y = "y"
    """At a row: above and below it."""


def element_from_box(raster: Raster, ppi: PagePpi, box: PixelBox, number: int, snap: bool = True) -> Element:
    """A rectangular element from a box drawn by hand.

    Parameters
    ----------
    raster : Raster
        The page, perhaps reduced.
    ppi : PagePpi
        Of the page at full scale.
    box : PixelBox
        In page pixels.
    number : int
        For the new element.
    snap : bool
        Move each side to the nearest true edge within 0.05 in, if there is one.

    Raises
    ------
    OutsidePage
        If the box is empty or reaches beyond the page.
    """
    page = PixelBox(0, 0, *raster.page_px)
    if box.width <= 0 or box.height <= 0 or not page.contains(box):
        asked = f"the box {box.left},{box.top} to {box.right},{box.bottom} px"
        raise OutsidePage(asked, "the page", f"0,0 to {page.right},{page.bottom} px")
    taken = _snapped(raster, ppi, box) if snap else box
    looks = Looks(
        width=taken.width / ppi.x,
        height=taken.height / ppi.y,
        page_share=taken.width * taken.height / (page.width * page.height),
        rectangular=True,
    )
    return Element(number, taken, taken.corners, 0.0, judge_kind(looks), True, by_hand=True)


def join(elements: Sequence[Element], number: int) -> Element:
    """One element of several.

    The outline is the least convex one around them all; of two or more upright rectangles that fill
    their common box it is that box.

    Raises
    ------
    CannotCombine
        If there are fewer than two.
    """
    if len(elements) < 2:
        raise CannotCombine("one element cannot be joined", "name two or more elements of one page")
    box = PixelBox(
        min(element.box.left for element in elements),
        min(element.box.top for element in elements),
        max(element.box.right for element in elements),
        max(element.box.bottom for element in elements),
    )
    filled = sum(element.box.width * element.box.height for element in elements)
    upright = all(element.rectangular and element.angle_deg == 0 for element in elements)
    rectangular = upright and filled >= 0.97 * box.width * box.height
    points = np.array([point for element in elements for point in element.outline], np.float32)
    hull = cv2.convexHull(points, clockwise=False)[:, 0]
    largest = max(elements, key=lambda element: element.box.width * element.box.height)
    return Element(
        number=number,
        box=box,
        outline=box.corners if rectangular else _clockwise(hull),
        angle_deg=0.0,
        kind=largest.kind,
        rectangular=rectangular,
        holes=tuple(hole for element in elements for hole in element.holes),
        words=tuple(dict.fromkeys(word for element in elements for word in element.words)),
        by_hand=True,
    )


def divide(element: Element, at: int, along: Along, numbers: tuple[int, int]) -> tuple[Element, Element]:
    """Two elements of one, cut by an upright or level line.

    Parameters
    ----------
    element : Element
        What to divide.
    at : int
        Column or row of page pixels at which the second one begins.
    along : Along
        Whether `at` is a column or a row.
    numbers : tuple of int
        For the left or upper one, and for the other.

    Raises
    ------
    OutsidePage
        If the line does not pass through the element.
    """
    box = element.box
    low, high = (box.left, box.right) if along is Along.X else (box.top, box.bottom)
    if not low < at < high:
        limits = f"{low + 1} to {high - 1} px"
        raise OutsidePage(f"a line at {along.value} = {at} px", f"element {element.number}", limits)
    if along is Along.X:
        halves = (PixelBox(box.left, box.top, at, box.bottom), PixelBox(at, box.top, box.right, box.bottom))
    else:
        halves = (PixelBox(box.left, box.top, box.right, at), PixelBox(box.left, at, box.right, box.bottom))
    first, second = (_within(element, half, number) for half, number in zip(halves, numbers, strict=True))
    return first, second


def _within(element: Element, half: PixelBox, number: int) -> Element:
    if element.rectangular and element.angle_deg == 0:
        return replace(element, number=number, box=half, outline=half.corners, holes=(), by_hand=True)
    outline = _clip(element.outline, half)
    if len(outline) < 3:
        raise OutsidePage("the dividing line", f"element {element.number}", "its outline")
    x, y = [point[0] for point in outline], [point[1] for point in outline]
    box = PixelBox(int(min(x)), int(min(y)), int(np.ceil(max(x))), int(np.ceil(max(y))))
    holes = tuple(clipped for hole in element.holes if len(clipped := _clip(hole, half)) >= 3)
    kind = element.kind if element.kind in (Kind.WORDS, Kind.STRIP) else Kind.OTHER
    return replace(
        element,
        number=number,
        box=box,
        outline=outline,
        angle_deg=0.0,
        rectangular=False,
        holes=holes,
        kind=kind,
        by_hand=True,
    )


def _clip(outline: Outline, box: PixelBox) -> Outline:
    """The part of a polygon in a box (Sutherland and Hodgman, 1974, doi:10.1145/360767.360802)."""
    points = list(outline)
    edges = ((0, box.left, 1), (0, box.right, -1), (1, box.top, 1), (1, box.bottom, -1))
    for axis, limit, sign in edges:
        kept: list[tuple[float, float]] = []
        for index, point in enumerate(points):
            before = points[index - 1]
            here, there = sign * (point[axis] - limit), sign * (before[axis] - limit)
            if (here >= 0) != (there >= 0):
                share = there / (there - here)
                kept.append(
                    (before[0] + share * (point[0] - before[0]), before[1] + share * (point[1] - before[1]))
                )
            if here >= 0:
                kept.append(point)
        points = kept
    return tuple(points)


def _clockwise(points: NDArray[Any]) -> Outline:
    ahead = np.roll(points, -1, axis=0)
    turning = float((points[:, 0] * ahead[:, 1] - ahead[:, 0] * points[:, 1]).sum())
    ordered = points if turning > 0 else points[::-1]
    return tuple((round(float(x), 2), round(float(y), 2)) for x, y in ordered)


# ------------------------------------------------------------------- snapping


def _snapped(raster: Raster, ppi: PagePpi, box: PixelBox) -> PixelBox:
    across, down = raster.scale
    left, right = (_edge(raster, box, Along.X, at, ppi.x, across) for at in (box.left, box.right))
    top, bottom = (_edge(raster, box, Along.Y, at, ppi.y, down) for at in (box.top, box.bottom))
    if right - left < 1 or bottom - top < 1:
        return box
    return PixelBox(left, top, right, bottom)


def _edge(raster: Raster, box: PixelBox, along: Along, at: int, ppi: float, scale: float) -> int:
    """The place of the strongest step within reach of a side, in page px; `at` where there is none."""
    pixels = raster.pixels if along is Along.X else raster.pixels.transpose(1, 0, 2)
    across, down = raster.scale
    if along is Along.X:
        start, end = round(box.top / down), round(box.bottom / down)
    else:
        start, end = round(box.left / across), round(box.right / across)
    reach = max(2, round(SNAP * ppi / scale))
    middle = round(at / scale)
    low, high = max(0, middle - reach - 2), min(pixels.shape[1], middle + reach + 2)
    strip = np.ascontiguousarray(pixels[start : max(end, start + 1), low:high])
    if strip.shape[1] < 4:
        return at
    position = strongest_step(strip, STEPPED)
    if position is None:
        return at
    found = round((low + position) * scale)
    return found if abs(found - at) <= SNAP * ppi + scale else at
