"""Rearranges finished sheets: a large left-over on the last, and easy cuts on each.

Nothing moves from sheet to sheet here (see `kitprep.pack.exchanging`), so no sheet is traded for an easier cut.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import chain, combinations, islice

from kitprep.pack.claims import Free, Spot
from kitprep.pack.easy_room import EasyRoom
from kitprep.pack.mixing import Mixing
from kitprep.pack.one_room import OutOfWork, Work
from kitprep.pack.search import Search

Trouble = Callable[[Sequence[Spot], int], tuple[int, ...]]
"""How hard a sheet is to cut: cuts, then fence settings where there are no more cuts than so many."""


@dataclass(frozen=True, slots=True)
class Cutting:
    """How hard sheets are to cut.

    Parameters
    ----------
    trouble : Trouble
        Cuts and fence settings of a sheet.
    between : int
        Cuts between two neighbours: 1 where they touch, 2 where they stand apart.
    edges : int
        Edges of the paper along which there always is waste.
    is_over : callable
        Says whether sheets have to do as they are.
    """

    trouble: Trouble
    between: int
    edges: int
    is_over: Callable[[], bool]

    def waste(self, cuts: int, claims: int) -> int:
        """The most pieces of waste that can be among so many claims, if so many cuts free them."""
        return max(cuts - self.between * (claims - 1) - self.edges, 0)


MOST_CUTS = 1 << 30  # more cuts than any sheet takes
_HALVINGS = 9  # the left-over is found to 1/512 of the room
SPLITS = ("w", "h", "a", "i")
_MOST_TIDIED = 250  # different sheets; some 5 s
_MOST_TRIES = 120  # mixed arrangements made of one sheet
_MOST_JUDGED = 20  # of those that hold all its claims
_MOST_PARTS_JUDGED = 30
_MOST_IN_A_PART = 7  # claims, which leave fewer pieces of waste than that among them
_EASY_WORK = 60_000  # pairs of parts joined; some 0.02 s
_CLAIMS_JUDGED = 1_500  # in all arrangements of one sheet


def tidied(
    sheets: Sequence[Sequence[Spot]], holes: Sequence[Free], search: Search, cutting: Cutting
) -> list[list[Spot]]:
    """The same claims on the same sheets, rearranged.

    Parameters
    ----------
    sheets : sequence of sequence of Spot
        What lies on each.
    holes : sequence of Free
        For every sheet the part of the room that its claims keep to.
    search : Search
        Fills sheets by its job's rules.
    cutting : Cutting
        What to keep low.
    """
    known: dict[tuple[Free, tuple[int, ...]], list[Spot]] = {}
    done = []
    for spots, hole in zip(sheets, holes, strict=True):
        held = hole, tuple(counts_on(spots, search))
        if held not in known and len(known) < _MOST_TIDIED and not cutting.is_over():
            known[held] = _easiest(spots, hole, search, cutting)
        done.append(known.get(held, list(spots)))
    return done


def _places(spots: Sequence[Spot]) -> tuple[tuple[int, ...], ...]:
    return tuple(sorted(spot[:4] for spot in spots))


def counts_on(spots: Sequence[Spot], search: Search) -> list[int]:
    """For every kind how many a sheet holds."""
    counts = [0] * len(search.job.kinds)
    for spot in spots:
        counts[spot[4]] += 1
    return counts


def _easiest(spots: Sequence[Spot], hole: Free, search: Search, cutting: Cutting) -> list[Spot]:
    """The least troublesome of the arrangements of a sheet within a hole."""
    best, least = list(spots), cutting.trouble(spots, MOST_CUTS)
    seen = {_places(spots)}

    def judge(arrangements: Iterable[list[Spot]]) -> None:
        nonlocal best, least
        for arranged in arrangements:
            for other in (arranged, _spread(arranged, True), _spread(arranged, False)):
                if (places := _places(other)) in seen:
                    continue
                seen.add(places)
                troubles = cutting.trouble(other, least[0])
                if troubles < least:
                    best, least = other, troubles

    judged = max(1, min(_MOST_JUDGED, _CLAIMS_JUDGED // len(spots)))
    others = chain([best], _arrangements(spots, hole, search), _shuffled(spots, hole, search))
    judge(islice(others, judged))
    easy = _easy(spots, hole, search, cutting.waste(least[0], len(spots)))
    judge(easy or ())
    return _eased(best, least, hole, search, cutting) if easy is None else best


def _eased(
    spots: list[Spot], least: tuple[int, ...], hole: Free, search: Search, cutting: Cutting
) -> list[Spot]:
    """A sheet of which parts have been arranged anew with fewer cuts, each within its own room."""
    judged, parts = 0, list(_parts(spots, hole))
    while parts and judged < _MOST_PARTS_JUDGED:
        claims, room = parts.pop()
        others = [spot for spot in spots if spot not in claims]
        for inner in (_easy(claims, room, search, _MOST_IN_A_PART) or ())[:3]:
            anew = others + [(spot[0] + room[0], spot[1] + room[1], *spot[2:6], hole) for spot in inner]
            judged += 1
            if (troubles := cutting.trouble(anew, least[0])) < least:
                spots, least = anew, troubles
                parts = list(_parts(spots, hole))
                break
    return spots


def _parts(spots: Sequence[Spot], hole: Free) -> Iterator[tuple[list[Spot], Free]]:
    """Claims that could be arranged anew by themselves, with the room they have; large parts first."""
    waiting = [(list(spots), hole)]
    while waiting:
        held, (x, y, width, height) = waiting.pop()
        if 2 <= len(held) <= _MOST_IN_A_PART:
            yield held, (x, y, width, height)
        for columns in (True, False):
            strips = _strips(held, columns)
            if len(strips) < 2:
                continue
            starts = [min(_span(spot, columns)[0] for spot in strip) for strip in strips]
            starts.append(x + width if columns else y + height)
            for first, last in combinations(range(len(starts)), 2):
                run = [spot for strip in strips[first:last] for spot in strip]
                if last - first > 3 or len(run) == len(held):
                    continue
                low, high = starts[first], starts[last]
                room = (low, y, high - low, height) if columns else (x, low, width, high - low)
                if last - first == 1:
                    waiting.append((run, room))
                elif 2 <= len(run) <= _MOST_IN_A_PART:
                    yield run, room


def _spread(spots: Sequence[Spot], columns_first: bool) -> list[Spot]:
    """The same arrangement with the last strip of every part moved to the part's far edge.

    There it ends where its neighbours end, and shares their cut.
    """
    spread: list[Spot] = []
    right, bottom = (
        max(end for _, end in (_span(spot, columns) for spot in spots)) for columns in (True, False)
    )
    waiting = [(list(spots), right, bottom, columns_first, False)]
    while waiting:
        part, right, bottom, columns, tried = waiting.pop()
        strips = _strips(part, columns)
        if len(strips) == 1 and tried:
            spread += part
        elif len(strips) == 1:
            waiting.append((part, right, bottom, not columns, True))
        else:
            far = right if columns else bottom
            by = far - max(_span(spot, columns)[1] for spot in strips[-1])
            strips[-1] = [_moved(spot, by, columns) for spot in strips[-1]]
            for strip in strips:
                end = max(_span(spot, columns)[1] for spot in strip)
                edges = (end, bottom) if columns else (right, end)
                waiting.append((strip, *edges, not columns, True))
    return spread


def _span(spot: Spot, columns: bool) -> tuple[int, int]:
    return (spot[0], spot[0] + spot[2]) if columns else (spot[1], spot[1] + spot[3])


def _moved(spot: Spot, by: int, columns: bool) -> Spot:
    x, y = (spot[0] + by, spot[1]) if columns else (spot[0], spot[1] + by)
    return x, y, spot[2], spot[3], spot[4], spot[5], spot[6]


def _strips(spots: Sequence[Spot], columns: bool) -> list[list[Spot]]:
    """Runs of claims that lines across (or down, for columns) can part."""
    strips: list[list[Spot]] = []
    reached = 0
    for (start, end), spot in sorted((_span(spot, columns), spot) for spot in spots):
        if strips and start < reached:
            strips[-1].append(spot)
        else:
            strips.append([spot])
        reached = max(reached, end)
    return strips


def _easy(spots: Sequence[Spot], hole: Free, search: Search, most: int) -> list[list[Spot]] | None:
    """Claims anew with the fewest cuts; None where there are too many claims to look for that."""
    group = tuple(counts_on(spots, search))
    room = EasyRoom(hole[2], hole[3], search.lies, search.areas, group, most, _spare(hole, spots))
    try:
        found = room.arrangements(group, Work(_EASY_WORK))
    except OutOfWork:
        return None
    return [arranged for _, arranged in found]


def _spare(hole: Free, spots: Sequence[Spot]) -> int:
    return hole[2] * hole[3] - sum(spot[2] * spot[3] for spot in spots)


def _arrangements(spots: Sequence[Spot], hole: Free, search: Search) -> Iterator[list[Spot]]:
    """A sheet's claims anew in plain orders, where all find room."""
    counts = counts_on(spots, search)
    seen = set()
    for order in search.orders():
        present = [kind for kind in order if counts[kind]]
        for splits in SPLITS:
            left = counts[:]
            arranged = search.fill([hole], present, left, splits)
            key = tuple(sorted(spot[:4] for spot in arranged))
            if not any(left) and key not in seen:
                seen.add(key)
                yield arranged


