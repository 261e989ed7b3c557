"""Marks at the same place on both sides of a paper, to hold against the light.

The front bears a cross with a scale on its arms, the back a plain cross: where the back's cross meets the
scale of the front, there is read how far the two sides lie apart. Solid black hairlines, as registration
marks are in print shops (common practice, no published source).
"""

from __future__ import annotations

from collections.abc import Iterator

from kitprep.lengths import EMU_PER_POINT, Box, Length, Size, Unit, inches, read_length
from kitprep.sheet.drawn import Line, LineKind, Text, TextKind
from kitprep.sheet.room import Room
from kitprep.sheet.typeface import points, text_width, with_fractions

REGISTRATION_SIZE = inches("1/4")
"""Width and height of a mark."""
_STEPS = {Unit.INCH: "1/32 in", Unit.MM: "1 mm", Unit.CM: "1 mm"}
"""From line to line of the scale, by the unit that the paper is spoken of in."""

_WIDTH = Length(EMU_PER_POINT // 4)
_ARM = Length(REGISTRATION_SIZE.emu // 2)
_SHORT, _LONG = points(1.2), points(2.2)  # half lengths of the scale's lines
_CLEAR = points(3)
_WORDS_SIZE = points(5)


def place_registration(room: Room, foot_top: Length) -> tuple[Box, ...]:
    """Two places for marks, as far apart as there is room; fewer where there is less.

    Parameters
    ----------
    room : Room
        Where ink may be, with bleed boxes and the foot taken. The places are taken from it.
    foot_top : Length
        The upper edge of the strip's words, above which the marks stand best.
    """
    area, size = room.area, Size(REGISTRATION_SIZE, REGISTRATION_SIZE)
    lefts = (area.left + _CLEAR, area.right - _CLEAR - size.width)
    tops = (foot_top - _CLEAR - size.height, area.top + _CLEAR, area.bottom - _CLEAR - size.height)
    corners = [Box.at(left, top, size) for top in tops for left in lefts]
    found: list[Box] = []
    for corner in corners:
        if len(found) < 2 and room.is_free(corner):
            room.take(corner)
            found.append(corner)
    while len(found) < 2 and (place := room.find(size)) is not None:
        room.take(place)
        found.append(place)
    return tuple(found)


def front_mark(place: Box, unit: Unit) -> tuple[Line, ...]:
    """The cross with its scale."""
    x, y = _middle(place)
    return (*back_mark(place), *_scale(x, y, read_length(_STEPS[unit])))


def back_mark(place: Box) -> tuple[Line, ...]:
    """The plain cross."""
    x, y = _middle(place)
    kind = LineKind.REGISTRATION
    return (
        Line(kind, x - _ARM, y, x + _ARM, y, _WIDTH),
        Line(kind, x, y - _ARM, x, y + _ARM, _WIDTH),
    )


def mark_words(places: tuple[Box, ...], unit: Unit, room: Room) -> tuple[Text, ...]:
    """What to do with the marks, beside one of them where there is room. The place is taken."""
    words = with_fractions(f"hold against the light: the crosses meet; from line to line {_STEPS[unit]}")
    width = text_width(words, _WORDS_SIZE)
    for place in places:
        baseline = _middle(place)[1] + points(1.6)
        for x in (place.right + points(3), place.left - points(3) - width):
            text = Text(TextKind.FOOT, words, x, baseline, _WORDS_SIZE)
            if room.is_free(text.box):
                room.take(text.box)
                return (text,)
    return ()


def _scale(x: Length, y: Length, step: Length) -> Iterator[Line]:
    for number in range(1, _ARM.emu // step.emu + 1):
        half = _LONG if number % 2 == 0 else _SHORT
        for away in (step * number, -step * number):
            yield Line(LineKind.REGISTRATION, x + away, y - half, x + away, y + half, _WIDTH)
            yield Line(LineKind.REGISTRATION, x - half, y + away, x + half, y + away, _WIDTH)


def _middle(place: Box) -> tuple[Length, Length]:
    return Length((place.left + place.right).emu // 2), Length((place.top + place.bottom).emu // 2)
