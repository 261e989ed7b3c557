"""What stands before a command, and reading of what people write after it."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import typer

from kitprep.errors import BadOption

if TYPE_CHECKING:
    from kitprep.jobs.mending import LengthBox
    from kitprep.jobs.resplitting import PagePlace
    from kitprep.jobs.values import Border, Kind, PixelBox
    from kitprep.lengths import Length, Size
    from kitprep.papers import Margins

_Choice = TypeVar("_Choice", bound=Enum)
_Read = TypeVar("_Read")


@dataclass(frozen=True, slots=True)
class Given:
    """The options before the command."""

    shelf: Path | None
    verbose: bool


def given(ctx: typer.Context) -> Given:
    """The options before the command."""
    found = ctx.find_object(Given)
    assert found is not None
    return found


def choice(option: str, text: str, choices: type[_Choice]) -> _Choice:
    """One of a few words.

    Raises
    ------
    BadOption
        If it is none of them.
    """
    for one in choices:
        if one.value == text.strip().lower():
            return one
    raise BadOption(option, text, f"one of {', '.join(str(one.value) for one in choices)}")


def optional(text: str | None, read: Callable[[str], _Read]) -> _Read | None:
    """What `read` makes of a text, where there is one."""
    return None if text is None else read(text)


def length(option: str, text: str, bare: str = "in") -> Length:
    """A length of zero or more; `bare` is the unit of a bare number.

    Raises
    ------
    BadLength
        If it is none.
    BadOption
        If it is below zero.
    """
    from kitprep.lengths import ZERO, Unit, read_length

    read = read_length(text, Unit(bare))
    if read < ZERO:
        raise BadOption(option, text, "a length of zero or more")
    return read


def border(width: str, colour: str) -> Border | None:
    """A border as wide as a length, in a colour; none where the length is zero.

    Raises
    ------
    BadLength, BadOption
        If the width or the colour cannot be read.
    """
    from kitprep.jobs.values import Border, read_colour

    wide = length("--border", width)
    return Border(wide, read_colour("--border-colour", colour)) if wide else None


def margins(text: str) -> Margins:
    """One length for every side, or left, top, right, bottom with commas; a unit at the end goes for all.

    Raises
    ------
    BadLength
        If one of them is no length.
    BadOption
        If there are not one or four, or one is below zero.
    """
    from kitprep.lengths import unit_of
    from kitprep.papers import Margins

    parts = [part.strip() for part in text.strip("[]").split(",")]
    sides = [length("--margin", part, unit_of(parts[-1]).value) for part in parts]
    if len(sides) == 1:
        return Margins.even(sides[0])
    if len(sides) != 4:
        raise BadOption("--margin", text, "one length, or four as 'LEFT, TOP, RIGHT, BOTTOM'")
    return Margins(*sides)


def focus(text: str) -> tuple[float, float]:
    """Two shares of a picture, across and down.

    Raises
    ------
    BadOption
        If they are not two numbers from 0 to 1.
    """
    try:
        across, down = (float(part) for part in text.split(","))
    except ValueError:
        raise BadOption("--focus", text, "two shares of the picture from 0 to 1, such as 0.5,0.4") from None
    if not (0 <= across <= 1 and 0 <= down <= 1):
        raise BadOption("--focus", text, "two shares of the picture from 0 to 1, such as 0.5,0.4")
    return across, down


def page_size(text: str) -> Size:
    """The size of a page: a paper's name or a size.

    Raises
    ------
    UnknownPaper
        If it is neither.
    """
    from kitprep.papers import find_paper

    return find_paper(text).size


def box(text: str) -> PixelBox | LengthBox:
    """A box as ``X,Y,W,H``: lengths, or pixels where the last one ends in ``px``.

    Raises
    ------
    BadOption
        If there are not four, or a pixel is no whole number.
    BadLength
        If one of them is no length.
    """
    from kitprep.jobs.mending import LengthBox
    from kitprep.jobs.values import PixelBox
    from kitprep.lengths import unit_of

    parts = [part.strip() for part in text.split(",")]
    if len(parts) != 4:
        raise BadOption(
            "--box", text, "it as 'X,Y,W,H', such as '1 in, 2 in, 3 in, 2 1/2 in' or '300,600,900,750px'"
        )
    if parts[-1].lower().endswith("px"):
        numbers = [part.lower().removesuffix("px").strip() for part in parts]
        if not all(number.isdecimal() for number in numbers):
            raise BadOption("--box", text, "whole numbers of pixels, such as '300,600,900,750px'")
        left, top, width, height = map(int, numbers)
        return PixelBox(left, top, left + width, top + height)
    unit = unit_of(parts[-1]).value
    return LengthBox(*(length("--box", part, unit) for part in parts))


def colour(text: str) -> tuple[int, int, int] | PagePlace:
    """A colour as ``#rrggbb``, or a place on the page that has it as ``X,Y``.

    Raises
    ------
    BadOption
        If it is neither.
    BadLength
        If a side of the place is no length.
    """
    from kitprep.jobs.resplitting import PagePlace
    from kitprep.lengths import unit_of

    match = re.fullmatch(r"#?([0-9a-f]{2})([0-9a-f]{2})([0-9a-f]{2})", text.strip().lower())
    if match is not None:
        red, green, blue = (int(level, 16) for level in match.groups())
        return red, green, blue
    parts = [part.strip() for part in text.split(",")]
    if len(parts) != 2:
        needed = "a colour such as '#f5efe2', or a place on the page that has it, such as '1 in, 1/2 in'"
        raise BadOption("--background", text, needed)
    unit = unit_of(parts[-1]).value
    return PagePlace(*(length("--background", part, unit) for part in parts))


def kind(text: str) -> Kind:
    """A kind of element.

    Raises
    ------
    BadOption
        If it is none.
    """
    from kitprep.jobs.values import Kind

    return choice("--kind", text, Kind)
