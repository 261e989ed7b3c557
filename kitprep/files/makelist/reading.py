"""Reads make-lists, and pieces given on the command line.

A bare number or size takes the list's own unit. Every complaint names its line.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable
from enum import Enum
from fractions import Fraction
from pathlib import Path
from typing import TypeVar

from kitprep.cards import find_size
from kitprep.errors import BadOption, MakeListProblem, MissingFile, WrongUse
from kitprep.files.makelist.makelist import DEFAULT_BLEED, DEFAULT_MISREGISTRATION, MakeList
from kitprep.files.tomltext import Fields, TomlFault, parse_toml
from kitprep.lengths import ZERO, Length, Unit, of, read_length
from kitprep.pack.packing import CutMode
from kitprep.papers import A4, LETTER, Flip, Margins, Paper, find_paper
from kitprep.piece.colours import read_colour
from kitprep.piece.wanted import Border, Fit, WantedPiece

MOST_COPIES = 10_000  # a slip of the pen above
_MOST_BYTES = 4 * 1024 * 1024  # of a make-list; thousands of pieces stay far below
_TOP = (
    "title", "unit", "paper", "margin", "printer", "cut", "trimmer", "bleed", "gap", "back", "flip",
    "misregistration", "piece",
)  # fmt: skip
_PIECE = (
    "element", "label", "size", "copies", "fit", "focus", "turn", "bleed", "paper", "score", "back", "together",
    "border", "border_colour",
)  # fmt: skip
_Choice = TypeVar("_Choice", bound=Enum)
_Read = TypeVar("_Read")


def read_makelist(path: Path) -> MakeList:
    """Read a make-list.

    Raises
    ------
    MissingFile
        If there is no such file.
    MakeListProblem
        If it cannot be read or followed; names the line.
    """
    text = makelist_content(path)
    try:
        return parse_makelist(text)
    except TomlFault as fault:
        raise MakeListProblem(path.name, fault.line, fault.what, fault.next_step) from None


def parse_makelist(text: str) -> MakeList:
    """The make-list of a text; complaints are `TomlFault`."""
    top = parse_toml(text)
    top.only(_TOP)
    unit = _choice(top, "unit", Unit, Unit.INCH)
    if "margin" in top.table and "printer" in top.table:
        raise top.fault("printer", "margin and printer are both given", "keep one: a printer has its margins")
    default_paper = LETTER if unit is Unit.INCH else A4
    return MakeList(
        title=top.text("title", ""),
        unit=unit,
        paper=_paper(top, unit) or default_paper,
        margins=_margins(top, unit),
        printer=top.text("printer", ""),
        cut=_choice(top, "cut", CutMode, CutMode.TRIMMER),
        trimmer=_above_zero(top, "trimmer", _length(top, "trimmer", unit)),
        bleed=_length(top, "bleed", unit) if "bleed" in top.table else DEFAULT_BLEED,
        gap=_length(top, "gap", unit) if "gap" in top.table else ZERO,
        back=top.text("back", "").strip(),
        flip=_choice(top, "flip", Flip, Flip.LONG),
        misregistration=(
            _length(top, "misregistration", unit)
            if "misregistration" in top.table
            else DEFAULT_MISREGISTRATION
        ),
        pieces=tuple(_piece(fields, unit) for fields in top.tables("piece")),
    )


def piece_from_text(text: str, unit: Unit = Unit.INCH) -> WantedPiece:
    """The piece of ``ID, SIZE, COPIES``, or of ``ID, SIZE`` for one copy; the id ``blank`` is a blank.

    Parameters
    ----------
    text : str
        As written after ``--piece``. A last part that is a whole number is the number of copies.
    unit : Unit
        Of bare numbers.

    Raises
    ------
    BadOption
        If it is not made up like that.
    BadSize
        If its size cannot be.

    Examples
    --------
    >>> piece_from_text("p02-07, 4 3/4 x 2 3/4, 3").copies
    3
    """
    element, *rest = (part.strip() for part in text.split(","))
    copies = int(rest.pop()) if len(rest) > 1 and rest[-1].isdecimal() else 1
    if rest and not 1 <= copies <= MOST_COPIES:
        raise BadOption(f"copies of '{element}' in --piece", str(copies), f"a number from 1 to {MOST_COPIES}")
    if not element or not rest:
        raise BadOption("--piece", text, "it as 'ID, SIZE, COPIES', such as 'p02-07, 4 3/4 x 2 3/4, 1'")
    size = find_size(",".join(rest), unit)  # a decimal comma was split off with the others
    blank = element.lower() == "blank"
    if blank and (size.width is None or size.height is None):
        raise BadOption("--piece", text, "a blank its width and its height, such as 'blank, 5 x 7, 1'")
    return WantedPiece("" if blank else element, size, copies)


def makelist_content(path: Path) -> str:
    """The text of a make-list file; errors as `read_makelist`."""
    if not path.exists():
        raise MissingFile(str(path))
    try:
        if path.stat().st_size > _MOST_BYTES:
            raise MakeListProblem(path.name, 0, "it is too large for a make-list", "give a TOML text")
        return path.read_text("utf-8-sig")
    except UnicodeDecodeError:
        raise MakeListProblem(path.name, 0, "it is not text in UTF-8", "give a TOML text") from None
    except OSError as error:
        how = (error.strerror or str(error)).lower()
        raise MakeListProblem(
            path.name, 0, f"it cannot be read ({how})", "give a file you may read"
        ) from error


def _piece(fields: Fields, unit: Unit) -> WantedPiece:
    fields.only(_PIECE)
    size = _read(fields, "size", lambda: find_size(fields.text("size"), unit))
    element = fields.text("element", "")
    if "element" in fields.table and not element.strip():
        raise fields.fault("element", "element is empty", "give an id, or leave the line out for a blank")
    if not element and (size.width is None or size.height is None):
        raise fields.fault("size", "a blank needs a width and a height", "write it like 5 x 7 in")
    back = fields.text("back", "").strip()
    if back and not element:
        raise fields.fault("back", "a blank has no back", "make the back its element, and leave back out")
    copies = fields.whole("copies", 1)
    if not 1 <= copies <= MOST_COPIES:
        raise fields.fault("copies", f"copies cannot be {copies}", f"give a number from 1 to {MOST_COPIES}")
    return WantedPiece(
        element=element.strip(),
        size=size,
        copies=copies,
        fit=_choice(fields, "fit", Fit, Fit.COVER),
        focus=_focus(fields),
        bleed=_length(fields, "bleed", unit) if "bleed" in fields.table else None,
        may_turn=fields.flag("turn", True),
        label=fields.text("label", ""),
        paper=_paper(fields, unit),
        scores=_scores(fields, unit, size.width),
        back=back,
        together=fields.text("together", ""),
        border=_border(fields, unit, is_picture=bool(element)),
        line=fields.line("element"),
    )


def _border(fields: Fields, unit: Unit, *, is_picture: bool) -> Border | None:
    width = _length(fields, "border", unit)
    if width and not is_picture:
        raise fields.fault("border", "a blank has no border", "leave border out")
    if not width:
        return None
    colour = fields.text("border_colour", "white")
    return Border(width, _read(fields, "border_colour", lambda: read_colour("border_colour", colour)))


def _paper(fields: Fields, unit: Unit) -> Paper | None:
    if "paper" not in fields.table:
        return None
    return _read(fields, "paper", lambda: find_paper(fields.text("paper"), unit))


def _margins(fields: Fields, unit: Unit) -> Margins | None:
    if "margin" not in fields.table:
        return None
    value = fields.table["margin"]
    if not isinstance(value, list):
        return Margins.even(_length(fields, "margin", unit))
    if len(value) != 4:
        needed = "[left, top, right, bottom]"
        raise fields.fault("margin", f"margin has {len(value)} sides", f"give one length or {needed}")
    return Margins(*(_length_of(fields, "margin", side, unit) for side in value))


def _scores(fields: Fields, unit: Unit, width: Length | None) -> tuple[Length, ...]:
    value = fields.table.get("score", [])
    places = tuple(
        _length_of(fields, "score", place, unit) for place in (value if isinstance(value, list) else [value])
    )
    for place in places:
        if width is None:
            raise fields.fault("score", "score needs a piece whose width is given", "add its width to size")
        if not ZERO < place < width:
            within = f"between 0 and {width.text(unit)}"
            raise fields.fault("score", f"score {place.text(unit)} is not on the piece", f"keep it {within}")
    return places


def _focus(fields: Fields) -> tuple[float, float] | None:
    if "focus" not in fields.table:
        return None
    across, down = fields.numbers("focus", 2)
    if not (0 <= across <= 1 and 0 <= down <= 1):
        raise fields.fault("focus", "focus is outside the picture", "give two shares from 0 to 1")
    return across, down


def _length(fields: Fields, key: str, unit: Unit) -> Length:
    return _length_of(fields, key, fields.table.get(key, 0), unit)


def _length_of(fields: Fields, key: str, value: object, unit: Unit) -> Length:
    if isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e6:
        length = of(Fraction(str(value)), unit)
    elif isinstance(value, str):
        length = _read(fields, key, lambda: read_length(value, unit))
    else:
        raise fields.fault(key, f"{key} must be a length", 'write it like "1/4 in"')
    if length < ZERO:
        raise fields.fault(key, f"{key} is below zero", "give 0 or more")
    return length


def _above_zero(fields: Fields, key: str, length: Length) -> Length | None:
    if key not in fields.table:
        return None
    if length == ZERO:
        raise fields.fault(key, f"{key} is zero", "give the longest cut it makes, or leave it out")
    return length


def _choice(fields: Fields, key: str, choices: type[_Choice], default: _Choice) -> _Choice:
    text = fields.text(key, default.value)
    for choice in choices:
        if choice.value == text:
            return choice
    known = [str(choice.value) for choice in choices]
    near = difflib.get_close_matches(text, known, n=1)
    offer = f"did you mean {near[0]}" if near else f"use one of {', '.join(known)}"
    raise fields.fault(key, f"{key} cannot be '{text}'", offer)


def _read(fields: Fields, key: str, reading: Callable[[], _Read]) -> _Read:
    try:
        return reading()
    except WrongUse as error:
        raise fields.fault(key, error.what, error.next_step) from None
