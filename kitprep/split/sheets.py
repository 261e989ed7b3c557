"""Pages that are one paper although much of them looks like background: patterned sheets.

A sheet of motifs is cut by the page, or covers it evenly with equal dots; a ruled one has lines from edge to
edge; a written one is full of lines of writing. A page of things to cut out keeps its rim free.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kitprep.split.regions import Region
from kitprep.split.working import Working

RIM_TAKEN = 0.2  # of the page's very edge; more means that papers fill the page
# Regions that run off the page, as around two by two whole ones, on so many sides.
CUT_MOTIFS, CUT_SIDES = 5, 2
CUT_SHARE = 0.08  # of all regions
OF_ONE_SIZE, ONE_SIZE = 0.5, 1.35  # of the whole motifs, this many are alike: in size within this factor
FEW, MANY_CUT = 4, 9  # whole regions; of fewer nothing can be said, so it takes so many that are cut
RULES, RULE, OPEN = 3, 0.1, 0.6  # lines across; in, their mean width; of its box: fills less, has no face
DOTS, DOT, ALIKE = 60, 0.33, 0.8  # so many at least; in, at most; this share of all of one size
EVEN, EVENLY = 1.15, 0.9  # times the usual distance to the next; of the dots lie no further
CELL, COVERED = 3.0, 0.85  # of that distance; share of squares of this side that hold a dot
LINES, LINE = 8, 0.6  # lines of writing; of the page's width
BLOCK, LETTERS = 0.4, 300  # of the page; letters and more in it make it a page of writing
MANY, SMALL_MOTIF = 60, 0.6  # in; so many regions, nearly all this small, are a pattern


def fills_page(mask: NDArray[Any]) -> bool:
    """Whether what is not background takes up much of the page's very edge."""
    rim = np.concatenate([mask[0], mask[-1], mask[:, 0], mask[:, -1]])
    return float((rim > 0).mean()) > RIM_TAKEN


def is_ruled(regions: Sequence[Region], page: Working) -> bool:
    """Whether lines run right across a page, or something does on all four sides, as a grid does."""
    ends = [_sides(region, page) for region in regions]
    if any(len(sides) == 4 for sides in ends):
        return True
    return any(
        sum(across <= sides and _is_open(region, page) for region, sides in zip(regions, ends, strict=True))
        >= RULES
        for across in ({"left", "right"}, {"top", "bottom"})
    )


def _is_open(region: Region, page: Working) -> bool:
    """Whether a region is a line, or several with nothing between them."""
    return region.fill < OPEN or region.area < page.px(RULE) * max(region.width, region.height)


def is_lattice(regions: Sequence[Region], page: Working) -> bool:
    """Whether equal dots cover a page evenly."""
    if len(regions) < DOTS:
        return False
    sizes = np.array([(region.width, region.height) for region in regions], float)
    usual = np.median(sizes, axis=0)
    alike = (np.maximum(sizes / usual, usual / sizes) <= ONE_SIZE).all(axis=1)
    if usual.max() > page.px(DOT) or alike.mean() < ALIKE:
        return False
    middles = np.array([(r.left + r.right, r.top + r.bottom) for r in regions], float)[alike] / 2
    away = np.hypot(*np.moveaxis(middles[:, None] - middles[None], -1, 0))
    np.fill_diagonal(away, np.inf)
    nearest = away.min(axis=1)
    pitch = float(np.median(nearest))
    if (nearest <= EVEN * pitch).mean() < EVENLY:
        return False
    cells = len(np.unique((middles // (CELL * pitch)).astype(int), axis=0))
    across, down = (max(1, round(size / (CELL * pitch))) for size in (page.cols, page.rows))
    return cells >= COVERED * across * down


def is_written(groups: Sequence[Region], page: Working) -> bool:
    """Whether a page is full of lines of writing or music, joined or not."""
    lines = sum(group.width >= LINE * page.cols and group.fill < OPEN for group in groups)
    block = BLOCK * page.rows * page.cols
    return lines >= LINES or any(
        group.parts >= LETTERS and group.is_part and group.width * group.height >= block for group in groups
    )


def is_pattern(regions: Sequence[Region], page: Working) -> bool:
    """Whether regions are the motifs of one patterned paper."""
    sides = [_sides(region, page) for region in regions]
    cut = [side for side in sides if side]
    whole = [region for region, side in zip(regions, sides, strict=True) if not side]
    if (
        len(cut) >= CUT_MOTIFS
        and len(set().union(*cut)) >= CUT_SIDES
        and len(cut) >= CUT_SHARE * len(regions)
        and (len(cut) >= MANY_CUT if len(whole) < FEW else _are_motifs(whole))
    ):
        return True
    small = sum(max(region.width, region.height) < page.px(SMALL_MOTIF) for region in regions)
    solid = sum(not region.is_part for region in regions)
    return solid >= MANY and small >= 0.9 * len(regions)


def _are_motifs(whole: Sequence[Region]) -> bool:
    """Whether what does not run off the page comes in one size, as the motifs of a pattern do."""
    sizes = np.sort([(region.width * region.height) ** 0.5 for region in whole])
    alike = np.searchsorted(sizes, sizes * ONE_SIZE, side="right") - np.arange(len(sizes))
    return bool(alike.max() >= OF_ONE_SIZE * len(sizes))


def _sides(region: Region, page: Working) -> set[str]:
    names = {
        "left": region.left <= 1,
        "top": region.top <= 1,
        "right": region.right >= page.cols - 1,
        "bottom": region.bottom >= page.rows - 1,
    }
    return {name for name, cut in names.items() if cut}
