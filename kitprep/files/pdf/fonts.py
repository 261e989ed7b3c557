"""The typeface that ships with kitprep, ready for reportlab, with the figures that measures want.

Alegreya Sans (SIL Open Font License, its text beside the fonts) has old-style figures by default. Its
tabular lining figures, numerators and denominators have no character of their own, so they are given to
the plain, superscript and subscript figures; copied or searched text stays what it says.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from io import BytesIO

REGULAR = "kitprep-regular"
BOLD = "kitprep-bold"

_FILES = {REGULAR: "AlegreyaSans-Regular.ttf", BOLD: "AlegreyaSans-Bold.ttf"}
# Numbers of the glyphs for 0 to 9 in both fonts: zero.tf, zero.numr, zero.dnom and those after them.
_FIGURES = {"0123456789": 181, "⁰¹²³⁴⁵⁶⁷⁸⁹": 211, "₀₁₂₃₄₅₆₇₈₉": 201}


@cache
def register_fonts() -> None:
    """Make both faces known to reportlab, once in a run."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    for name, file in _FILES.items():
        content = (files("kitprep") / "fonts" / file).read_bytes()
        font = TTFont(name, BytesIO(content))
        for figures, first in _FIGURES.items():
            for glyph, figure in enumerate(figures, first):
                font.face.charToGlyph[ord(figure)] = glyph
                font.face.charWidths[ord(figure)] = font.face.hmetrics[glyph][0]
        # Under a face's name reportlab keeps one font, whoever else has registered it with its own figures.
        font.face.name += b"-Lining"
        pdfmetrics.registerFont(font)
