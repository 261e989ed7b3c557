from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from kitprep.pack.bounds import least_sheets


def test_area_alone_counts_small_pieces() -> None:
    assert least_sheets([(1, 1, False, 101)], 10, 10) == 2


def test_pieces_over_half_both_ways_take_a_sheet_each() -> None:
    assert least_sheets([(6, 6, True, 5)], 10, 10) == 5


def test_pieces_just_over_a_third_go_four_to_a_sheet() -> None:
    # 4 x 4 in 10 x 10: two beside two, although six would be less than the area.
    assert least_sheets([(4, 4, True, 9)], 10, 10) == 3


def test_long_pieces_that_cannot_lie_side_by_side_take_a_sheet_each() -> None:
    assert least_sheets([(10, 6, False, 3)], 10, 10) == 3


def test_turning_may_save_a_sheet_and_the_bound_allows_for_it() -> None:
    # In 10 x 6, two of 6 x 5 stand side by side only when turned.
    assert least_sheets([(6, 5, False, 2)], 10, 6) == 2
    assert least_sheets([(6, 5, True, 2)], 10, 6) == 1


def test_nothing_needs_no_sheet() -> None:
    assert least_sheets([], 10, 10) == 0


@given(st.data())
def test_what_was_cut_from_so_many_sheets_has_no_higher_bound(data: st.DataObject) -> None:
    width, height = data.draw(st.integers(2, 60)), data.draw(st.integers(2, 60))
    sheets = data.draw(st.integers(1, 4))
    parts = [(width, height)] * sheets
    for _ in range(data.draw(st.integers(0, 12))):
        index = data.draw(st.integers(0, len(parts) - 1))
        wide, high = parts[index]
        if data.draw(st.booleans()):
            wide, high = high, wide
        if wide > 1:
            at = data.draw(st.integers(1, wide - 1))
            parts[index : index + 1] = [(at, high), (wide - at, high)]
    turned = [(wide, high, True, 1) for wide, high in parts]
    assert least_sheets(turned, width, height) <= sheets or not all(_fits(p, width, height) for p in parts)


def _fits(part: tuple[int, int], width: int, height: int) -> bool:
    return (part[0] <= width and part[1] <= height) or (part[1] <= width and part[0] <= height)
