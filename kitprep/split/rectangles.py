"""Rectangles: four exact corners, leaning or upright, from a region.

Coordinates are raster pixels as in `kitprep.split.surroundings`.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.split.borders import with_borders, with_lit_borders
from kitprep.split.edges import FAR_REACH, REACH, SHADE_REACH, Sides, fit_rectangles, strongest_step
from kitprep.split.regions import Region
from kitprep.split.surroundings import Surroundings
from kitprep.split.traced import Traced, rectangle_of

MOST_LEAN = 15.0  # degrees; a rectangle that leans more is a shape of its own
LEAST_RECTANGULARITY = 0.93  # region over its least upright-ish rectangle
CORNER = 0.10  # in; square looked at in each corner, to tell a rounded or clipped corner
SEEN, LEAST_STRAIGHT, MOSTLY_STRAIGHT = 0.35, 0.75, 0.85  # shares of a side's places; seen, near the line
FAINT_BORDER = 0.4  # sureness of an edge seen only in the middle value of a side
ONE_STRAIGHT = 0.8  # share of a side's places that bear it out, for it to be worth looking further out
LEAST_FILL = 0.97  # of the rectangle; teeth and rounded corners leave more open
CORNER_FILLED = 0.8  # of that square
LEAST_COVER = 0.7  # of a region; ripples round a narrow strip take up the rest
BORDER_COVERS = 0.85  # of a strip along a side
BUMP = 0.06  # in; opened away from an edge before it is taken for straight
SHADE_AT, SHADE_FALLS = (0.015, 0.045), 0.75  # in outwards; a shadow falls to less than this between them


def trace_rectangles(
    regions: Sequence[Region], around: Surroundings, to_raster: tuple[float, float]
) -> list[Traced | None]:
    """The exact rectangle of each region; None for what is none.

    Parameters
    ----------
    regions : sequence of Region
        In working pixels.
    around : Surroundings
        The raster.
    to_raster : tuple of float
        Raster pixels per working pixel, across and down.
    """
    ppi = around.px_per_inch / to_raster[0]
    traced: list[Traced | None] = [None] * len(regions)
    expected = [_least_rectangle(region, ppi) for region in regions]
    waiting = [index for index, corners in enumerate(expected) if corners is not None]
    for reach in (REACH, FAR_REACH, SHADE_REACH) if around.shadowed else (REACH, FAR_REACH):
        if not waiting:
            break
        rectangles = np.array([expected[index] for index in waiting]) * to_raster
        fitted, sides = fit_rectangles(around, rectangles, reach)
        straight = _are_straight(sides)
        for index, corners, seen, fits in zip(waiting, fitted, sides.seen, straight, strict=True):
            if fits and _is_rectangle(regions[index], corners, around, to_raster):
                traced[index] = rectangle_of(corners, around.pixels.shape[:2], float(seen.min()))
        waiting = [
            index
            for index, fits, near in zip(waiting, straight, sides.near, strict=True)
            if traced[index] is None
            and (around.shadowed or _may_fit(regions[index], expected[index], fits, near))
        ]
    return _bordered(traced, around)


def _may_fit(region: Region, corners: NDArray[Any] | None, straight: bool, near: NDArray[Any]) -> bool:
    """Whether what is no rectangle so far could be one further out: it fills one, and a side is straight."""
    if corners is None or straight or near.max() < ONE_STRAIGHT:
        return False
    return region.area >= LEAST_FILL * cv2.contourArea(corners.astype(np.float32))


def _are_straight(sides: Sides) -> NDArray[Any]:
    """Which rectangles are borne out by three sides at least; bool, shape (rectangles,)."""
    seen = sides.seen > SEEN
    count = seen.sum(axis=1)
    least = np.where(seen, sides.near, 1.0).min(axis=1)
    usual = np.where(seen, sides.near, 0.0).sum(axis=1) / np.maximum(count, 1)
    return np.asarray((count >= 3) & (least >= LEAST_STRAIGHT) & (usual >= MOSTLY_STRAIGHT))


def _is_rectangle(
    region: Region, corners: NDArray[Any], around: Surroundings, to_raster: tuple[float, float]
) -> bool:
    ppi, at = around.px_per_inch / to_raster[0], corners / to_raster
    if not _covers(at, region) or not _corners_filled(region, at, ppi):
        return False
    return not _has_border(region, at, ppi) or _only_shade(around, corners)


def _bordered(traced: list[Traced | None], around: Surroundings) -> list[Traced | None]:
    """The rectangles, each with a border too faint to have been found as part of it, if it has one."""
    found = [index for index, one in enumerate(traced) if one is not None]
    if around.background is None or not found:
        return traced
    rectangles = np.array([one.points for one in traced if one is not None])
    grown = (with_lit_borders if around.shadowed else with_borders)(around, rectangles)
    bordered = list(traced)
    for index, corners in zip(found, grown, strict=True):
        if corners is not None:
            bordered[index] = rectangle_of(corners, around.pixels.shape[:2], FAINT_BORDER)
    return bordered


def trace_held(region: Region, around: Surroundings, to_raster: tuple[float, float]) -> Traced:
    """An upright rectangle that meets other papers or the page's edge: seams found as steps of colour."""
    rows, cols = around.pixels.shape[:2]
    left, top = region.left * to_raster[0], region.top * to_raster[1]
    right, bottom = region.right * to_raster[0], region.bottom * to_raster[1]
    corners = np.array([[left, top], [right, top], [right, bottom], [left, bottom]])
    at_rim = (
        region.top == 0,
        region.right * to_raster[0] >= cols - 1,
        region.bottom * to_raster[1] >= rows - 1,
        region.left == 0,
    )
    still = [held or rim for held, rim in zip(region.held, at_rim, strict=True)]
    if around.background is not None and not all(still):
        corners = fit_rectangles(around, corners[None], held=still)[0][0]
    sideways = around.pixels.transpose(1, 0, 2)
    left, right, top, bottom = corners[0, 0], corners[1, 0], corners[0, 1], corners[2, 1]
    across, down = (round(top) + 4, round(bottom) - 4), (round(left) + 4, round(right) - 4)
    seam = [held and not rim for held, rim in zip(region.held, at_rim, strict=True)]
    top = _seam(sideways, down, top) if seam[0] else top
    right = _seam(around.pixels, across, right) if seam[1] else right
    bottom = _seam(sideways, down, bottom) if seam[2] else bottom
    left = _seam(around.pixels, across, left) if seam[3] else left
    return rectangle_of(np.array([[left, top], [right, top], [right, bottom], [left, bottom]]), (rows, cols))


