"""What a packing is: places of pieces on sheets of one paper, and the cuts that free them."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from kitprep.lengths import Box, Length, Size


class CutMode(Enum):
    """What the pieces are cut with."""

    TRIMMER = "trimmer"
    """Through cuts from edge to edge of the part in hand."""
    SCISSORS = "scissors"
    """Any outline can be followed."""


class Axis(Enum):
    """The coordinate that a cut holds fixed: an `X` cut runs down the sheet, a `Y` cut across it."""

    X = "x"
    Y = "y"


class Edge(Enum):
    """An edge of the part in hand, as the sheet lies with its own top upwards."""

    LEFT = "left"
    TOP = "top"
    RIGHT = "right"
    BOTTOM = "bottom"


@dataclass(frozen=True, slots=True)
class PackItem:
    """Something to place.

    Parameters
    ----------
    name : str
        What people call it, for errors and for the parts of cuts.
    size : Size
        The trim as it stands unturned.
    copies : int
        How many.
    bleed : Length
        Picture beyond the trim, on every side.
    may_turn : bool
        Whether a quarter turn is allowed.
    outline : tuple of (int, int)
        Where a cut-out is to be cut: a closed polygon in EMU from the trim's top left corner as it stands
        unturned, within the trim; empty for a rectangle. With scissors, outlines may nest.
    together : str
        What it is cut for; items of one name are kept on one sheet where that costs no sheet. Empty for
        nothing in particular.
    """

    name: str
    size: Size
    copies: int
    bleed: Length
    may_turn: bool
    outline: tuple[tuple[int, int], ...] = ()
    together: str = ""


@dataclass(frozen=True, slots=True)
class Placement:
    """One copy of an item on a sheet.

    Parameters
    ----------
    item : int
        Index of the item in the order given.
    box : Box
        The trim on the paper, margins counted in.
    bleed : Length
        The bleed around it.
    turned : bool
        Whether it is turned a quarter, clockwise.
    upside_down : bool
        Whether it is turned a half besides, as nested outlines may be.
    """

    item: int
    box: Box
    bleed: Length
    turned: bool
    upside_down: bool = False

    @property
    def quarters(self) -> int:
        """How many quarters it is turned, clockwise: 0 to 3."""
        return int(self.turned) + 2 * int(self.upside_down)


@dataclass(frozen=True, slots=True)
class Cut:
    """One through cut of the part in hand.

    Parameters
    ----------
    number : int
        The order of cutting on this sheet, from 1.
    axis : Axis
        `X` for a cut down the sheet at x = `at`, `Y` for one across at y = `at`.
    at : Length
        Where on the paper.
    start, end : Length
        From where to where along the cut, on the paper.
    part : str
        The part in hand, in words.
    part_box : Box
        The part in hand before the cut, on the paper.
    against : Edge
        The edge of the part that lies against the fence.
    fence : Length
        The distance from that edge to the cut.
    falls : str
        What the cut takes off the part, in words.
    """

    number: int
    axis: Axis
    at: Length
    start: Length
    end: Length
    part: str
    part_box: Box
    against: Edge
    fence: Length
    falls: str


@dataclass(frozen=True, slots=True)
class PackedSheet:
    """One sheet.

    Parameters
    ----------
    placements : tuple of Placement
        Top to bottom, then left to right.
    cuts : tuple of Cut
        In the order of cutting; empty in scissors mode.
    left_over : Box or None
        The largest clean strip along one whole side of the paper, worth keeping; None where a piece
        stands in the way of each.
    nested : bool
        Whether outlines may lie within the boxes of others.
    """

    placements: tuple[Placement, ...]
    cuts: tuple[Cut, ...]
    left_over: Box | None = None
    nested: bool = False


@dataclass(frozen=True, slots=True)
class Packing:
    """All sheets of one paper.

    Parameters
    ----------
    sheets : tuple of PackedSheet
        In order; the last one has the largest left-over.
    bound : int
        No packing needs fewer sheets than this; in trimmer mode none that can be cut with through cuts.
    apart : tuple of str
        What is cut from more than one sheet though it was to be kept together.
    """

    sheets: tuple[PackedSheet, ...]
    bound: int
    apart: tuple[str, ...] = ()

    @property
    def proved(self) -> bool:
        """Whether no packing can do with fewer sheets."""
        return len(self.sheets) == self.bound
