"""Make-lists: read, edited, written."""

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitprep.errors import BadOption, BadSize, MakeListProblem, MissingFile, OutputExists
from kitprep.files.makelist import (
    DEFAULT_BLEED,
    MakeList,
    add_piece,
    change_piece,
    makelist_text,
    parse_makelist,
    piece_from_text,
    read_makelist,
    remove_piece,
    write_makelist,
)
from kitprep.lengths import LEAST_SIDE, ZERO, Length, Unit, WantedSize, inches, mm, read_wanted_size
from kitprep.pack.packing import CutMode
from kitprep.papers import A4, LETTER, PAPERS, SQUARE_12, Margins, Paper, find_paper
from kitprep.piece.wanted import Fit, WantedPiece

AGREED = """\
title = "Harvest supper card"
unit = "in"
paper = "letter"            # letter, legal, A4, A3, "12 x 12 in", ...
margin = "1/4 in"           # or [left, top, right, bottom]; or printer = "name"
cut = "trimmer"             # or "scissors"
bleed = "1/16 in"
gap = "0"

[[piece]]
element = "lantern-orchard/p01-02"
size = "4 3/4 x 2 3/4"
copies = 1
fit = "cover"               # inside | cover | stretch
focus = [0.5, 0.4]          # what to keep in view when covering, as shares of the picture
turn = true                 # may be turned a quarter on the sheet

[[piece]]                   # no element: a blank to cut from the paper itself
label = "card base"
size = "8 1/2 x 5 1/2"
paper = "A4"                # a piece may name its own paper
score = ["4 1/4"]           # fold lines across the width, marked outside the trim
"""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "card.toml"
    path.write_text(AGREED, "utf-8")
    return path


def test_the_agreed_make_list_is_read(file: Path) -> None:
    focal = WantedPiece(
        "lantern-orchard/p01-02",
        WantedSize(inches("4.75"), inches("2.75")),
        focus=(0.5, 0.4),
        line=10,
    )
    base = WantedPiece(
        "",
        WantedSize(inches("8.5"), inches("5.5")),
        label="card base",
        paper=A4,
        scores=(inches("4.25"),),
        line=17,
    )
    margins = Margins.even(inches("1/4"))
    assert read_makelist(file) == MakeList(
        "Harvest supper card", margins=margins, bleed=inches("1/16"), pieces=(focal, base)
    )


def test_what_a_list_leaves_out_has_its_default() -> None:
    assert parse_makelist("") == MakeList()
    assert MakeList().bleed == DEFAULT_BLEED == inches("1/16")
    assert MakeList().paper == LETTER
    assert parse_makelist('unit = "mm"').paper == A4


def test_bare_numbers_take_the_unit_of_the_list() -> None:
    made = parse_makelist(
        'unit = "mm"\npaper = "200 x 100"\nmargin = [1, "2", 3.5, "1/4 in"]\nbleed = 2\ngap = "5"\n'
        'trimmer = 305\n[[piece]]\nsize = "50 x 30"\nscore = 25\nbleed = 0\n'
    )
    assert made.margins == Margins(mm(1), mm(2), mm("3.5"), inches("1/4"))
    assert (made.bleed, made.gap, made.trimmer) == (mm(2), mm(5), mm(305))
    assert made.paper.size.text(Unit.MM) == "200 x 100 mm"
    assert made.pieces[0].scores == (mm(25),)
    assert made.pieces[0].bleed == ZERO
    assert made.pieces[0].size == WantedSize(mm(50), mm(30), Unit.MM)


