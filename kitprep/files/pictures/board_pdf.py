"""Draws a contact sheet as a PDF of letter pages, to print or to leaf through."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from kitprep.files.pictures import colours
from kitprep.files.pictures.board import Board, ContactCard, Spot, fraction_runs, many_boards
from kitprep.files.pictures.lettering import font_bytes, text_width
from kitprep.files.pictures.shading import lay_down, shadow_reach
from kitprep.files.pictures.words import Words, rules_of, summary_line, words_of
from kitprep.papers import LETTER

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

_WIDTH = 900.0  # units across a letter page: words beneath elements come out at 7.8 points
_PX = 2.5  # pixels of an element to a unit: 260 to the inch
_JPEG_QUALITY = 92
_FONTS = {False: "kitprep-board-regular", True: "kitprep-board-bold"}


def draw_pdf(cards: Sequence[ContactCard], title: str, subtitle: str, path: Path) -> None:
    """Draw elements on letter pages and write them.

    Parameters
    ----------
    cards : sequence of ContactCard
        In order.
    title, subtitle : str
        What stands at the top of the first page.
    path : Path
        The file to write.
    """
    import pikepdf
    from reportlab.pdfgen.canvas import Canvas

    register_fonts()
    size = LETTER.size.width.points, LETTER.size.height.points
    unit = size[0] / _WIDTH
    boards = many_boards(cards, _WIDTH, size[1] / unit, text_width)
    draft = BytesIO()
    canvas = Canvas(draft, pagesize=size, pageCompression=1, invariant=1)
    canvas.setTitle(title)
    canvas.setCreator("kitprep")
    for number, board in enumerate(boards, 1):
        folio = f"{number} of {len(boards)}" if len(boards) > 1 else ""
        words = words_of(board, title, subtitle, summary_line(cards), folio, text_width)
        _draw_page(canvas, board, list(words), unit, size)
    canvas.save()
    # reportlab writes pictures as ASCII; packing them again as bytes saves a fifth.
    with pikepdf.open(draft) as pdf:
        pdf.save(path, compress_streams=True, stream_decode_level=pikepdf.StreamDecodeLevel.generalized)


def _draw_page(
    canvas: Canvas, board: Board, words: list[Words], unit: float, size: tuple[float, float]
) -> None:
    canvas.setFillColor(colours.BOARD)
    canvas.rect(0, 0, *size, stroke=0, fill=1)
    canvas.setStrokeColor(colours.RULE)
    canvas.setLineWidth(0.5)
    for rule in rules_of(board, text_width):
        down = size[1] - rule.top * unit
        canvas.line(rule.left * unit, down, rule.right * unit, down)
    for spot in board.spots:
        _draw_element(canvas, spot, unit, size[1])
    for line in words:
        _draw_words(canvas, line, unit, size[1])
    canvas.showPage()


def _draw_element(canvas: Canvas, spot: Spot, unit: float, page_height: float) -> None:
    """Draw an element with its shadow as one opaque picture in the board's colour."""
    from PIL import Image
    from reportlab.lib.utils import ImageReader

    edge = shadow_reach(_PX) + round(colours.SHADOW_DROP * _PX)
    width, height = round(spot.width * _PX), round(spot.height * _PX)
    block = Image.new("RGB", (max(1, width) + 2 * edge, max(1, height) + 2 * edge), colours.BOARD)
    lay_down(block, spot.card, (edge, edge, width, height), _PX)
    content = BytesIO()
    block.save(content, "JPEG", quality=_JPEG_QUALITY, subsampling="4:4:4")
    content.seek(0)
    scale = unit / _PX
    left, bottom = (
        spot.left * unit - edge * scale,
        page_height - (spot.top + spot.height) * unit - edge * scale,
    )
    canvas.drawImage(ImageReader(content), left, bottom, block.width * scale, block.height * scale)


def _draw_words(canvas: Canvas, words: Words, unit: float, page_height: float) -> None:
    canvas.setFillColor(words.colour)
    left, baseline = words.left * unit, page_height - words.baseline * unit
    draw_line_of_text(canvas, words.text, left, baseline, words.size * unit, bold=words.bold)


def draw_line_of_text(
    canvas: Canvas, text: str, left: float, baseline: float, size: float, *, bold: bool
) -> None:
    """Draw a text with its fractions set small; all in points, from the lower left of the page."""
    for run, scale, rise in fraction_runs(text):
        canvas.setFont(_FONTS[bold], size * scale)
        canvas.drawString(left, baseline + rise * size, run)
        left += canvas.stringWidth(run, _FONTS[bold], size * scale)


def register_fonts() -> None:
    """Make the typeface known to reportlab, once."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    for bold, name in _FONTS.items():
        if name not in pdfmetrics.getRegisteredFontNames():
            pdfmetrics.registerFont(TTFont(name, BytesIO(font_bytes(bold))))
