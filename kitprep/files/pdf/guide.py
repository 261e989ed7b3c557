"""Writes the cut guide: each sheet drawn small, its pieces, its cuts in order, and what to mind."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from kitprep.files.pdf.finishing import finish, save, set_page_boxes
from kitprep.files.pdf.fonts import REGULAR, register_fonts
from kitprep.files.pdf.pen import ACCENT, GREY, PALE, WASH, WHITE, Pen, words_width, wrapped
from kitprep.files.pdf.small_sheet import NUMBER_RADIUS, SmallSheet, draw_small_sheet
from kitprep.files.replace import replacing
from kitprep.lengths import Unit
from kitprep.papers import A4, LETTER, Paper
from kitprep.sheet.guide import GuidePiece, GuideSheet, GuideStep, cut_guide

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

    from kitprep.sheet import Sheet

_EDGE = 43.0  # margin of the guide's page, wide enough for every printer and for a hole punch
_GUTTER = 20.0
_BODY = 9.0
_SMALL = 8.0
_LEAD = 11.5
_FEW_CUTS = 24  # up to which a drawing half the page wide stays legible


def write_guide(
    sheets: Sequence[Sheet],
    path: Path,
    *,
    unit: Unit | None = None,
    title: str = "",
    credit: str = "",
    overwrite: bool = False,
) -> None:
    """Write the cut guide of sheets as a PDF on letter, or on A4 where lengths are metric.

    Parameters
    ----------
    sheets : sequence of Sheet
        In order; at least one.
    path : Path
        The PDF. It appears whole or not at all.
    unit : Unit, optional
        What lengths are spoken of in; the first paper's own where not given.
    title, credit : str
        The job's title, and the makers of its kits.
    overwrite : bool
        Whether a file that is there may be replaced.

    Raises
    ------
    OutputExists
        If there is a file and `overwrite` is false.
    MissingFile, CannotWrite
        If the folder is not there, cannot be written to, or is full.
    """
    import pikepdf

    unit = unit or sheets[0].paper.unit
    page = LETTER if unit is Unit.INCH else A4
    drawn = _draw(cut_guide(sheets, unit), page, title)
    with replacing(path, overwrite=overwrite) as temporary, pikepdf.open(BytesIO(drawn)) as pdf:
        for pdf_page in pdf.pages:
            set_page_boxes(pdf_page, page.size)
        finish(pdf, title=f"Cut guide: {title}" if title else "Cut guide", author=credit)
        save(pdf, temporary, identity=drawn + title.encode() + credit.encode())


def _draw(guides: Sequence[GuideSheet], page: Paper, title: str) -> bytes:
    from reportlab.pdfgen.canvas import Canvas

    register_fonts()
    content = BytesIO()
    size = page.size.width.points, page.size.height.points
    canvas = Canvas(content, pagesize=size, invariant=1, pageCompression=0, initialFontName=REGULAR)
    for guide in guides:
        _GuidePages(canvas, size, guide, title).draw()
    canvas.save()
    return content.getvalue()


class _GuidePages:
    """The pages of the guide to one sheet, filled from the top."""

    def __init__(self, canvas: Canvas, size: tuple[float, float], guide: GuideSheet, title: str) -> None:
        self.canvas = canvas
        self.pen = Pen(canvas, size[1])
        self.guide = guide
        self.title = title
        self.left, self.right = _EDGE, size[0] - _EDGE
        self.bottom = size[1] - _EDGE - 14
        self.foot = size[1] - _EDGE
        self.y = _EDGE

    def draw(self) -> None:
        self._head()
        beside = 0 < len(self.guide.steps) <= _FEW_CUTS
        width = (self.right - self.left - _GUTTER) / 2 if beside else self.right - self.left
        end = self._small_sheet(width, self._drawing_height(beside))
        if beside:
            column = self.left + width + _GUTTER
            self._pieces(column, 1)
            self._cautions(column)
            self.y = max(self.y, end) + 22
        else:
            self.y = end + 22
            self._pieces(self.left, 2)
            self._cautions(self.left)
        self._steps()
        self._end_page()

    def _drawing_height(self, beside: bool) -> float:
        """A half page beside the list, and of a whole page what leaves the cautions their place."""
        if beside:
            return 372.0
        return 520.0 if self.guide.steps else 400.0

    def _head(self) -> None:
        sheet, pen = self.guide.sheet, self.pen
        pen.words(self.left, self.y + 17, "Cut guide", 22, bold=True, ink=ACCENT)
        if self.title:
            x = self.left + words_width("Cut guide", 22, bold=True) + 12
            pen.words(x, self.y + 17, self.title, 12)
        pen.words(
            self.right, self.y + 6, f"Sheet {sheet.number} of {sheet.total}", 12, bold=True, align="right"
        )
        pen.words(self.right, self.y + 18, self.guide.paper, _BODY, ink=GREY, align="right")
        pen.line(self.left, self.y + 26, self.right, self.y + 26, width=1.2, ink=ACCENT)
        self.y += 42

    def _end_page(self) -> None:
        credit = self.guide.sheet.credit
        if credit:
            self.pen.words(self.left, self.foot, credit, _SMALL, ink=GREY)
        number = f"sheet {self.guide.sheet.number} of {self.guide.sheet.total}"
        self.pen.words(self.right, self.foot, number, _SMALL, ink=GREY, align="right")
        self.canvas.showPage()

    def _new_page(self) -> None:
        self._end_page()
        self.y = _EDGE
        self._head()

    def _small_sheet(self, width: float, height: float) -> float:
        paper = self.guide.sheet.paper.size
        around = NUMBER_RADIUS
        room = width - 2 * around, height - 2 * around
        scale = min(room[0] / paper.width.points, room[1] / paper.height.points)
        left = self.left + around
        if width > (self.right - self.left) / 2:
            left += (room[0] - paper.width.points * scale) / 2
        place = SmallSheet(left, self.y + around, scale)
        draw_small_sheet(self.pen, self.guide.sheet, place, self.guide.left_over)
        return place.y(paper.height) + around

    def _heading(self, left: float, words: str) -> None:
        self.pen.words(left, self.y + 9, words, 11, bold=True, ink=ACCENT)
        self.y += 16

    def _pieces(self, left: float, columns: int) -> None:
        self._heading(left, "Pieces on this sheet")
        width = (self.right - left - _GUTTER * (columns - 1)) / columns
        for first in range(0, len(self.guide.pieces), columns):
            self._room_for(3 * _LEAD)
            top, ends = self.y, []
            for column, piece in enumerate(self.guide.pieces[first : first + columns]):
                self.y = top
                start = left + (width + _GUTTER) * column
                self._piece(start, start + width, piece)
                ends.append(self.y)
            self.y = max(ends)
        for words, bold in ((self.guide.left_over, True), (self.guide.note, False)):
            for line in wrapped(words, _SMALL, self.right - left, bold=bold) if words else ():
                self.pen.words(left, self.y + 9, line, _SMALL, bold=bold, ink=ACCENT if bold else GREY)
                self.y += _LEAD
        self.y += 12

    def _piece(self, left: float, right: float, piece: GuidePiece) -> None:
        pen = self.pen
        detail = "  ·  ".join(part for part in (piece.size, piece.folds, piece.grade, piece.numbers) if part)
        name_width = right - left - 24 - 30
        pen.words(left, self.y + 9, piece.letter, 10.5, bold=True)
        pen.words(right, self.y + 9, f"{piece.count} ×", _BODY, align="right")
        for line in wrapped(piece.name, _BODY, name_width, bold=True):
            pen.words(left + 24, self.y + 9, line, _BODY, bold=True)
            self.y += _LEAD
        for line in wrapped(detail, _SMALL, right - left - 24):
            pen.words(left + 24, self.y + 8, line, _SMALL, ink=GREY)
            self.y += _LEAD - 1
        self.y += 3
        pen.line(left, self.y, right, self.y, width=0.35, ink=PALE)
        self.y += 3

    def _cautions(self, left: float) -> None:
        lines: list[tuple[str, bool]] = []
        for caution in self.guide.cautions:
            for number, line in enumerate(wrapped(caution, _SMALL, self.right - left - 30)):
                lines.append((line, number == 0))
        height = 22 + _LEAD * len(lines) + 4
        self._room_for(height)
        pen = self.pen
        pen.box(left, self.y, self.right, self.y + height, fill=WASH)
        pen.box(left, self.y, left + 3, self.y + height, fill=ACCENT)
        pen.words(left + 12, self.y + 14, "Before the first cut", 10, bold=True)
        y = self.y + 27
        for line, first in lines:
            if first:
                pen.disc(left + 14, y - 2.4, 1.3, fill=ACCENT)
            pen.words(left + 21, y, line, _SMALL)
            y += _LEAD
        self.y += height + 16

    def _steps(self) -> None:
        if not self.guide.steps:
            return
        self._room_for(70)
        self._heading(self.left, "Cuts, in this order")
        self._step_head()
        before = ""
        for step in self.guide.steps:
            before = self._step(step, before)

    def _columns(self) -> tuple[float, ...]:
        """Left edges of: box to tick off and number, take, edge, fence, other unit, falls off, tick."""
        width = self.right - self.left
        return tuple(self.left + share * width for share in (0, 0.075, 0.36, 0.58, 0.685, 0.71, 0.945))

    def _step_head(self) -> None:
        number, take, edge, fence, _, falls, _ = self._columns()
        y = self.y + 8
        for x, words in ((number, "cut"), (take, "take"), (edge, "against the fence"), (falls, "falls off")):
            self.pen.words(x, y, words, _SMALL, ink=GREY)
        self.pen.words(fence, y, "fence at", _SMALL, ink=GREY, align="right")
        self.pen.words(self.right, y, "tick", _SMALL, ink=GREY, align="right")
        self.pen.line(self.left, y + 4, self.right, y + 4, width=0.7)
        self.y += 15

    def _step(self, step: GuideStep, before: str) -> str:
        """One row; returns its fence setting, which the next row shows faintly if it is the same."""
        number, take, edge, fence, other, falls, tick = self._columns()
        part = wrapped(step.take, _BODY, edge - take - 8)
        off = wrapped(step.falls, _BODY, tick - falls - 8)
        height = _LEAD * max(len(part), len(off)) + 6
        if self.y + height > self.bottom:
            self._new_page()
            self._step_head()
            before = ""
        pen, y = self.pen, self.y + 9.5
        pen.box(number, y - 7, number + 7, y, ink=GREY, width=0.5)
        pen.disc(number + 19, y - 3, NUMBER_RADIUS + 1.2, fill=ACCENT)
        pen.words(number + 19, y - 0.6, str(step.cut.number), 7, bold=True, ink=WHITE, align="middle")
        for row, line in enumerate(part):
            pen.words(take, y + _LEAD * row, line, _BODY)
        for row, line in enumerate(off):
            pen.words(falls, y + _LEAD * row, line, _BODY, ink=GREY if line == "waste" else (0, 0, 0))
        pen.words(edge, y, f"{step.edge} edge", _BODY)
        same = step.fence == before
        pen.words(fence, y, step.fence, 10, bold=not same, ink=GREY if same else (0, 0, 0), align="right")
        pen.words(other, y, step.other, _SMALL, ink=GREY, align="right")
        pen.words(self.right, y, "yes" if step.ticked else "–", _SMALL, ink=GREY, align="right")
        self.y += height
        pen.line(self.left, self.y - 1.5, self.right, self.y - 1.5, width=0.35, ink=PALE)
        return step.fence

    def _room_for(self, height: float) -> None:
        if self.y + height > self.bottom:
            self._new_page()
