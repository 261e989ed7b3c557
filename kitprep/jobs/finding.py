"""What is on the shelf: kits, elements, and the contact sheet to look at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from kitprep.detail.grades import ONE_ARCMINUTE, largest_size
from kitprep.errors import BadOption, MissingFile, OutputExists
from kitprep.files.shelf import ElementSummary, KitSummary, Shelf, shelf_folder
from kitprep.lengths import EMU_PER_INCH, Length, Size, WantedSize
from kitprep.pages import Kind, Kit

if TYPE_CHECKING:
    from kitprep.files.pictures import ContactCard


CONTACT_SHEET_ENDINGS = (".png", ".pdf", ".html")


@dataclass(frozen=True, slots=True)
class Wish:
    """Which elements are looked for.

    Parameters
    ----------
    words : tuple of str
        Every one of them is in the element's words, its kind, its maker or its kit's name.
    kit : str or None
        Only of this kit.
    kind : Kind or None
        Only of this kind.
    wider_than : Length or None
        Only those whose width at the page's own resolution is more.
    crisp_at : WantedSize or None
        Only those that are crisp when printed at this size, by their count of pixels.
    """

    words: tuple[str, ...] = ()
    kit: str | None = None
    kind: Kind | None = None
    wider_than: Length | None = None
    crisp_at: WantedSize | None = None


@dataclass(frozen=True, slots=True)
class KitList:
    """The kits of a shelf, newest first, and what is wrong with those that cannot be read, by slug."""

    kits: tuple[KitSummary, ...]
    problems: dict[str, str]


def list_kits(*, shelf: Path | None = None) -> KitList:
    """The kits on the shelf.

    Raises
    ------
    ShelfProblem
        If the shelf cannot be read.
    """
    here = Shelf(shelf_folder(shelf))
    return KitList(here.kits(), here.problems())


def find_elements(wish: Wish = Wish(), *, shelf: Path | None = None) -> tuple[ElementSummary, ...]:
    """The elements that answer a wish, newest kit first, in order of page and number.

    Raises
    ------
    NoSuchKit
        If the wish names a kit that is not there.
    """
    found = Shelf(shelf_folder(shelf)).search(wish.words, kind=wish.kind, kit=wish.kit)
    return tuple(summary for summary in found if _answers(summary, wish))


def draw_contact_sheet(
    elements: Sequence[ElementSummary], path: Path, *, overwrite: bool = False, shelf: Path | None = None
) -> None:
    """Draw elements as a picture to look at.

    Parameters
    ----------
    elements : sequence of ElementSummary
        From `find_elements`.
    path : Path
        A name that ends in .png, .pdf or .html.
    overwrite : bool
        Whether a file of that name may be replaced.
    shelf : Path or None
        The shelf's folder; None for the usual one.

    Raises
    ------
    BadOption
        If the name ends otherwise, or there is no element to draw.
    OutputExists, CannotWrite
        If the file exists and may not be replaced, or cannot be written.
    """
    from kitprep.files.pictures import write_contact_sheet

    here = Shelf(shelf_folder(shelf))
    kits = {summary.kit: here.kit(summary.kit) for summary in elements}
    title = " · ".join(kit.name for kit in kits.values()) if len(kits) <= 3 else f"{len(kits)} kits"
    write_contact_sheet(
        _cards(here, kits, elements),
        title=title,
        subtitle=_subtitle(tuple(kits.values())),
        path=path,
        overwrite=overwrite,
    )


def refuse_picture(
    path: Path,
    *,
    overwrite: bool = False,
    option: str = "--picture",
    endings: Sequence[str] = CONTACT_SHEET_ENDINGS,
) -> None:
    """Refuse beforehand a picture that could not be written; errors as `draw_contact_sheet`."""
    if path.suffix.lower() not in endings:
        raise BadOption(option, path.name, f"a name that ends in {', '.join(endings)}")
    if not path.absolute().parent.is_dir():
        raise MissingFile(str(path.parent))
    if path.exists() and not overwrite:
        raise OutputExists(str(path))


def _answers(summary: ElementSummary, wish: Wish) -> bool:
    if wish.wider_than is not None and summary.size.width <= wish.wider_than:
        return False
    return wish.crisp_at is None or _is_crisp(summary, wish.crisp_at)


def _is_crisp(summary: ElementSummary, size: WantedSize) -> bool:
    across, down = summary.straight_size_px
    if size.width is not None and size.height is not None:
        wanted = Size(size.width, size.height)
        return wanted.fits_in(largest_size((across, down), ONE_ARCMINUTE.crisp, wanted))
    pixels, length = (across, size.width) if size.width is not None else (down, size.height)
    assert length is not None
    return pixels * EMU_PER_INCH >= ONE_ARCMINUTE.crisp * length.emu


def _cards(here: Shelf, kits: dict[str, Kit], elements: Sequence[ElementSummary]) -> list[ContactCard]:
    from kitprep.files.pictures import ContactCard
    from kitprep.jobs.pixels import reduced_page
    from kitprep.piece.likeness import likeness

    cards = []
    for slug, kit in kits.items():
        for page in kit.pages:
            wanted = {s.number for s in elements if (s.kit, s.page) == (slug, page.number)}
            if not wanted:
                continue
            raster = reduced_page(here, kit, page)
            cards += [
                ContactCard(
                    id=f"{slug}/{page.name}-{element.number:02d}",
                    label=f"{page.name}-{element.number:02d}",
                    size=element.size(page.ppi),
                    kind=element.kind,
                    thumbnail=likeness(raster, element),
                    confidence=element.confidence,
                    unwanted=element.unwanted,
                )
                for element in page.elements
                if element.number in wanted
            ]
    return cards


def _subtitle(kits: tuple[Kit, ...]) -> str:
    makers = list(dict.fromkeys(kit.maker for kit in kits if kit.maker))
    terms = "terms recorded" if all(kit.terms for kit in kits) else "terms not recorded"
    return " · ".join([*makers, terms])
