"""Fills rooms so that through cuts can take them apart.

Every claim goes to the top left corner of a free rectangle, the *hole*, and one through cut beside it and
one below it divide what is left of the hole in two. So free rectangles never overlap, the packing can be
cut, and a hole can be emptied of all that was put in it without touching what lies outside.
"""

from __future__ import annotations

from collections.abc import Sequence

from kitprep.pack.claims import Free, Kind, Spot

Way = tuple[int, int, bool]
"""A kind as it may lie: width, height, whether turned."""

_FAR = 1 << 62


def ways(kind: Kind, width: int, height: int) -> tuple[Way, ...]:
    """How a kind may lie in a room."""
    both = [(kind.width, kind.height, False)]
    if kind.turns:
        both.append((kind.height, kind.width, True))
    return tuple(way for way in both if way[0] <= width and way[1] <= height)


def fill(
    free: list[Free],
    order: Sequence[int],
    counts: list[int],
    lies: Sequence[tuple[Way, ...]],
    splits: str,
    least: int = 1,
) -> list[Spot]:
    """Fill free rectangles with kinds in the order given, each where its shorter rest is least.

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
    splits : str
        For each claim in turn, and again from the start, how its hole is divided: ``a`` leaves the
        largest rectangle, ``i`` does not, ``w`` cuts across the whole width, ``h`` down the whole height.
    least : int
        Free rectangles with a side below this are dropped.
    """
    spots: list[Spot] = []
    for kind in order:
        wanted, lying = counts[kind], lies[kind]
        while wanted:
            best, chosen, way = _FAR, -1, lying[0]
            for index, (_, _, width, height) in enumerate(free):
                for option in lying:
                    rest, below = width - option[0], height - option[1]
                    if rest >= 0 and below >= 0:
                        shorter = below if below < rest else rest
                        if shorter < best:
                            best, chosen, way = shorter, index, option
            if chosen < 0:
                break
            wanted -= 1
            hole, free[chosen] = free[chosen], free[-1]
            free.pop()
            spots.append((hole[0], hole[1], way[0], way[1], kind, way[2], hole))
            _split(free, hole, way, splits[len(spots) % len(splits)], least)
        counts[kind] = wanted
    return spots


def _split(free: list[Free], hole: Free, way: Way, rule: str, least: int) -> None:
    x, y, width, height = hole
    wide, high, _ = way
    if rule in "ai":
        across = (width * (height - high) >= (width - wide) * height) == (rule == "a")
    else:
        across = rule == "w"
    right_height, below_width = (high, width) if across else (height, wide)
    if width - wide >= least and right_height >= least:
        free.append((x + wide, y, width - wide, right_height))
    if height - high >= least and below_width >= least:
        free.append((x, y + high, below_width, height - high))


def spare(spots: Sequence[Spot], hole: Free) -> list[Free]:
    """What a packing leaves free in a hole, as rectangles that through cuts can free too."""
    free: list[Free] = []
    waiting = [(list(spots), hole)]
    while waiting:
        held, (x, y, width, height) = waiting.pop()
        right = max((spot[0] + spot[2] for spot in held), default=x)
        bottom = max((spot[1] + spot[3] for spot in held), default=y)
        if right < x + width:
            free.append((right, y, x + width - right, height))
        if held and bottom < y + height:
            free.append((x, bottom, right - x, y + height - bottom))
        if len(held) > 1:
            waiting += _halves(held, (x, y, right - x, bottom - y))
    return free


def _halves(spots: Sequence[Spot], hole: Free) -> list[tuple[list[Spot], Free]]:
    """A hole divided between two claims that no other bridges."""
    x, y, width, height = hole
    for low in (1, 0):
        for line in sorted({_end(spot, low) for spot in spots}):
            near = [spot for spot in spots if _end(spot, low) <= line]
            far = [spot for spot in spots if _start(spot, low) >= line]
            if far and len(near) + len(far) == len(spots):
                if low == 0:
                    return [(near, (x, y, line - x, height)), (far, (line, y, x + width - line, height))]
                return [(near, (x, y, width, line - y)), (far, (x, line, width, y + height - line))]
    return []


def _start(spot: Spot, low: int) -> int:
    return spot[0] if low == 0 else spot[1]


def _end(spot: Spot, low: int) -> int:
    return spot[0] + spot[2] if low == 0 else spot[1] + spot[3]
