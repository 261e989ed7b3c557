"""Lets sheets exchange claims, so that what is alike is cut from one sheet and takes fewer cuts.

Only claims move, on as many sheets as before; what comes to the last sheet keeps to the part of it that was
taken up, so that the left-over stays as large.
"""

from __future__ import annotations

from collections.abc import Sequence

from kitprep.pack.claims import Free, Spot
from kitprep.pack.mixing import Mixing
from kitprep.pack.search import Search
from kitprep.pack.tidy import MOST_CUTS, SPLITS, Cutting, counts_on

_MOST_HANDLED = 40_000  # claims, all in all; some 0.07 s
_JUDGING = 40  # as many claims can be placed while the cuts of one are judged
_TRIES_A_PAIR = 60


def exchanged(
    sheets: Sequence[Sequence[Spot]],
    holes: Sequence[Free],
    search: Search,
    cutting: Cutting,
    share: float = 1.0,
) -> list[list[Spot]]:
    """Sheets of which pairs have exchanged claims where that takes fewer cuts, then fewer fence settings.

    Parameters
    ----------
    sheets : sequence of sequence of Spot
        What lies on each.
    holes : sequence of Free
        For every sheet the part of the room that its claims keep to.
    search : Search
        Fills sheets by its job's rules.
    cutting : Cutting
        What to keep low.
    share : float
        How much of the usual work may be done.
    """
    sorted_out = [list(spots) for spots in sheets]
    if cutting.is_over() or search.zones != [((0, 0, search.job.room.width, search.job.room.height),)]:
        return sorted_out
    mixing, handled = Mixing(4), 0
    troubles = [cutting.trouble(spots, MOST_CUTS) for spots in sorted_out]
    for one, other in mixing.pairs(range(len(sorted_out))):
        if handled >= share * _MOST_HANDLED or cutting.is_over():
            break
        both_sheets = zip(
            counts_on(sorted_out[one], search), counts_on(sorted_out[other], search), strict=True
        )
        both = [first + second for first, second in both_sheets]
        present = [kind for kind, count in enumerate(both) if count]
        for tried in range(_TRIES_A_PAIR):
            left = both[:]
            splits, lies = mixing.choose(SPLITS), [(mixing.choose(lying),) for lying in search.lies]
            order = [present[index] for index in mixing.some(len(present), len(present))]
            turn = (one, other) if tried % 2 else (other, one)
            first = search.fill([holes[turn[0]]], order, left, splits, lies)
            pair = [first, search.fill([holes[turn[1]]], order, left, splits)]
            handled += len(present) + sum(both)
            if any(left) or not all(pair):
                continue
            handled += _JUDGING * sum(both)
            fresh = [cutting.trouble(spots, MOST_CUTS) for spots in pair]
            if _sum(fresh) < _sum((troubles[one], troubles[other])):
                for index, spots, of_sheet in zip(turn, pair, fresh, strict=True):
                    sorted_out[index], troubles[index] = spots, of_sheet
    return sorted_out


def _sum(troubles: Sequence[tuple[int, ...]]) -> tuple[int, ...]:
    return tuple(map(sum, zip(*troubles, strict=True)))
