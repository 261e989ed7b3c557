"""Draws a contact sheet as one web page that needs nothing beside it."""

from __future__ import annotations

import base64
from collections.abc import Iterator, Sequence
from dataclasses import replace
from html import escape
from io import BytesIO
from pathlib import Path

from kitprep.files.pictures import colours
from kitprep.files.pictures.board import CAPTION, ContactCard, drawn_size, fraction_runs, grouped
from kitprep.files.pictures.lettering import font_bytes
from kitprep.files.pictures.shading import picture_of
from kitprep.files.pictures.words import FOOT, summary_line

_QUALITY = 88  # of the small pictures, as WebP with their transparency
_SCREEN = 1.15  # CSS pixels to a board unit

_STYLE = f"""
@font-face {{ font-family: Board; src: url(data:font/ttf;base64,%(regular)s); }}
@font-face {{ font-family: Board; font-weight: 700; src: url(data:font/ttf;base64,%(bold)s); }}
* {{ box-sizing: border-box; margin: 0; }}
body {{ background: {colours.BOARD}; color: {colours.INK}; font: {CAPTION * 1.25:.1f}px/1.3 Board, sans-serif;
  font-variant-numeric: lining-nums; max-width: 1320px; margin: 0 auto;
  padding: 48px clamp(16px, 4vw, 56px); }}
h1 {{ font-size: clamp(30px, 5vw, 50px); line-height: 1.1; overflow-wrap: anywhere; }}
header p {{ display: flex; flex-wrap: wrap; justify-content: space-between; gap: 4px 32px; font-size: 18px;
  color: {colours.PALE_INK}; padding: 8px 0 14px; border-bottom: 1px solid {colours.RULE}; }}
h2 {{ display: flex; align-items: center; gap: 14px; font-size: 16px; color: {colours.ACCENT};
  margin: 34px 0 22px; }}
h2::after {{ content: ""; flex: 1; border-top: 1px solid {colours.RULE}; }}
.row {{ display: flex; flex-wrap: wrap; justify-content: center; align-items: flex-end; gap: 30px 34px;
  padding-top: 22px; }}
h2 + .row {{ padding-top: 0; }}
figure {{ text-align: center; max-width: 100%%; }}
img {{ display: block; margin: 0 auto 9px; max-width: 100%%; height: auto;
  filter: drop-shadow(0 2px 4px rgb(58 46 34 / 0.34)); }}
.pale img {{ opacity: {colours.PALE_OPACITY}; }}
.pale, .kind, footer {{ color: {colours.PALE_INK}; }}
.note {{ color: {colours.ACCENT}; }}
sup, sub {{ font-size: 0.68em; line-height: 0; }}
sub {{ vertical-align: baseline; }}
footer {{ margin-top: 44px; padding-top: 12px; border-top: 1px solid {colours.RULE}; }}
@media print {{ figure {{ break-inside: avoid; }} body {{ padding: 0; print-color-adjust: exact; }} }}
"""


def draw_html(cards: Sequence[ContactCard], title: str, subtitle: str, path: Path) -> None:
    """Draw elements as a web page and write it.

    Parameters
    ----------
    cards : sequence of ContactCard
        In order.
    title, subtitle : str
        What stands at the top.
    path : Path
        The file to write.
    """
    path.write_text("".join(_page(cards, title, subtitle)), encoding="utf-8")


def _page(cards: Sequence[ContactCard], title: str, subtitle: str) -> Iterator[str]:
    style = _STYLE % {"regular": _base64(font_bytes(False)), "bold": _base64(font_bytes(True))}
    yield '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
    yield '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
    yield f"<title>{escape(title)}</title>\n<style>{style}</style>\n</head>\n<body>\n"
    yield f"<header><h1>{escape(title)}</h1>\n"
    yield f"<p><span>{escape(subtitle)}</span> <span>{summary_line(cards)}</span></p></header>\n<main>\n"
    for heading, group in grouped(cards):
        yield f"<h2>{escape(heading)}</h2>\n" if heading else ""
        yield '<div class="row">\n'
        yield from map(_figure, group)
        yield "</div>\n"
    yield f"</main>\n<footer>{FOOT}</footer>\n</body>\n</html>\n"


def _figure(card: ContactCard) -> str:
    across, down = (round(side * _SCREEN) for side in drawn_size(card))
    name = escape(f"{card.label}, {card.kind.value}, {card.size_text}")
    note = f'<br><span class="note">{escape(card.note)}</span>' if card.note else ""
    return (
        f'<figure id="{escape(card.id)}"{" class=pale" if card.unwanted else ""}>'
        f'<img src="{_picture(card, across)}" width="{max(across, 1)}" height="{max(down, 1)}" alt="{name}">'
        f'<figcaption><b>{escape(card.label)}</b> <span class="kind">{card.kind.value}</span><br>'
        f"{_fractions(card.size_text)}{note}</figcaption></figure>\n"
    )


def _picture(card: ContactCard, across: int) -> str:
    from PIL import Image

    picture = picture_of(replace(card, unwanted=False))  # the page itself makes it pale
    wide = min(picture.width, 2 * across)  # two to a CSS pixel, for fine screens
    if wide < picture.width:
        tall = max(1, round(picture.height * wide / picture.width))
        picture = picture.resize((max(1, wide), tall), Image.Resampling.LANCZOS, reducing_gap=3.0)
    content = BytesIO()
    picture.save(content, "WEBP", quality=_QUALITY, method=4)
    return f"data:image/webp;base64,{_base64(content.getvalue())}"


def _fractions(text: str) -> str:
    marks = {0.0: "sub"}
    parts = []
    for run, scale, rise in fraction_runs(text):
        mark = "" if scale == 1.0 else marks.get(rise, "sup")
        parts.append(f"<{mark}>{escape(run)}</{mark}>" if mark else escape(run))
    return "".join(parts)


def _base64(content: bytes) -> str:
    return base64.b64encode(content).decode("ascii")
