"""Cut-outs: a contour that follows the edge to a fraction of a pixel, and openings in it.

Coordinates are raster pixels as in `kitprep.split.surroundings`.
"""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.split.openings import OPEN, find_openings
from kitprep.split.regions import Region, filled_contour
from kitprep.split.shaded import moved_to_steps
from kitprep.split.surroundings import Surroundings
from kitprep.split.traced import Traced

SIMPLIFY = 0.4  # raster px; how far a simplified contour may lie from the measured one
BAND = 0.035  # in; how far inside and outside the working contour the true edge is looked for
UNCLEAR = 3  # raster px around the clear middle of an opening that ripples may hide
FRAME_MIDDLE = 0.3  # of places in the middle of a rectangle that look like background


def trace_cut_out(region: Region, around: Surroundings, to_raster: tuple[float, float]) -> Traced:
    left, top, mask = _on_raster(region, around, to_raster)
    height, width = mask.shape
    distance = around.within(left, top, left + width, top + height)
    level = _above_half(distance, mask, around)
    inside = _inside(level, mask, around)
    first_col, first_row, cols_in, rows_in = cv2.boundingRect(inside)
    rows, cols = (first_row, first_row + rows_in - 1), (first_col, first_col + cols_in - 1)
    contour = _clockwise(_in_one_piece(inside))
    points = _sub_pixel(contour, level)
    if around.shadowed and region.parts == 1:
        corner = np.array([left, top])
        points = moved_to_steps(points + corner, around) - corner
        rows, cols = ((points[:, axis].min(), points[:, axis].max() - 1) for axis in (1, 0))
    box = (
        left + _extreme(points[:, 0], float(cols[0]), np.min),
        top + _extreme(points[:, 1], float(rows[0]), np.min),
        left + _extreme(points[:, 0], float(cols[-1] + 1), np.max),
        top + _extreme(points[:, 1], float(rows[-1] + 1), np.max),
    )
    points = _simplified(points) + np.array([left, top])
    points[:, 0] = points[:, 0].clip(box[0], box[2])
    points[:, 1] = points[:, 1].clip(box[1], box[3])
    holes = tuple(hole + np.array([left, top]) for hole in _holes(inside, distance, region, around))
    return Traced(points, box, 0.0, False, holes)


def _on_raster(
    region: Region, around: Surroundings, to_raster: tuple[float, float]
) -> tuple[int, int, NDArray[Any]]:
    rows, cols = around.pixels.shape[:2]
    grow = max(3, round(BAND * around.px_per_inch) + 1)
    left = max(0, int(region.left * to_raster[0]) - grow)
    top = max(0, int(region.top * to_raster[1]) - grow)
    right = min(cols, int(np.ceil(region.right * to_raster[0])) + grow)
    bottom = min(rows, int(np.ceil(region.bottom * to_raster[1])) + grow)
    matrix = np.array(
        [
            [1 / to_raster[0], 0, (left + 0.5) / to_raster[0] - region.left - 0.5],
            [0, 1 / to_raster[1], (top + 0.5) / to_raster[1] - region.top - 0.5],
        ]
    )
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    mask = cv2.warpAffine(region.mask, matrix, (right - left, bottom - top), flags=flags)
    return left, top, cv2.threshold(mask, 127, 255, cv2.THRESH_BINARY)[1]


def _above_half(distance: NDArray[Any], mask: NDArray[Any], around: Surroundings) -> NDArray[Any]:
    """Distance less half of what it reaches within the band: zero on the edge; float32."""
    if around.background is None:
        return distance - 127.5
    if around.shadowed:
        return np.asarray(cv2.GaussianBlur(mask.astype(np.float32), (0, 0), 1.0) - 127.5)
    reach = max(1, round(0.5 * BAND * around.px_per_inch))
    levels = cv2.bitwise_and(cv2.convertScaleAbs(distance), mask)
    nearby = cv2.bitwise_and(cv2.dilate(levels, _square(reach)), mask)
    beyond = cv2.dilate(nearby, _square(round(BAND * around.px_per_inch)))
    least = 0.6 * around.least_contrast
    halves = 0.5 * np.arange(256, dtype=np.float32)
    half = cv2.LUT(beyond, np.maximum(halves, np.float32(max(least, around.specks))))
    cv2.copyTo(cv2.LUT(nearby, np.maximum(halves, np.float32(least))), mask, half)
    return cv2.subtract(distance, half)


