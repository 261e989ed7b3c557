"""Where everything stands on a scale board: elements at one scale, on a grid of squares.

Lengths here are in squares of the grid (an inch, or two centimetres), origin at the top left of the grid, x
right, y down. Each element stands with its top left corner on a crossing, so that its size can be read by
counting squares, and small ones fill the room that large ones leave.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from kitprep.lengths import Length, Size, Unit, inches, mm

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

SQUARES = {Unit.INCH: inches(1), Unit.MM: mm(20), Unit.CM: mm(20), Unit.POINT: inches(1)}
WORDS_IN = 0.47  # inches kept beneath an element for its words
APART = 0.28  # squares that stay clear to the right of an element
LETTER_IN = 0.066  # inches: a letter of the words beneath
SHAPE = 1.35  # width over height that a board aims at; by eye
SPARE = 1.12  # of the squares that the elements take: what a first-fit arrangement leaves empty
FEWEST = 8  # squares across a board
PLAIN_IN = 19.0  # inches: a wider board is looked at from farther off, so its words are larger in proportion
LARGEST_WORDS = 2.0  # times their plain size
MARGIN, HEAD, FOOT, RULER = 0.75, 1.35, 0.75, 0.32  # inches
TITLE, SUBTITLE, LABEL, FIGURE = 0.46, 0.17, 0.135, 0.13  # sizes of words on a small board, inches
RULER_AWAY = 0.1  # inches between the grid and its rulers, where elements throw their shadow
_TICKS = {Unit.INCH: ((2, 0.5), (4, 0.33), (8, 0.2))}  # parts of a square, and length as a share of the ruler
_METRIC_TICKS = ((2, 0.5), (20, 0.22))


@dataclass(frozen=True, slots=True, eq=False)
class ScaledCard:
    """One element on a scale board.

    Parameters
    ----------
    label : str
        What is written beneath it.
    size : Size
        How large it is drawn.
    words : str
        A second line beneath it.
    thumbnail : ndarray
        uint8, shape (rows, cols, 4), sRGB with straight alpha.
    marked : bool
        Whether the second line is set in the accent colour.
    """

    label: str
    size: Size
    words: str
    thumbnail: NDArray[np.uint8]
    marked: bool = False


@dataclass(frozen=True, slots=True)
class ScaledSpot:
    """Where one element stands, in squares."""

    card: ScaledCard
    left: int
    top: int
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class ScaleBoard:
    """A grid of whole squares with elements on it.

    Parameters
    ----------
    across, down : int
        Squares.
    square : Length
        The side of one.
    words : float
        How much larger words are than on a small board.
    spots : tuple of ScaledSpot
        In the order given.
    """

    across: int
    down: int
    square: Length
    words: float
    spots: tuple[ScaledSpot, ...]


def scale_board(cards: Sequence[ScaledCard], unit: Unit = Unit.INCH) -> ScaleBoard:
    """Arrange elements, the largest first, each in the topmost free place."""
    square = SQUARES[unit]
    plain = _across([_block(card, square, 1.0) for card in cards])
    words = min(max(plain * square.inches / PLAIN_IN, 1.0), LARGEST_WORDS)
    blocks = {id(card): _block(card, square, words) for card in cards}
    across = _across(list(blocks.values()))
    order = sorted(cards, key=lambda card: (-blocks[id(card)][1], -blocks[id(card)][0]))
    taken: list[list[bool]] = []
    places = {id(card): _placed(blocks[id(card)], taken, across) for card in order}
    spots = tuple(
        ScaledSpot(card, *places[id(card)], float(card.size.width / square), float(card.size.height / square))
        for card in cards
    )
    return ScaleBoard(across, len(taken), square, words, spots)


def _block(card: ScaledCard, square: Length, words: float) -> tuple[int, int]:
    """Whole squares that an element takes with its words."""
    inch = words / square.inches
    wide = max(float(card.size.width / square), len(card.words) * LETTER_IN * inch) + APART
    return math.ceil(wide), math.ceil(float(card.size.height / square) + WORDS_IN * inch)


def _across(blocks: list[tuple[int, int]]) -> int:
    area = sum(wide * high for wide, high in blocks) * SPARE
    return max(round(math.sqrt(area * SHAPE)), max(wide for wide, _ in blocks), FEWEST)


def _placed(block: tuple[int, int], taken: list[list[bool]], across: int) -> tuple[int, int]:
    """Take the topmost, then leftmost, free place for a block; rows are added as they are needed."""
    wide, high = block
    top = 0
    while True:
        while len(taken) < top + high:
            taken.append([False] * across)
        for left in range(across - wide + 1):
            if not any(any(row[left : left + wide]) for row in taken[top : top + high]):
                for row in taken[top : top + high]:
                    row[left : left + wide] = [True] * wide
                return left, top
        top += 1


def ruler_marks(count: int, unit: Unit) -> dict[float, float]:
    """The ticks of a ruler along so many squares: where, in squares, and how long, as a share of the longest."""
    marks = {number * 1.0: 0.72 for number in range(count + 1)}
    for parts, share in _TICKS.get(unit, _METRIC_TICKS):
        marks |= {n / parts: share for n in range(count * parts + 1) if n / parts not in marks}
    return marks


def figure_at(number: int, unit: Unit) -> str:
    """What a ruler says after so many squares."""
    return str(number) if unit in (Unit.INCH, Unit.POINT) else str(2 * number)
