from __future__ import annotations

import itertools

import pytest

from kitprep.errors import TrimmerTooShort
from kitprep.lengths import ZERO, Box, Length, Size, Unit, inches
from kitprep.pack import Axis, Cut, Edge
from kitprep.pack.cuts import cut_sheet

SHEET = Box.at(ZERO, ZERO, Size(inches(12), inches(12)))


def cuts(*trims: str, sheet: Box = SHEET, longest: int = 12) -> tuple[Cut, ...]:
    """Cuts of trims given as "left top right bottom" in inches."""
    names = {}
    for number, trim in enumerate(trims, 1):
        left, top, right, bottom = (inches(side).emu for side in trim.split())
        names[left, top, right, bottom] = f"piece {number}"
    return cut_sheet(sheet, names, inches(longest), Unit.INCH)


def settings(made: tuple[Cut, ...]) -> list[Length]:
    return [cut.fence for cut in made]


def test_a_corner_piece_takes_two_cuts() -> None:
    made = cuts("0 0 3 4")
    assert [(cut.axis, cut.at) for cut in made] == [(Axis.Y, inches(4)), (Axis.X, inches(3))]
    assert [cut.falls for cut in made] == ["waste", "waste"]


def test_touching_pieces_share_a_cut() -> None:
    assert len(cuts("0 0 6 12", "6 0 12 12")) == 1


def test_pieces_apart_take_a_cut_each_side_of_the_gap() -> None:
    assert len(cuts("0 0 5 12", "6 0 12 12")) == 2


def test_a_grid_with_gaps_takes_two_cuts_a_piece_and_two_more() -> None:
    grid = [f"{x} {y} {x + 2} {y + 2}" for x in (1, 4, 7) for y in (1, 4)]
    assert len(cuts(*grid)) == 2 * 6 + 2


def test_the_first_cuts_take_off_what_has_to_come_off() -> None:
    made = cuts("1 1 5 5", "6 1 11 5", "1 6 11 11")
    assert [cut.falls for cut in made[:4]] == ["waste"] * 4
    assert {cut.part for cut in made[:4]} == {"whole sheet"}


def test_rows_are_parted_before_their_pieces() -> None:
    made = cuts("0 0 4 6", "4 0 12 6", "0 6 7 12", "7 6 12 12")
    assert [cut.part for cut in made] == ["whole sheet", "row 1", "row 2"]
    assert made[0].falls == "row 1"
    assert made[1].falls == "row 1, column 1: piece 1"


def test_equal_margins_are_cut_off_at_one_fence_setting() -> None:
    made = cuts("1/4 1/4 11.75 11.75")
    assert settings(made) == [inches("1/4")] * 4


def test_equal_settings_follow_each_other() -> None:
    made = settings(cuts(*[f"{x} {y} {x + 3} {y + 4}" for x in (0, 3, 6, 9) for y in (0, 4, 8)]))
    changes = sum(one != other for one, other in itertools.pairwise(made))
    assert changes == len(set(made)) - 1


def test_the_fence_is_measured_from_the_edge_that_lies_against_it() -> None:
    for cut in cuts("1 1 5 5", "6 1 11 5", "1 6 11 11"):
        box = cut.part_box
        distances = {
            Edge.LEFT: cut.at - box.left,
            Edge.TOP: cut.at - box.top,
            Edge.RIGHT: box.right - cut.at,
            Edge.BOTTOM: box.bottom - cut.at,
        }
        assert cut.fence == distances[cut.against]
        assert (cut.against in (Edge.LEFT, Edge.RIGHT)) == (cut.axis is Axis.X)


def test_a_long_sheet_is_cut_across_until_it_can_be_cut_down() -> None:
    legal = Box.at(ZERO, ZERO, Size(inches("8 1/2"), inches(14)))
    made = cuts("1 1 7 6", "1 7 7 13", sheet=legal)
    long = [cut for cut in made if cut.end - cut.start > inches(12)]
    assert long == []
    assert made[0].axis is Axis.Y


def test_a_cut_longer_than_the_trimmer_is_refused() -> None:
    poster = Box.at(ZERO, ZERO, Size(inches(13), inches(19)))
    with pytest.raises(TrimmerTooShort, match="a cut down the sheet of 13 x 19 in is longer"):
        cuts("1 1 7 6", sheet=poster)


def test_a_piece_that_is_the_whole_sheet_takes_no_cut() -> None:
    assert cuts("0 0 12 12") == ()


def test_a_left_over_worth_keeping_comes_off_first_and_whole() -> None:
    names = {(0, 0, inches(5).emu, inches(8).emu): "piece 1"}
    kept = Box(ZERO, inches(8), inches(12), inches(12))
    made = cut_sheet(SHEET, names, inches(12), Unit.INCH, kept)
    assert [(cut.axis, cut.at, cut.falls) for cut in made] == [
        (Axis.Y, inches(8), "left-over, to keep"),
        (Axis.X, inches(5), "waste"),
    ]
    beside = Box(inches(5), ZERO, inches(12), inches(12))
    made = cut_sheet(SHEET, names, inches(12), Unit.INCH, beside)
    assert [(cut.axis, cut.at, cut.falls) for cut in made] == [
        (Axis.X, inches(5), "left-over, to keep"),
        (Axis.Y, inches(8), "waste"),
    ]
