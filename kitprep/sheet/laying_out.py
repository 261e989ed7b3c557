"""Puts a packed sheet, its marks, labels, check lines and words together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from kitprep.lengths import EMU_PER_POINT, ZERO, Box, Length, Unit, inches
from kitprep.pack.packing import PackedSheet
from kitprep.papers import Flip, Margins, Paper, printable
from kitprep.sheet.backs import back_of
from kitprep.sheet.drawn import Line, LineKind, Sheet, SheetItem, SheetPiece, Text, TextKind, letter
from kitprep.sheet.labels import label_pieces, words_inside
from kitprep.sheet.marks import (
    cut_marks,
    cut_numbers,
    fold_places,
    fold_ticks,
    through_cut_ticks,
)
from kitprep.sheet.registration import front_mark, mark_words, place_registration
from kitprep.sheet.room import Room
from kitprep.sheet.strip import Foot, draw_foot, foot_box, place_check_lines, place_words

OUTLINE_WIDTH = Length(EMU_PER_POINT // 4)
_PLAN_WORDS = "cutting plan, not for printing on the card"
_PLAN_INSET = inches("1/4")  # where most printers still reach


def lay_out(
    packed: PackedSheet,
    items: Sequence[SheetItem],
    *,
    paper: Paper,
    margins: Margins,
    number: int,
    total: int,
    title: str = "",
    credit: str = "",
    outlines: bool = False,
    flip: Flip | None = None,
) -> Sheet:
    """Draw up one sheet.

    Parameters
    ----------
    packed : PackedSheet
        Places and cuts, on the paper as it lies.
    items : sequence of SheetItem
        What the placements are of, in the order that was packed.
    paper : Paper
        As it lies.
    margins : Margins
        What the printer cannot reach; without the strip of `check_strip`.
    number, total : int
        Sheet `number` of `total`, from 1.
    title : str
        The job's title, printed at the foot.
    credit : str
        The makers of the kits, printed at the foot.
    outlines : bool
        Whether the edges of cut-outs are drawn.
    flip : Flip or None
        The edge over which the paper is turned to print its back; None for no back.

    Returns
    -------
    Sheet
        With what found no room named in it.

    Raises
    ------
    MarginsLeaveNothing
        If the margins use up the paper.
    """
    pieces = _pieces(packed, items)
    area = printable(paper, margins)
    plan_only = bool(pieces) and margins == Margins.even(ZERO) and all(p.artwork is None for p in pieces)
    foot_words = (title, credit, f"sheet {number} of {total}")
    if plan_only:
        drawn = _plan(pieces, area, packed, foot_words, paper.unit)
    else:
        drawn = _printed(pieces, area, packed, foot_words, paper.unit if flip else None)
    edges = tuple(line for piece in pieces for line in _cut_out_edge(piece)) if outlines else ()
    marked = {text.words for text in drawn.texts if text.kind is TextKind.CUT_NUMBER}
    front = Sheet(
        number=number,
        total=total,
        paper=paper,
        margins=margins,
        pieces=pieces,
        lines=drawn.lines + edges,
        texts=drawn.texts,
        cuts=packed.cuts,
        title=title,
        credit=credit,
        plan_only=plan_only,
        has_check_lines=drawn.has_check_lines,
        lettered=drawn.lettered,
        unlabelled=drawn.unlabelled,
        unmarked_cuts=tuple(cut.number for cut in packed.cuts if str(cut.number) not in marked),
        unmarked_folds=drawn.unmarked_folds,
        flip=flip,
        has_registration=flip is None or plan_only or bool(drawn.marks),
        left_over=packed.left_over,
    )
    return front if flip is None else replace(front, back=back_of(front, items, flip, drawn.marks))


@dataclass(frozen=True, slots=True)
class _Drawn:
    """What is drawn around the pieces of a sheet, and what found no room."""

    lines: tuple[Line, ...]
    texts: tuple[Text, ...]
    has_check_lines: bool
    lettered: tuple[int, ...] = ()
    unlabelled: tuple[int, ...] = ()
    unmarked_folds: tuple[int, ...] = ()
    marks: tuple[Box, ...] = ()


def _pieces(packed: PackedSheet, items: Sequence[SheetItem]) -> tuple[SheetPiece, ...]:
    return tuple(
        SheetPiece(
            item=place.item,
            letter=items[place.item].letter or letter(place.item),
            name=items[place.item].name,
            id=items[place.item].id,
            trim=place.box,
            bleed=place.bleed,
            quarters=place.quarters,
            artwork=items[place.item].artwork,
            scores=items[place.item].scores,
            grade=items[place.item].grade,
        )
        for place in packed.placements
    )


def _printed(
    pieces: tuple[SheetPiece, ...],
    area: Box,
    packed: PackedSheet,
    foot_words: tuple[str, str, str],
    registration: Unit | None,
) -> _Drawn:
    """Marks, labels and the foot; `registration` is the unit of the marks for a back, None for none."""
    room = Room(area, [piece.bleed_box for piece in pieces])
    foot = _foot(room, foot_words)
    top = foot_box(foot).top if foot else area.bottom
    places = place_registration(room, top) if registration else ()
    registering = tuple(line for place in places for line in front_mark(place, registration or Unit.INCH))
    marks = cut_marks(pieces, room)
    folds = fold_ticks(pieces, room.with_also(line.box for line in marks))
    for box in (*(line.box for line in folds.lines), *(text.box for text in folds.names)):
        room.take(box)
    ticks = through_cut_ticks(packed.cuts, room)
    lines = marks + tuple(tick for _, tick in ticks)
    for line in lines:
        room.take(line.box)
    numbers = cut_numbers(ticks, room)
    if foot is None:
        foot = place_check_lines(room)
    labels = label_pieces(pieces, room)
    words = mark_words(places, registration, room) if registration else ()
    foot_lines, foot_texts = (foot.lines, foot.texts) if foot else ((), ())
    return _Drawn(
        lines=lines + folds.lines + registering + foot_lines,
        texts=numbers + folds.names + foot_texts + labels.texts + words,
        has_check_lines=foot is not None,
        lettered=labels.lettered,
        unlabelled=labels.unlabelled,
        unmarked_folds=folds.unmarked,
        marks=places,
    )


def _foot(room: Room, words: tuple[str, str, str]) -> Foot | None:
    """The strip at the foot, taken from the room; None where a piece or a narrow paper leaves none."""
    foot = draw_foot(room.area, *words)
    if foot is None or not room.is_free(_across(room.area, foot_box(foot))):
        return None
    room.take(_across(room.area, foot_box(foot)))
    return foot


def _across(area: Box, foot: Box) -> Box:
    return Box(area.left, max(area.top, foot.top), area.right, area.bottom)


def _plan(
    pieces: tuple[SheetPiece, ...],
    area: Box,
    packed: PackedSheet,
    foot_words: tuple[str, str, str],
    unit: Unit,
) -> _Drawn:
    """Outlines, folds and words on the blanks themselves, as nothing is printed on the paper to cut."""
    lines = tuple(line for piece in pieces for line in _outline(piece))
    texts = tuple(text for piece in pieces for text in words_inside(piece, unit))
    ticks = through_cut_ticks(packed.cuts, Room(area))
    room = Room(area.grown(-_PLAN_INSET), [*(line.box for line in lines), *(text.box for text in texts)])
    for _, tick in ticks:
        room.take(tick.box)
    texts += cut_numbers(ticks, Room(area, [line.box for line in lines]))
    foot = place_check_lines(room)
    texts += place_words(room, _PLAN_WORDS) + place_words(room, "  ·  ".join(filter(None, foot_words)))
    foot_lines, foot_texts = (foot.lines, foot.texts) if foot else ((), ())
    lines += tuple(tick for _, tick in ticks)
    return _Drawn(lines + foot_lines, texts + foot_texts, foot is not None)


def _outline(piece: SheetPiece) -> tuple[Line, ...]:
    left, top, right, bottom = piece.trim.left, piece.trim.top, piece.trim.right, piece.trim.bottom
    corners = ((left, top), (right, top), (right, bottom), (left, bottom))
    sides = [Line(LineKind.OUTLINE, *corners[i], *corners[(i + 1) % 4], OUTLINE_WIDTH) for i in range(4)]
    for place in fold_places(piece):
        ends = (left, place, right, place) if piece.turned else (place, top, place, bottom)
        sides.append(Line(LineKind.FOLD, *ends, OUTLINE_WIDTH))
    return tuple(sides)


def _cut_out_edge(piece: SheetPiece) -> tuple[Line, ...]:
    if piece.artwork is None or not piece.artwork.outline:
        return ()
    points = [on_paper(piece, x, y) for x, y in piece.artwork.outline]
    return tuple(
        Line(LineKind.OUTLINE, *start, *end, OUTLINE_WIDTH)
        for start, end in zip(points, points[1:] + points[:1], strict=True)
    )


def on_paper(piece: SheetPiece, x: float, y: float) -> tuple[Length, Length]:
    """Where a point of a piece, in points from its trim's top left as it stands unturned, lies."""
    right, down = Length(round(x * EMU_PER_POINT)), Length(round(y * EMU_PER_POINT))
    trim = piece.trim
    return (
        (trim.left + right, trim.top + down),
        (trim.right - down, trim.top + right),
        (trim.right - right, trim.bottom - down),
        (trim.left + down, trim.bottom - right),
    )[piece.quarters]
