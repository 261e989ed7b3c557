"""Cut marks at the corners of pieces, fold ticks, and ticks at the ends of through cuts.

A mark lies in line with a trim and outside its bleed, and never on a piece or its bleed, its own or a
neighbour's: where one is in the way the mark is shorter, and left out where less than 1/16 in is left.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kitprep.lengths import EMU_PER_POINT, ZERO, Length, inches
from kitprep.pack.packing import Axis, Cut
from kitprep.sheet.drawn import Line, LineKind, SheetPiece, Text, TextKind
from kitprep.sheet.room import Room, Way
from kitprep.sheet.typeface import ASCENT, CAP_HEIGHT, DESCENT, points, text_width

MARK_WIDTH = Length(EMU_PER_POINT // 4)
"""0.25 pt, the hairline of common practice, no published source."""
MARK_LENGTH = inches("3/16")
MARK_LEAST = inches("1/16")
"""A shorter mark cannot be aimed at."""
MARK_CLEAR = inches("1/32")
"""How far marks stay from a trim without bleed, so that none is left on a piece cut a little wide."""
NUMBER_SIZE = points(5.5)
_ONE_TICK = inches("3/4")  # a gap shorter than this has room for one numbered tick, not two
_NUMBER_CLEAR = points(1.2)


def cut_marks(pieces: Sequence[SheetPiece], room: Room) -> tuple[Line, ...]:
    """The cut marks of all pieces, each line once.

    Pieces that lie within each other's boxes, as nested cut-outs do, are cut along their outlines; marks at
    the corners of such boxes would show cuts that go through a neighbour, so there are none.

    Parameters
    ----------
    pieces : sequence of SheetPiece
        All on the sheet.
    room : Room
        Where ink may be, with every piece's bleed box taken.
    """
    found = {line for piece in pieces if not _is_nested(piece, pieces) for line in _corner_marks(piece, room)}
    return tuple(sorted(found, key=_order))


@dataclass(frozen=True, slots=True)
class FoldTicks:
    """The ticks of all folds of a sheet.

    Parameters
    ----------
    lines : tuple of Line
        Each once.
    names : tuple of Text
        Whose fold a tick is that stands away from its piece.
    unmarked : tuple of int
        Indices of pieces with a fold that has no tick.
    """

    lines: tuple[Line, ...]
    names: tuple[Text, ...]
    unmarked: tuple[int, ...]


def fold_ticks(pieces: Sequence[SheetPiece], room: Room) -> FoldTicks:
    """The ticks at both ends of every fold.

    Where another piece lies in the way, the tick stands beyond it in line with the fold and bears the
    letter of its piece; a ruler laid from tick to tick shows the fold as well there.

    Parameters
    ----------
    pieces : sequence of SheetPiece
        All on the sheet.
    room : Room
        Where ink may be, with every piece's bleed box and the cut marks taken.
    """
    folds = [(index, piece, place) for index, piece in enumerate(pieces) for place in fold_places(piece)]
    ends = [list(_fold_ends(piece, place, room)) for _, piece, place in folds]
    lines = {tick for of_fold in ends for _, _, tick in of_fold if tick is not None}
    for line in lines:
        room.take(line.box)
    names: list[Text] = []
    unmarked: list[int] = []
    for (index, piece, place), of_fold in zip(folds, ends, strict=True):
        marked = any(tick is not None for _, _, tick in of_fold)
        for start, way, tick in of_fold:
            far = None if tick else _beyond(place, start, way, f"fold {piece.letter}", room)
            if far is not None:
                for box in (far[0].box, far[1].box):
                    room.take(box)
                lines.add(far[0])
                names.append(far[1])
                marked = True
        if not marked and index not in unmarked:
            unmarked.append(index)
    return FoldTicks(tuple(sorted(lines, key=_order)), tuple(names), tuple(unmarked))


def fold_places(piece: SheetPiece) -> tuple[Length, ...]:
    """Where a piece's folds lie on the paper: at x, or at y where it is turned.

    A quarter turn clockwise takes the left edge of a piece to the top.
    """
    edge = piece.trim.top if piece.turned else piece.trim.left
    return tuple(edge + score for score in piece.scores)


def through_cut_ticks(cuts: Sequence[Cut], room: Room) -> tuple[tuple[int, Line], ...]:
    """Ticks at both ends of each cut, as near to the ends as there is room.

    Parameters
    ----------
    cuts : sequence of Cut
        In order.
    room : Room
        Where ink may be, with every piece's bleed box taken.

    Returns
    -------
    tuple of (int, Line)
        The number of the cut, and the tick.
    """
    return tuple((cut.number, tick) for cut in cuts for tick in _cut_ticks(cut, room))


def cut_numbers(ticks: Sequence[tuple[int, Line]], room: Room) -> tuple[Text, ...]:
    """The numbers of the cuts beside their ticks, where there is room.

    Parameters
    ----------
    ticks : sequence of (int, Line)
        From `through_cut_ticks`.
    room : Room
        Where ink may be, with bleed boxes and all ink taken. The numbers are added to it.
    """
    numbers = []
    for number, tick in ticks:
        text = _beside(tick, str(number), room, TextKind.CUT_NUMBER)
        if text is not None:
            room.take(text.box)
            numbers.append(text)
    return tuple(numbers)


def _order(line: Line) -> tuple[Length, ...]:
    return line.y0, line.x0, line.y1, line.x1


def _is_nested(piece: SheetPiece, pieces: Sequence[SheetPiece]) -> bool:
    return any(other is not piece and other.bleed_box.overlaps(piece.bleed_box) for other in pieces)


def _corner_marks(piece: SheetPiece, room: Room) -> Iterator[Line]:
    out = piece.trim.grown(max(piece.bleed, MARK_CLEAR))
    for x in (piece.trim.left, piece.trim.right):
        yield from _ray(LineKind.CUT_MARK, x, out.top, Way.UP, room)
        yield from _ray(LineKind.CUT_MARK, x, out.bottom, Way.DOWN, room)
    for y in (piece.trim.top, piece.trim.bottom):
        yield from _ray(LineKind.CUT_MARK, y, out.left, Way.LEFT, room)
        yield from _ray(LineKind.CUT_MARK, y, out.right, Way.RIGHT, room)


def _fold_ends(piece: SheetPiece, place: Length, room: Room) -> Iterator[tuple[Length, Way, Line | None]]:
    """Where each end of a fold leaves its piece, in which direction, and the tick if there is room."""
    out = piece.trim.grown(max(piece.bleed, MARK_CLEAR))
    starts = (
        ((out.left, Way.LEFT), (out.right, Way.RIGHT))
        if piece.turned
        else ((out.top, Way.UP), (out.bottom, Way.DOWN))
    )
    for start, way in starts:
        yield start, way, next(_ray(LineKind.FOLD_TICK, place, start, way, room), None)


def _beyond(at: Length, start: Length, way: Way, name: str, room: Room) -> tuple[Line, Text] | None:
    """A fold tick in the nearest gap in a direction in which it finds room with its name."""
    upright = way in (Way.UP, Way.DOWN)
    area = room.area
    end = {Way.UP: area.top, Way.DOWN: area.bottom, Way.LEFT: area.left, Way.RIGHT: area.right}[way]
    if (end - start) * _sign(way) < MARK_LEAST:
        return None
    low, high = (area.left, area.right) if upright else (area.top, area.bottom)
    middle, width = _inked(at, low, high)
    if width <= ZERO:
        return None
    whole = _stroke(LineKind.FOLD_TICK, middle, start, end, width, upright=upright)
    gaps = room.gaps(whole.box, upright=upright)
    for first, last in gaps if _sign(way) > 0 else reversed(gaps):
        length = min(last - first, MARK_LENGTH)
        ends = (first, first + length) if _sign(way) > 0 else (last - length, last)
        tick = _stroke(LineKind.FOLD_TICK, middle, *ends, width, upright=upright)
        text = _beside(tick, name, room, TextKind.FOLD_NAME) if length >= MARK_LEAST else None
        if text is not None:
            return tick, text
    return None


def _ray(kind: LineKind, at: Length, start: Length, way: Way, room: Room) -> Iterator[Line]:
    """A mark from `start` in a direction, at x or y = `at`, as long as there is room; none if too short."""
    upright = way in (Way.UP, Way.DOWN)
    low, high = (room.area.left, room.area.right) if upright else (room.area.top, room.area.bottom)
    middle, width = _inked(at, low, high)
    if width <= ZERO:
        return
    full = _stroke(kind, middle, start, start + MARK_LENGTH * _sign(way), width, upright=upright)
    length = room.reach(full.box, way)
    if length >= MARK_LEAST:
        yield _stroke(kind, middle, start, start + length * _sign(way), width, upright=upright)


def _inked(at: Length, low: Length, high: Length) -> tuple[Length, Length]:
    """Middle and width of a hairline at `at`, of which the printer reaches only `low` to `high`."""
    half = Length(MARK_WIDTH.emu // 2)
    left, right = max(at - half, low), min(at + half, high)
    if (left, right) == (at - half, at + half):
        return at, MARK_WIDTH
    return Length((left.emu + right.emu) // 2), right - left


def _stroke(kind: LineKind, at: Length, start: Length, end: Length, width: Length, *, upright: bool) -> Line:
    start, end = sorted((start, end))
    if upright:
        return Line(kind, at, start, at, end, width)
    return Line(kind, start, at, end, at, width)


def _sign(way: Way) -> int:
    return way.value[0] + way.value[1]


def _cut_ticks(cut: Cut, room: Room) -> list[Line]:
    upright = cut.axis is Axis.X
    area = room.area
    low, high = (area.left, area.right) if upright else (area.top, area.bottom)
    first, last = (area.top, area.bottom) if upright else (area.left, area.right)
    middle, width = _inked(cut.at, low, high)
    start, end = max(cut.start, first), min(cut.end, last)
    if width <= ZERO or start >= end:
        return []
    whole = _stroke(LineKind.THROUGH_CUT, middle, start, end, width, upright=upright)
    gaps = [gap for gap in room.gaps(whole.box, upright=upright) if gap[1] - gap[0] >= MARK_LEAST]
    if not gaps:
        return []
    (near, near_end), (far_start, far) = gaps[0], gaps[-1]
    spans = [(near, min(near_end, near + MARK_LENGTH)), (max(far_start, far - MARK_LENGTH), far)]
    if len(gaps) == 1 and near_end - near < _ONE_TICK:
        spans = spans[:1]
    return [_stroke(LineKind.THROUGH_CUT, middle, low, high, width, upright=upright) for low, high in spans]


def _beside(tick: Line, words: str, room: Room, kind: TextKind) -> Text | None:
    width = text_width(words, NUMBER_SIZE, bold=True)
    above, below = (CAP_HEIGHT, 0.0) if words.isdigit() else (ASCENT, DESCENT)
    up, down = (Length(round(NUMBER_SIZE.emu * share)) + _NUMBER_CLEAR for share in (above, below))
    if tick.x0 == tick.x1:
        xs = (tick.x0 + _NUMBER_CLEAR, tick.x0 - _NUMBER_CLEAR - width)
        ys = (tick.y0 + up, tick.y1 - down)
    else:
        xs = (tick.x0 + _NUMBER_CLEAR, tick.x1 - width - _NUMBER_CLEAR)
        ys = (tick.y0 - down, tick.y0 + up)
    for y in ys:
        for x in xs:
            text = Text(kind, words, x, y, NUMBER_SIZE, bold=True)
            if room.is_free(text.box):
                return text
    return None