PROBLEMS = [
    ('gap = "0"', 'gpa = "0"', 7, "'gpa' is not a key.*did you mean gap"),
    ("copies = 1", "zebra = 1", 12, "'zebra' is not a key.*use element, label"),
    ("copies = 1", 'copies = "1"', 12, "copies must be a whole number.*it is a text now"),
    ("copies = 1", "copies = 0", 12, "copies cannot be 0"),
    ("copies = 1", "copies = true", 12, "copies must be a whole number"),
    ("copies = 1", "copies = 99999", 12, "copies cannot be 99999"),
    ('size = "4 3/4 x 2 3/4"', 'size = "4 3/4 x"', 11, "'4 3/4 x' is not a size"),
    ('size = "4 3/4 x 2 3/4"', 'size = "0 x 2"', 11, "not above zero"),
    ('size = "4 3/4 x 2 3/4"', "size = 4", 11, "size must be a text"),
    ('size = "4 3/4 x 2 3/4"\n', "", 9, "size is missing"),
    ('size = "8 1/2 x 5 1/2"', 'size = "8 1/2 in wide"', 19, "a blank needs a width and a height"),
    ('fit = "cover"', 'fit = "covr"', 13, "fit cannot be 'covr'; did you mean cover"),
    ('cut = "trimmer"', 'cut = "laser"', 5, "cut cannot be 'laser'; use one of trimmer, scissors"),
    ('unit = "in"', 'unit = "ft"', 2, "unit cannot be 'ft'"),
    ("[0.5, 0.4]", "[0.5]", 14, "focus must be an array of 2 numbers"),
    ("[0.5, 0.4]", "[0.5, 1.4]", 14, "focus is outside the picture"),
    ("turn = true", 'turn = "yes"', 15, "turn must be true or false"),
    ('paper = "letter"', 'paper = "ledger-ish"', 3, "'ledger-ish' is not a paper"),
    ('paper = "A4" ', 'paper = "A44"', 20, "'A44' is not a paper"),
    ('margin = "1/4 in"', "margin = [1, 2]", 4, "margin has 2 sides"),
    ('margin = "1/4 in"', 'margin = "-1 in"', 4, "margin is below zero"),
    ('margin = "1/4 in"', "margin = true", 4, "margin must be a length"),
    ('margin = "1/4 in"', 'margin = "wide"', 4, "'wide' is not a length"),
    ('margin = "1/4 in"', 'margin = 0\nprinter = "kitchen"', 5, "margin and printer are both given"),
    ('gap = "0"', "trimmer = 0", 7, "trimmer is zero"),
    ('score = ["4 1/4"]', 'score = ["9"]', 21, "score 9 in is not on the piece"),
    ('size = "8 1/2 x 5 1/2"', 'element = "a"\nsize = "5 tall"', 22, "score needs a piece whose width"),
    ('element = "lantern-orchard/p01-02"', 'element = " "', 10, "element is empty"),
    ("[[piece]]\nelement", "[piece]\nelement", 17, "this is not TOML"),
    ('title = "Harvest', 'title = "Harvest\n', 1, "this is not TOML"),
    ('gap = "0"', 'gap = "0', 7, "this is not TOML"),
]


@pytest.mark.parametrize(("old", "new", "line", "says"), PROBLEMS)
def test_a_problem_is_named_with_its_line(file: Path, old: str, new: str, line: int, says: str) -> None:
    assert old in AGREED
    file.write_text(AGREED.replace(old, new, 1), "utf-8")
    with pytest.raises(MakeListProblem, match=f"card.toml, line {line}: .*{says}") as caught:
        read_makelist(file)
    assert caught.value.line == line


def test_a_single_piece_table_is_refused_with_the_way_to_write_it() -> None:
    with pytest.raises(Exception, match=r"piece must be written as \[\[piece\]\]"):
        parse_makelist('[piece]\nsize = "1 x 1"')


def test_files_that_are_no_make_list_are_refused(tmp_path: Path) -> None:
    with pytest.raises(MissingFile):
        read_makelist(tmp_path / "none.toml")
    (tmp_path / "binary.toml").write_bytes(b"\xff\xd8\xff\xe0")
    with pytest.raises(MakeListProblem, match="not text in UTF-8"):
        read_makelist(tmp_path / "binary.toml")
    (tmp_path / "large.toml").write_bytes(b"#" * 5_000_000)
    with pytest.raises(MakeListProblem, match="too large"):
        read_makelist(tmp_path / "large.toml")
    with pytest.raises(MakeListProblem, match="cannot be read"):
        read_makelist(tmp_path)


