"""Whether all claims fit on so many sheets, decided for certain where that takes little work.

Sheets are completed one after the other, each with the largest claim that is left and whatever else may
go with it (bin completion, after Martello and Toth, "Knapsack problems", 1990, section 8.5, and Korf, AAAI
2002). A sheet may waste no more than all sheets together can spare, in plain area and in areas stretched
by dual feasible functions, so few groups are worth trying; of them a group within another one that was
tried is not. Whether a group fits is decided by `kitprep.pack.one_room`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from kitprep.pack.claims import Spot
from kitprep.pack.one_room import Group, OutOfWork, Work

_WAYS_A_GROUP = 6
"""How many ways to place a claim can be looked at while one group is measured."""
_SHARE_FOR_A_GROUP = 3
"""One part in so many of the work that is left goes into one group at most."""

Decide = Callable[[Group, Work], "tuple[bool, list[Spot] | None]"]
"""Whether a group may fit into one room, and a packing where there is one as it has to be made."""
Measure = tuple[int, tuple[int, ...]]
"""A room's area, plain or stretched, and the least that a claim of each kind counts for in it."""


@dataclass(frozen=True, slots=True)
class Settled:
    """What was found out.

    Parameters
    ----------
    sheets : list of list of Spot or None
        A packing on the sheets asked for, where one was found.
    impossible : bool
        Whether it is certain that there is none.
    """

    sheets: list[list[Spot]] | None
    impossible: bool


@dataclass
class Settler:
    """Completes sheets.

    Parameters
    ----------
    measures : sequence of Measure
        Plain area first.
    decide : callable
        Whether a group may fit, for all that the bound has to grant, and a packing of it.
    """

    measures: Sequence[Measure]
    decide: Decide
    _fitting: list[Group] = field(default_factory=list)
    _unfit: list[Group] = field(default_factory=list)
    _made: dict[Group, list[Spot] | None] = field(default_factory=dict)
    _hopeless: set[tuple[Group, int]] = field(default_factory=set)
    _doubtful: bool = False

    def settle(self, wanted: Group, sheets: int, work: Work) -> Settled:
        """Whether the claims wanted go on so many sheets."""
        try:
            found = self._completed(wanted, sheets, work)
        except OutOfWork:
            return Settled(None, False)
        return Settled(found, found is None and not self._doubtful)

    def _completed(self, left: Group, sheets: int, work: Work) -> list[list[Spot]] | None:
        if not any(left):
            return []
        if not sheets or (left, sheets) in self._hopeless or not self._may_do(left, sheets):
            return None
        tried: list[Group] = []
        for group in self._groups(left, sheets, work):
            work.spend(1 + len(tried) // 2)
            if any(_within(group, other) for other in tried) or not self._fits(group, work):
                continue
            tried.append(group)
            rest = self._completed(_less(left, group), sheets - 1, work)
            if rest is not None:
                if group not in self._made:
                    self._made[group] = self._decided(group, work)[1]
                spots = self._made[group]
                if spots is not None:
                    return [spots, *rest]
                # It may fit though not as it has to be made, so that nothing is proved from here on.
                self._doubtful = True
        self._hopeless.add((left, sheets))
        return None

    def _may_do(self, left: Group, sheets: int) -> bool:
        return all(sum(map(int.__mul__, left, counts)) <= sheets * whole for whole, counts in self.measures)

    def _groups(self, left: Group, sheets: int, work: Work) -> list[Group]:
        """The groups that a sheet may hold with the largest claim left, fullest first."""
        whole, areas = self.measures[0]
        least = sum(map(int.__mul__, left, areas)) - (sheets - 1) * whole
        first = next(kind for kind, count in enumerate(left) if count)
        found: list[tuple[int, Group]] = []
        rests = [0] * (len(left) + 1)
        for kind in range(len(left) - 1, -1, -1):
            rests[kind] = rests[kind + 1] + left[kind] * areas[kind]
        start = tuple(int(kind == first) for kind in range(len(left)))
        waiting = [(first, start, areas[first], left[first] - 1)]
        while waiting:
            kind, group, area, more = waiting.pop()
            work.spend(_WAYS_A_GROUP)
            if not self._may_do(group, 1):
                continue
            if area + more * areas[kind] + rests[kind + 1] < least:
                continue
            if more and area + areas[kind] <= whole:
                added = (*group[:kind], group[kind] + 1, *group[kind + 1 :])
                waiting.append((kind, added, area + areas[kind], more - 1))
            following = kind + 1
            if following < len(left):
                waiting.append((following, group, area, left[following]))
            elif area >= least and self._may_do(_less(left, group), sheets - 1):
                found.append((area, group))
        found.sort(reverse=True)
        return [group for _, group in found]

    def _fits(self, group: Group, work: Work) -> bool:
        work.spend((len(self._unfit) + len(self._fitting)) // 2)
        if any(_within(group, known) for known in self._fitting):
            return True
        if any(_within(known, group) for known in self._unfit):
            return False
        fits, self._made[group] = self._decided(group, work)
        (self._fitting if fits else self._unfit).append(group)
        return fits

    def _decided(self, group: Group, work: Work) -> tuple[bool, list[Spot] | None]:
        """Whether a group fits, and a packing that can be made; a group too hard to decide does not."""
        granted = work.part(_SHARE_FOR_A_GROUP)
        try:
            return self.decide(group, granted)
        except OutOfWork:
            self._doubtful = True
            return False, None
        finally:
            work.take_back(granted)


def _within(group: Group, other: Group) -> bool:
    return all(map(int.__le__, group, other))


def _less(group: Group, other: Group) -> Group:
    return tuple(map(int.__sub__, group, other))
