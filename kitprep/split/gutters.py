"""Dividing what thin gutters hold together by higher thresholds inside a region.

Noise and the ringing of JPEG bridge a gutter of two pixels here and there. A higher threshold breaks
the bridges; the division counts only if the pieces still make up nearly all of the region, so that a
pale element with dark motifs stays whole.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.split.regions import Region, filled_contour
from kitprep.split.working import Working

HIGHER = (1.0, 1.6, 2.6, 4.2, 7.0, 11.0)  # times the threshold of the page
HIGHEST = 60.0  # levels; a gutter nearer to its elements than to the background is none
VALLEY, VALLEY_MOST = 0.17, 0.4  # of the height on either side: a gutter's median and its 90th percentile
VALLEY_WIDTH = 0.08  # in
# A gutter of so many working px shows the page itself: at most so many times its threshold.
WIDE_GUTTER, CLEAR = 3, 2.5
BRIDGE = (
    0.25  # of how far the strong tenth of a region is from the background; a bridge over a gutter is less
)
SOLID_BESIDE = 0.35  # of the height on either side is reached by three quarters of the places there
DIRT_AT_ENDS = 0.03  # of the ends of a gutter; a frame line that crosses it is more
MOST_LOST = 0.08  # of what of the region is not background, gutters bridged by noise included
WIDEST_BRIDGE = 0.09  # in; what is lost is narrower than this everywhere, as gutters are, and no pale sky
COMPACT = 0.70  # area over the least rectangle; an ellipse has pi/4 = 0.785, with a wavy edge a little less
LEAST_PIECE = 0.18  # in; the shorter side of a piece
LEAST_PIECE_FILL = 0.35  # of its box


def divide_at_gutters(
    region: Region, distance: NDArray[Any], threshold: float, page: Working, step: int = 0
) -> list[Region]:
    """The pieces that gutters divide a region into; the region itself where there are none.

    Parameters
    ----------
    region : Region
        A solid region.
    distance : ndarray
        uint8, shape (rows, cols) of the page: distance from the background.
    threshold : float
        That made the region.
    page : Working
        For its resolution.
    step : int
        How many of the higher thresholds have been tried on what it was divided from.
    """
    if min(region.width, region.height) < 2 * page.px(LEAST_PIECE) * 0.5 or region.is_part:
        return [region]
    inside = distance[region.top : region.bottom, region.left : region.right]
    highest = _highest(inside, region, threshold)
    if not _may_divide(inside, region, highest, page):
        return _divided_straight(region, distance, threshold, page)
    ink = _above(inside, threshold, region)
    for index in range(step, len(HIGHER)):
        level = threshold * HIGHER[index]
        if level > highest:
            break
        high = _above(inside, level, region)
        for opened in (False, True):
            pieces = _pieces(high, opened, ink, region, page)
            if pieces is None and not opened:  # higher thresholds lose still more
                return _divided_straight(region, distance, threshold, page)
            if pieces:
                return [
                    part
                    for piece in pieces
                    for part in divide_at_gutters(piece, distance, threshold, page, index)
                ]
    return _divided_straight(region, distance, threshold, page)


def _divided_straight(
    region: Region, distance: NDArray[Any], threshold: float, page: Working
) -> list[Region]:
    """The pieces on either side of a straight gutter right across, and of gutters in those pieces."""
    inside = cv2.bitwise_and(distance[region.top : region.bottom, region.left : region.right], region.mask)
    for down in (True, False):
        profile = inside if down else np.ascontiguousarray(inside.T)
        at = _valley(profile, threshold, page)
        if at is not None:
            pieces = [_cut(region, *part) for part in _halves(region, at, down)]
            if not all(_is_compact(piece) for piece in pieces):
                continue
            return [part for piece in pieces for part in _divided_straight(piece, distance, threshold, page)]
    return [region]


def _valley(inside: NDArray[Any], threshold: float, page: Working) -> tuple[int, int] | None:
    """First and last row of a gutter across all columns, or None."""
    mean = cv2.reduce(inside, 1, cv2.REDUCE_AVG, dtype=cv2.CV_32F)[:, 0]
    wide, least = max(3, round(page.px(VALLEY_WIDTH))), round(page.px(LEAST_PIECE))
    for row in _low_rows(mean, wide, least):
        medians = np.median(inside[row - wide : row + wide + 1], axis=1)
        beside = min(float(medians[:wide].max()), float(medians[wide + 1 :].max()))
        most = float(np.percentile(inside[row], 90))
        if not _solid_beside(inside, row, wide, beside, float(medians[wide])):
            continue
        open_ended = max(_share_above(end, 0.5 * beside) for end in _ends(inside[row])) <= DIRT_AT_ENDS
        if medians[wide] <= VALLEY * beside and most <= VALLEY_MOST * beside and open_ended:
            low = mean[row - wide : row + wide + 1] < 0.5 * beside
            first, last = row, row
            while first > row - wide and low[first - 1 - row + wide]:
                first -= 1
            while last < row + wide and low[last + 1 - row + wide]:
                last += 1
            clear = float(medians[first - row + wide : last - row + wide + 1].min()) <= CLEAR * threshold
            if clear or last - first + 1 < WIDE_GUTTER:
                return first, last
    return None


def _low_rows(mean: NDArray[Any], wide: int, least: int) -> list[int]:
    """Rows lower than their neighbours and much lower than the highest on either side."""
    size = len(mean)
    if size <= 2 * least:
        return []
    column = np.ascontiguousarray(mean[:, None])
    highest = cv2.dilate(column, np.ones((wide, 1), np.uint8), borderType=cv2.BORDER_REPLICATE)[:, 0]
    rows = np.arange(max(least, wide + 1), size - max(least, wide + 1))
    half = wide // 2 + 1
    beside = np.minimum(highest[rows - half], highest[rows + half])
    low = (mean[rows] <= (VALLEY + 0.1) * beside) & (mean[rows] <= np.minimum(mean[rows - 1], mean[rows + 1]))
    return [int(row) for row in rows[low]]


def _solid_beside(inside: NDArray[Any], row: int, wide: int, beside: float, valley: float) -> bool:
    """Whether what lies on both sides is nearly all there, and no line of text."""
    least = max(SOLID_BESIDE * beside, 1.5 * valley)
    for rows in (inside[row - wide : row], inside[row + 1 : row + 1 + wide]):
        if float(np.percentile(rows, 25, axis=1).max()) < least:
            return False
    return True


def _ends(row: NDArray[Any]) -> tuple[NDArray[Any], NDArray[Any]]:
    end = max(4, len(row) // 8)
    return row[:end], row[-end:]


def _share_above(values: NDArray[Any], level: float) -> float:
    return float((values > level).mean())


def _halves(region: Region, at: tuple[int, int], down: bool) -> list[tuple[int, int, int, int]]:
    first, last = at
    if down:
        return [(0, 0, region.width, first), (0, last + 1, region.width, region.height)]
    return [(0, 0, first, region.height), (last + 1, 0, region.width, region.height)]


def _cut(region: Region, left: int, top: int, right: int, bottom: int) -> Region:
    mask = region.mask[top:bottom, left:right]
    rows, cols = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
    x, y = int(cols[0]), int(rows[0])
    mask = np.ascontiguousarray(mask[y : rows[-1] + 1, x : cols[-1] + 1])
    x, y = x + left + region.left, y + top + region.top
    return Region(x, y, x + mask.shape[1], y + mask.shape[0], mask)


def _highest(inside: NDArray[Any], region: Region, threshold: float) -> float:
    """The highest threshold at which what is below it may still be a gutter."""
    step = max(1, min(region.width, region.height) // 60)
    values = inside[::step, ::step][region.mask[::step, ::step] > 0]
    strong = float(np.searchsorted(np.cumsum(np.bincount(values)), 0.9 * values.size)) if values.size else 0.0
    return min(max(BRIDGE * strong, 1.6 * threshold), HIGHEST, HIGHER[-1] * threshold)


def _may_divide(inside: NDArray[Any], region: Region, level: float, page: Working) -> bool:
    """Whether the highest threshold leaves more than one piece; lower ones leave no more."""
    high = _above(inside, level, region)
    high = cv2.morphologyEx(high, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    contours, _ = cv2.findContours(high, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    least = page.px(LEAST_PIECE)
    sizes = [cv2.boundingRect(contour)[2:] for contour in contours]
    return sum(min(size) >= least for size in sizes) > 1


def _above(inside: NDArray[Any], level: float, region: Region) -> NDArray[Any]:
    """Where a region is further than a level from the background: uint8 0 or 255, of its shape."""
    return cv2.bitwise_and(cv2.threshold(inside, level, 255, cv2.THRESH_BINARY)[1], region.mask)


def _is_too_much(pieces: Sequence[Region], ink: NDArray[Any], region: Region, page: Working) -> bool:
    """Whether what of a region is not background and no piece covers is more than gutters can be.

    Page that shows between round things in a row is no loss, although the region took it in.
    """
    left = ink.copy()
    for piece in pieces:
        top, start = piece.top - region.top, piece.left - region.left
        part = left[top : top + piece.height, start : start + piece.width]
        cv2.subtract(part, piece.mask, part)
    if cv2.countNonZero(left) > MOST_LOST * cv2.countNonZero(ink):
        return True
    widest = np.ones((round(page.px(WIDEST_BRIDGE)),) * 2, np.uint8)
    return bool(cv2.countNonZero(cv2.erode(left, widest, borderType=cv2.BORDER_CONSTANT, borderValue=0)))


def _pieces(
    high: NDArray[Any], opened: bool, ink: NDArray[Any], region: Region, page: Working
) -> list[Region] | None:
    """What a threshold leaves, in pieces; empty where it is one, None where it leaves too little."""
    if opened:
        high = cv2.morphologyEx(high, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    contours, _ = cv2.findContours(high, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    least = page.px(LEAST_PIECE)
    boxes = [(contour, cv2.boundingRect(contour)) for contour in reversed(contours)]
    large = [(contour, box) for contour, box in boxes if min(box[2:]) >= least]
    if len(large) < 2:
        return []
    pieces = [_piece(contour, box, region) for contour, box in large]
    pieces = [piece for piece in pieces if piece.fill >= LEAST_PIECE_FILL]
    if len(pieces) < 2:
        return []
    if _is_too_much(pieces, ink, region, page):
        return None
    return pieces if all(_is_compact(piece) for piece in pieces) else []


def _is_compact(piece: Region) -> bool:
    """Whether a piece fills a rectangle as an ellipse or a tag does, not as a petal does."""
    contours, _ = cv2.findContours(piece.mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    _, (width, height), _ = cv2.minAreaRect(max(contours, key=cv2.contourArea))
    return piece.area >= COMPACT * (width + 1) * (height + 1)


def _piece(contour: NDArray[Any], box: Sequence[int], region: Region) -> Region:
    left, top, width, height = box
    mask = filled_contour(contour, left, top, width, height)
    left, top = left + region.left, top + region.top
    return Region(left, top, left + width, top + height, mask)
