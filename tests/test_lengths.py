"""Exact lengths: against the standards, and text there and back."""

from contextlib import suppress
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitprep.errors import BadLength, BadSize
from kitprep.lengths import (
    LEAST_SIDE,
    ZERO,
    Box,
    Length,
    Size,
    Unit,
    WantedSize,
    from_pixels,
    inches,
    mm,
    of,
    read_length,
    read_size,
    read_wanted_size,
    unit_of,
)

MOST = 914_400_000  # 1000 in, the longest that is read
emus = st.integers(0, MOST)
lengths = emus.map(Length)
LEAST = LEAST_SIDE.emu
units = st.sampled_from(Unit)


# ----------------------------------------------------------------- standards


def test_an_inch_is_25_4_millimetres_exactly() -> None:
    """NIST SP 811 (2008), appendix B.8: inch to millimetre, 2.54 E+01, in bold, that is, exact."""
    assert inches(1) == mm("25.4")
    assert inches(10) == mm(254)


def test_emu_are_those_of_ecma_376() -> None:
    """ECMA-376 part 1, 20.1.2.1: 914 400 EMU to the inch, 360 000 to the centimetre, 12 700 to the point."""
    assert (inches(1).emu, of(1, Unit.CM).emu, of(1, Unit.POINT).emu) == (914_400, 360_000, 12_700)
    assert of(72, Unit.POINT) == inches(1)


def test_what_a_float_would_blur_is_exact() -> None:
    assert 3 * mm("3.175") == mm("9.525")
    assert 16 * inches("1/16") == inches(1)
    assert 3 * mm("0.1") == mm("0.3")


@pytest.mark.parametrize("ppi", [72, 96, 150, 300, 600, 1200])
def test_one_pixel_is_a_whole_number_of_emu_at_common_resolutions(ppi: int) -> None:
    assert from_pixels(1, ppi) * ppi == inches(1)
    assert from_pixels(2550, 300) == inches("8.5")


# ------------------------------------------------------------------- reading


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("4 3/4 in", inches("4.75")),
        ("4 3/4 inches", inches("4.75")),
        ('4-3/4"', inches("4.75")),
        ('4¾"', inches("4.75")),
        ("4¾″", inches("4.75")),
        ("4 3⁄4", inches("4.75")),
        ("¾ in.", inches("0.75")),
        ("3/4''", inches("0.75")),
        (".5in", inches("0.5")),
        ("5.", inches(5)),
        ("4,5 cm", mm(45)),
        ("120 mm", mm(120)),
        ("12cm", mm(120)),
        ("  12 CM ", mm(120)),
        ("36pt", inches("1/2")),
        ("-1/8 in", -inches("1/8")),
        ("- 2 mm", -mm(2)),
    ],
)
def test_a_length_is_read_as_people_write_it(text: str, wanted: Length) -> None:
    assert read_length(text) == wanted


@pytest.mark.parametrize(
    "text",
    ["", " ", "in", "four in", "4 in 3", "1/0 in", "4.5 3/4 in", "1e3 mm", "nan", "inf", "4 ft", "4 3/4 3/4"],
)
def test_what_is_no_length_is_refused(text: str) -> None:
    with pytest.raises(BadLength, match="is not a length"):
        read_length(text)


def test_a_length_over_a_thousand_inches_is_a_slip_of_the_pen() -> None:
    assert read_length("1000 in").emu == MOST
    with pytest.raises(BadLength):
        read_length("1000.001 in")


@given(st.text())
def test_any_text_is_read_or_refused_in_words(text: str) -> None:
    with suppress(BadLength):
        read_length(text)
    with suppress(BadSize):
        read_wanted_size(text)


def test_a_bare_number_takes_the_unit_around_it() -> None:
    assert read_length("3", Unit.MM) == mm(3)
    assert read_length("3 in", Unit.MM) == inches(3)
    assert (unit_of("3", Unit.MM), unit_of("3 cm", Unit.MM)) == (Unit.MM, Unit.CM)


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("4 3/4 x 2 3/4", WantedSize(inches("4.75"), inches("2.75"))),
        ("4 3⁄4 x 2 3⁄4", WantedSize(inches("4.75"), inches("2.75"))),
        ('4¾" × 2¾"', WantedSize(inches("4.75"), inches("2.75"))),
        ("4X3", WantedSize(inches(4), inches(3))),
        ("4 by 3 in", WantedSize(inches(4), inches(3))),
        ("120 x 80 mm", WantedSize(mm(120), mm(80), Unit.MM)),
        ("120 mm x 80", WantedSize(mm(120), mm(80), Unit.MM)),
        ("12 cm x 80 mm", WantedSize(mm(120), mm(80), Unit.MM)),
        ("1500 x 800 mm", WantedSize(mm(1500), mm(800), Unit.MM)),
        ("4 in wide x 3 in tall", WantedSize(inches(4), inches(3))),
        ("4w x 3h", WantedSize(inches(4), inches(3))),
        ("1.5in wide", WantedSize(inches("1.5"), None)),
        ("3 in tall ", WantedSize(None, inches(3))),
        ("80 mm high", WantedSize(None, mm(80), Unit.MM)),
    ],
)
def test_a_size_is_read_as_people_write_it(text: str, wanted: WantedSize) -> None:
    assert read_wanted_size(text) == wanted


