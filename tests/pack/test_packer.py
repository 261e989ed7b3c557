from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pack.packing_judge import Case, cases, faults

from kitprep.errors import (
    BadOption,
    KitprepError,
    MarginsLeaveNothing,
    TooManyPieces,
    TrimmerTooShort,
    WontFit,
)
from kitprep.lengths import ZERO, Length, Size, inches, mm
from kitprep.pack import Axis, CutMode, Packing, PackItem, pack, packer
from kitprep.papers import A4, LETTER, NO_MARGINS, SQUARE_12, Margins, Paper, find_paper

QUARTER = Margins.even(inches("1/4"))
LEGAL = find_paper("legal")
A3 = find_paper("A3")


def item(size: str, copies: int = 1, bleed: str = "0", turn: bool = True, name: str = "tag") -> PackItem:
    width, height = size.split("x")
    return PackItem(name, Size(inches(width.strip()), inches(height.strip())), copies, inches(bleed), turn)


def packed(case: Case, mode: CutMode = CutMode.TRIMMER) -> Packing:
    packing = pack(case.items, case.paper, case.margins, gap=case.gap, mode=mode)
    assert faults(packing, case, mode) == []
    return packing


def sixteenths(low: int, high: int) -> st.SearchStrategy[Length]:
    return st.integers(low, high).map(lambda count: Length(count * 57_150))


LENGTHS = st.one_of(sixteenths(4, 150), st.integers(36_000, 9_000_000).map(Length))
SMALL = st.one_of(st.just(ZERO), sixteenths(0, 4), st.integers(0, 200_000).map(Length))
ITEMS = st.lists(
    st.builds(
        PackItem,
        st.sampled_from(["tag", "stamp", "moth"]),
        st.builds(Size, LENGTHS, LENGTHS),
        st.integers(1, 6),
        SMALL,
        st.booleans(),
    ),
    min_size=1,
    max_size=5,
)
CASES = st.builds(
    lambda items, paper, margins, gap: Case("any", tuple(items), paper, margins, gap),
    ITEMS,
    st.sampled_from([LETTER, A4, SQUARE_12, LEGAL, LETTER.landscape, A3]),
    st.builds(Margins, SMALL, SMALL, SMALL, SMALL),
    SMALL,
)


@settings(max_examples=120, deadline=None)
@given(CASES, st.sampled_from(CutMode))
def test_every_piece_is_placed_by_the_rules_or_refused_by_name(case: Case, mode: CutMode) -> None:
    try:
        packing = pack(case.items, case.paper, case.margins, gap=case.gap, mode=mode)
    except WontFit as refusal:
        item = next(item for item in case.items if item.name == refusal.name and not _fits(item, case))
        assert item.name in str(refusal)
        return
    except TrimmerTooShort:
        assert mode is CutMode.TRIMMER
        assert max(case.paper.size.width, case.paper.size.height) > inches(12)
        return
    assert faults(packing, case, mode) == []
    assert 1 <= packing.bound <= len(packing.sheets)


def _fits(item: PackItem, case: Case) -> bool:
    margins, paper = case.margins, case.paper.size
    room = Size(paper.width - margins.left - margins.right, paper.height - margins.top - margins.bottom)
    needs = item.size.grown(item.bleed)
    return needs.fits_in(room) or (item.may_turn and needs.turned.fits_in(room))


@settings(max_examples=40, deadline=None)
@given(CASES)
def test_scissors_never_need_more_sheets_than_the_trimmer(case: Case) -> None:
    try:
        with_trimmer = pack(case.items, case.paper, case.margins, gap=case.gap, mode=CutMode.TRIMMER)
    except (WontFit, TrimmerTooShort):
        return
    freely = pack(case.items, case.paper, case.margins, gap=case.gap, mode=CutMode.SCISSORS)
    assert len(freely.sheets) <= len(with_trimmer.sheets)


@settings(max_examples=20, deadline=None)
@given(CASES, st.sampled_from(CutMode))
def test_the_same_job_gives_the_same_packing(case: Case, mode: CutMode) -> None:
    def once() -> Packing | str:
        try:
            return pack(case.items, case.paper, case.margins, gap=case.gap, mode=mode)
        except KitprepError as refusal:
            return str(refusal)

    assert once() == once()


def test_one_piece_as_large_as_the_paper_needs_no_cut() -> None:
    packing = packed(Case("", (item("12x12"),), SQUARE_12, NO_MARGINS, inches("1/8")))
    assert packing.sheets[0].cuts == ()
    assert packing.proved