def test_lines_are_counted_through_strings_and_arrays_of_many_lines(file: Path) -> None:
    head = '# [[piece]]\ntitle = """\n[[piece]] \\"""\nzebra = 1\n"""\nmargin = [  # ]\n 1,\n 2, 3, 4 ]\n'
    file.write_text(head + "[[ piece ]]\nsize = '1 x 1'\n['piece'.\"zebra\"]\n", "utf-8")
    with pytest.raises(MakeListProblem, match="line 11: 'zebra' is not a key"):
        read_makelist(file)


def test_a_byte_order_mark_and_windows_line_ends_are_read(file: Path) -> None:
    file.write_bytes(
        b"\xef\xbb\xbf" + AGREED.replace("\n", "\r\n").replace("copies = 1", "copies = 0").encode()
    )
    with pytest.raises(MakeListProblem, match="line 12: copies cannot be 0"):
        read_makelist(file)


# ------------------------------------------------------------------ --piece


@pytest.mark.parametrize(
    ("text", "element", "size", "copies"),
    [
        ("lantern-orchard/p01-02, 4 3/4 x 2 3/4, 3", "lantern-orchard/p01-02", "4 3/4 x 2 3/4", 3),
        ("p02-07,3 in wide", "p02-07", "3 in wide", 1),
        ("p02-07, 4,5 x 3,5 cm, 2", "p02-07", "4.5 x 3.5 cm", 2),
        ("p02-07, 80 mm tall, 12", "p02-07", "80 mm tall", 12),
        ("blank, 5 x 7", "", "5 x 7", 1),
    ],
)
def test_a_piece_is_read_from_the_command_line(text: str, element: str, size: str, copies: int) -> None:
    assert piece_from_text(text) == WantedPiece(element, read_wanted_size(size), copies)


@pytest.mark.parametrize("text", ["", "p02-07", ", 4 x 3, 1", "p02-07, 4 x 3, 0", "blank, 3 in wide, 1"])
def test_a_piece_that_is_not_made_up_so_is_refused(text: str) -> None:
    with pytest.raises(BadOption, match="--piece"):
        piece_from_text(text)


def test_a_piece_of_no_size_is_refused() -> None:
    with pytest.raises(BadSize):
        piece_from_text("p02-07, large, 1")


# ------------------------------------------------------------------ editing


def test_adding_a_piece_keeps_comments_and_order(file: Path) -> None:
    new = WantedPiece("p02-07", WantedSize(mm(80), None, Unit.MM), 2, Fit.INSIDE, may_turn=False)
    add_piece(file, new)
    text = file.read_text("utf-8")
    assert text.startswith(AGREED)
    assert read_makelist(file).pieces[2] == replace(new, line=24)


def test_the_first_piece_can_be_added_to_a_list_without_any(file: Path) -> None:
    file.write_text("# mine\ntitle = 'x'\n", "utf-8")
    add_piece(file, WantedPiece("p02-07", read_wanted_size("4 x 3")))
    assert file.read_text("utf-8").startswith("# mine\ntitle = 'x'\n")
    assert [piece.element for piece in read_makelist(file).pieces] == ["p02-07"]


def test_changing_a_piece_keeps_the_comments_in_it(file: Path) -> None:
    first = read_makelist(file).pieces[0]
    change_piece(file, 0, replace(first, copies=4, focus=None))
    assert read_makelist(file).pieces[0] == replace(first, copies=4, focus=None)
    text = file.read_text("utf-8")
    assert "[[piece]]                   # no element: a blank" in text
    assert 'paper = "letter"            # letter, legal' in text
    assert "focus" not in text


def test_windows_line_ends_stay(file: Path) -> None:
    file.write_bytes(AGREED.replace("\n", "\r\n").encode("utf-8"))
    add_piece(file, WantedPiece("p02-07", read_wanted_size("4 x 3")))
    content = file.read_bytes()
    assert content.startswith(AGREED.replace("\n", "\r\n").encode("utf-8"))
    assert content.count(b"\n") == content.count(b"\r\n")
    assert b"\r\r" not in content


def test_removing_a_piece_leaves_the_others(file: Path) -> None:
    remove_piece(file, 0)
    assert [piece.name for piece in read_makelist(file).pieces] == ["card base"]
    assert "# a piece may name its own paper" in file.read_text("utf-8")


