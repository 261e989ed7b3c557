"""Lets cut-outs lie closer than their boxes, for scissors, where that saves a sheet.

Pieces become cells of a grid (`kitprep.pack.raster`): a cut-out those of its outline, any other piece those
of its box. One sheet is taken away; its pieces, and those of sheets emptied in part or whole for their sake,
go wherever they find room, in shuffled orders, and what leaves no more waiting stays. An emptied pool is a
sheet saved. What finds no room leaves the sheets as they were, so nesting is never worse than boxes.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from kitprep.lengths import Box, Length, Size
from kitprep.pack.claims import Room
from kitprep.pack.mixing import Mixing
from kitprep.pack.packing import PackItem, Placement
from kitprep.pack.raster import Grid, Point, Run, area_of, cells_of

_CELLS = 90_000  # of a sheet: 1/32 in on letter, where finding all free places takes about 1 ms
_LOOKS = 600  # for free places, when the effort is 1
_SHARES_EMPTIED = (0.25, 0.5, 1.0)
_SPREAD = 0.6  # how far a shuffled order may stray from the order by size


@dataclass(frozen=True, slots=True)
class _Shape:
    """An item as it lies, so many quarters clockwise: its cells, and where its trim's corner is in them."""

    quarters: int
    size: Size
    runs: tuple[Run, ...]
    corner: int


