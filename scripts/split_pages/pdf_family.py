"""PDF pages: placed pictures, some see-through, and groups of drawn lines, at known places.

The page is also composed as pixels at 300 PPI, from which its truth comes; a reader that renders it at another
resolution has to scale the truth.
"""

from __future__ import annotations

import io
from dataclasses import dataclass, field
from pathlib import Path

import cv2
import numpy as np
import pymupdf
from PIL import Image

from . import grounds, shapes
from .art import Figure
from .composing import ComposedPage
from .families import PPI
from .pieces import (
    Maker,
    Piece,
    bordered,
    card,
    coloured,
    cut,
    figure,
    label,
    patterned,
    photograph,
    tag,
)
from .studio import Colour, Studio

PT_PER_PX = 72 / PPI  # PDF user units (ISO 32000-1, 8.3.2.3)
GAP_PX = 30
OPAQUE: tuple[Maker, ...] = (photograph, card, patterned, bordered)
SEE_THROUGH: tuple[Maker, ...] = (figure, tag, label)
LEAST_FINER, MOST_FINER = 0.7, 1.33  # a placed picture's own pixels to the page's


@dataclass(frozen=True)
class PlacedPicture:
    """A picture at a place in page pixels, stored with more or fewer pixels than it covers."""

    piece: Piece
    left: int
    top: int
    finer: float
    quality: int


@dataclass(frozen=True)
class PlacedDrawing:
    """Clip art as a group of drawn lines."""

    drawing: Figure
    left: int
    top: int


@dataclass(frozen=True)
class DrawnLabel:
    """A round-cornered rectangle with a rim and words."""

    box: tuple[int, int, int, int]
    face: Colour
    ink: Colour
    words: str
    font: Path


Placed = PlacedPicture | PlacedDrawing | DrawnLabel


@dataclass
class PdfPage:
    """A composed page and what its PDF is made of."""

    composed: ComposedPage
    placed: list[Placed] = field(default_factory=list)


def pdf(studio: Studio) -> PdfPage:
    """Up to nine pictures apart on white: opaque ones, see-through ones too, or drawings as well."""
    page = PdfPage(ComposedPage.on(grounds.plain(grounds.page_px(studio), (255, 255, 255))))
    makers = OPAQUE if studio.chance(0.4) else (*OPAQUE, *SEE_THROUGH)
    has_drawings = makers is not OPAQUE and studio.chance(0.6)
    for _ in range(studio.whole(8, 24)):
        width, height = (int(v) for v in studio.rng.uniform(1, 3, 2) * PPI)
        if has_drawings and studio.chance(0.4):
            _add_drawing(studio, page, width, height)
        else:
            _add_picture(studio, page, studio.one_of(*makers)(studio, width, height))
        if len(page.placed) >= 9:
            break
    return page


def pdf_bytes(page: PdfPage) -> bytes:
    """The PDF, the same bytes each time."""
    size = page.composed.width * PT_PER_PX, page.composed.height * PT_PER_PX
    with pymupdf.open() as document:
        sheet = document.new_page(width=size[0], height=size[1])
        for thing in page.placed:
            _WRITERS[type(thing)](sheet, thing)
        return document.tobytes(deflate=True, no_new_id=True)


def _add_picture(studio: Studio, page: PdfPage, piece: Piece) -> None:
    rows, cols = piece.rgba.shape[:2]
    place = page.composed.free_place(studio.rng, cols, rows, GAP_PX)
    if place is not None and page.composed.lay(piece, *place):
        finer = 1.0 if studio.chance(0.5) else float(studio.rng.uniform(LEAST_FINER, MOST_FINER))
        page.placed.append(
            PlacedPicture(piece, round(place[0]), round(place[1]), finer, studio.whole(75, 96))
        )


def _add_drawing(studio: Studio, page: PdfPage, width: int, height: int) -> None:
    drawing = studio.art.figure(studio.rng, width, height) if studio.chance(0.7) else None
    if drawing is not None:
        piece = Piece(drawing.rgba, "figure")
    else:
        face, ink = studio.pale(200, 245), studio.colour(10, 120)
        edge = shapes.rounded(width, height, min(width, height) * 0.15)
        piece = cut(coloured(width, height, face), shapes.filled(width, height, [edge]), "label")
    rows, cols = piece.rgba.shape[:2]
    place = page.composed.free_place(studio.rng, cols, rows, GAP_PX)
    if place is None or not page.composed.lay(piece, *place):
        return
    left, top = round(place[0]), round(place[1])
    if drawing is not None:
        page.placed.append(PlacedDrawing(drawing, left, top))
    else:
        box = left, top, left + cols, top + rows
        page.placed.append(DrawnLabel(box, face, ink, studio.phrase(2), studio.font_file()))


def _on_sheet(left: float, top: float, right: float, bottom: float) -> pymupdf.Rect:
    return pymupdf.Rect(*(edge * PT_PER_PX for edge in (left, top, right, bottom)))


def _write_picture(sheet: pymupdf.Page, placed: PlacedPicture) -> None:
    rgba = placed.piece.rgba
    rows, cols = rgba.shape[:2]
    size = round(cols * placed.finer), round(rows * placed.finer)
    if size != (cols, rows):
        rgba = cv2.resize(rgba, size, interpolation=cv2.INTER_AREA if placed.finer < 1 else cv2.INTER_CUBIC)
    file = io.BytesIO()
    if (rgba[..., 3] == 255).all():
        Image.fromarray(np.ascontiguousarray(rgba[..., :3])).save(file, "JPEG", quality=placed.quality)
    else:
        Image.fromarray(rgba).save(file, "PNG")
    where = _on_sheet(placed.left, placed.top, placed.left + cols, placed.top + rows)
    sheet.insert_image(where, stream=file.getvalue(), keep_proportion=False)


def _write_drawing(sheet: pymupdf.Page, placed: PlacedDrawing) -> None:
    with pymupdf.open(placed.drawing.path) as svg, pymupdf.open("pdf", svg.convert_to_pdf()) as form:
        left, top = placed.left - placed.drawing.inset_px[0], placed.top - placed.drawing.inset_px[1]
        across, down = (v * placed.drawing.scale for v in (svg[0].rect.width, svg[0].rect.height))
        sheet.show_pdf_page(_on_sheet(left, top, left + across, top + down), form, 0, keep_proportion=False)


def _write_label(sheet: pymupdf.Page, label: DrawnLabel) -> None:
    where = _on_sheet(*label.box)
    rim = 2.0  # pt
    inner = pymupdf.Rect(where.x0 + rim / 2, where.y0 + rim / 2, where.x1 - rim / 2, where.y1 - rim / 2)
    radius = 0.15 - rim / 2 / min(where.width, where.height)
    face, ink = (tuple(channel / 255 for channel in colour) for colour in (label.face, label.ink))
    sheet.draw_rect(inner, color=ink, fill=face, width=rim, radius=radius)
    font = pymupdf.Font(fontfile=str(label.font))
    size = 0.7 * where.width / font.text_length(label.words, 1)
    size = min(size, 0.4 * where.height)
    start = (
        where.x0 + (where.width - font.text_length(label.words, size)) / 2,
        where.y0 + where.height / 2 + size / 3,
    )
    writer = pymupdf.TextWriter(sheet.rect, color=ink)
    writer.append(start, label.words, font=font, fontsize=size)
    writer.write_text(sheet)


_WRITERS = {PlacedPicture: _write_picture, PlacedDrawing: _write_drawing, DrawnLabel: _write_label}
