"""Keeps the pieces of one card on one sheet where that costs no sheet, and says which copy goes where.

Items that name the same group are cut for the same thing. Where all their copies can be shared out into
equal sets, such as one base and two mats for each of three cards, each set is to be on one sheet; else all
of them are one set.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import gcd

from kitprep.pack.claims import Free, Job, Spot
from kitprep.pack.packing import PackItem
from kitprep.pack.search import Search

Member = tuple[int, bool]
"""An item, and whether it is turned when its kind is not."""

_TRIES = 60  # orders in which sets are put on sheets


@dataclass(frozen=True, slots=True)
class Set:
    """Pieces that belong on one sheet.

    Parameters
    ----------
    group : str
        What they are for.
    members : mapping of int to tuple of Member
        By kind.
    """

    group: str
    members: Mapping[int, tuple[Member, ...]]

    @property
    def counts(self) -> Counter[int]:
        """How many of each kind."""
        return Counter({kind: len(members) for kind, members in self.members.items()})


def sets_of(job: Job, items: Sequence[PackItem]) -> list[Set]:
    """The sets to be kept together, those of the largest area first."""
    kind_of = {member[0]: (kind, member) for kind, held in enumerate(job.kinds) for member in held.members}
    groups: dict[str, list[int]] = {}
    for index, item in enumerate(items):
        if item.together:
            groups.setdefault(item.together, []).append(index)
    found = []
    for group, indices in groups.items():
        count = gcd(*(items[index].copies for index in indices))
        members: dict[int, tuple[Member, ...]] = {}
        for index in indices:
            kind, member = kind_of[index]
            members[kind] = members.get(kind, ()) + (member,) * (items[index].copies // count)
        found += [Set(group, members)] * count
    found = [one for one in found if sum(one.counts.values()) > 1]
    return sorted(found, key=lambda one: -_area(one, job))


def _area(one: Set, job: Job) -> int:
    return sum(count * job.kinds[kind].width * job.kinds[kind].height for kind, count in one.counts.items())


def kept_together(
    sheets: list[list[Spot]], sets: Sequence[Set], job: Job, search: Search
) -> list[list[Spot]]:
    """The same claims on as many sheets, with as many sets whole as can be found."""
    best, most = sheets, _kept(sheets, sets)
    for tried in range(_TRIES):
        if most == len(sets):
            break
        # The sets that are let go are those that take the most room, one more each time round.
        whole = list(sets[tried // 6 :])
        if len(whole) <= most:
            break
        order = (
            whole
            if tried % 6 == 0
            else [whole[index] for index in search.mixing.some(len(whole), len(whole))]
        )
        arranged = _arranged(order, len(sheets), job, search)
        if arranged is not None and _kept(arranged, sets) > most:
            best, most = arranged, _kept(arranged, sets)
    return best


def _kept(sheets: Sequence[Sequence[Spot]], sets: Sequence[Set]) -> int:
    return sum(sheet is not None for sheet in homes(sheets, sets))


def homes(sheets: Sequence[Sequence[Spot]], sets: Sequence[Set]) -> list[int | None]:
    """For every set the sheet that takes it whole; None for one that has to be split."""
    left = [Counter(spot[4] for spot in spots) for spots in sheets]
    found: list[int | None] = []
    for one in sets:
        home = next((index for index, held in enumerate(left) if one.counts <= held), None)
        if home is not None:
            left[home] -= one.counts
        found.append(home)
    return found


def _arranged(order: Sequence[Set], most: int, job: Job, search: Search) -> list[list[Spot]] | None:
    """Sets on sheets one after the other, then what else there is; None where the sheets do not take it."""
    sheets: list[list[Spot]] = []
    loose = Counter({kind: len(held.members) for kind, held in enumerate(job.kinds)})
    for one in order:
        loose -= one.counts
        if not _put_together(one.counts, sheets, most, search):
            return None
    room: Free = (0, 0, job.room.width, job.room.height)
    by_area = search.orders()[0]
    counts = [loose[kind] for kind in range(len(job.kinds))]
    for index, spots in enumerate(sheets):
        sheets[index] = _with_more(spots, counts, by_area, search)
    while any(counts) and len(sheets) < most:
        present = [kind for kind in by_area if counts[kind]]
        sheets.append(search.fill([room], present, counts, "a"))
    return None if any(counts) or len(sheets) < most else sheets


def _put_together(counts: Counter[int], sheets: list[list[Spot]], most: int, search: Search) -> bool:
    for index, spots in enumerate(sheets):
        both = counts + Counter(spot[4] for spot in spots)
        arranged = search.in_one_room([both[kind] for kind in range(len(search.areas))])
        if arranged is not None:
            sheets[index] = arranged
            return True
    alone = search.in_one_room([counts[kind] for kind in range(len(search.areas))])
    if alone is None or len(sheets) == most:
        return False
    sheets.append(alone)
    return True


def _with_more(spots: list[Spot], counts: list[int], order: Sequence[int], search: Search) -> list[Spot]:
    """A sheet filled up with loose claims, one kind after the other, as long as all find room."""
    held = Counter(spot[4] for spot in spots)
    for kind in order:
        while counts[kind]:
            held[kind] += 1
            arranged = search.in_one_room([held[number] for number in range(len(search.areas))])
            if arranged is None:
                held[kind] -= 1
                break
            spots = arranged
            counts[kind] -= 1
    return spots


def share_out(sheets: Sequence[Sequence[Spot]], sets: Sequence[Set], job: Job) -> list[list[Member]]:
    """Which member each claim is, for the claims of every sheet in their order."""
    left = {kind: list(held.members) for kind, held in enumerate(job.kinds)}
    reserved: list[dict[int, list[Member]]] = [{} for _ in sheets]
    for one, home in zip(sets, homes(sheets, sets), strict=True):
        if home is None:
            continue
        for kind, members in one.members.items():
            reserved[home].setdefault(kind, []).extend(members)
            for member in members:
                left[kind].remove(member)
    shared: list[list[Member]] = []
    for spots, kept in zip(sheets, reserved, strict=True):
        of_sheet: list[Member] = []
        for spot in spots:
            kind = spot[4]
            if kept.get(kind):
                of_sheet.append(kept[kind].pop(0))
            elif left[kind]:
                of_sheet.append(left[kind].pop(0))
            else:
                of_sheet.append(job.kinds[kind].members[-1])  # a copy that only fills
        shared.append(of_sheet)
    return shared
