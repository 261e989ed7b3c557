"""A printer's test page as a person comes by it: to measure, then to see that all is well."""

from __future__ import annotations

from pathlib import Path

import pymupdf

from tests.cli.conftest import Run


def _words(pdf: Path) -> str:
    with pymupdf.open(pdf) as document:
        return " ".join(document[0].get_text().split())


def test_a_page_that_makes_up_for_what_was_measured_says_so_and_asks_for_nothing(
    run: Run, kit: Path, tmp_path: Path
) -> None:
    pdf = str(tmp_path / "t.pdf")
    run("printer", "add", "kitchen")
    run("printer", "test", "kitchen", "-o", pdf)
    run("printer", "measured", "kitchen", "--width", "5.97 in", "--height", "9 in")
    ran = run("printer", "test", "kitchen", "--corrected", "--overwrite", "-o", pdf)
    assert "the frame must be as large" in " ".join(ran.out.split())
    assert "type what you read" not in " ".join(ran.out.split())
    assert "printer measured" not in _words(tmp_path / "t.pdf")


def test_of_a_printer_never_measured_there_is_nothing_to_make_up_for_and_the_page_is_to_be_measured(
    run: Run, kit: Path, tmp_path: Path
) -> None:
    """The readings then are of that page's paper, not of an earlier one's."""
    pdf = str(tmp_path / "t.pdf")
    run("printer", "add", "kitchen")
    run("printer", "test", "kitchen", "--paper", "A4", "-o", pdf)
    ran = run("printer", "test", "kitchen", "--corrected", "--overwrite", "-o", pdf)
    assert "type what you read" in " ".join(ran.out.split())
    assert "printer measured" in _words(tmp_path / "t.pdf")
    assert run("printer", "measured", "kitchen", "--width", "6 in", "--height", "9 in").code == 0
