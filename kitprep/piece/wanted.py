"""What is wanted of a piece: which element, how large, how many, how it fills its size."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from kitprep.lengths import Length, WantedSize
from kitprep.papers import Paper
from kitprep.piece.colours import NAMED, Colour

NO_BACK = "none"
"""In place of the id of a back, for a piece that has none where others do."""


class Fit(Enum):
    """How a picture fills a size of other proportions."""

    INSIDE = "inside"
    """All of the picture shows; the piece is smaller than asked in one direction."""
    COVER = "cover"
    """The piece has the size asked; what sticks out of the picture is cut off."""
    STRETCH = "stretch"
    """The piece has the size asked; the picture is pulled to it."""


@dataclass(frozen=True, slots=True)
class Border:
    """An even border around a cut-out, outside the size that is wanted of it.

    Parameters
    ----------
    width : Length
        Above zero.
    colour : Colour
        sRGB.
    """

    width: Length
    colour: Colour = NAMED["white"]


@dataclass(frozen=True, slots=True)
class WantedPiece:
    """One entry of a make-list.

    Parameters
    ----------
    element : str
        Id of the element as written; empty for a blank.
    size : WantedSize
        Width, height or both.
    copies : int
        How many, 1 or more.
    fit : Fit
        How the picture fills the size.
    focus : tuple of float or None
        What to keep in view when covering, as shares of the picture across and down; None for where the
        detail lies.
    bleed : Length or None
        Picture beyond the trim; None for the list's own.
    may_turn : bool
        Whether it may be turned a quarter on the sheet.
    label : str
        What to call it; empty for the element's id.
    paper : Paper or None
        The paper it is for; None for the list's own.
    scores : tuple of Length
        Fold lines, measured from the left edge of the trim.
    back : str
        Id of the element on its back; empty for the list's own, `NO_BACK` for none.
    together : str
        What it is cut for; pieces of one name are kept on one sheet where that costs no sheet.
    border : Border or None
        Around a cut-out.
    line : int
        Where it stands in its make-list, from 1; 0 where it was given on the command line.
    """

    element: str
    size: WantedSize
    copies: int = 1
    fit: Fit = Fit.COVER
    focus: tuple[float, float] | None = None
    bleed: Length | None = None
    may_turn: bool = True
    label: str = ""
    paper: Paper | None = None
    scores: tuple[Length, ...] = ()
    back: str = ""
    together: str = ""
    line: int = 0
    border: Border | None = None

    @property
    def name(self) -> str:
        """What people call it."""
        return self.label or self.element or "blank"
