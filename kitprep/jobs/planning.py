"""The pieces of a job with their finished sizes, grades and pictures, before anything is placed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from kitprep.errors import BadOption
from kitprep.files.shelf import Shelf
from kitprep.jobs.checking import Checked, check_pieces, naming_the_line
from kitprep.jobs.findings import Finding
from kitprep.jobs.pixels import PageReader, decoded_bytes, page_id
from kitprep.jobs.progress import SILENT, Progress
from kitprep.lengths import ZERO, Length, Size, WantedSize
from kitprep.piece.wanted import NO_BACK, WantedPiece

if TYPE_CHECKING:
    from kitprep.files.kit import PlacedPicture
    from kitprep.piece.artwork import Artwork


@dataclass(frozen=True, slots=True)
class PlanOptions:
    """What holds for all pieces that say nothing else.

    Parameters
    ----------
    bleed : Length
        Picture beyond the trim of pictures; blanks have none unless they say so.
    keep_pixels : bool
        Whether pictures of over 720 pixels per inch keep all of them.
    back : str
        Id of the element on the back of every picture; empty for none.
    misregistration : Length
        How far the printer may put a back beside its front. Pieces with a back get that much more bleed.
    """

    bleed: Length
    keep_pixels: bool = False
    back: str = ""
    misregistration: Length = ZERO


@dataclass(frozen=True, slots=True, eq=False)
class PlannedSide:
    """What is printed on one side of a piece.

    Parameters
    ----------
    checked : Checked
        How sharp it prints.
    artwork : Artwork
        Its picture; a back's is of the same trim and bleed as its front's.
    """

    checked: Checked
    artwork: Artwork


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
    back : PlannedSide or None
        What is printed on its back; None for nothing.
    """

    wanted: WantedPiece
    trim: Size
    bleed: Length
    checked: Checked | None
    artwork: Artwork | None
    back: PlannedSide | None = None

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
        sides = (self.checked, self.back.checked if self.back else None)
        return tuple(finding for side in sides if side is not None for finding in side.findings)


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
        sides = [piece.checked for piece in pieces]
        sides += [piece.back.checked for piece in pieces if piece.back is not None]
        self._refs = {page_id(side.ref): side.ref for side in sides if side is not None}

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
    options: PlanOptions,
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
    options : PlanOptions
        What holds for pieces that say nothing else.
    progress : Progress
        Told of each piece.
    makelist : str
        The name of the list they stand in, for errors that name its line.

    Raises
    ------
    NotFound, BadSize, BadOption, OriginalChanged
        If a piece cannot be had as asked.
    """
    pictured = {index: piece for index, piece in enumerate(wanted) if piece.element}
    with_back = [index for index, piece in pictured.items() if _back_of(piece, options)]
    bleeds = [_bleed(piece, index in with_back, options) for index, piece in enumerate(wanted)]
    for index in with_back:  # before the fronts are worked on, which takes a while
        with naming_the_line(wanted[index], makelist):
            shelf.find(_back_of(wanted[index], options))
    preparing = _Preparing(shelf, bleeds, options, progress, makelist)
    fronts = preparing.sides(pictured)
    backs = preparing.sides(_backs({index: fronts[index] for index in with_back}, options))
    planned = []
    for index, piece in enumerate(wanted):
        front = fronts.get(index)
        checked, picture = (front.checked, front.artwork) if front else (None, None)
        trim = _trim(piece, checked)
        planned.append(PlannedPiece(piece, trim, bleeds[index], checked, picture, backs.get(index)))
    return PlannedPieces(shelf, tuple(planned))


@dataclass(frozen=True, slots=True)
class _Preparing:
    """Checks sides of pieces and makes their pictures, page by page, so that a page is read once for both.

    Parameters
    ----------
    shelf : Shelf
    bleeds : sequence of Length
        Of each piece.
    options : PlanOptions
    progress : Progress
    makelist : str
        As in `plan_pieces`.
    """

    shelf: Shelf
    bleeds: Sequence[Length]
    options: PlanOptions
    progress: Progress
    makelist: str

    def sides(self, wanted: Mapping[int, WantedPiece]) -> dict[int, PlannedSide]:
        """Fronts, or backs, by the index of their piece."""
        if not wanted:
            return {}
        reader = PageReader(self.shelf)
        pages = self._by_page(wanted)
        self.progress.start("Preparing pictures", len(wanted))
        made: dict[int, PlannedSide] = {}
        for indices in pages.values():
            pieces = [wanted[index] for index in indices]
            for index, checked in zip(
                indices, check_pieces(self.shelf, pieces, reader, SILENT, self.makelist), strict=True
            ):
                artwork = _artwork(checked, self.bleeds[index], reader, self.options)
                made[index] = PlannedSide(checked, artwork)
                self.progress.step(checked.wanted.name)
        self.progress.finish()
        return made

    def _by_page(self, wanted: Mapping[int, WantedPiece]) -> dict[str, list[int]]:
        """The indices of the pieces of each page; what is not there is told before any work is done.

        The largest page comes first: reading it takes the most memory, and then there are no pictures yet.
        """
        pages: dict[str, list[int]] = {}
        sizes: dict[str, int] = {}
        for index, piece in wanted.items():
            with naming_the_line(piece, self.makelist):
                ref = self.shelf.find(piece.element)
            pages.setdefault(page_id(ref), []).append(index)
            sizes[page_id(ref)] = decoded_bytes(ref.page)
        return {page: pages[page] for page in sorted(pages, key=lambda page: -sizes[page])}


def _back_of(piece: WantedPiece, options: PlanOptions) -> str:
    """The element on a piece's back; empty for none."""
    element = piece.back or options.back
    return "" if element == NO_BACK else element


def _backs(fronts: Mapping[int, PlannedSide], options: PlanOptions) -> dict[int, WantedPiece]:
    """What is wanted of the backs: to cover the finished size of their fronts."""
    backs = {}
    for index, front in fronts.items():
        piece, trim = front.checked.wanted, front.checked.fitting.trim
        size = WantedSize(trim.width, trim.height, piece.size.unit)
        label = f"back of {piece.name}"
        backs[index] = WantedPiece(_back_of(piece, options), size, label=label, line=piece.line)
    return backs


def _bleed(piece: WantedPiece, has_back: bool, options: PlanOptions) -> Length:
    bleed = piece.bleed if piece.bleed is not None else (options.bleed if piece.element else ZERO)
    if bleed < ZERO:
        raise BadOption("bleed", bleed.text(), "a length of zero or more")
    return bleed + options.misregistration if has_back else bleed


def _artwork(checked: Checked, bleed: Length, reader: PageReader, options: PlanOptions) -> Artwork:
    from kitprep.piece import make_artwork

    kit, page = checked.ref.kit, checked.ref.page
    return make_artwork(
        checked.ref.element,
        page,
        page_id(checked.ref),
        checked.fitting,
        bleed,
        partial(reader.read, kit, page),
        keep_all_pixels=options.keep_pixels,
    )


def _trim(piece: WantedPiece, checked: Checked | None) -> Size:
    if checked is not None:
        return checked.fitting.trim
    assert piece.size.width is not None
    assert piece.size.height is not None
    return Size(piece.size.width, piece.size.height)
