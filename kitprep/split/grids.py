"""A grid of elements where a person has said how many rows and columns there are."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.errors import TooFineGrid
from kitprep.pages import PixelBox
from kitprep.split.regions import MOST_REGIONS, Region, filled
from kitprep.split.working import Working

GOES_ON = 0.5  # of a side has more of the element beyond it
PLAY = 0.3  # of a cell; how far a gutter may lie from where even spacing puts it
LEAST_CELL = 0.14  # in; smaller things are not cut out
EVEN = 0.016  # of cost for a whole cell away from even spacing: decides between lines that are alike
STEP, SEAM, SEAM_WEIGHT = 10, 0.6, 0.4  # levels of Lab; share of a line that must step; what that is worth
BESIDE = (
    0.2  # of the middle size of the largest things: less than this is a title or a footer beside the grid
)


def grid_regions(ink: NDArray[Any], page: Working, rows: int, columns: int) -> list[Region]:
    """Exactly `rows` by `columns` regions.

    Parameters
    ----------
    ink : ndarray
        uint8 0 or 255, shape (rows, cols): what is not background.
    page : Working
        The page.
    rows, columns : int
        How many, at least one each.

    Returns
    -------
    list of Region
        Each cell's own content; a cell without any is returned whole.

    Raises
    ------
    TooFineGrid
        If the cells would be too small to cut out.
    """
    whole = filled(cv2.morphologyEx(ink, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8)))
    whole = _without_what_stands_beside(whole, rows * columns)
    left, top, width, height = cv2.boundingRect(whole)
    if not width:
        left, top, width, height = 0, 0, page.cols, page.rows
    _check_size(rows, "row", height / page.ppi)
    _check_size(columns, "column", width / page.ppi)
    inside = whole[top : top + height, left : left + width]
    lab = page.lab[top : top + height, left : left + width]
    return [
        _content(whole, left + cell.left, top + cell.top, left + cell.right, top + cell.bottom)
        for cell in _cells(inside, lab, rows, columns)
    ]


def _cells(inside: NDArray[Any], lab: NDArray[Any], rows: int, columns: int) -> list[PixelBox]:
    """The cells in reading order.

    Papers laid out in columns need not break at the same height in each, nor those in rows at the same
    place: each column, or else each row, is divided by itself, whichever finds the clearer lines.
    """
    by_column, column_cost = _strips(inside, lab, columns, rows)
    by_row, row_cost = _strips(inside.T, lab.transpose(1, 0, 2), rows, columns)
    if row_cost <= column_cost:
        return [PixelBox(x0, y0, x1, y1) for (y0, y1), cells in by_row for x0, x1 in cells]
    return [
        PixelBox(x0, y0, x1, y1)
        for row in range(rows)
        for (x0, x1), cells in by_column
        for y0, y1 in (cells[row],)
    ]


def _strips(
    inside: NDArray[Any], lab: NDArray[Any], count: int, cells: int
) -> tuple[list[tuple[tuple[int, int], list[tuple[int, int]]]], float]:
    """Columns, each with the ends of its cells, and what all lines cost by their length."""
    places, cost = _boundaries(inside, lab, count)
    strips = []
    for start, end in pairwise(places):
        part, colours = inside[:, start:end].T, lab[:, start:end].transpose(1, 0, 2)
        ends, more = _boundaries(part, colours, cells)
        strips.append(((start, end), list(pairwise(ends))))
        cost += more * (end - start) / inside.shape[1]
    return strips, cost


def _check_size(count: int, noun: str, inches: float) -> None:
    most = max(1, min(int(inches / LEAST_CELL), MOST_REGIONS))
    if count > most:
        raise TooFineGrid(f"{count} {noun}s", f"{inches / count:.3g} in", most)


def _without_what_stands_beside(whole: NDArray[Any], cells: int) -> NDArray[Any]:
    """What is not background without a title, a footer or a speck that stands outside the grid."""
    count, labels, facts, _ = cv2.connectedComponentsWithStats(whole, connectivity=8, ltype=cv2.CV_32S)
    if count < 3:
        return whole
    areas = facts[1:, cv2.CC_STAT_AREA]
    middle = float(np.median(np.sort(areas)[-cells:]))
    left, top = facts[1:, cv2.CC_STAT_LEFT], facts[1:, cv2.CC_STAT_TOP]
    right, bottom = left + facts[1:, cv2.CC_STAT_WIDTH], top + facts[1:, cv2.CC_STAT_HEIGHT]
    large = areas >= BESIDE * middle
    inside = (
        (right > left[large].min())
        & (left < right[large].max())
        & (bottom > top[large].min())
        & (top < bottom[large].max())
    )
    kept = np.zeros(count, np.uint8)
    kept[1:][inside] = 255
    return np.asarray(kept[labels])


def _held(whole: NDArray[Any], left: int, top: int, right: int, bottom: int) -> tuple[bool, ...]:
    """Top, right, bottom, left: whether the element goes on beyond that side, or the page ends there."""
    rows, cols = whole.shape
    beyond = (
        whole[top - 1, left:right] if top > 0 else None,
        whole[top:bottom, right] if right < cols else None,
        whole[bottom, left:right] if bottom < rows else None,
        whole[top:bottom, left - 1] if left > 0 else None,
    )
    return tuple(line is None or float((line > 0).mean()) > GOES_ON for line in beyond)


def _boundaries(inside: NDArray[Any], lab: NDArray[Any], count: int) -> tuple[list[int], float]:
    """Where the emptiest lines near even spacing lie, or else the clearest seams, ends included; their cost."""
    covered = cv2.reduce(np.ascontiguousarray(inside), 0, cv2.REDUCE_AVG, dtype=cv2.CV_32F)[0] / 255
    size = len(covered)
    cell = size / count
    cost = covered - _seams(lab)
    found, total = [0], 0.0
    for index in range(1, count):
        middle = index * cell
        low = int(max(found[-1] + 1, middle - PLAY * cell))
        high = int(min(size - 1, middle + PLAY * cell)) + 1
        places = np.arange(low, max(high, low + 1))
        costs = cost[np.clip(places, 0, size - 1)] + EVEN * np.abs(places - middle) / cell
        found.append(int(places[costs.argmin()]))
        total += float(costs.min())
    return [*found, size], total


def _seams(lab: NDArray[Any]) -> NDArray[Any]:
    """How clearly the colour steps all along each column, 0 to 0.4; an empty line counts for more."""
    seams = np.zeros(lab.shape[1], np.float32)
    if lab.shape[1] > 4:
        off = np.abs(lab[:, :-3].astype(np.int16) - lab[:, 3:]).max(axis=2)
        seams[2:-1] = (off > STEP).mean(axis=0)
    return np.where(seams >= SEAM, SEAM_WEIGHT * seams, 0.0)


def _content(whole: NDArray[Any], left: int, top: int, right: int, bottom: int) -> Region:
    cell = np.ascontiguousarray(whole[top:bottom, left:right])
    x, y, width, height = cv2.boundingRect(cell)
    if not width:
        full = np.full((max(bottom - top, 1), max(right - left, 1)), 255, np.uint8)
        return Region(left, top, left + full.shape[1], top + full.shape[0], full)
    mask = np.ascontiguousarray(cell[y : y + height, x : x + width])
    parts = int(cv2.connectedComponents(mask, connectivity=8)[0]) - 1
    left, top = left + x, top + y
    upper, rightmost, lower, leftmost = _held(whole, left, top, left + width, top + height)
    held = (upper, rightmost, lower, leftmost)
    return Region(left, top, left + width, top + height, mask, parts, held=held)
