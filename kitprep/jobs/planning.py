"""The pieces of a job with their finished sizes, grades and pictures, before anything is placed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from kitprep.errors import BadOption
from kitprep.files.shelf import Shelf
from kitprep.jobs.checking import Checked, check_pieces
from kitprep.jobs.findings import Finding
from kitprep.jobs.pixels import PageReader
from kitprep.jobs.progress import SILENT, Progress
from kitprep.lengths import ZERO, Length, Size
from kitprep.piece.wanted import WantedPiece

if TYPE_CHECKING:
    from kitprep.files.kit import PlacedPicture
    from kitprep.piece.artwork import Artwork


@dataclass(frozen=True, slots=True, eq=False)
class PlannedPiece:
    """One entry of a make-list, worked out.

    Parameters
    ----------
    wanted : WantedPiece
        As asked for.
    trim : Size
        Its finished size.
    bleed : Length
        Picture beyond it.
    checked : Checked or None
        How sharp it prints; None for a blank.
    artwork : Artwork or None
        Its picture; None for a blank.
    """

    wanted: WantedPiece
    trim: Size
    bleed: Length
    checked: Checked | None
    artwork: Artwork | None

    @property
    def is_blank(self) -> bool:
        """Whether it is cut from the paper itself."""
        return self.checked is None

    @property
    def id(self) -> str | None:
        """The element's id in full; None for a blank."""
        return None if self.checked is None else self.checked.id

    @property
    def name(self) -> str:
        """What people call it: its label, else the tail of its element's id."""
        return self.wanted.label or (self.id or "blank").rpartition("/")[2]

    @property
    def grade(self) -> str:
        """Its grade at this size; empty for a blank."""
        return "" if self.checked is None else self.checked.detail.grade.value

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What a person should know of it."""
        return () if self.checked is None else self.checked.findings


class PlannedPieces:
    """All pieces of a job, and the pictures of the pages they come from.

    Parameters
    ----------
    shelf : Shelf
        Where the pages are.
    pieces : tuple of PlannedPiece
        In the order asked for.
    """

    def __init__(self, shelf: Shelf, pieces: tuple[PlannedPiece, ...]) -> None:
        self.pieces = pieces
        self._shelf = shelf
        self._refs = {
            f"{piece.checked.ref.kit.slug}/{piece.checked.ref.page.name}": piece.checked.ref
            for piece in pieces
            if piece.checked is not None
        }

    @property
    def credit(self) -> str:
        """The makers of the kits, each once; the kit's name where its maker is not recorded."""
        kits = [ref.kit for ref in self._refs.values()]
        return ", ".join(dict.fromkeys(kit.maker or kit.name for kit in kits))

    def placed_pictures(self, page: str) -> tuple[PlacedPicture, ...]:
        """The pictures that make up a page, by its id, for a PDF to take in.

        Raises
        ------
        OriginalChanged
            If the original is gone or altered.
        """
        from kitprep.files.kit import placed_pictures

        ref = self._refs[page]
        path = self._shelf.verified_original(ref.kit, ref.page.file)
        return placed_pictures(path, ref.page, ref.kit.password or None)


def plan_pieces(
    shelf: Shelf,
    wanted: Sequence[WantedPiece],
    bleed: Length,
    keep_pixels: bool = False,
    progress: Progress = SILENT,
    makelist: str = "",
) -> PlannedPieces:
    """Find, fit, check and prepare the pieces of a job.

    Parameters
    ----------
    shelf : Shelf
        Where the elements are.
    wanted : sequence of WantedPiece
        What is asked for.
    bleed : Length
        Of pieces that say nothing else; blanks have none unless they say so.
    keep_pixels : bool
        Whether pictures of over 720 pixels per inch keep all of them.
    progress : Progress
        Told of each piece.
    makelist : str
        The name of the list they stand in, for errors that name its line.

    Raises
    ------
    NotFound, BadSize, BadOption, OriginalChanged
        If a piece cannot be had as asked.
    """
    from kitprep.piece import make_artwork

    pictured = [piece for piece in wanted if piece.element]
    reader = PageReader(shelf)
    checked = dict(
        zip(map(id, pictured), check_pieces(shelf, pictured, reader, progress, makelist), strict=True)
    )
    planned: dict[int, PlannedPiece] = {}
    progress.start("Preparing pictures", len(wanted))
    for index, piece in sorted(enumerate(wanted), key=lambda entry: _page_of(checked.get(id(entry[1])))):
        one = checked.get(id(piece))
        own_bleed = piece.bleed if piece.bleed is not None else (ZERO if one is None else bleed)
        if own_bleed < ZERO:
            raise BadOption("bleed", own_bleed.text(), "a length of zero or more")
        artwork = None
        if one is not None:
            kit, page = one.ref.kit, one.ref.page
            artwork = make_artwork(
                one.ref.element,
                page,
                f"{kit.slug}/{page.name}",
                one.fitting,
                own_bleed,
                partial(reader.read, kit, page),
                keep_all_pixels=keep_pixels,
            )
        planned[index] = PlannedPiece(piece, _trim(piece, one), own_bleed, one, artwork)
        progress.step(piece.name)
    progress.finish()
    return PlannedPieces(shelf, tuple(planned[index] for index in range(len(wanted))))


def _page_of(checked: Checked | None) -> str:
    """Pieces of one page are prepared in a row, so that the page is read once."""
    return "" if checked is None else checked.id


def _trim(piece: WantedPiece, checked: Checked | None) -> Size:
    if checked is not None:
        return checked.fitting.trim
    assert piece.size.width is not None
    assert piece.size.height is not None
    return Size(piece.size.width, piece.size.height)
