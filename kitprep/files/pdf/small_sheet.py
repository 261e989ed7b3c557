"""A sheet drawn small for its cut guide: pieces with their letters, cuts with their numbers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import hypot

from kitprep.files.pdf.pen import ACCENT, BLACK, GREY, PALE, WASH, WHITE, Pen, words_width, wrapped
from kitprep.lengths import Box, Length
from kitprep.pack.packing import Axis, Cut
from kitprep.sheet import Sheet, SheetPiece
from kitprep.sheet.laying_out import on_paper
from kitprep.sheet.marks import fold_places

NUMBER_RADIUS = 4.6  # of the disc behind a cut's number
_NUMBER_SIZE = 6.0
_NOTE_SIZE, _NOTE_LEAD = 7.0, 9.0
_TRIES = (0.0, 1.0, 0.5, 0.25, 0.75, 0.12, 0.88, 0.38, 0.62)
"""Where along a cut its number may stand, from the best."""


@dataclass(frozen=True, slots=True)
class SmallSheet:
    """Where and how small a sheet is drawn.

    Parameters
    ----------
    left, top : float
        The paper's top left corner on the guide's page, in points.
    scale : float
        Guide points per point of the sheet.
    """

    left: float
    top: float
    scale: float

    def x(self, length: Length) -> float:
        """Where a place on the paper lies across the guide's page."""
        return self.left + length.points * self.scale

    def y(self, length: Length) -> float:
        """Where a place on the paper lies down the guide's page."""
        return self.top + length.points * self.scale


def draw_small_sheet(pen: Pen, sheet: Sheet, place: SmallSheet, left_over: str = "") -> None:
    """Draw paper, pieces and cuts, or the numbers of pieces where there are no cuts.

    Parameters
    ----------
    left_over : str
        What stands in the strip that is worth keeping.
    """
    paper = sheet.paper.size
    right, bottom = place.x(paper.width), place.y(paper.height)
    pen.box(place.left, place.top, right, bottom, fill=WHITE, ink=BLACK, width=0.7)
    if sheet.left_over is not None and left_over:
        _draw_left_over(pen, sheet.left_over, left_over, place)
    boxed = not _overlap(sheet.pieces)
    for piece in sheet.pieces:
        _draw_piece(pen, piece, place, boxed=boxed)
    for cut in sheet.cuts:
        _draw_cut(pen, cut, place)
    for piece in sheet.pieces:
        _draw_letter(pen, piece, place)
    if sheet.cuts:
        _draw_numbers(pen, sheet.cuts, place)
    else:
        _number_pieces(pen, sheet.pieces, place)


def _overlap(pieces: Sequence[SheetPiece]) -> bool:
    """Whether outlines are nested within each other's boxes."""
    return any(one.trim.overlaps(other.trim) for one, other in combinations(pieces, 2))


def _draw_left_over(pen: Pen, strip: Box, words: str, place: SmallSheet) -> None:
    left, top, right, bottom = (
        place.x(strip.left),
        place.y(strip.top),
        place.x(strip.right),
        place.y(strip.bottom),
    )
    pen.box(left + 1.5, top + 1.5, right - 1.5, bottom - 1.5, ink=ACCENT, width=0.5, dash=(3, 2))
    lines = wrapped(words, _NOTE_SIZE, right - left - 12)
    if len(lines) * _NOTE_LEAD <= bottom - top - 6:
        y = (top + bottom - _NOTE_LEAD * len(lines)) / 2
        for number, line in enumerate(lines, 1):
            pen.words(
                (left + right) / 2, y + _NOTE_LEAD * number - 2, line, _NOTE_SIZE, ink=ACCENT, align="middle"
            )


def _number_pieces(pen: Pen, pieces: Sequence[SheetPiece], place: SmallSheet) -> None:
    """A number at the upper left of every piece, in their order."""
    for number, piece in enumerate(pieces, 1):
        corner = place.x(piece.trim.left), place.y(piece.trim.top)
        x, y = min(_outline_points(piece, place), key=sum, default=corner)
        pen.disc(x, y, NUMBER_RADIUS, fill=ACCENT)
        size = _NUMBER_SIZE if number < 100 else 4.6
        pen.words(x, y + 0.34 * size, str(number), size, bold=True, ink=WHITE, align="middle")


def _outline_points(piece: SheetPiece, place: SmallSheet) -> list[tuple[float, float]]:
    """A cut-out's outline on the guide's page; nothing for a rectangle."""
    outline = piece.artwork.outline if piece.artwork is not None else ()
    on_page = [on_paper(piece, x, y) for x, y in outline]
    return [(place.x(x), place.y(y)) for x, y in on_page]