def _shuffled(spots: Sequence[Spot], hole: Free, search: Search) -> Iterator[list[Spot]]:
    """A sheet's claims anew in mixed orders, each kind lying one way, where all find room."""
    counts = counts_on(spots, search)
    mixing = Mixing(2)
    present = [kind for kind, count in enumerate(counts) if count]
    for _ in range(_MOST_TRIES):
        order = [present[index] for index in mixing.some(len(present), len(present))]
        lies = [(mixing.choose(lying),) for lying in search.lies]
        left = counts[:]
        arranged = search.fill([hole], order, left, mixing.choose(SPLITS), lies)
        if not any(left):
            yield arranged


def closest(spots: Sequence[Spot], search: Search) -> tuple[list[Spot], Free]:
    """A sheet's claims in as low or as narrow a part of the room as can be found, and that part."""
    room = search.job.room
    best, hole = list(spots), (0, 0, room.width, room.height)
    if search.zones != [(hole,)]:
        return best, hole
    for down in (True, False):
        low, high = 0, room.height if down else room.width
        while high - low > max(1, high >> _HALVINGS):
            middle = (low + high) // 2
            part = (0, 0, room.width, middle) if down else (0, 0, middle, room.height)
            arranged = next(_arrangements(spots, part, search), None)
            if arranged is None:
                low = middle
                continue
            end = max(spot[1] + spot[3] if down else spot[0] + spot[2] for spot in arranged)
            high = min(middle, end)
            part = (0, 0, room.width, high) if down else (0, 0, high, room.height)
            if part[2] * part[3] < hole[2] * hole[3]:
                best, hole = arranged, part
    return best, hole
