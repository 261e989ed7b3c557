"""From claims to the fewest sheets that can be found, and to the most that can be proved to be needed.

Plain orders first; then, where that is not yet the least, a short attempt to settle the question for
certain, a search for as long as the effort lasts, and a last attempt with what was put aside for it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from kitprep.pack.bounds import measures
from kitprep.pack.claims import Free, Job, Spot
from kitprep.pack.guillotine import ways
from kitprep.pack.one_room import CutRoom, FreeRoom, Group, Work
from kitprep.pack.packing import CutMode
from kitprep.pack.search import Effort, Search, Sheet
from kitprep.pack.settling import Settler

STEPS = 280_000  # claims handled; about 0.55 s on the machine it was set on
STEPS_FREELY = 34_000  # as many as take half that time without through cuts
WORK_BEFORE, WORK_AFTER = 40_000, 60_000  # ways to place a claim; about 0.1 s and 0.2 s there
_KINDS_AT_FULL_SPEED = 16  # with more, a way to place a claim takes longer to look at
_MOST_SETTLED = 60  # claims; more are never settled in that time


@dataclass(frozen=True, slots=True)
class Terms:
    """By which rules a job is packed.

    Parameters
    ----------
    mode : CutMode
        What the pieces are cut with.
    zones : tuple of tuple of Free
        Ways to divide every sheet beforehand, to choose from; none leaves sheets whole.
    bound : int
        A number of sheets known to be needed.
    exact : bool
        Whether claims that overlap break the rules, so that what no claims allow is impossible.
    trims_only : bool
        Whether claims are the trims themselves, so that cuts part claims if they part trims.
    effort : float
        How long to look; 1 takes about a second.
    deadline : callable or None
        Says whether to stop early.
    """

    mode: CutMode
    zones: tuple[tuple[Free, ...], ...]
    bound: int
    exact: bool
    trims_only: bool
    effort: float
    deadline: Callable[[], bool] | None


def solve(job: Job, terms: Terms) -> tuple[list[list[Spot]], int, Search]:
    """The sheets found, the number of sheets proved to be needed, and the search that fills by the rules.

    Parameters
    ----------
    job : Job
        What to pack.
    terms : Terms
        By which rules.
    """
    return _Solver(job, terms).solve()


class _Solver:
    def __init__(self, job: Job, terms: Terms) -> None:
        self.job, self.terms, self.bound = job, terms, terms.bound
        self.freely = terms.mode is CutMode.SCISSORS
        self.wanted: Group = tuple(len(kind.members) for kind in job.kinds)
        self.settler: Settler | None = None
        self.search = Search(job, self._effort(STEPS), CutMode.TRIMMER, terms.zones)

    def solve(self) -> tuple[list[list[Spot]], int, Search]:
        sheets = self._settled(self.search.first(), WORK_BEFORE)
        if not self.freely or len(sheets) == self.bound:
            sheets = self.search.improved(sheets, self.bound)
        if self.freely:
            self.search = Search(self.job, self._effort(STEPS_FREELY), CutMode.SCISSORS)
            sheets = self._freely(sheets)
        sheets = self._settled(sheets, WORK_AFTER)
        return [spots for spots, _ in sheets], self.bound, self.search

    def _freely(self, with_cuts: list[Sheet]) -> list[Sheet]:
        """At most as many sheets as cuts allow, looked for both ways."""
        plain = self.search.first()
        if len(plain) < len(with_cuts):
            with_cuts = plain
        if len(with_cuts) > self.bound:
            half = Search(self.job, self._effort(STEPS // 2), CutMode.TRIMMER)
            with_cuts = half.improved(with_cuts, self.bound) if with_cuts is not plain else with_cuts
        return self.search.improved(with_cuts, self.bound)

    def _effort(self, steps: int) -> Effort:
        return Effort(round(steps * self.terms.effort), self.terms.deadline)

    def _settled(self, sheets: list[Sheet], ways_to_try: int) -> list[Sheet]:
        """As many sheets or fewer; the bound is raised where fewer are impossible."""
        terms = self.terms
        if not terms.exact or terms.zones or sum(self.wanted) > _MOST_SETTLED or len(sheets) <= self.bound:
            return sheets
        if self.settler is None:
            self.settler = self._settler()
        share = min(1.0, _KINDS_AT_FULL_SPEED / len(self.wanted))
        work = Work(round(ways_to_try * terms.effort * share), terms.deadline)
        while len(sheets) > self.bound:
            settled = self.settler.settle(self.wanted, len(sheets) - 1, work)
            if settled.impossible:
                self.bound = len(sheets)
            if settled.sheets is None:
                break
            sheets = [(self._in_whole_room(spots), []) for spots in settled.sheets]
        return sheets

    def _in_whole_room(self, spots: Sequence[Spot]) -> list[Spot]:
        hole = (0, 0, self.job.room.width, self.job.room.height)
        return [(*spot[:6], hole) for spot in spots]

    def _settler(self) -> Settler:
        room, kinds = self.job.room, self.job.kinds
        lies = [ways(kind, room.width, room.height) for kind in kinds]
        areas = [kind.width * kind.height for kind in kinds]
        free = FreeRoom(room.width, room.height, lies, areas)
        cuttable = CutRoom(room.width, room.height, lies, areas)

        def decide(group: Group, work: Work) -> tuple[bool, list[Spot] | None]:
            spots = self.search.in_one_room(group)
            work.spend(12 * sum(group))
            if spots is not None:
                return True, spots
            spots = free.packed(group, work)
            if spots is None or self.freely:
                return spots is not None, spots
            spots = cuttable.packed(group, work)
            return spots is not None or not self.terms.trims_only, spots

        rects = [(kind.width, kind.height, kind.turns, len(kind.members)) for kind in kinds]
        return Settler(measures(rects, room.width, room.height), decide)