def test_two_card_bases_come_from_a_letter_sheet_with_one_cut() -> None:
    packing = packed(Case("", (item("8 1/2 x 5 1/2", 2),), LETTER, NO_MARGINS, ZERO))
    cuts = packing.sheets[0].cuts
    assert [(cut.axis, cut.at) for cut in cuts] == [(Axis.Y, inches("5 1/2"))]


def test_pieces_without_bleed_and_gap_share_cuts() -> None:
    packing = packed(Case("", (item("3x3", 16),), SQUARE_12, NO_MARGINS, ZERO))
    assert len(packing.sheets) == 1
    assert len(packing.sheets[0].cuts) == 15


def test_bleeds_may_touch_at_the_margin_and_between_pieces() -> None:
    # 8 in printable: two bleeds of 1/4 in around 3 1/2 in fit twice exactly.
    packing = packed(Case("", (item("3 1/2 x 10", 2, "1/4", turn=False),), LETTER, QUARTER, ZERO))
    assert len(packing.sheets) == 1


def test_a_gap_wider_than_the_bleeds_rules_between_pieces_but_not_at_the_edge() -> None:
    # 8 in printable: 3 1/2 + 3 1/2 + a gap of 1 in; half a gap at each edge would not fit.
    fits = packed(Case("", (item("3 1/2 x 10", 2, turn=False),), LETTER, QUARTER, inches(1)))
    assert len(fits.sheets) == 1
    over = packed(Case("", (item("3 1/2 x 10", 2, turn=False),), LETTER, QUARTER, inches("1 1/16")))
    assert len(over.sheets) == over.bound == 2


def test_a_blank_as_wide_as_the_room_goes_on_a_sheet_with_bleeding_pieces_and_a_gap() -> None:
    items = (item("8x4", name="base"), item("2x2", 4, "1/8", name="stamp"))
    packing = packed(Case("", items, LETTER, QUARTER, inches("1/2")))
    assert len(packing.sheets) == 1


def test_a_piece_that_only_fits_turned_is_turned() -> None:
    packing = packed(Case("", (item("10x8"),), LETTER, QUARTER, ZERO))
    assert [placement.turned for placement in packing.sheets[0].placements] == [True]


def test_strips_with_a_direction_are_not_turned() -> None:
    packing = packed(
        Case("", (item("1x10", 8, turn=False), item("8x1/4", turn=False)), LETTER, QUARTER, ZERO)
    )
    assert not any(p.turned for sheet in packing.sheets for p in sheet.placements)


def test_legal_paper_is_cut_across_before_it_is_cut_down() -> None:
    packing = packed(Case("", (item("2x6", 8, turn=False), item("4x1", 2)), LEGAL, QUARTER, ZERO))
    assert len(packing.sheets) == 1
    assert packing.sheets[0].cuts[0].axis is Axis.Y


def test_a3_lying_on_its_side_is_cut_down_first() -> None:
    packing = packed(Case("", (item("4x4", 8),), A3.landscape, QUARTER, ZERO))
    assert packing.sheets[0].cuts[0].axis is Axis.X


def test_the_leftover_is_a_clean_strip_beside_every_bleed() -> None:
    packing = packed(Case("", (item("2x2", 6, "1/8"),), SQUARE_12, NO_MARGINS, ZERO))
    kept = packing.sheets[-1].left_over
    assert kept is not None
    assert not any(p.box.grown(p.bleed).overlaps(kept) for p in packing.sheets[-1].placements)
    assert kept.size == Size(inches(12), inches("7 1/2"))  # two rows of 2 1/4 in


def test_named_pieces_fill_what_is_left_over() -> None:
    case = Case("", (item("5x5", 1, "1/8"), item("2x3", 1, "1/8", name="stamp")), LETTER, QUARTER, ZERO)
    for mode in CutMode:
        packing = pack(case.items, LETTER, QUARTER, gap=ZERO, mode=mode, fill=[1])
        assert faults(packing, case, mode, filling=[1]) == []
        assert len(packing.sheets) == 1
        assert sum(placement.item == 1 for placement in packing.sheets[0].placements) >= 4


def test_no_pieces_take_no_sheet() -> None:
    assert pack([], LETTER, QUARTER, gap=ZERO, mode=CutMode.TRIMMER) == Packing((), 0)


def test_a_deadline_that_has_passed_still_places_everything() -> None:
    case = next(case for case in cases("jobs_letter_a4.json") if case.name == "job-001")
    packing = pack(
        case.items, case.paper, case.margins, gap=case.gap, mode=CutMode.TRIMMER, deadline=lambda: True
    )
    assert faults(packing, case, CutMode.TRIMMER) == []


