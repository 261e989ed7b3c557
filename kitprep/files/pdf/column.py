"""A column of headings, paragraphs, blanks to write on and commands to type, filled from the top."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kitprep.files.pdf.pen import ACCENT, GREY, WASH, Pen, wrapped

_NARROW = 250.0  # points; below it, smaller type and fewer blanks in a row
_TRACKING = 0.5  # in commands, so that two hyphens are seen to be two

Blank = tuple[str, str]
"""What to measure and what it should be."""


@dataclass(slots=True)
class Column:
    """A column being filled, in points from the page's top left corner.

    Parameters
    ----------
    pen : Pen
        The page.
    left, right : float
        Its edges.
    y : float
        Where it is filled to; goes down with each part.
    """

    pen: Pen
    left: float
    right: float
    y: float

    @property
    def type_size(self) -> float:
        """Of its words."""
        return 9.0 if self.right - self.left >= _NARROW else 6.5

    def heading(self, words: str, larger: float = 1.25) -> None:
        """A line in bold."""
        size = self.type_size * larger
        for line in wrapped(words, size, self.right - self.left, bold=True):
            self.pen.words(self.left, self.y + size, line, size, bold=True, ink=ACCENT)
            self.y += size * 1.2
        self.y += 4

    def text(self, words: str) -> None:
        """A paragraph."""
        size = self.type_size
        for line in wrapped(words, size, self.right - self.left):
            self.pen.words(self.left, self.y + size, line, size)
            self.y += size * 1.3
        self.y += 4

    def blanks(self, blanks: Sequence[Blank]) -> None:
        """Lines to write on, each under what it is for and over what it should be."""
        size = self.type_size
        in_row = len(blanks) if self.right - self.left >= _NARROW else 2
        column = (self.right - self.left) / in_row
        for first in range(0, len(blanks), in_row):
            for number, (what, should_be) in enumerate(blanks[first : first + in_row]):
                x, end = self.left + number * column, self.left + (number + 1) * column - 10
                self.pen.words(x, self.y + size, what, size * 0.85, bold=True)
                self.pen.line(x, self.y + 3.3 * size, end, self.y + 3.3 * size, width=0.5)
                self.pen.words(x, self.y + 4.3 * size, should_be, size * 0.85, ink=GREY)
            self.y += 5.2 * size

    def command(self, words: str) -> None:
        """What to type, on a ground of its own."""
        size = self.type_size
        lines = wrapped(words, size * 1.12, self.right - self.left - 16, bold=True)
        self.pen.box(self.left, self.y, self.right, self.y + len(lines) * size * 1.5 + 6, fill=WASH)
        for line in lines:
            self.y += size * 1.5
            self.pen.words(self.left + 8, self.y, line, size, bold=True, tracking=_TRACKING)
        self.y += 12
