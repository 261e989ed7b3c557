"""What a make-list says: which pieces, on what paper, cut how."""

from __future__ import annotations

from dataclasses import dataclass

from kitprep.lengths import ZERO, Length, Unit, inches
from kitprep.pack.packing import CutMode
from kitprep.papers import LETTER, Flip, Margins, Paper
from kitprep.piece.wanted import WantedPiece

DEFAULT_BLEED = inches("1/16")  # a steady hand with a trimmer; common practice, no published source

DEFAULT_MISREGISTRATION = inches("1/16")  # home printers turning the paper; common practice, no source


@dataclass(frozen=True, slots=True)
class MakeList:
    """What to make.

    Parameters
    ----------
    title : str
        For people; empty where not given.
    unit : Unit
        Of bare numbers, and how the list is spoken of.
    paper : Paper
        Of every piece that names none. Where the list names none: letter for inches, else A4.
    margins : Margins or None
        What the printer cannot reach; None where not given.
    printer : str
        Name of a printer on the shelf to take the margins from; empty where not given.
    cut : CutMode
        What the pieces are cut with.
    trimmer : Length or None
        The longest cut of the trimmer; None where not given.
    bleed : Length
        Picture beyond the trim of every piece that says nothing else.
    gap : Length
        Least distance between two trims.
    back : str
        Id of the element on the back of every pictured piece that names none; empty for no back.
    flip : Flip
        The edge over which the paper is turned to print the backs.
    misregistration : Length
        How far the printer may put a back beside its front.
    pieces : tuple of WantedPiece
        In order.
    """

    title: str = ""
    unit: Unit = Unit.INCH
    paper: Paper = LETTER
    margins: Margins | None = None
    printer: str = ""
    cut: CutMode = CutMode.TRIMMER
    trimmer: Length | None = None
    bleed: Length = DEFAULT_BLEED
    gap: Length = ZERO
    back: str = ""
    flip: Flip = Flip.LONG
    misregistration: Length = DEFAULT_MISREGISTRATION
    pieces: tuple[WantedPiece, ...] = ()
