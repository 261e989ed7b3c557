"""Correcting a split by hand: crop, join, divide, drop, describe, and taking it back."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from kitprep.errors import CannotCombine, NoSuchElement, OutsidePage
from kitprep.files.shelf import ElementRef, PageRef, Shelf, shelf_folder
from kitprep.lengths import Length
from kitprep.pages import Element, Kind, Page, PagePpi, PixelBox


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
        What came and what went; a described element is in both.
    """

    page_id: str
    page: Page
    added: tuple[Element, ...]
    removed: tuple[Element, ...]

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
        Whether its sides go to the nearest true edge within 0.05 in.
    shelf : Path or None
        The shelf's folder; None for the usual one.

    Raises
    ------
    NotFound
        If there is no such page.
    OutsidePage
        If the box does not lie on it, or has no area.
    """
    from kitprep.jobs.pixels import reduced_page
    from kitprep.split import element_from_box

    here = Shelf(shelf_folder(shelf))
    ref = here.find_page(page)
    pixels = box if isinstance(box, PixelBox) else _in_pixels(box, ref.page.ppi)
    if pixels.width < 1 or pixels.height < 1 or not ref.page.box.contains(pixels):
        raise OutsidePage(_box_text(pixels), f"page {ref.id}", _page_limits(ref.page))
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
    whole = join([ref.element for ref in refs], page.page.next_number)
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
    first = page.next_number
    if at is not None:
        x = box.left + at.pixels(ppi.x)
        _check_crosses(ref, at, x, (box.left, box.right), ref.element.size(ppi).width)
        parts = divide(ref.element, round(x), Along.X, (first, first + 1))
    else:
        assert at_row is not None
        y = box.top + at_row.pixels(ppi.y)
        _check_crosses(ref, at_row, y, (box.top, box.bottom), ref.element.size(ppi).height)
        parts = divide(ref.element, round(y), Along.Y, (first, first + 1))
    return _change(here, PageRef(ref.kit, page), added=list(parts), removed=[ref.element])


def drop_elements(ids: Sequence[str], *, shelf: Path | None = None) -> tuple[Mended, ...]:
    """Take elements off their pages' lists; the pages themselves stay as they are.

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
    return tuple(_change(here, page, added=[], removed=elements) for page, elements in pages.values())


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
    old, new = set(before[page_id].elements), set(undone.page.elements)
    return Mended(page_id, undone.page, _ordered(new - old), _ordered(old - new))


def _slugs(shelf: Shelf, kit: str | None) -> list[str]:
    return [summary.slug for summary in shelf.kits()] if kit is None else [kit]


def _change(shelf: Shelf, ref: PageRef, added: list[Element], removed: list[Element]) -> Mended:
    """Correct the page as it is at the moment of writing, which another kitprep may have corrected too."""
    gone = {element.number for element in removed}
    numbered: list[Element] = []

    def change(page: Page) -> tuple[Element, ...]:
        if missing := gone - {element.number for element in page.elements}:
            raise NoSuchElement(f"{ref.id}-{min(missing):02d}")
        number = page.next_number
        for element in added:
            if element.number in gone:
                numbered.append(element)
            else:
                numbered.append(dataclasses.replace(element, number=number))
                number += 1
        kept = [element for element in page.elements if element.number not in gone]
        return _ordered([*kept, *numbered])

    page = shelf.correct_page(ref.kit.slug, ref.page.number, change)
    return Mended(ref.id, page, tuple(numbered), tuple(removed))


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


def _check_crosses(
    ref: ElementRef, asked: Length, place: float, sides: tuple[int, int], side: Length
) -> None:
    if not sides[0] + 1 <= place <= sides[1] - 1:
        raise OutsidePage(f"a line at {asked.text()}", f"element {ref.id}", f"its {side.text()}")
