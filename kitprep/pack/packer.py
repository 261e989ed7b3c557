"""Packs items on sheets of one paper and says how to cut them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import combinations
from math import gcd

from kitprep.errors import BadOption
from kitprep.lengths import ZERO, Box, Length, Size, Unit, inches, mm
from kitprep.pack.bounds import least_sheets
from kitprep.pack.claims import Free, Job, Kind, Spot, bound_rects, claim, place
from kitprep.pack.cuts import Rect, cut_sheet, cut_trouble
from kitprep.pack.exchanging import exchanged
from kitprep.pack.free import fill_freely, spare_freely
from kitprep.pack.guillotine import fill as fill_cuttably
from kitprep.pack.guillotine import spare, ways
from kitprep.pack.nesting import Nester, least_sheets_nested
from kitprep.pack.packing import Cut, CutMode, PackedSheet, Packing, PackItem, Placement
from kitprep.pack.solving import Terms, solve
from kitprep.pack.swapping import swapped
from kitprep.pack.tidy import Cutting, closest, tidied
from kitprep.pack.together import kept_together, sets_of, share_out
from kitprep.pack.zones import zones_of
from kitprep.papers import Margins, Paper, printable

TRIMMER_LENGTH = inches(12)
_SIXTEENTH = inches("1/16")
_SHARE_LATE = 1 / 3  # of the work for easy cuts, where the search for fewer sheets took all its time
_ALWAYS_TIDIED = 200  # pieces, which take some 0.3 s to tidy; of more none are once the time is up
LEAST_LEFT_OVER = inches(1)  # a narrower strip is not worth keeping


def pack(
    items: Sequence[PackItem],
    paper: Paper,
    margins: Margins,
    *,
    gap: Length,
    mode: CutMode,
    deadline: Callable[[], bool] | None = None,
    trimmer_length: Length = TRIMMER_LENGTH,
    fill: Sequence[int] = (),
    mark_room: Length = ZERO,
    effort: float = 1.0,
) -> Packing:
    """Place every copy of every item on as few sheets as can be found.

    Trims stand apart by the sum of their bleeds, or by the gap where that is more, measured across or
    down; at the paper's edge trim and bleed stay within the margins. The same call gives the same
    packing, unless a deadline cuts it short.

    Parameters
    ----------
    items : sequence of PackItem
        What to place.
    paper : Paper
        What the sheets are of.
    margins : Margins
        What the printer cannot reach; nothing for blanks.
    gap : Length
        The least distance between two trims, 0 or more.
    mode : CutMode
        Whether through cuts must free every piece.
    deadline : callable, optional
        Asked now and then; when it says True the best packing so far is returned.
    trimmer_length : Length
        The longest cut in trimmer mode.
    fill : sequence of int
        Indices of items that may be copied to fill what is left over.
    mark_room : Length
        What to leave free above and left of everything, for marks, where the margins are not zero there
        and a sheet has it to spare; half of what it has to spare, where that is less.
    effort : float
        How long to look: 1 takes about a second, 10 ten times that.

    Raises
    ------
    BadOption, TooManyPieces, MarginsLeaveNothing, WontFit
        See `kitprep.pack.claims.claim`.
    TrimmerTooShort
        If the sheet cannot be cut with cuts of `trimmer_length`.
    """
    if not items:
        return Packing((), 0)
    if trimmer_length <= ZERO:
        raise BadOption("trimmer length", trimmer_length.text(paper.unit), "a length above zero")
    job = claim(items, paper, margins, gap)
    area = printable(paper, margins).size
    bound = max(least_sheets(*rects) for rects in bound_rects(items, area, gap))
    zones = zones_of(items, gap, paper, job, trimmer_length) if mode is CutMode.TRIMMER else ()
    terms = Terms(mode, zones, bound, *_exactness(items, gap), effort, deadline)
    sheets, bound, search = solve(job, terms)
    sets = sets_of(job, items)
    if sets and not zones:
        sheets = kept_together(sheets, sets, job, search)
    *full, last = sheets
    close, hole = closest(last, search)
    filled = [*full, close]
    if mode is CutMode.TRIMMER:
        cutting = _cutting(job, items, paper, margins, gap, trimmer_length, deadline)
        holes: list[Free] = [(0, 0, job.room.width, job.room.height)] * len(full) + [hole]
        share = 1.0 if len(sheets) == bound else _SHARE_LATE
        if not sets:
            filled = exchanged(filled, holes, search, cutting, share)
        filled = tidied(filled, holes, search, cutting)
        if not sets and not zones:
            filled = swapped(filled, holes, search, cutting, share)
    if fill:
        job, filled = _filled_up(job, filled, mode, fill)
    placed = [
        place(spots, members, job, items)
        for spots, members in zip(filled, share_out(filled, sets, job), strict=True)
    ]
    if mode is CutMode.SCISSORS and any(item.outline for item in items):
        nester = Nester(items, job.room, gap, effort, deadline)
        bound = max(least_sheets_nested(items, area), _least_of_boxes(items, area, gap))
        placed = nester.nested(placed, bound)
        if fill:
            placed = [nester.filled(placements, fill) for placements in placed]
        placed = [
            sorted(placements, key=lambda place: (place.box.top, place.box.left)) for placements in placed
        ]
    if not zones:  # what is divided for a short trimmer stays where its first cuts are
        placed = [_stood_off(placements, paper, margins, mark_room) for placements in placed]
    made: dict[tuple[Placement, ...], PackedSheet] = {}
    for placements in placed:
        if tuple(placements) not in made:
            made[tuple(placements)] = _packed_sheet(placements, items, paper, mode, trimmer_length)
    packed = tuple(made[tuple(placements)] for placements in placed)
    return Packing(packed, bound, _apart(packed, items))


def _packed_sheet(
    placements: list[Placement],
    items: Sequence[PackItem],
    paper: Paper,
    mode: CutMode,
    longest: Length,
) -> PackedSheet:
    left_over = _left_over(placements, paper)
    cuts: tuple[Cut, ...] = ()
    nested = any(items[place.item].outline for place in placements) and any(
        one.box.grown(one.bleed).overlaps(other.box.grown(other.bleed))
        for one, other in combinations(placements, 2)
    )
    if mode is CutMode.TRIMMER:
        trims = {_rect(placement.box): items[placement.item].name for placement in placements}
        cuts = cut_sheet(Box.at(ZERO, ZERO, paper.size), trims, longest, paper.unit, left_over)
    return PackedSheet(tuple(placements), cuts, left_over, nested)


def _least_of_boxes(items: Sequence[PackItem], area: Size, gap: Length) -> int:
    """What the pieces need that are no cut-outs."""
    boxes = [item for item in items if not item.outline]
    return max((least_sheets(*rects) for rects in bound_rects(boxes, area, gap)), default=0)


def _apart(sheets: Sequence[PackedSheet], items: Sequence[PackItem]) -> tuple[str, ...]:
    """Groups of which some set is on more than one sheet.

    Every sheet has as many whole sets of a group as its scarcest member allows.
    """
    apart = []
    for group in dict.fromkeys(item.together for item in items if item.together):
        members = [index for index, item in enumerate(items) if item.together == group]
        count = gcd(*(items[index].copies for index in members))
        held = [Counter(place.item for place in sheet.placements) for sheet in sheets]
        whole = sum(min(on[index] // (items[index].copies // count) for index in members) for on in held)
        if whole < count:
            apart.append(group)
    return tuple(apart)


def _exactness(items: Sequence[PackItem], gap: Length) -> tuple[bool, bool]:
    """Whether claims that overlap break the rules, and whether claims are the trims themselves."""
    bleeds = {item.bleed for item in items}
    exact = len(bleeds) == 1 or gap <= 2 * min(bleeds)
    return exact, not gap and bleeds == {ZERO}


def _stood_off(
    placements: list[Placement], paper: Paper, margins: Margins, mark_room: Length
) -> list[Placement]:
    area = printable(paper, margins)
    beside = area.right - max(placement.box.right + placement.bleed for placement in placements)
    below = area.bottom - max(placement.box.bottom + placement.bleed for placement in placements)
    right = _spared(beside, mark_room) if margins.left > ZERO else ZERO
    down = _spared(below, mark_room) if margins.top > ZERO else ZERO
    return [replace(place, box=place.box.moved(right, down)) for place in placements]


def _spared(slack: Length, mark_room: Length) -> Length:
    """Up to half of what is to spare, in whole sixteenths of an inch, so that the fence sets to a line."""
    half = min(mark_room.emu, slack.emu // 2)
    return Length(half - half % _SIXTEENTH.emu)


def _cutting(
    job: Job,
    items: Sequence[PackItem],
    paper: Paper,
    margins: Margins,
    gap: Length,
    longest: Length,
    deadline: Callable[[], bool] | None,
) -> Cutting:
    sheet = (0, 0, paper.size.width.emu, paper.size.height.emu)

    def of_spots(spots: Sequence[Spot], enough: int) -> tuple[int, ...]:
        placements = place(spots, [job.kinds[spot[4]].members[0] for spot in spots], job, items)
        return cut_trouble(sheet, [_rect(placement.box) for placement in placements], longest.emu, enough)

    bleed = min(item.bleed for item in items)
    sides = (margins.left, margins.top, margins.right, margins.bottom)
    edges = sum(side + bleed > ZERO for side in sides)
    few = sum(len(kind.members) for kind in job.kinds) <= _ALWAYS_TIDIED
    is_over = (lambda: False) if few or deadline is None else deadline
    return Cutting(of_spots, 2 if gap + bleed > ZERO else 1, edges, is_over)


def _filled_up(
    job: Job, filled: list[list[Spot]], mode: CutMode, wanted: Sequence[int]
) -> tuple[Job, list[list[Spot]]]:
    """More copies in what is left free."""
    room = job.room
    extra = [_kind_of(job, index) for index in wanted]
    kinds = (*job.kinds, *extra)
    lies = [ways(kind, room.width, room.height) for kind in kinds]
    order = sorted(range(len(job.kinds), len(kinds)), key=lambda k: -kinds[k].width * kinds[k].height)
    hole = (0, 0, room.width, room.height)
    sheets = []
    for spots in filled:
        counts = [0] * len(job.kinds) + [room.width * room.height] * len(extra)
        if mode is CutMode.TRIMMER:
            more = fill_cuttably(spare(spots, hole), order, counts, lies, "a")
        else:
            more = fill_freely(spare_freely(spots, hole), order, counts, lies)
        sheets.append([*spots, *more])
    return Job(kinds, room), sheets


def _kind_of(job: Job, item: int) -> Kind:
    """The kind of an item, with that item alone as its member."""
    for kind in job.kinds:
        for member in kind.members:
            if member[0] == item:
                return Kind(kind.width, kind.height, kind.turns, (member,))
    raise IndexError(f"no item {item} to fill with")


def _rect(box: Box) -> Rect:
    return box.left.emu, box.top.emu, box.right.emu, box.bottom.emu


def _left_over(placements: Sequence[Placement], paper: Paper) -> Box | None:
    """The larger of the strips below and right of everything, of a width that a ruler shows."""
    width, height = paper.size.width, paper.size.height
    bottom = max(placement.box.bottom + placement.bleed for placement in placements)
    right = max(placement.box.right + placement.bleed for placement in placements)
    step = _SIXTEENTH if paper.unit is Unit.INCH else mm(1)
    below, beside = (Length(side.emu - side.emu % step.emu) for side in (height - bottom, width - right))
    strips = (Box(ZERO, height - below, width, height), Box(width - beside, ZERO, width, height))
    kept = [strip for strip in strips if min(strip.width, strip.height) >= LEAST_LEFT_OVER]
    return max(kept, key=lambda strip: strip.width.emu * strip.height.emu, default=None)
