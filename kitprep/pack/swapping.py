"""Lets two sheets swap a few claims where both together are then cut up with fewer cuts.

With how few pieces of waste a group of claims can be cut up is looked up in `kitprep.pack.easy_room`, so this
can do something for sheets that are packed close, where filling them anew in mixed orders finds little.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kitprep.pack.claims import Free, Spot
from kitprep.pack.easy_room import EasyRoom
from kitprep.pack.mixing import Mixing
from kitprep.pack.one_room import Group, OutOfWork, Work
from kitprep.pack.search import Search
from kitprep.pack.tidy import Cutting, counts_on

_WORK = 250_000  # pairs of parts joined, some 0.08 s, where claims share cuts
_WORK_APART = 60_000  # where they do not, a cut saved is a small part of all
_A_SWAP = 10  # as many pairs can be joined while a swap is thought of
_JUDGING = 60  # and while the cuts of one claim are judged

_Move = tuple[int, int]
"""A kind and a number of copies."""


@dataclass
class _Held:
    """A sheet: its claims, where they keep to, and what it is to cut up."""

    spots: list[Spot]
    hole: Free
    group: Group
    cuts: int


@dataclass(frozen=True, slots=True)
class _Layout:
    """How a sheet may be laid out with a group, and the pieces of waste that leaves."""

    sheet: _Held
    group: Group
    spots: list[Spot]
    waste: int


def swapped(
    sheets: Sequence[Sequence[Spot]],
    holes: Sequence[Free],
    search: Search,
    cutting: Cutting,
    share: float = 1.0,
) -> list[list[Spot]]:
    """Sheets of which pairs have swapped claims.

    Parameters
    ----------
    sheets, holes, search, cutting, share
        As in `kitprep.pack.exchanging.exchanged`.
    """
    if cutting.is_over():
        return [list(spots) for spots in sheets]
    work = Work(round(share * (_WORK if cutting.between == 1 else _WORK_APART)), cutting.is_over)
    mixing = Mixing(5)
    held = [
        _Held(list(spots), hole, tuple(counts_on(spots, search)), cutting.trouble(spots, 0)[0])
        for spots, hole in zip(sheets, holes, strict=True)
    ]
    try:
        for pair in mixing.pairs(held):
            _Pair(*pair, search, cutting, work).ease()
    except OutOfWork:
        pass
    return [sheet.spots for sheet in held]


class _Pair:
    """Two sheets between which claims are swapped."""

    def __init__(self, one: _Held, other: _Held, search: Search, cutting: Cutting, work: Work) -> None:
        self.one, self.other, self.search, self.cutting, self.work = one, other, search, cutting, work

    def ease(self) -> None:
        """Swap claims as long as that saves a cut."""
        while any(self._swap(*swap) for swap in self._worth_trying()):
            pass

    @property
    def _waste(self) -> int:
        return sum(self.cutting.waste(sheet.cuts, sum(sheet.group)) for sheet in (self.one, self.other))

    def _worth_trying(self) -> list[tuple[_Layout, _Held, Group]]:
        """Swaps after which the sheet of fewer claims is easy to cut, the easiest first, and what is left."""
        found = []
        for group, rest in _swaps(self.one.group, self.other.group):
            self.work.spend(_A_SWAP)
            few, many = sorted([(sum(group), 0), (sum(rest), 1)])
            swaps = ((self.one, group), (self.other, rest))
            if all(self._may_take(*swap) for swap in swaps):
                layout = self._easiest(*swaps[few[1]], self._waste - 1)
                if layout is not None:
                    found.append((layout, *swaps[many[1]]))
        return sorted(found, key=lambda swap: swap[0].waste)

    def _swap(self, few: _Layout, sheet: _Held, group: Group) -> bool:
        """Give two sheets these groups if that saves a cut."""
        many = self._easiest(sheet, group, self._waste - 1 - few.waste)
        if many is None:
            return False
        cuts = [self._cuts(layout.spots) for layout in (few, many)]
        if sum(cuts) >= self.one.cuts + self.other.cuts:
            return False
        for layout, needed in zip((few, many), cuts, strict=True):
            layout.sheet.spots, layout.sheet.group, layout.sheet.cuts = layout.spots, layout.group, needed
        return True

    def _may_take(self, sheet: _Held, group: Group) -> bool:
        return 0 < self._area(group) <= sheet.hole[2] * sheet.hole[3]

    def _area(self, group: Group) -> int:
        return sum(map(int.__mul__, group, self.search.areas))

    def _easiest(self, sheet: _Held, group: Group, most: int) -> _Layout | None:
        """The layout with the fewest pieces of waste, with at most so many; None where none is found."""
        _, _, width, height = sheet.hole
        spare = width * height - self._area(group)
        room = EasyRoom(width, height, self.search.lies, self.search.areas, group, most, spare)
        found = room.arrangements(group, self.work)
        return _Layout(sheet, group, found[0][1], found[0][0]) if found else None

    def _cuts(self, spots: Sequence[Spot]) -> int:
        self.work.spend(_JUDGING * len(spots))
        return self.cutting.trouble(spots, 0)[0]


def _swaps(one: Group, other: Group) -> Iterator[tuple[Group, Group]]:
    """What two groups become when copies of a kind go over, and copies of another come back, or none."""
    over = [(kind, number) for kind, count in enumerate(one) for number in range(1, count + 1)]
    back = [(kind, number) for kind, count in enumerate(other) for number in range(1, count + 1)]
    for gone in over:
        yield _moved(one, other, [gone])
    for come in back:
        yield _moved(one, other, [(come[0], -come[1])])
    for gone in over:
        for come in back:
            if gone[0] != come[0]:
                yield _moved(one, other, [gone, (come[0], -come[1])])


def _moved(one: Group, other: Group, moves: Sequence[_Move]) -> tuple[Group, Group]:
    ones, others = list(one), list(other)
    for kind, number in moves:
        ones[kind] -= number
        others[kind] += number
    return tuple(ones), tuple(others)
