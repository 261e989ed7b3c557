"""Where a sheet's pieces are cut and folded, for a machine that cuts them."""

from __future__ import annotations

from dataclasses import dataclass

from kitprep.lengths import Length
from kitprep.sheet.drawn import Sheet, SheetPiece
from kitprep.sheet.laying_out import on_paper
from kitprep.sheet.marks import fold_places

PaperPoint = tuple[Length, Length]
"""Right and down from the paper's top left corner."""


@dataclass(frozen=True, slots=True)
class PieceLines:
    """The lines of one piece.

    Parameters
    ----------
    name : str
        Its letter and what people call it.
    contour : tuple of PaperPoint
        The closed line to cut along: a cut-out's outline, else the trim.
    folds : tuple of (PaperPoint, PaperPoint)
        From edge to edge of its trim.
    """

    name: str
    contour: tuple[PaperPoint, ...]
    folds: tuple[tuple[PaperPoint, PaperPoint], ...]


def cut_lines(sheet: Sheet) -> tuple[PieceLines, ...]:
    """The lines of all pieces of a sheet, in the order in which they lie on it."""
    return tuple(
        PieceLines(f"{piece.letter} {piece.name}", _contour(piece), _folds(piece)) for piece in sheet.pieces
    )


def _contour(piece: SheetPiece) -> tuple[PaperPoint, ...]:
    if piece.artwork is not None and piece.artwork.outline:
        return tuple(on_paper(piece, x, y) for x, y in piece.artwork.outline)
    trim = piece.trim
    return (
        (trim.left, trim.top),
        (trim.right, trim.top),
        (trim.right, trim.bottom),
        (trim.left, trim.bottom),
    )


def _folds(piece: SheetPiece) -> tuple[tuple[PaperPoint, PaperPoint], ...]:
    trim = piece.trim
    if piece.turned:
        return tuple(((trim.left, at), (trim.right, at)) for at in fold_places(piece))
    return tuple(((at, trim.top), (at, trim.bottom)) for at in fold_places(piece))
