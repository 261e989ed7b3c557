"""Draws a scale board as a PNG: a ruled grid, elements lying on it, a ruler along two sides."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from kitprep.files.pictures import colours
from kitprep.files.pictures.lettering import draw_text, text_width
from kitprep.files.pictures.scale_board import (
    FIGURE,
    FOOT,
    HEAD,
    LABEL,
    MARGIN,
    RULER,
    RULER_AWAY,
    SUBTITLE,
    TITLE,
    ScaleBoard,
    ScaledSpot,
    figure_at,
    ruler_marks,
)
from kitprep.files.pictures.shading import lay_down_picture
from kitprep.files.pictures.words import shortened
from kitprep.files.srgb import srgb_profile
from kitprep.lengths import Unit

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw

PPI = 110.0  # of the picture: what a screen shows at about true size
MOST_PX = 12_000  # of a side; some viewers of pictures refuse more
_LEVEL = 3  # of deflate


def draw_scale_png(board: ScaleBoard, title: str, subtitle: str, unit: Unit, path: Path) -> None:
    """Draw a scale board and write it; parameters as for `write_scale_board`."""
    picture, ppi = _drawn(board, title, subtitle, unit)
    picture.save(path, "PNG", compress_level=_LEVEL, dpi=(ppi, ppi), icc_profile=srgb_profile())


def _drawn(board: ScaleBoard, title: str, subtitle: str, unit: Unit) -> tuple[Image, float]:
    from PIL import Image, ImageDraw

    square = board.square.inches
    margin, head = MARGIN * board.words, HEAD * board.words
    wide, high = board.across * square + 2 * margin, board.down * square + head + FOOT * board.words
    ppi = min(PPI, MOST_PX / max(wide, high))
    picture = Image.new("RGB", (round(wide * ppi), round(high * ppi)), colours.BOARD)
    draw = ImageDraw.Draw(picture)
    left, top, side, word = margin * ppi, head * ppi, square * ppi, board.words * ppi
    _grid(draw, board, left, top, side)
    _rulers(draw, board, (left, top, side), unit, word)
    for spot in board.spots:
        _lay(picture, draw, spot, (left, top, side), word)
    room = picture.width - 2 * left
    draw_text(draw, title, left, 0.62 * word, TITLE * word, colours.INK, bold=True)
    line = shortened(subtitle, SUBTITLE * word, False, room, text_width)
    draw_text(draw, line, left, 0.88 * word, SUBTITLE * word, colours.PALE_INK)
    return picture, ppi


def _grid(draw: ImageDraw, board: ScaleBoard, left: float, top: float, side: float) -> None:
    right, bottom = round(left + board.across * side), round(top + board.down * side)
    lines = [(number, True) for number in range(board.across + 1)] + [
        (n, False) for n in range(board.down + 1)
    ]
    for number, upright in sorted(lines, key=lambda line: line[0] % 5 == 0):
        colour = colours.RULE if number % 5 == 0 else colours.FINE_RULE
        if upright:
            x = round(left + number * side)
            draw.line((x, round(top), x, bottom), fill=colour)
        else:
            y = round(top + number * side)
            draw.line((round(left), y, right, y), fill=colour)


def _rulers(
    draw: ImageDraw, board: ScaleBoard, frame: tuple[float, float, float], unit: Unit, word: float
) -> None:
    """Rulers above and to the left of the grid: ticks, and a figure at each square."""
    left, top, side = frame
    reach, size = RULER * word, FIGURE * word
    draw_left, draw_top = left - RULER_AWAY * word, top - RULER_AWAY * word
    draw.line((left, draw_top, left + board.across * side, draw_top), fill=colours.INK)
    draw.line((draw_left, top, draw_left, top + board.down * side), fill=colours.INK)
    for count, across in ((board.across, True), (board.down, False)):
        for place, share in ruler_marks(count, unit).items():
            at = round((left if across else top) + place * side)
            tick = round(share * reach * 0.5)
            line = (at, draw_top - tick, at, draw_top) if across else (draw_left - tick, at, draw_left, at)
            draw.line(line, fill=colours.PALE_INK)
        for number in range(1, count + 1):
            figure = figure_at(number, unit)
            width = text_width(figure, size, False)
            if across:
                x, y = left + number * side - width / 2, draw_top - reach * 0.5
            else:
                x, y = draw_left - reach * 0.5 - width, top + number * side + size * 0.32
            draw_text(draw, figure, x, y, size, colours.PALE_INK)


def _lay(
    picture: Image, draw: ImageDraw, spot: ScaledSpot, frame: tuple[float, float, float], word: float
) -> None:
    from PIL import Image

    left, top, side = frame
    x, y = left + spot.left * side, top + spot.top * side
    wide, high = max(round(spot.width * side), 1), max(round(spot.height * side), 1)
    thumbnail = Image.fromarray(spot.card.thumbnail).convert("RGBA")
    scaled = thumbnail.resize((wide, high), Image.Resampling.LANCZOS, reducing_gap=3.0)
    lay_down_picture(picture, scaled, (round(x), round(y)), word / 80)
    size = LABEL * word
    baseline = y + high + 1.5 * size
    draw_text(draw, spot.card.label, x, baseline, size, colours.INK, bold=True)
    ink = colours.ACCENT if spot.card.marked else colours.PALE_INK
    draw_text(draw, spot.card.words, x, baseline + 1.2 * size, size, ink)
