"""Reading order, with boxes as they jitter on real pages."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from kitprep.pages import PixelBox
from kitprep.split.order import reading_order

jitter = st.integers(-35, 35)


@given(st.integers(1, 5), st.integers(1, 6), st.data())
def test_rows_are_read_from_the_left_whatever_the_jitter_of_their_tops(
    rows: int, columns: int, data: st.DataObject
) -> None:
    boxes = []
    for row in range(rows):
        for column in range(columns):
            left, top = 100 + 300 * column, 100 + 420 * row + data.draw(jitter)
            boxes.append(PixelBox(left, top, left + 240, top + 300 + data.draw(jitter)))
    shuffled = data.draw(st.permutations(range(len(boxes))))
    order = reading_order([boxes[index] for index in shuffled])
    assert [shuffled[index] for index in order] == list(range(len(boxes)))


@given(st.lists(st.tuples(*[st.integers(0, 900)] * 2, *[st.integers(1, 400)] * 2), max_size=12))
def test_every_box_is_read_once(places: list[tuple[int, int, int, int]]) -> None:
    boxes = [PixelBox(x, y, x + width, y + height) for x, y, width, height in places]
    assert sorted(reading_order(boxes)) == list(range(len(boxes)))
