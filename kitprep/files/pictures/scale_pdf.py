"""Draws a scale board as a PDF of one page, true to size: printed at 100 % it is a chart for the wall.

Grid, rulers and words are lines and letters; each element is a picture of its own, sharp to `PPI`.
"""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from kitprep.files.pictures import colours
from kitprep.files.pictures.board_pdf import draw_line_of_text, register_fonts
from kitprep.files.pictures.lettering import text_width
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
from kitprep.files.pictures.words import shortened
from kitprep.lengths import Unit

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

PPI = 150.0  # of the elements: that of the reduced pages they come from
POINTS = 72.0
_LINE, _FIFTH_LINE = 0.4, 0.8  # points


def draw_scale_pdf(board: ScaleBoard, title: str, subtitle: str, unit: Unit, path: Path) -> None:
    """Draw a scale board and write it; parameters as for `write_scale_board`."""
    import pikepdf
    from reportlab.pdfgen.canvas import Canvas

    from kitprep.files.pdf.finishing import finish

    register_fonts()
    side = board.square.points
    left, top, word = MARGIN * board.words * POINTS, HEAD * board.words * POINTS, board.words * POINTS
    wide = board.across * side + 2 * left
    high = board.down * side + top + FOOT * word
    draft = BytesIO()
    canvas = Canvas(draft, pagesize=(wide, high), pageCompression=1, invariant=1, bottomup=1)
    canvas.setFillColor(colours.BOARD)
    canvas.rect(0, 0, wide, high, stroke=0, fill=1)
    pen = _Pen(canvas, high)
    _grid(pen, board, left, top)
    _rulers(pen, board, (left, top), unit, word)
    for spot in board.spots:
        _lay(pen, spot, (left, top, side), word)
    pen.words(title, left, 0.62 * word, TITLE * word, colours.INK, bold=True)
    line = shortened(subtitle, SUBTITLE * word, False, wide - 2 * left, text_width)
    pen.words(line, left, 0.88 * word, SUBTITLE * word, colours.PALE_INK)
    canvas.save()
    # reportlab writes pictures as ASCII; packing them again as bytes saves a fifth.
    with pikepdf.open(draft) as pdf:
        finish(pdf, title=title, author="")
        pdf.save(
            path,
            deterministic_id=True,
            compress_streams=True,
            stream_decode_level=pikepdf.StreamDecodeLevel.generalized,
        )


class _Pen:
    """Draws in points from the top left of the page, y down.

    Parameters
    ----------
    canvas : Canvas
    height : float
        Of the page, in points.
    """

    def __init__(self, canvas: Canvas, height: float) -> None:
        self.canvas, self._height = canvas, height

    def line(self, x0: float, y0: float, x1: float, y1: float, colour: str, width: float = _LINE) -> None:
        self.canvas.setStrokeColor(colour)
        self.canvas.setLineWidth(width)
        self.canvas.line(x0, self._height - y0, x1, self._height - y1)

    def words(
        self, text: str, left: float, baseline: float, size: float, colour: str, *, bold: bool = False
    ) -> None:
        self.canvas.setFillColor(colour)
        draw_line_of_text(self.canvas, text, left, self._height - baseline, size, bold=bold)

    def picture(self, png: BytesIO, left: float, top: float, wide: float, high: float) -> None:
        from reportlab.lib.utils import ImageReader

        self.canvas.drawImage(ImageReader(png), left, self._height - top - high, wide, high, mask="auto")


def _grid(pen: _Pen, board: ScaleBoard, left: float, top: float) -> None:
    side = board.square.points
    right, bottom = left + board.across * side, top + board.down * side
    lines = [(number, True) for number in range(board.across + 1)]
    lines += [(number, False) for number in range(board.down + 1)]
    for number, upright in sorted(lines, key=lambda line: line[0] % 5 == 0):
        fifth = number % 5 == 0
        colour, width = (colours.RULE, _FIFTH_LINE) if fifth else (colours.FINE_RULE, _LINE)
        at = (left if upright else top) + number * side
        ends = (at, top, at, bottom) if upright else (left, at, right, at)
        pen.line(*ends, colour, width)


def _rulers(pen: _Pen, board: ScaleBoard, corner: tuple[float, float], unit: Unit, word: float) -> None:
    (left, top), side = corner, board.square.points
    reach, size = RULER * word, FIGURE * word
    above, beside = top - RULER_AWAY * word, left - RULER_AWAY * word
    pen.line(left, above, left + board.across * side, above, colours.INK)
    pen.line(beside, top, beside, top + board.down * side, colours.INK)
    for count, across in ((board.across, True), (board.down, False)):
        for place, share in ruler_marks(count, unit).items():
            at, tick = (left if across else top) + place * side, share * reach * 0.5
            ends = (at, above - tick, at, above) if across else (beside - tick, at, beside, at)
            pen.line(*ends, colours.PALE_INK)
        for number in range(1, count + 1):
            figure = figure_at(number, unit)
            width = text_width(figure, size, False)
            if across:
                place_at = left + number * side - width / 2, above - reach * 0.5
            else:
                place_at = beside - reach * 0.5 - width, top + number * side + size * 0.32
            pen.words(figure, *place_at, size, colours.PALE_INK)


def _lay(pen: _Pen, spot: ScaledSpot, frame: tuple[float, float, float], word: float) -> None:
    from PIL import Image

    left, top, side = frame
    x, y, wide, high = left + spot.left * side, top + spot.top * side, spot.width * side, spot.height * side
    picture = Image.fromarray(spot.card.thumbnail).convert("RGBA")
    size_px = max(round(wide / POINTS * PPI), 1), max(round(high / POINTS * PPI), 1)
    if size_px[0] < picture.width:
        picture = picture.resize(size_px, Image.Resampling.LANCZOS, reducing_gap=3.0)
    png = BytesIO()
    picture.save(png, "PNG", compress_level=1)
    png.seek(0)
    pen.picture(png, x, y, wide, high)
    size = LABEL * word
    baseline = y + high + 1.5 * size
    pen.words(spot.card.label, x, baseline, size, colours.INK, bold=True)
    ink = colours.ACCENT if spot.card.marked else colours.PALE_INK
    pen.words(spot.card.words, x, baseline + 1.2 * size, size, ink)
