"""Arrangements of few claims in one room that take few through cuts.

For every group of claims some rectangles that take it, each made of those of two smaller groups put side by
side or one below the other, with the cuts that part them: one between two that touch, two where they stand
apart, and one more where one of the two is shorter and its waste has to come off. Rectangles that are no
better than another in width, height and cuts are dropped, and of the rest only the easiest and the smallest
are kept, so this finds easy arrangements and proves nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from kitprep.pack.claims import Free, Spot
from kitprep.pack.one_room import Group, Lies, Work, halves

_KEPT = 3  # of the easiest, and as many of the smallest

_Made = tuple[int, int, int, tuple["_Made", "_Made", bool] | tuple[int, bool]]
"""Cuts, width, height, and what it is made of: two others and whether side by side, or a claim."""


class EasyRoom:
    """Arranges groups in one room.

    Parameters
    ----------
    width, height : int
        The room.
    lies : sequence of tuple of Way
        For every kind how it may lie.
    between : int
        Cuts between two neighbours: 1 where they touch, 2 where they stand apart.
    """

    def __init__(self, width: int, height: int, lies: Lies, between: int) -> None:
        self.width, self.height, self.lies, self.between = width, height, lies, between
        self._known: dict[Group, list[_Made]] = {}

    def arrangements(self, group: Group, work: Work) -> list[list[Spot]]:
        """Arrangements of a group, the fewest cuts first.

        Raises
        ------
        OutOfWork
            If they take too much work to find.
        """
        return [
            list(_spots(made, (0, 0, self.width, self.height)))
            for made in sorted(self._easiest(group, work), key=lambda made: made[:3])
        ]

    def _easiest(self, group: Group, work: Work) -> list[_Made]:
        known = self._known.get(group)
        if known is not None:
            return known
        kinds = [kind for kind, count in enumerate(group) if count]
        if len(kinds) == 1 and group[kinds[0]] == 1:
            made: list[_Made] = [
                (0, wide, high, (kinds[0], turned))
                for wide, high, turned in self.lies[kinds[0]]
                if wide <= self.width and high <= self.height
            ]
        else:
            made = []
            for part, rest in halves(group, work):
                ones, others = self._easiest(part, work), self._easiest(rest, work)
                work.spend(1 + len(ones) * len(others))
                made += self._joined(ones, others)
        self._known[group] = _kept(made)
        return self._known[group]

    def _joined(self, ones: Sequence[_Made], others: Sequence[_Made]) -> Iterator[_Made]:
        for one in ones:
            for other in others:
                cuts = one[0] + other[0] + self.between
                if one[1] + other[1] <= self.width:
                    level = one[2] == other[2]
                    yield (
                        cuts + (not level),
                        one[1] + other[1],
                        one[2] if level else max(one[2], other[2]),
                        (one, other, True),
                    )
                if one[2] + other[2] <= self.height:
                    level = one[1] == other[1]
                    yield (
                        cuts + (not level),
                        one[1] if level else max(one[1], other[1]),
                        one[2] + other[2],
                        (one, other, False),
                    )


def _kept(made: list[_Made]) -> list[_Made]:
    made.sort(key=lambda entry: entry[:3])
    best: list[_Made] = []
    for entry in made:
        if not any(other[1] <= entry[1] and other[2] <= entry[2] for other in best):
            best.append(entry)
    if len(best) <= 2 * _KEPT:
        return best
    smallest = sorted(best[_KEPT:], key=lambda entry: entry[1] * entry[2])
    return best[:_KEPT] + smallest[:_KEPT]


def _spots(made: _Made, hole: Free) -> Iterator[Spot]:
    x, y, width, height = hole
    _, wide, high, of = made
    if len(of) == 2:
        yield x, y, wide, high, of[0], of[1], hole
        return
    one, other, beside = of
    if beside:
        yield from _spots(one, (x, y, one[1], height))
        yield from _spots(other, (x + one[1], y, width - one[1], height))
    else:
        yield from _spots(one, (x, y, width, one[2]))
        yield from _spots(other, (x, y + one[2], width, height - one[2]))
