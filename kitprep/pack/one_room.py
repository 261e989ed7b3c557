"""Whether some claims fit into one room, decided for certain, for rooms of few claims.

Freely: claims are put, one after the other, into the inner corners of a falling staircase, below and left
of which nothing more may come (the envelope of Martello, Pisinger and Vigo, "The three-dimensional bin
packing problem", Operations Research 48, 2000, section 4.1, in the plane, where every packing can be built
in such an order). A staircase met before with the same claims left is not gone into again.

By through cuts: for every group of claims all smallest rectangles that take it, each made of those of two
smaller groups put side by side or one below the other (the dynamic programme over subsets that Christofides
and Whitlock, "An algorithm for two-dimensional cutting problems", Operations Research 25, 1977, start from).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import prod
from typing import Any

from kitprep.pack.claims import Free, Spot
from kitprep.pack.guillotine import Way

Group = tuple[int, ...]
"""For every kind how many."""
Lies = Sequence[tuple[Way, ...]]
"""For every kind how it may lie."""

_WAYS_BETWEEN_QUESTIONS = 2_000

_Stairs = tuple[tuple[int, int], ...]
"""Where each tread starts across, and how far down it is; each less far down than the one before."""


class OutOfWork(Exception):
    """The question takes more work than was granted."""


@dataclass
class Work:
    """How much may still be done.

    Parameters
    ----------
    left : int
        Ways of placing a claim that may still be looked at.
    deadline : callable or None
        Says whether to stop early.
    """

    left: int
    deadline: Callable[[], bool] | None = None
    _until_asked: int = _WAYS_BETWEEN_QUESTIONS

    def spend(self, ways: int) -> None:
        """Count work.

        Raises
        ------
        OutOfWork
            When there is no more, or the deadline has passed.
        """
        self.left -= ways
        self._until_asked -= ways
        if self._until_asked < 0 and self.deadline is not None:
            self._until_asked = _WAYS_BETWEEN_QUESTIONS
            if self.deadline():
                self.left = -1
        if self.left < 0:
            raise OutOfWork

    def part(self, share: int) -> Work:
        """One part in so many of what is left, to be given back by `take_back`."""
        granted = self.left // share
        self.left -= granted
        return Work(granted, self.deadline)

    def take_back(self, part: Work) -> None:
        """What a part has not used."""
        self.left += max(part.left, 0)


class FreeRoom:
    """Packs groups into one room without regard to cuts."""

    def __init__(self, width: int, height: int, lies: Lies, areas: Sequence[int]) -> None:
        self.width, self.height, self.lies, self.areas = width, height, lies, areas

    def packed(self, group: Group, work: Work) -> list[Spot] | None:
        """A packing of the group, or None where there is none at all.

        Raises
        ------
        OutOfWork
            If that could not be decided.
        """
        spare = self.width * self.height - sum(
            count * area for count, area in zip(group, self.areas, strict=True)
        )
        if spare < 0:
            return None
        seen: set[tuple[_Stairs, Group]] = set()
        return self._filled(((0, 0),), group, spare, 0, [], seen, work)

    def _filled(
        self,
        stairs: _Stairs,
        group: Group,
        spare: int,
        placed: int,
        spots: list[Spot],
        seen: set[tuple[_Stairs, Group]],
        work: Work,
    ) -> list[Spot] | None:
        present = [kind for kind, count in enumerate(group) if count]
        if not present:
            return spots
        if (stairs, group) in seen:
            return None
        seen.add((stairs, group))
        narrowest = min(way[0] for kind in present for way in self.lies[kind])
        lowest = min(way[1] for kind in present for way in self.lies[kind])
        if self._lost(stairs, narrowest, lowest) - placed > spare:
            return None
        for x, y in stairs:
            if x + narrowest > self.width or y + lowest > self.height:
                continue
            for kind in present:
                for wide, high, turned in self.lies[kind]:
                    work.spend(1)
                    if x + wide > self.width or y + high > self.height:
                        continue
                    rest = (*group[:kind], group[kind] - 1, *group[kind + 1 :])
                    hole = (x, y, self.width - x, self.height - y)
                    found = self._filled(
                        _raised(stairs, x + wide, y + high),
                        rest,
                        spare,
                        placed + wide * high,
                        [*spots, (x, y, wide, high, kind, turned, hole)],
                        seen,
                        work,
                    )
                    if found is not None:
                        return found
        return None

    def _lost(self, stairs: _Stairs, narrowest: int, lowest: int) -> int:
        """The area that nothing more can be put into."""
        lost, above = 0, self.height
        for index, (x, y) in enumerate(stairs):
            end = stairs[index + 1][0] if index + 1 < len(stairs) else self.width
            if y + lowest > self.height:
                y = self.height
            elif x + narrowest > self.width:
                y = above
            lost += (end - x) * y
            above = y
        return lost


def _raised(stairs: _Stairs, right: int, bottom: int) -> _Stairs:
    """The staircase when all that is left of `right` is taken down to `bottom`."""
    before = [tread for tread in stairs if tread[1] > bottom]
    under = stairs[-1][1]
    for x, y in stairs:
        if x <= right:
            under = y
    after = [tread for tread in stairs if tread[0] > right]
    start = next((x for x, y in stairs if y <= bottom), right)
    treads = list(before)
    if start < right:
        treads.append((start, bottom))
    if under <= bottom:
        if under < bottom:
            treads.append((right, under))
        treads += [tread for tread in after if tread[1] < under]
    return tuple(treads)


_Made = tuple[int, int, tuple["_Made", "_Made", bool] | tuple[int, bool]]
"""Width, height, and what it is made of: two others and whether they stand side by side, or a claim."""


class CutRoom:
    """Packs groups into one room so that through cuts take them apart."""

    def __init__(self, width: int, height: int, lies: Lies, areas: Sequence[int]) -> None:
        self.width, self.height, self.lies, self.areas = width, height, lies, areas
        self._known: dict[Group, list[_Made]] = {}

    def packed(self, group: Group, work: Work) -> list[Spot] | None:
        """A packing of the group, or None where none can be cut.

        Raises
        ------
        OutOfWork
            If that could not be decided.
        """
        made = self._smallest(group, work)
        if not made:
            return None
        return list(spots_of(made[0], (0, 0, self.width, self.height)))

    def _smallest(self, group: Group, work: Work) -> list[_Made]:
        """All rectangles that take the group, without those that a smaller one makes needless."""
        known = self._known.get(group)
        if known is not None:
            return known
        kinds = [kind for kind, count in enumerate(group) if count]
        work.spend(1)
        if len(kinds) == 1 and group[kinds[0]] == 1:
            made: list[_Made] = [(way[0], way[1], (kinds[0], way[2])) for way in self.lies[kinds[0]]]
        else:
            made = []
            for part, rest in halves(group, work):
                one, other = self._smallest(part, work), self._smallest(rest, work)
                work.spend(1 + len(one) * len(other))
                made += self._joined(one, other)
        smallest: list[_Made] = []
        for candidate in sorted(made, key=lambda entry: entry[:2]):
            if not smallest or candidate[1] < smallest[-1][1]:
                smallest.append(candidate)
        self._known[group] = smallest
        return smallest

    def _joined(self, ones: Sequence[_Made], others: Sequence[_Made]) -> Iterator[_Made]:
        width, height = self.width, self.height
        for one in ones:
            for other in others:
                if one[0] + other[0] <= width:
                    yield one[0] + other[0], max(one[1], other[1]), (one, other, True)
                if one[1] + other[1] <= height:
                    yield max(one[0], other[0]), one[1] + other[1], (one, other, False)


def halves(group: Group, work: Work) -> Iterator[tuple[Group, Group]]:
    """Every way to part a group in two, each once.

    Raises
    ------
    OutOfWork
        If there are more of them than work is left for; none is made then.
    """
    work.spend(prod(count + 1 for count in group) // 2)
    whole = (0,) * len(group)
    parts = [whole]
    for kind, count in enumerate(group):
        if count:
            parts = [
                (*part[:kind], number, *part[kind + 1 :]) for part in parts for number in range(count + 1)
            ]
    for part in parts:
        rest = tuple(count - taken for count, taken in zip(group, part, strict=True))
        if part != whole and part <= rest:
            yield part, rest


def spots_of(made: tuple[Any, ...], hole: Free) -> Iterator[Spot]:
    """The claims of a rectangle that was made of smaller ones, put into the corner of a hole."""
    x, y, width, height = hole
    wide, high, of, *_ = made
    if len(of) == 2:
        yield x, y, wide, high, of[0], of[1], hole
        return
    one, other, beside = of
    if beside:
        yield from spots_of(one, (x, y, one[0], height))
        yield from spots_of(other, (x + one[0], y, width - one[0], height))
    else:
        yield from spots_of(one, (x, y, width, one[1]))
        yield from spots_of(other, (x, y + one[1], width, height - one[1]))
