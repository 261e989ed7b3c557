"""Joining the parts of one thing: a wording's letters, a dotted frame, leaves of a wreath.

How far parts may lie apart is judged from the page's own gaps and from the size of the parts. Two solid
regions are never joined: what lies apart and could be cut out by itself is.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.split.corner_marks import join_corner_marks
from kitprep.split.regions import Region, join_regions
from kitprep.split.working import Working

REACH = 0.40  # in; parts further apart than this are never one thing
TOUCHING = 0.05  # in; a part this near to something solid belongs to it
OF_SIZE = 0.9  # gaps between parts of one thing are at most this share of the parts' height
SMALL_PRINT, IN_LINE = 0.18, 0.3  # in; height of a line of small print, gap within it
LETTER_AREA, FLAG_GAP = 0.06, 0.35  # sq in; parts larger than letters lie within this share of their size
IN_HULL = 0.95  # of a region inside the convex hull of another makes them one
GAPS_AT = 2  # gaps are measured at half the working scale


def group_regions(regions: Sequence[Region], page: Working, gap: float | None = None) -> list[Region]:
    """Join parts to each other and to the solid regions they belong to.

    Parameters
    ----------
    regions : sequence of Region
        Connected regions.
    page : Working
        For its size and resolution.
    gap : float, optional
        In inches; where given, whatever lies nearer than this is joined, solid or not, and nothing else.
    """
    if gap is None and not any(region.is_part for region in regions):
        return _take_in_enclosed(join_corner_marks(regions, page))
    if gap is None:
        regions = join_corner_marks(regions, page)
    gaps = _gaps(regions, page, page.px(gap if gap is not None else REACH))
    parents = list(range(len(regions)))
    solid = [not region.is_part for region in regions]
    for distance, one, other in gaps:
        first, second = _root(parents, one), _root(parents, other)
        if first == second:
            continue
        if gap is not None:
            joins = distance <= page.px(gap)
        elif solid[first] and solid[second]:
            joins = False
        elif solid[first] or solid[second]:
            joins = distance <= page.px(TOUCHING)
        else:
            joins = distance <= _reach(regions[one], regions[other], page)
        if joins:
            parents[second] = first
            solid[first] = solid[first] or solid[second]
    groups: dict[int, list[Region]] = {}
    for index, region in enumerate(regions):
        groups.setdefault(_root(parents, index), []).append(region)
    joined = [join_regions(group) for group in groups.values()]
    return joined if gap is not None else _take_in_enclosed(joined)


def _reach(one: Region, other: Region, page: Working) -> float:
    """How far apart two parts of one thing may lie."""
    size = max(one.width, one.height, other.width, other.height)
    shared = min(one.bottom, other.bottom) - max(one.top, other.top)
    small_print = max(one.height, other.height) < page.px(SMALL_PRINT)
    if min(one.area, other.area) > LETTER_AREA * page.ppi**2:
        return FLAG_GAP * size
    if small_print and shared >= 0.3 * min(one.height, other.height):
        return max(OF_SIZE * size, page.px(IN_LINE))
    return max(OF_SIZE * size, page.px(TOUCHING + 0.03))


def _take_in_enclosed(regions: list[Region]) -> list[Region]:
    """Join what lies within a frame of parts, or within the hull of something solid, to that."""
    by_size = sorted(regions, key=lambda region: -region.width * region.height)
    kept: list[Region] = []
    for region in by_size:
        for index, outer in enumerate(kept):
            if _encloses(outer, region) and (outer.is_part or outer.parts > 1 or _within_hull(outer, region)):
                kept[index] = join_regions([outer, region])
                break
        else:
            kept.append(region)
    return kept


def _within_hull(outer: Region, inner: Region) -> bool:
    contours, _ = cv2.findContours(outer.mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    hull = cv2.convexHull(np.concatenate(contours))
    drawn = cv2.fillConvexPoly(np.zeros_like(outer.mask), hull, 255)
    top, left = inner.top - outer.top, inner.left - outer.left
    part = drawn[top : top + inner.height, left : left + inner.width]
    return cv2.countNonZero(cv2.bitwise_and(part, inner.mask)) >= IN_HULL * inner.area


def _encloses(outer: Region, inner: Region) -> bool:
    return (
        outer.left <= inner.left
        and outer.top <= inner.top
        and inner.right <= outer.right
        and inner.bottom <= outer.bottom
    )


def _root(parents: list[int], index: int) -> int:
    while parents[index] != index:
        parents[index] = parents[parents[index]]
        index = parents[index]
    return index


def _gaps(regions: Sequence[Region], page: Working, reach: float) -> list[tuple[float, int, int]]:
    """Least gap of each two neighbouring regions in working pixels, least first: (gap, index, index)."""
    seeds, owners = _seeds(regions, page)
    distance, nearest = cv2.distanceTransformWithLabels(
        255 - seeds, cv2.DIST_L2, 5, labelType=cv2.DIST_LABEL_PIXEL
    )
    table = np.zeros(int(nearest.max()) + 1, np.int32)
    table[nearest[seeds > 0]] = owners[seeds > 0]
    owner = table[nearest]
    gaps, pairs = [], []
    for here, there in ((np.s_[:, :-1], np.s_[:, 1:]), (np.s_[:-1, :], np.s_[1:, :])):
        met = (owner[here] != owner[there]) & (distance[here] * GAPS_AT * 2 < reach + 2 * GAPS_AT)
        gaps.append((distance[here][met] + distance[there][met]) * GAPS_AT - GAPS_AT)
        one, other = owner[here][met].astype(np.int64), owner[there][met].astype(np.int64)
        pairs.append(np.minimum(one, other) * len(owner) * len(owner[0]) + np.maximum(one, other))
    gap, pair = np.concatenate(gaps), np.concatenate(pairs)
    order = np.lexsort((pair, gap))
    order = order[: np.searchsorted(gap[order], reach, side="right")]
    _, nearest_of_each = np.unique(pair[order], return_index=True)
    kept = order[np.sort(nearest_of_each)]
    low, high = np.divmod(pair[kept], len(owner) * len(owner[0]))
    return list(zip(gap[kept].clip(0).tolist(), (low - 1).tolist(), (high - 1).tolist(), strict=True))


def _seeds(regions: Sequence[Region], page: Working) -> tuple[NDArray[Any], NDArray[Any]]:
    owners = np.zeros((page.rows // GAPS_AT + 1, page.cols // GAPS_AT + 1), np.int32)
    for index, region in enumerate(regions):
        left, top = region.left // GAPS_AT, region.top // GAPS_AT
        right, bottom = (region.right - 1) // GAPS_AT + 1, (region.bottom - 1) // GAPS_AT + 1
        before = (region.top % GAPS_AT, region.left % GAPS_AT)
        after = (bottom * GAPS_AT - region.bottom, right * GAPS_AT - region.right)
        framed = cv2.copyMakeBorder(
            region.mask, before[0], after[0], before[1], after[1], cv2.BORDER_CONSTANT, value=0
        )
        covered = cv2.resize(framed, (right - left, bottom - top), interpolation=cv2.INTER_AREA)
        owners[top:bottom, left:right][covered > 0] = index + 1
    return (owners > 0).astype(np.uint8) * 255, owners
