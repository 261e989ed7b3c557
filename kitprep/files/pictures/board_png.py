"""Draws a contact sheet as one PNG."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from kitprep.files.pictures import colours
from kitprep.files.pictures.board import Board, ContactCard, one_board
from kitprep.files.pictures.lettering import draw_text, text_width
from kitprep.files.pictures.shading import lay_down
from kitprep.files.pictures.words import rules_of, summary_line, words_of
from kitprep.files.srgb import srgb_profile

_PX = 2.0  # pixels to a unit
_WIDTHS = (1000.0, 1200.0, 1400.0, 1700.0, 2000.0, 2400.0, 2800.0, 3200.0, 4000.0, 5000.0, 6000.0)
_WIDE = 2000.0  # from here on a board is only made wider to keep its height in bounds
_TALLEST, _TALLEST_WIDE = 1.6, 3.0  # times as tall as wide; a page of a few elements fills a wide row badly
_LEVEL = 3  # of deflate: a tenth larger than the usual 6 in less than half the time
MOST_PX = 12_000  # of a side; some viewers of pictures refuse more


def draw_png(cards: Sequence[ContactCard], title: str, subtitle: str, path: Path) -> None:
    """Draw elements on one picture and write it.

    Parameters
    ----------
    cards : sequence of ContactCard
        In order.
    title, subtitle : str
        What stands at the top.
    path : Path
        The file to write.
    """
    from PIL import Image, ImageDraw

    board = _laid_out(cards)
    px = min(_PX, MOST_PX / board.height)
    picture = Image.new("RGB", (round(board.width * px), round(board.height * px)), colours.BOARD)
    draw = ImageDraw.Draw(picture)
    for rule in rules_of(board, text_width):
        line = (rule.left * px, rule.top * px, rule.right * px, rule.top * px)
        draw.line(line, fill=colours.RULE, width=max(1, round(px * 0.75)))
    for spot in board.spots:
        place = (round(spot.left * px), round(spot.top * px), round(spot.width * px), round(spot.height * px))
        lay_down(picture, spot.card, place, px)
    for words in words_of(board, title, subtitle, summary_line(cards), "", text_width):
        left, baseline = words.left * px, words.baseline * px
        draw_text(draw, words.text, left, baseline, words.size * px, words.colour, bold=words.bold)
    picture.save(path, "PNG", compress_level=_LEVEL, icc_profile=srgb_profile())


def _laid_out(cards: Sequence[ContactCard]) -> Board:
    """The narrowest board that is not too tall to look at."""
    for width in _WIDTHS:
        board = one_board(cards, width, text_width)
        if board.height <= (_TALLEST if width < _WIDE else _TALLEST_WIDE) * width:
            break
    return board
