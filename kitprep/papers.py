"""Named papers and margins.

Sources of the sizes: ISO 216:2007 (A and B series, trimmed sizes in whole millimetres), ISO 269:1985
(C series envelopes), ANSI/ASME Y14.1 (A = 8.5 x 11 in). Legal, 12 x 12 in and 4 x 6 in are common
practice of the North American trade, no published source.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from kitprep.errors import BadSize, MarginsLeaveNothing, UnknownPaper
from kitprep.lengths import ZERO, Box, Length, Size, Unit, inches, mm, read_size, read_wanted_size


@dataclass(frozen=True, slots=True)
class Paper:
    """A physical paper.

    Parameters
    ----------
    name : str
        As people say it.
    size : Size
        As it lies in front of them: width, then height.
    unit : Unit
        The unit it is spoken of in.
    """

    name: str
    size: Size
    unit: Unit = Unit.INCH

    @property
    def landscape(self) -> Paper:
        """The same paper lying on its longer side."""
        if self.size.width >= self.size.height:
            return self
        return Paper(f"{self.name} landscape", self.size.turned, self.unit)


@dataclass(frozen=True, slots=True)
class Margins:
    """What the printer cannot reach, from each edge of the paper."""

    left: Length
    top: Length
    right: Length
    bottom: Length

    @classmethod
    def even(cls, margin: Length) -> Margins:
        """The same margin on every side."""
        return cls(margin, margin, margin, margin)

    def text(self, unit: Unit = Unit.INCH) -> str:
        """As people write it: one length where all are equal."""
        sides = (self.left, self.top, self.right, self.bottom)
        if len(set(sides)) == 1:
            return self.left.text(unit)
        return ", ".join(side.number(unit) for side in sides) + f" {unit.value}"


NO_MARGINS = Margins.even(ZERO)


class Flip(Enum):
    """The edge over which a paper is turned to print its back."""

    LONG = "long"
    """Like the page of a book, where the paper stands upright."""
    SHORT = "short"
    """Like the page of a notepad."""

    def swaps_sides(self, paper: Size) -> bool:
        """Whether left and right change places on the back; else top and bottom do.

        A square counts as upright.
        """
        upright = paper.height >= paper.width
        return upright is (self is Flip.LONG)

    def behind(self, box: Box, paper: Size) -> Box:
        """Where a box of the front lies on the back, as the back lies in front of its reader."""
        if self.swaps_sides(paper):
            return Box(paper.width - box.right, box.top, paper.width - box.left, box.bottom)
        return Box(box.left, paper.height - box.bottom, box.right, paper.height - box.top)

    def margins_of_both(self, margins: Margins, paper: Size) -> Margins:
        """The margins within which a printer reaches the front and what lies behind it."""
        if self.swaps_sides(paper):
            side = max(margins.left, margins.right)
            return Margins(side, margins.top, side, margins.bottom)
        end = max(margins.top, margins.bottom)
        return Margins(margins.left, end, margins.right, end)


def printable(paper: Paper, margins: Margins) -> Box:
    """The part of a paper that the printer reaches.

    Raises
    ------
    MarginsLeaveNothing
        If no area is left.
    """
    area = Box(
        margins.left, margins.top, paper.size.width - margins.right, paper.size.height - margins.bottom
    )
    if area.width <= ZERO or area.height <= ZERO:
        raise MarginsLeaveNothing(paper.name, margins.text(paper.unit))
    return area


def _inch(name: str, width: str, height: str) -> Paper:
    return Paper(name, Size(inches(width), inches(height)))


def _iso(name: str, width: int, height: int) -> Paper:
    return Paper(name, Size(mm(width), mm(height)), Unit.MM)


LETTER = _inch("letter", "8 1/2", "11")
A4 = _iso("A4", 210, 297)
SQUARE_12 = _inch("12 x 12 in", "12", "12")

SHEET_PAPERS = (
    LETTER,
    _inch("legal", "8 1/2", "14"),
    A4,
    _iso("A3", 297, 420),
    _iso("A5", 148, 210),
    SQUARE_12,
    _inch("4 x 6 in", "4", "6"),
)
"""Papers that a sheet can be made on by name."""

# fmt: off
# ISO 216:2007, tables 1 and 2: trimmed sizes in millimetres.
ISO_A = (
    (841, 1189), (594, 841), (420, 594), (297, 420), (210, 297), (148, 210),
    (105, 148), (74, 105), (52, 74), (37, 52), (26, 37),
)
ISO_B = (
    (1000, 1414), (707, 1000), (500, 707), (353, 500), (250, 353), (176, 250),
    (125, 176), (88, 125), (62, 88), (44, 62), (31, 44),
)
# ISO 269:1985: envelope sizes C0 to C10 in millimetres; an A sheet goes into the C envelope of its number.
ISO_C = (
    (917, 1297), (648, 917), (458, 648), (324, 458), (229, 324), (162, 229),
    (114, 162), (81, 114), (57, 81), (40, 57), (28, 40),
)
# fmt: on

PAPERS = SHEET_PAPERS + tuple(
    _iso(f"{letter}{number}", *size)
    for letter, series in (("A", ISO_A), ("B", ISO_B), ("C", ISO_C))
    for number, size in enumerate(series)
    if f"{letter}{number}" not in {paper.name for paper in SHEET_PAPERS}
)
"""All papers known by name."""


def find_paper(text: str, unit: Unit = Unit.INCH) -> Paper:
    """The paper of a name or of a size; `landscape` after it lays it on its longer side.

    Parameters
    ----------
    text : str
        For example ``letter``, ``A4``, ``letter landscape``, ``12 x 12 in``.
    unit : Unit
        The unit of a bare size.

    Raises
    ------
    UnknownPaper
        If it is neither.
    """
    plain = " ".join(text.lower().split())
    if plain.endswith(" landscape"):
        return find_paper(plain.removesuffix(" landscape"), unit).landscape
    for paper in PAPERS:
        if paper.name.lower() == plain:
            return paper
    try:
        size, spoken = read_size(text, unit), read_wanted_size(text, unit).unit
    except BadSize:
        raise UnknownPaper(text, [paper.name for paper in SHEET_PAPERS]) from None
    for paper in (*PAPERS, *(paper.landscape for paper in PAPERS)):
        if paper.size == size:
            return paper
    return Paper(size.text(spoken), size, spoken)
