"""Cut marks at the corners of pieces, fold ticks, and ticks at the ends of through cuts.

A mark lies in line with a trim and outside its bleed, and never on a piece or its bleed, its own or a
neighbour's: where one is in the way the mark is shorter, and left out where less than 1/16 in is left.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from kitprep.lengths import EMU_PER_POINT, ZERO, Length, inches
from kitprep.pack.packing import Axis, Cut
from kitprep.sheet.drawn import Line, LineKind, SheetPiece, Text, TextKind
from kitprep.sheet.room import Room, Way
from kitprep.sheet.typeface import CAP_HEIGHT, points, text_width

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

    Parameters
    ----------
    pieces : sequence of SheetPiece
        All on the sheet.
    room : Room
        Where ink may be, with every piece's bleed box taken.
    """
    found = {line for piece in pieces for line in _corner_marks(piece, room)}
    return tuple(sorted(found, key=_order))


def fold_ticks(pieces: Sequence[SheetPiece], room: Room) -> tuple[Line, ...]:
    """The ticks at both ends of every fold, each line once."""
    found = {line for piece in pieces for line in _fold_ticks(piece, room)}
    return tuple(sorted(found, key=_order))


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
        text = _number_at(tick, number, room)
        if text is not None:
            room.take(text.box)
            numbers.append(text)
    return tuple(numbers)


def _order(line: Line) -> tuple[Length, ...]:
    return line.y0, line.x0, line.y1, line.x1


def _corner_marks(piece: SheetPiece, room: Room) -> Iterator[Line]:
    out = piece.trim.grown(max(piece.bleed, MARK_CLEAR))
    for x in (piece.trim.left, piece.trim.right):
        yield from _ray(LineKind.CUT_MARK, x, out.top, Way.UP, room)
        yield from _ray(LineKind.CUT_MARK, x, out.bottom, Way.DOWN, room)
    for y in (piece.trim.top, piece.trim.bottom):
        yield from _ray(LineKind.CUT_MARK, y, out.left, Way.LEFT, room)
        yield from _ray(LineKind.CUT_MARK, y, out.right, Way.RIGHT, room)


def _fold_ticks(piece: SheetPiece, room: Room) -> Iterator[Line]:
    out = piece.trim.grown(max(piece.bleed, MARK_CLEAR))
    for place in fold_places(piece):
        if piece.turned:
            yield from _ray(LineKind.FOLD_TICK, place, out.left, Way.LEFT, room)
            yield from _ray(LineKind.FOLD_TICK, place, out.right, Way.RIGHT, room)
        else:
            yield from _ray(LineKind.FOLD_TICK, place, out.top, Way.UP, room)
            yield from _ray(LineKind.FOLD_TICK, place, out.bottom, Way.DOWN, room)


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


def _number_at(tick: Line, number: int, room: Room) -> Text | None:
    words = str(number)
    width = text_width(words, NUMBER_SIZE, bold=True)
    tall = Length(round(NUMBER_SIZE.emu * CAP_HEIGHT))
    if tick.x0 == tick.x1:
        xs = (tick.x0 + _NUMBER_CLEAR, tick.x0 - _NUMBER_CLEAR - width)
        ys = (tick.y0 + _NUMBER_CLEAR + tall, tick.y1 - _NUMBER_CLEAR)
    else:
        xs = (tick.x0 + _NUMBER_CLEAR, tick.x1 - width - _NUMBER_CLEAR)
        ys = (tick.y0 - _NUMBER_CLEAR, tick.y0 + _NUMBER_CLEAR + tall)
    for y in ys:
        for x in xs:
            text = Text(TextKind.CUT_NUMBER, words, x, y, NUMBER_SIZE, bold=True)
            if room.is_free(text.box):
                return text
    return None
