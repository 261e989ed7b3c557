"""Turns pieces with bleed and gap into plain rectangles, and rectangles back into placements.

A piece *claims* its trim plus, on every side, its bleed or half the gap, whichever is more. Claims that
do not overlap keep two trims apart by the sum of their bleeds and by the gap (measured across or down,
as a ruler lies). At the paper's edge a trim needs its bleed alone, so the room that claims may use
reaches past the printable area by what every claim has beyond its bleed.

Inside this room lengths are whole numbers of `Room.unit` EMU, the largest unit that measures them all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import gcd

from kitprep.errors import BadOption, TooManyPieces, WontFit
from kitprep.lengths import ZERO, Box, Length, Size
from kitprep.pack.packing import PackItem, Placement
from kitprep.papers import SHEET_PAPERS, Margins, Paper, printable

MOST_PIECES = 10_000

Free = tuple[int, int, int, int]
"""A free rectangle: x, y, width, height."""
Spot = tuple[int, int, int, int, int, bool, Free]
"""A claim in its place: x, y, width, height, kind, whether turned, the free rectangle it was put in."""


@dataclass(frozen=True, slots=True)
class Kind:
    """Pieces that claim the same rectangle.

    Parameters
    ----------
    width, height : int
        The claim; the width is the longer side where it turns.
    turns : bool
        Whether a quarter turn is allowed, has room, and makes a difference.
    members : tuple of (int, bool)
        For every copy its item and whether that item is turned when the kind is not.
    """

    width: int
    height: int
    turns: bool
    members: tuple[tuple[int, bool], ...]


@dataclass(frozen=True, slots=True)
class Room:
    """Where claims may lie.

    Parameters
    ----------
    width, height : int
        In units.
    left, top : int
        EMU from the paper's corner to the room's; may be less than the margin.
    unit : int
        EMU in one unit.
    """

    width: int
    height: int
    left: int
    top: int
    unit: int


@dataclass(frozen=True, slots=True)
class Job:
    """All that the search needs to know.

    Parameters
    ----------
    kinds : tuple of Kind
        Largest claim first.
    room : Room
        The part of every sheet that claims may use.
    """

    kinds: tuple[Kind, ...]
    room: Room


def claim(items: Sequence[PackItem], paper: Paper, margins: Margins, gap: Length) -> Job:
    """The rectangles to pack.

    Raises
    ------
    BadOption
        If the gap is below zero, or an item has no copy, no size or a bleed below zero.
    TooManyPieces
        If more than `MOST_PIECES` are asked for.
    MarginsLeaveNothing
        If the printer reaches no part of the paper.
    WontFit
        If a piece is larger than the printable area.
    """
    _refuse_nonsense(items, gap)
    area = printable(paper, margins)
    for item in items:
        _refuse_too_large(item, paper, margins)
    before, after = gap.emu // 2, gap.emu - gap.emu // 2
    past_before = min((max(item.bleed.emu, before) - item.bleed.emu for item in items), default=0)
    past_after = min((max(item.bleed.emu, after) - item.bleed.emu for item in items), default=0)
    width = area.width.emu + past_before + past_after
    height = area.height.emu + past_before + past_after
    claims = [_claimed(item, gap, width, height) for item in items]
    unit = gcd(width, height, *(side for wide, high, _, _ in claims for side in (wide, high)))
    room = Room(width // unit, height // unit, area.left.emu - past_before, area.top.emu - past_before, unit)
    return Job(_kinds(items, claims, unit), room)


def bound_rects(
    items: Sequence[PackItem], area: Size, gap: Length
) -> list[tuple[list[tuple[int, int, bool, int]], int, int]]:
    """Rectangles, with the room they are in, that no packing can make overlap, for `least_sheets`.

    Claims are generous where a piece of little bleed meets one of much. Here every piece is grown by its
    own bleed alone, or every piece by half the gap, which cannot overlap in any packing that keeps the
    rules; what then reaches past the printable area is granted to the room.

    Returns
    -------
    list of (rects, width, height)
        Each rect is (width, height, turns, copies), all in EMU.
    """
    least = min((item.bleed for item in items), default=ZERO)
    past = gap - 2 * least
    own = _grown(items, area, [2 * item.bleed for item in items])
    found = [(own, area.width.emu, area.height.emu)]
    if past > ZERO:  # else the gap asks for no more than the bleeds do
        larger = Size(area.width + past, area.height + past)
        found.append((_grown(items, larger, [gap] * len(items)), larger.width.emu, larger.height.emu))
    return found


def _grown(items: Sequence[PackItem], room: Size, by: Sequence[Length]) -> list[tuple[int, int, bool, int]]:
    rects: dict[tuple[int, int, bool], int] = {}
    for item, more in zip(items, by, strict=True):
        size = Size(item.size.width + more, item.size.height + more)
        turns = item.may_turn and size.fits_in(room) and size.turned.fits_in(room)
        if item.may_turn and not size.fits_in(room) and size.turned.fits_in(room):
            size = size.turned
        key = (min(size.width, room.width).emu, min(size.height, room.height).emu, turns)
        rects[key] = rects.get(key, 0) + item.copies
    return [(*key, copies) for key, copies in rects.items()]


def place(
    spots: Sequence[Spot], members: Sequence[tuple[int, bool]], job: Job, items: Sequence[PackItem]
) -> list[Placement]:
    """The placements of one sheet's claims, top to bottom and left to right.

    Parameters
    ----------
    members : sequence of (int, bool)
        For every claim its item, and whether that is turned when the kind is not.
    """
    placements = []
    for spot, (index, flipped) in sorted(
        zip(spots, members, strict=True), key=lambda pair: (pair[0][1], pair[0][0])
    ):
        x, y, width, height, _, turned, _ = spot
        item, turned = items[index], turned != flipped
        size = item.size.turned if turned else item.size
        unit = job.room.unit
        left = job.room.left + x * unit + (width * unit - size.width.emu) // 2
        top = job.room.top + y * unit + (height * unit - size.height.emu) // 2
        placements.append(Placement(index, Box.at(Length(left), Length(top), size), item.bleed, turned))
    return placements


def _claimed(item: PackItem, gap: Length, width: int, height: int) -> tuple[int, int, bool, bool]:
    """Claim in EMU (width, height), whether it turns, whether the item is turned in it."""
    extra = max(item.bleed.emu, gap.emu // 2) + max(item.bleed.emu, gap.emu - gap.emu // 2)
    wide, high = item.size.width.emu + extra, item.size.height.emu + extra
    upright = wide <= width and high <= height
    lying = item.may_turn and high <= width and wide <= height
    if upright and lying:
        return max(wide, high), min(wide, high), wide != high, high > wide
    if upright or lying:
        return (wide, high, False, False) if upright else (high, wide, False, True)
    # Only its own bleed lets it in: it claims the room from side to side, so nothing stands beside it.
    bleed = 2 * item.bleed.emu
    room_needed = (item.size.width.emu + bleed, item.size.height.emu + bleed)
    turned = not (room_needed[0] <= width and room_needed[1] <= height)
    if turned:
        wide, high = high, wide
    return min(wide, width), min(high, height), False, turned


def _kinds(
    items: Sequence[PackItem], claims: Sequence[tuple[int, int, bool, bool]], unit: int
) -> tuple[Kind, ...]:
    members: dict[tuple[int, int, bool], list[tuple[int, bool]]] = {}
    for index, (wide, high, turns, flipped) in enumerate(claims):
        key = (wide // unit, high // unit, turns)
        members.setdefault(key, []).extend([(index, flipped)] * items[index].copies)
    kinds = [Kind(wide, high, turns, tuple(copies)) for (wide, high, turns), copies in members.items()]
    return tuple(sorted(kinds, key=lambda kind: (-kind.width * kind.height, -kind.width, kind.turns)))


def _refuse_nonsense(items: Sequence[PackItem], gap: Length) -> None:
    if gap < ZERO:
        raise BadOption("gap", gap.text(), "0 or more")
    for item in items:
        if item.copies < 1:
            raise BadOption(f"copies of {item.name}", str(item.copies), "1 or more")
        if item.bleed < ZERO:
            raise BadOption(f"bleed of {item.name}", item.bleed.text(), "0 or more")
        if item.size.width <= ZERO or item.size.height <= ZERO:
            raise BadOption(f"size of {item.name}", item.size.text(), "sides above zero")
    count = sum(item.copies for item in items)
    if count > MOST_PIECES:
        raise TooManyPieces(count, MOST_PIECES)


def _refuse_too_large(item: PackItem, paper: Paper, margins: Margins) -> None:
    area, needs = printable(paper, margins).size, item.size.grown(item.bleed)
    if needs.fits_in(area) or (item.may_turn and needs.turned.fits_in(area)):
        return
    unit = paper.unit
    ways = [needs, needs.turned] if item.may_turn else [needs]
    over = min((_over(way, area) for way in ways), key=lambda sides: max(sides))
    words = [
        f"{length.text(unit)} too {word}"
        for length, word in zip(over, ("wide", "high"), strict=True)
        if length > ZERO
    ]
    raise WontFit(
        item.name,
        needs.text(unit),
        paper.name,
        area.text(unit),
        " and ".join(words),
        _advice(item, needs, area, margins),
    )


def _over(needs: Size, area: Size) -> tuple[Length, Length]:
    return max(needs.width - area.width, ZERO), max(needs.height - area.height, ZERO)


def _advice(item: PackItem, needs: Size, area: Size, margins: Margins) -> str:
    if needs.turned.fits_in(area):
        return "allow it to be turned, or print it smaller"
    across, down = margins.left + margins.right, margins.top + margins.bottom
    takes = [
        paper
        for paper in SHEET_PAPERS
        if needs.fits_in(Size(paper.size.width - across, paper.size.height - down))
        or (item.may_turn and needs.turned.fits_in(Size(paper.size.width - across, paper.size.height - down)))
    ]
    if not takes:
        return "print it smaller, or divide it"
    smallest = min(takes, key=lambda paper: paper.size.width.emu * paper.size.height.emu)
    return f"print it smaller, or on {smallest.name}"
