"""Ladders of fine lines, small letters and greys: what a printer resolves, from the coarse to the fine.

The line widths start at 0.1 pt, which is 1/720 in: one dot of a common inkjet's native grid. The light and
the dark greys are those that print shops look at for what is lost next to paper and to solid black. Common
practice, no published source.
"""

from __future__ import annotations

from collections.abc import Sequence

from kitprep.files.pdf.pen import BLACK, GREY, WHITE, Ink, Pen

LINE_WIDTHS = (0.1, 0.15, 0.2, 0.25, 0.35, 0.5, 0.75, 1.0)
LETTER_SIZES = (4.0, 5.0, 6.0, 7.0, 8.0)
GREYS = tuple(range(0, 101, 10))
"""Shares of black in hundredths."""
LIGHT_GREYS = (1, 2, 3, 4, 5, 6)
DARK_GREYS = (99, 98, 97, 96, 95, 94)

_LINES_IN_GROUP = 5
_LINES_APART = 1.5  # points from line to line of a group, at least
_BLOCK = 15.0  # points, of a group of lines; narrower where columns are
_BETWEEN = 3.0
_CAPTION = 7.0
_CAPTIONS_WIDE = 62.0
_HAIRLINE = 0.25
_SAMPLE = "Lanterns in the orchard"


def draw_lines(pen: Pen, left: float, right: float, top: float) -> float:
    """Groups of lines, black on white, white on black, and as wide as the gaps between them.

    Parameters
    ----------
    pen : Pen
        The page.
    left, right, top : float
        Where they stand, in points.

    Returns
    -------
    float
        Where they end.
    """
    rows = (("black on white", False, False), ("white on black", True, False), ("gaps alike", False, True))
    column = (right - left - _CAPTIONS_WIDE) / len(LINE_WIDTHS)
    block = min(_BLOCK, (column - 3 * _BETWEEN) / 2)
    for caption, reversed_, even in rows:
        pen.words(left, top + _BLOCK / 2 + 2.5, caption, _CAPTION, ink=GREY)
        for number, width in enumerate(LINE_WIDTHS):
            pitch = 2 * width if even else max(3 * width, _LINES_APART)
            count = int(block / pitch) if even else _LINES_IN_GROUP
            x = left + _CAPTIONS_WIDE + number * column
            places = [place for line in range(count) if (place := pitch * (line + 0.5)) + width / 2 < block]
            _group(pen, (x, top), width, block, places, reversed_=reversed_)
        top += _BLOCK + 6
    for number, width in enumerate(LINE_WIDTHS):
        x = left + _CAPTIONS_WIDE + number * column
        pen.words(x, top + 4, f"{width:g} pt", _CAPTION, ink=GREY)
    return top + 6


def _group(
    pen: Pen,
    corner: tuple[float, float],
    width: float,
    block: float,
    places: Sequence[float],
    *,
    reversed_: bool,
) -> None:
    """Upright lines, and level ones beside them."""
    x, y = corner
    ink: Ink = WHITE if reversed_ else BLACK
    second = x + block + _BETWEEN
    if reversed_:
        pen.box(x - 1.5, y - 1.5, second + block + 1.5, y + _BLOCK + 1.5, fill=BLACK)
    for place in places:
        pen.line(x + place, y, x + place, y + _BLOCK, width=width, ink=ink)
        pen.line(second, y + place, second + block, y + place, width=width, ink=ink)


def draw_letters(pen: Pen, left: float, right: float, top: float) -> float:
    """A line of words in each size, black on white and beside it white on black; as `draw_lines`."""
    column = (right - left) / 2
    high = sum(LETTER_SIZES) * 1.5 + 4
    pen.box(left + column, top, right, top + high, fill=BLACK)
    for start, ink, pale in ((left, BLACK, GREY), (left + column + 6, WHITE, WHITE)):
        y = top + 2
        for size in LETTER_SIZES:
            pen.words(start, y + size, f"{size:g} pt", size, ink=pale)
            pen.words(start + 26, y + size, _SAMPLE, size, ink=ink)
            y += size * 1.5
    return top + high


def draw_greys(pen: Pen, left: float, right: float, top: float) -> float:
    """Even steps from white to black, then the lightest on white and the darkest on black."""
    column = (right - left) / len(GREYS)
    for number, share in enumerate(GREYS):
        x = left + number * column
        pen.box(x, top, x + column, top + 30, fill=_grey(share))
        pen.words(x + column / 2, top + 39, f"{share} %", _CAPTION, ink=GREY, align="middle")
    pen.box(left, top, right, top + 30, ink=GREY, width=_HAIRLINE)
    middle = (left + right) / 2
    low = top + 48
    _patches(pen, left, middle - 6, low, LIGHT_GREYS, ground=0)
    _patches(pen, middle + 6, right, low, DARK_GREYS, ground=100)
    return low + 34


def _patches(pen: Pen, left: float, right: float, top: float, shares: Sequence[int], *, ground: int) -> None:
    pen.box(left, top, right, top + 24, fill=_grey(ground), ink=GREY, width=_HAIRLINE)
    column = (right - left) / len(shares)
    for number, share in enumerate(shares):
        x = left + number * column
        pen.box(x + 5, top + 4, x + column - 5, top + 20, fill=_grey(share))
        pen.words(x + column / 2, top + 33, f"{share} %", _CAPTION, ink=GREY, align="middle")


def _grey(share: int) -> Ink:
    light = 1 - share / 100
    return light, light, light
