"""Free places on a sheet, against a search that tries every place."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from kitprep.lengths import EMU_PER_INCH, Box, Length, Size
from kitprep.sheet.room import Room, Way

STEP = EMU_PER_INCH // 32
SIDE = 20
place = st.integers(0, SIDE)


def _box(left: int, top: int, right: int, bottom: int) -> Box:
    return Box(*(Length(side * STEP) for side in (left, top, right, bottom)))


boxes = st.builds(
    lambda x, y, w, h: _box(x, y, x + w, y + h), place, place, st.integers(1, 6), st.integers(1, 6)
)


@given(st.lists(boxes, max_size=8), st.integers(1, 8), st.integers(1, 8))
def test_a_place_is_found_just_when_there_is_one_and_it_is_the_lowest(taken, wide, high):
    room = Room(_box(0, 0, SIDE, SIDE), taken)
    spots = [
        _box(x, y, x + wide, y + high)
        for y in range(SIDE - high, -1, -1)
        for x in range(SIDE - wide + 1)
        if not any(_box(x, y, x + wide, y + high).overlaps(other) for other in taken)
    ]
    found = room.find(Size(Length(wide * STEP), Length(high * STEP)))
    assert found == (spots[0] if spots else None)


@given(st.lists(boxes, max_size=6), boxes, st.sampled_from(list(Way)))
def test_a_stroke_reaches_as_far_as_it_is_free_and_no_farther(taken, stroke, way):
    room = Room(_box(0, 0, SIDE, SIDE), taken)
    reach = room.reach(stroke, way)
    assert Length(0) <= reach <= (stroke.width if way in (Way.LEFT, Way.RIGHT) else stroke.height)

    def part(length: Length) -> Box:
        left, top, right, bottom = stroke.left, stroke.top, stroke.right, stroke.bottom
        return {
            Way.RIGHT: Box(left, top, left + length, bottom),
            Way.LEFT: Box(right - length, top, right, bottom),
            Way.DOWN: Box(left, top, right, top + length),
            Way.UP: Box(left, bottom - length, right, bottom),
        }[way]

    if reach:
        assert room.is_free(part(reach))
    longer = part(reach + Length(STEP))
    if stroke.contains(longer):
        assert not room.is_free(longer)


@given(st.lists(boxes, max_size=6), place, st.booleans())
def test_gaps_are_the_free_parts_of_a_stroke(taken, at, upright):
    room = Room(_box(0, 0, SIDE + 1, SIDE + 1), taken)
    stroke = _box(at, 0, at + 1, SIDE) if upright else _box(0, at, SIDE, at + 1)
    gaps = room.gaps(stroke, upright=upright)
    free = set()
    for low, high in gaps:
        free |= set(range(low.emu // STEP, high.emu // STEP))
    for step in range(SIDE):
        cell = _box(at, step, at + 1, step + 1) if upright else _box(step, at, step + 1, at + 1)
        assert (step in free) == room.is_free(cell)
