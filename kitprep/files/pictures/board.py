"""Where everything stands on a contact sheet, whatever it is drawn with.

A board is measured in units with its origin at the top left, x right, y down. Elements stand in rows with
their feet on one line, as specimens on a plate, in the order of their pages. Small ones are drawn larger
against large ones than they are, or a bee beside a whole paper could not be seen; the true size is written
beneath each.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from kitprep.lengths import Length, Size, Unit, inches, mm
from kitprep.pages import UNSURE, Kind

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    TextWidth = Callable[[str, float, bool], float]
    """Width in units of a text at a size in units, regular or bold."""

MARGIN = 60.0
CAPTION = 12.5  # size of the words beneath an element
CAPTION_LINE = 15.0
GAP = 30.0  # between neighbours in a row
ROW_GAP = 30.0
HEADING_SPACE = 34.0  # above and with the line that opens a page's rows
TITLE_SIZE = 42.0
SUBTITLE_SIZE = 15.5
TITLE_SPACE = 142.0  # from the top of the board to the first row
FOOT_SPACE = 62.0

_INCH = 80.0  # units to an element one inch long
_FLATTENING = 0.75  # power of the true length: 1 would be one scale for all
_LONGEST, _SHORTEST = 300.0, 24.0
_SMALLEST_SCALE, _LARGEST_SCALE = 0.8, 1.25  # to which a row's elements may be drawn to fill it
_ROW_COST = 0.02  # of one more row, against how well rows are filled; by eye
_FEWEST_TO_A_PAGE = 3.0  # elements to a page on average; below, pages are not set apart


_STEPS = {Unit.INCH: inches("1/16"), Unit.MM: mm(1), Unit.CM: mm(1), Unit.POINT: inches("1/72")}
"""Sizes are written to the nearest of these: as near as a ruler is read."""


@dataclass(frozen=True, slots=True, eq=False)
class ContactCard:
    """One element on a contact sheet.

    Parameters
    ----------
    id : str
        In full: ``lantern-orchard/p02-07``.
    label : str
        What is written beneath it.
    size : Size
        Its true size.
    kind : Kind
        What it is.
    thumbnail : ndarray
        uint8, shape (rows, cols, 4), sRGB with straight alpha; or (rows, cols, 3).
    confidence : float
        0 to 1, how sure the split is of it; a low one is remarked on.
    unwanted : bool
        Whether it is likely not wanted; it is then drawn pale and remarked on.
    unit : Unit
        The unit its size is spoken of in.
    """

    id: str
    label: str
    size: Size
    kind: Kind
    thumbnail: NDArray[np.uint8]
    confidence: float = 1.0
    unwanted: bool = False
    unit: Unit = Unit.INCH

    @property
    def page(self) -> str:
        """The id of its page."""
        return self.id.rpartition("-")[0]

    @property
    def size_text(self) -> str:
        """Its size as it is written beneath it."""
        step = _STEPS[self.unit]
        width, height = (_to_step(side, step) for side in (self.size.width, self.size.height))
        return Size(width, height).text(self.unit).replace(" x ", " × ")

    @property
    def note(self) -> str:
        """What is remarked on, if anything."""
        if self.unwanted:
            return "likely not wanted"
        return "look at its edge" if self.confidence < UNSURE else ""


def _to_step(length: Length, step: Length) -> Length:
    return max(round(length / step), 1) * step


@dataclass(frozen=True, slots=True)
class Spot:
    """Where one element is drawn, and the middle and top of the words beneath."""

    card: ContactCard
    left: float
    top: float
    width: float
    height: float
    words_top: float

    @property
    def middle(self) -> float:
        """The middle line of the element and its words."""
        return self.left + self.width / 2


@dataclass(frozen=True, slots=True)
class Heading:
    """The line that opens the rows of one page."""

    text: str
    top: float


@dataclass(frozen=True, slots=True)
class Board:
    """One side of a contact sheet, laid out.

    Parameters
    ----------
    width, height : float
        In units.
    headings : tuple of Heading
        In order.
    spots : tuple of Spot
        In order.
    first : bool
        Whether it carries the title.
    """

    width: float
    height: float
    headings: tuple[Heading, ...]
    spots: tuple[Spot, ...]
    first: bool


@dataclass(frozen=True, slots=True)
class _Cell:
    card: ContactCard
    drawn: tuple[float, float]
    words: float

    def width_at(self, scale: float) -> float:
        """The room it takes in a row of that scale."""
        return max(self.drawn[0] * scale, self.words)


@dataclass(frozen=True, slots=True)
class _Row:
    heading: str
    cards: tuple[ContactCard, ...]
    sizes: tuple[tuple[float, float], ...]
    cells: tuple[float, ...]

    @property
    def height(self) -> float:
        """Of the pictures, without words."""
        return max(height for _, height in self.sizes)

    @property
    def space(self) -> float:
        """Down to the next row."""
        lines = 3 if any(card.note for card in self.cards) else 2
        heading = HEADING_SPACE if self.heading else 0.0
        return heading + self.height + 8 + lines * CAPTION_LINE + ROW_GAP


def one_board(cards: Sequence[ContactCard], width: float, text_width: TextWidth) -> Board:
    """All elements on one board, as tall as it takes."""
    rows = _rows(cards, width, text_width)
    height = TITLE_SPACE + sum(row.space for row in rows) + FOOT_SPACE
    return _board(rows, width, height, first=True)


def many_boards(
    cards: Sequence[ContactCard], width: float, height: float, text_width: TextWidth
) -> tuple[Board, ...]:
    """All elements on as many boards of one size as it takes."""
    boards: list[Board] = []
    here: list[_Row] = []
    room = height - TITLE_SPACE - FOOT_SPACE
    for row in _rows(cards, width, text_width):
        if here and row.space > room:
            boards.append(_board(here, width, height, first=not boards))
            here, room = [], height - MARGIN - FOOT_SPACE
        here.append(row)
        room -= row.space
    return (*boards, _board(here, width, height, first=not boards))


def drawn_size(card: ContactCard) -> tuple[float, float]:
    """Width and height in units at which an element is drawn."""
    across, down = card.size.width.inches, card.size.height.inches
    longest = max(across, down)
    drawn = min(max(_INCH * float(longest**_FLATTENING), _SHORTEST), _LONGEST)
    return max(across / longest * drawn, 1.0), max(down / longest * drawn, 1.0)


def _board(rows: Sequence[_Row], width: float, height: float, *, first: bool) -> Board:
    headings: list[Heading] = []
    spots: list[Spot] = []
    top = TITLE_SPACE if first else MARGIN
    for row in rows:
        if row.heading:
            headings.append(Heading(row.heading, top))
        foot = top + (HEADING_SPACE if row.heading else 0.0) + row.height
        spots += _spots(row, width, foot)
        top += row.space
    return Board(width, height, tuple(headings), tuple(spots), first)


def _spots(row: _Row, width: float, foot: float) -> Iterable[Spot]:
    spare = width - 2 * MARGIN - sum(row.cells)
    gap = min(spare / max(len(row.cells) - 1, 1), 2 * GAP)
    left = (width - sum(row.cells) - gap * (len(row.cells) - 1)) / 2
    for card, cell, (across, down) in zip(row.cards, row.cells, row.sizes, strict=True):
        yield Spot(card, left + (cell - across) / 2, foot - down, across, down, foot + 8)
        left += cell + gap


def _rows(cards: Sequence[ContactCard], width: float, text_width: TextWidth) -> list[_Row]:
    rows: list[_Row] = []
    for heading, group in grouped(cards):
        cells = [
            _Cell(
                card,
                drawn_size(card),
                max(text_width(text, CAPTION, False) + 6 for text in caption_lines(card)),
            )
            for card in group
        ]
        for part in _parted(cells, width - 2 * MARGIN):
            rows.append(_row(heading, part, width - 2 * MARGIN))
            heading = ""
    return rows


def _parted(cells: Sequence[_Cell], room: float) -> list[Sequence[_Cell]]:
    """Cells parted into rows so that all rows together need the least enlarging and reducing.

    By dynamic programming over the place of the last break, as paragraphs are set (D. E. Knuth and
    M. F. Plass, Breaking paragraphs into lines, Software: Practice and Experience 11, 1981).
    """
    best: list[tuple[float, int]] = [(0.0, 0)]
    for end in range(1, len(cells) + 1):
        choices = [(best[end - 1][0] + _cost(cells[end - 1 : end], room), end - 1)]
        for start in range(end - 2, -1, -1):
            part = cells[start:end]
            if _width_at(part, _SMALLEST_SCALE) > room:
                break
            choices.append((best[start][0] + _cost(part, room), start))
        best.append(min(choices))
    parts: list[Sequence[_Cell]] = []
    end = len(cells)
    while end:
        parts.append(cells[best[end][1] : end])
        end = best[end][1]
    return parts[::-1]


def _cost(part: Sequence[_Cell], room: float) -> float:
    """How far a row is from filling its room at the usual scale; an empty stretch counts as enlarging."""
    return _ROW_COST + abs(room / _width_at(part, 1.0) - 1) ** 2


def _width_at(part: Sequence[_Cell], scale: float) -> float:
    return sum(cell.width_at(scale) for cell in part) + GAP * (len(part) - 1)


def _row(heading: str, part: Sequence[_Cell], room: float) -> _Row:
    """A row at the scale that fills the room, or the nearest that is allowed."""
    low, high = _SMALLEST_SCALE, _LARGEST_SCALE
    for _ in range(12):
        middle = (low + high) / 2
        low, high = (middle, high) if _width_at(part, middle) <= room else (low, middle)
    widest = max(cell.drawn[0] for cell in part)
    scale = min(low, max(_SMALLEST_SCALE, _LONGEST * _LARGEST_SCALE / widest))
    return _Row(
        heading,
        tuple(cell.card for cell in part),
        tuple((cell.drawn[0] * scale, cell.drawn[1] * scale) for cell in part),
        tuple(cell.width_at(scale) for cell in part),
    )


def grouped(cards: Sequence[ContactCard]) -> list[tuple[str, list[ContactCard]]]:
    pages: dict[str, list[ContactCard]] = {}
    for card in cards:
        pages.setdefault(card.page, []).append(card)
    if len(cards) < _FEWEST_TO_A_PAGE * len(pages) or len(pages) == 1:
        return [("", list(cards))]
    several_kits = len({page.partition("/")[0] for page in pages}) > 1
    return [(page_heading(page, several_kits), group) for page, group in pages.items()]


def page_heading(page: str, with_kit: bool) -> str:
    """A page's id as a heading: ``page 2``, with its kit where several are shown."""
    kit, _, name = page.rpartition("/")
    number = re.sub(r"^p0*", "", name)
    return f"{kit}, page {number}" if with_kit else f"page {number}"