def test_a_list_with_a_problem_is_not_touched(file: Path) -> None:
    file.write_text(AGREED.replace("copies = 1", "copies = 0"), "utf-8")
    before = file.read_bytes()
    with pytest.raises(MakeListProblem):
        add_piece(file, WantedPiece("p02-07", read_wanted_size("4 x 3")))
    assert file.read_bytes() == before


def test_a_piece_that_could_not_be_read_back_is_not_written(file: Path) -> None:
    with pytest.raises(MakeListProblem, match="a blank needs"):
        add_piece(file, WantedPiece("", read_wanted_size("4 in wide")))
    assert file.read_text("utf-8") == AGREED


# ------------------------------------------------------------------ writing

lengths = st.integers(1, 800_000_000).map(Length)
units = st.sampled_from(Unit)
texts = st.text(st.characters(exclude_categories=["Cs"]))
ids = texts.map(str.strip)
papers = st.one_of(
    st.sampled_from(PAPERS),
    st.sampled_from(["letter landscape", "A4 landscape"]).map(find_paper),
)
sides = st.integers(LEAST_SIDE.emu, inches("40").emu).map(Length)
sizes = st.one_of(
    st.builds(WantedSize, sides, sides, units),
    st.builds(WantedSize, sides, st.none(), units),
    st.builds(WantedSize, st.none(), sides, units),
)
shares = st.integers(0, 1_000_000).map(lambda number: number / 1_000_000)


@st.composite
def pieces(draw: st.DrawFn) -> WantedPiece:
    size = draw(sizes)
    whole = size.width is not None and size.height is not None
    element = draw(ids if whole else ids.filter(bool))
    scores = []
    if size.width is not None and size.width.emu > 1:
        places = st.integers(1, size.width.emu - 1).map(Length)
        scores = draw(st.lists(places, max_size=2))
    return WantedPiece(
        element=element,
        size=size,
        copies=draw(st.integers(1, 10_000)),
        fit=draw(st.sampled_from(Fit)),
        focus=draw(st.none() | st.tuples(shares, shares)),
        bleed=draw(st.none() | lengths | st.just(ZERO)),
        may_turn=draw(st.booleans()),
        label=draw(texts),
        paper=draw(st.none() | papers),
        scores=tuple(scores),
        together=draw(texts),
    )


margins = st.builds(Margins, *[lengths] * 4) | lengths.map(Margins.even)


def in_one_unit(piece: WantedPiece) -> WantedPiece:
    return replace(piece, size=replace(piece.size, unit=Unit.INCH), line=0)


@given(
    st.builds(
        MakeList,
        title=texts,
        unit=units,
        paper=papers,
        margins=st.none() | margins,
        cut=st.sampled_from(CutMode),
        trimmer=st.none() | lengths,
        bleed=lengths,
        gap=lengths,
        pieces=st.lists(pieces(), max_size=3).map(tuple),
    )
)
def test_a_make_list_survives_being_written(made: MakeList) -> None:
    again = parse_makelist(makelist_text(made))
    assert replace(again, pieces=()) == replace(made, pieces=())
    # A size with no exact text in its own unit is written in another: the lengths are the same.
    assert list(map(in_one_unit, again.pieces)) == list(map(in_one_unit, made.pieces))


def test_a_paper_without_a_name_is_written_by_its_size(tmp_path: Path) -> None:
    odd = Paper("grandmother's", find_paper("200 x 90 mm").size, Unit.MM)
    write_makelist(MakeList(paper=odd, printer="kitchen"), tmp_path / "a.toml")
    again = read_makelist(tmp_path / "a.toml")
    assert (again.paper.size, again.printer) == (odd.size, "kitchen")
    assert '"200 mm x 90 mm"' in (tmp_path / "a.toml").read_text("utf-8")


def test_writing_over_a_list_has_to_be_asked_for(file: Path) -> None:
    with pytest.raises(OutputExists):
        write_makelist(MakeList(), file)
    write_makelist(MakeList(paper=SQUARE_12), file, overwrite=True)
    assert read_makelist(file).paper == SQUARE_12
