"""Every kind of sheet, by two renderers at 600 pixels per inch, within 0.05 mm of its plan."""

from __future__ import annotations

from fractions import Fraction

import pytest
from measure import Engine
from sheet_truth import LEAST_PSNR_DB, NEAR_MM, UNEVEN, Kind, kinds, measure, picture_psnr_db

from kitprep.files.pdf import NO_CORRECTION, PrinterCorrection
from kitprep.lengths import inches, mm
from kitprep.papers import LETTER, Flip


@pytest.mark.parametrize("engine", Engine, ids=lambda engine: engine.value)
@pytest.mark.parametrize("kind", list(kinds()), ids=str)
def test_it_is_within_five_hundredths_of_a_millimetre_and_clean(kind, engine, tmp_path):
    truth = measure(kind, engine, tmp_path)
    assert truth.is_true, truth.text()


@pytest.mark.parametrize("engine", Engine, ids=lambda engine: engine.value)
def test_a_picture_upright_and_turned_is_above_45_db(engine, tmp_path):
    assert min(picture_psnr_db(engine, tmp_path)) > LEAST_PSNR_DB


def test_a_sheet_that_is_a_tenth_of_a_millimetre_off_is_found_out(tmp_path, monkeypatch):
    off = PrinterCorrection(Fraction(1), Fraction(1), mm("0.1"), mm(0))
    monkeypatch.setattr(Kind, "correction", off)
    truth = measure(Kind(LETTER, inches("1/8"), trimmer=True), Engine.PYMUPDF, tmp_path)
    assert not truth.is_true
    assert truth.marks_mm == pytest.approx(0.1, abs=0.02)


def test_a_printer_that_is_off_shows_without_its_correction(tmp_path, monkeypatch):
    monkeypatch.setattr(Kind, "correction", NO_CORRECTION)
    truth = measure(Kind(LETTER, inches("1/8"), trimmer=True, printer=UNEVEN), Engine.PYMUPDF, tmp_path)
    assert truth.marks_mm > 10 * NEAR_MM


def test_backs_that_are_turned_over_the_wrong_edge_are_found_out(tmp_path):
    kind = Kind(LETTER, inches("1/8"), trimmer=True, flip=Flip.LONG)
    from drawn_sheets import crop, two_by_two
    from sheet_truth import _back_mm, _spots, _written

    art = crop(inches_size(), inches("1/8"), 60, 60)
    sheet = two_by_two(LETTER, inches("1/8"), trimmer=True, artwork=art, back=art, flip=Flip.SHORT)
    dark = _written(sheet, kind, Engine.PYMUPDF, tmp_path, 300, 0)
    behind = _written(sheet, kind, Engine.PYMUPDF, tmp_path, 300, 1)
    front = _spots(sheet, kind, dark, 300)
    assert _back_mm(sheet, kind, front, dark, behind, 300) > 10


def inches_size():
    from kitprep.lengths import Size

    return Size(inches(2), inches("1 1/2"))
