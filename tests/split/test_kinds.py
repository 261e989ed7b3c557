"""Kinds, judged from what an element looks like."""

from __future__ import annotations

from dataclasses import replace

import pytest

from kitprep.pages import Kind
from kitprep.split.kinds import Looks, is_unwanted, judge_kind

CARD = Looks(width=3.0, height=2.0, page_share=0.06, rectangular=True, plain_share=0.8)
SHAPE = Looks(width=2.0, height=3.0, page_share=0.05, rectangular=False)
LINE = Looks(
    width=2.7, height=0.15, page_share=0.004, rectangular=False, parts=30, is_part=True, top=0.96, bottom=0.97
)


@pytest.mark.parametrize(
    ("looks", "kind"),
    [
        (CARD, Kind.CARD),
        (replace(CARD, page_share=0.4), Kind.PAPER),
        (replace(CARD, width=7.5, height=0.6), Kind.STRIP),
        (replace(CARD, width=4.0, height=0.7), Kind.WORDS),
        (replace(CARD, width=1.2, height=1.5, bordered=True), Kind.STAMP),
        (replace(CARD, plain_share=0.2), Kind.LABEL),
        (SHAPE, Kind.FIGURE),
        (replace(SHAPE, width=1.2, height=1.5, toothed=True, boxy=True), Kind.STAMP),
        (replace(SHAPE, toothed=True, boxy=True), Kind.LABEL),  # no stamp is three inches high
        (replace(SHAPE, toothed=True), Kind.LABEL),
        (replace(SHAPE, punched=True, angular=True), Kind.TAG),
        (replace(SHAPE, angular=True), Kind.TAG),
        (replace(SHAPE, rounded=True), Kind.LABEL),
        (LINE, Kind.WORDS),
    ],
)
def test_a_kind_follows_from_looks(looks: Looks, kind: Kind) -> None:
    assert judge_kind(looks) is kind


def test_small_print_at_the_foot_is_likely_not_wanted() -> None:
    assert is_unwanted(Kind.WORDS, LINE)


@pytest.mark.parametrize("looks", [replace(LINE, top=0.5, bottom=0.52), replace(LINE, height=0.8)])
def test_words_in_the_middle_or_in_large_type_are_wanted(looks: Looks) -> None:
    assert not is_unwanted(Kind.WORDS, looks)
