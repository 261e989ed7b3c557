"""Judges packings by the rules alone; shares no code with the packer.

Everything here is plain numbers: boxes are (left, top, right, bottom) in EMU.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations
from pathlib import Path

from kitprep.lengths import Box, Length, Size, Unit, of
from kitprep.pack import CutMode, PackedSheet, Packing, PackItem
from kitprep.papers import Margins, Paper

DATA = Path(__file__).resolve().parent.parent / "data" / "packing"
Corners = tuple[int, int, int, int]


@dataclass(frozen=True)
class Case:
    """A job to pack."""

    name: str
    items: tuple[PackItem, ...]
    paper: Paper
    margins: Margins
    gap: Length


def cases(file: str) -> Iterator[Case]:
    """The jobs of a data file."""
    for job in json.loads((DATA / file).read_text(encoding="utf-8")):
        bleed = _thousandths(job["bleed"])
        items = tuple(
            PackItem(f"piece {number}", _size(piece["size"]), piece["copies"], bleed, piece["turn"])
            for number, piece in enumerate(job["pieces"], 1)
        )
        margins = Margins.even(_thousandths(job["margin"]))
        yield Case(
            job["name"], items, Paper(job["paper"], _size(job["sheet"])), margins, _thousandths(job["gap"])
        )


def _thousandths(value: int) -> Length:
    return of(Fraction(value, 1000), Unit.INCH)


def _size(sides: Sequence[int]) -> Size:
    return Size(_thousandths(sides[0]), _thousandths(sides[1]))


def corners(box: Box) -> Corners:
    return box.left.emu, box.top.emu, box.right.emu, box.bottom.emu


def faults(packing: Packing, case: Case, mode: CutMode, filling: Sequence[int] = ()) -> list[str]:
    """Every rule that a packing breaks, in words."""
    found = _wrong_copies(packing, case, filling)
    for number, sheet in enumerate(packing.sheets, 1):
        of_sheet = _misplaced(sheet, case) + _too_close(sheet, case)
        if mode is CutMode.TRIMMER:
            of_sheet += cutting_faults(sheet, case.paper, Length(12 * 914_400))
        elif sheet.cuts:
            of_sheet.append("has cuts although it is for scissors")
        found += [f"sheet {number}: {fault}" for fault in of_sheet]
    return found


def _wrong_copies(packing: Packing, case: Case, filling: Sequence[int]) -> list[str]:
    placed = Counter(placement.item for sheet in packing.sheets for placement in sheet.placements)
    return [
        f"{item.name} is placed {placed[index]} times, not {item.copies}"
        for index, item in enumerate(case.items)
        if placed[index] < item.copies or (placed[index] > item.copies and index not in filling)
    ]


def _misplaced(sheet: PackedSheet, case: Case) -> list[str]:
    found = []
    left, top = case.margins.left.emu, case.margins.top.emu
    right = case.paper.size.width.emu - case.margins.right.emu
    bottom = case.paper.size.height.emu - case.margins.bottom.emu
    for placement in sheet.placements:
        item = case.items[placement.item]
        x0, y0, x1, y1 = corners(placement.box)
        sides = (item.size.width.emu, item.size.height.emu)
        if (x1 - x0, y1 - y0) != (sides[::-1] if placement.turned else sides):
            found.append(f"{item.name} has another size")
        if placement.turned and not item.may_turn:
            found.append(f"{item.name} is turned")
        bleed = item.bleed.emu
        if placement.bleed != item.bleed:
            found.append(f"{item.name} has another bleed")
        if x0 - bleed < left or y0 - bleed < top or x1 + bleed > right or y1 + bleed > bottom:
            found.append(f"{item.name} reaches into the margin")
    return found


def _too_close(sheet: PackedSheet, case: Case) -> list[str]:
    found = []
    for one, other in combinations(sheet.placements, 2):
        apart = max(one.bleed.emu + other.bleed.emu, case.gap.emu)
        a, b = corners(one.box), corners(other.box)
        across = max(a[0] - b[2], b[0] - a[2])
        down = max(a[1] - b[3], b[1] - a[3])
        if max(across, down) < apart:
            found.append(f"{case.items[one.item].name} and {case.items[other.item].name} are too close")
    return found


def cutting_faults(sheet: PackedSheet, paper: Paper, longest: Length) -> list[str]:
    """What goes wrong when the sheet is cut by the guide alone, starting from the whole paper.

    Only the fence is followed: which edge lies against it and how far from it the cut is. Where a cut is
    said to be on the paper is compared with what that gives.
    """
    parts: list[Corners] = [(0, 0, paper.size.width.emu, paper.size.height.emu)]
    trims = {corners(placement.box) for placement in sheet.placements}
    found = []
    for count, cut in enumerate(sheet.cuts, 1):
        part = corners(cut.part_box)
        if cut.number != count:
            found.append(f"cut {count} is numbered {cut.number}")
        if part not in parts:
            return [*found, f"cut {count} is of a part that is not there"]
        parts.remove(part)
        left, top, right, bottom = part
        edge, fence = cut.against.value, cut.fence.emu
        at = {"left": left + fence, "right": right - fence, "top": top + fence, "bottom": bottom - fence}[
            edge
        ]
        if edge in ("left", "right"):
            halves, length, axis = [(left, top, at, bottom), (at, top, right, bottom)], bottom - top, "x"
        else:
            halves, length, axis = [(left, top, right, at), (left, at, right, bottom)], right - left, "y"
        ends = (top, bottom) if axis == "x" else (left, right)
        if (axis, at, *ends) != (cut.axis.value, cut.at.emu, cut.start.emu, cut.end.emu):
            found.append(f"cut {count} is said to be elsewhere than its fence puts it")
        if length > longest.emu:
            found.append(f"cut {count} is longer than the trimmer")
        if any(half[0] >= half[2] or half[1] >= half[3] for half in halves):
            found.append(f"cut {count} takes nothing off")
        if any(_crosses(trim, part, axis, at) for trim in trims):
            found.append(f"cut {count} goes through a piece")
        parts += halves
    found += [f"no part is the piece at {trim}" for trim in trims - set(parts)]
    wholes = [part for part in parts if part not in trims]
    found += ["a piece is left in the waste" for part in wholes if any(_within(t, part) for t in trims)]
    return found


def _crosses(trim: Corners, part: Corners, axis: str, at: int) -> bool:
    low = 0 if axis == "x" else 1
    return _within(trim, part) and trim[low] < at < trim[low + 2]


def _within(inner: Corners, outer: Corners) -> bool:
    return outer[0] <= inner[0] and outer[1] <= inner[1] and inner[2] <= outer[2] and inner[3] <= outer[3]
