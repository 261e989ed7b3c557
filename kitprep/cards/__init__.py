"""Folds, panels and mats of folded cards.

`named` knows cards by name or by the size of their front, `folding` plans what to cut for one, `sizes` knows
whatever else people call by a name: panels, tags, trading cards, envelopes.
"""

from kitprep.cards.folding import (
    DEFAULT_REVEAL,
    CardPlan,
    FoldEdge,
    FoldLine,
    FoldStyle,
    FoldWay,
    Panel,
    plan_card,
)
from kitprep.cards.named import CARDS, Card, find_card
from kitprep.cards.sizes import NAMED_SIZES, NamedSize, find_size

__all__ = [
    "CARDS",
    "DEFAULT_REVEAL",
    "NAMED_SIZES",
    "Card",
    "CardPlan",
    "FoldEdge",
    "FoldLine",
    "FoldStyle",
    "FoldWay",
    "NamedSize",
    "Panel",
    "find_card",
    "find_size",
    "plan_card",
]
