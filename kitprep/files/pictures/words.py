"""What is written on a contact sheet and where, whatever it is drawn with."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from kitprep.files.pictures import board as plate
from kitprep.files.pictures.board import Board, ContactCard, Heading, Spot
from kitprep.files.pictures.colours import ACCENT, INK, PALE_INK

if TYPE_CHECKING:
    from kitprep.files.pictures.board import TextWidth

_TITLE_BASELINE, _SUBTITLE_BASELINE, TITLE_RULE = 82.0, 107.0, 121.0
_HEADING = 13.5
_FOOT = 11.0
_SMALLEST_TITLE = 20.0
FOOT = (
    "Sizes are those of the pages as bought, as near as a ruler is read. "
    "Small elements are drawn larger here than large ones."
)


@dataclass(frozen=True, slots=True)
class Words:
    """One line of words: from `left` on `baseline`, in board units."""

    text: str
    left: float
    baseline: float
    size: float
    colour: str
    bold: bool = False


@dataclass(frozen=True, slots=True)
class Rule:
    """A thin level line in board units."""

    left: float
    right: float
    top: float


def words_of(
    board: Board, title: str, subtitle: str, summary: str, folio: str, text_width: TextWidth
) -> Iterator[Words]:
    """All words on a board.

    Parameters
    ----------
    board : Board
        What stands where.
    title, subtitle, summary : str
        For the top of the first board: its name, what is to be known of it, how much there is.
    folio : str
        Which board of how many; empty where it is the only one.
    text_width : callable
        Of the typeface it is drawn with.
    """
    right = board.width - plate.MARGIN
    if board.first:
        yield from _title(board, title, subtitle, summary, text_width)
    for heading in board.headings:
        yield Words(heading.text, plate.MARGIN, _heading_baseline(heading), _HEADING, ACCENT, bold=True)
    for spot in board.spots:
        yield from _caption(spot, text_width)
    baseline = board.height - 26
    yield Words(FOOT, plate.MARGIN, baseline, _FOOT, PALE_INK)
    if folio:
        yield Words(folio, right - text_width(folio, _FOOT, False), baseline, _FOOT, PALE_INK)


def rules_of(board: Board, text_width: TextWidth) -> Iterator[Rule]:
    """All lines on a board."""
    left, right = plate.MARGIN, board.width - plate.MARGIN
    if board.first:
        yield Rule(left, right, TITLE_RULE)
    for heading in board.headings:
        start = left + text_width(heading.text, _HEADING, True) + 12
        yield Rule(start, right, _heading_baseline(heading) - 4)
    yield Rule(left, right, board.height - 46)


def shortened(text: str, size: float, bold: bool, room: float, text_width: TextWidth) -> str:
    """A text cut off with an ellipsis where it is wider than its room."""
    if text_width(text, size, bold) <= room:
        return text
    while text and text_width(f"{text}…", size, bold) > room:
        text = text[:-1].rstrip()
    return f"{text}…"


def wrapped(text: str, size: float, room: float, text_width: TextWidth) -> list[str]:
    """A text broken between words into lines no wider than the room."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, size, False) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def _title(board: Board, title: str, subtitle: str, summary: str, text_width: TextWidth) -> Iterator[Words]:
    room = board.width - 2 * plate.MARGIN
    wide = text_width(title, plate.TITLE_SIZE, True)
    size = max(_SMALLEST_TITLE, plate.TITLE_SIZE * min(1.0, room / wide)) if wide else plate.TITLE_SIZE
    text = shortened(title, size, True, room, text_width)
    yield Words(text, plate.MARGIN, _TITLE_BASELINE, size, INK, bold=True)
    count_width = text_width(summary, plate.SUBTITLE_SIZE, False)
    text = shortened(subtitle, plate.SUBTITLE_SIZE, False, room - count_width - plate.GAP, text_width)
    yield Words(text, plate.MARGIN, _SUBTITLE_BASELINE, plate.SUBTITLE_SIZE, PALE_INK)
    left = board.width - plate.MARGIN - count_width
    yield Words(summary, left, _SUBTITLE_BASELINE, plate.SUBTITLE_SIZE, PALE_INK)


def _caption(spot: Spot, text_width: TextWidth) -> Iterator[Words]:
    card, size, baseline = spot.card, plate.CAPTION, spot.words_top + plate.CAPTION
    name, kind = card.label, f"  {card.kind.value}"
    name_width = text_width(name, size, True)
    left = spot.middle - (name_width + text_width(kind, size, False)) / 2
    yield Words(name, left, baseline, size, PALE_INK if card.unwanted else INK, bold=True)
    yield Words(kind, left + name_width, baseline, size, PALE_INK)
    for text, colour in ((card.size_text, PALE_INK if card.unwanted else INK), (card.note, ACCENT)):
        if text:
            baseline += plate.CAPTION_LINE
            yield Words(text, spot.middle - text_width(text, size, False) / 2, baseline, size, colour)


def _heading_baseline(heading: Heading) -> float:
    return heading.top + 14


def summary_line(cards: Sequence[ContactCard]) -> str:
    """How much there is."""
    pages = len({card.page for card in cards})
    elements = "1 element" if len(cards) == 1 else f"{len(cards)} elements"
    return f"{elements} on {'1 page' if pages == 1 else f'{pages} pages'}"