def test_ten_thousand_pieces_are_placed_without_tidying_once_the_time_is_up(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked: list[int] = []
    items = [item("1 x 1 1/4", 6_000, "1/16"), item("2 x 3", 4_000, "1/16")]
    trouble = packer.cut_trouble
    monkeypatch.setattr(packer, "cut_trouble", lambda *given: asked.append(1) or trouble(*given))
    packing = pack(items, LETTER, QUARTER, gap=ZERO, mode=CutMode.TRIMMER, deadline=lambda: True)
    assert sum(len(sheet.placements) for sheet in packing.sheets) == 10_000
    assert asked == []


def test_few_pieces_are_made_easy_to_cut_even_when_the_time_is_up() -> None:
    case = next(case for case in cases("jobs.json") if case.name == "job-014")
    late, early = (
        pack(case.items, case.paper, case.margins, gap=case.gap, mode=CutMode.TRIMMER, deadline=deadline)
        for deadline in (lambda: True, None)
    )
    assert sum(len(sheet.cuts) for sheet in late.sheets) == sum(len(sheet.cuts) for sheet in early.sheets)


def test_a_deadline_that_has_passed_still_nests_nothing_and_places_all_cut_outs() -> None:
    corner = ((0, 0), (inches(3).emu, 0), (0, inches(4).emu))
    items = [PackItem("moth", Size(inches(3), inches(4)), 9, inches("1/16"), True, corner)]
    packing = pack(items, LETTER, QUARTER, gap=ZERO, mode=CutMode.SCISSORS, deadline=lambda: True)
    assert sum(len(sheet.placements) for sheet in packing.sheets) == 9
    assert not any(sheet.nested for sheet in packing.sheets)


def test_a_trimmer_of_no_length_is_refused() -> None:
    def call() -> Packing:
        return pack([item("1x1")], LETTER, QUARTER, gap=ZERO, mode=CutMode.TRIMMER, trimmer_length=ZERO)

    assert "trimmer length cannot be '0 in'" in refusal(call, BadOption)


def test_the_left_over_is_of_a_size_that_a_ruler_shows() -> None:
    packing = packed(Case("", (item("2.01 x 2.01", 3),), LETTER, QUARTER, ZERO))
    kept = packing.sheets[0].left_over
    assert kept is not None
    assert kept.height.emu % inches("1/16").emu == 0
    metric = pack(
        [PackItem("tag", Size(mm("51.3"), mm("51.3")), 3, ZERO, True)],
        A4,
        QUARTER,
        gap=ZERO,
        mode=CutMode.TRIMMER,
    )
    strip = metric.sheets[0].left_over
    assert strip is not None
    assert strip.height.emu % mm(1).emu == 0


def test_a_thousand_pieces_are_placed_by_the_rules() -> None:
    items = (item("1x1 1/4", 600, "1/16"), item("2x3", 300, "1/16"), item("4 1/4 x 5 1/2", 100, "1/16"))
    packing = packed(Case("", items, LETTER, QUARTER, ZERO))
    assert packing.bound >= 60


def refusal(call: Callable[[], object], kind: type[KitprepError]) -> str:
    with pytest.raises(kind) as caught:
        call()
    return str(caught.value)


def refused(items: list[PackItem], kind: type[KitprepError], paper: Paper = LETTER, gap: str = "0") -> str:
    spaced = Length(-1) if gap == "less" else inches(gap)
    return refusal(lambda: pack(items, paper, QUARTER, gap=spaced, mode=CutMode.TRIMMER), kind)


def test_a_piece_wider_than_the_sheet_is_refused_by_name_with_what_it_is_over() -> None:
    text = refused([item("9 x 12", bleed="1/8", name="ledger")], WontFit)
    assert "ledger needs 9 1/4 x 12 1/4 in" in text
    assert "1 1/4 in too wide and 1 3/4 in too high" in text
    assert "12 x 12 in" not in text and "A3" in text


def test_a_piece_that_would_fit_turned_is_refused_with_that_advice() -> None:
    assert "allow it to be turned" in refused([item("10 x 8", turn=False)], WontFit)


def test_a_piece_too_large_for_every_paper_is_to_be_divided() -> None:
    assert "divide it" in refused([item("20 x 30")], WontFit)


def test_metric_paper_is_spoken_of_in_millimetres() -> None:
    wide = PackItem("banner", Size(mm(250), mm(400)), 1, ZERO, True)
    assert "mm" in refused([wide], WontFit, A4)


def test_no_copies_are_refused() -> None:
    assert "copies of tag cannot be '0'" in refused([item("1x1", 0)], BadOption)


def test_a_gap_below_zero_is_refused() -> None:
    assert "gap" in refused([item("1x1")], BadOption, gap="less")


def test_a_bleed_below_zero_is_refused() -> None:
    negative = PackItem("tag", Size(inches(1), inches(1)), 1, Length(-1), True)
    assert "bleed of tag" in refused([negative], BadOption)


def test_a_size_of_nothing_is_refused() -> None:
    assert "size of tag" in refused([item("0x1")], BadOption)


def test_more_than_ten_thousand_pieces_are_refused() -> None:
    assert "10001" in refused([item("1x1", 10_000), item("2x1")], TooManyPieces)


def test_margins_that_leave_nothing_are_refused() -> None:
    margins = Margins.even(inches("4 1/4"))
    refusal(lambda: pack([item("1x1")], LETTER, margins, gap=ZERO, mode=CutMode.TRIMMER), MarginsLeaveNothing)


def test_a_trimmer_too_short_for_any_first_cut_is_refused() -> None:
    paper = Paper("poster", Size(inches(13), inches(19)))
    assert "first cut of poster" in refused([item("4x6")], TrimmerTooShort, paper)


def test_a_piece_longer_than_the_trimmer_is_refused_by_name() -> None:
    assert "the cut along ribbon on legal" in refused([item("2x13", name="ribbon")], TrimmerTooShort, LEGAL)


def test_a_blank_longer_than_the_trimmer_but_as_wide_as_the_paper_is_cut_across_only() -> None:
    packing = packed(Case("", (item("8 1/2 x 13", 2, name="base"),), LEGAL, NO_MARGINS, ZERO))
    assert [len(sheet.cuts) for sheet in packing.sheets] == [1, 1]
    whole = packed(Case("", (item("14 x 8 1/2"),), LEGAL, NO_MARGINS, ZERO))
    assert whole.sheets[0].cuts == ()


def test_a_blank_longer_than_the_trimmer_and_nearly_as_wide_as_the_paper_is_refused() -> None:
    narrow = [item("8 3/8 x 13", name="base")]
    text = refusal(lambda: pack(narrow, LEGAL, NO_MARGINS, gap=ZERO, mode=CutMode.TRIMMER), TrimmerTooShort)
    assert "the cut along base on legal" in text


def test_an_item_that_is_not_there_cannot_fill() -> None:
    with pytest.raises(IndexError):
        pack([item("1x1")], LETTER, QUARTER, gap=ZERO, mode=CutMode.TRIMMER, fill=[3])


def test_a_loose_sheet_leaves_room_for_marks_above_and_left_of_its_pieces() -> None:
    margins, mark_room = Margins.even(inches("1/4")), inches("3/16")
    items = [PackItem("stamp", Size(inches("2"), inches("3")), 3, inches("1/16"), True)]
    for mode in CutMode:
        packing = pack(items, LETTER, margins, gap=ZERO, mode=mode, mark_room=mark_room)
        (sheet,) = packing.sheets
        assert min(place.box.left for place in sheet.placements) == inches("1/4") + mark_room + inches("1/16")
        assert min(place.box.top for place in sheet.placements) == inches("1/4") + mark_room + inches("1/16")


def test_room_for_marks_is_at_most_half_of_what_a_sheet_has_to_spare() -> None:
    margins = Margins.even(inches("1/4"))
    items = [PackItem("paper", Size(inches("7 3/4"), inches("10 1/2")), 1, ZERO, False)]
    packing = pack(items, LETTER, margins, gap=ZERO, mode=CutMode.TRIMMER, mark_room=inches("3/16"))
    box = packing.sheets[0].placements[0].box
    assert (box.left, box.top) == (inches("3/8"), inches("1/4"))


def test_blanks_without_margins_stay_at_the_corner_of_the_paper() -> None:
    items = [PackItem("base", Size(inches("4"), inches("5")), 1, ZERO, True)]
    packing = pack(items, LETTER, NO_MARGINS, gap=ZERO, mode=CutMode.TRIMMER, mark_room=inches("3/16"))
    box = packing.sheets[0].placements[0].box
    assert (box.left, box.top) == (ZERO, ZERO)


def test_rows_of_equal_pieces_that_just_fill_a_sheet_are_found() -> None:
    """Four of 3 x 5 1/4 in stand two by two in 8 x 10 1/2 in, though one lies better by itself."""
    items = [PackItem("card", Size(inches("3"), inches("5 1/4")), 4, ZERO, True)]
    for mode in CutMode:
        packing = pack(items, LETTER, Margins.even(inches("1/4")), gap=ZERO, mode=mode)
        assert len(packing.sheets) == 1
