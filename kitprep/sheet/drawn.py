"""What a sheet is: pieces, lines and words with their places on the paper.

Everything is measured from the top left corner of the paper, x to the right, y down.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from kitprep.lengths import Box, Length, Size
from kitprep.pack.packing import Cut
from kitprep.papers import Flip, Margins, Paper
from kitprep.piece.artwork import Artwork
from kitprep.sheet.typeface import ASCENT, CAP_HEIGHT, DESCENT, text_width


class LineKind(Enum):
    """What a line on a sheet is for."""

    CUT_MARK = "cut mark"
    """At a corner of a piece, in line with its trim, outside its bleed."""
    FOLD_TICK = "fold tick"
    """Where a piece is to be scored and folded; dashed, outside its bleed."""
    THROUGH_CUT = "through-cut tick"
    """At the end of a numbered cut."""
    CHECK = "check line"
    """Of a known length, to hold a ruler against, with its two end ticks."""
    OUTLINE = "outline"
    """The edge of a blank on a cutting plan, or of a cut-out where that is asked for."""
    REGISTRATION = "registration"
    """On both sides of a paper at the same place, to hold against the light."""
    FOLD = "fold"
    """A fold across a blank on a cutting plan; dashed."""

    @property
    def dashed(self) -> bool:
        """Whether it is drawn dashed."""
        return self in (LineKind.FOLD_TICK, LineKind.FOLD)


@dataclass(frozen=True, slots=True)
class Line:
    """A straight stroke with square ends.

    Parameters
    ----------
    kind : LineKind
        What it is for.
    x0, y0, x1, y1 : Length
        Its ends.
    width : Length
        Its thickness.
    """

    kind: LineKind
    x0: Length
    y0: Length
    x1: Length
    y1: Length
    width: Length

    @property
    def box(self) -> Box:
        """The box of its ink, for an upright or level line."""
        half = Length(self.width.emu // 2)
        if self.x0 == self.x1:
            return Box(self.x0 - half, min(self.y0, self.y1), self.x0 + half, max(self.y0, self.y1))
        if self.y0 == self.y1:
            return Box(min(self.x0, self.x1), self.y0 - half, max(self.x0, self.x1), self.y0 + half)
        xs, ys = sorted((self.x0, self.x1)), sorted((self.y0, self.y1))
        return Box(xs[0], ys[0], xs[1], ys[1]).grown(half)


class TextKind(Enum):
    """What words on a sheet are for."""

    LABEL = "label"
    """A piece's letter and name."""
    KEY = "key"
    """A line of the list of letters whose names have no place at their pieces."""
    CUT_NUMBER = "cut number"
    FOLD_NAME = "fold name"
    """Whose fold a tick away from its piece is."""
    CHECK = "check line"
    FOOT = "foot"


@dataclass(frozen=True, slots=True)
class Text:
    """A line of words.

    Parameters
    ----------
    kind : TextKind
        What it is for.
    words : str
        The line.
    x, y : Length
        Where its baseline starts.
    size : Length
        The type size.
    bold : bool
        Whether it is set in the bold face.
    upward : bool
        Whether it reads upward, turned a quarter anticlockwise.
    """

    kind: TextKind
    words: str
    x: Length
    y: Length
    size: Length
    bold: bool = False
    upward: bool = False

    @property
    def box(self) -> Box:
        """The room it takes, from the highest to the lowest its letters can reach."""
        width = text_width(self.words, self.size, bold=self.bold)
        above, below = (CAP_HEIGHT, 0.0) if self.words.isdigit() else (ASCENT, DESCENT)
        up, down = Length(round(self.size.emu * above)), Length(round(self.size.emu * below))
        if self.upward:
            return Box(self.x - up, self.y - width, self.x + down, self.y)
        return Box(self.x, self.y - up, self.x + width, self.y + down)


