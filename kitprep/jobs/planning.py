"""The pieces of a job with their finished sizes, grades and pictures, before anything is placed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from kitprep.errors import BadOption
from kitprep.files.shelf import Shelf
from kitprep.jobs.checking import Checked, check_pieces
from kitprep.jobs.findings import Finding
from kitprep.jobs.pixels import PageReader
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
class PlannedBack:
    """What is printed on a piece's back.

    Parameters
    ----------
    checked : Checked
        How sharp it prints.
    artwork : Artwork
        Its picture, of the same trim and bleed as the front's.
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
    back : PlannedBack or None
        What is printed on its back; None for nothing.
    """

    wanted: WantedPiece
    trim: Size
    bleed: Length
    checked: Checked | None
    artwork: Artwork | None
    back: PlannedBack | None = None

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
        self._refs = {_page_id(side): side.ref for side in sides if side is not None}

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
    reader = PageReader(shelf)
    fronts = _checked(shelf, dict(enumerate(wanted)), reader, progress, makelist)
    backs = _checked(shelf, _backs(wanted, fronts, options), reader, progress, makelist)
    bleeds = [_bleed(piece, index in fronts, index in backs, options) for index, piece in enumerate(wanted)]
    progress.start("Preparing pictures", len(fronts) + len(backs))
    pictures: dict[tuple[int, bool], Artwork] = {}
    sides = [(checked, index, is_back) for is_back, side in enumerate((fronts, backs))
             for index, checked in side.items()]  # fmt: skip
    for checked, index, is_back in sorted(sides, key=lambda side: (_page_id(side[0]), *side[1:])):
        pictures[index, bool(is_back)] = _artwork(checked, bleeds[index], reader, options)
        progress.step(checked.wanted.name)
    progress.finish()
    planned = []
    for index, piece in enumerate(wanted):
        back = PlannedBack(backs[index], pictures[index, True]) if index in backs else None
        front, picture = fronts.get(index), pictures.get((index, False))
        planned.append(PlannedPiece(piece, _trim(piece, front), bleeds[index], front, picture, back))
    return PlannedPieces(shelf, tuple(planned))


def _checked(
    shelf: Shelf,
    wanted: Mapping[int, WantedPiece],
    reader: PageReader,
    progress: Progress,
    makelist: str,
) -> dict[int, Checked]:
    """The pieces with a picture, checked, by their index."""
    pictured = {index: piece for index, piece in wanted.items() if piece.element}
    if not pictured:
        return {}
    checked = check_pieces(shelf, list(pictured.values()), reader, progress, makelist)
    return dict(zip(pictured, checked, strict=True))


def _backs(
    wanted: Sequence[WantedPiece], fronts: Mapping[int, Checked], options: PlanOptions
) -> dict[int, WantedPiece]:
    """What is wanted of the backs: to cover the finished size of their fronts."""
    backs = {}
    for index, front in fronts.items():
        piece = wanted[index]
        element = piece.back or options.back
        if element and element != NO_BACK:
            trim = front.fitting.trim
            size = WantedSize(trim.width, trim.height, piece.size.unit)
            backs[index] = WantedPiece(element, size, label=f"back of {piece.name}", line=piece.line)
    return backs


def _bleed(piece: WantedPiece, is_picture: bool, has_back: bool, options: PlanOptions) -> Length:
    bleed = piece.bleed if piece.bleed is not None else (options.bleed if is_picture else ZERO)
    if bleed < ZERO:
        raise BadOption("bleed", bleed.text(), "a length of zero or more")
    return bleed + options.misregistration if has_back else bleed


def _artwork(checked: Checked, bleed: Length, reader: PageReader, options: PlanOptions) -> Artwork:
    from kitprep.piece import make_artwork

    kit, page = checked.ref.kit, checked.ref.page
    return make_artwork(
        checked.ref.element,
        page,
        _page_id(checked),
        checked.fitting,
        bleed,
        partial(reader.read, kit, page),
        keep_all_pixels=options.keep_pixels,
    )


def _page_id(checked: Checked) -> str:
    """Pieces of one page are prepared in a row, so that the page is read once."""
    return f"{checked.ref.kit.slug}/{checked.ref.page.name}"


def _trim(piece: WantedPiece, checked: Checked | None) -> Size:
    if checked is not None:
        return checked.fitting.trim
    assert piece.size.width is not None
    assert piece.size.height is not None
    return Size(piece.size.width, piece.size.height)
