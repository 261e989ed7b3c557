"""Elements corrected by hand: joined, divided.

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
from kitprep.pages import Element, Kind, Outline, PagePpi, PixelBox

TOGETHER = 0.02  # in; parts this near are joined along their own edges, others by the least convex outline
SAME_LEAN = 0.3  # degrees; rectangles that lean within this of each other may be one
RECTANGLE = 0.97  # of a rectangle that joined rectangles must fill to be one


class Along(Enum):
    """Which way a dividing line is measured."""

    X = "x"
    """At a column: left and right of it."""
    Y = "y"
    """At a row: above and below it."""


def join(elements: Sequence[Element], number: int, ppi: PagePpi) -> Element:
    """One element of several.

    Parameters
    ----------
    elements : sequence of Element
        Of one page.
    number : int
        For the whole.
    ppi : PagePpi
        Of the page.

    Returns
    -------
    Element
        Rectangles of one lean that fill a rectangle are that rectangle. What touches or nearly does keeps
        its own edges; what lies apart gets the least convex outline around it all.

    Raises
    ------
    CannotCombine
        If there are fewer than two.
    """
    if len(elements) < 2:
        raise CannotCombine("one element cannot be joined", "name two or more elements of one page")
    largest = max(elements, key=lambda element: element.box.width * element.box.height)
    rectangle = _common_rectangle(elements)
    outline = rectangle or _union(elements, ppi) or _hull(elements)
    box = box_around(outline)
    return Element(
        number=number,
        box=box,
        outline=outline,
        angle_deg=largest.angle_deg if rectangle else 0.0,
        kind=largest.kind,
        rectangular=bool(rectangle),
        holes=() if rectangle else tuple(hole for element in elements for hole in element.holes),
        words=tuple(dict.fromkeys(word for element in elements for word in element.words)),
        by_hand=True,
    )


def _common_rectangle(elements: Sequence[Element]) -> Outline | None:
    """The rectangle, leaning as its parts do, that they fill; None where they fill none."""
    lean = elements[0].angle_deg
    if not all(one.rectangular and abs(one.angle_deg - lean) <= SAME_LEAN for one in elements):
        return None
    lean = max(elements, key=lambda one: one.box.width * one.box.height).angle_deg
    turn = np.radians(lean)
    back = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    points = np.array([point for element in elements for point in element.outline]) @ back
    (left, top), (right, bottom) = points.min(axis=0), points.max(axis=0)
    areas = [cv2.contourArea(np.array(element.outline, np.float32)) for element in elements]
    if sum(areas) < RECTANGLE * (right - left) * (bottom - top):
        return None
    corners = np.array([(left, top), (right, top), (right, bottom), (left, bottom)]) @ back.T
    return tuple((round(x, 2), round(y, 2)) for x, y in corners.tolist())


def _union(elements: Sequence[Element], ppi: PagePpi) -> Outline | None:
    """The edge around elements that touch or nearly do; None where they lie apart."""
    near = max(1, round(TOGETHER * min(ppi.x, ppi.y)))
    points = [np.array(element.outline) for element in elements]
    left, top = np.floor(np.concatenate(points).min(axis=0)).astype(int) - 2 * near
    right, bottom = np.ceil(np.concatenate(points).max(axis=0)).astype(int) + 2 * near
    canvas = np.zeros((bottom - top, right - left), np.uint8)
    for outline in points:
        moved = np.round((outline - (left, top) - 0.5) * 16).astype(np.int32)
        cv2.fillPoly(canvas, [moved], (255,), lineType=cv2.LINE_AA, shift=4)
    canvas = cv2.threshold(canvas, 127, 255, cv2.THRESH_BINARY)[1]
    square = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * near + 1, 2 * near + 1))
    bridged = cv2.bitwise_or(canvas, cv2.morphologyEx(canvas, cv2.MORPH_CLOSE, square))
    # A contour goes through the middles of the outermost pixels: on halves of them it lies a quarter inside.
    halves = bridged.repeat(2, axis=0).repeat(2, axis=1)
    contours, _ = cv2.findContours(halves, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    if len(contours) != 1:
        return None
    simple = cv2.approxPolyDP(contours[0], 1.0, True)[:, 0]
    low, high = np.concatenate(points).min(axis=0), np.concatenate(points).max(axis=0)
    return _clockwise(((simple + 0.5) / 2 + (left, top)).clip(low, high))


def _hull(elements: Sequence[Element]) -> Outline:
    points = np.array([point for element in elements for point in element.outline], np.float32)
    return _clockwise(cv2.convexHull(points, clockwise=False)[:, 0])


def divide(element: Element, at: int, along: Along, numbers: tuple[int, int]) -> tuple[Element, Element]:
    """Two elements of one, cut by an upright or level line.

    Parameters
    ----------
    element : Element
        What to divide.
    at : int
        Column or row of page pixels at which the second one begins. A leaning rectangle is divided square to
        its own side, as far from its top left corner as `at` is from the left or top of its box.
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
    leaning = element.rectangular and element.angle_deg != 0
    if leaning:
        high = low + int(element.straight_size_px[0 if along is Along.X else 1])
    if not low < at < high:
        limits = f"{low + 1} to {high - 1} px"
        raise OutsidePage(f"a line at {along.value} = {at} px", f"element {element.number}", limits)
    if leaning:
        return _leaning_halves(element, at - low, along, numbers)
    if along is Along.X:
        halves = (PixelBox(box.left, box.top, at, box.bottom), PixelBox(at, box.top, box.right, box.bottom))
    else:
        halves = (PixelBox(box.left, box.top, box.right, at), PixelBox(box.left, at, box.right, box.bottom))
    first, second = (_within(element, half, number) for half, number in zip(halves, numbers, strict=True))
    return first, second


def _leaning_halves(
    element: Element, far: int, along: Along, numbers: tuple[int, int]
) -> tuple[Element, Element]:
    """The halves of a leaning rectangle, which lean as it does; `far` px from its top left corner."""
    a, b, c, d = np.array(element.outline)
    if along is Along.X:
        share = far / element.straight_size_px[0]
        upper, lower = a + share * (b - a), d + share * (c - d)
        quads = ((a, upper, lower, d), (upper, b, c, lower))
    else:
        share = far / element.straight_size_px[1]
        left, right = a + share * (d - a), b + share * (c - b)
        quads = ((a, b, right, left), (left, right, c, d))
    halves = []
    for quad, number in zip(quads, numbers, strict=True):
        outline = tuple((round(float(x), 2), round(float(y), 2)) for x, y in quad)
        halves.append(
            replace(element, number=number, box=box_around(outline), outline=outline, holes=(), by_hand=True)
        )
    return halves[0], halves[1]


def box_around(outline: Outline) -> PixelBox:
    """The upright box of whole pixels around an outline."""
    x, y = [point[0] for point in outline], [point[1] for point in outline]
    return PixelBox(int(min(x)), int(min(y)), int(np.ceil(max(x))), int(np.ceil(max(y))))


def _within(element: Element, half: PixelBox, number: int) -> Element:
    if element.rectangular and element.angle_deg == 0:
        return replace(element, number=number, box=half, outline=half.corners, holes=(), by_hand=True)
    outline = _clip(element.outline, half)
    if len(outline) < 3:
        raise OutsidePage("the dividing line", f"element {element.number}", "its outline")
    box = box_around(outline)
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