def _draw_piece(pen: Pen, piece: SheetPiece, place: SmallSheet, *, boxed: bool) -> None:
    trim = piece.trim
    box = place.x(trim.left), place.y(trim.top), place.x(trim.right), place.y(trim.bottom)
    points = _outline_points(piece, place)
    if points:
        if boxed:
            pen.box(*box, ink=PALE, width=0.4)
        pen.outline(points, fill=WASH, ink=GREY, width=0.5)
    else:
        pen.box(*box, fill=WASH, ink=GREY, width=0.5)
    for at in fold_places(piece):
        ends = (box[0], place.y(at), box[2], place.y(at))
        if not piece.turned:
            ends = (place.x(at), box[1], place.x(at), box[3])
        pen.line(*ends, width=0.5, ink=GREY, dash=(2, 2))


def _draw_letter(pen: Pen, piece: SheetPiece, place: SmallSheet) -> None:
    trim = piece.trim
    wide, tall = trim.width.points * place.scale, trim.height.points * place.scale
    size = min(13.0, 0.6 * tall, 13.0 * 0.7 * wide / words_width(piece.letter, 13.0, bold=True))
    middle, centre = _middle(piece, place)
    pen.words(middle, centre + 0.32 * size, piece.letter, size, bold=True, ink=GREY, align="middle")


def _middle(piece: SheetPiece, place: SmallSheet) -> tuple[float, float]:
    """Where a piece's letter stands: the middle of its box, or of its widest part where that is outside it."""
    trim, points = piece.trim, _outline_points(piece, place)
    middle = (place.x(trim.left) + place.x(trim.right)) / 2
    centre = (place.y(trim.top) + place.y(trim.bottom)) / 2
    if not points or any(left < middle < right for left, right in _inside(points, centre)):
        return middle, centre
    heights = [place.y(trim.top) + share * (place.y(trim.bottom) - place.y(trim.top)) for share in _TRIES[2:]]
    widest = max(
        ((right - left, (left + right) / 2, y) for y in heights for left, right in _inside(points, y)),
        default=(0.0, middle, centre),
    )
    return widest[1], widest[2]


def _inside(points: Sequence[tuple[float, float]], y: float) -> list[tuple[float, float]]:
    """The stretches of a level line that lie within a polygon."""
    crossings = sorted(
        x0 + (x1 - x0) * (y - y0) / (y1 - y0)
        for (x0, y0), (x1, y1) in zip(points, (*points[1:], points[0]), strict=True)
        if min(y0, y1) <= y < max(y0, y1)
    )
    return list(zip(crossings[::2], crossings[1::2], strict=True))


def _draw_cut(pen: Pen, cut: Cut, place: SmallSheet) -> None:
    (x0, y0), (x1, y1) = _ends(cut, place)
    pen.line(x0, y0, x1, y1, width=0.8, ink=ACCENT)


def _draw_numbers(pen: Pen, cuts: Sequence[Cut], place: SmallSheet) -> None:
    """The numbers on their cuts, each where it hides the least of those before it."""
    taken: list[tuple[float, float]] = []
    for cut in cuts:
        x, y = min(_spots(cut, place), key=lambda spot: _hidden(spot, taken))
        taken.append((x, y))
        pen.disc(x, y, NUMBER_RADIUS, fill=ACCENT)
        size = _NUMBER_SIZE if cut.number < 100 else 4.6
        pen.words(x, y + 0.34 * size, str(cut.number), size, bold=True, ink=WHITE, align="middle")


def _spots(cut: Cut, place: SmallSheet) -> list[tuple[float, float]]:
    (x0, y0), (x1, y1) = _ends(cut, place)
    return [(x0 + share * (x1 - x0), y0 + share * (y1 - y0)) for share in _TRIES]


def _hidden(spot: tuple[float, float], taken: Sequence[tuple[float, float]]) -> float:
    reach = 2 * NUMBER_RADIUS
    apart = [hypot(spot[0] - x, spot[1] - y) for x, y in taken]
    return sum(reach - distance for distance in apart if distance < reach)


def _ends(cut: Cut, place: SmallSheet) -> tuple[tuple[float, float], tuple[float, float]]:
    if cut.axis is Axis.X:
        x = place.x(cut.at)
        return (x, place.y(cut.start)), (x, place.y(cut.end))
    y = place.y(cut.at)
    return (place.x(cut.start), y), (place.x(cut.end), y)
