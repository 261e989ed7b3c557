"""Backs: behind their fronts, upright when the piece is turned over, reachable by the printer."""

from __future__ import annotations

import pytest
from drawn_sheets import crop, two_by_two
from hypothesis import given
from hypothesis import strategies as st

from kitprep.lengths import ZERO, Box, Length, Size, inches
from kitprep.papers import A4, LETTER, SQUARE_12, Flip, Margins, printable
from kitprep.sheet import LineKind, margins_behind
from kitprep.sheet.backs import quarters_behind

PAPERS = (LETTER, A4, SQUARE_12, LETTER.landscape)
ART = crop(Size(inches(2), inches("1 1/2")), inches("1/8"), 0, 0)
UP = {0: (0, -1), 1: (1, 0), 2: (0, 1), 3: (-1, 0)}
"""Where the top of a piece points on the paper, by its quarters clockwise: (right, down)."""

papers = st.sampled_from(PAPERS)
flips = st.sampled_from(list(Flip))


def _backed(paper=LETTER, flip=Flip.LONG):
    return two_by_two(paper, inches("1/8"), trimmer=True, artwork=ART, back=ART, flip=flip)


@given(paper=papers, flip=flips, quarters=st.integers(0, 3))
def test_what_is_up_on_the_front_of_a_piece_is_up_on_its_back(paper, flip, quarters):
    """The top of the front, seen through the paper, against the top of the back."""
    right, down = UP[quarters]
    upright = paper.size.height >= paper.size.width
    swaps_sides = upright is (flip is Flip.LONG)
    seen = (-right, down) if swaps_sides else (right, -down)
    assert UP[quarters_behind(quarters, flip, paper)] == seen


@given(
    paper=papers,
    flip=flips,
    sides=st.tuples(*[st.integers(0, 7_000_000).map(Length)] * 4),
)
def test_behind_what_is_behind_a_box_is_the_box(paper, flip, sides):
    left, top = sorted(sides[:2])[0], sorted(sides[2:])[0]
    box = Box(left, top, left + inches(1), top + inches(2))
    behind = flip.behind(box, paper.size)
    assert behind.size == box.size
    assert flip.behind(behind, paper.size) == box
    assert behind != box or flip.behind(box, paper.size) == box


@pytest.mark.parametrize("flip", Flip)
@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.name)
def test_margins_for_both_sides_keep_what_lies_behind_within_reach(paper, flip):
    margins = Margins(inches("1/8"), inches("1/4"), inches("3/8"), inches("1/2"))
    reach = printable(paper, margins)
    both = printable(paper, margins_behind(margins, flip, paper))
    assert reach.contains(both)
    assert reach.contains(flip.behind(both, paper.size))


@pytest.mark.parametrize("flip", Flip)
def test_every_back_has_the_trim_and_bleed_of_its_front_and_no_marks_of_its_own(flip):
    front = _backed(flip=flip)
    back = front.back
    assert back is not None
    assert [piece.trim for piece in back.pieces] == [
        flip.behind(piece.trim, LETTER.size) for piece in front.pieces
    ]
    assert {line.kind for line in back.lines} == {LineKind.REGISTRATION}
    assert back.cuts == ()
    assert any(f"back of sheet 1, turned over its {flip.value} edge" in text.words for text in back.texts)


def test_registration_marks_stand_twice_and_behind_each_other():
    front = _backed()
    back = front.back
    assert back is not None

    def middles(sheet):
        return {
            (Length((line.x0 + line.x1).emu // 2), line.y0)
            for line in sheet.lines
            if line.kind is LineKind.REGISTRATION and line.x1 - line.x0 == inches("1/4")
        }

    assert len(middles(front)) == 2
    assert middles(back) == {(LETTER.size.width - x, y) for x, y in middles(front)}
    wide = max(x for x, _ in middles(front)) - min(x for x, _ in middles(front))
    assert wide > inches(7)


def test_no_ink_of_either_side_touches_a_piece_or_leaves_the_printable_area():
    for side in (_backed(), _backed().back):
        area = printable(side.paper, side.margins)
        for box in [line.box for line in side.lines] + [text.box for text in side.texts]:
            assert area.contains(box)
            assert not any(box.overlaps(piece.bleed_box) for piece in side.pieces)


def test_a_sheet_without_any_back_piece_says_on_its_back_that_nothing_is_printed_there():
    sheet = two_by_two(LETTER, ZERO, trimmer=True, flip=Flip.LONG)
    assert sheet.back is not None
    assert sheet.back.pieces == ()
    assert any("nothing is printed here" in text.words for text in sheet.back.texts)


def test_a_sheet_without_a_flip_has_no_back():
    assert two_by_two(LETTER, ZERO, trimmer=True).back is None
