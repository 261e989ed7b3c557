"""What a job found that a person should know: facts only, worded by `kitprep.wording`.

A finding is not an error: the job was done. Each class is one cause; `about` is the id or name of what
it concerns.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from kitprep.detail.grades import Grade
    from kitprep.errors import UnusableFile
    from kitprep.files.kit.colour import Note
    from kitprep.lengths import Length, Size, Unit, WantedSize


@dataclass(frozen=True, slots=True)
class Finding:
    """Something a person should know."""

    about: str


@dataclass(frozen=True, slots=True)
class BadPage(Finding):
    """A page that could not be read, among others that could."""

    error: UnusableFile


@dataclass(frozen=True, slots=True)
class AssumedPpi(Finding):
    """A page whose resolution nothing tells."""

    ppi: float


@dataclass(frozen=True, slots=True)
class TermsNotRecorded(Finding):
    """A kit without terms of use."""

    name: str


@dataclass(frozen=True, slots=True)
class NothingFound(Finding):
    """A page on which no element stands out from the background."""


@dataclass(frozen=True, slots=True)
class TextureTaken(Finding):
    """A page of too many small regions, taken as one paper."""


@dataclass(frozen=True, slots=True)
class PageNoted(Finding):
    """Something about a page's picture, found when it was read."""

    note: Note


@dataclass(frozen=True, slots=True)
class AssumedColours(Finding):
    """Pages of a kit whose colours nothing tells; they are taken for sRGB.

    Parameters
    ----------
    name : str
        The kit's name.
    pages : tuple of str
        Their names.
    every : bool
        Whether they are all of the kit.
    """

    name: str
    pages: tuple[str, ...]
    every: bool


@dataclass(frozen=True, slots=True)
class PrintsSoft(Finding):
    """A piece that will print soft or blurry at the size asked.

    Parameters
    ----------
    name : str
        What people call the piece.
    wanted : WantedSize
        The size as it was asked for.
    size : Size
        The finished size.
    unit : Unit
        The unit to speak of it in.
    grade : Grade
        `SOFT` or `BLURRY`.
    ppi : float
        Pixels per inch at that size, by the file's count.
    page_ppi : float
        Pixels per inch that the page states.
    real_ppi : float or None
        Pixels per inch that the picture holds at that size as measured; None where that cannot be told.
    page_real_ppi : float or None
        The same at the page's own size.
    largest_fine : Size
        The largest size of the same proportions that is still fine.
    """

    name: str
    wanted: WantedSize
    size: Size
    unit: Unit
    grade: Grade
    ppi: float
    page_ppi: float
    real_ppi: float | None
    page_real_ppi: float | None
    largest_fine: Size


@dataclass(frozen=True, slots=True)
class MeasuredAnew(Finding):
    """What was measured of a kit before could not be read, and was measured once more."""


@dataclass(frozen=True, slots=True)
class NotKept(Finding):
    """What was measured of a kit cannot be kept, and takes its time again at each check.

    Parameters
    ----------
    path, why : str
        What cannot be written, and what stands in the way.
    """

    path: str
    why: str


@dataclass(frozen=True, slots=True)
class Enlarged(Finding):
    """A picture written with more pixels than the element has."""

    factor: float


@dataclass(frozen=True, slots=True)
class Stretched(Finding):
    """A picture pulled out of proportion by more than 2 %."""

    percent: float


@dataclass(frozen=True, slots=True)
class BleedMade(Finding):
    """Pieces whose kit has no picture beyond their edge, so that their bleed is mirrored or grown."""

    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LowMargin(Finding):
    """A margin that many home printers cannot reach."""

    margin: Length
    unit: Unit


@dataclass(frozen=True, slots=True)
class MarksLeftOut(Finding):
    """Marks that found no room on a sheet; the cut guide has them.

    Parameters
    ----------
    sheet : int
        The sheet's number.
    folds : tuple of str
        Pieces whose fold lines are not marked.
    unlabelled : tuple of str
        Pieces without a label.
    cuts : int
        How many cuts have no tick.
    check_lines : bool
        Whether the check lines are missing.
    registration : bool
        Whether the marks to hold against the light are missing.
    """

    sheet: int
    folds: tuple[str, ...]
    unlabelled: tuple[str, ...]
    cuts: int
    check_lines: bool
    registration: bool = False


@dataclass(frozen=True, slots=True)
class Reproduction(Finding):
    """Pieces that look like stamps, for the caution that goes with them."""

    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class KeptApart(Finding):
    """Pieces of one thing, to be kept on one sheet, that would have cost a sheet more."""

    together: str


@dataclass(frozen=True, slots=True)
class StoppedEarly(Finding):
    """A search for fewer sheets that Ctrl-C ended."""

    paper: str
    sheets: int
    bound: int


CAUTIONS = (
    AssumedColours,
    TermsNotRecorded,
    Reproduction,
    BleedMade,
    MarksLeftOut,
    KeptApart,
    StoppedEarly,
    MeasuredAnew,
    NotKept,
)
"""Findings that no setting can mend, or that change no print: told, but not what `--strict` fails on."""
