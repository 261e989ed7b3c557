"""Pages that are one paper although much of them looks like background: patterned sheets.

A sheet of motifs is cut by the page: its motifs run off on several sides. A page of things to cut out
keeps its rim free.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from kitprep.split.regions import Region
from kitprep.split.working import Working

RIM_TAKEN = 0.2  # of the page's very edge; more means that papers fill the page
CUT_MOTIFS, CUT_SIDES = 3, 2  # regions that run off the page, on so many sides
CUT_SHARE = 0.08  # of all regions
OF_ONE_SIZE, ONE_SIZE = 0.5, 1.35  # of the whole motifs, this many are alike: in size within this factor
FEW, MANY_CUT = 4, 9  # whole regions; of fewer nothing can be said, so it takes so many that are cut
MANY, SMALL_MOTIF = 60, 0.6  # in; so many regions, nearly all this small, are a pattern


def fills_page(mask: NDArray[Any]) -> bool:
    """Whether what is not background takes up much of the page's very edge."""
    rim = np.concatenate([mask[0], mask[-1], mask[:, 0], mask[:, -1]])
    return float((rim > 0).mean()) > RIM_TAKEN


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
