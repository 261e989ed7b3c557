"""Draws on a reportlab page in points from its top left corner, y down, as a page is thought of."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal

from kitprep.files.pdf.fonts import BOLD, REGULAR, register_fonts

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

Ink = tuple[float, float, float]
"""Red, green, blue from 0 to 1."""

BLACK: Ink = (0, 0, 0)
GREY: Ink = (0.42, 0.42, 0.42)
PALE: Ink = (0.82, 0.82, 0.82)
WASH: Ink = (0.945, 0.945, 0.935)
WHITE: Ink = (1, 1, 1)
ACCENT: Ink = (0.0, 0.37, 0.42)  # dark enough to stay legible where a printer has only black

Align = Literal["left", "middle", "right"]


class Pen:
    """A page being drawn.

    Parameters
    ----------
    canvas : Canvas
        A reportlab canvas.
    height : float
        Of the page in points.
    """

    def __init__(self, canvas: Canvas, height: float) -> None:
        register_fonts()
        self._canvas = canvas
        self._height = height

    def words(
        self,
        x: float,
        y: float,
        words: str,
        size: float,
        *,
        bold: bool = False,
        ink: Ink = BLACK,
        align: Align = "left",
        tracking: float = 0,
    ) -> None:
        """A line of words with its baseline at y; x is its left end, middle or right end.

        `tracking` sets letters so many points further apart.
        """
        self._canvas.setFont(BOLD if bold else REGULAR, size)
        self._canvas.setFillColorRGB(*ink)
        draw = {
            "left": self._canvas.drawString,
            "middle": self._canvas.drawCentredString,
            "right": self._canvas.drawRightString,
        }[align]
        draw(x, self._height - y, words, charSpace=tracking)

    def line(
        self,
        x0: float,
        y0: float,
        x1: float,
        y1: float,
        *,
        width: float = 0.5,
        ink: Ink = BLACK,
        dash: Sequence[float] = (),
    ) -> None:
        """A stroke."""
        self._stroke(width, ink, dash)
        self._canvas.line(x0, self._height - y0, x1, self._height - y1)

    def box(
        self,
        left: float,
        top: float,
        right: float,
        bottom: float,
        *,
        fill: Ink | None = None,
        ink: Ink | None = None,
        width: float = 0.5,
        dash: Sequence[float] = (),
    ) -> None:
        """A rectangle, filled, outlined or both."""
        if fill is not None:
            self._canvas.setFillColorRGB(*fill)
        self._stroke(width, ink or BLACK, dash)
        self._canvas.rect(
            left,
            self._height - bottom,
            right - left,
            bottom - top,
            stroke=int(ink is not None),
            fill=int(fill is not None),
        )

    def outline(self, points: Sequence[tuple[float, float]], *, fill: Ink, ink: Ink, width: float) -> None:
        """A closed polygon."""
        path = self._canvas.beginPath()
        path.moveTo(points[0][0], self._height - points[0][1])
        for x, y in points[1:]:
            path.lineTo(x, self._height - y)
        path.close()
        self._canvas.setFillColorRGB(*fill)
        self._stroke(width, ink, ())
        self._canvas.drawPath(path, stroke=1, fill=1)

    def disc(self, x: float, y: float, radius: float, *, fill: Ink) -> None:
        """A filled circle."""
        self._canvas.setFillColorRGB(*fill)
        self._canvas.circle(x, self._height - y, radius, stroke=0, fill=1)

    def _stroke(self, width: float, ink: Ink, dash: Sequence[float]) -> None:
        self._canvas.setLineWidth(width)
        self._canvas.setStrokeColorRGB(*ink)
        self._canvas.setDash(*dash) if dash else self._canvas.setDash()


def words_width(words: str, size: float, *, bold: bool = False) -> float:
    """The width of a line of words in points."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    register_fonts()
    return float(stringWidth(words, BOLD if bold else REGULAR, size))


def wrapped(words: str, size: float, width: float, *, bold: bool = False) -> list[str]:
    """The words in lines no wider than `width` points; a word that is wider is divided."""
    lines = [""]
    for word in words.split():
        longer = f"{lines[-1]} {word}".strip()
        if words_width(longer, size, bold=bold) <= width:
            lines[-1] = longer
            continue
        if lines[-1]:
            lines.append("")
        for letter in word:
            if lines[-1] and words_width(lines[-1] + letter, size, bold=bold) > width:
                lines.append("")
            lines[-1] += letter
    return lines
