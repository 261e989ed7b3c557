"""What every page source gives, whatever file it is in."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from kitprep.files.kit.colour import Note
from kitprep.pages import KnownBox, Page, Raster


@dataclass(frozen=True, slots=True)
class Original:
    """A bought file, as it was unpacked or copied.

    Parameters
    ----------
    name : str
        Its path inside the originals, with forward slashes.
    path : Path
        Where it is now.
    sha256 : str
        Of its bytes (FIPS 180-4), in lower-case hexadecimal.
    length : int
        How many bytes.
    """

    name: str
    path: Path
    sha256: str
    length: int


@dataclass(frozen=True, slots=True, eq=False)
class Look:
    """What one look at a page finds.

    Parameters
    ----------
    page : Page
        Without elements.
    raster : Raster
        The page in sRGB, reduced; RGBA where the page is transparent in places.
    known_boxes : tuple of KnownBox
        Where a PDF page says that its pictures and drawings lie, those that stand apart.
    icc : bytes or None
        The embedded colour profile of a page that is one picture.
    notes : tuple of Note
        What its owner may want to know.
    """

    page: Page
    raster: Raster
    known_boxes: tuple[KnownBox, ...] = ()
    icc: bytes | None = None
    notes: tuple[Note, ...] = ()


class PageSource(Protocol):
    """One page or frame that can be looked at. Looks from several threads do not disturb each other."""

    @property
    def file(self) -> str:
        """The original's name."""

    @property
    def frame(self) -> int:
        """Which page or frame of it, from 0."""

    def look(self, number: int, target_ppi: float) -> Look:
        """Decode the page once.

        Parameters
        ----------
        number : int
            The page's number in the kit, from 1.
        target_ppi : float
            The resolution wanted for the raster; it comes no coarser, unless the page itself is, and
            less than twice as fine.

        Raises
        ------
        UnusableFile
            If the page is damaged, or its pixels are of a kind kitprep does not read.
        """


def reduction_for(ppi: float, target_ppi: float) -> int:
    """How many times a page may be reduced and still have `target_ppi`; at least 1."""
    return max(1, int(ppi / target_ppi + 1e-6))
