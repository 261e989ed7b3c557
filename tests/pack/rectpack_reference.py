"""What rectpack (secnot/rectpack on PyPI) needs for the same jobs: plain rectangles of whole numbers."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import rectpack
from pack.packing_judge import Case

GUILLOTINE = [
    getattr(rectpack, f"Guillotine{choice}{split}")
    for choice in ("Baf", "Bssf", "Blsf")
    for split in ("Sas", "Las", "Slas", "Llas", "Maxas", "Minas")
]
MAXIMAL_RECTANGLES = [rectpack.MaxRectsBssf, rectpack.MaxRectsBaf, rectpack.MaxRectsBlsf]
ORDERS = (rectpack.SORT_AREA, rectpack.SORT_LSIDE, rectpack.SORT_SSIDE, rectpack.SORT_PERI)


def inflated(case: Case) -> tuple[list[tuple[int, int, bool]], tuple[int, int]]:
    """Every piece with the distance to its neighbours added, and a room with the same added.

    Exact where all bleeds are equal, as they are in the data.
    """
    bleed = case.items[0].bleed.emu
    apart = max(case.gap.emu, 2 * bleed)
    margins, paper = case.margins, case.paper.size
    room = (
        paper.width.emu - margins.left.emu - margins.right.emu - 2 * bleed + apart,
        paper.height.emu - margins.top.emu - margins.bottom.emu - 2 * bleed + apart,
    )
    rects = [
        (item.size.width.emu + apart, item.size.height.emu + apart, item.may_turn)
        for item in case.items
        for _ in range(item.copies)
    ]
    return rects, room


def _turning_by_name(method: Any) -> Any:
    """A method that turns a rectangle only where the rectangle's own id says that it may.

    rectpack itself turns all of them or none.
    """

    def add_rect(self: Any, width: int, height: int, rid: bool) -> Any:
        self.rot = rid
        return method.add_rect(self, width, height, rid)

    return type(f"{method.__name__}ByName", (method,), {"add_rect": add_rect})


def fewest_sheets(case: Case, methods: Iterable[Any], orders: Iterable[Any] = ORDERS) -> int:
    """The best of rectpack's methods in several orders, each rectangle in the first bin that takes it."""
    rects, room = inflated(case)
    best = len(rects)
    for method in methods:
        for order in orders:
            packer = rectpack.newPacker(
                mode=rectpack.PackingMode.Offline,
                bin_algo=rectpack.PackingBin.BFF,
                pack_algo=_turning_by_name(method),
                sort_algo=order,
                rotation=True,
            )
            for wide, high, turns in rects:
                packer.add_rect(wide, high, rid=turns)
            packer.add_bin(*room, count=best)
            packer.pack()
            if len(packer.rect_list()) == len(rects):
                best = min(best, len(packer))
    return best
