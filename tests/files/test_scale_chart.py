"""Elements at one scale on a ruler grid: true to size as a PDF, the same board as a picture."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pikepdf
import pytest
from measure import Engine, rendered
from PIL import Image

from kitprep.errors import BadOption, OutputExists
from kitprep.files.pictures import ScaledCard, write_scale_board
from kitprep.files.pictures.scale_board import HEAD, MARGIN, scale_board
from kitprep.lengths import Size, Unit, inches, mm

RED, BLUE = (200, 20, 20), (20, 40, 200)


def card(name: str, size: Size, colour: tuple[int, int, int]) -> ScaledCard:
    pixels = np.full((90, 120, 4), (*colour, 255), np.uint8)
    return ScaledCard(name, size, size.text(Unit.INCH), pixels)


CARDS = [
    card("p01-01", Size(inches("4"), inches("3")), RED),
    card("p01-02", Size(inches("1 1/2"), inches("1 1/8")), BLUE),
]


def drawn(path: Path, unit: Unit = Unit.INCH) -> Path:
    write_scale_board(CARDS, title="Dusk Row", subtitle="Each at its largest.", path=path, unit=unit)
    return path


def box_of(seen: np.ndarray) -> tuple[int, int, int, int]:
    rows, cols = np.flatnonzero(seen.any(axis=1)), np.flatnonzero(seen.any(axis=0))
    return int(cols[0]), int(rows[0]), int(cols[-1]) + 1, int(rows[-1]) + 1


@pytest.mark.parametrize("engine", list(Engine))
@pytest.mark.parametrize("unit", [Unit.INCH, Unit.MM])
def test_on_the_pdf_every_element_measures_its_size_and_starts_on_a_crossing(
    tmp_path: Path, engine: Engine, unit: Unit
) -> None:
    page = rendered(drawn(tmp_path / "chart.pdf", unit), 100, engine).astype(int)
    square = (inches("1") if unit is Unit.INCH else mm(20)).inches * 100
    board = scale_board(CARDS, unit)
    for one, colour in zip(CARDS, (RED, BLUE), strict=True):
        left, top, right, bottom = box_of(np.abs(page - colour).max(axis=2) < 30)
        assert right - left == pytest.approx(one.size.width.inches * 100, abs=2)
        assert bottom - top == pytest.approx(one.size.height.inches * 100, abs=2)
        off = (left - MARGIN * board.words * 100) / square, (top - HEAD * board.words * 100) / square
        assert off == pytest.approx([round(value) for value in off], abs=0.03)


def test_the_pdf_prints_at_true_size_and_its_words_are_text(tmp_path: Path) -> None:
    path = drawn(tmp_path / "chart.pdf")
    with pikepdf.open(path) as pdf:
        assert pdf.Root.ViewerPreferences.PrintScaling == pikepdf.Name("/None")
        assert len(pdf.pages) == 1
    import pymupdf

    with pymupdf.open(path) as document:
        words = document[0].get_text()
    assert "Dusk Row" in words and "p01-02" in words


def test_the_same_board_gives_the_same_bytes(tmp_path: Path) -> None:
    assert drawn(tmp_path / "a.pdf").read_bytes() == drawn(tmp_path / "b.pdf").read_bytes()


def test_the_picture_shows_the_board_of_the_pdf(tmp_path: Path) -> None:
    with Image.open(drawn(tmp_path / "chart.png")) as picture:
        pixels, ppi = np.asarray(picture.convert("RGB")).astype(int), picture.info["dpi"][0]
    page = rendered(drawn(tmp_path / "chart.pdf"), 100, Engine.PYMUPDF).astype(int)
    for colour in (RED, BLUE):
        one, other = (box_of(np.abs(seen - colour).max(axis=2) < 30) for seen in (pixels, page))
        assert [side / ppi for side in one] == pytest.approx([side / 100 for side in other], abs=0.03)


def test_other_endings_and_files_that_are_there_are_refused(tmp_path: Path) -> None:
    with pytest.raises(BadOption, match=r"\.png or \.pdf"):
        drawn(tmp_path / "chart.jpg")
    drawn(tmp_path / "chart.pdf")
    with pytest.raises(OutputExists):
        drawn(tmp_path / "chart.pdf")
