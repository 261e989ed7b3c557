"""Arrangements of claims in one room that take the fewest through cuts.

A sheet that is cut up comes apart into its claims and pieces of waste, and every cut makes one part more; so
the fewest cuts leave the fewest pieces of waste. For every group of claims some rectangles that take it, each
made of those of two smaller groups put side by side or one below the other; where one of the two is shorter,
what it leaves is one more piece of waste. A rectangle is dropped where another, with waste added to make it as
large, would do as well, and where it loses more area than the room has to spare (Wang, "Two algorithms for
constrained two-dimensional cutting stock problems", Operations Research 31, 1983, bounds waste like that).
Of what is then left so many of the easiest and the smallest are kept; where all are, nothing easier exists than
what is found.

Here a group is one number, the sum of what its claims count for, so that groups add and subtract as numbers.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from math import prod

from kitprep.pack.claims import Spot
from kitprep.pack.one_room import Group, Lies, Work, spots_of

_Made = tuple[int, int, tuple["_Made", "_Made", bool] | tuple[int, bool], int]
"""Width, height, what it is made of, as in `kitprep.pack.one_room`, and how many pieces of waste are in it."""
_MOST_SUMS = 1_500  # of widths; where there are more, nearly every length can be filled
_KEPT = 2  # of the easiest and of the smallest rectangles, so that a sheet takes milliseconds
_PARTS_A_WAY = 4  # so many ways to part a group are looked through while two rectangles are joined


class _Filled:
    """How much of a length claims can fill, side by side."""

    def __init__(self, whole: int, lies: Lies, group: Group, side: int) -> None:
        sums = {0}
        for kind, count in enumerate(group):
            for _ in range(count):
                more = {start + way[side] for start in sums for way in lies[kind]}
                grown = sums | {total for total in more if total <= whole}
                if len(grown) == len(sums) or len(sums) > _MOST_SUMS:
                    break
                sums = grown
        self._sums = sorted(sums) if len(sums) <= _MOST_SUMS else []
        self._known: dict[int, int] = {}

    def unfilled(self, length: int) -> int:
        """What is left of a length at least."""
        if length not in self._known:
            self._known[length] = (
                length - self._sums[bisect_right(self._sums, length) - 1] if self._sums else 0
            )
        return self._known[length]


class EasyRoom:
    """Arranges groups in one room.

    Parameters
    ----------
    width, height : int
        The room.
    lies : sequence of tuple of Way
        For every kind how it may lie.
    areas : sequence of int
        For every kind how much it takes.
    largest : Group
        What every group asked for is within.
    most : int
        More pieces of waste than so many in an arrangement are not wanted.
    spare : int
        How much area an arrangement may lose.
    kept : int
        How many of the easiest rectangles are kept for every group, and as many of the smallest.
    """

    def __init__(
        self,
        width: int,
        height: int,
        lies: Lies,
        areas: Sequence[int],
        largest: Group,
        most: int,
        spare: int,
        kept: int = _KEPT,
    ) -> None:
        self.width, self.height, self.areas, self.most, self.spare = width, height, areas, most, spare
        self.kept = kept
        self.worths: list[int] = []
        self._known: dict[int, list[_Made]] = {}
        self._across = _Filled(width, lies, largest, 0)
        self._down = _Filled(height, lies, largest, 1)
        worth = 1
        for kind, count in enumerate(largest):
            self.worths.append(worth)
            if count:
                alone: list[_Made] = [
                    (wide, high, (kind, turned), 0)
                    for wide, high, turned in lies[kind]
                    if wide <= width and high <= height
                ]
                self._known[worth] = _worth_keeping(alone, kept)
                worth *= count + 1

    def arrangements(self, group: Group, work: Work) -> list[tuple[int, list[Spot]]]:
        """Arrangements of a group with the pieces of waste in each, the fewest first.

        What is left beside and below an arrangement is not counted.

        Raises
        ------
        OutOfWork
            If they take too much work to find.
        """
        work.spend(prod(count + 1 for count in group))
        parts: list[tuple[int, tuple[tuple[int, int], ...], int]] = [(0, (), 0)]
        for kind, count in enumerate(group):
            if count:
                worth, area = self.worths[kind], self.areas[kind]
                parts = [
                    (
                        code + worth * number,
                        (*steps, (worth, number)) if number else steps,
                        taken + area * number,
                    )
                    for code, steps, taken in parts
                    for number in range(count + 1)
                ]
        for code, steps, taken in parts:
            if code not in self._known and code:
                self._known[code] = self._made(code, steps, taken + self.spare, work)
        hole = (0, 0, self.width, self.height)
        return [(made[3], list(spots_of(made, hole))) for made in self._known[parts[-1][0]]]

    def _made(self, whole: int, steps: Sequence[tuple[int, int]], largest: int, work: Work) -> list[_Made]:
        """The rectangles that take a group, those with the fewest pieces of waste first."""
        codes = [0]
        for worth, count in steps:
            codes = [code + more for more in range(0, worth * count + 1, worth) for code in codes]
        half, known = whole // 2, self._known
        made: dict[tuple[int, int], _Made] = {}
        joined = len(codes) // _PARTS_A_WAY
        for code in codes:
            if 0 < code <= half and (ones := known[code]) and (others := known[whole - code]):
                joined += self._join(ones, others, largest, made)
        work.spend(joined)
        useful = [entry for entry in made.values() if self._leaves_enough(entry, largest)]
        return _worth_keeping(useful, self.kept)

    def _leaves_enough(self, made: _Made, largest: int) -> bool:
        """Whether no more is lost with what is sure to be lost beside a rectangle and below it."""
        width, height, _, _ = made
        beside = self._across.unfilled(self.width - width) * height
        below = self._down.unfilled(self.height - height) * width
        return width * height + beside + below <= largest

    def _join(
        self, ones: Sequence[_Made], others: Sequence[_Made], largest: int, made: dict[tuple[int, int], _Made]
    ) -> int:
        """Add what can be made of one of the ones and one of the others; the number of pairs looked at."""
        room_width, room_height, most, looked = self.width, self.height, self.most, 0
        for one in ones:
            width, height, _, waste = one
            for other in others:
                wide, high, _, wasted = other
                wasted += waste
                if wasted > most:
                    break
                looked += 1
                across = width + wide
                if across <= room_width:
                    down, total = (height, wasted) if height == high else (max(height, high), wasted + 1)
                    if total <= most and across * down <= largest:
                        before = made.get((across, down))
                        if before is None or total < before[3]:
                            made[across, down] = (across, down, (one, other, True), total)
                down = height + high
                if down <= room_height:
                    across, total = (width, wasted) if width == wide else (max(width, wide), wasted + 1)
                    if total <= most and across * down <= largest:
                        before = made.get((across, down))
                        if before is None or total < before[3]:
                            made[across, down] = (across, down, (one, other, False), total)
        return looked


def _worth_keeping(made: Sequence[_Made], most: int) -> list[_Made]:
    kept: list[_Made] = []
    for entry in sorted(made, key=lambda entry: (entry[3], entry[0], entry[1])):
        width, height, _, waste = entry
        if not any(
            other[0] <= width
            and other[1] <= height
            and other[3] + (other[0] < width) + (other[1] < height) <= waste
            for other in kept
        ):
            kept.append(entry)
    if len(kept) > 2 * most:
        smallest = sorted(kept[most:], key=lambda entry: entry[0] * entry[1])[:most]
        kept[most:] = sorted(smallest, key=lambda entry: entry[3])
    return kept
