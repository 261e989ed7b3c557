"""Pieces of one card on one sheet."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
from pack.packing_judge import Case, faults

from kitprep.lengths import ZERO, Size, inches
from kitprep.pack import CutMode, PackItem, pack
from kitprep.papers import LETTER, Margins

QUARTER = Margins.even(inches("1/4"))


def item(name: str, size: str, copies: int, together: str = "") -> PackItem:
    width, height = size.split("x")
    return PackItem(name, Size(inches(width), inches(height)), copies, inches("1/16"), True, (), together)


CARDS = [
    item("base", "5 1/2x4 1/4", 3, "card"),
    item("mat", "5 1/4x4", 3, "card"),
    item("tag", "2x3", 3, "card"),
    item("stamp", "2x2", 8),
]


@pytest.mark.parametrize("mode", CutMode)
def test_every_card_s_pieces_are_on_one_sheet_where_that_costs_none(mode: CutMode) -> None:
    packing = pack(CARDS, LETTER, QUARTER, gap=ZERO, mode=mode)
    alone = pack([replace(one, together="") for one in CARDS], LETTER, QUARTER, gap=ZERO, mode=mode)
    assert faults(packing, Case("cards", tuple(CARDS), LETTER, QUARTER, ZERO), mode) == []
    assert len(packing.sheets) == len(alone.sheets) == 3
    for sheet in packing.sheets:
        on_sheet = Counter(CARDS[place.item].name for place in sheet.placements)
        assert on_sheet["base"] == on_sheet["mat"] == on_sheet["tag"] == 1
    assert packing.apart == ()


@pytest.mark.parametrize("mode", CutMode)
def test_no_sheet_is_spent_on_keeping_pieces_together_and_what_is_apart_is_named(mode: CutMode) -> None:
    items = [item("half", "7 3/4x5", 2, "card"), item("third", "7 3/4x5", 2)]
    items.append(item("strip", "7 3/4x3", 1, "card"))
    packing = pack(items, LETTER, QUARTER, gap=ZERO, mode=mode)
    alone = pack([replace(one, together="") for one in items], LETTER, QUARTER, gap=ZERO, mode=mode)
    assert len(packing.sheets) == len(alone.sheets)
    assert packing.apart == ("card",)


def test_like_pieces_of_two_things_are_shared_out_by_what_they_are_for() -> None:
    items = [item(f"half {name}", "7 3/4x5", 2, name) for name in ("moon", "bee", "pear")]
    packing = pack(items, LETTER, QUARTER, gap=ZERO, mode=CutMode.TRIMMER)
    assert len(packing.sheets) == 3
    assert all(len({place.item for place in sheet.placements}) == 1 for sheet in packing.sheets)
    assert packing.apart == ()
