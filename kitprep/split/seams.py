"""Dividing papers that share an edge with no gap between them.

A seam is a straight line right across a region along which the colour changes in nearly every place, or in
many places where there is no such line on either side; the papers next to it are unlike each other; and
what lies on the narrower side is found nowhere on the other, however it is shifted. The last test keeps
gingham, stripes and ruled paper whole. Of several such lines the seam is the one whose sides differ most.
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
EVERYWHERE, EVEN_IN_EACH = 0.93, 0.85  # of the line, and of each eighth of it, changes: a seam beyond doubt
STANDS_OUT = 0.50  # more of the line changes than of the lines beside it, where it is less than that
STANDS_OUT_SMALL = 0.72  # the same in what is smaller than a paper and more likely one card
PAPER_SIDE = 3.2  # in
LEAST_SHARE = 0.45  # of the line that changes
LEAST_IN_EACH = 0.12  # of each eighth of the line, so that the seam runs right across
MOST_PAPERS = 9  # three by three cards fill a sheet of letter; more are patchwork
LEAST_PAPER = 1.1  # in; the narrower side of a paper
WINDOWS = (0.5, 1.0)  # in; widths of what is looked for on the other side of a seam
NEXT_TO = (0.2, 0.5)  # in; widths of what is compared right across it
CLEAR_OF_LINE = 3  # working px on either side of a line that may have something of both
SHARP = 0.4  # of what the mean colours next to a line are apart lies between two columns at it
STEP_NEAR = 8  # working px on either side of a line where its step is looked at
STEP_ROWS = 6  # in means of so many rows
AT_ONCE, LEAST_STEP = 0.76, 4.0  # of what the colour changes over six columns it changes over two; levels
CUT_SHORT = 0.2  # in; a stripe cut by a seam is narrower, so that its two edges are no single step
STEADY_EIGHTHS = 6  # of the line have their greatest step at its place, give or take a column
STRIPES_EVERY, PLAIN, STRIPED = 2, 10.0, 0.85  # columns; levels a plain one strays; share of columns that are
SAME_COLOUR, SHARED_COLOURS = 6.0, 0.6  # levels; of the narrower side is of colours that the other has too
UNLIKE = 9.0  # levels; how far these are apart
CLEAR_OF_EDGE = 0.08  # in; the region's own edges
END, AT_END = (0.02, 0.08), 0.5  # in from either end of a line; of that so much changes, as no border lets it


def divide_at_seams(region: Region, page: Working) -> list[Region]:
    """The papers that seams divide a rectangular region into; the region itself where there are none.

    So many of them are the patches of one paper.

    Parameters
    ----------
    region : Region
        Nearly a full rectangle, such as a whole page.
    page : Working
        The page, in Lab.
    """
    papers = _divided(region, page)
    return papers if len(papers) <= MOST_PAPERS else [region]


def _divided(region: Region, page: Working) -> list[Region]:
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
    return [part for half in _halves(region, at, upright) for part in _divided(half, page)]


def _best_seam(lab: NDArray[Any], page: Working) -> tuple[int, float] | None:
    """Column at which the right-hand paper begins, and how unlike its sides are; None where there is none."""
    changed = _changed(lab)
    share = cv2.reduce(changed, 0, cv2.REDUCE_AVG, dtype=cv2.CV_32F)[0] / 255
    standing, everywhere = _lines(changed, share, min(lab.shape[:2]) > page.px(PAPER_SIDE), page)
    if not len(standing) + len(everywhere):
        return None
    features = _features(lab)
    totals = _totals(features)
    columns = np.union1d(standing, everywhere[_are_sharp(features, totals, everywhere, page)])
    most = share[columns] * _apart_next_to(totals, columns, page)
    best: tuple[int, float] | None = None
    no_steps: list[tuple[int, float]] = []
    for at in np.argsort(-most, kind="stable"):
        column = int(columns[at])
        if most[at] < UNLIKE or (best is not None and most[at] <= best[1]):
            break
        apart = min(float(most[at]), float(share[column]) * _apart_from_all(totals, column, page))
        if apart < UNLIKE or (best is not None and apart <= best[1]):
            continue
        if not _is_one_step(lab, column):
            no_steps.append((column, apart))
        elif not _is_stripe(features, column):
            near = [line for line in no_steps if abs(line[0] - column) <= page.px(CUT_SHORT)]
            best = max([*near, (column, apart)], key=lambda line: line[1])
    return best


def _lines(
    changed: NDArray[Any], share: NDArray[Any], large: bool, page: Working
) -> tuple[NDArray[Any], NDArray[Any]]:
    """Columns that stand out as lines, and those along which everything changes; int, shape (lines,)."""
    least = round(page.px(LEAST_PAPER))
    stands_out = share - _beside(share) >= (STANDS_OUT if large else STANDS_OUT_SMALL)
    possible = (share >= EVERYWHERE) | (stands_out & (share >= LEAST_SHARE))
    possible[:least] = False
    possible[changed.shape[1] - least + 1 :] = False
    if not possible.any():
        return np.flatnonzero(possible), np.flatnonzero(possible)
    possible &= _of_ends(changed, page) >= AT_END
    in_each = _least_of_eighths(changed, page)
    everywhere = (share >= EVERYWHERE) & (in_each >= EVEN_IN_EACH)
    stands_out &= in_each >= LEAST_IN_EACH
    return np.flatnonzero(possible & stands_out), np.flatnonzero(possible & everywhere)


def _are_sharp(
    features: NDArray[Any], totals: NDArray[Any], columns: NDArray[Any], page: Working
) -> NDArray[Any]:
    """Whether the mean colour goes over at a line at once; in a texture everything changes on any line."""
    wide = max(1, round(page.px(NEXT_TO[0])) - CLEAR_OF_LINE)
    left, right = columns - CLEAR_OF_LINE, columns + CLEAR_OF_LINE
    off = (totals[right + wide] - totals[right]) - (totals[left] - totals[left - wide])
    apart = np.abs(off[:, :3] / wide).max(axis=1)
    at_once = [
        np.abs(features[columns + after, :3] - features[columns - before, :3]).max(axis=1)
        for after, before in ((0, 2), (1, 2), (1, 1), (0, 3), (2, 1))
    ]
    return np.asarray(np.max(at_once, axis=0) >= np.maximum(SHARP * apart, UNLIKE))


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


def _least_of_eighths(changed: NDArray[Any], page: Working) -> NDArray[Any]:
    """Share of that eighth of each line, give or take a column, in which least changes; shape (cols,)."""
    clear = round(page.px(CLEAR_OF_EDGE))
    lines = cv2.dilate(changed[clear:-clear], np.ones((1, 3), np.uint8))
    eighths = [
        cv2.reduce(part, 0, cv2.REDUCE_AVG, dtype=cv2.CV_32F)[0] / 255 for part in np.array_split(lines, 8)
    ]
    return np.asarray(np.min(eighths, axis=0))


def _of_ends(changed: NDArray[Any], page: Working) -> NDArray[Any]:
    """Share of the end of each line at which less changes, give or take a column; shape (cols,)."""
    first, last = (max(1, round(page.px(inches))) for inches in END)
    ends = [
        cv2.dilate(end, np.ones((1, 3), np.uint8)) for end in (changed[first:last], changed[-last:-first])
    ]
    return np.asarray(
        np.min([cv2.reduce(end, 0, cv2.REDUCE_AVG, dtype=cv2.CV_32F)[0] / 255 for end in ends], axis=0)
    )


def _is_one_step(lab: NDArray[Any], column: int) -> bool:
    """Whether the colour goes over within two columns, and those are the same two all along the line.

    So it does at the edge of a paper; the horizon of a photograph is softer and wavers. The line may lie a
    few columns from the step.
    """
    near = np.ascontiguousarray(lab[:, column - STEP_NEAR : column + STEP_NEAR + 1])
    size = near.shape[1], max(8, len(near) // STEP_ROWS)
    means = cv2.resize(near, size, interpolation=cv2.INTER_AREA).astype(np.int16)
    steps = _colours_apart(means[:, 2:], means[:, :-2])
    play = STEP_NEAR // 2
    at = play - 2 + int(steps[:, play - 2 : 1 - play].mean(axis=0).argmax())
    whole = _colours_apart(means[:, at + 4], means[:, at - 2])
    if float(np.median(steps[:, at] / np.maximum(whole, LEAST_STEP))) < AT_ONCE:
        return False
    first = max(0, at - play)
    eighths = [part[:, first : at + play + 1].mean(axis=0) for part in np.array_split(steps, 8)]
    return sum(abs(first + int(eighth.argmax()) - at) <= 1 for eighth in eighths) >= STEADY_EIGHTHS


def _is_stripe(features: NDArray[Any], column: int) -> bool:
    """Whether both sides of a line are plain or striped along it, and share most of their colours."""
    means, plain = features[::STRIPES_EVERY, :3], features[::STRIPES_EVERY, 3:6].max(axis=1) <= PLAIN
    at = column // STRIPES_EVERY
    sides = [side[even] for side, even in ((means[:at], plain[:at]), (means[at:], plain[at:]))]
    if min(plain[:at].mean(), plain[at:].mean()) < STRIPED:
        return False
    narrow, other = sorted(sides, key=len)
    off = np.abs(narrow[:, None] - other[None]).max(axis=2)
    return bool((off.min(axis=1) <= SAME_COLOUR).mean() >= SHARED_COLOURS)


def _colours_apart(one: NDArray[Any], other: NDArray[Any]) -> NDArray[Any]:
    off = np.abs(one - other)
    return np.asarray(np.maximum(off[..., 0], 2 * np.maximum(off[..., 1], off[..., 2])))


def _features(lab: NDArray[Any]) -> NDArray[Any]:
    """What each column looks like: mean and spread of L, a, b, and how busy it is; float32, (cols, 8)."""
    values = lab.astype(np.float32)
    mean, spread = values.mean(axis=0), values.std(axis=0)
    down = np.abs(np.diff(values[..., 0], axis=0)).mean(axis=0)
    aside = np.abs(np.diff(values[..., 0], axis=1, append=values[:, -1:, 0])).mean(axis=0)
    weights = np.array([1.0, 2.0, 2.0, 0.7, 1.4, 1.4, 1.5, 1.5], np.float32)
    return np.column_stack([mean, spread, down, aside]) * weights


def _totals(features: NDArray[Any]) -> NDArray[Any]:
    """Sums of the features of all columns before each; shape (cols + 1, 8)."""
    return np.cumsum(np.vstack([np.zeros((1, features.shape[1])), features]), axis=0, dtype=np.float64)


def _apart_next_to(totals: NDArray[Any], columns: NDArray[Any], page: Working) -> NDArray[Any]:
    """How far what lies next to each line on its left is from what lies next to it on its right."""
    apart = np.full(len(columns), np.inf)
    for width in NEXT_TO:
        wide = max(1, round(page.px(width)) - CLEAR_OF_LINE)
        left, right = columns - CLEAR_OF_LINE, columns + CLEAR_OF_LINE
        off = (totals[right + wide] - totals[right]) - (totals[left] - totals[left - wide])
        apart = np.minimum(apart, np.abs(off / wide).max(axis=1))
    return apart


def _apart_from_all(totals: NDArray[Any], column: int, page: Working) -> float:
    """How far the strip beside a line on its narrower side is from all like strips on the other side."""
    size = len(totals) - 1
    left_is_narrow = column <= size - column
    narrow = column if left_is_narrow else size - column
    other = totals[column:] if left_is_narrow else totals[: column + 1]
    apart = np.inf
    for window in WINDOWS:
        wide = int(min(narrow, page.px(window))) - CLEAR_OF_LINE
        start = column - CLEAR_OF_LINE - wide if left_is_narrow else column + CLEAR_OF_LINE
        strip = (totals[start + wide] - totals[start]) / wide
        windows = (other[wide:] - other[:-wide]) / wide
        apart = min(apart, float(np.abs(windows - strip).max(axis=1).min()))
    return apart


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
