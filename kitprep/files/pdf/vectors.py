"""Draws the lines and words of sheets with reportlab, which embeds the letters that are used."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from typing import TYPE_CHECKING

from kitprep.files.pdf.fonts import BOLD, REGULAR, register_fonts
from kitprep.sheet import Line, Sheet, Text

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

_DASH = (1.5, 1.5)  # points, on and off


def draw_vectors(sheets: Sequence[Sheet]) -> bytes:
    """A PDF with one page for each sheet: its lines and words, no pictures."""
    from reportlab.pdfgen.canvas import Canvas

    register_fonts()
    content = BytesIO()
    canvas = Canvas(content, invariant=1, pageCompression=0, initialFontName=REGULAR)
    for sheet in sheets:
        size = sheet.paper.size
        canvas.setPageSize((size.width.points, size.height.points))
        _draw_sheet(canvas, sheet, size.height.points)
        canvas.showPage()
    canvas.save()
    return content.getvalue()


def _draw_sheet(canvas: Canvas, sheet: Sheet, height: float) -> None:
    canvas.setStrokeGray(0)
    canvas.setFillGray(0)
    for line in sheet.lines:
        _draw_line(canvas, line, height)
    for text in sheet.texts:
        _draw_text(canvas, text, height)


def _draw_line(canvas: Canvas, line: Line, height: float) -> None:
    canvas.setLineWidth(line.width.points)
    canvas.setDash(*_DASH) if line.kind.dashed else canvas.setDash()
    canvas.line(line.x0.points, height - line.y0.points, line.x1.points, height - line.y1.points)


def _draw_text(canvas: Canvas, text: Text, height: float) -> None:
    canvas.setFont(BOLD if text.bold else REGULAR, text.size.points)
    if not text.upward:
        canvas.drawString(text.x.points, height - text.y.points, text.words)
        return
    canvas.saveState()
    canvas.translate(text.x.points, height - text.y.points)
    canvas.rotate(90)
    canvas.drawString(0, 0, text.words)
    canvas.restoreState()
