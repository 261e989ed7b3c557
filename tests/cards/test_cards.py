"""Folded cards: named sizes, fold plans, mats."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitprep.cards import (
    CARDS,
    Card,
    CardPlan,
    FoldEdge,
    FoldStyle,
    FoldWay,
    Panel,
    find_card,
    plan_card,
)
from kitprep.errors import AmbiguousCard, BadOption, UnknownCard
from kitprep.lengths import Length, Size, Unit, inches, mm
from kitprep.papers import LETTER, find_paper


def texts(plan: CardPlan) -> list[str]:
    return [f"{panel.copies} {panel.name} {panel.size.text(plan.card.unit)}" for panel in plan.panels]


def test_an_a2_card_is_a_quarter_of_letter() -> None:
    """Common practice: 4 1/4 x 5 1/2 in from a base of 8 1/2 x 5 1/2 in, two bases from a letter sheet."""
    plan = plan_card(find_card("A2"))
    assert plan.base.text() == "8 1/2 x 5 1/2 in"
    assert [place.text() for place in plan.scores] == ["4 1/4 in"]
    assert Size(plan.base.width, 2 * plan.base.height) == LETTER.size


@pytest.mark.parametrize(
    ("name", "front"),
    [
        ("A2", "4 1/4 x 5 1/2 in"),
        ("a2", "4 1/4 x 5 1/2 in"),
        ("A6 inch", "4 1/2 x 6 1/4 in"),
        ("A7", "5 x 7 in"),
        ("A7 landscape", "7 x 5 in"),
        ("A6 ISO", "105 x 148 mm"),
        ("iso a6", "105 x 148 mm"),
        ("slim ISO", "99 x 210 mm"),
        ("square 5 1/4 in", "5 1/4 x 5 1/4 in"),
        ("13 x 18 cm", "13 x 18 cm"),
    ],
)
def test_a_card_is_found_by_name_or_by_the_size_of_its_front(name: str, front: str) -> None:
    card = find_card(name)
    assert card.front.text(card.unit) == front


def test_a_size_that_has_a_name_is_called_by_it() -> None:
    assert find_card("5 x 7").name == "A7"
    assert find_card("148 x 105 mm").name == "A6 ISO landscape"


def test_a6_has_to_say_which_of_the_two_it_is() -> None:
    with pytest.raises(AmbiguousCard, match=r"A6 inch \(4 1/2 x 6 1/4 in\) or A6 ISO \(105 x 148 mm\)"):
        find_card("A6")


@pytest.mark.parametrize("text", ["", "A3", "big", "5 in wide", "landscape"])
def test_what_is_no_card_is_refused_with_those_that_are(text: str) -> None:
    with pytest.raises(UnknownCard, match="A1, A2, A6 inch"):
        find_card(text)


@pytest.mark.parametrize("number", [5, 6, 7])
def test_iso_cards_are_iso_216_sheets_that_go_into_their_iso_269_envelope(number: int) -> None:
    front = find_card(f"A{number} ISO").front
    assert front == find_paper(f"A{number}").size
    assert front.fits_in(find_paper(f"C{number}").size)


def test_a_slim_iso_card_is_a_third_of_a4() -> None:
    front = find_card("slim ISO").front
    assert Size(front.height, 3 * front.width) == find_paper("A4").size


def test_a_card_that_folds_at_the_top_lies_turned_with_its_fold_running_down() -> None:
    plan = plan_card(find_card("A2"), edge=FoldEdge.TOP)
    assert (plan.base.text(), plan.scores[0].text()) == ("11 x 4 1/4 in", "5 1/2 in")
    assert plan_card(find_card("A2 landscape"), edge=FoldEdge.TOP).base == plan_card(find_card("A2")).base


def test_each_mat_shows_the_reveal_of_the_one_below_on_every_side() -> None:
    plan = plan_card(find_card("A2"), mats=3, reveal=inches("1/16"))
    assert texts(plan) == [
        "1 front mat 1 4 1/8 x 5 3/8 in",
        "1 front mat 2 4 x 5 1/4 in",
        "1 front mat 3 3 7/8 x 5 1/8 in",
        "1 inside panel 4 1/8 x 5 3/8 in",
    ]


def test_a_card_without_mats_keeps_its_inside_panel() -> None:
    assert [panel.name for panel in plan_card(find_card("A2"), mats=0).panels] == ["inside panel"]


def test_the_doors_of_a_gate_card_meet_in_the_middle() -> None:
    plan = plan_card(find_card("A7"), style=FoldStyle.GATE)
    assert plan.base.text() == "10 x 7 in"
    assert [place.text() for place in plan.scores] == ["2 1/2 in", "7 1/2 in"]
    assert texts(plan) == ["2 door panel 2 1/4 x 6 3/4 in", "1 inside panel 4 3/4 x 6 3/4 in"]


def test_an_accordion_folds_to_and_fro() -> None:
    plan = plan_card(find_card("A6 ISO"), style=FoldStyle.ACCORDION, accordion_panels=4, reveal=mm(3))
    assert plan.base.text(Unit.MM) == "420 x 148 mm"
    assert [place.text(Unit.MM) for place in plan.scores] == ["105 mm", "210 mm", "315 mm"]
    assert [fold.way for fold in plan.folds] == [FoldWay.MOUNTAIN, FoldWay.VALLEY, FoldWay.MOUNTAIN]
    assert plan.panels[-1] == Panel("inside panel", Size(mm(99), mm(142)), 3)


@pytest.mark.parametrize(
    ("options", "says"),
    [
        ({"mats": 9}, "mats cannot be '9'"),
        ({"mats": -1}, "mats cannot be '-1'"),
        ({"reveal": Length(0)}, "the reveal cannot be '0 in'"),
        ({"reveal": inches(2)}, "smaller reveal or fewer mats: the front panel"),
        ({"style": FoldStyle.ACCORDION, "accordion_panels": 2}, "panels cannot be '2'"),
        ({"style": FoldStyle.ACCORDION, "accordion_panels": 9}, "panels cannot be '9'"),
        ({"style": FoldStyle.GATE, "edge": FoldEdge.TOP}, "its doors open to left and right"),
    ],
)
def test_a_plan_that_cannot_be_is_refused(options: dict[str, object], says: str) -> None:
    with pytest.raises(BadOption, match=says):
        plan_card(find_card("A2"), **options)  # type: ignore[arg-type]


sides = st.integers(60 * 36_000, 400 * 36_000).map(Length)


@given(st.builds(Size, sides, sides), st.sampled_from(FoldStyle), st.integers(3, 8), st.integers(0, 2))
def test_folded_at_its_lines_a_base_is_as_wide_as_the_front(
    front: Size, style: FoldStyle, n: int, mats: int
) -> None:
    plan = plan_card(Card("any", front), style=style, accordion_panels=n, mats=mats, reveal=mm(3))
    edges = [Length(0), *plan.scores, plan.base.width]
    strips = [right - left for left, right in itertools.pairwise(edges)]
    if style is FoldStyle.GATE:
        assert strips[0] == strips[2]
        assert strips[0] + strips[2] <= front.width  # doors never overlap; odd sizes leave one EMU
        assert front.width - strips[0] - strips[2] <= Length(1)
        assert sum(strip.emu for strip in strips) == 2 * front.width.emu
    else:
        assert set(strips) == {front.width}
    assert plan.base.height == front.height
    assert all(panel.size.fits_in(front) for panel in plan.panels)


def test_every_named_card_can_be_planned_in_every_style() -> None:
    for card, style in itertools.product(CARDS, FoldStyle):
        assert plan_card(card, style=style).base.height == card.front.height