def least_sheets_nested(items: Sequence[PackItem], room: Size) -> int:
    """A number of sheets that no packing of outlines can do without: by area.

    Parameters
    ----------
    items : sequence of PackItem
        What is placed; outlines count with their own area, other pieces with that of their box and bleed.
    room : Size
        The printable area.
    """
    total = 0
    for item in items:
        whole = item.size.grown(item.bleed)
        own = area_of(item.outline) if item.outline else whole.width.emu * whole.height.emu
        total += item.copies * own
    return max(1, -(-total // (room.width.emu * room.height.emu)))


class Nester:
    """Nests the pieces of sheets.

    Parameters
    ----------
    items : sequence of PackItem
        What the placements are of.
    room : Room
        Where claims may lie.
    gap : Length
        The least distance between two trims.
    effort : float
        How long to look.
    deadline : callable or None
        Says whether to stop early.
    """

    def __init__(
        self,
        items: Sequence[PackItem],
        room: Room,
        gap: Length,
        effort: float,
        deadline: Callable[[], bool] | None,
    ) -> None:
        self.items, self.room, self.deadline = items, room, deadline
        self.looks = round(_LOOKS * effort)
        self.mixing = Mixing(3)
        width, height = room.width * room.unit, room.height * room.unit
        cell = 1 + int((width * height / _CELLS) ** 0.5)
        self.grid = Grid(width // cell, height // cell, cell)
        self.grown = [max(item.bleed.emu, gap.emu - gap.emu // 2) for item in items]
        self.shapes = [self._shapes(index) for index in range(len(items))]
        self.areas = [
            area_of(item.outline) if item.outline else item.size.width.emu * item.size.height.emu
            for item in items
        ]

    def nested(self, sheets: list[list[Placement]], bound: int) -> list[list[Placement]]:
        """The same pieces on fewer sheets, or the sheets as they are.

        Parameters
        ----------
        sheets : list of list of Placement
            As boxes allow.
        bound : int
            A number of sheets that cannot be beaten.
        """
        while len(sheets) > bound:
            fewer = self._with_one_less(sheets)
            if fewer is None:
                break
            sheets = fewer
        return sheets

    def filled(self, sheet: list[Placement], items: Sequence[int]) -> list[Placement]:
        """A sheet with as many more copies of some items as find room, the largest first."""
        taken = self._taken(sheet)
        for item in sorted(items, key=lambda index: -self.areas[index]):
            while (found := self._put(item, taken)) is not None:
                placement, cells = found
                sheet, taken = [*sheet, placement], taken | cells
        return sheet

    def _with_one_less(self, sheets: Sequence[Sequence[Placement]]) -> list[list[Placement]] | None:
        ordered = sorted(sheets, key=self._used, reverse=True)
        rest = [list(sheet) for sheet in ordered[:-1]]
        taken = [self._taken(sheet) for sheet in rest]
        pool = [place.item for place in ordered[-1]]
        owed = self._owed(pool)
        while self.looks > 0 and not (self.deadline is not None and self.deadline()):
            chosen = self.mixing.bits() % len(rest)
            kept, loose = self._parted(rest[chosen])
            cells = self._taken(kept)
            left: list[int] = []
            for item in self._shuffled([*loose, *pool]):
                found = self._put(item, cells)
                if found is None:
                    left.append(item)
                else:
                    kept.append(found[0])
                    cells |= found[1]
            if (now_owed := self._owed(left)) <= owed:
                pool, owed, rest[chosen], taken[chosen] = left, now_owed, kept, cells
                if not pool:
                    return rest
        return None

    def _parted(self, sheet: Sequence[Placement]) -> tuple[list[Placement], list[int]]:
        """What stays on a sheet, and the items that are taken off it: those nearest to some corner."""
        share = self.mixing.choose(_SHARES_EMPTIED)
        across, down = self.mixing.choose((-1, 1)), self.mixing.choose((-1, 1))
        by_corner = sorted(sheet, key=lambda place: across * place.box.left.emu + down * place.box.top.emu)
        count = round(len(sheet) * (1 - share * self.mixing.share()))
        return by_corner[:count], [place.item for place in by_corner[count:]]

    def _shuffled(self, items: Sequence[int]) -> list[int]:
        share = self.mixing.share
        keyed = [(self.areas[item] * (1 - _SPREAD * share()), -index) for index, item in enumerate(items)]
        return [items[-index] for _, index in sorted(keyed, reverse=True)]

    def _put(self, item: int, taken: int) -> tuple[Placement, int] | None:
        """The highest place for an item, and the cells it then takes."""
        best: tuple[int, int, _Shape] | None = None
        for shape in self.shapes[item]:
            self.looks -= 1
            found = self.grid.first_free(taken, shape.runs)
            if found is not None and (best is None or (found[1], found[0]) < best[:2]):
                best = found[1], found[0], shape
        if best is None:
            return None
        row, column, shape = best
        left = self.room.left + column * self.grid.cell + shape.corner
        top = self.room.top + row * self.grid.cell + shape.corner
        box = Box.at(Length(left), Length(top), shape.size)
        placement = Placement(item, box, self.items[item].bleed, shape.quarters % 2 == 1, shape.quarters >= 2)
        return placement, self.grid.taken(shape.runs, column, row)

    def _taken(self, sheet: Sequence[Placement]) -> int:
        """The cells that pieces take where they lie."""
        taken, cell = 0, self.grid.cell
        for place in sheet:
            grown = self.grown[place.item]
            left = place.box.left.emu - grown - self.room.left
            top = place.box.top.emu - grown - self.room.top
            outline = [
                (x + left % cell, y + top % cell) for x, y in self._outline(place.item, place.quarters)
            ]
            taken |= self.grid.within(cells_of(outline, grown, cell), left // cell, top // cell)
        return taken

    def _shapes(self, item: int) -> tuple[_Shape, ...]:
        size, has_outline = self.items[item].size, bool(self.items[item].outline)
        quarters = (0, 1, 2, 3) if has_outline else (0, 1)
        shapes = []
        for turns in quarters if self.items[item].may_turn else (0,):
            lying = size.turned if turns % 2 else size
            runs = tuple(cells_of(self._outline(item, turns), self.grown[item], self.grid.cell))
            shapes.append(_Shape(turns, lying, runs, self.grown[item]))
        return tuple(shapes)

    def _outline(self, item: int, quarters: int) -> Sequence[Point]:
        """The outline, or the box where there is none, from the trim's corner as it lies."""
        size = self.items[item].size
        width, height = size.width.emu, size.height.emu
        outline: Sequence[Point] = self.items[item].outline
        outline = outline or ((0, 0), (width, 0), (width, height), (0, height))
        for _ in range(quarters):
            outline = [(height - y, x) for x, y in outline]
            width, height = height, width
        return outline

    def _owed(self, items: Sequence[int]) -> int:
        return sum(self.areas[item] for item in items)

    def _used(self, sheet: Sequence[Placement]) -> int:
        return sum(self.areas[place.item] for place in sheet)
