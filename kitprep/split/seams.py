"""Dividing papers that share an edge with no gap between them.

A seam is a straight line right across a region along which the colour changes in nearly every place,
while on either side of it there is no such line; and what lies on the narrower side is found nowhere on
the other, however it is shifted. The second test keeps gingham, stripes and ruled paper whole.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.split.regions import Region
from kitprep.split.working import Working

CHANGE = 7  # levels of Lab over three pixels that count as a change of colour
STANDS_OUT = 0.50  # more of the line changes than of the lines beside it
STANDS_OUT_SMALL = 0.72  # the same in what is smaller than a paper and more likely one card
PAPER_SIDE = 3.2  # in
LEAST_SHARE = 0.45  # of the line that changes
LEAST_IN_EACH = 0.12  # of each eighth of the line, so that the seam runs right across
LEAST_PAPER = 1.1  # in; the narrower side of a paper
WINDOWS = (0.5, 1.0)  # in; widths of what is compared across a seam
UNLIKE = 9.0  # levels; how far the best window on the other side is off
CLEAR_OF_EDGE = 0.08  # in; the region's own edges


def divide_at_seams(region: Region, page: Working) -> list[Region]:
    """The papers that seams divide a rectangular region into; the region itself where there are none.

    Parameters
    ----------
    region : Region
        Nearly a full rectangle, such as a whole page.
    page : Working
        The page, in Lab.
    """
    if min(region.width, region.height) < page.px(LEAST_PAPER) or region.fill < 0.93:
        return [region]
    lab = page.lab[region.top : region.bottom, region.left : region.right]
    seams = []
    for upright in (True, False):
        if (region.width if upright else region.height) < 2 * round(page.px(LEAST_PAPER)):
            continue
        across = lab if upright else cv2.transpose(lab)
        seam = _best_seam(across, page)
        if seam is not None:
            seams.append((seam[1], seam[0], upright))
    if not seams:
        return [region]
    _, at, upright = max(seams)
    return [part for half in _halves(region, at, upright) for part in divide_at_seams(half, page)]


def _best_seam(lab: NDArray[Any], page: Working) -> tuple[int, float] | None:
    """Column at which the right-hand paper begins, and how well it stands out; None where there is none."""
    width = lab.shape[1]
    least = round(page.px(LEAST_PAPER))
    changed = _changed(lab)
    share = cv2.reduce(changed, 0, cv2.REDUCE_AVG, dtype=cv2.CV_32F)[0] / 255
    beside = _beside(share)
    features, right_across = None, None
    large = min(lab.shape[:2]) > page.px(PAPER_SIDE)
    needed = STANDS_OUT if large else STANDS_OUT_SMALL
    for at in np.argsort(beside - share, kind="stable"):
        column = int(at)
        if share[column] - beside[column] < needed:
            return None
        if not least <= column <= width - least or share[column] < LEAST_SHARE:
            continue
        right_across = _run_across(changed, page) if right_across is None else right_across
        if not right_across[column]:
            continue
        features = _features(lab) if features is None else features
        if _unlike(features, column, page):
            return column, float(share[column] - beside[column])
    return None


def _changed(lab: NDArray[Any]) -> NDArray[Any]:
    """Where the colour differs between the columns on either side of a boundary; boundary i is left of i."""
    off = np.zeros_like(lab)
    cv2.absdiff(lab[:, 1:-1], lab[:, :-2], off[:, 1:-1])
    wide = np.zeros_like(lab)
    cv2.absdiff(lab[:, 2:], lab[:, :-2], wide[:, 1:-1])
    light, first, second = cv2.split(cv2.max(off, wide))
    chroma = cv2.max(first, second)
    most = cv2.max(light, cv2.add(chroma, chroma))
    return cv2.threshold(most, CHANGE, 255, cv2.THRESH_BINARY)[1]


def _beside(share: NDArray[Any]) -> NDArray[Any]:
    """The greatest share among boundaries three to seven columns away, on the calmer side."""
    near = np.pad(share, 8, mode="edge")
    size = len(share)
    left = np.max([near[8 - off : 8 - off + size] for off in range(3, 8)], axis=0)
    right = np.max([near[8 + off : 8 + off + size] for off in range(3, 8)], axis=0)
    return np.asarray(np.minimum(left, right))


def _run_across(changed: NDArray[Any], page: Working) -> NDArray[Any]:
    """Which lines change in every eighth of them, give or take a column; bool, shape (cols,)."""
    clear = round(page.px(CLEAR_OF_EDGE))
    lines = cv2.dilate(changed[clear:-clear], np.ones((1, 3), np.uint8))
    eighths = [
        cv2.reduce(part, 0, cv2.REDUCE_AVG, dtype=cv2.CV_32F)[0] / 255 for part in np.array_split(lines, 8)
    ]
    return np.asarray(np.min(eighths, axis=0) >= LEAST_IN_EACH)


def _features(lab: NDArray[Any]) -> NDArray[Any]:
    """What each column looks like: mean and spread of L, a, b, and how busy it is; float32, (cols, 8)."""
    values = lab.astype(np.float32)
    mean, spread = values.mean(axis=0), values.std(axis=0)
    down = np.abs(np.diff(values[..., 0], axis=0)).mean(axis=0)
    aside = np.abs(np.diff(values[..., 0], axis=1, append=values[:, -1:, 0])).mean(axis=0)
    weights = np.array([1.0, 2.0, 2.0, 0.7, 1.4, 1.4, 1.5, 1.5], np.float32)
    return np.column_stack([mean, spread, down, aside]) * weights


def _unlike(features: NDArray[Any], column: int, page: Working) -> bool:
    """Whether the strip beside a line on its narrower side is found nowhere on the other side."""
    left_is_narrow = column <= len(features) - column
    narrow = features[:column][::-1] if left_is_narrow else features[column:]
    other = features[column:] if left_is_narrow else features[:column]
    total = np.cumsum(np.vstack([np.zeros((1, other.shape[1]), other.dtype), other]), axis=0)
    for window in WINDOWS:
        wide = int(min(len(narrow), page.px(window))) - 3
        strip = narrow[3 : 3 + wide].mean(axis=0)
        windows = (total[wide:] - total[:-wide]) / wide
        if float(np.abs(windows - strip).max(axis=1).min()) <= UNLIKE:
            return False
    return True


def _halves(region: Region, at: int, upright: bool) -> tuple[Region, Region]:
    top, right, bottom, left = region.held
    if upright:
        first = replace(
            region, right=region.left + at, mask=_own(region.mask[:, :at]), held=(top, True, bottom, left)
        )
        second = replace(
            region, left=region.left + at, mask=_own(region.mask[:, at:]), held=(top, right, bottom, True)
        )
    else:
        first = replace(
            region, bottom=region.top + at, mask=_own(region.mask[:at]), held=(top, right, True, left)
        )
        second = replace(
            region, top=region.top + at, mask=_own(region.mask[at:]), held=(True, right, bottom, left)
        )
    return first, second


def _own(mask: NDArray[Any]) -> NDArray[Any]:
    return np.ascontiguousarray(mask)
