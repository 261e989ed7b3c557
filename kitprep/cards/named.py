"""Cards that people call by a name: the size of the closed front.

Inch cards are common practice of the North American stationery trade, no published source; each is a
quarter inch or so smaller than the envelope it goes into. Metric cards are ISO 216:2007 sizes, each for
the ISO 269:1985 envelope named beside it. "A6" is a card of either kind and has to be told apart.
"""

from __future__ import annotations

from dataclasses import dataclass

from kitprep.errors import AmbiguousCard, BadSize, UnknownCard
from kitprep.lengths import Size, Unit, inches, mm, read_size, read_wanted_size


@dataclass(frozen=True, slots=True)
class Card:
    """A card by its closed front.

    Parameters
    ----------
    name : str
        As people say it.
    front : Size
        Width, then height, of the closed card standing upright.
    unit : Unit
        The unit it is spoken of in.
    """

    name: str
    front: Size
    unit: Unit = Unit.INCH

    @property
    def landscape(self) -> Card:
        """The same card lying on its longer side."""
        if self.front.width >= self.front.height:
            return self
        return Card(f"{self.name} landscape", self.front.turned, self.unit)


def _inch(name: str, width: str, height: str) -> Card:
    return Card(name, Size(inches(width), inches(height)))


def _iso(name: str, width: int, height: int) -> Card:
    return Card(name, Size(mm(width), mm(height)), Unit.MM)


CARDS = (
    _inch("A1", "3 1/2", "4 7/8"),
    _inch("A2", "4 1/4", "5 1/2"),  # a quarter of letter: two bases of 8 1/2 x 5 1/2 in to the sheet
    _inch("A6 inch", "4 1/2", "6 1/4"),
    _inch("A7", "5", "7"),
    _inch("A9", "5 1/2", "8 1/2"),  # half of letter
    _inch("slim", "3 1/2", "8 1/2"),
    _inch("small slim", "3 1/2", "6"),
    _inch("square 4 1/4 in", "4 1/4", "4 1/4"),
    _inch("square 5 1/4 in", "5 1/4", "5 1/4"),
    _iso("A5 ISO", 148, 210),  # for C5, 162 x 229 mm
    _iso("A6 ISO", 105, 148),  # for C6, 114 x 162 mm
    _iso("A7 ISO", 74, 105),  # for C7, 81 x 114 mm
    _iso("slim ISO", 99, 210),  # a third of A4, for DL, 110 x 220 mm
)
"""Cards known by name."""

_MEANINGS = {"a6": ("A6 inch", "A6 ISO"), "square": ("square 4 1/4 in", "square 5 1/4 in")}
_ALSO = {"a5": "A5 ISO", "iso a5": "A5 ISO", "iso a6": "A6 ISO", "iso a7": "A7 ISO", "dl": "slim ISO"}
_ALSO |= {"iso slim": "slim ISO", "a6 in": "A6 inch", "a6 mm": "A6 ISO", "square 4 1/4": "square 4 1/4 in"}
_ALSO |= {"square 5 1/4": "square 5 1/4 in"}


def find_card(text: str, unit: Unit = Unit.INCH) -> Card:
    """The card of a name or of its front's size; `landscape` after it lays it on its longer side.

    Parameters
    ----------
    text : str
        For example ``A2``, ``A6 ISO``, ``A7 landscape``, ``5 x 7 in``.
    unit : Unit
        The unit of a bare size.

    Raises
    ------
    AmbiguousCard
        If two cards go by that name.
    UnknownCard
        If it is neither a name nor a size.

    Examples
    --------
    >>> find_card("A2").front.text(), find_card("A6 ISO").front.text(Unit.MM)
    ('4 1/4 x 5 1/2 in', '105 x 148 mm')
    """
    plain = " ".join(text.lower().split())
    if plain.endswith(" landscape"):
        return find_card(plain.removesuffix(" landscape"), unit).landscape
    named = {card.name.lower(): card for card in CARDS}
    if plain in _MEANINGS:
        cards = [named[name.lower()] for name in _MEANINGS[plain]]
        raise AmbiguousCard(text, [f"{card.name} ({card.front.text(card.unit)})" for card in cards])
    plain = _ALSO.get(plain, plain).lower()
    if plain in named:
        return named[plain]
    try:
        size, spoken = read_size(text, unit), read_wanted_size(text, unit).unit
    except BadSize:
        raise UnknownCard(text, [card.name for card in CARDS]) from None
    for card in (*CARDS, *(card.landscape for card in CARDS)):
        if card.front == size:
            return card
    return Card(size.text(spoken), size, spoken)
