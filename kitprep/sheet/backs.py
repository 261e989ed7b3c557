"""The back of a sheet: every piece's back behind its front.

A piece is turned over as the page of a book is: what is up on its front is up on its back, however it lies
on the sheet and over whichever edge the paper is turned.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from kitprep.lengths import Box
from kitprep.papers import Flip, Margins, Paper, printable
from kitprep.sheet.drawn import Sheet, SheetItem, SheetPiece, Text, TextKind
from kitprep.sheet.registration import back_mark
from kitprep.sheet.room import Room
from kitprep.sheet.strip import place_words


def back_of(front: Sheet, items: Sequence[SheetItem], flip: Flip, marks: Sequence[Box]) -> Sheet:
    """Draw up the other side of a sheet.

    Parameters
    ----------
    front : Sheet
        Its front.
    items : sequence of SheetItem
        As they were packed.
    flip : Flip
        The edge over which the paper is turned.
    marks : sequence of Box
        Where the front bears its registration marks.

    Returns
    -------
    Sheet
        Without cuts, labels and cut marks: those are on the front.
    """
    paper = front.paper
    pieces = tuple(
        _behind(piece, items[piece.item], flip, paper)
        for piece in front.pieces
        if items[piece.item].back is not None
    )
    places = [flip.behind(mark, paper.size) for mark in marks]
    lines = tuple(line for place in places for line in back_mark(place))
    room = Room(printable(paper, front.margins), [*(piece.bleed_box for piece in pieces), *places])
    return replace(
        front,
        pieces=pieces,
        lines=lines,
        texts=() if front.plan_only else _words(front, flip, room, empty=not pieces),
        cuts=(),
        has_check_lines=True,
        lettered=(),
        unlabelled=(),
        unmarked_cuts=(),
        unmarked_folds=(),
        flip=flip,
        back=None,
    )


def quarters_behind(quarters: int, flip: Flip, paper: Paper) -> int:
    """How a back lies for its piece to read upright on both sides, in quarters clockwise.

    What points to the right on the front points to the left on the back where the sides change places, and
    what points up points down where top and bottom do.
    """
    return -quarters % 4 if flip.swaps_sides(paper.size) else (2 - quarters) % 4


def margins_behind(margins: Margins, flip: Flip, paper: Paper) -> Margins:
    """Margins of the front that keep front and back within the printer's reach."""
    return flip.margins_of_both(margins, paper.size)


def _behind(piece: SheetPiece, item: SheetItem, flip: Flip, paper: Paper) -> SheetPiece:
    return replace(
        piece,
        trim=flip.behind(piece.trim, paper.size),
        quarters=quarters_behind(piece.quarters, flip, paper),
        artwork=item.back,
        scores=(),
    )


def _words(front: Sheet, flip: Flip, room: Room, *, empty: bool) -> tuple[Text, ...]:
    told = f"back of sheet {front.number}, turned over its {flip.value} edge"
    words = f"{told}; nothing is printed here" if empty else told
    return tuple(replace(text, kind=TextKind.FOOT) for text in place_words(room, words))
