from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitprep.pack.claims import Kind, Spot
from kitprep.pack.easy_room import EasyRoom
from kitprep.pack.guillotine import ways
from kitprep.pack.one_room import OutOfWork, Work

Size = tuple[int, int]


def easiest(width: int, height: int, *sizes: Size, most: int = 99) -> tuple[int, list[Spot]] | None:
    """The fewest pieces of waste, and where the claims then lie."""
    lies = [ways(Kind(wide, high, wide != high, ((0, False),)), width, height) for wide, high in sizes]
    areas = [wide * high for wide, high in sizes]
    one_each = (1,) * len(sizes)
    room = EasyRoom(width, height, lies, areas, one_each, most, width * height - sum(areas), 99)
    return next(iter(room.arrangements(one_each, Work(10_000_000))), None)


def least_waste(width: int, height: int, sizes: tuple[Size, ...]) -> int | None:
    """The same by trying every way to join two parts, with nothing left out but what is too large."""

    def made(left: tuple[Size, ...]) -> dict[Size, int]:
        if len(left) == 1:
            return {way: 0 for way in (left[0], left[0][::-1]) if way[0] <= width and way[1] <= height}
        found: dict[Size, int] = {}
        for chosen in product((False, True), repeat=len(left) - 1):
            one = (left[0], *(size for size, taken in zip(left[1:], chosen, strict=True) if taken))
            other = tuple(size for size, taken in zip(left[1:], chosen, strict=True) if not taken)
            if not other:
                continue
            for ((a, b), first), ((c, d), second) in product(made(one).items(), made(other).items()):
                for whole, ragged in (((a + c, max(b, d)), b != d), ((max(a, c), b + d), a != c)):
                    if whole[0] <= width and whole[1] <= height:
                        found[whole] = min(found.get(whole, 99), first + second + ragged)
        return found

    return min(made(sizes).values(), default=None)


SIDES = st.integers(1, 6)


@settings(max_examples=150, deadline=None)
@given(st.integers(4, 10), st.integers(4, 10), st.lists(st.tuples(SIDES, SIDES), min_size=1, max_size=4))
def test_no_arrangement_of_four_claims_leaves_fewer_pieces_of_waste(
    width: int, height: int, sizes: list[Size]
) -> None:
    if any(min(size) > min(width, height) or max(size) > max(width, height) for size in sizes):
        return
    if sum(wide * high for wide, high in sizes) > width * height:
        return
    found = easiest(width, height, *sizes)
    assert (found and found[0]) == least_waste(width, height, tuple(sizes))


def test_claims_that_tile_a_rectangle_leave_no_waste() -> None:
    found = easiest(8, 10, (4, 6), (4, 6), (2, 4), (6, 4))
    assert found is not None
    assert found[0] == 0


def test_an_arrangement_with_more_waste_than_wanted_is_not_given() -> None:
    assert easiest(8, 10, (4, 6), (3, 5), (2, 2)) is not None
    assert easiest(8, 10, (4, 6), (3, 5), (2, 2), most=0) is None


def test_too_many_claims_to_look_through_run_out_of_work() -> None:
    lies = [ways(Kind(3, 2, True, ((0, False),)), 100, 100)]
    room = EasyRoom(100, 100, lies, [6], (500,), 99, 7000, 4)
    with pytest.raises(OutOfWork):
        room.arrangements((500,), Work(1_000))
