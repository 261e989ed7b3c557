"""Lets sheets exchange claims, so that what is alike is cut from one sheet and takes fewer cuts.

Only claims move, on as many sheets as before; the last sheet keeps its own, for the sake of its left-over.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from kitprep.pack.claims import Spot
from kitprep.pack.mixing import Mixing
from kitprep.pack.search import Search
from kitprep.pack.tidy import MOST_CUTS, SPLITS, Trouble, counts_on

_MOST_HANDLED = 60_000  # claims, all in all; some 0.1 s
_JUDGING = 40  # as many claims can be placed while the cuts of one are judged
_TRIES_A_PAIR = 40


def exchanged(sheets: Sequence[Sequence[Spot]], search: Search, trouble: Trouble) -> list[list[Spot]]:
    """Sheets of which pairs have exchanged claims where that takes fewer cuts, then fewer fence settings.

    Parameters
    ----------
    sheets : sequence of sequence of Spot
        The last one stays as it is.
    search : Search
        Fills sheets by its job's rules.
    trouble : Trouble
        What to keep low.
    """
    if not sheets:
        return []
    return [*_sorted_out(sheets[:-1], search, trouble), list(sheets[-1])]


def _sorted_out(sheets: Sequence[Sequence[Spot]], search: Search, trouble: Trouble) -> list[list[Spot]]:
    hole = (0, 0, search.job.room.width, search.job.room.height)
    sorted_out = [list(spots) for spots in sheets]
    if search.zones != [(hole,)]:
        return sorted_out
    mixing, handled = Mixing(4), 0
    troubles = [trouble(spots, MOST_CUTS) for spots in sorted_out]
    pairs = list(combinations(range(len(sorted_out)), 2))
    while pairs and handled < _MOST_HANDLED:
        one, other = pairs.pop(mixing.bits() % len(pairs))
        both_sheets = zip(
            counts_on(sorted_out[one], search), counts_on(sorted_out[other], search), strict=True
        )
        both = [first + second for first, second in both_sheets]
        present = [kind for kind, count in enumerate(both) if count]
        for _ in range(_TRIES_A_PAIR):
            left = both[:]
            splits, lies = mixing.choose(SPLITS), [(mixing.choose(lying),) for lying in search.lies]
            order = [present[index] for index in mixing.some(len(present), len(present))]
            pair = [search.fill([hole], order, left, splits, way) for way in (lies, search.lies)]
            handled += len(present) + sum(both)
            if any(left) or not all(pair):
                continue
            handled += _JUDGING * sum(both)
            fresh = [trouble(spots, MOST_CUTS) for spots in pair]
            if _sum(fresh) < _sum((troubles[one], troubles[other])):
                sorted_out[one], sorted_out[other] = pair
                troubles[one], troubles[other] = fresh
    return sorted_out


def _sum(troubles: Sequence[tuple[int, ...]]) -> tuple[int, ...]:
    return tuple(map(sum, zip(*troubles, strict=True)))