def _inside(level: NDArray[Any], mask: NDArray[Any], around: Surroundings) -> NDArray[Any]:
    reach = max(1, round(BAND * around.px_per_inch))
    wide, core = cv2.dilate(mask, _disc(reach)), cv2.erode(mask, _disc(round(0.6 * reach)))
    inside = cv2.bitwise_and(wide, (level > 0).astype(np.uint8) * 255)
    inside = cv2.bitwise_or(inside, core)
    notchless = cv2.morphologyEx(inside, cv2.MORPH_CLOSE, _square(1))
    inside = cv2.bitwise_or(inside, cv2.bitwise_and(notchless, mask))
    contours, _ = cv2.findContours(inside, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    apart = [contour for contour in contours if not _meets(contour, mask)]
    if len(apart) == len(contours):
        return mask
    return cv2.drawContours(inside, apart, -1, 0, cv2.FILLED) if apart else inside


def _meets(contour: NDArray[Any], mask: NDArray[Any]) -> bool:
    """Whether what a contour encloses shares a pixel with the mask."""
    left, top, width, height = cv2.boundingRect(contour)
    there = mask[top : top + height, left : left + width]
    if not cv2.countNonZero(there):
        return False
    return cv2.countNonZero(cv2.bitwise_and(there, filled_contour(contour, left, top, width, height))) > 0


def _in_one_piece(mask: NDArray[Any]) -> NDArray[Any]:
    """The contour of all parts, drawn together so that one outline goes round them all."""
    for reach in (0, 4, 9, 18, 36):
        closed = mask
        if reach:
            framed = cv2.copyMakeBorder(mask, reach, reach, reach, reach, cv2.BORDER_CONSTANT, value=0)
            closed = cv2.morphologyEx(framed, cv2.MORPH_CLOSE, _square(reach))[reach:-reach, reach:-reach]
        contours, _ = cv2.findContours(closed, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
        if len(contours) == 1:
            return contours[0]
    hull = cv2.convexHull(np.concatenate(contours))
    drawn = cv2.fillConvexPoly(np.zeros_like(mask), hull, 255)
    return cv2.findContours(drawn, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)[0][0]


def _clockwise(contour: NDArray[Any]) -> NDArray[Any]:
    clockwise = cv2.contourArea(contour, oriented=True) > 0
    points = contour[:, 0].astype(np.float64)
    return points if clockwise else points[::-1]


def _sub_pixel(contour: NDArray[Any], level: NDArray[Any]) -> NDArray[Any]:
    """A contour of pixel middles moved outwards to where the level is zero; corner-based pixels."""
    if len(contour) < 6:
        low, high = contour.min(axis=0), contour.max(axis=0) + 1
        return np.array([[low[0], low[1]], [high[0], low[1]], [high[0], high[1]], [low[0], high[1]]])
    places = contour.astype(np.float32)
    along = np.roll(places, -2, axis=0) - np.roll(places, 2, axis=0)
    along /= np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-6)[:, None]
    outward = along[:, ::-1] * np.array([1, -1], np.float32)
    offsets = np.arange(0.0, 1.51, 0.25, dtype=np.float32)
    x, y = (places[:, axis, None] + outward[:, axis, None] * offsets for axis in (0, 1))
    values = cv2.remap(level, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=-1e3)
    first = (values <= 0).argmax(axis=1)
    before = np.maximum(first - 1, 0)
    rows = np.arange(len(contour))
    high, low = values[rows, before], values[rows, first]
    share = np.clip(high / np.maximum(high - low, 1e-6), 0, 1)
    found = np.where(first > 0, offsets[before] + share * 0.25, 0.5)
    return np.asarray(contour + outward * found[:, None] + 0.5)


def _extreme(values: NDArray[Any], edge: float, which: Any) -> float:
    """The outline's extreme where it lies within a pixel of the opaque pixels' own edge, else that edge."""
    extreme = float(which(values))
    return extreme if abs(extreme - edge) <= 1.0 else edge


def _simplified(points: NDArray[Any]) -> NDArray[Any]:
    simple = cv2.approxPolyDP(np.asarray(points, np.float32)[:, None], SIMPLIFY, True)[:, 0]
    return np.asarray(simple if len(simple) >= 3 else points, np.float64)


def _holes(
    inside: NDArray[Any],
    distance: NDArray[Any],
    region: Region,
    around: Surroundings,
) -> list[NDArray[Any]]:
    if region.is_part:
        return []
    core = cv2.erode(inside, _disc(max(1, round(BAND * around.px_per_inch * 0.6))))
    return _traced_openings(inside, distance, core, around)


def _traced_openings(
    inside: NDArray[Any], distance: NDArray[Any], core: NDArray[Any], around: Surroundings
) -> list[NDArray[Any]]:
    openings = find_openings(inside, distance, core, around)
    if not openings:
        return []
    level = distance - _half_of_solid(inside, distance, around)
    return [_outline_of_opening(contour, level) for contour in openings]


def _half_of_solid(
    inside: NDArray[Any], distance: NDArray[Any], around: Surroundings
) -> NDArray[Any] | float:
    """Half of how far what is solid of an element is from the background on the mean, near each place."""
    if around.background is None:
        return 127.5
    solid = np.asarray((inside > 0) & (distance > around.least_contrast), np.float32)
    wide = 2 * max(1, round(BAND * around.px_per_inch)) + 1
    there = np.maximum(cv2.blur(solid, (wide, wide)), 1e-3)
    half = 0.5 * cv2.blur(np.asarray(distance * solid, np.float32), (wide, wide)) / there
    return np.asarray(np.maximum(half, around.least_contrast))


def _outline_of_opening(contour: NDArray[Any], level: NDArray[Any]) -> NDArray[Any]:
    """The edge of an opening, of which only the clear middle has been seen so far."""
    middle = cv2.drawContours(np.zeros(level.shape, np.uint8), [contour], 0, 255, cv2.FILLED)
    wide = cv2.bitwise_and(cv2.dilate(middle, _square(UNCLEAR)), (level <= 0).astype(np.uint8) * 255)
    contours, _ = cv2.findContours(cv2.bitwise_or(wide, middle), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    return _simplified(_sub_pixel(_clockwise(max(contours, key=cv2.contourArea)), -level))


def openings_of_rectangle(traced: Traced, around: Surroundings) -> tuple[NDArray[Any], ...]:
    """The openings of a rectangular frame."""
    rows, cols = around.pixels.shape[:2]
    left, top = (max(0, int(side)) for side in traced.box[:2])
    right, bottom = min(cols, int(np.ceil(traced.box[2]))), min(rows, int(np.ceil(traced.box[3])))
    if not _may_be_frame(traced, around):
        return ()
    inside = np.zeros((bottom - top, right - left), np.uint8)
    corner = np.array([left, top])
    cv2.fillConvexPoly(inside, np.round(traced.points - corner - 0.5).astype(np.int32), 255)
    distance = around.within(left, top, right, bottom)
    core = cv2.erode(inside, _disc(max(1, round(BAND * around.px_per_inch * 0.6))))
    return tuple(opening + corner for opening in _traced_openings(inside, distance, core, around))


def _may_be_frame(traced: Traced, around: Surroundings) -> bool:
    """Whether enough of a rectangle's middle looks like background, at a few places."""
    shares = np.linspace(0.2, 0.8, 5)
    across, down = np.meshgrid(shares, shares)
    a, b, _, d = traced.points
    at = a + across[..., None] * (b - a) + down[..., None] * (d - a)
    near = around.sample(at[..., 0], at[..., 1]) <= OPEN * around.least_contrast
    return bool(near.mean() >= FRAME_MIDDLE)


def _square(reach: int) -> NDArray[Any]:
    return np.ones((2 * reach + 1, 2 * reach + 1), np.uint8)


def _disc(reach: int) -> NDArray[Any]:
    return cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * reach + 1, 2 * reach + 1))
