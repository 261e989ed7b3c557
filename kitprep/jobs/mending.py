"""Correcting a split by hand: crop, join, divide, drop, describe, and taking it back."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from kitprep.errors import CannotCombine, NoSuchElement, OutsidePage
from kitprep.files.shelf import ElementRef, PageRef, Shelf, shelf_folder
from kitprep.lengths import Length
from kitprep.pages import Element, Gone, Kind, Page, PagePpi, PixelBox, Raster


@dataclass(frozen=True, slots=True)
class Mended:
    """What a correction changed.

    Parameters
    ----------
    page_id : str
        The page, in full.
    page : Page
        As it is now.
    added, removed : tuple of Element
        What came and what went; one that was described or has a new edge is in both.
    before : Page
        As it was.
    """

    page_id: str
    page: Page
    added: tuple[Element, ...]
    removed: tuple[Element, ...]
    before: Page

    @classmethod
    def between(cls, page_id: str, before: Page, page: Page) -> Mended:
        """What makes one state of a page the other."""
        old, new = set(before.elements), set(page.elements)
        return cls(page_id, page, _ordered(new - old), _ordered(old - new), before)

    @property
    def came(self) -> tuple[Element, ...]:
        """What has a number that was not there."""
        gone = {element.number for element in self.removed}
        return tuple(element for element in self.added if element.number not in gone)

    @property
    def went(self) -> tuple[Element, ...]:
        """What has a number that is not there any more."""
        there = {element.number for element in self.added}
        return tuple(element for element in self.removed if element.number not in there)

    @property
    def altered(self) -> tuple[Element, ...]:
        """What kept its number and is otherwise than it was."""
        gone = {element.number for element in self.removed}
        return tuple(element for element in self.added if element.number in gone)

    def id_of(self, element: Element) -> str:
        """An element's id in full."""
        return f"{self.page_id}-{element.number:02d}"


@dataclass(frozen=True, slots=True)
class LengthBox:
    """A box on a page as a person measures it: from its left and top edge, width and height."""

    left: Length
    top: Length
    width: Length
    height: Length


def crop_element(
    page: str, box: PixelBox | LengthBox, *, snap: bool = True, shelf: Path | None = None
) -> Mended:
    """Take an element by hand.

    Parameters
    ----------
    page : str
        Id of the page.
    box : PixelBox or LengthBox
        Where it is.
    snap : bool
        Whether its sides go to the nearest true edge within 0.05 in, seen at full scale.
    shelf : Path or None
        The shelf's folder; None for the usual one.

    Raises
    ------
    NotFound
        If there is no such page.
    OutsidePage
        If the box does not lie on it, or has no area.
    OriginalChanged, DamagedPicture
        If the page's original is gone, altered or damaged.
    """
    from kitprep.jobs.pixels import PageReader, reduced_page
    from kitprep.split import element_from_box

    here = Shelf(shelf_folder(shelf))
    ref = here.find_page(page)
    pixels = box if isinstance(box, PixelBox) else _in_pixels(box, ref.page.ppi)
    if pixels.width < 1 or pixels.height < 1 or not ref.page.box.contains(pixels):
        raise OutsidePage(_box_text(pixels), f"page {ref.id}", _page_limits(ref.page))
    if snap:
        raster = Raster(PageReader(here).read(ref.kit, ref.page, ref.page.box), ref.page.size_px)
    else:
        raster = reduced_page(here, ref.kit, ref.page)
    element = element_from_box(raster, ref.page.ppi, pixels, ref.page.next_number, snap=snap)
    return _change(here, ref, added=[element], removed=[])


def join_elements(ids: Sequence[str], *, shelf: Path | None = None) -> Mended:
    """Make several elements of one page one.

    Raises
    ------
    NotFound
        If there is no such element.
    CannotCombine
        If there are fewer than two, or they lie on different pages.
    """
    from kitprep.split import join

    here = Shelf(shelf_folder(shelf))
    refs = list({ref.id: ref for ref in map(here.find, ids)}.values())
    if len(refs) < 2:
        raise CannotCombine("one element alone cannot be joined", "name two or more of one page")
    pages = {(ref.kit.slug, ref.page.number) for ref in refs}
    if len(pages) > 1:
        raise CannotCombine(
            f"{', '.join(ref.id for ref in refs)} lie on {len(pages)} pages", "join elements of one page only"
        )
    page = PageRef(refs[0].kit, refs[0].page)
    whole = join([ref.element for ref in refs], page.page.next_number, page.page.ppi)
    return _change(here, page, added=[whole], removed=[ref.element for ref in refs])


def divide_element(
    element: str,
    *,
    at: Length | None = None,
    at_row: Length | None = None,
    shelf: Path | None = None,
) -> Mended:
    """Make one element two, by an upright or a level line.

    Parameters
    ----------
    element : str
        Its id.
    at : Length or None
        Distance of an upright line from the element's left edge.
    at_row : Length or None
        Distance of a level line from its top edge. Exactly one of the two is given.
    shelf : Path or None
        The shelf's folder; None for the usual one.

    Raises
    ------
    NotFound
        If there is no such element.
    CannotCombine
        If not exactly one line is given.
    OutsidePage
        If the line does not cross the element.
    """
    from kitprep.split import Along, divide

    here = Shelf(shelf_folder(shelf))
    ref = here.find(element)
    page, ppi, box = ref.page, ref.page.ppi, ref.element.box
    if (at is None) == (at_row is None):
        raise CannotCombine("a division needs one line", "give either --at or --at-row")
    numbers = (page.next_number, page.next_number + 1)
    across, down = ref.element.straight_size_px
    if at is not None:
        _check_crosses(ref, at, at.pixels(ppi.x), across, ref.element.size(ppi).width)
        parts = divide(ref.element, round(box.left + at.pixels(ppi.x)), Along.X, numbers)
    else:
        assert at_row is not None
        _check_crosses(ref, at_row, at_row.pixels(ppi.y), down, ref.element.size(ppi).height)
        parts = divide(ref.element, round(box.top + at_row.pixels(ppi.y)), Along.Y, numbers)
    return _change(here, PageRef(ref.kit, page), added=list(parts), removed=[ref.element])


