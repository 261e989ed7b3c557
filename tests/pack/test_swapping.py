from __future__ import annotations

import pytest
from pack.packing_judge import Case, cases, faults

from kitprep.lengths import ZERO, Length, Size, inches
from kitprep.pack import CutMode, PackItem, pack, packer
from kitprep.papers import LETTER, Margins


def item(size: str, copies: int) -> PackItem:
    width, height = size.split(" x ")
    return PackItem(size, Size(inches(width), inches(height)), copies, ZERO, True)


def cuts_of(case: Case) -> tuple[int, int, int]:
    """Sheets, the last left-over's area and all cuts, of a packing that keeps every rule."""
    packing = pack(case.items, case.paper, case.margins, gap=case.gap, mode=CutMode.TRIMMER, effort=0.05)
    assert faults(packing, case, CutMode.TRIMMER) == []
    left_over = packing.sheets[-1].left_over
    area = left_over.width.emu * left_over.height.emu if left_over else 0
    return len(packing.sheets), area, sum(len(sheet.cuts) for sheet in packing.sheets)


def test_swapping_saves_cuts_and_trades_neither_a_sheet_nor_left_over(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    saved = 0
    for case in list(cases("jobs.json"))[53:66]:
        if case.gap or any(item.bleed for item in case.items):
            continue
        sheets, left_over, cuts = cuts_of(case)
        with monkeypatch.context() as patch:
            patch.setattr(packer, "swapped", lambda sheets, *_: sheets)
            before = cuts_of(case)
        assert (sheets, -left_over) <= (before[0], -before[1])
        assert cuts <= before[2]
        saved += before[2] - cuts
    assert saved > 0


def test_two_sheets_of_many_equal_pieces_keep_every_piece() -> None:
    items = (item("2 x 3", 9), item("4 x 5", 3), item("1 1/2 x 1 1/2", 12))
    case = Case("", items, LETTER, Margins.even(inches("1/4")), Length(0))
    assert cuts_of(case)[0] == 2
