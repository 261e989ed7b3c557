"""The strip at the foot, and check lines where there is no strip."""

from __future__ import annotations

import pytest

from kitprep.errors import MarginsLeaveNothing
from kitprep.lengths import ZERO, Box, Length, Size, inches, mm
from kitprep.pack import PackedSheet, Placement
from kitprep.papers import A4, LETTER, SHEET_PAPERS, Margins, find_paper
from kitprep.sheet import LineKind, Sheet, SheetItem, check_strip, lay_out

QUARTER = Margins.even(inches("1/4"))
LONG = "A supper for the pickers of the whole upper orchard on the last night of harvest"


def _sheet(paper, *boxes: Box, title: str = "", credit: str = "") -> Sheet:
    places = tuple(Placement(0, box, ZERO, False) for box in boxes)
    item = SheetItem("tag", "kit/p01-01")
    return lay_out(
        PackedSheet(places, ()),
        [item],
        paper=paper,
        margins=QUARTER,
        number=2,
        total=3,
        title=title,
        credit=credit,
    )


@pytest.mark.parametrize("paper", SHEET_PAPERS, ids=lambda paper: paper.name)
def test_every_paper_has_room_for_the_check_lines_in_its_strip(paper):
    sheet = _sheet(paper, title=LONG, credit="Lantern Orchard by Quillmoss Paper Room")
    strip = check_strip(paper, QUARTER)
    top = paper.size.height - strip.bottom
    ink = [line.box for line in sheet.lines] + [text.box for text in sheet.texts]
    assert sheet.has_check_lines
    assert min(box.top for box in ink) >= top
    assert max(box.right for box in ink) <= paper.size.width - QUARTER.right


def test_the_strip_is_under_a_third_of_an_inch_on_letter_and_takes_only_the_foot():
    strip = check_strip(LETTER, QUARTER)
    assert (strip.left, strip.top, strip.right) == (QUARTER.left, QUARTER.top, QUARTER.right)
    assert ZERO < strip.bottom - QUARTER.bottom < inches("1/3")


def test_the_upper_part_of_the_strip_is_free_for_marks_of_the_pieces_above():
    strip = check_strip(LETTER, QUARTER)
    low = LETTER.size.height - strip.bottom
    sheet = _sheet(LETTER, Box(inches(1), inches(1), inches(3), low))
    below = [
        line
        for line in sheet.lines
        if line.kind is LineKind.CUT_MARK and line.x0 == line.x1 and line.y0 >= low
    ]
    assert len(below) == 2
    assert min(line.y1 - line.y0 for line in below) >= inches("3/16") - inches("1/32")


def test_margins_that_use_up_the_paper_are_refused():
    with pytest.raises(MarginsLeaveNothing):
        check_strip(LETTER, Margins.even(inches("4 1/4")))


def test_check_lines_find_another_place_where_a_piece_lies_in_the_strip():
    full = Box(inches("1/4"), inches("1/4"), inches("6"), inches("10 3/4"))
    sheet = _sheet(LETTER, full)
    assert sheet.has_check_lines
    level = [line for line in sheet.lines if line.kind is LineKind.CHECK and line.y0 == line.y1]
    assert [line.x1 - line.x0 for line in level] == [inches(1), mm(25)]
    assert all(line.x0 >= inches(6) for line in level)


def test_a_sheet_that_is_full_to_its_margins_says_that_it_has_no_check_lines():
    full = Box(inches("1/4"), inches("1/4"), inches("8 1/4"), inches("10 3/4"))
    sheet = _sheet(LETTER, full)
    assert not sheet.has_check_lines
    assert not sheet.lines
    assert not sheet.texts


def test_a_title_too_long_for_the_strip_is_shortened_with_an_ellipsis_and_the_count_stays():
    sheet = _sheet(find_paper("4 x 6 in"), title=LONG, credit="Lantern Orchard by Quillmoss Paper Room")
    words = [text.words for text in sheet.texts]
    assert "sheet 2 of 3" in words
    assert any(line.endswith("…") for line in words)
    short = _sheet(A4, title="Harvest supper card", credit="Quillmoss Paper Room")
    assert "Harvest supper card  ·  Quillmoss Paper Room" in [text.words for text in short.texts]


def test_nothing_but_blanks_on_a_paper_without_margins_is_a_plan_with_outlines_and_words_inside():
    size = Size(inches("8 1/2"), inches("5 1/2"))
    places = tuple(
        Placement(0, Box.at(ZERO, Length(row * size.height.emu), size), ZERO, False) for row in range(2)
    )
    sheet = lay_out(
        PackedSheet(places, ()),
        [SheetItem("card base", scores=(inches("4 1/4"),))],
        paper=LETTER,
        margins=Margins.even(ZERO),
        number=1,
        total=1,
    )
    kinds = [line.kind for line in sheet.lines]
    assert sheet.plan_only
    assert sheet.has_check_lines
    assert kinds.count(LineKind.OUTLINE) == 8
    assert kinds.count(LineKind.FOLD) == 2
    fold = next(line for line in sheet.lines if line.kind is LineKind.FOLD)
    assert not any(text.box.overlaps(fold.box) for text in sheet.texts)
    assert sum("card base" in text.words for text in sheet.texts) == 2
