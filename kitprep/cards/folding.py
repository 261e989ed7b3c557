"""Fold plans: the base to cut, where to score it, and the papers layered on it.

A base lies so that its fold lines run down it: they are lengths from its left edge. A card that folds at
the top therefore lies turned a quarter. The ways of folding and the even reveal round a mat are common
practice of card making, no published source.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from kitprep.cards.named import Card
from kitprep.errors import BadOption
from kitprep.lengths import ZERO, Length, Size, inches, mm

DEFAULT_REVEAL = inches("1/8")
SMALLEST_PANEL = mm(10)  # a paper narrower than this cannot be glued straight; our own bound
FEWEST_ACCORDION, MOST_ACCORDION = 3, 8  # two are a half fold; more than eight do not close flat
MOST_MATS = 4


class FoldEdge(Enum):
    """Where a closed card has its fold."""

    SIDE = "side"
    """At the left, as a book."""
    TOP = "top"
    """At the top, as a tent."""


class FoldStyle(Enum):
    """How a base is folded."""

    HALF = "half"
    """Once, in the middle."""
    GATE = "gate"
    """Two doors that meet in the middle of the front."""
    ACCORDION = "accordion"
    """Several panels, to and fro."""


class FoldWay(Enum):
    """Which way a score line is folded, seen from the outside of the card."""

    MOUNTAIN = "mountain"
    """Away from the eye: the line stands up."""
    VALLEY = "valley"
    """Towards the eye: the line lies in the fold."""


@dataclass(frozen=True, slots=True)
class FoldLine:
    """One line to score and fold, at a length from the left edge of the base as it lies."""

    at: Length
    way: FoldWay


@dataclass(frozen=True, slots=True)
class Panel:
    """A paper that is glued on.

    Parameters
    ----------
    name : str
        Where it goes.
    size : Size
        As it stands on the closed card.
    copies : int
        How many of it one card takes.
    """

    name: str
    size: Size
    copies: int = 1


@dataclass(frozen=True, slots=True)
class CardPlan:
    """All parts of one folded card.

    Parameters
    ----------
    card : Card
        Its closed front.
    style : FoldStyle
        How it folds.
    edge : FoldEdge
        Where its fold is.
    base : Size
        The sheet to cut, lying so that its fold lines run down it.
    folds : tuple of FoldLine
        From left to right.
    panels : tuple of Panel
        Mats first, lowest below, then the papers inside.
    """

    card: Card
    style: FoldStyle
    edge: FoldEdge
    base: Size
    folds: tuple[FoldLine, ...]
    panels: tuple[Panel, ...]

    @property
    def scores(self) -> tuple[Length, ...]:
        """Where to score, from the left edge of the base as it lies."""
        return tuple(fold.at for fold in self.folds)


def plan_card(
    card: Card,
    *,
    style: FoldStyle = FoldStyle.HALF,
    edge: FoldEdge = FoldEdge.SIDE,
    mats: int = 1,
    reveal: Length = DEFAULT_REVEAL,
    accordion_panels: int = 4,
) -> CardPlan:
    """Plan a folded card.

    Parameters
    ----------
    card : Card
        Its closed front; see `find_card`.
    style, edge : FoldStyle, FoldEdge
        How and where it folds. A gate opens at the side only.
    mats : int
        Papers layered on the front, each smaller than the one below by the reveal on every side.
    reveal : Length
        What shows of the paper below, on every side.
    accordion_panels : int
        How many panels an accordion has.

    Raises
    ------
    BadOption
        If a number is out of its range, or the reveal leaves a paper too small to glue.

    Examples
    --------
    >>> from kitprep.cards.named import find_card
    >>> plan = plan_card(find_card("A2"))
    >>> plan.base.text(), plan.scores[0].text(), plan.panels[0].size.text()
    ('8 1/2 x 5 1/2 in', '4 1/4 in', '4 x 5 1/4 in')
    """
    _check(style, edge, mats, reveal, accordion_panels)
    front = card.front
    run, across = (front.height, front.width) if edge is FoldEdge.TOP else (front.width, front.height)
    count = accordion_panels if style is FoldStyle.ACCORDION else 2
    panels = _panels(front, style, count, mats, reveal)
    for panel in panels:
        if min(panel.size.width, panel.size.height) < SMALLEST_PANEL:
            needed = (
                f"a smaller reveal or fewer mats: the {panel.name} would be under {SMALLEST_PANEL.mm:g} mm"
            )
            raise BadOption("the reveal", reveal.text(card.unit), needed)
    return CardPlan(card, style, edge, Size(count * run, across), _folds(style, run, count), panels)


def _check(style: FoldStyle, edge: FoldEdge, mats: int, reveal: Length, accordion_panels: int) -> None:
    if not 0 <= mats <= MOST_MATS:
        raise BadOption("mats", str(mats), f"a number from 0 to {MOST_MATS}")
    if reveal <= ZERO:
        raise BadOption("the reveal", reveal.text(), "a length above zero")
    if style is FoldStyle.ACCORDION and not FEWEST_ACCORDION <= accordion_panels <= MOST_ACCORDION:
        raise BadOption(
            "panels", str(accordion_panels), f"a number from {FEWEST_ACCORDION} to {MOST_ACCORDION}"
        )
    if style is FoldStyle.GATE and edge is FoldEdge.TOP:
        raise BadOption("the fold of a gate card", edge.value, "side: its doors open to left and right")


def _folds(style: FoldStyle, run: Length, count: int) -> tuple[FoldLine, ...]:
    if style is FoldStyle.GATE:
        door = Length(run.emu // 2)
        places, ways = (door, 2 * run - door), (FoldWay.MOUNTAIN, FoldWay.MOUNTAIN)
        return tuple(map(FoldLine, places, ways))
    turns = (FoldWay.MOUNTAIN, FoldWay.VALLEY)
    return tuple(FoldLine(run * number, turns[(number - 1) % 2]) for number in range(1, count))


def _panels(front: Size, style: FoldStyle, count: int, mats: int, reveal: Length) -> tuple[Panel, ...]:
    door = Size(Length(front.width.emu // 2), front.height)
    outside, copies = (door, 2) if style is FoldStyle.GATE else (front, 1)
    place = "door" if style is FoldStyle.GATE else "front"
    names = [f"{place} panel" if mats == 1 else f"{place} mat {number}" for number in range(1, mats + 1)]
    layers = [Panel(name, _within(outside, reveal * (n + 1)), copies) for n, name in enumerate(names)]
    insides = count - 1 if style is FoldStyle.ACCORDION else 1
    return (*layers, Panel("inside panel", _within(front, reveal), insides))


def _within(size: Size, reveal: Length) -> Size:
    return size.grown(-reveal)
