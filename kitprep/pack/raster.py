"""Shapes as whole cells of a grid, in which every free place for one is found at once.

A grid is one whole number: bit ``y * columns + x`` is set where the cell is taken. A shape is runs of
cells. Where the shape may not go is what is taken, spread by the shape turned about (the no-fit region as a
Minkowski sum, here over cells); spreading by a run of cells takes a few shifts, as it doubles.

A shape covers every cell that its outline, grown by what keeps neighbours away, touches, so that shapes
without a cell in common keep their distance, measured across or down.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

Point = tuple[int, int]
"""x, y in EMU."""
Run = tuple[int, int, int]
"""Row, first column, number of columns."""


@dataclass(frozen=True, slots=True)
class Grid:
    """Cells of one room.

    Parameters
    ----------
    columns, rows : int
        How many.
    cell : int
        The side of a cell in EMU.
    """

    columns: int
    rows: int
    cell: int

    def taken(self, runs: Sequence[Run], column: int, row: int) -> int:
        """The cells of a shape in its place."""
        cells = 0
        for down, start, count in runs:
            cells |= ((1 << count) - 1) << ((row + down) * self.columns + column + start)
        return cells

    def within(self, runs: Sequence[Run], column: int, row: int) -> int:
        """The cells of a shape that lie in the room, of one that may reach out of it."""
        cells = 0
        for down, start, count in runs:
            first, last = max(column + start, 0), min(column + start + count, self.columns)
            if first < last and 0 <= row + down < self.rows:
                cells |= ((1 << (last - first)) - 1) << ((row + down) * self.columns + first)
        return cells

    def first_free(self, taken: int, runs: Sequence[Run]) -> tuple[int, int] | None:
        """The highest, then leftmost place for a shape; None where there is none."""
        width = max(start + count for _, start, count in runs)
        height = 1 + max(down for down, _, _ in runs)
        if width > self.columns or height > self.rows:
            return None
        barred = 0
        doubled = [taken]  # set where any of the 1, 2, 4 ... cells from there on is taken
        for down, start, count in runs:
            power = count.bit_length() - 1
            while power >= len(doubled):
                doubled.append(doubled[-1] | doubled[-1] >> (1 << (len(doubled) - 1)))
            spread = doubled[power]
            at = down * self.columns + start
            barred |= spread >> at | spread >> (at + count - (1 << power))
        free = self._places(width, height) & ~barred
        if not free:
            return None
        row, column = divmod((free & -free).bit_length() - 1, self.columns)
        return column, row

    def _places(self, width: int, height: int) -> int:
        """The cells at which a shape of so many columns and rows stays inside."""
        line = (1 << (self.columns - width + 1)) - 1
        rows = self.rows - height + 1
        # A line in every row: the geometric series of 2 ** columns.
        return line * (((1 << (rows * self.columns)) - 1) // ((1 << self.columns) - 1))


def cells_of(outline: Sequence[Point], grown: int, cell: int) -> list[Run]:
    """The cells that an outline touches when it is grown across and down.

    Parameters
    ----------
    outline : sequence of Point
        A closed polygon.
    grown : int
        By how much, in EMU.
    cell : int
        The side of a cell; cell (0, 0) has its corner at (-grown, -grown).
    """
    bottom = max(y for _, y in outline) + 2 * grown
    runs: list[Run] = []
    for row in range(-(-bottom // cell)):
        top = row * cell - 2 * grown
        merged: list[list[int]] = []
        for left, right in sorted(_spans(outline, top, top + cell + 2 * grown)):
            first, last = left // cell, (right + 2 * grown - 1) // cell
            if merged and first <= merged[-1][1] + 1:
                merged[-1][1] = max(merged[-1][1], last)
            else:
                merged.append([first, last])
        runs += [(row, first, last - first + 1) for first, last in merged if last >= first]
    return runs


def _spans(outline: Sequence[Point], top: int, bottom: int) -> Iterator[tuple[int, int]]:
    """Where an outline is, across, within a band: its edges there, and its inside just below the band's top."""
    crossings: list[tuple[int, int]] = []
    for start, end in zip(outline, (*outline[1:], outline[0]), strict=True):
        (x0, y0), (x1, y1) = (start, end) if start[1] <= end[1] else (end, start)
        low, high = max(y0, top), min(y1, bottom)
        if y0 == y1:
            if top < y0 < bottom:
                yield min(x0, x1), max(x0, x1)
            continue
        if low >= high:
            continue
        at_low, at_high = (_across(x0, y0, x1, y1, y) for y in (low, high))
        yield min(at_low[0], at_high[0]), max(at_low[1], at_high[1])
        if low == top:
            crossings.append(at_low)
    crossings.sort()
    for left, right in zip(crossings[::2], crossings[1::2], strict=True):
        yield left[0], right[1]


def _across(x0: int, y0: int, x1: int, y1: int, y: int) -> tuple[int, int]:
    """Where an edge is across at a height: rounded down, and rounded up."""
    run, rise = (x1 - x0) * (y - y0), y1 - y0
    return x0 + run // rise, x0 - (-run // rise)


def area_of(outline: Sequence[Point]) -> int:
    """The area within a closed polygon, in square EMU, rounded down."""
    twice = sum(
        x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(outline, (*outline[1:], outline[0]), strict=True)
    )
    return abs(twice) // 2
