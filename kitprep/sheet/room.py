"""Which parts of a sheet are still free, for marks and words that must not touch a piece."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from enum import Enum
from functools import reduce
from operator import and_

from kitprep.lengths import EMU_PER_INCH, Box, Length, Size

_CELL = EMU_PER_INCH // 2  # of the grid by which boxes are found: about the size of a small piece

_STEP = EMU_PER_INCH // 32  # how finely free places are looked for

_Span = tuple[int, int, int, int]


class Way(Enum):
    """A direction on the paper: (to the right, down)."""

    LEFT = (-1, 0)
    RIGHT = (1, 0)
    UP = (0, -1)
    DOWN = (0, 1)


class Room:
    """An area with boxes in it that must not be touched. Edges may meet.

    Parameters
    ----------
    area : Box
        Where things may be put.
    taken : iterable of Box
        What is already there.
    """

    def __init__(self, area: Box, taken: Iterable[Box] = ()) -> None:
        self.area = area
        self._cells: dict[tuple[int, int], list[_Span]] = {}
        self._all: list[_Span] = []
        for box in taken:
            self.take(box)

    def take(self, box: Box) -> None:
        """Mark a box as taken."""
        self._take(_span(box))

    def _take(self, span: _Span) -> None:
        self._all.append(span)
        for cell in _cells(span):
            self._cells.setdefault(cell, []).append(span)

    def with_also(self, boxes: Iterable[Box]) -> Room:
        """The same room with more taken; this one stays as it is."""
        other = Room(self.area, boxes)
        for span in self._all:
            other._take(span)
        return other

    def is_free(self, box: Box) -> bool:
        """Whether a box lies in the area and overlaps nothing taken."""
        return self.area.contains(box) and not any(True for _ in self._touching(_span(box)))

    def reach(self, stroke: Box, way: Way) -> Length:
        """How far a stroke gets before it touches something or leaves the area.

        Parameters
        ----------
        stroke : Box
            The ink of the stroke at its full length.
        way : Way
            The direction it is drawn in.

        Returns
        -------
        Length
            Of the free part from its start; zero where there is none.
        """
        left, top, right, bottom = _span(stroke)
        area = _span(self.area)
        within = {
            Way.UP: area[0] <= left and right <= area[2] and bottom <= area[3],
            Way.DOWN: area[0] <= left and right <= area[2] and area[1] <= top,
            Way.LEFT: area[1] <= top and bottom <= area[3] and right <= area[2],
            Way.RIGHT: area[1] <= top and bottom <= area[3] and area[0] <= left,
        }
        if not within[way]:
            return Length(0)
        met = [_edge(area, way)]
        met += [_edge(span, _BACK[way]) for span in self._touching((left, top, right, bottom))]
        sign = way.value[0] + way.value[1]
        start = _edge((left, top, right, bottom), _BACK[way])
        end = _edge((left, top, right, bottom), way)
        reached = min(sign * end, *(sign * edge for edge in met))
        return Length(max(0, reached - sign * start))

    def gaps(self, stroke: Box, *, upright: bool) -> list[tuple[Length, Length]]:
        """The free parts of a long stroke, in order from left to right or top to bottom."""
        left, top, right, bottom = _span(stroke)
        start, end = (top, bottom) if upright else (left, right)
        hits = sorted(
            (span[1], span[3]) if upright else (span[0], span[2])
            for span in self._touching((left, top, right, bottom))
        )
        free = []
        for low, high in [*hits, (end, end)]:
            if low > start:
                free.append((Length(start), Length(min(low, end))))
            start = max(start, high)
        return [(low, high) for low, high in free if high > low]

    def find(self, size: Size) -> Box | None:
        """A free place for a box, as low and then as far left as there is, to a 32nd of an inch.

        The area is looked at as rows of bits, one for each 32nd of an inch that is free all over.

        Returns
        -------
        Box or None
            None where there is no such place.
        """
        left, top, right, bottom = _span(self.area)
        columns, rows = (right - left) // _STEP, (bottom - top) // _STEP
        wide, high = -(-size.width.emu // _STEP), -(-size.height.emu // _STEP)
        if columns < wide or rows < high:
            return None
        free = self._free_rows(columns, rows)
        for row in range(rows - high, -1, -1):
            fits = _runs(reduce(and_, free[row : row + high]), wide)
            if fits:
                column = (fits & -fits).bit_length() - 1
                return Box.at(Length(left + column * _STEP), Length(top + row * _STEP), size)
        return None

    def _free_rows(self, columns: int, rows: int) -> list[int]:
        free = [(1 << columns) - 1] * rows
        origin_x, origin_y = self.area.left.emu, self.area.top.emu
        for left, top, right, bottom in self._all:
            first, last = (left - origin_x) // _STEP, -(-(right - origin_x) // _STEP)
            if last <= 0:
                continue
            bits = (1 << last) - (1 << max(first, 0))
            for row in range(max(0, (top - origin_y) // _STEP), min(rows, -(-(bottom - origin_y) // _STEP))):
                free[row] &= ~bits
        return free

    def _touching(self, span: _Span) -> Iterator[_Span]:
        left, top, right, bottom = span
        for cell in _cells(span):
            for other in self._cells.get(cell, ()):
                if left < other[2] and other[0] < right and top < other[3] and other[1] < bottom:
                    yield other


_BACK = {Way.LEFT: Way.RIGHT, Way.RIGHT: Way.LEFT, Way.UP: Way.DOWN, Way.DOWN: Way.UP}


def _edge(span: _Span, way: Way) -> int:
    return span[{Way.LEFT: 0, Way.UP: 1, Way.RIGHT: 2, Way.DOWN: 3}[way]]


def _span(box: Box) -> _Span:
    return box.left.emu, box.top.emu, box.right.emu, box.bottom.emu


def _cells(span: _Span) -> Iterator[tuple[int, int]]:
    left, top, right, bottom = span
    for column in range(left // _CELL, (right - 1) // _CELL + 1):
        for row in range(top // _CELL, (bottom - 1) // _CELL + 1):
            yield column, row


def _runs(bits: int, length: int) -> int:
    """The bits at which a run of `length` set bits starts."""
    have = 1
    while have < length:
        step = min(have, length - have)
        bits &= bits >> step
        have += step
    return bits