def drop_elements(ids: Sequence[str], *, shelf: Path | None = None) -> tuple[Mended, ...]:
    """Take elements off their pages' lists; the pages themselves stay as they are.

    It is kept in mind that they were dropped: splitting a page again does not bring them back.

    Raises
    ------
    NotFound
        If one of them is not there; then none is dropped.
    """
    here = Shelf(shelf_folder(shelf))
    pages: dict[str, tuple[PageRef, list[Element]]] = {}
    for ref in {ref.id: ref for ref in map(here.find, ids)}.values():
        page = PageRef(ref.kit, ref.page)
        pages.setdefault(page.id, (page, []))[1].append(ref.element)
    return tuple(_change(here, page, [], elements, dropped=True) for page, elements in pages.values())


def describe_element(
    element: str, *, kind: Kind | None = None, words: Sequence[str] | None = None, shelf: Path | None = None
) -> Mended:
    """Say what an element is.

    Parameters
    ----------
    element : str
        Its id.
    kind : Kind or None
        What it is; None to leave that as it is.
    words : sequence of str or None
        Words to find it by, in place of those it has; None to leave them.
    shelf : Path or None
        The shelf's folder; None for the usual one.

    Raises
    ------
    NotFound
        If there is no such element.
    CannotCombine
        If neither a kind nor words are given.
    """
    here = Shelf(shelf_folder(shelf))
    ref = here.find(element)
    if kind is None and words is None:
        raise CannotCombine(f"nothing is said of {ref.id}", "give --kind or --words")
    new = dataclasses.replace(
        ref.element,
        kind=ref.element.kind if kind is None else kind,
        words=ref.element.words if words is None else tuple(word.strip() for word in words if word.strip()),
        by_hand=True,
    )
    return _change(here, PageRef(ref.kit, ref.page), added=[new], removed=[ref.element])


def undo(kit: str | None = None, *, shelf: Path | None = None) -> Mended:
    """Take back the last correction of a kit, or of any kit.

    Raises
    ------
    NoSuchKit
        If there is no such kit.
    NothingToUndo
        If none is recorded.
    """
    here = Shelf(shelf_folder(shelf))
    before = {f"{k.slug}/{page.name}": page for k in map(here.kit, _slugs(here, kit)) for page in k.pages}
    undone = here.undo(kit)
    page_id = f"{undone.kit.slug}/{undone.page.name}"
    return Mended.between(page_id, before[page_id], undone.page)


def _slugs(shelf: Shelf, kit: str | None) -> list[str]:
    return [summary.slug for summary in shelf.kits()] if kit is None else [kit]


def _change(
    shelf: Shelf, ref: PageRef, added: list[Element], removed: list[Element], *, dropped: bool = False
) -> Mended:
    """Correct the page as it is at the moment of writing, which another kitprep may have corrected too."""
    gone = {element.number for element in removed}
    numbered: list[Element] = []
    before: list[Page] = []

    def change(page: Page) -> Page:
        if missing := gone - {element.number for element in page.elements}:
            raise NoSuchElement(f"{ref.id}-{min(missing):02d}")
        before.append(page)
        number = page.next_number
        for element in added:
            if element.number in gone:
                numbered.append(element)
            else:
                numbered.append(dataclasses.replace(element, number=number))
                number += 1
        kept = [element for element in page.elements if element.number not in gone]
        there = {element.number for element in numbered}
        left = [
            Gone(element.number, element.outline, dropped)
            for element in removed
            if element.number not in there
        ]
        return dataclasses.replace(page, elements=_ordered([*kept, *numbered]), gone=(*page.gone, *left))

    page = shelf.correct_page(ref.kit.slug, ref.page.number, change)
    return Mended(ref.id, page, tuple(numbered), tuple(removed), before[0])


def _ordered(elements: set[Element] | list[Element]) -> tuple[Element, ...]:
    return tuple(sorted(elements, key=lambda element: element.number))


def _in_pixels(box: LengthBox, ppi: PagePpi) -> PixelBox:
    left, top = box.left.pixels(ppi.x), box.top.pixels(ppi.y)
    right, bottom = left + box.width.pixels(ppi.x), top + box.height.pixels(ppi.y)
    return PixelBox(round(left), round(top), round(right), round(bottom))


def _box_text(box: PixelBox) -> str:
    return f"the box {box.left},{box.top},{box.width},{box.height} px"


def _page_limits(page: Page) -> str:
    return f"its {page.size_px[0]} x {page.size_px[1]} px ({page.size.text()})"


def _check_crosses(ref: ElementRef, asked: Length, place: float, side_px: float, side: Length) -> None:
    if not 1 <= place <= side_px - 1:
        raise OutsidePage(f"a line at {asked.text()}", f"element {ref.id}", f"its {side.text()}")
