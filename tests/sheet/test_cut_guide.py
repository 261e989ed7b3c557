"""What the cut guide says."""

from __future__ import annotations

from kitprep.lengths import ZERO, Size, Unit, inches
from kitprep.pack import CutMode, PackItem, pack
from kitprep.papers import A4, LETTER, Margins
from kitprep.sheet import Sheet, SheetItem, check_strip, lay_out
from kitprep.sheet.guide import cut_guide

QUARTER = Margins.even(inches("1/4"))


def _sheets(mode: CutMode, paper=LETTER) -> list[Sheet]:
    items = [
        PackItem("picker's tag", Size(inches(2), inches("3 1/4")), 3, ZERO, True),
        PackItem("tally stamp", Size(inches(1), inches("1 1/4")), 5, ZERO, True),
    ]
    packing = pack(items, paper, check_strip(paper, QUARTER), gap=ZERO, mode=mode)
    drawn = [
        SheetItem("picker's tag", "k/p01-01", scores=(inches("1/2"),), grade="crisp"),
        SheetItem("tally stamp"),
    ]
    return [
        lay_out(sheet, drawn, paper=paper, margins=QUARTER, number=number, total=len(packing.sheets))
        for number, sheet in enumerate(packing.sheets, 1)
    ]


def test_every_cut_is_a_step_with_the_packing_s_own_fence_setting():
    sheets = _sheets(CutMode.TRIMMER)
    for sheet, guide in zip(sheets, cut_guide(sheets), strict=True):
        assert [step.cut for step in guide.steps] == list(sheet.cuts)
        for step in guide.steps:
            assert step.edge in ("left", "right", "top", "bottom")
            assert step.fence.endswith(" in")
            assert step.other.endswith(" mm")
            assert step.ticked == (step.cut.number not in sheet.unmarked_cuts)


def test_pieces_are_listed_once_with_their_copies_on_that_sheet():
    (guide,) = cut_guide(_sheets(CutMode.SCISSORS))
    assert [(piece.letter, piece.name, piece.count) for piece in guide.pieces] == [
        ("A", "picker's tag", 3),
        ("B", "tally stamp", 5),
    ]
    assert guide.pieces[0].size == "2 × 3 ¹⁄₄ in"
    assert guide.pieces[0].folds == "fold at ¹⁄₂ in from the left"
    assert guide.pieces[0].grade == "crisp"


def test_a_trimmer_s_guide_minds_its_blade_and_sends_to_its_manual_first():
    (guide,) = cut_guide(_sheets(CutMode.TRIMMER))
    words = " ".join(guide.cautions)
    for needed in ("manual first", "blade guard", "hold-down", "never reach", "children"):
        assert needed in words


def test_halves_of_a_tenth_of_a_millimetre_are_rounded_up():
    (guide,) = cut_guide(_sheets(CutMode.TRIMMER))
    for step in guide.steps:
        tenths = step.cut.fence.emu * 10 / 36_000
        assert abs(float(step.other.removesuffix(" mm")) * 10 - tenths) <= 0.5 + 1e-9


def test_metric_guides_speak_millimetres_first():
    (guide,) = cut_guide(_sheets(CutMode.TRIMMER, A4), Unit.MM)
    assert all(step.fence.endswith(" mm") and step.other.endswith(" in") for step in guide.steps)
    assert guide.paper == "A4, 210 × 297 mm"


def test_what_is_left_over_is_named_with_its_place_and_size():
    (guide,) = cut_guide(_sheets(CutMode.TRIMMER))
    strip = guide.sheet.left_over
    assert strip is not None
    assert strip.height == inches(11)
    assert guide.left_over == "Left over at the right, to keep: 5 ¹⁄₄ × 11 in"
    assert guide.steps[0].falls == "left-over, to keep"


def test_pieces_for_scissors_are_numbered_from_the_top_and_the_list_says_which_are_which():
    (guide,) = cut_guide(_sheets(CutMode.SCISSORS))
    numbers = [number for piece in guide.pieces for number in piece.numbers.removeprefix("no. ").split(", ")]
    assert sorted(map(int, numbers)) == list(range(1, 9))
    for piece in guide.pieces:
        for number in piece.numbers.removeprefix("no. ").split(", "):
            assert guide.sheet.pieces[int(number) - 1].name == piece.name
    assert "in the order of their numbers" in guide.note


def test_a_trimmer_s_pieces_are_not_numbered_as_its_cuts_are():
    (guide,) = cut_guide(_sheets(CutMode.TRIMMER))
    assert {piece.numbers for piece in guide.pieces} == {""}
