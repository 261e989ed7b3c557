"""Exact lengths, sizes and boxes on paper; reads and prints what people write.

A length is a whole number of EMU (English Metric Unit, ECMA-376 part 1, 20.1.2.1): 914 400 to the
inch, 36 000 to the millimetre, 12 700 to the point. 1 in = 25.4 mm exactly (NIST SP 811, appendix B).
Sixteenths of an inch, hundredths of a millimetre and PDF points are all whole numbers, so a sum never
depends on rounding: text is rounded once, where it is read.

Paper coordinates have their origin at the top left corner of the paper, x to the right, y down.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from kitprep.errors import BadLength, BadSize

EMU_PER_INCH = 914_400
EMU_PER_MM = 36_000
EMU_PER_POINT = 12_700


class Unit(Enum):
    """A unit that people write; the value is how it is printed."""

    INCH = "in"
    MM = "mm"
    CM = "cm"
    POINT = "pt"

    @property
    def emu(self) -> int:
        """EMU in one of this unit."""
        return _EMU[self]


_EMU = {Unit.INCH: EMU_PER_INCH, Unit.MM: EMU_PER_MM, Unit.CM: 10 * EMU_PER_MM, Unit.POINT: EMU_PER_POINT}


@dataclass(frozen=True, order=True, slots=True)
class Length:
    """An exact length on paper.

    Parameters
    ----------
    emu : int
        Whole number of EMU; negative lengths are allowed as differences.
    """

    emu: int

    def __post_init__(self) -> None:
        if type(self.emu) is not int:
            raise TypeError(f"a Length is a whole number of EMU, not {self.emu!r}")

    def __add__(self, other: Length) -> Length:
        return Length(self.emu + other.emu)

    def __sub__(self, other: Length) -> Length:
        return Length(self.emu - other.emu)

    def __neg__(self) -> Length:
        return Length(-self.emu)

    def __mul__(self, count: int) -> Length:
        return Length(self.emu * count)

    __rmul__ = __mul__

    def __truediv__(self, other: Length) -> Fraction:
        return Fraction(self.emu, other.emu)

    def __bool__(self) -> bool:
        return self.emu != 0

    def scaled(self, by: Fraction | int) -> Length:
        """The length times a ratio, rounded to the nearest EMU (half to even)."""
        return Length(round(self.emu * Fraction(by)))

    @property
    def inches(self) -> float:
        """The length in inches, for reports and pixel geometry."""
        return self.emu / EMU_PER_INCH

    @property
    def mm(self) -> float:
        """The length in millimetres, for reports."""
        return self.emu / EMU_PER_MM

    @property
    def points(self) -> float:
        """The length in PDF points of 1/72 in."""
        return self.emu / EMU_PER_POINT

    def pixels(self, ppi: float) -> float:
        """The length in pixels at a resolution in pixels per inch."""
        return self.emu * ppi / EMU_PER_INCH

    def text(self, unit: Unit = Unit.INCH) -> str:
        """The length as people write it, with its unit.

        Examples
        --------
        >>> inches("4 3/4").text(), inches("0.3").text(), mm(120).text(Unit.MM)
        ('4 3/4 in', '0.3 in', '120 mm')
        """
        return f"{self.number(unit)} {unit.value}"

    def number(self, unit: Unit = Unit.INCH) -> str:
        """The length as people write it, without its unit: inches in sixteenths when exact, else decimals."""
        sixteenths, rest = divmod(abs(self.emu) * 16, EMU_PER_INCH)
        if unit is Unit.INCH and rest == 0:
            return ("-" if self.emu < 0 else "") + _mixed(sixteenths)
        places = 3 if unit is Unit.INCH else 2
        return f"{float(round(Fraction(self.emu, unit.emu), places)):.{places}f}".rstrip("0").rstrip(".")

    def exact_text(self, unit: Unit = Unit.INCH) -> str:
        """The length as text that reads back as the very same one, in this unit where that can be.

        Examples
        --------
        >>> inches("1/8").exact_text(), mm(1).exact_text(), Length(1).exact_text()
        ('1/8 in', '1 mm', '1/914400 in')
        """
        for spoken in (unit, *Unit):
            if read_length(text := self.text(spoken)) == self:
                return text
        return f"{Fraction(self.emu, EMU_PER_INCH)} {Unit.INCH.value}"

    def __str__(self) -> str:
        return self.text()


ZERO = Length(0)


def inches(value: str | int | Fraction) -> Length:
    """A length from inches, given exactly: a whole number, a fraction, or text such as ``"1 3/8"``."""
    return Length(_exact(_number(value), EMU_PER_INCH)) if isinstance(value, str) else of(value, Unit.INCH)


def mm(value: str | int | Fraction) -> Length:
    """A length from millimetres, given exactly."""
    return Length(_exact(_number(value), EMU_PER_MM)) if isinstance(value, str) else of(value, Unit.MM)


def of(value: int | float | Fraction, unit: Unit) -> Length:
    """A length from a number in a unit, rounded once to the nearest EMU."""
    return Length(_exact(Fraction(value), unit.emu))


def from_pixels(pixels: float, ppi: float) -> Length:
    """The length that pixels cover at a resolution in pixels per inch, to the nearest EMU."""
    return Length(round(Fraction(pixels) * EMU_PER_INCH / Fraction(ppi)))


@dataclass(frozen=True, slots=True)
class Size:
    """Width by height. Sizes have no order; ask `fits_in`."""

    width: Length
    height: Length

    @property
    def turned(self) -> Size:
        """The size after a quarter turn."""
        return Size(self.height, self.width)

    @property
    def proportion(self) -> Fraction:
        """Width over height."""
        return self.width / self.height

    def fits_in(self, room: Size) -> bool:
        """Whether this size lies within `room` as it stands, without turning."""
        return self.width <= room.width and self.height <= room.height

    def grown(self, by: Length) -> Size:
        """The size with `by` added on every side."""
        return Size(self.width + 2 * by, self.height + 2 * by)

    def text(self, unit: Unit = Unit.INCH) -> str:
        """The size as people write it: ``4 3/4 x 2 3/4 in``."""
        return f"{self.width.number(unit)} x {self.height.number(unit)} {unit.value}"

    def __str__(self) -> str:
        return self.text()


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on paper, from its left and top edge to its right and bottom edge."""

    left: Length
    top: Length
    right: Length
    bottom: Length

    @classmethod
    def at(cls, left: Length, top: Length, size: Size) -> Box:
        """The box of a size with its top left corner at a place."""
        return cls(left, top, left + size.width, top + size.height)

    @property
    def width(self) -> Length:
        """From left to right."""
        return self.right - self.left

    @property
    def height(self) -> Length:
        """From top to bottom."""
        return self.bottom - self.top

    @property
    def size(self) -> Size:
        """Width by height."""
        return Size(self.width, self.height)

    def grown(self, by: Length) -> Box:
        """The box with `by` added on every side (taken off where negative)."""
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def moved(self, right: Length, down: Length) -> Box:
        """The box moved."""
        return Box(self.left + right, self.top + down, self.right + right, self.bottom + down)

    def overlaps(self, other: Box) -> bool:
        """Whether the two share more than an edge."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def contains(self, other: Box) -> bool:
        """Whether `other` lies within this box, edges included."""
        return (
            self.left <= other.left
            and self.top <= other.top
            and other.right <= self.right
            and other.bottom <= self.bottom
        )


@dataclass(frozen=True, slots=True)
class WantedSize:
    """A size as asked for: width, height, or both; `unit` is how it is spoken of.

    Examples
    --------
    >>> read_wanted_size("1.5in wide").width.text()
    '1 1/2 in'
    """

    width: Length | None
    height: Length | None
    unit: Unit = Unit.INCH

    def text(self) -> str:
        """The wanted size as people write it."""
        if self.width is not None and self.height is not None:
            return Size(self.width, self.height).text(self.unit)
        if self.width is not None:
            return f"{self.width.text(self.unit)} wide"
        assert self.height is not None
        return f"{self.height.text(self.unit)} tall"

    def exact_text(self) -> str:
        """The wanted size as text that reads back as the very same one."""
        width = "" if self.width is None else self.width.exact_text(self.unit)
        height = "" if self.height is None else self.height.exact_text(self.unit)
        if width and height:
            ending = f" {self.unit.value}"
            alike = width.endswith(ending) and height.endswith(ending)
            return f"{width.removesuffix(ending) if alike else width} x {height}"
        return f"{width} wide" if width else f"{height} tall"


# ------------------------------------------------------------------- reading

_VULGAR = {"½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4"}
_VULGAR |= {"⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_SPELLINGS = {
    Unit.INCH: ("in", "inch", "inches", '"', "″", "”", "“", "''"),
    Unit.MM: ("mm", "millimetre", "millimetres", "millimeter", "millimeters"),
    Unit.CM: ("cm", "centimetre", "centimetres", "centimeter", "centimeters"),
    Unit.POINT: ("pt", "point", "points"),
}
_UNITS = {spelling: unit for unit, spellings in _SPELLINGS.items() for spelling in spellings}
_UNIT_PATTERN = "|".join(sorted(map(re.escape, _UNITS), key=len, reverse=True))
_NUMBER_PATTERN = r"\d+[\s-]+\d+/\d+|\d+/\d+|\d+\.?\d*|\.\d+"
_LENGTH = re.compile(rf"(-?)\s*({_NUMBER_PATTERN})\s*({_UNIT_PATTERN})?\.?", re.IGNORECASE)
_WAY = re.compile(r"\s*(wide|width|w|tall|high|height|h)\.?$", re.IGNORECASE)
_WIDE = re.compile(r"\s*(?:wide|width|w)\.?$", re.IGNORECASE)
_TALL = re.compile(r"\s*(?:tall|high|height|h)\.?$", re.IGNORECASE)
_BY = re.compile(r"\s*(?:x|×|by|\*)\s*", re.IGNORECASE)
LEAST_SIDE = Length(EMU_PER_INCH // 32)  # under a millimetre nothing is cut; common sense, no source
MAX_LENGTH = Length(1_000 * EMU_PER_INCH)  # a slip of the pen, not a paper; keeps sums printable


def read_length(text: str, unit: Unit = Unit.INCH) -> Length:
    """Read a length as people write it.

    Parameters
    ----------
    text : str
        For example ``4 3/4 in``, ``4-3/4"``, ``4¾"``, ``120 mm``, ``12cm``.
    unit : Unit
        The unit of a bare number.

    Raises
    ------
    BadLength
        If the text is not a length, or one over 1000 in.

    Examples
    --------
    >>> read_length('4-3/4"') == read_length("4¾") == inches("4.75")
    True
    """
    return _read(text, unit)[0]


def read_size(text: str, unit: Unit = Unit.INCH) -> Size:
    """Read a width and a height, such as ``4 3/4 x 2 3/4`` or ``120 x 80 mm``.

    A unit that stands at one of the two goes for both.

    Raises
    ------
    BadSize
        If there are not two lengths, or one of them is not above zero.
    """
    wanted = read_wanted_size(text, unit)
    if wanted.width is None or wanted.height is None:
        raise BadSize(text, "needs a width and a height")
    return Size(wanted.width, wanted.height)


def read_wanted_size(text: str, unit: Unit = Unit.INCH) -> WantedSize:
    """Read a width, a height or both: ``3 in wide``, ``80 mm tall``, ``4 x 2 in``.

    Raises
    ------
    BadSize
        If the text is none of these, or a length is not above zero.
    """
    parts = _BY.split(_plain(text))
    try:
        if len(parts) == 2:
            wanted = _read_pair(parts[0], parts[1], unit)
        elif len(parts) == 1 and (way := _WAY.search(parts[0])):
            length, spoken = _read(parts[0][: way.start()], unit)
            across = way.group(1).lower().startswith("w")
            wanted = WantedSize(length if across else None, None if across else length, spoken)
        else:
            raise BadSize(text)
    except BadLength:
        raise BadSize(text) from None
    if any(side is not None and side <= ZERO for side in (wanted.width, wanted.height)):
        raise BadSize(text, "has a side that is not above zero")
    if any(side is not None and side < LEAST_SIDE for side in (wanted.width, wanted.height)):
        raise BadSize(text, "has a side under 1/32 in")
    return wanted


def unit_of(text: str, unit: Unit = Unit.INCH) -> Unit:
    """The unit a length is written in, or `unit` where it is a bare number."""
    return _read(text, unit)[1]


def _read_pair(across: str, down: str, unit: Unit) -> WantedSize:
    first, last = _WIDE.sub("", across), _TALL.sub("", down)
    spoken = _written_unit(last) or _written_unit(first) or unit
    return WantedSize(_read(first, spoken)[0], _read(last, spoken)[0], spoken)


def _written_unit(text: str) -> Unit | None:
    match = _LENGTH.fullmatch(text)
    return _UNITS[match[3].lower()] if match and match[3] else None


def _read(text: str, unit: Unit) -> tuple[Length, Unit]:
    match = _LENGTH.fullmatch(_plain(text))
    if match is None:
        raise BadLength(text)
    sign, number, written = match.groups()
    spoken = _UNITS[written.lower()] if written else unit
    try:
        length = Length(_exact(_number(number), spoken.emu))
    except ZeroDivisionError:
        raise BadLength(text) from None
    if length > MAX_LENGTH:
        raise BadLength(text)
    return (-length if sign else length), spoken


def _plain(text: str) -> str:
    for sign, fraction in _VULGAR.items():
        text = text.replace(sign, f" {fraction}")
    return text.replace("⁄", "/").replace(",", ".").strip()


def _number(text: str) -> Fraction:
    whole, _, fraction = text.strip().replace("-", " ").rpartition(" ")
    return (Fraction(whole.strip()) if whole.strip() else Fraction(0)) + Fraction(fraction)


def _exact(value: Fraction, emu: int) -> int:
    return round(value * emu)


def _mixed(sixteenths: int) -> str:
    whole, part = divmod(sixteenths, 16)
    if not part:
        return str(whole)
    fraction = Fraction(part, 16)
    text = f"{fraction.numerator}/{fraction.denominator}"
    return f"{whole} {text}" if whole else text
