"""Words on a picture, in the typeface that ships with kitprep (SIL Open Font License)."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from io import BytesIO
from typing import TYPE_CHECKING

from kitprep.files.pictures import colours
from kitprep.files.pictures.board import fraction_runs

if TYPE_CHECKING:
    from PIL.ImageDraw import ImageDraw
    from PIL.ImageFont import FreeTypeFont

_MEASURE_PX = 200  # text is measured once at this size; widths scale


def font_bytes(bold: bool) -> bytes:
    """The font file."""
    return (files("kitprep") / "fonts" / f"AlegreyaSans-{'Bold' if bold else 'Regular'}.ttf").read_bytes()


@cache
def _font(size_px: int, bold: bool) -> FreeTypeFont:
    from PIL import ImageFont

    # The plain layout is the same wherever Pillow runs; the other needs a library that may not be there.
    return ImageFont.truetype(BytesIO(font_bytes(bold)), size_px, layout_engine=ImageFont.Layout.BASIC)


def text_width(text: str, size: float, bold: bool) -> float:
    """The width of a text with its fractions set small, in the unit of its size."""
    font = _font(_MEASURE_PX, bold)
    return sum(font.getlength(run) * scale for run, scale, _ in fraction_runs(text)) * size / _MEASURE_PX


def draw_text(
    draw: ImageDraw, text: str, left: float, baseline: float, size: float, colour: str, *, bold: bool = False
) -> None:
    """Draw a text with its fractions set small, from a place on its baseline, all in pixels."""
    for run, scale, rise in fraction_runs(text):
        font = _font(round(size * scale), bold)
        draw.text((left, baseline - rise * size), run, fill=colour, font=font, anchor="ls")
        left += font.getlength(run)


def draw_label(draw: ImageDraw, text: str, middle: tuple[float, float], size: float, colour: str) -> None:
    """A few letters on a small board of their own, so that they are read on any picture."""
    half, tall = text_width(text, size, True) / 2 + 0.3 * size, 0.62 * size
    x, y = middle
    draw.rounded_rectangle((x - half, y - tall, x + half, y + tall), 0.3 * size, colours.BOARD, colours.RULE)
    draw_text(draw, text, x - half + 0.3 * size, y + 0.32 * size, size, colour, bold=True)
