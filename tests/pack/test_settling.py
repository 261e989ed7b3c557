"""Numbers of sheets settled for certain."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from kitprep.lengths import ZERO, Length, Size
from kitprep.pack import CutMode, PackItem, pack
from kitprep.pack.bounds import least_sheets, measures
from kitprep.papers import NO_MARGINS, Paper

Side = st.integers(2, 9)


def items(sizes: list[tuple[int, int]], turn: bool = True) -> list[PackItem]:
    return [PackItem(f"{w} x {h}", Size(Length(w), Length(h)), 1, ZERO, turn) for w, h in sizes]


def test_a_sheet_more_than_area_allows_for_is_proved_to_be_needed() -> None:
    # 6 x 4 and 4 x 4 go into 8 x 8 beside each other only with one of them turned, or one below the other;
    # either way nothing is left that is 5 long and 3 wide, though 9 of 64 stay free.
    sizes = [(4, 4), (3, 5), (6, 4)]
    assert least_sheets([(w, h, True, 1) for w, h in sizes], 8, 8) == 1
    paper = Paper("bin", Size(Length(8), Length(8)))
    for mode in CutMode:
        packing = pack(items(sizes), paper, NO_MARGINS, gap=ZERO, mode=mode)
        assert (len(packing.sheets), packing.bound) == (2, 2)


def test_what_cannot_be_cut_is_proved_for_the_trimmer_alone() -> None:
    """Four of 3 x 2 and one of 1 x 1 fill 5 x 5 as a pinwheel, which through cuts cannot take apart."""
    sizes = [(3, 2)] * 4 + [(1, 1)]
    paper = Paper("bin", Size(Length(5), Length(5)))
    assert least_sheets([(w, h, True, 1) for w, h in sizes], 5, 5) == 1
    with_trimmer = pack(items(sizes), paper, NO_MARGINS, gap=ZERO, mode=CutMode.TRIMMER)
    freely = pack(items(sizes), paper, NO_MARGINS, gap=ZERO, mode=CutMode.SCISSORS)
    assert (len(with_trimmer.sheets), with_trimmer.bound) == (2, 2)
    assert (len(freely.sheets), freely.bound) == (1, 1)


@settings(max_examples=30, deadline=None)
@given(st.lists(st.tuples(Side, Side), min_size=2, max_size=8), st.booleans())
def test_scissors_are_never_proved_to_need_more_than_the_trimmer_takes(
    sizes: list[tuple[int, int]], turn: bool
) -> None:
    paper = Paper("bin", Size(Length(10), Length(10)))
    made = [pack(items(sizes, turn), paper, NO_MARGINS, gap=ZERO, mode=mode, effort=0.1) for mode in CutMode]
    trimmer, scissors = made
    assert scissors.bound <= len(scissors.sheets) <= len(trimmer.sheets)
    assert scissors.bound <= trimmer.bound <= len(trimmer.sheets)


@given(st.data())
def test_no_sheet_that_was_cut_up_holds_more_than_its_measures(data: st.DataObject) -> None:
    width, height = data.draw(st.integers(2, 40)), data.draw(st.integers(2, 40))
    parts = [(width, height)]
    for _ in range(data.draw(st.integers(0, 8))):
        index = data.draw(st.integers(0, len(parts) - 1))
        wide, high = parts[index]
        if wide > 1:
            at = data.draw(st.integers(1, wide - 1))
            parts[index : index + 1] = [(at, high), (wide - at, high)]
        elif high > 1:
            at = data.draw(st.integers(1, high - 1))
            parts[index : index + 1] = [(wide, at), (wide, high - at)]
    for whole, counts in measures([(wide, high, False, 1) for wide, high in parts], width, height):
        assert sum(counts) <= whole
