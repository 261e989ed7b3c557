"""Outlines that lie closer than their boxes."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations

import pytest

from kitprep.lengths import EMU_PER_INCH, ZERO, Length, Size, inches
from kitprep.pack import CutMode, Packing, PackItem, Placement, pack
from kitprep.papers import LETTER, Margins

QUARTER = Margins.even(inches("1/4"))
Point = tuple[float, float]


def cut_out(copies: int, corners: str, bleed: str = "1/16", turn: bool = True) -> PackItem:
    """A cut-out with corners given as "x y, x y" in inches; its trim is the box around them."""
    points = [
        tuple(int(Fraction(side) * EMU_PER_INCH) for side in corner.split()) for corner in corners.split(",")
    ]
    size = Size(Length(max(x for x, _ in points)), Length(max(y for _, y in points)))
    return PackItem("moth", size, copies, inches(bleed), turn, tuple((x, y) for x, y in points))


L_SHAPE = "0 0, 1 0, 1 2, 3 2, 3 3, 0 3"
TRIANGLE = "0 0, 3 0, 0 4"


def outlines(packing: Packing, items: list[PackItem]) -> list[list[tuple[Placement, list[Point]]]]:
    """Every outline in its place, in EMU on the paper, worked out here from box and quarters."""
    sheets = []
    for sheet in packing.sheets:
        placed = []
        for place in sheet.placements:
            item, box = items[place.item], place.box
            width, height = item.size.width.emu, item.size.height.emu
            corners = item.outline or ((0, 0), (width, 0), (width, height), (0, height))
            turned = {
                0: [(box.left.emu + x, box.top.emu + y) for x, y in corners],
                1: [(box.right.emu - y, box.top.emu + x) for x, y in corners],
                2: [(box.right.emu - x, box.bottom.emu - y) for x, y in corners],
                3: [(box.left.emu + y, box.bottom.emu - x) for x, y in corners],
            }[place.quarters]
            placed.append((place, [(float(x), float(y)) for x, y in turned]))
        sheets.append(placed)
    return sheets


def distance(one: list[Point], other: list[Point]) -> float:
    """The distance between two polygons; 0 where their edges cross or one lies within the other."""
    edges = [list(zip(shape, [*shape[1:], shape[0]], strict=True)) for shape in (one, other)]
    if (
        any(_cross(a, b) for a in edges[0] for b in edges[1])
        or _holds(one, other[0])
        or _holds(other, one[0])
    ):
        return 0
    ends = [(point, edge) for point in one for edge in edges[1]] + [
        (p, edge) for p in other for edge in edges[0]
    ]
    return min(_to_edge(point, *edge) for point, edge in ends)


def _side(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _cross(one: tuple[Point, Point], other: tuple[Point, Point]) -> bool:
    return (
        _side(*one, other[0]) * _side(*one, other[1]) < 0
        and _side(*other, one[0]) * _side(*other, one[1]) < 0
    )


def _holds(shape: list[Point], point: Point) -> bool:
    inside = False
    for (x0, y0), (x1, y1) in zip(shape, [*shape[1:], shape[0]], strict=True):
        if (y0 > point[1]) != (y1 > point[1]) and point[0] < x0 + (x1 - x0) * (point[1] - y0) / (y1 - y0):
            inside = not inside
    return inside


def _to_edge(point: Point, start: Point, end: Point) -> float:
    across, down = end[0] - start[0], end[1] - start[1]
    along = ((point[0] - start[0]) * across + (point[1] - start[1]) * down) / (across**2 + down**2)
    along = min(max(along, 0), 1)
    return ((point[0] - start[0] - along * across) ** 2 + (point[1] - start[1] - along * down) ** 2) ** 0.5


@pytest.mark.parametrize(
    ("items", "gap", "boxes_need", "outlines_need"),
    [
        ([cut_out(10, L_SHAPE), cut_out(10, "0 0, 7/4 0, 7/4 7/4, 0 7/4")], "0", 3, 2),
        ([cut_out(9, TRIANGLE), cut_out(9, "0 0, 2 0, 0 3")], "0", 3, 2),
        ([cut_out(8, TRIANGLE, bleed="0")], "1/8", 2, 1),
    ],
)
def test_nesting_saves_a_sheet_and_keeps_bleeds_gaps_and_margins(
    items: list[PackItem], gap: str, boxes_need: int, outlines_need: int
) -> None:
    plain = [PackItem(item.name, item.size, item.copies, item.bleed, item.may_turn) for item in items]
    as_boxes = pack(plain, LETTER, QUARTER, gap=inches(gap), mode=CutMode.SCISSORS)
    nested = pack(items, LETTER, QUARTER, gap=inches(gap), mode=CutMode.SCISSORS)
    assert (len(as_boxes.sheets), len(nested.sheets)) == (boxes_need, outlines_need)
    assert any(sheet.nested for sheet in nested.sheets)
    assert nested.bound <= len(nested.sheets)
    count = [
        sum(place.item == index for sheet in nested.sheets for place in sheet.placements) for index in (0, 1)
    ]
    assert count[: len(items)] == [item.copies for item in items]
    for placed in outlines(nested, items):
        for place, _ in placed:
            clear = place.box.grown(place.bleed)
            assert clear.left >= inches("1/4") and clear.right <= inches("8 1/4")
            assert clear.top >= inches("1/4") and clear.bottom <= inches("10 3/4")
        for (one, shape), (other, other_shape) in combinations(placed, 2):
            apart = max((one.bleed + other.bleed).emu, inches(gap).emu)
            assert distance(shape, other_shape) >= apart


def test_a_cut_out_that_may_not_turn_is_not_turned() -> None:
    items = [cut_out(9, TRIANGLE, turn=False)]
    packing = pack(items, LETTER, QUARTER, gap=ZERO, mode=CutMode.SCISSORS)
    assert all(place.quarters == 0 for sheet in packing.sheets for place in sheet.placements)


def test_outlines_mean_nothing_to_a_trimmer() -> None:
    items = [cut_out(9, TRIANGLE)]
    plain = [PackItem("moth", items[0].size, 9, items[0].bleed, True)]
    with_outlines, as_boxes = (
        pack(these, LETTER, QUARTER, gap=ZERO, mode=CutMode.TRIMMER) for these in (items, plain)
    )
    assert with_outlines == as_boxes


def test_more_copies_fill_the_hollows_of_others() -> None:
    # The hollow takes five rows of seven of 1 1/8 in, the strips beside and below the box one row each.
    items = [cut_out(1, "0 0, 7 0, 7 1, 1 1, 1 9, 0 9"), cut_out(1, "0 0, 1 0, 1 1, 0 1")]
    (sheet,) = pack(items, LETTER, QUARTER, gap=ZERO, mode=CutMode.SCISSORS, fill=[1]).sheets
    corner = sheet.placements[0].box if sheet.placements[0].item == 0 else sheet.placements[1].box
    within = [place for place in sheet.placements if place.item == 1 and corner.contains(place.box)]
    assert len(within) >= 30


def test_the_same_outlines_nest_the_same_way() -> None:
    items = [cut_out(8, TRIANGLE, bleed="0")]
    one, other = (pack(items, LETTER, QUARTER, gap=ZERO, mode=CutMode.SCISSORS) for _ in range(2))
    assert one == other
