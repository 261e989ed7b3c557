"""Writes a printer's test page: frame, edge rulers, ladders of lines, letters and greys, what to do with them.

The ladder's line widths start at 0.1 pt, which is 1/720 in: one dot of a common inkjet's native grid
(common practice, no published source).
"""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from kitprep.files.pdf.finishing import finish, save, set_page_boxes
from kitprep.files.pdf.fonts import REGULAR, register_fonts
from kitprep.files.pdf.pen import GREY, Pen, wrapped
from kitprep.files.pdf.sheets import NO_CORRECTION, PrinterCorrection
from kitprep.files.replace import replacing
from kitprep.papers import Paper
from kitprep.sheet.printer_page import RulerLine, edge_ruler, measuring_frame, unit_of_page
from kitprep.sheet.typeface import with_fractions

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

LINE_WIDTHS = (0.1, 0.15, 0.2, 0.25, 0.35, 0.5, 0.75, 1.0)
LETTER_SIZES = (4.0, 5.0, 6.0, 7.0, 8.0)
GREYS = tuple(range(0, 101, 10))
"""Shares of black in hundredths."""
_LINES_IN_GROUP = 5
_HAIRLINE = 0.25
_RULER_LENGTHS = (7.0, 11.0, 17.0)  # by rank
_SAMPLE = "Lanterns in the orchard, twelve baskets by midnight"


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
    from reportlab.pdfgen.canvas import Canvas

    register_fonts()
    content = BytesIO()
    size = paper.size.width.points, paper.size.height.points
    canvas = Canvas(content, pagesize=size, invariant=1, pageCompression=0, initialFontName=REGULAR)
    matrix = correction.matrix(paper.size)
    if correction != NO_CORRECTION:
        canvas.transform(matrix.a, matrix.b, matrix.c, matrix.d, matrix.e, matrix.f)
    _TestPage(canvas, paper, name, is_corrected=correction != NO_CORRECTION).draw()
    canvas.showPage()
    canvas.save()
    return content.getvalue()


class _TestPage:
    """The page being drawn, in points from its top left corner."""

    def __init__(self, canvas: Canvas, paper: Paper, name: str, *, is_corrected: bool) -> None:
        self.pen = Pen(canvas, paper.size.height.points)
        self.paper, self.name, self.is_corrected = paper, name, is_corrected
        self.width, self.height = paper.size.width.points, paper.size.height.points
        frame = measuring_frame(paper)
        self.frame = frame
        self.left, self.right = frame.left.points + 14, frame.right.points - 14
        self.y = frame.top.points + 14

    def draw(self) -> None:
        frame = self.frame
        corners = frame.left.points, frame.top.points, frame.right.points, frame.bottom.points
        self.pen.box(*corners, ink=(0, 0, 0), width=_HAIRLINE)
        self._rulers()
        self._heading(f"Test page for {self.name}", 16)
        for number, words in enumerate(self._steps(), 1):
            self._step(number, words)
        self.y += 8
        self._line_ladder()
        self._letter_ladder()
        self._grey_ladder()

    def _steps(self) -> tuple[str, ...]:
        unit, frame = unit_of_page(self.paper), self.frame
        width, height, left, top = (
            with_fractions(length.text(unit)) for length in (frame.width, frame.height, frame.left, frame.top)
        )
        first = f"Print at 100 %, actual size, on {self.paper.name}; lay the paper as these words read."
        if self.is_corrected:
            place = f"{left} from the paper's left edge and {top} from its top"
            made_up = "This page makes up for what was measured, and is not for measuring again."
            return first, f"{made_up} The frame must be {width} wide and {height} high, {place}."
        name = _quoted(self.name)
        size = f"width ______ ({width}), height ______ ({height})"
        place = f"from the paper's left edge ______ ({left}), from its top ______ ({top})"
        margins = f'kitprep printer add {name} --margin "LEFT, TOP, RIGHT, BOTTOM {unit.value}"'
        nearest = "read the ruler's line nearest to the paper's edge that is printed whole"
        return (
            first,
            f"Measure the frame from line to line: {size}; {place}.",
            f"Type what you read: kitprep printer measured {name} --width … --height … --left … --top …",
            f"At the middle of each edge, {nearest}, and type the four: {margins}",
        )

    def _step(self, number: int, words: str) -> None:
        self.pen.words(self.left, self.y + 9, str(number), 9, bold=True)
        for line in wrapped(words, 9, self.right - self.left - 14):
            self.pen.words(self.left + 14, self.y + 9, line, 9)
            self.y += 12
        self.y += 4

    def _heading(self, words: str, size: float = 10) -> None:
        self.pen.words(self.left, self.y + size, words, size, bold=True)
        self.y += size + 8

    def _line_ladder(self) -> None:
        if not self._has_room(74):
            return
        self._heading("Sharpness: the finest group whose lines you can count")
        column = (self.right - self.left) / len(LINE_WIDTHS)
        for number, width in enumerate(LINE_WIDTHS):
            x = self.left + number * column
            pitch = max(2 * width, 1.0)
            for line in range(_LINES_IN_GROUP):
                across, down = x + line * pitch, self.y + line * pitch
                self.pen.line(across, self.y, across, self.y + 22, width=width)
                self.pen.line(x + 14, down, x + min(34.0, column - 4), down, width=width)
            self.pen.words(x, self.y + 33, f"{width:g} pt", 7, ink=GREY)
        self.y += 48

    def _letter_ladder(self) -> None:
        if not self._has_room(24 + sum(LETTER_SIZES) * 1.5):
            return
        self._heading("Letters: the smallest you can read")
        for size in LETTER_SIZES:
            self.pen.words(self.left, self.y + size, f"{size:g} pt", size, ink=GREY)
            self.pen.words(self.left + 30, self.y + size, _SAMPLE, size)
            self.y += size * 1.5
        self.y += 10

    def _grey_ladder(self) -> None:
        if not self._has_room(70):
            return
        self._heading("Greys: each step must differ from the next, at both ends too")
        column = (self.right - self.left) / len(GREYS)
        for number, share in enumerate(GREYS):
            x, grey = self.left + number * column, 1 - share / 100
            self.pen.box(x, self.y, x + column, self.y + 34, fill=(grey, grey, grey))
            self.pen.words(x + column / 2, self.y + 44, f"{share} %", 7, ink=GREY, align="middle")
        self.pen.box(self.left, self.y, self.right, self.y + 34, ink=GREY, width=_HAIRLINE)
        self.y += 58

    def _has_room(self, height: float) -> bool:
        """Whether a ladder has its place in the frame; small papers carry fewer."""
        return self.y + height < self.frame.bottom.points - 8

    def _rulers(self) -> None:
        for line in edge_ruler(self.paper):
            self._ruler_line(line)

    def _ruler_line(self, line: RulerLine) -> None:
        """At all four edges: a line along the edge, its number at its end."""
        pen, away, half = self.pen, line.away.points, _RULER_LENGTHS[line.rank] / 2
        x, y = self.width / 2, self.height / 2
        for down in (away, self.height - away):
            pen.line(x - half, down, x + half, down, width=_HAIRLINE)
        for across in (away, self.width - away):
            pen.line(across, y - half, across, y + half, width=_HAIRLINE)
        if line.number:
            number = with_fractions(line.number)
            for down in (away, self.height - away):
                pen.words(x + half + 2, down + 2, number, 6)
            for across in (away, self.width - away):
                pen.words(across, y + half + 7, number, 6, align="middle")


def _quoted(name: str) -> str:
    return f'"{name}"' if " " in name else name
