"""Shapes as cells, beside plain counting of cells."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from kitprep.pack.raster import Grid, area_of, cells_of

POINTS = st.lists(st.tuples(st.integers(0, 60), st.integers(0, 60)), min_size=3, max_size=7)


def test_a_box_of_whole_cells_covers_just_those() -> None:
    assert cells_of([(0, 0), (30, 0), (30, 20), (0, 20)], 0, 10) == [(0, 0, 3), (1, 0, 3)]


def test_a_box_grown_by_half_a_cell_covers_one_more_each_way() -> None:
    assert cells_of([(0, 0), (30, 0), (30, 20), (0, 20)], 5, 10) == [(0, 0, 4), (1, 0, 4), (2, 0, 4)]


def test_a_triangle_leaves_the_cells_beyond_its_long_side_free() -> None:
    runs = cells_of([(0, 0), (40, 0), (0, 40)], 0, 10)
    assert runs == [(0, 0, 4), (1, 0, 3), (2, 0, 2), (3, 0, 1)]


def test_a_gap_between_two_legs_stays_free() -> None:
    arch = [(0, 0), (50, 0), (50, 30), (40, 30), (40, 10), (10, 10), (10, 30), (0, 30)]
    assert cells_of(arch, 0, 10) == [(0, 0, 5), (1, 0, 1), (1, 4, 1), (2, 0, 1), (2, 4, 1)]


@given(POINTS, st.sampled_from([0, 3, 10, 25]))
def test_every_point_of_an_edge_and_what_it_is_grown_by_is_covered(
    outline: list[tuple[int, int]], grown: int
) -> None:
    covered = {
        (start + step, row) for row, start, count in cells_of(outline, grown, 10) for step in range(count)
    }
    for (x0, y0), (x1, y1) in pairwise([*outline, outline[0]]):
        # A horizontal spike has no inside and no room around it; it need not be covered.
        if y0 == y1 and not grown:
            continue
        for share in range(1, 20):
            x, y = x0 + (x1 - x0) * share / 20, y0 + (y1 - y0) * share / 20
            for across in (1e-3, 2 * grown - 1e-3) if grown else (0.0,):
                for down in (1e-3, 2 * grown - 1e-3) if grown else (0.0,):
                    cells = ((x + across) // 10, (y + down) // 10)
                    on_a_line = not grown and (x % 10 == 0 or y % 10 == 0)
                    assert on_a_line or cells in covered


@given(
    st.integers(3, 12),
    st.integers(3, 12),
    st.lists(st.tuples(st.integers(0, 3), st.integers(0, 3), st.integers(1, 4)), min_size=1, max_size=4),
    st.data(),
)
def test_the_first_free_place_is_the_one_that_looking_cell_by_cell_finds(
    columns: int, rows: int, runs: list[tuple[int, int, int]], data: st.DataObject
) -> None:
    taken = data.draw(st.integers(0, 2 ** (columns * rows) - 1)) & data.draw(
        st.integers(0, 2 ** (columns * rows) - 1)
    )
    width, height = max(start + count for _, start, count in runs), 1 + max(down for down, _, _ in runs)
    places = (
        (column, row)
        for row in range(rows - height + 1)
        for column in range(columns - width + 1)
        if not any(
            taken >> ((row + down) * columns + column + start + step) & 1
            for down, start, count in runs
            for step in range(count)
        )
    )
    assert Grid(columns, rows, 10).first_free(taken, runs) == next(places, None)


def test_the_area_of_a_polygon_is_what_the_shoelace_formula_says() -> None:
    assert area_of([(0, 0), (4, 0), (0, 3)]) == 6
    assert area_of([(0, 0), (0, 3), (4, 0)]) == 6
