"""Fills one sheet after the other as well as some tries can, and each in the same way as often as it goes.

That suits jobs of many copies, where the search for one sheet less at a time comes too late. Large claims
are worth more than their area, so that small ones are kept to fill up what comes after (the idea of
sequential value correction; Belov and Scheithauer, European J. Operational Research 171, 2006).
"""

from __future__ import annotations

from kitprep.pack.search import Search, Sheet

_TRIES = 40  # fillings of each sheet to choose the best from
_POWERS = (1.0, 1.1, 1.3)  # of a claim's area, which say what it is worth


def filled_one_by_one(search: Search, best: list[Sheet], bound: int) -> list[Sheet]:
    """Fewer sheets than `best`, or `best` itself.

    Parameters
    ----------
    search : Search
        Fills sheets by its job's rules; its effort is used.
    best : list of Sheet
        A packing to beat.
    bound : int
        A number of sheets that cannot be beaten.
    """
    for power in _POWERS:
        if len(best) <= bound or search.effort.steps <= 0:
            break
        sheets = _filled(search, power, len(best))
        if len(sheets) < len(best) and sum(len(spots) for spots, _ in sheets) == search.pieces:
            best = sheets
    return best


def _filled(search: Search, power: float, most: int) -> list[Sheet]:
    """Sheets one by one; the claims left over where they are not fewer than `most` are left out."""
    left = [len(kind.members) for kind in search.job.kinds]
    worth = [area**power for area in search.areas]
    sheets: list[Sheet] = []
    while any(left) and len(sheets) < most - 1:
        best, most_worth = search.shuffled_sheet(left), -1.0
        for _ in range(_TRIES):
            sheet = search.shuffled_sheet(left)
            value = sum(worth[spot[4]] for spot in sheet[0])
            if value > most_worth:
                best, most_worth = sheet, value
            if not search.effort.spend(len(sheet[0]) + 4):
                return sheets
        counts = [0] * len(left)
        for spot in best[0]:
            counts[spot[4]] += 1
        times = min(have // count for have, count in zip(left, counts, strict=True) if count)
        sheets += [(list(best[0]), list(best[1])) for _ in range(times)]
        left = [have - times * count for have, count in zip(left, counts, strict=True)]
    return sheets
