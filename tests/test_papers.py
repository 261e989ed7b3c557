"""Named papers, against the standards and against tables of other libraries."""

import itertools
import math

import pytest
from reportlab.lib import pagesizes

from kitprep.errors import MarginsLeaveNothing, UnknownPaper
from kitprep.lengths import ZERO, Unit, inches, mm
from kitprep.papers import (
    ISO_A,
    ISO_B,
    ISO_C,
    LETTER,
    NO_MARGINS,
    PAPERS,
    SHEET_PAPERS,
    Margins,
    Paper,
    find_paper,
    printable,
)


@pytest.mark.parametrize("name", [f"{series}{number}" for series in "ABC" for number in range(11)])
def test_iso_sizes_are_those_of_reportlab_to_the_millimetre(name: str) -> None:
    """ReportLab's own table of ISO 216 and ISO 269 sizes, written in millimetres there."""
    width, height = getattr(pagesizes, name)
    size = find_paper(name).size
    assert size.width.points == pytest.approx(width, abs=1e-6)
    assert size.height.points == pytest.approx(height, abs=1e-6)


@pytest.mark.parametrize("table", [ISO_A, ISO_B], ids="AB")
def test_each_iso_216_size_is_the_one_before_it_halved(table: tuple[tuple[int, int], ...]) -> None:
    """ISO 216:2007, 3: the longer side halved, rounded down to a whole millimetre."""
    for (width, height), (next_width, next_height) in itertools.pairwise(table):
        assert (next_width, next_height) == (height // 2, width)


def test_the_largest_iso_216_sizes_have_the_area_and_proportion_of_the_standard() -> None:
    """ISO 216:2007, 3 and 4: sides as 1 to the root of 2; A0 is a square metre, B0 a metre wide."""
    assert ISO_A[0] == (round(1000 * 2**-0.25), round(1000 * 2**0.25))
    assert ISO_B[0] == (1000, round(1000 * 2**0.5))


@pytest.mark.parametrize("number", range(11))
def test_an_iso_c_envelope_lies_between_the_a_and_b_of_its_number(number: int) -> None:
    """ISO 269:1985: the geometric mean of A and B, to the millimetre of its rounding."""
    for side in (0, 1):
        assert abs(ISO_C[number][side] - math.sqrt(ISO_A[number][side] * ISO_B[number][side])) <= 1
        assert ISO_C[number][side] > ISO_A[number][side]


def test_letter_is_ansi_size_a() -> None:
    """ANSI/ASME Y14.1: size A is 8.5 x 11 in."""
    assert LETTER.size.text() == "8 1/2 x 11 in"
    assert (LETTER.size.width.points, LETTER.size.height.points) == pagesizes.LETTER


def test_legal_is_that_of_reportlab() -> None:
    legal = find_paper("legal").size
    assert (legal.width.points, legal.height.points) == pagesizes.LEGAL


@pytest.mark.parametrize(
    ("text", "name", "size"),
    [
        ("letter", "letter", "8 1/2 x 11 in"),
        ("  LETTER ", "letter", "8 1/2 x 11 in"),
        ("Letter  landscape", "letter landscape", "11 x 8 1/2 in"),
        ("a4", "A4", "210 x 297 mm"),
        ("A4 landscape", "A4 landscape", "297 x 210 mm"),
        ("12x12", "12 x 12 in", "12 x 12 in"),
        ("12 x 12 landscape", "12 x 12 in", "12 x 12 in"),
        ("210 x 297 mm", "A4", "210 x 297 mm"),
        ("11 x 8.5 in", "letter landscape", "11 x 8 1/2 in"),
        ("10 x 15 cm", "10 x 15 cm", "10 x 15 cm"),
        ("7 x 9", "7 x 9 in", "7 x 9 in"),
    ],
)
def test_a_paper_is_found_by_name_or_size(text: str, name: str, size: str) -> None:
    paper = find_paper(text)
    assert (paper.name, paper.size.text(paper.unit)) == (name, size)


@pytest.mark.parametrize(
    "text", ["", "landscape", "ledgerish", "A11", "12 in wide", "0 x 4", "letter portrait-ish"]
)
def test_what_is_no_paper_is_refused_with_those_that_are(text: str) -> None:
    with pytest.raises(UnknownPaper, match="letter, legal, A4, A3, A5, 12 x 12 in, 4 x 6 in"):
        find_paper(text)


def test_a_bare_size_takes_the_unit_around_it() -> None:
    assert find_paper("100 x 200", Unit.MM).size.width == mm(100)
    assert find_paper("4 x 5 in", Unit.MM).unit is Unit.INCH


def test_every_name_is_found_and_stands_once() -> None:
    assert len({paper.name for paper in PAPERS}) == len(PAPERS)
    assert set(SHEET_PAPERS) <= set(PAPERS)
    for paper in PAPERS:
        assert find_paper(paper.name) == paper
        assert find_paper(paper.landscape.name).size == paper.landscape.size


def test_landscape_lies_on_the_longer_side_and_only_once() -> None:
    wide = LETTER.landscape
    assert wide.size == LETTER.size.turned
    assert wide.landscape == wide


def test_the_printable_part_is_what_the_margins_leave() -> None:
    area = printable(LETTER, Margins(inches("1/4"), inches("1/2"), inches(1), inches(2)))
    assert (area.left, area.top) == (inches("1/4"), inches("1/2"))
    assert area.size.text() == "7 1/4 x 8 1/2 in"
    assert printable(LETTER, NO_MARGINS).size == LETTER.size


def test_margins_that_leave_nothing_are_refused() -> None:
    with pytest.raises(MarginsLeaveNothing, match=r"margins of 4 1/4 in leave nothing of letter"):
        printable(LETTER, Margins.even(inches("4 1/4")))
    with pytest.raises(MarginsLeaveNothing):
        printable(Paper("slip", LETTER.size), Margins(ZERO, inches(6), ZERO, inches(5)))


def test_margins_are_spoken_of_as_one_where_they_are_equal() -> None:
    assert Margins.even(mm(5)).text(Unit.MM) == "5 mm"
    assert Margins(mm(1), mm(2), mm(3), mm(4)).text(Unit.MM) == "1, 2, 3, 4 mm"