def _seam(pixels: NDArray[Any], rows: tuple[int, int], at: float) -> float:
    low = max(0, round(at) - 4)
    if rows[1] - rows[0] < 4 or low + 4 > pixels.shape[1]:
        return at
    position = strongest_step(pixels[rows[0] : rows[1], low : low + 8])
    return at if position is None else low + position


def _covers(corners: NDArray[Any], region: Region) -> bool:
    """Whether a rectangle holds the region but for its ripples."""
    drawn = np.zeros_like(region.mask)
    cv2.fillConvexPoly(drawn, np.round(corners - (region.left + 0.5, region.top + 0.5)).astype(np.int32), 255)
    return cv2.countNonZero(cv2.bitwise_and(drawn, region.mask)) > LEAST_COVER * region.area


def _has_border(region: Region, corners: NDArray[Any], ppi: float) -> bool:
    """Whether a border goes on outside on three sides, where ripples would only cling here and there."""
    covered = 0
    for index in range(4):
        start, end = corners[index], corners[(index + 1) % 4]
        along = (end - start) / max(float(np.hypot(*(end - start))), 1e-6)
        outward = np.array([along[1], -along[0]])
        strip = np.array(
            [
                start + outward * 0.017 * ppi,
                end + outward * 0.017 * ppi,
                end + outward * 0.035 * ppi,
                start + outward * 0.035 * ppi,
            ]
        )
        drawn, there = _drawn_within(region, strip)
        pixels = max(cv2.countNonZero(drawn), round(float(np.hypot(*(end - start)))))
        covered += cv2.countNonZero(cv2.bitwise_and(there, drawn)) > BORDER_COVERS * pixels
    return covered >= 3


