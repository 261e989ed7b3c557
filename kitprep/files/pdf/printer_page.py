"""Writes a printer's test page: a frame to measure, rulers at the edges, ladders, and what to do with them.

What is read is written into the page's own blanks, and the commands to type stand below them. Parts follow
each other from the top, on a wide page in two columns; what has no room on a small paper is left out, last
parts first.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from kitprep.files.pdf.column import Column
from kitprep.files.pdf.finishing import finish, save, set_page_boxes
from kitprep.files.pdf.fonts import REGULAR, register_fonts
from kitprep.files.pdf.ladders import draw_greys, draw_letters, draw_lines
from kitprep.files.pdf.pen import BLACK, Pen
from kitprep.files.pdf.sheets import NO_CORRECTION, PrinterCorrection
from kitprep.files.replace import replacing
from kitprep.lengths import Length, Unit
from kitprep.papers import Paper
from kitprep.sheet.printer_page import RulerLine, edge_ruler, measuring_frame, unit_of_page
from kitprep.sheet.typeface import with_fractions

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

_HAIRLINE = 0.25
_RULER_LENGTHS = (7.0, 11.0, 17.0)  # by rank
_INSIDE = 16.0  # from the frame to what stands in it
_TWO_COLUMNS = 500.0  # points of width from which there are two
_GUTTER = 26.0
_MOST_APART = 34.0  # from part to part
_LEAST_APART = 10.0
_IN_UNIT = {Unit.INCH: "in inches", Unit.MM: "in mm"}
_CLOSEST = {Unit.INCH: "1/64 in", Unit.MM: "half a millimetre"}

_MEASURES = ("width", "height", "from the left edge", "from the top edge")


def write_test_page(
    name: str,
    paper: Paper,
    path: Path,
    *,
    overwrite: bool = False,
    correction: PrinterCorrection = NO_CORRECTION,
) -> None:
    """Write the test page of one printer for one paper.

    Parameters
    ----------
    name : str
        What its owner calls the printer.
    paper : Paper
        What it is to be printed on.
    path : Path
        The PDF. It appears whole or not at all.
    overwrite : bool
        Whether a file that is there may be replaced.
    correction : PrinterCorrection
        What was measured before, to see that it is made up for; none to measure.

    Raises
    ------
    OutputExists, MissingFile, CannotWrite
        See `kitprep.files.replace.replacing`.
    """
    import pikepdf

    drawn = _draw(name, paper, correction)
    with replacing(path, overwrite=overwrite) as temporary, pikepdf.open(BytesIO(drawn)) as pdf:
        set_page_boxes(pdf.pages[0], paper.size)
        finish(pdf, title=f"Test page for {name}", author="")
        save(pdf, temporary, identity=drawn)


def _draw(name: str, paper: Paper, correction: PrinterCorrection) -> bytes:
    content = BytesIO()
    canvas = _canvas(content, paper)
    if correction != NO_CORRECTION:
        matrix = correction.matrix(paper.size)
        canvas.transform(matrix.a, matrix.b, matrix.c, matrix.d, matrix.e, matrix.f)
    pen = Pen(canvas, paper.size.height.points)
    _frame_and_rulers(pen, paper)
    _fill(pen, paper, _Words(name, paper, is_corrected=correction != NO_CORRECTION))
    canvas.showPage()
    canvas.save()
    return content.getvalue()


def _canvas(content: BytesIO, paper: Paper) -> Canvas:
    from reportlab.pdfgen.canvas import Canvas

    register_fonts()
    size = paper.size.width.points, paper.size.height.points
    return Canvas(content, pagesize=size, invariant=1, pageCompression=0, initialFontName=REGULAR)


# ---------------------------------------------------------------- what stands in the frame


Part = Callable[[Column], None]


@dataclass(frozen=True, slots=True)
class _Words:
    """What the page says."""

    name: str
    paper: Paper
    is_corrected: bool

    def parts(self) -> tuple[Part, ...]:
        """Its parts from the top, the most needed first."""
        ladders = (self._lines, self._greys, self._letters)
        if self.is_corrected:
            return (self._head, self._seen, *ladders)
        return (self._head, self._measured, self._reach, *ladders)

    def _head(self, column: Column) -> None:
        column.heading(f"Test page for {self.name}", 2.0)
        column.text(
            f"Print on {self.paper.name} at 100 %, actual size, with no “fit to page”. "
            "Lay the paper as these words read."
        )

    def _measured(self, column: Column) -> None:
        column.heading("1. Measure the frame")
        closest = with_fractions(_CLOSEST[self._unit])
        column.text(f"From the middle of a line to the middle of the line opposite, to {closest}.")
        column.blanks(
            [
                (what, f"should be {self._spoken(length)}")
                for what, length in zip(_MEASURES, self._true, strict=True)
            ]
        )
        column.text("Type what you read, each with its unit:")
        column.command(f"kitprep printer measured {self._name} --width … --height … --left … --top …")

    def _reach(self, column: Column) -> None:
        column.heading("2. See where the ink stops")
        column.text(
            "In the middle of each edge a ruler counts from the paper's edge. On each, read the line nearest "
            "to the edge that is printed whole."
        )
        column.blanks([(side, _IN_UNIT[self._unit]) for side in ("left", "top", "right", "bottom")])
        column.text("Type the four in this order:")
        column.command(f'kitprep printer add {self._name} --margin "…, …, …, … {self._unit.value}"')

    def _seen(self, column: Column) -> None:
        width, height, left, top = (self._spoken(length) for length in self._true)
        column.heading("See that it is true")
        column.text(
            "This page makes up for what was measured, and is not for measuring again. The frame must be "
            f"{width} wide and {height} high, {left} from the paper's left edge and {top} from its top."
        )

    def _lines(self, column: Column) -> None:
        column.heading("Fine lines: the finest that you can count in each row")
        column.y = draw_lines(column.pen, column.left, column.right, column.y + 2)

    def _greys(self, column: Column) -> None:
        column.heading("Greys: each differs from the next; of the small ones, the first that you can see")
        column.y = draw_greys(column.pen, column.left, column.right, column.y + 2)

    def _letters(self, column: Column) -> None:
        column.heading("Letters: the smallest that you can read")
        column.y = draw_letters(column.pen, column.left, column.right, column.y + 2)

    @property
    def _unit(self) -> Unit:
        return unit_of_page(self.paper)

    @property
    def _name(self) -> str:
        return f'"{self.name}"' if " " in self.name else self.name

    @property
    def _true(self) -> tuple[Length, Length, Length, Length]:
        frame = measuring_frame(self.paper)
        return frame.width, frame.height, frame.left, frame.top

    def _spoken(self, length: Length) -> str:
        return with_fractions(length.text(self._unit))


def _fill(pen: Pen, paper: Paper, words: _Words) -> None:
    """Parts one below the other, as far apart as there is room, in one column or two."""
    frame = measuring_frame(paper)
    left, right = frame.left.points + _INSIDE, frame.right.points - _INSIDE
    top, room = frame.top.points + _INSIDE, frame.height.points - 2 * _INSIDE
    columns = 2 if right - left >= _TWO_COLUMNS else 1
    wide = (right - left - _GUTTER * (columns - 1)) / columns
    rest = list(words.parts())
    for number in range(columns):
        start = left + number * (wide + _GUTTER)
        heights: list[float] = []
        while len(heights) < len(rest):
            height = _height(rest[len(heights)], paper, wide)
            if sum(heights) + height + _LEAST_APART * len(heights) > room:
                break
            heights.append(height)
        column = Column(pen, start, start + wide, top)
        most = _MOST_APART * column.type_size / 9
        apart = min((room - sum(heights)) / max(len(heights) - 1, 1), most)
        for part in rest[: len(heights)]:
            part(column)
            column.y += apart
        rest = rest[len(heights) :]


def _height(part: Part, paper: Paper, wide: float) -> float:
    """How much room a part takes, found by drawing it where nobody sees it."""
    column = Column(Pen(_canvas(BytesIO(), paper), paper.size.height.points), 0, wide, 0)
    part(column)
    return column.y


# ---------------------------------------------------------------- frame and rulers


def _frame_and_rulers(pen: Pen, paper: Paper) -> None:
    frame = measuring_frame(paper)
    corners = frame.left.points, frame.top.points, frame.right.points, frame.bottom.points
    pen.box(*corners, ink=BLACK, width=_HAIRLINE)
    size = paper.size.width.points, paper.size.height.points
    for line in edge_ruler(paper):
        _ruler_line(pen, line, size)


def _ruler_line(pen: Pen, line: RulerLine, size: tuple[float, float]) -> None:
    """At all four edges: a line along the edge, its number at its end."""
    away, half = line.away.points, _RULER_LENGTHS[line.rank] / 2
    x, y = size[0] / 2, size[1] / 2
    for down in (away, size[1] - away):
        pen.line(x - half, down, x + half, down, width=_HAIRLINE)
    for across in (away, size[0] - away):
        pen.line(across, y - half, across, y + half, width=_HAIRLINE)
    if line.number:
        number = with_fractions(line.number)
        for down in (away, size[1] - away):
            pen.words(x + half + 2, down + 2, number, 6)
        for across in (away, size[0] - away):
            pen.words(across, y + half + 7, number, 6, align="middle")
