"""The strip at the foot of every sheet: check lines, the words for the print dialog, title and credit.

The upper 3/16 in of the strip stays free of words, for the marks and ticks of the pieces above it.
"""

from __future__ import annotations

from dataclasses import dataclass

from kitprep.lengths import EMU_PER_INCH, EMU_PER_POINT, Box, Length, Size, inches, mm
from kitprep.papers import Margins, Paper, printable
from kitprep.sheet.drawn import Line, LineKind, Text, TextKind
from kitprep.sheet.marks import MARK_LENGTH
from kitprep.sheet.registration import REGISTRATION_SIZE
from kitprep.sheet.room import Room
from kitprep.sheet.typeface import points, text_width

PRINT_WORDS = "print at 100 %, actual size"
CHECK_LENGTHS = ((inches(1), "1 in"), (mm(25), "25 mm"))

_ROW = points(9)  # a line of words with the check lines beside it
_SECOND_ROW = points(8)
_NARROW = Length(6 * EMU_PER_INCH)  # below this printable width title and credit take a row of their own
_LINE_WIDTH = Length(EMU_PER_POINT // 4)
_TICK = points(7)  # height of the end ticks, so that a caption stands between them
_CAPTION_SIZE = points(6)
_WORDS_SIZE = points(6.5)
_LEAST_SIZE = points(5)
_APART = points(9)


@dataclass(frozen=True, slots=True)
class Foot:
    """What stands at the foot of a sheet."""

    lines: tuple[Line, ...]
    texts: tuple[Text, ...]


def check_strip(paper: Paper, margins: Margins, *, with_registration: bool = False) -> Margins:
    """The margins to pack with, so that check lines, title and credit have their place.

    Parameters
    ----------
    paper : Paper
        As it lies.
    margins : Margins
        What the printer cannot reach.
    with_registration : bool
        Whether the marks to hold against the light are to have theirs there too.

    Returns
    -------
    Margins
        With a bottom margin larger by the strip: 0.31 in, or 0.42 in on a narrow paper; with
        registration marks 1/4 in more.

    Raises
    ------
    MarginsLeaveNothing
        If the margins alone use up the paper.
    """
    height = MARK_LENGTH + strip_words_height(printable(paper, margins).width)
    if with_registration:
        height += REGISTRATION_SIZE
    return Margins(margins.left, margins.top, margins.right, margins.bottom + height)


def strip_words_height(width: Length) -> Length:
    """The height of the strip's words on a sheet of this printable width."""
    return _ROW if width >= _NARROW else _ROW + _SECOND_ROW


def draw_foot(area: Box, title: str, credit: str, count: str) -> Foot | None:
    """Check lines and words in the lowest part of an area.

    Parameters
    ----------
    area : Box
        The printable area.
    title, credit, count : str
        The job's title, the makers' credit, "sheet 1 of 2".

    Returns
    -------
    Foot or None
        None where the area is too narrow for the two check lines and their words.
    """
    wide = area.width >= _NARROW
    baseline = area.bottom - points(1.8)
    upper = baseline if wide else baseline - _SECOND_ROW
    check = _check_row(area.left + points(1), upper)
    end = check.texts[-1].box.right
    if end > area.right:
        return None
    room = Box(end + _APART if wide else area.left + points(1), area.top, area.right - points(1), area.bottom)
    words = _title_row(room, baseline, title, credit, count, from_left=not wide)
    return Foot(check.lines, check.texts + words)


def place_check_lines(room: Room) -> Foot | None:
    """Check lines and their words in whatever place is free: side by side, else one above the other.

    Parameters
    ----------
    room : Room
        Where ink may be, with bleed boxes and other ink taken. The place is taken from it.
    """
    row = _check_row(Length(0), Length(0))
    size = Size(row.texts[-1].box.right + points(2), _ROW)
    place = room.find(size)
    if place is not None:
        room.take(place)
        return _check_row(place.left + points(1), place.bottom - points(1.8))
    size = Size(inches(1) + points(2), 3 * _ROW)
    place = room.find(size)
    if place is None:
        return None
    room.take(place)
    return _check_stack(place)


def place_words(room: Room, words: str) -> tuple[Text, ...]:
    """A line of words in whatever place is free, smaller where it must be; nothing where there is none."""
    for size in (_WORDS_SIZE, _LEAST_SIZE):
        place = room.find(Size(text_width(words, size) + 2 * _APART, _ROW))
        if place is not None:
            room.take(place)
            return (Text(TextKind.FOOT, words, place.left + _APART, place.bottom - points(1.8), size),)
    return ()


def _check_row(left: Length, baseline: Length) -> Foot:
    lines: list[Line] = []
    texts: list[Text] = []
    for length, caption in CHECK_LENGTHS:
        drawn = _check_line(left, baseline, length, caption)
        lines += drawn.lines
        texts += drawn.texts
        left += length + _APART
    texts.append(Text(TextKind.CHECK, PRINT_WORDS, left, baseline, _WORDS_SIZE, bold=True))
    return Foot(tuple(lines), tuple(texts))


def _check_stack(place: Box) -> Foot:
    left, top = place.left + points(1), place.top - points(1.8)
    first = _check_line(left, top + _ROW, *CHECK_LENGTHS[0])
    second = _check_line(left, top + 2 * _ROW, *CHECK_LENGTHS[1])
    words = Text(TextKind.CHECK, PRINT_WORDS, left, top + 3 * _ROW, _CAPTION_SIZE, bold=True)
    return Foot(first.lines + second.lines, (*first.texts, *second.texts, words))


def _check_line(left: Length, baseline: Length, length: Length, caption: str) -> Foot:
    """A line measured between the middles of its end ticks, with its length written between them."""
    low, high = baseline + points(0.5), baseline + points(0.5) - _TICK
    kind, right = LineKind.CHECK, left + length
    lines = (
        Line(kind, left, low, right, low, _LINE_WIDTH),
        Line(kind, left, high, left, low, _LINE_WIDTH),
        Line(kind, right, high, right, low, _LINE_WIDTH),
    )
    half = Length((length - text_width(caption, _CAPTION_SIZE)).emu // 2)
    text = Text(TextKind.CHECK, caption, left + half, baseline - points(1), _CAPTION_SIZE)
    return Foot(lines, (text,))


def _title_row(
    room: Box, baseline: Length, title: str, credit: str, count: str, *, from_left: bool
) -> tuple[Text, ...]:
    """Title and credit, then the count at the right; smaller, then shortened, where they are long."""
    size = _WORDS_SIZE
    number_width = text_width(count, size, bold=True)
    number = Text(TextKind.FOOT, count, room.right - number_width, baseline, size, bold=True)
    left_over = room.width - number_width - _APART
    words = "  ·  ".join(part for part in (title, credit) if part)
    for tried in (size, points(6), _LEAST_SIZE):
        if text_width(words, tried) <= left_over:
            size = tried
            break
    else:
        size, words = _LEAST_SIZE, _shortened(words, _LEAST_SIZE, left_over)
    if not words:
        return (number,)
    x = room.left if from_left else number.x - _APART - text_width(words, size)
    return (Text(TextKind.FOOT, words, x, baseline, size), number)


def _shortened(words: str, size: Length, width: Length) -> str:
    """As much of the words as has room, with an ellipsis; the file itself carries them whole."""
    while words and text_width(words + "…", size) > width:
        words = words[:-1]
    return f"{words.rstrip(' ·')}…" if words else ""


def foot_box(foot: Foot) -> Box:
    """The room a foot takes."""
    boxes = [line.box for line in foot.lines] + [text.box for text in foot.texts]
    return Box(
        min(box.left for box in boxes),
        min(box.top for box in boxes),
        max(box.right for box in boxes),
        max(box.bottom for box in boxes),
    )
