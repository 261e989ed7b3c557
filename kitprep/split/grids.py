"""A grid of elements where a person has said how many rows and columns there are."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.split.regions import Region, filled
from kitprep.split.working import Working

GOES_ON = 0.5  # of a side has more of the element beyond it
PLAY = 0.3  # of a cell; how far a gutter may lie from where even spacing puts it


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
    """
    whole = filled(cv2.morphologyEx(ink, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8)))
    left, top, width, height = cv2.boundingRect(whole)
    if not width:
        left, top, width, height = 0, 0, page.cols, page.rows
    inside = whole[top : top + height, left : left + width]
    across = [left + at for at in _boundaries(inside, columns)]
    regions = []
    for upper, lower in _pairs([top + at for at in _boundaries(inside.T, rows)]):
        for start, end in _pairs(across):
            regions.append(_content(whole, start, upper, end, lower))
    return regions


def _held(whole: NDArray[Any], left: int, top: int, right: int, bottom: int) -> tuple[bool, ...]:
    """Top, right, bottom, left: whether the element goes on beyond that side."""
    rows, cols = whole.shape
    beyond = (
        whole[top - 1, left:right] if top > 0 else None,
        whole[top:bottom, right] if right < cols else None,
        whole[bottom, left:right] if bottom < rows else None,
        whole[top:bottom, left - 1] if left > 0 else None,
    )
    return tuple(line is not None and float((line > 0).mean()) > GOES_ON for line in beyond)


def _boundaries(inside: NDArray[Any], count: int) -> list[int]:
    """Where the emptiest lines near even spacing lie, ends included."""
    covered = cv2.reduce(np.ascontiguousarray(inside), 0, cv2.REDUCE_AVG, dtype=cv2.CV_32F)[0]
    size = len(covered)
    cell = size / count
    found = [0]
    for index in range(1, count):
        middle = index * cell
        low, high = (
            int(max(found[-1] + 1, middle - PLAY * cell)),
            int(min(size - 1, middle + PLAY * cell)) + 1,
        )
        places = np.arange(low, max(high, low + 1))
        cost = covered[np.clip(places, 0, size - 1)] + 4.0 * np.abs(places - middle) / cell
        found.append(int(places[cost.argmin()]))
    return [*found, size]


def _pairs(values: list[int]) -> list[tuple[int, int]]:
    return list(pairwise(values))


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
