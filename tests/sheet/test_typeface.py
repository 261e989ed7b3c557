"""Widths of words against the fonts that ship with kitprep, read by fontTools and by reportlab."""

from __future__ import annotations

from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

import kitprep
from kitprep.files.pdf.fonts import BOLD, REGULAR, register_fonts
from kitprep.sheet.typeface import points, text_width, with_fractions

FONTS = Path(kitprep.__file__).parent / "fonts"
SAMPLE = "A  Picker’s tag, 4 3⁄16 × 2 ½ in · sheet 1 of 12 – print at 100 %, Äpfel & Öl"
FIGURES = {"0123456789": "tf", "⁰¹²³⁴⁵⁶⁷⁸⁹": "numr", "₀₁₂₃₄₅₆₇₈₉": "dnom"}
NAMES = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")


@pytest.mark.parametrize(
    ("file", "bold"), [("AlegreyaSans-Regular.ttf", False), ("AlegreyaSans-Bold.ttf", True)]
)
def test_every_letter_of_the_fonts_has_its_advance_width(file, bold):
    font = TTFont(FONTS / file)
    metrics = font["hmtx"]
    wanted = {chr(code): metrics[glyph][0] for code, glyph in font.getBestCmap().items() if code >= 32}
    for figures, ending in FIGURES.items():
        wanted |= {
            figure: metrics[f"{name}.{ending}"][0] for figure, name in zip(figures, NAMES, strict=True)
        }
    size = points(10)
    off = {
        letter: text_width(letter, size, bold=bold).points * 100
        for letter, width in wanted.items()
        if abs(text_width(letter, size, bold=bold).points * 100 - width) > 0.1
        and not "̀" <= letter <= "ͯ"
        and letter not in "\u00ad\u200b"
    }
    assert off == {}


@pytest.mark.parametrize("bold", [False, True])
def test_a_line_is_as_wide_as_reportlab_draws_it(bold):
    from reportlab.pdfbase.pdfmetrics import stringWidth

    register_fonts()
    drawn = stringWidth(SAMPLE, BOLD if bold else REGULAR, 7)
    assert text_width(SAMPLE, points(7), bold=bold).points == pytest.approx(drawn, abs=1e-3)


def test_figures_are_the_lining_ones_and_fractions_the_true_ones():
    """Glyph numbers that the PDF uses, against the fonts' own names for them."""
    from reportlab.pdfbase.pdfmetrics import getFont

    register_fonts()
    for name, file in ((REGULAR, "AlegreyaSans-Regular.ttf"), (BOLD, "AlegreyaSans-Bold.ttf")):
        order = TTFont(FONTS / file).getGlyphOrder()
        used = getFont(name).face.charToGlyph
        for figures, ending in FIGURES.items():
            assert [order[used[ord(figure)]] for figure in figures] == [f"{one}.{ending}" for one in NAMES]


def test_only_plain_fractions_become_fractions():
    assert with_fractions("4 3/16 x 2 1/2 in") == "4 ³⁄₁₆ x 2 ¹⁄₂ in"
    assert with_fractions("kit/p01-01 and 3/4/5 and a/b") == "kit/p01-01 and 3/4/5 and a/b"
