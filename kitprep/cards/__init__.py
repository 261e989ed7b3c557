"""Folds, panels and mats of folded cards.

`named` knows cards by name or by the size of their front, `folding` plans what to cut for one.
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

__all__ = [
    "CARDS",
    "DEFAULT_REVEAL",
    "Card",
    "CardPlan",
    "FoldEdge",
    "FoldLine",
    "FoldStyle",
    "FoldWay",
    "Panel",
    "find_card",
    "plan_card",
]
