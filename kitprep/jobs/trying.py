"""Trying sizes on elements over and over: what is measured of a picture is measured once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from threading import Lock

from kitprep.files.measured import Measured
from kitprep.files.shelf import ElementRef, Shelf, shelf_folder
from kitprep.jobs.checking import Checked, grade_piece, measure_elements
from kitprep.jobs.findings import Finding
from kitprep.jobs.pixels import PageReader
from kitprep.piece.wanted import WantedPiece

_Key = tuple[str, str, tuple[tuple[float, float], ...]]


class SizeTrials:
    """Grades pieces of one shelf; may be asked from several threads.

    Parameters
    ----------
    shelf : Path or None
        The shelf's folder; None for the usual one.
    """

    def __init__(self, shelf: Path | None = None) -> None:
        self._shelf = Shelf(shelf_folder(shelf))
        self._measured: dict[_Key, Measured] = {}
        self._untold: list[Finding] = []
        self._lock = Lock()

    def measure(self, elements: Sequence[str]) -> None:
        """Measure elements that were not measured yet, each page read once; errors as `grade`."""
        refs = [self._shelf.find(text) for text in elements]
        with self._lock:
            new = [ref for ref in refs if _key(ref) not in self._measured]
            if new:
                measured = measure_elements(new, PageReader(self._shelf))
                self._untold += measured.findings
                self._measured |= {_key(ref): measured.by_id[ref.id] for ref in new}

    def grade(self, wanted: WantedPiece) -> Checked:
        """How sharp a piece prints.

        Parameters
        ----------
        wanted : WantedPiece
            An element at a size.

        Raises
        ------
        NotFound
            If there is no such element.
        BadSize
            If it cannot have that size.
        OriginalChanged, DamagedPicture
            If its page's original is not as it was.
        """
        self.measure([wanted.element])
        ref = self._shelf.find(wanted.element)
        graded = grade_piece(ref, wanted, self._measured[_key(ref)])
        with self._lock:
            untold, self._untold = self._untold, []
        return replace(graded, findings=(*graded.findings, *untold))


def _key(ref: ElementRef) -> _Key:
    """An element by its id, its kit by when that came, and its edge, which a correction may move."""
    return ref.id, ref.kit.imported, ref.element.outline