@dataclass(frozen=True, slots=True, eq=False)
class SheetItem:
    """What an item of a packing is, the same for all its copies.

    Parameters
    ----------
    name : str
        What people call it; printed beside it.
    id : str or None
        Its element's id; None for a blank.
    artwork : Artwork or None
        Its picture; None for a blank.
    scores : tuple of Length
        Fold lines across it, measured from the left edge of its trim as it stands unturned.
    grade : str
        The grade of its picture at this size; empty for a blank.
    letter : str
        What stands for it on sheets and in cut guides; empty for one by its place in the packing.
    back : Artwork or None
        What is printed on its back, of the same trim and bleed; None for nothing.
    """

    name: str
    id: str | None = None
    artwork: Artwork | None = None
    scores: tuple[Length, ...] = ()
    grade: str = ""
    letter: str = ""
    back: Artwork | None = None


@dataclass(frozen=True, slots=True, eq=False)
class SheetPiece:
    """One piece on one sheet.

    Parameters
    ----------
    item : int
        Index of its item; copies share it.
    letter : str
        What stands for its item on sheets and in cut guides: A, B, ... Z, AA, ...
    name, id, artwork, scores, grade
        As in `SheetItem`.
    trim : Box
        Its trim on the paper.
    bleed : Length
        How far its picture reaches beyond.
    quarters : int
        How many quarters it lies turned, clockwise: 0 to 3.
    """

    item: int
    letter: str
    name: str
    id: str | None
    trim: Box
    bleed: Length
    quarters: int
    artwork: Artwork | None
    scores: tuple[Length, ...]
    grade: str

    @property
    def turned(self) -> bool:
        """Whether its width lies along the paper's height."""
        return self.quarters % 2 == 1

    @property
    def bleed_box(self) -> Box:
        """The trim with its bleed."""
        return self.trim.grown(self.bleed)

    @property
    def size(self) -> Size:
        """The trim as it stands unturned."""
        return self.trim.size.turned if self.turned else self.trim.size


@dataclass(frozen=True, slots=True, eq=False)
class Sheet:
    """One printed side of one paper.

    Parameters
    ----------
    number, total : int
        "Sheet `number` of `total`."
    paper : Paper
        As it lies.
    margins : Margins
        What the printer cannot reach; no ink is there.
    pieces : tuple of SheetPiece
        Pictures and blanks.
    lines : tuple of Line
        Marks, ticks, check lines, outlines.
    texts : tuple of Text
        Labels, numbers, the words at the foot.
    cuts : tuple of Cut
        The through cuts in order; empty for scissors.
    title, credit : str
        The job's title, and the makers of the kits on it.
    plan_only : bool
        Whether it is a plan to cut by and not to be printed on the paper itself: nothing but blanks
        on a paper without margins.
    has_check_lines : bool
        Whether the 1 in and the 25 mm line found room.
    lettered : tuple of int
        Indices of pieces that carry only their letter, for want of room for the name.
    unlabelled : tuple of int
        Indices of pieces without any label on the sheet; the cut guide names them.
    unmarked_cuts : tuple of int
        Numbers of cuts without a tick on the sheet; the cut guide measures them.
    unmarked_folds : tuple of int
        Indices of pieces with a fold that no tick shows; the cut guide measures it.
    flip : Flip or None
        How the paper is turned for its back; None where nothing is printed there.
    back : Sheet or None
        Its other side.
    has_registration : bool
        Whether the marks to hold against the light found room; true also where there is no back.
    left_over : Box or None
        A clean strip along a whole side of the paper, worth keeping.
    """

    number: int
    total: int
    paper: Paper
    margins: Margins
    pieces: tuple[SheetPiece, ...]
    lines: tuple[Line, ...]
    texts: tuple[Text, ...]
    cuts: tuple[Cut, ...]
    title: str
    credit: str
    plan_only: bool
    has_check_lines: bool
    lettered: tuple[int, ...]
    unlabelled: tuple[int, ...]
    unmarked_cuts: tuple[int, ...]
    unmarked_folds: tuple[int, ...] = ()
    flip: Flip | None = None
    back: Sheet | None = None
    has_registration: bool = True
    left_over: Box | None = None


def letter(item: int) -> str:
    """What stands for an item on sheets and in guides: A to Z, then AA, AB, ...

    Examples
    --------
    >>> letter(0), letter(25), letter(26), letter(701), letter(702)
    ('A', 'Z', 'AA', 'ZZ', 'AAA')
    """
    word, rest = "", item + 1
    while rest:
        rest, last = divmod(rest - 1, 26)
        word = chr(ord("A") + last) + word
    return word
