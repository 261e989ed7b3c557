"""Sizes that people call by a name: fronts and panels of cards, tags, trading cards, envelopes, papers.

Where a size comes from:

* Fronts, bases and panels of cards: the table of `kitprep.cards.named`. A base is a front folded open at the
  side, a panel leaves an eighth of an inch of the card around it; both are common practice of card making.
* Envelopes in millimetres: ISO 269:1985, table 1, as lists open to all give it; the text itself was not at
  hand. Envelopes in inches: A1, A2, A6, A7, A9 and so on are common practice of the North American
  stationery trade, no published source.
* Shipping tags by number: common practice of the North American tag trade, no published source.
* Trading cards, journaling cards, artist cards: common practice of paper crafts, no published source.
* Papers: ISO 216 and the others of `kitprep.papers`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache

from kitprep.cards.folding import DEFAULT_REVEAL
from kitprep.cards.named import CARDS, Card
from kitprep.errors import AmbiguousSize, BadSize, UnknownSize
from kitprep.lengths import Size, Unit, WantedSize, inches, mm, read_wanted_size
from kitprep.papers import PAPERS

MOST_OFFERED = 5  # names offered for one that is unknown
LIKENESS = 0.5  # of difflib: a slip of the pen still finds its name, another word does not


@dataclass(frozen=True, slots=True)
class NamedSize:
    """A size by its name.

    Parameters
    ----------
    name : str
        As people say it.
    size : Size
        Width, then height, as it usually stands.
    unit : Unit
        The unit it is spoken of in.
    """

    name: str
    size: Size
    unit: Unit = Unit.INCH

    @property
    def landscape(self) -> NamedSize:
        """The same size lying on its longer side."""
        if self.size.width >= self.size.height:
            return self
        return NamedSize(f"{self.name} landscape", self.size.turned, self.unit)


def _inch(name: str, width: str, height: str) -> NamedSize:
    return NamedSize(name, Size(inches(width), inches(height)))


def _iso(name: str, width: int, height: int) -> NamedSize:
    return NamedSize(name, Size(mm(width), mm(height)), Unit.MM)


INCH_ENVELOPES = (
    _inch("A1 envelope", "3 5/8", "5 1/8"),
    _inch("A2 envelope", "4 3/8", "5 3/4"),
    _inch("A6 envelope", "4 3/4", "6 1/2"),
    _inch("A7 envelope", "5 1/4", "7 1/4"),
    _inch("A9 envelope", "5 3/4", "8 3/4"),
    _inch("slim envelope", "3 7/8", "8 7/8"),
)
ISO_ENVELOPES = (
    _iso("C4 envelope", 229, 324),
    _iso("C5 envelope", 162, 229),
    _iso("C6 envelope", 114, 162),
    _iso("C7 envelope", 81, 114),
    _iso("DL envelope", 110, 220),
    _iso("C6/C5 envelope", 114, 229),
    _iso("C7/C6 envelope", 81, 162),
    _iso("B4 envelope", 250, 353),
    _iso("B5 envelope", 176, 250),
    _iso("B6 envelope", 125, 176),
)
TAGS = (
    _inch("tag 1", "1 3/8", "2 3/4"),
    _inch("tag 2", "1 5/8", "3 1/4"),
    _inch("tag 3", "1 7/8", "3 3/4"),
    _inch("tag 4", "2 1/8", "4 1/4"),
    _inch("tag 5", "2 3/8", "4 3/4"),
    _inch("tag 6", "2 5/8", "5 1/4"),
    _inch("tag 7", "2 7/8", "5 3/4"),
    _inch("tag 8", "3 1/8", "6 1/4"),
)
CRAFT_CARDS = (
    _inch("trading card", "2 1/2", "3 1/2"),
    _inch("journaling card", "3", "4"),
    _inch("large journaling card", "4", "6"),
    _inch("square journaling card", "3", "3"),
    _inch("bookmark", "2", "6"),
)


def _card_sizes(card: Card) -> Iterator[NamedSize]:
    width, height = card.front.width, card.front.height
    yield NamedSize(f"{card.name} front", card.front, card.unit)
    yield NamedSize(f"{card.name} base", Size(2 * width, height), card.unit)
    yield NamedSize(f"{card.name} panel", card.front.grown(-DEFAULT_REVEAL), card.unit)


NAMED_SIZES = (
    *(size for card in CARDS for size in _card_sizes(card)),
    *TAGS,
    *CRAFT_CARDS,
    *INCH_ENVELOPES,
    *ISO_ENVELOPES,
    *(NamedSize(f"{paper.name} paper", paper.size, paper.unit) for paper in PAPERS if paper.name[0] in "ABl"),
)
"""Sizes known by name."""


def find_size(text: str, unit: Unit = Unit.INCH) -> WantedSize:
    """A size as people write it, or by a name; `landscape` after a name lays it on its longer side.

    Parameters
    ----------
    text : str
        For example ``3 in wide``, ``4 3/4 x 2 3/4``, ``A2 front``, ``tag 5``, ``C6 envelope landscape``.
    unit : Unit
        The unit of a bare number.

    Raises
    ------
    BadSize
        If it begins as a size does and is none, or one that cannot be.
    AmbiguousSize
        If several sizes go by that name.
    UnknownSize
        If it is no name either; the nearest are offered.

    Examples
    --------
    >>> find_size("A2 front").text(), find_size("C6 envelope").text()
    ('4 1/4 x 5 1/2 in', '114 x 162 mm')
    """
    try:
        return read_wanted_size(text, unit)
    except BadSize:
        if not _is_name(text):
            raise
    named = _named(text)
    return WantedSize(named.size.width, named.size.height, named.unit)


def _is_name(text: str) -> bool:
    return re.match(r"\s*[A-Za-z]", text) is not None


def _named(text: str) -> NamedSize:
    plain = " ".join(text.lower().replace("-", " ").replace("#", " ").split())
    if plain.endswith(" landscape"):
        return _named(plain.removesuffix(" landscape")).landscape
    known = _by_name()
    if plain in known:
        return known[plain]
    meant = [name for name in known if plain in (re.sub(r" (inch|iso)\b", "", name), name.rpartition(" ")[0])]
    if meant and len({known[name].size for name in meant}) == 1:
        return known[meant[0]]
    if meant:
        raise AmbiguousSize(text, [_told(known[name]) for name in meant[:MOST_OFFERED]])
    near = get_close_matches(plain, known, n=MOST_OFFERED, cutoff=LIKENESS)
    raise UnknownSize(text, [_told(known[name]) for name in near])


def _told(named: NamedSize) -> str:
    return f"{named.name} ({named.size.text(named.unit)})"


@cache
def _by_name() -> dict[str, NamedSize]:
    return {" ".join(named.name.lower().split()): named for named in NAMED_SIZES}
