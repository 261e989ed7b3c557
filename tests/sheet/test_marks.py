"""Cut marks, fold ticks and through-cut ticks: where they stand and what they never touch."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from kitprep.lengths import ZERO, Box, Length, Size, inches
from kitprep.pack import Axis, Cut, Edge, PackedSheet, Placement
from kitprep.papers import A4, LETTER, Margins, printable
from kitprep.sheet import LineKind, Sheet, SheetItem, check_strip, lay_out
from kitprep.sheet.marks import MARK_LENGTH

QUARTER = Margins.even(inches("1/4"))
TAG = Size(inches(2), inches(3))
MARKS = (LineKind.CUT_MARK, LineKind.FOLD_TICK, LineKind.THROUGH_CUT)


def _placed(*placements: Placement, cuts: tuple[Cut, ...] = (), scores: tuple[Length, ...] = ()) -> Sheet:
    return lay_out(
        PackedSheet(placements, cuts),
        [SheetItem("tag", scores=scores)],
        paper=LETTER,
        margins=QUARTER,
        number=1,
        total=1,
    )


def _at(left: str, top: str, bleed: Length = ZERO, *, turned: bool = False) -> Placement:
    size = TAG.turned if turned else TAG
    return Placement(0, Box.at(inches(left), inches(top), size), bleed, turned)


def _marks(sheet: Sheet, kind: LineKind = LineKind.CUT_MARK) -> set[tuple[Length, ...]]:
    return {(line.x0, line.y0, line.x1, line.y1) for line in sheet.lines if line.kind is kind}


def test_a_lone_piece_has_eight_marks_outside_its_trim_by_its_bleed():
    bleed = inches("1/8")
    sheet = _placed(_at("2", "2", bleed))
    left, top, right, bottom = inches(2), inches(2), inches(4), inches(5)
    out = MARK_LENGTH + bleed
    wanted = set()
    for x in (left, right):
        wanted |= {(x, top - out, x, top - bleed), (x, bottom + bleed, x, bottom + out)}
    for y in (top, bottom):
        wanted |= {(left - out, y, left - bleed, y), (right + bleed, y, right + out, y)}
    assert _marks(sheet) == wanted


def test_cut_outs_nested_within_each_others_boxes_have_no_corner_marks_and_their_neighbour_has():
    nested = _placed(_at("2", "2"), _at("3 1/2", "4 1/2"))
    assert _marks(nested) == set()
    lone = _placed(_at("1", "7"))
    assert _marks(_placed(_at("2", "2"), _at("3 1/2", "4 1/2"), _at("1", "7"))) >= {
        mark for mark in _marks(lone) if min(mark[1], mark[3]) >= inches(8)
    }


def test_marks_of_a_piece_without_bleed_stand_clear_of_its_corners():
    sheet = _placed(_at("2", "2"))
    ends = {min(y0, y1) for x0, y0, x1, y1 in _marks(sheet) if x0 == x1 and y0 >= inches(5)}
    assert ends == {inches(5) + inches("1/32")}


def test_a_mark_is_shorter_where_a_neighbour_is_near_and_left_out_where_it_is_too_near():
    near = _placed(_at("2", "2"), _at("4 1/8", "2"))
    lengths = {x1 - x0 for x0, y0, x1, y1 in _marks(near) if y0 == y1 and inches(4) < x0 < inches("4 1/8")}
    assert lengths == {inches("3/32")}
    nearer = _placed(_at("2", "2"), _at("4 1/16", "2"))
    assert not [x0 for x0, y0, _, y1 in _marks(nearer) if y0 == y1 and inches(4) < x0 < inches("4 1/16")]


def test_pieces_that_meet_share_their_marks():
    sheet = _placed(_at("2", "2"), _at("4", "2"))
    upright = [mark for mark in _marks(sheet) if mark[0] == mark[2]]
    assert len(upright) == 6


def test_a_mark_on_the_edge_of_the_printable_area_keeps_its_inner_half():
    sheet = _placed(_at("1/4", "2"))
    edge = [line for line in sheet.lines if line.kind is LineKind.CUT_MARK and line.x0 == line.x1]
    left = min(edge, key=lambda line: line.x0)
    assert left.box.left == inches("1/4")
    assert left.width < edge[-1].width


def test_fold_ticks_turn_with_their_piece():
    scores = (inches("1/2"),)
    upright = _placed(_at("2", "2"), scores=scores)
    assert {x0 for x0, _, x1, _ in _marks(upright, LineKind.FOLD_TICK) if x0 == x1} == {inches("2 1/2")}
    turned = _placed(_at("2", "3", turned=True), scores=scores)
    assert {y0 for _, y0, _, y1 in _marks(turned, LineKind.FOLD_TICK) if y0 == y1} == {inches("3 1/2")}


def test_fold_ticks_are_dashed_and_cut_marks_are_not():
    assert LineKind.FOLD_TICK.dashed
    assert not LineKind.CUT_MARK.dashed
    assert not LineKind.THROUGH_CUT.dashed


def _cut_across(number: int, at: str) -> Cut:
    size = LETTER.size
    whole = Box(ZERO, ZERO, size.width, size.height)
    return Cut(
        number, Axis.Y, inches(at), ZERO, size.width, "whole sheet", whole, Edge.TOP, inches(at), "waste"
    )


def test_a_through_cut_has_a_numbered_tick_at_each_edge_of_the_printable_area():
    sheet = _placed(_at("2", "2"), cuts=(_cut_across(1, "2"),))
    left, right = inches("1/4"), inches("8 1/4")
    assert _marks(sheet, LineKind.THROUGH_CUT) == {
        (left, inches(2), left + MARK_LENGTH, inches(2)),
        (right - MARK_LENGTH, inches(2), right, inches(2)),
    }
    assert [text.words for text in sheet.texts if text.kind.value == "cut number"] == ["1", "1"]
    assert sheet.unmarked_cuts == ()


def test_a_cut_that_runs_along_pieces_all_the_way_is_named_as_unmarked():
    wide = Placement(0, Box.at(inches("1/4"), inches(2), Size(inches(8), inches(3))), ZERO, False)
    above = Placement(0, Box.at(inches("1/4"), inches(1), Size(inches(8), inches(1))), ZERO, False)
    sheet = _placed(above, wide, cuts=(_cut_across(7, "2"),))
    assert sheet.unmarked_cuts == (7,)


@st.composite
def _jobs(draw: st.DrawFn) -> Sheet:
    """A sheet filled row by row with pieces of a few sizes, some turned, cut row by row or by scissors."""
    paper = draw(st.sampled_from([LETTER, A4, LETTER.landscape]))
    bleed = draw(st.sampled_from([ZERO, inches("1/16"), inches("1/8")]))
    gap = draw(st.sampled_from([ZERO, inches("1/8"), inches("5/16")]))
    side = st.integers(8, 56).map(lambda sixteenths: Length(sixteenths * 57_150))
    sizes = draw(st.lists(st.builds(Size, side, side), min_size=1, max_size=4))
    order = draw(st.lists(st.tuples(st.integers(0, len(sizes) - 1), st.booleans()), min_size=1, max_size=30))
    places = _in_rows(sizes, order, bleed, gap, printable(paper, check_strip(paper, QUARTER)))
    cuts = _row_cuts(places, paper.size) if draw(st.booleans()) else ()
    items = [SheetItem(f"piece {number}", scores=(inches("1/4"),)) for number in range(len(sizes))]
    words = {"title": "Harvest supper card", "credit": "Quillmoss Paper Room"}
    return lay_out(PackedSheet(places, cuts), items, paper=paper, margins=QUARTER, number=1, total=2, **words)


def _in_rows(
    sizes: list[Size], order: list[tuple[int, bool]], bleed: Length, gap: Length, area: Box
) -> tuple[Placement, ...]:
    places, left, top, low = [], area.left, area.top, area.top
    for item, turned in order:
        size = sizes[item].turned if turned else sizes[item]
        if left + size.width + 2 * bleed > area.right:
            left, top = area.left, low + gap
        box = Box.at(left + bleed, top + bleed, size)
        if area.contains(box.grown(bleed)):
            places.append(Placement(item, box, bleed, turned))
            left, low = box.right + bleed + gap, max(low, box.bottom + bleed)
    return tuple(places)


def _row_cuts(places: tuple[Placement, ...], paper: Size) -> tuple[Cut, ...]:
    """Above each row across the whole sheet, then beside each piece of the row."""
    whole = Box(ZERO, ZERO, paper.width, paper.height)
    tops = sorted({place.box.top for place in places})
    cuts = [Cut(0, Axis.Y, top, ZERO, paper.width, "", whole, Edge.TOP, top, "waste") for top in tops]
    for top, below in zip(tops, [*tops[1:], paper.height], strict=True):
        for place in places:
            if place.box.top == top:
                left = place.box.left
                cuts.append(Cut(0, Axis.X, left, top, below, "", whole, Edge.LEFT, left, "waste"))
    return tuple(replace(cut, number=number) for number, cut in enumerate(cuts, 1))


@settings(max_examples=60, deadline=None)
@given(_jobs())
def test_no_ink_ever_touches_a_bleed_or_leaves_the_printable_area(sheet):
    area = printable(sheet.paper, sheet.margins)
    ink = [line.box for line in sheet.lines] + [text.box for text in sheet.texts]
    for box in ink:
        assert area.contains(box)
        assert not any(box.overlaps(piece.bleed_box) for piece in sheet.pieces)


@settings(max_examples=60, deadline=None)
@given(_jobs())
def test_no_words_ever_overlap_a_line_or_other_words(sheet):
    boxes = [text.box for text in sheet.texts]
    for number, box in enumerate(boxes):
        assert not any(box.overlaps(other) for other in boxes[:number])
        assert not any(box.overlaps(line.box) for line in sheet.lines if line.kind in MARKS)


@settings(max_examples=60, deadline=None)
@given(_jobs())
def test_every_sheet_has_both_check_lines_and_their_words(sheet):
    assert sheet.has_check_lines
    level = [line for line in sheet.lines if line.kind is LineKind.CHECK and line.y0 == line.y1]
    assert [line.x1 - line.x0 for line in level] == [inches(1), Length(25 * 36_000)]
    assert "print at 100 %, actual size" in {text.words for text in sheet.texts}


@settings(max_examples=60, deadline=None)
@given(_jobs())
def test_a_piece_without_its_label_on_the_sheet_is_named_as_such(sheet):
    labels = [text.words for text in sheet.texts if text.kind.value == "label"]
    assert len(labels) == len(sheet.pieces) - len(sheet.unlabelled)
    assert len([label for label in labels if " " not in label]) == len(sheet.lettered)


def _walled_in(*, with_gap: bool) -> Sheet:
    """A folded base between the printable area's left edge and a neighbour, its fold level."""
    base = Placement(0, Box.at(inches("1/4"), inches(2), Size(inches(3), inches(4))), ZERO, True)
    wide = inches("4 3/4") if with_gap else inches(5)
    beside = Placement(1, Box.at(inches("3 1/4"), inches(2), Size(wide, inches(4))), ZERO, False)
    items = [SheetItem("card base", scores=(inches(2),)), SheetItem("strip")]
    return lay_out(PackedSheet((base, beside), ()), items, paper=LETTER, margins=QUARTER, number=1, total=1)


def test_a_fold_without_room_beside_its_piece_is_ticked_beyond_the_neighbour_and_named():
    sheet = _walled_in(with_gap=True)
    assert _marks(sheet, LineKind.FOLD_TICK) == {(inches(8), inches(4), inches("8 3/16"), inches(4))}
    assert [text.words for text in sheet.texts if text.kind.value == "fold name"] == ["fold A"]
    assert sheet.unmarked_folds == ()


def test_a_fold_that_finds_no_room_at_all_is_told():
    sheet = _walled_in(with_gap=False)
    assert _marks(sheet, LineKind.FOLD_TICK) == set()
    assert sheet.unmarked_folds == (0,)
