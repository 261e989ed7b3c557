"""A sheet drawn small for its cut guide: pieces with their letters, cuts with their numbers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from kitprep.files.pdf.pen import ACCENT, BLACK, GREY, PALE, WASH, WHITE, Pen, words_width
from kitprep.lengths import Length
from kitprep.pack.packing import Axis, Cut
from kitprep.sheet import Sheet, SheetPiece
from kitprep.sheet.laying_out import on_paper
from kitprep.sheet.marks import fold_places

NUMBER_RADIUS = 4.6  # of the disc behind a cut's number
_NUMBER_SIZE = 6.0
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


def draw_small_sheet(pen: Pen, sheet: Sheet, place: SmallSheet) -> None:
    """Draw paper, pieces and cuts."""
    paper = sheet.paper.size
    right, bottom = place.x(paper.width), place.y(paper.height)
    pen.box(place.left, place.top, right, bottom, fill=WHITE, ink=BLACK, width=0.7)
    for piece in sheet.pieces:
        _draw_piece(pen, piece, place)
    for cut in sheet.cuts:
        _draw_cut(pen, cut, place)
    for piece in sheet.pieces:
        _draw_letter(pen, piece, place)
    _draw_numbers(pen, sheet.cuts, place)


def _draw_piece(pen: Pen, piece: SheetPiece, place: SmallSheet) -> None:
    trim = piece.trim
    box = place.x(trim.left), place.y(trim.top), place.x(trim.right), place.y(trim.bottom)
    outline = piece.artwork.outline if piece.artwork is not None else ()
    if outline:
        on_page = [on_paper(piece, x, y) for x, y in outline]
        points = [(place.x(x), place.y(y)) for x, y in on_page]
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
    middle = (place.x(trim.left) + place.x(trim.right)) / 2
    centre = (place.y(trim.top) + place.y(trim.bottom)) / 2
    pen.words(middle, centre + 0.32 * size, piece.letter, size, bold=True, ink=GREY, align="middle")


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
