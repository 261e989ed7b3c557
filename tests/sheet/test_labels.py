"""Labels near their pieces, letters and a key where names have no room."""

from __future__ import annotations

from kitprep.lengths import ZERO, Box, Length, Size, inches
from kitprep.pack import PackedSheet, Placement
from kitprep.papers import LETTER, Margins
from kitprep.sheet import Sheet, SheetItem, TextKind, lay_out, letter

QUARTER = Margins.even(inches("1/4"))
LONG = "the smallest of all the seed labels in the drawer by the window"


def _grid(columns: int, rows: int, size: Size, apart: Length, *names: str) -> Sheet:
    places = [
        Placement(
            (row * columns + column) % len(names),
            Box.at(inches(1) + (size.width + apart) * column, inches(1) + (size.height + apart) * row, size),
            ZERO,
            False,
        )
        for row in range(rows)
        for column in range(columns)
    ]
    items = [SheetItem(name) for name in names]
    return lay_out(PackedSheet(tuple(places), ()), items, paper=LETTER, margins=QUARTER, number=1, total=1)


def test_a_lone_piece_is_labelled_just_below_with_letter_and_name():
    sheet = _grid(1, 1, Size(inches(2), inches(1)), ZERO, "picker's tag")
    (label,) = [text for text in sheet.texts if text.kind is TextKind.LABEL]
    assert label.words == "A  picker's tag"
    assert inches(2) <= label.box.top < inches("2 1/8")
    assert inches(1) < label.x < inches("1 1/8")


def test_copies_share_a_letter_and_items_do_not():
    sheet = _grid(2, 2, Size(inches(2), inches(1)), inches(1), "tag", "stamp")
    assert [piece.letter for piece in sheet.pieces] == ["A", "B", "A", "B"]
    assert [letter(number) for number in (0, 25, 26)] == ["A", "Z", "AA"]


def test_a_name_without_room_is_a_letter_at_its_piece_and_a_name_in_the_key():
    sheet = _grid(4, 3, Size(inches("1/2"), inches("1/2")), inches("3/16"), LONG)
    key = [text.words for text in sheet.texts if text.kind is TextKind.KEY]
    named = any(text.words == f"A  {LONG}" for text in sheet.texts)
    assert sheet.lettered
    assert key == ([] if named else [f"A = {LONG}"])


def test_labels_longer_than_their_pieces_do_not_run_into_each_other():
    sheet = _grid(3, 1, Size(inches("1/2"), inches("1/2")), inches(1), LONG)
    labels = [text for text in sheet.texts if text.kind is TextKind.LABEL and LONG in text.words]
    assert len(labels) > 1
    for number, label in enumerate(labels):
        assert not any(label.box.overlaps(other.box) for other in labels[:number])


def test_a_key_gives_each_name_once_and_only_names_that_stand_nowhere_else():
    sheet = _grid(2, 4, Size(inches("3 3/16"), inches("1/2")), inches("1/8"), "tag", LONG + ", and " + LONG)
    key = [text.words for text in sheet.texts if text.kind is TextKind.KEY]
    assert len(set(key)) == len(key)
    labels = {text.words for text in sheet.texts if text.kind is TextKind.LABEL}
    assert not any(line.replace(" = ", "  ") in labels for line in key)


def test_a_piece_with_neighbours_all_round_is_left_unlabelled_and_named():
    sheet = _grid(3, 3, Size(inches(1), inches(1)), ZERO, "stamp")
    assert sheet.unlabelled == (4,)