def caption_lines(card: ContactCard) -> list[str]:
    """The lines beneath an element."""
    return [f"{card.label}  {card.kind.value}", card.size_text, *([card.note] if card.note else [])]


# --------------------------------------------------------------- fractions

_FRACTION = re.compile(r"(\d+)/(\d+)")
_THIN = "\N{THIN SPACE}"
FRACTION_SCALE, FRACTION_RISE = 0.7, 0.28  # of the size of the words; by eye


def fraction_runs(text: str) -> list[tuple[str, float, float]]:
    """A text as runs of (text, scale, rise): ``3/4`` with small raised and lowered figures.

    Examples
    --------
    >>> [run for run, _, _ in fraction_runs("3/4 in")]
    ['3', '\\u2009', '⁄', '\\u2009', '4', ' in']
    """
    runs: list[tuple[str, float, float]] = []
    at = 0
    for match in _FRACTION.finditer(text):
        before = text[at : match.start()]
        if re.search(r"\d $", before):
            before = before[:-1] + _THIN
        runs += [(before, 1.0, 0.0)] if before else []
        bar = [(_THIN, 0.4, 0.0), ("⁄", 1.0, 0.0), (_THIN, 0.4, 0.0)]
        runs += [(match[1], FRACTION_SCALE, FRACTION_RISE), *bar, (match[2], FRACTION_SCALE, 0.0)]
        at = match.end()
    return [*runs, *([(text[at:], 1.0, 0.0)] if at < len(text) else [])]
