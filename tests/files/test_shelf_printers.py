"""Printers kept by name on the shelf."""

from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitprep.errors import BadOption, NoSuchPrinter, ScaledByDialog, ShelfDamaged, ShelfTooNew
from kitprep.files.shelf import Printer, Printers, Readings
from kitprep.lengths import Box, Length, Size, inches, mm
from kitprep.papers import Margins

KITCHEN = Printer("Kitchen", Margins(mm(3), mm(4), inches("1/4"), inches("1/2")))

lengths = st.integers(-10_000_000, 10_000_000).map(Length)
margins = st.builds(Margins, *[st.integers(0, 10_000_000).map(Length)] * 4)
ratios = st.fractions(Fraction(1, 2), 2, max_denominator=10**9)
names = st.text(st.characters(exclude_categories=["Cs"]), min_size=1).filter(str.strip)


@given(name=names, margins=margins, x=ratios, y=ratios, right=lengths, down=lengths)
def test_a_printer_is_read_back_exactly_as_it_was_put(
    tmp_path_factory: pytest.TempPathFactory,
    name: str,
    margins: Margins,
    x: Fraction,
    y: Fraction,
    right: Length,
    down: Length,
) -> None:
    printers = Printers(tmp_path_factory.mktemp("shelf"))
    printers.put(Printer(name, margins, x, y, right, down, "A4"))
    assert printers.list() == (Printer(name, margins, x, y, right, down, "A4"),)


def test_a_printer_of_the_same_name_is_replaced_and_comments_stay(tmp_path: Path) -> None:
    printers = Printers(tmp_path)
    printers.put(KITCHEN)
    file = tmp_path / "printers.toml"
    file.write_text(file.read_text("utf-8").replace("[[printer]]", "# by the window\n[[printer]]"), "utf-8")
    printers.put(Printer("kitchen", Margins.even(mm(5))))
    assert [printer.margins for printer in printers.list()] == [Margins.even(mm(5))]
    assert "# by the window" in file.read_text("utf-8")


def test_printers_are_listed_by_name_and_forgotten_one_by_one(tmp_path: Path) -> None:
    printers = Printers(tmp_path)
    for name in ("Study", "attic", "Kitchen"):
        printers.put(Printer(name, Margins.even(mm(5))))
    assert [printer.name for printer in printers.list()] == ["attic", "Kitchen", "Study"]
    assert printers.remove("KITCHEN").name == "Kitchen"
    assert [printer.name for printer in printers.list()] == ["attic", "Study"]


def test_a_printer_that_is_not_there_is_answered_with_those_that_are(tmp_path: Path) -> None:
    printers = Printers(tmp_path)
    with pytest.raises(NoSuchPrinter, match="kitprep printer add kitchen"):
        printers.get("kitchen")
    printers.put(KITCHEN)
    assert printers.get(" kitchen ") == KITCHEN
    with pytest.raises(NoSuchPrinter, match="choose from Kitchen"):
        printers.remove("kichen")


def test_a_printer_without_a_name_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadOption, match="name"):
        Printers(tmp_path).put(Printer(" ", Margins.even(mm(5))))


FRAME = Box.at(inches("1 1/4"), inches(1), Size(inches(6), inches(9)))


def test_a_measured_printer_puts_the_frame_where_it_was_read() -> None:
    """By the printer's own rule, what belongs at x is printed at scale x + offset."""
    read = Readings(mm(152), inches("9 1/16"), mm(33), inches("15/16"))
    measured = KITCHEN.measured(FRAME, read)
    assert measured.scale_x == Fraction(152 * 10, 254 * 6)
    assert measured.scale_y == Fraction(145, 144)
    left = FRAME.left.scaled(measured.scale_x) + measured.offset_x
    bottom = FRAME.bottom.scaled(measured.scale_y) + measured.offset_y
    assert left == mm(33)
    assert bottom == inches("15/16") + inches("9 1/16")
    assert measured.margins == KITCHEN.margins


@pytest.mark.parametrize(("reading", "share"), [("8 11/16", "96.5%"), ("9 5/16", "103.5%")])
def test_more_than_three_percent_is_the_print_dialog_s_doing_and_said(reading: str, share: str) -> None:
    with pytest.raises(ScaledByDialog, match=f"{share}.* the print dialog scaled the page; print .* 100 %"):
        KITCHEN.measured(FRAME, Readings(inches(6), inches(reading)))
    assert KITCHEN.measured(FRAME, Readings(inches(6), inches("8 3/4"))).scale_y == Fraction(35, 36)


def test_a_reading_of_nothing_and_a_frame_far_beside_its_place_are_refused() -> None:
    with pytest.raises(BadOption, match="--width"):
        KITCHEN.measured(FRAME, Readings(inches(0), inches(9)))
    with pytest.raises(BadOption, match=r"--top cannot be '3 in'.*near 1 in"):
        KITCHEN.measured(FRAME, Readings(inches(6), inches(9), top=inches(3)))


@pytest.mark.parametrize(
    ("old", "new", "error", "says"),
    [
        ('"3 mm"', '"wide"', ShelfDamaged, "line 6: 'wide' is not a length"),
        ('"3 mm", ', "", ShelfDamaged, "line 6: margin must be 4 lengths"),
        ('scale = ["1", "1"]', 'scale = ["0", "1"]', ShelfDamaged, "line 7: scale must be two ratios"),
        ('scale = ["1", "1"]', 'scale = ["x"]', ShelfDamaged, "line 7: scale must be two ratios"),
        ('name = "Kitchen"', "", ShelfDamaged, "name is missing"),
        ("format = 1", "format = 9", ShelfTooNew, "format 9"),
        ("format = 1", "format = ", ShelfDamaged, "this is not TOML"),
    ],
)
def test_a_damaged_list_of_printers_is_named_and_not_written_over(
    tmp_path: Path, old: str, new: str, error: type[Exception], says: str
) -> None:
    printers = Printers(tmp_path)
    printers.put(KITCHEN)
    file = tmp_path / "printers.toml"
    text = file.read_text("utf-8")
    assert old in text
    file.write_text(text.replace(old, new, 1), "utf-8")
    with pytest.raises(error, match=says):
        printers.list()
    with pytest.raises(error, match=r"printers\.toml"):
        printers.put(KITCHEN)
    assert file.read_text("utf-8") == text.replace(old, new, 1)