def _only_shade(around: Surroundings, corners: NDArray[Any]) -> bool:
    """Whether what lies outside fades away as a shadow does, on a side at least."""
    if not around.shadowed:
        return False
    following = np.roll(corners, -1, axis=0)
    long = np.maximum(np.hypot(*(following - corners).T), 1e-6)[:, None]
    outward = np.stack([(following - corners)[:, 1], -(following - corners)[:, 0]], 1) / long
    places = np.linspace(0.1, 0.9, 40)
    near, far = (
        np.median(
            _distances_beside(around, corners, following, outward * off * around.px_per_inch, places), 1
        )
        for off in SHADE_AT
    )
    return bool((far < SHADE_FALLS * near).any())


def _distances_beside(
    around: Surroundings,
    corners: NDArray[Any],
    following: NDArray[Any],
    off: NDArray[Any],
    places: NDArray[Any],
) -> NDArray[Any]:
    at = corners[:, None] + places[None, :, None] * (following - corners)[:, None] + off[:, None]
    return around.sample(at[..., 0], at[..., 1])


def _without_bumps(mask: NDArray[Any], ppi: float) -> NDArray[Any]:
    """The mask without ripples that cling to its edge."""
    reach = min(round(BUMP * ppi), (min(mask.shape) - 3) // 2)
    if reach < 1:
        return mask
    framed = cv2.copyMakeBorder(mask, reach, reach, reach, reach, cv2.BORDER_CONSTANT, value=0)
    square = np.ones((2 * reach + 1, 2 * reach + 1), np.uint8)
    opened = cv2.morphologyEx(framed, cv2.MORPH_OPEN, square)[reach:-reach, reach:-reach]
    return np.ascontiguousarray(opened) if 2 * cv2.countNonZero(opened) > cv2.countNonZero(mask) else mask


def _least_rectangle(region: Region, ppi: float) -> NDArray[Any] | None:
    mask = _without_bumps(region.mask, ppi)
    contours, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    contour = max(contours, key=cv2.contourArea)
    middle, (width, height), angle = cv2.minAreaRect(contour)
    while angle > 45:
        angle, width, height = angle - 90, height, width
    while angle < -45:
        angle, width, height = angle + 90, height, width
    width, height = width + 1, height + 1
    if abs(angle) > MOST_LEAN or min(width, height) < 4:
        return None
    x, y, across, down = cv2.boundingRect(contour)
    area = cv2.countNonZero(mask)
    if area >= 0.985 * across * down or across * down <= 1.01 * width * height:
        middle, (width, height), angle = (x + (across - 1) / 2, y + (down - 1) / 2), (across, down), 0.0
    if area < LEAST_RECTANGULARITY * width * height:
        return None
    return np.asarray(
        _corners(middle, width, height, angle) + np.array([region.left + 0.5, region.top + 0.5])
    )


def _corners(middle: Any, width: float, height: float, angle: float) -> NDArray[Any]:
    turn = np.radians(angle)
    across = np.array([np.cos(turn), np.sin(turn)]) * width / 2
    down = np.array([-np.sin(turn), np.cos(turn)]) * height / 2
    return np.asarray(
        np.asarray(middle) + np.array([-across - down, across - down, across + down, -across + down])
    )


def _corners_filled(region: Region, corners: NDArray[Any], ppi: float) -> bool:
    """Whether every corner is there, not rounded off or clipped."""
    sides = [float(np.hypot(*(corners[index] - corners[index - 1]))) for index in range(4)]
    square = min(CORNER * ppi, min(sides) / 4)
    for index in range(4):
        corner, before, after = corners[index], corners[index - 1], corners[(index + 1) % 4]
        one = (before - corner) / np.hypot(*(before - corner)) * square
        other = (after - corner) / np.hypot(*(after - corner)) * square
        drawn, there = _drawn_within(
            region, np.array([corner, corner + one, corner + one + other, corner + other])
        )
        if cv2.mean(there, drawn)[0] < CORNER_FILLED * 255:
            return False
    return True


def _drawn_within(region: Region, polygon: NDArray[Any]) -> tuple[NDArray[Any], NDArray[Any]]:
    """A convex polygon drawn, and the region's mask about it; both uint8 0 or 255 and of one shape."""
    points = np.round(polygon - (region.left + 0.5, region.top + 0.5)).astype(np.int32)
    left, top = np.maximum(points.min(axis=0), 0).tolist()
    right, bottom = (points.max(axis=0) + 1).tolist()
    there = region.mask[top : max(bottom, top), left : max(right, left)]
    drawn = np.zeros_like(there)
    if there.size:
        cv2.fillConvexPoly(drawn, points - (left, top), 255)
    return drawn, there
