"""What fits one room, beside plain trying of every place on a small grid."""

from __future__ import annotations

from functools import cache

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from kitprep.pack.claims import Spot
from kitprep.pack.easy_room import EasyRoom
from kitprep.pack.one_room import CutRoom, FreeRoom, OutOfWork, Work

Rect = tuple[int, int, bool]
"""Width, height, whether it may turn."""

ROOMS = st.tuples(st.integers(3, 7), st.integers(3, 7))
RECTS = st.lists(st.tuples(st.integers(1, 5), st.integers(1, 5), st.booleans()), min_size=2, max_size=5)


def lies_of(rects: list[Rect], width: int, height: int) -> list[tuple[tuple[int, int, bool], ...]]:
    lies = []
    for wide, high, turns in rects:
        both = [(wide, high, False)] + ([(high, wide, True)] if turns and wide != high else [])
        lies.append(tuple(way for way in both if way[0] <= width and way[1] <= height))
    return lies


def fits_somewhere(rects: list[Rect], width: int, height: int) -> bool:
    """Every place on the grid for every piece, one after the other."""

    def goes_on(index: int, taken: frozenset[tuple[int, int]]) -> bool:
        if index == len(rects):
            return True
        wide, high, turns = rects[index]
        for across, down in {(wide, high), (high, wide)} if turns else {(wide, high)}:
            for x in range(width - across + 1):
                for y in range(height - down + 1):
                    cells = {(x + i, y + j) for i in range(across) for j in range(down)}
                    if not cells & taken and goes_on(index + 1, taken | cells):
                        return True
        return False

    return sum(wide * high for wide, high, _ in rects) <= width * height and goes_on(0, frozenset())


@cache
def can_be_cut(rects: tuple[Rect, ...], width: int, height: int) -> bool:
    """Every line through the room, and every way to share the pieces out on its two sides."""
    if len(rects) == 1:
        wide, high, turns = rects[0]
        return (wide <= width and high <= height) or (turns and high <= width and wide <= height)
    for chosen in range(1, 2 ** (len(rects) - 1)):
        near = tuple(rect for index, rect in enumerate(rects) if chosen >> index & 1)
        far = tuple(rect for index, rect in enumerate(rects) if not chosen >> index & 1)
        if any(
            can_be_cut(near, at, height) and can_be_cut(far, width - at, height) for at in range(1, width)
        ):
            return True
        if any(
            can_be_cut(near, width, at) and can_be_cut(far, width, height - at) for at in range(1, height)
        ):
            return True
    return False


def check(spots: list[Spot], count: int, width: int, height: int) -> None:
    cells = [(x + i, y + j) for x, y, wide, high, *_ in spots for i in range(wide) for j in range(high)]
    assert len(spots) == count
    assert len(cells) == len(set(cells))
    assert all(0 <= x < width and 0 <= y < height for x, y in cells)


@settings(max_examples=250, deadline=None)
@given(ROOMS, RECTS)
def test_a_group_is_packed_just_where_some_packing_of_it_exists(
    room: tuple[int, int], rects: list[Rect]
) -> None:
    width, height = room
    lies, areas = lies_of(rects, width, height), [wide * high for wide, high, _ in rects]
    assume(all(lies))
    group = (1,) * len(rects)
    freely = FreeRoom(width, height, lies, areas).packed(group, Work(10**7))
    assert (freely is not None) == fits_somewhere(rects, width, height)
    with_cuts = CutRoom(width, height, lies, areas).packed(group, Work(10**7))
    assert (with_cuts is not None) == can_be_cut(tuple(sorted(rects)), width, height)
    for spots in (freely, with_cuts):
        if spots is not None:
            check(spots, len(rects), width, height)


def test_a_pinwheel_fits_but_cannot_be_cut() -> None:
    # Four of 3 x 2 around a hole of 1 x 1 in 5 x 5; whatever is cut through wastes more than that.
    lies, areas = [((3, 2, False), (2, 3, True))], [6]
    assert FreeRoom(5, 5, lies, areas).packed((4,), Work(1000)) is not None
    assert CutRoom(5, 5, lies, areas).packed((4,), Work(1000)) is None


def test_a_question_that_takes_too_much_work_is_left_open() -> None:
    lies, areas = [((2, 1, False), (1, 2, True))], [2]
    for room in (FreeRoom(9, 9, lies, areas), CutRoom(9, 9, lies, areas)):
        with pytest.raises(OutOfWork):
            room.packed((40,), Work(20))


def test_a_group_of_very_many_different_claims_is_left_open_at_once() -> None:
    lies, areas = [((1, 1 + kind, False),) for kind in range(60)], [1 + kind for kind in range(60)]
    with pytest.raises(OutOfWork):
        CutRoom(100, 100, lies, areas).packed((1,) * 60, Work(10_000))
    with pytest.raises(OutOfWork):
        EasyRoom(100, 100, lies, areas, (1,) * 60, 99, 0, 4).arrangements((1,) * 60, Work(10_000))


def test_a_deadline_leaves_a_question_open() -> None:
    work = Work(10**9, lambda: True)
    with pytest.raises(OutOfWork):
        for _ in range(10_000):
            work.spend(1)