@pytest.mark.parametrize(
    "text", ["", "4", "4 x", "x 4", "4 x 3 x 2", "wide", "4 tall x 3 wide", "0 x 3", "-4 wide"]
)
def test_what_is_no_size_is_refused(text: str) -> None:
    with pytest.raises(BadSize):
        read_wanted_size(text)


def test_a_size_of_one_side_is_no_whole_size() -> None:
    with pytest.raises(BadSize, match="needs a width and a height"):
        read_size("3 in wide")


# ----------------------------------------------------------- there and back


@given(lengths, units)
def test_exact_text_reads_back_as_the_very_same_length(length: Length, unit: Unit) -> None:
    assert read_length(length.exact_text(unit)) == length
    assert read_length((-length).exact_text(unit)) == -length


@given(lengths, units)
def test_printed_text_reads_back_within_what_it_shows(length: Length, unit: Unit) -> None:
    shown = of(Fraction(1, 1000), unit) if unit is Unit.INCH else of(Fraction(1, 100), unit)
    assert abs(read_length(length.text(unit)).emu - length.emu) <= shown.emu / 2 + 1


@given(st.integers(0, 16_000), st.sampled_from(["{} in", '{}"', "{}", "{}in"]))
def test_sixteenths_are_printed_as_fractions_and_read_back_exactly(count: int, form: str) -> None:
    length = inches(Fraction(count, 16))
    assert "." not in length.number()
    assert read_length(form.format(length.number())) == length


@given(st.integers(0, 2_000_000))
def test_hundredths_of_a_millimetre_are_printed_and_read_back_exactly(count: int) -> None:
    length = mm(Fraction(count, 100))
    assert read_length(length.text(Unit.MM)) == length


@given(st.integers(LEAST, MOST).map(Length), st.integers(LEAST, MOST).map(Length), units)
def test_an_exact_size_reads_back_as_the_very_same_size(width: Length, height: Length, unit: Unit) -> None:
    for wanted in (
        WantedSize(width, height, unit),
        WantedSize(width, None, unit),
        WantedSize(None, height, unit),
    ):
        again = read_wanted_size(wanted.exact_text())
        assert (again.width, again.height) == (wanted.width, wanted.height)


@pytest.mark.parametrize(
    ("length", "unit", "text"),
    [
        (inches("4.75"), Unit.INCH, "4 3/4 in"),
        (inches("0.0625"), Unit.INCH, "1/16 in"),
        (inches("1/3"), Unit.INCH, "0.333 in"),
        (-inches("1/8"), Unit.INCH, "-1/8 in"),
        (ZERO, Unit.INCH, "0 in"),
        (mm(100), Unit.MM, "100 mm"),
        (mm("0.5"), Unit.MM, "0.5 mm"),
        (mm(100), Unit.CM, "10 cm"),
        (inches(1), Unit.POINT, "72 pt"),
        (Length(-1), Unit.INCH, "0 in"),
    ],
)
def test_a_length_is_printed_as_people_write_it(length: Length, unit: Unit, text: str) -> None:
    assert length.text(unit) == text


# ---------------------------------------------------------------- arithmetic


@given(lengths, lengths)
def test_sums_and_ratios_are_exact(a: Length, b: Length) -> None:
    assert a + b - b == a
    assert (a < b) == (a.emu < b.emu)
    if b:
        assert b.scaled(a / b) == a


def test_a_length_is_never_made_of_a_float() -> None:
    with pytest.raises(TypeError, match="whole number of EMU"):
        Length(1.0)  # type: ignore[arg-type]


def test_a_scaled_length_rounds_half_to_even() -> None:
    assert (Length(1).scaled(Fraction(1, 2)), Length(3).scaled(Fraction(1, 2))) == (Length(0), Length(2))


def test_a_narrow_tall_size_does_not_fit_a_wide_low_one() -> None:
    narrow, room = Size(mm(7), mm(99)), Size(mm(8), mm(10))
    assert not narrow.fits_in(room)
    assert Size(mm(8), mm(10)).fits_in(room)
    assert not room.turned.fits_in(room)


def test_boxes_that_share_an_edge_do_not_overlap() -> None:
    left = Box.at(ZERO, ZERO, Size(mm(10), mm(10)))
    assert not left.overlaps(left.moved(mm(10), ZERO))
    assert left.overlaps(left.moved(mm(10) - Length(1), ZERO))
    assert left.contains(left)
    assert not left.contains(left.grown(Length(1)))
    assert left.grown(mm(1)).size == Size(mm(12), mm(12))
