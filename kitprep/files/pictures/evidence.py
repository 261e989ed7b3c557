"""Draws the evidence for a measured detail: a print's own pixels beside what they carry, at true print scale.

What a detail of one half says is that half as many pixels across and down would hold all there is to see.
So the right hand picture was shrunk to that many and enlarged again; where no difference shows, nothing was
there to lose. Of a picture that holds all its pixels the right hand one is made from half as many, so that a
difference shows. The file records its resolution: printed at 100 %, both pictures have the size of the print.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from kitprep.errors import BadOption
from kitprep.files.pictures import colours
from kitprep.files.pictures.lettering import draw_text, text_width
from kitprep.files.pictures.words import shortened, wrapped
from kitprep.files.replace import replacing
from kitprep.files.srgb import srgb_profile

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw

EVIDENCE_PPI = 300.0  # just over crisp: the picture of a print loses nothing that an eye would see in hand
_MARGIN, _GAP, _HEAD = 0.3, 0.22, 0.72  # inches, as are the next
_WORDS, _TITLE, _LINE, _WORDS_SPACE = 0.105, 0.2, 0.14, 0.55
_OVERVIEW = 1.6
_LEAST_WIDE = 4.4
_FRAME_PX = 3


@dataclass(frozen=True, slots=True, eq=False)
class Evidence:
    """What is shown of one element.

    Parameters
    ----------
    title, verdict : str
        What stands at the top: its name, and what was found.
    whole : ndarray
        uint8, shape (rows, cols, 3), sRGB: the whole print, reduced.
    shown : tuple of float
        (left, top, right, bottom) of the part shown, as shares of the whole.
    held, carried : ndarray
        uint8, shape (rows, cols, 3), sRGB, `EVIDENCE_PPI` pixels to the printed inch: that part from all
        its pixels, and from what they carry.
    held_words, carried_words : str
        What is said beneath them.
    """

    title: str
    verdict: str
    whole: NDArray[np.uint8]
    shown: tuple[float, float, float, float]
    held: NDArray[np.uint8]
    carried: NDArray[np.uint8]
    held_words: str
    carried_words: str


def write_evidence(evidence: Evidence, path: Path, *, overwrite: bool = False) -> None:
    """Draw the evidence and write it.

    Raises
    ------
    BadOption
        If the name does not end in .png.
    OutputExists, MissingFile, CannotWrite
        If the file exists and may not be replaced, its folder is not there, or it cannot be written.
    """
    if path.suffix.lower() != ".png":
        raise BadOption("--picture", path.name, "a name that ends in .png")
    with replacing(path, overwrite=overwrite) as out:
        picture = _drawn(evidence)
        picture.save(out, "PNG", dpi=(EVIDENCE_PPI, EVIDENCE_PPI), icc_profile=srgb_profile())


def _px(inches: float) -> int:
    return round(inches * EVIDENCE_PPI)


def _drawn(evidence: Evidence) -> Image:
    from PIL import Image, ImageDraw

    rows, cols = evidence.held.shape[:2]
    overview = _overview(evidence)
    margin, gap, top = _px(_MARGIN), _px(_GAP), _px(_HEAD)
    wide = max(2 * margin + overview.width + 2 * gap + 2 * cols, _px(_LEAST_WIDE))
    high = top + max(rows, overview.height) + _px(_WORDS_SPACE)
    board = Image.new("RGB", (wide, high), colours.BOARD)
    draw = ImageDraw.Draw(board)
    room = wide - 2 * margin
    for words, size, bold, ink, baseline in (
        (evidence.title, _TITLE, True, colours.INK, 0.34),
        (evidence.verdict, _WORDS * 1.15, False, colours.ACCENT, 0.55),
    ):
        line = shortened(words, _px(size), bold, room, text_width)
        draw_text(draw, line, margin, _px(baseline), _px(size), ink, bold=bold)
    board.paste(overview, (margin, top))
    left = margin + overview.width + gap
    for pixels, words in (
        (evidence.held, evidence.held_words),
        (evidence.carried, evidence.carried_words),
    ):
        board.paste(Image.fromarray(pixels), (left, top))
        _words_below(draw, words, left, top + rows, cols)
        left += cols + gap
    return board


def _words_below(draw: ImageDraw, words: str, left: int, top: int, room: int) -> None:
    for number, line in enumerate(wrapped(words, _px(_WORDS), room, text_width)):
        draw_text(draw, line, left, top + _px(_LINE * (number + 1.2)), _px(_WORDS), colours.PALE_INK)


def _overview(evidence: Evidence) -> Image:
    """The whole print, small, with a frame around the part shown."""
    from PIL import Image, ImageDraw

    whole = Image.fromarray(evidence.whole)
    scale = min(_px(_OVERVIEW) / whole.width, _px(_OVERVIEW * 1.4) / whole.height)
    small = whole.resize((max(round(whole.width * scale), 1), max(round(whole.height * scale), 1)))
    left, top, right, bottom = evidence.shown
    frame = (left * small.width, top * small.height, right * small.width - 1, bottom * small.height - 1)
    ImageDraw.Draw(small).rectangle(frame, outline=colours.ACCENT, width=_FRAME_PX)
    return small
