"""Divides sheets that are longer than the trimmer into zones that it can cut along."""

from __future__ import annotations

from collections.abc import Sequence

from kitprep.errors import TrimmerTooShort
from kitprep.lengths import ZERO, Length
from kitprep.pack.claims import Free, Job
from kitprep.pack.guillotine import ways
from kitprep.pack.packing import PackItem
from kitprep.papers import Paper


def zones_of(
    items: Sequence[PackItem], gap: Length, paper: Paper, job: Job, longest: Length
) -> tuple[tuple[Free, ...], ...]:
    """Ways to divide a room longer than the trimmer by short cuts, so that what remains can be cut along.

    Parameters
    ----------
    items, gap, paper
        As in `kitprep.pack.packer.pack`.
    job : Job
        The claims of the items.
    longest : Length
        The longest cut that can be made.

    Returns
    -------
    tuple of tuple of Free
        Empty where the sheet can be cut along as it is.

    Raises
    ------
    TrimmerTooShort
        If the paper is longer than the trimmer both ways, or a piece is.
    """
    room = job.room
    across = max(room.width, room.height) == room.height
    # A zone's outermost trims end before the zone does; that much it may be longer than the trimmer.
    beyond = min(max(2 * item.bleed.emu, gap.emu) for item in items)
    reach = (longest.emu + beyond) // room.unit
    short, long = sorted((room.width, room.height))
    if long <= reach and min(paper.size.width, paper.size.height) <= longest:
        return ()
    if min(paper.size.width, paper.size.height) > longest:
        raise TrimmerTooShort(f"any first cut of {paper.name}", longest.text(paper.unit))
    uncut = gap + max(item.bleed for item in items) == ZERO and short * room.unit == _short_side(paper)
    longer: set[int] = set()
    for kind in job.kinds:
        lying = [way[:2] if across else way[1::-1] for way in ways(kind, room.width, room.height)]
        if min(along for _, along in lying) <= reach:
            continue
        # As wide as the paper, a piece has two of the paper's edges for its own, and is cut across only.
        longer |= {along for beside, along in lying if uncut and beside == short}
        if not uncut or min(lying)[0] < short:
            name = items[kind.members[0][0]].name
            raise TrimmerTooShort(f"the cut along {name} on {paper.name}", longest.text(paper.unit))
    count = -(-long // reach)
    full = [reach] * (count - 1) + [long - reach * (count - 1)]
    even = [long // count] * (count - 1) + [long - long // count * (count - 1)]
    whole = [[along, long - along] if along < long else [along] for along in sorted(longer)]
    return tuple(_stacked(lengths, short, across) for lengths in (full, full[::-1], even, *whole))


def _short_side(paper: Paper) -> int:
    return min(paper.size.width, paper.size.height).emu


def _stacked(lengths: Sequence[int], short: int, across: bool) -> tuple[Free, ...]:
    starts = [sum(lengths[:index]) for index in range(len(lengths))]
    if across:
        return tuple((0, start, short, length) for start, length in zip(starts, lengths, strict=True))
    return tuple((start, 0, length, short) for start, length in zip(starts, lengths, strict=True))
