"""Labels of pieces: outside every trim and bleed, as near to their piece as there is room.

A label is the piece's letter and its name. Where the name has no room the letter stands alone and a
key elsewhere on the sheet gives the names; where even the letter has none, the cut guide names the piece.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from kitprep.lengths import Box, Length, Size, Unit
from kitprep.sheet.drawn import SheetPiece, Text, TextKind
from kitprep.sheet.marks import fold_places
from kitprep.sheet.room import Room
from kitprep.sheet.typeface import ASCENT, CAP_HEIGHT, DESCENT, points, text_width, with_fractions

LABEL_SIZES = (points(7), points(6), points(5))
"""Tried from the largest; below 5 pt nobody reads it."""
_PLAN_SIZES = tuple(points(size) for size in (10, 9, 8, 7, 6, 5))
_CLEAR = points(1)
_INSET = points(2)  # from the trim's edge, so that a label stands clear of the corner's mark
_KEY_SIZE = points(6)


@dataclass(frozen=True, slots=True)
class Labels:
    """The labels of a sheet.

    Parameters
    ----------
    texts : tuple of Text
        Labels, and the key if there is one.
    lettered, unlabelled : tuple of int
        As in `Sheet`.
    """

    texts: tuple[Text, ...]
    lettered: tuple[int, ...]
    unlabelled: tuple[int, ...]


def label_pieces(pieces: Sequence[SheetPiece], room: Room) -> Labels:
    """Label every piece that has room around it.

    Parameters
    ----------
    pieces : sequence of SheetPiece
        All on the sheet.
    room : Room
        Where ink may be, with bleed boxes and other ink taken. The labels are added to it.
    """
    texts: list[Text] = []
    short: list[int] = []
    for index, piece in enumerate(pieces):
        label = _first_free(f"{piece.letter}  {piece.name}", piece, room)
        if label is None:
            short.append(index)
        else:
            room.take(label.box)
            texts.append(label)
    lettered = []
    for index in short:
        label = _first_free(pieces[index].letter, pieces[index], room)
        if label is not None:
            room.take(label.box)
            texts.append(label)
            lettered.append(index)
    named = {text.words for text in texts}
    texts += _key([pieces[i] for i in lettered], named, room)
    return Labels(tuple(texts), tuple(lettered), tuple(i for i in short if i not in lettered))


def words_inside(piece: SheetPiece, unit: Unit) -> tuple[Text, ...]:
    """Letter, name and size inside a piece, clear of its folds, for a plan that is not printed on it."""
    lines = (f"{piece.letter}  {piece.name}", with_fractions(piece.size.text(unit).replace(" x ", " × ")))
    panel = _widest_panel(piece)
    size = next(
        (size for size in _PLAN_SIZES if max(text_width(line, size) for line in lines) < panel.width),
        _PLAN_SIZES[-1],
    )
    middle, centre = _half(panel.left + panel.right), _half(panel.top + panel.bottom)
    return tuple(
        Text(TextKind.LABEL, line, middle - _half(text_width(line, size)), centre + size.scaled(drop), size)
        for line, drop in zip(lines, (Fraction(-1, 5), Fraction(1)), strict=True)
    )


def _widest_panel(piece: SheetPiece) -> Box:
    """The largest part of a piece between its folds."""
    trim = piece.trim
    if piece.turned:
        edges = sorted((trim.top, *fold_places(piece), trim.bottom))
        top, bottom = max(pairwise(edges), key=lambda ends: ends[1] - ends[0])
        return Box(trim.left, top, trim.right, bottom)
    edges = sorted((trim.left, *fold_places(piece), trim.right))
    left, right = max(pairwise(edges), key=lambda ends: ends[1] - ends[0])
    return Box(left, trim.top, right, trim.bottom)


def _half(length: Length) -> Length:
    return Length(length.emu // 2)


def _first_free(words: str, piece: SheetPiece, room: Room) -> Text | None:
    for size in LABEL_SIZES:
        for text in _places(with_fractions(words), piece, size):
            if room.is_free(text.box):
                return text
    return None


def _places(words: str, piece: SheetPiece, size: Length) -> Iterator[Text]:
    """Places beside a piece from the best: below, above, right, left, then upward along its sides."""
    wide = text_width(words, size)
    up, down = Length(round(size.emu * ASCENT)), Length(round(size.emu * DESCENT))
    cap = Length(round(size.emu * CAP_HEIGHT))
    trim, out = piece.trim, piece.bleed_box
    below, above = out.bottom + _CLEAR + up, out.top - _CLEAR - down
    right, left = out.right + _CLEAR, out.left - _CLEAR
    for y in (below, above):
        for x in (trim.left + _INSET, trim.right - _INSET - wide, out.left, out.right - wide):
            yield Text(TextKind.LABEL, words, x, y, size)
    for x in (right, left - wide):
        for y in (trim.top + _INSET + up, trim.bottom - _INSET - down):
            yield Text(TextKind.LABEL, words, x, y, size)
    for x in (right + up, left - down):
        for y in (trim.bottom - _INSET, trim.top + _INSET + wide):
            yield Text(TextKind.LABEL, words, x, y, size, upward=True)
    for y in (below + cap + points(14), above - points(14)):  # past the corner marks
        yield Text(TextKind.LABEL, words, trim.left, y, size)


def _key(pieces: Sequence[SheetPiece], named: set[str], room: Room) -> list[Text]:
    """The names of pieces that carry only a letter, one below the other in a free place."""
    in_order = sorted(pieces, key=lambda piece: piece.item)
    names = {piece.letter: with_fractions(piece.name) for piece in in_order}
    missing = [f"{letter} = {name}" for letter, name in names.items() if f"{letter}  {name}" not in named]
    if not missing:
        return []
    step = _KEY_SIZE.emu * 12 // 10
    wide = max(text_width(line, _KEY_SIZE) for line in missing)
    place = room.find(Size(wide + 2 * _CLEAR, Length(step * len(missing)) + 2 * _CLEAR))
    if place is None:
        return []
    room.take(place)
    first = place.top + _CLEAR + Length(round(_KEY_SIZE.emu * ASCENT))
    return [
        Text(TextKind.KEY, line, place.left + _CLEAR, first + Length(step * row), _KEY_SIZE)
        for row, line in enumerate(missing)
    ]
