"""Fills rooms freely, for scissors: maximal free rectangles.

The free part of a room is kept as all largest rectangles in it, overlapping as they may (Jylänki, "A
thousand ways to pack the bin", 2010, section 5: MAXRECTS).
"""

from __future__ import annotations

from collections.abc import Sequence

from kitprep.pack.claims import Free, Spot
from kitprep.pack.guillotine import Way


def fill_freely(
    free: list[Free], order: Sequence[int], counts: list[int], lies: Sequence[tuple[Way, ...]]
) -> list[Spot]:
    """Fill maximal free rectangles with kinds in the order given, each where its shorter rest is least.

    Parameters
    ----------
    free : list of Free
        What may be filled; holds what is left free afterwards.
    order : sequence of int
        Kinds, most wanted first.
    counts : list of int
        For every kind how many are wanted; lowered by what is placed.
    lies : sequence of tuple of Way
        For every kind how it may lie.
    """
    spots: list[Spot] = []
    for kind in order:
        while counts[kind]:
            best, hole, way = -1, free[0] if free else (0, 0, 0, 0), lies[kind][0]
            for candidate in free:
                for option in lies[kind]:
                    rest, below = candidate[2] - option[0], candidate[3] - option[1]
                    if rest < 0 or below < 0:
                        continue
                    shorter = rest if rest < below else below
                    if best < 0 or shorter < best:
                        best, hole, way = shorter, candidate, option
            if best < 0:
                break
            counts[kind] -= 1
            spot = (hole[0], hole[1], way[0], way[1], kind, way[2], hole)
            spots.append(spot)
            free[:] = _without(free, spot)
    return spots


def spare_freely(spots: Sequence[Spot], hole: Free) -> list[Free]:
    """What a packing leaves free, as all largest rectangles in it."""
    free = [hole]
    for spot in spots:
        free = _without(free, spot)
    return free


def _without(free: Sequence[Free], spot: Spot) -> list[Free]:
    """The largest rectangles that remain free when a claim is placed."""
    left, top, right, bottom = spot[0], spot[1], spot[0] + spot[2], spot[1] + spot[3]
    kept: list[Free] = []
    cut: list[Free] = []
    for hole in free:
        x, y, width, height = hole
        if x >= right or y >= bottom or x + width <= left or y + height <= top:
            kept.append(hole)
            continue
        if x < left:
            cut.append((x, y, left - x, height))
        if x + width > right:
            cut.append((right, y, x + width - right, height))
        if y < top:
            cut.append((x, y, width, top - y))
        if y + height > bottom:
            cut.append((x, bottom, width, y + height - bottom))
    for index, hole in enumerate(cut):
        others = kept + cut[:index] + [other for other in cut[index + 1 :] if other != hole]
        if not any(_inside(hole, other) for other in others):
            kept.append(hole)
    return kept


def _inside(hole: Free, other: Free) -> bool:
    return (
        other[0] <= hole[0]
        and other[1] <= hole[1]
        and hole[0] + hole[2] <= other[0] + other[2]
        and hole[1] + hole[3] <= other[1] + other[3]
    )
