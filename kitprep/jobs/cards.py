"""A folded card as a make-list: its base with fold lines, and the papers layered on it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from kitprep.cards import CARDS, DEFAULT_REVEAL, Card, CardPlan, FoldEdge, FoldStyle, find_card, plan_card
from kitprep.files.makelist import MakeList, write_makelist
from kitprep.lengths import Length, Unit, WantedSize
from kitprep.papers import A4, LETTER, Paper
from kitprep.piece.wanted import WantedPiece


@dataclass(frozen=True, slots=True)
class CardList:
    """A card's plan, and what to make for it.

    Parameters
    ----------
    plan : CardPlan
        Base, folds, panels.
    makelist : MakeList
        The base as a blank with its fold lines, and each panel as a blank to put an element on.
    path : Path or None
        Where the make-list was written.
    """

    plan: CardPlan
    makelist: MakeList
    path: Path | None


def known_cards() -> tuple[Card, ...]:
    """The cards known by name."""
    return CARDS


def make_card_list(
    card: str,
    *,
    style: FoldStyle = FoldStyle.HALF,
    edge: FoldEdge = FoldEdge.SIDE,
    mats: int = 1,
    reveal: Length = DEFAULT_REVEAL,
    accordion_panels: int = 4,
    copies: int = 1,
    paper: Paper | None = None,
    path: Path | None = None,
    overwrite: bool = False,
) -> CardList:
    """Plan a folded card and write its make-list.

    Parameters
    ----------
    card : str
        Its name, or the size of its closed front.
    style, edge, mats, reveal, accordion_panels
        As `kitprep.cards.plan_card` has them.
    copies : int
        How many cards.
    paper : Paper or None
        What everything is cut from; None for letter, or A4 for a card measured in millimetres.
    path : Path or None
        Where to write the make-list; None to write none.
    overwrite : bool
        Whether a file of that name may be replaced.

    Raises
    ------
    BadOption, BadSize
        If the card is not known or cannot be folded so.
    OutputExists, CannotWrite
        If the file is there and may not be replaced, or cannot be written.
    """
    plan = plan_card(
        find_card(card), style=style, edge=edge, mats=mats, reveal=reveal, accordion_panels=accordion_panels
    )
    unit = plan.card.unit
    base = WantedPiece(
        element="",
        size=WantedSize(plan.base.width, plan.base.height, unit),
        copies=copies,
        label="card base",
        scores=plan.scores,
    )
    panels = tuple(
        WantedPiece(
            element="",
            size=WantedSize(panel.size.width, panel.size.height, unit),
            copies=panel.copies * copies,
            label=panel.name,
        )
        for panel in plan.panels
    )
    makelist = MakeList(
        title=f"{plan.card.name} card",
        unit=unit,
        paper=paper or (LETTER if unit is Unit.INCH else A4),
        pieces=(base, *panels),
    )
    if path is not None:
        write_makelist(makelist, path, overwrite=overwrite)
    return CardList(plan, makelist, path)
