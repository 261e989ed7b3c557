"""Looks for a packing on fewer sheets, the same one every time.

First claims are filled in by many orders. Then one sheet is taken away and its claims go into a pool:
again and again holes in a few sheets are emptied and filled anew together with the pool, in a shuffled
order, and what leaves no more owed in the pool than now, or than a few rounds ago, stays (ruin and recreate
towards a goal with late acceptance, after Gardeyn and Wauters, European J. Operational Research 2021, doi
10.1016/j.ejor.2021.11.031). Claims that stay in the pool grow dearer, so that in time others have to wait in
their stead. An empty pool is a sheet saved.

Work is counted, not timed, so that the answer does not depend on the machine.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from operator import mul

from kitprep.pack.claims import Free, Job, Spot
from kitprep.pack.free import fill_freely, spare_freely
from kitprep.pack.guillotine import Way, fill, ways
from kitprep.pack.mixing import Mixing
from kitprep.pack.packing import CutMode

Sheet = tuple[list[Spot], list[Free]]
"""The claims of a sheet and what it has free."""

Lies = Sequence[tuple[Way, ...]]
"""For every kind how it may lie."""

_SHEETS_AT_ONCE = (1, 2, 2, 3)
_WHOLE_SHEETS = 0.3  # share of rounds that empty sheets altogether
_SPREADS = (0.2, 0.5, 1.0)  # how far a shuffled order may stray from the order by size
_SPLITS = ("a", "a", "w", "h", "wh", "aw", "ah", "ai")
_ONE_WAY_ONLY = 0.25  # share of rounds in which every kind lies one way: rows of equal pieces come of it
_LATE = 4  # rounds
_ROUNDS_BEFORE_DEARER = 50
_DEARER = 1.05
_STEPS_FOR_LEFT_OVER = 15_000  # spent on emptying the last sheet when no sheet can be saved
_FREE_STEPS_FOR_LEFT_OVER = 9_000  # without through cuts, where a step takes several times as long
_HIGHEST_PRICE = 1e100


@dataclass
class Effort:
    """How much work may still be done.

    Parameters
    ----------
    steps : int
        Claims that may still be handled.
    deadline : callable or None
        Says whether to stop early.
    """

    steps: int
    deadline: Callable[[], bool] | None = None

    def spend(self, steps: int) -> bool:
        """Count work; whether there is more to spend."""
        self.steps -= steps
        if self.steps > 0 and self.deadline is not None and self.deadline():
            self.steps = 0
        return self.steps > 0


class Search:
    """Fills sheets with one job's claims.

    Parameters
    ----------
    job : Job
        What to pack.
    effort : Effort
        How long to look.
    mode : CutMode
        Whether through cuts must free the claims.
    zones : sequence of tuple of Free
        Ways to divide a room beforehand, to choose from; none leaves it whole.
    """

    def __init__(
        self,
        job: Job,
        effort: Effort,
        mode: CutMode,
        zones: Sequence[tuple[Free, ...]] = (),
    ) -> None:
        self.job, self.effort, self.mode = job, effort, mode
        room, kinds = job.room, job.kinds
        self.zones = zones or [((0, 0, room.width, room.height),)]
        self.mixing = Mixing(1)
        self.lies = [ways(kind, room.width, room.height) for kind in kinds]
        self.areas = [kind.width * kind.height for kind in kinds]
        self.least = min(min(kind.width, kind.height) for kind in kinds)
        self.sizes = [
            self.areas,
            [max(kind.width, kind.height) for kind in kinds],
            [kind.width + kind.height for kind in kinds],
            [min(kind.width, kind.height) for kind in kinds],
        ]
        if not all(kind.turns for kind in kinds):
            self.sizes += [[kind.width for kind in kinds], [kind.height for kind in kinds]]

    def improved(self, known: Sequence[Sheet], bound: int) -> list[Sheet]:
        """The best packing found, fullest sheet first.

        Parameters
        ----------
        known : sequence of Sheet
            A packing to start from.
        bound : int
            A number of sheets that cannot be beaten.
        """
        sheets = list(known)
        while len(sheets) > 1:
            if len(sheets) <= bound:
                freely = self.mode is CutMode.SCISSORS
                enough = _FREE_STEPS_FOR_LEFT_OVER if freely else _STEPS_FOR_LEFT_OVER
                self.effort = Effort(min(self.effort.steps, enough), self.effort.deadline)
            before, sheets = len(sheets), self._with_one_less(sheets)
            if len(sheets) == before:
                break
        return sorted((sheet for sheet in sheets if sheet[0]), key=self.used, reverse=True)

    def used(self, sheet: Sheet) -> int:
        """The area that a sheet's claims take."""
        return sum(spot[2] * spot[3] for spot in sheet[0])

    def fill(
        self,
        free: list[Free],
        order: Sequence[int],
        counts: list[int],
        splits: str,
        lies: Lies = (),
    ) -> list[Spot]:
        """Fill free rectangles; `free` and `counts` are changed to what is left."""
        if self.mode is CutMode.SCISSORS:
            return fill_freely(free, order, counts, lies or self.lies)
        return fill(free, order, counts, lies or self.lies, splits, self.least)

    def orders(self) -> list[list[int]]:
        """All kinds, largest first by each way to measure them."""
        return [sorted(range(len(size)), key=lambda kind: (-size[kind], kind)) for size in self.sizes]

    def first(self) -> list[Sheet]:
        """The best packing of those by plain orders."""
        best: list[Sheet] = []
        pieces = sum(len(kind.members) for kind in self.job.kinds)
        for lies in self._plain_lies():
            for order in self.orders():
                for splits in "awh":
                    sheets = self._in_order(order, splits, lies)
                    if not best or self._emptiness(sheets) < self._emptiness(best):
                        best = sheets
                    if not self.effort.spend(pieces):
                        return best
        return best

    def _plain_lies(self) -> list[Lies]:
        """Every kind as it may lie; then all of them upright only, and all of them level only."""
        upright = [_narrowed(lies, tall=True) for lies in self.lies]
        level = [_narrowed(lies, tall=False) for lies in self.lies]
        return [self.lies, *(lies for lies in (upright, level) if lies != self.lies)]

    def _mixed_lies(self, order: Sequence[int]) -> Lies:
        """Every kind as it may lie or, now and then, each of those in order held to one way of lying."""
        if self.mixing.share() >= _ONE_WAY_ONLY:
            return self.lies
        held = list(self.lies)
        drawn = 1
        for kind in order:
            if drawn == 1:
                drawn = self.mixing.bits() | self.mixing.LIMIT
            if len(held[kind]) == 2:
                held[kind] = (held[kind][drawn & 1],)
            drawn >>= 1
        return held

    def _in_order(self, order: Sequence[int], splits: str, lies: Lies) -> list[Sheet]:
        counts = [len(kind.members) for kind in self.job.kinds]
        sheets = []
        while any(counts):
            free = list(self.mixing.choose(self.zones))
            spots = self.fill(free, [kind for kind in order if counts[kind]], counts, splits, lies)
            if spots:
                sheets.append((spots, free))
        return sheets

    def _emptiness(self, sheets: Sequence[Sheet]) -> tuple[int, int]:
        return len(sheets), min(self.used(sheet) for sheet in sheets)

    def _with_one_less(self, sheets: Sequence[Sheet]) -> list[Sheet]:
        """The same claims on one sheet less, or on as many with less on one of them."""
        *rest, emptiest = best = sorted(sheets, key=self.used, reverse=True)
        pool = [0] * len(self.areas)
        for spot in emptiest[0]:
            pool[spot[4]] += 1
        prices: list[float] = [*self.areas]
        owed, rounds, least = _owed(pool, prices), 0, self.used(emptiest)
        owed_before = [owed] * _LATE
        while self.effort.steps > 0:
            chosen = self.mixing.some(min(len(rest), self.mixing.choose(_SHEETS_AT_ONCE)), len(rest))
            counts = pool[:]
            fresh = self._mended([rest[index] for index in chosen], counts)
            now_owed, late = _owed(counts, prices), owed_before[rounds % _LATE]
            owed_before[rounds % _LATE] = owed
            if now_owed <= owed or now_owed <= late:
                pool, owed = counts, now_owed
                for index, sheet in zip(chosen, fresh, strict=True):
                    rest[index] = sheet
                if not any(pool):
                    return rest
                area = sum(map(mul, pool, self.areas))
                if area < least and (last := self._one_sheet(pool)) is not None:
                    best, least = [*rest, last], area
            rounds += 1
            if rounds % _ROUNDS_BEFORE_DEARER == 0:
                prices = _dearer(prices, pool)
                owed = _owed(pool, prices)
                owed_before = [owed] * _LATE
        return best

    def in_one_room(self, group: Sequence[int]) -> list[Spot] | None:
        """The claims of a group in one room by plain orders, as they lie best; None where none does it."""
        room = self.job.room
        for order in self.orders():
            present = [kind for kind in order if group[kind]]
            for splits in "awh":
                left = list(group)
                spots = self.fill([(0, 0, room.width, room.height)], present, left, splits)
                if not any(left):
                    return spots
        return None

    def _one_sheet(self, pool: Sequence[int]) -> Sheet | None:
        """A sheet that holds all of the pool, or None where no plain order finds one."""
        for lies in self._plain_lies():
            for order in self.orders():
                for splits in "awh":
                    counts, free = list(pool), list(self.mixing.choose(self.zones))
                    spots = self.fill(free, [kind for kind in order if counts[kind]], counts, splits, lies)
                    if not any(counts):
                        return spots, free
        return None

    def _mended(self, sheets: Sequence[Sheet], counts: list[int]) -> list[Sheet]:
        """Sheets emptied in part or whole and filled anew, with the pool in `counts` to draw from.

        The sheets lie side by side meanwhile, so that they are filled as one.
        """
        width = self.job.room.width
        whole = self.mixing.share() < _WHOLE_SHEETS
        kept: list[list[Spot]] = []
        free: list[list[Free]] = []
        before = sum(counts)
        for slot, sheet in enumerate(sheets):
            spots, holes = self._emptied(sheet, whole, counts)
            kept.append(spots)
            free.append([(x + slot * width, y, wide, high) for x, y, wide, high in holes])
        order, splits = self._shuffled(counts), self.mixing.choose(_SPLITS)
        self.effort.spend(4 + sum(counts) - before // 2)
        fills = free if whole else [[hole for holes in free for hole in holes]]
        lies = self._mixed_lies(order)
        spots = [spot for holes in fills for spot in self.fill(holes, order, counts, splits, lies)]
        return _apart(kept, spots, [hole for holes in fills for hole in holes], width)

    def _emptied(self, sheet: Sheet, whole: bool, counts: list[int]) -> tuple[list[Spot], list[Free]]:
        """A sheet's remaining claims and free rectangles; those taken out are added to `counts`."""
        spots, free = sheet
        if whole or not spots:
            for spot in spots:
                counts[spot[4]] += 1
            return [], list(self.mixing.choose(self.zones))
        x, y, width, height = self._hole(spots)
        right, bottom = x + width, y + height
        kept = []
        for spot in spots:
            if spot[0] < right and x < spot[0] + spot[2] and spot[1] < bottom and y < spot[1] + spot[3]:
                counts[spot[4]] += 1
            else:
                kept.append(spot)
        if self.mode is CutMode.SCISSORS:
            room = self.job.room
            return kept, spare_freely(kept, (0, 0, room.width, room.height))
        outside = [hole for hole in free if not (x <= hole[0] < right and y <= hole[1] < bottom)]
        return kept, [(x, y, width, height), *outside]

    def _hole(self, spots: Sequence[Spot]) -> Free:
        """One of the holes that a claim lies in, from its own to the whole sheet."""
        x, y, width, height, *_ = self.mixing.choose(spots)
        around = [
            hole
            for *_, hole in spots
            if hole[0] <= x
            and hole[1] <= y
            and x + width <= hole[0] + hole[2]
            and y + height <= hole[1] + hole[3]
        ]
        return self.mixing.choose(around)

    def _shuffled(self, counts: Sequence[int]) -> list[int]:
        spread, size = self.mixing.choose(_SPREADS), self.mixing.choose(self.sizes)
        bits, strayed = self.mixing.bits, spread / self.mixing.LIMIT
        wanted = [(size[kind] * (1 - strayed * bits()), kind) for kind, count in enumerate(counts) if count]
        wanted.sort(reverse=True)
        return [kind for _, kind in wanted]


def _narrowed(lies: tuple[Way, ...], *, tall: bool) -> tuple[Way, ...]:
    """Only the ways that stand upright, or lie level; all where there is none such."""
    kept = tuple(way for way in lies if (way[1] >= way[0]) == tall)
    return kept or lies


def _owed(pool: Sequence[int], prices: Sequence[float]) -> float:
    owed: float = sum(map(mul, pool, prices))
    return owed


def _dearer(prices: Sequence[float], pool: Sequence[int]) -> list[float]:
    """Prices with those of what is in the pool raised, all scaled to stay in range."""
    raised = [price * _DEARER if left else price for price, left in zip(prices, pool, strict=True)]
    highest = max(raised)
    return [price / highest for price in raised] if highest > _HIGHEST_PRICE else raised


def _apart(kept: list[list[Spot]], spots: Sequence[Spot], free: Sequence[Free], width: int) -> list[Sheet]:
    """Sheets that lay side by side, each by itself again."""
    sheets: list[Sheet] = [(claims, []) for claims in kept]
    for x, y, wide, high, kind, turned, hole in spots:
        slot = x // width
        back = slot * width
        inside = (hole[0] - back, hole[1], hole[2], hole[3])
        sheets[slot][0].append((x - back, y, wide, high, kind, turned, inside))
    for x, y, wide, high in free:
        sheets[x // width][1].append((x % width, y, wide, high))
    return sheets
