"""A cut-out's shape as coverage of pixels."""

from __future__ import annotations

from dataclasses import dataclass

from kitprep.piece.cleaning import Floats


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """A cut-out's shape on a grid of pixels; each array is a `coverage`, float32, shape (rows, cols).

    Parameters
    ----------
    whole : ndarray
        Inside the outline of the whole element.
    kept : ndarray
        Inside the line it is cut at: the same, or less where it is cropped.
    holes : ndarray
        Inside its openings.
    """

    whole: Floats
    kept: Floats
    holes: Floats
