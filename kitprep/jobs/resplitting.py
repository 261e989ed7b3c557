"""A page is split again with a hint; ids stay, and what was corrected by hand is kept."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from kitprep.errors import BadOption, CannotCombine, OriginalChanged, OutsidePage
from kitprep.files.shelf import PageRef, Shelf, shelf_folder
from kitprep.jobs.findings import Finding
from kitprep.jobs.importing import WORKING_PPI, split_findings
from kitprep.jobs.mending import Mended
from kitprep.lengths import ZERO, Length
from kitprep.pages import Page, Raster

if TYPE_CHECKING:
    from kitprep.files.kit import Look
    from kitprep.split import Split, SplitHints

TAKEN_OVER = 0.03  # in; a colour is the middle one of a square this wide, so that no speck is taken for it


@dataclass(frozen=True, slots=True)
class PagePlace:
    """A place on a page as a person measures it: from its left and its top edge."""

    left: Length
    top: Length


@dataclass(frozen=True, slots=True)
class PageHints:
    """What a person knows of a page that the split did not see.

    Parameters
    ----------
    gap : Length or None
        Whatever lies nearer than this is one thing, and nothing else is.
    background : tuple of int, PagePlace or None
        The background's colour, sRGB 0 to 255, or a place where it is seen.
    whole : bool
        The page is one paper.
    rows, columns : int or None
        It is a grid of exactly so many elements; one of the two alone means one of the other.
    """

    gap: Length | None = None
    background: tuple[int, int, int] | PagePlace | None = None
    whole: bool = False
    rows: int | None = None
    columns: int | None = None

    @property
    def says_what_is_there(self) -> bool:
        """Whether a person said what the elements are, so that nothing is left for the split to find."""
        return self.whole or self.rows is not None or self.columns is not None


@dataclass(frozen=True, slots=True)
class Resplit:
    """What splitting a page again changed.

    Parameters
    ----------
    change : Mended
        What came, went and has a new edge.
    by_hand : int
        How many elements that a person made or corrected stay as they were.
    held_back : int
        How many that were found gave way to a correction by hand.
    findings : tuple of Finding
        About the page as a whole.
    """

    change: Mended
    by_hand: int
    held_back: int
    findings: tuple[Finding, ...] = ()


def split_again(
    page: str,
    hints: PageHints = PageHints(),
    *,
    explain: Path | None = None,
    overwrite: bool = False,
    shelf: Path | None = None,
) -> Resplit:
    """Split a page again, from its original, in a way that `undo` takes back.

    An element that is the same thing as one before keeps its number and words, also if it was off the list in
    between; no other thing ever gets that number. What a person made, joined, divided or described stays as
    it is, and what is the same or lies in it is not found beside it. What a person dropped stays off the
    list, unless a grid or the whole page is asked for, which come complete.

    Parameters
    ----------
    page : str
        Id of the page.
    hints : PageHints
        What a person knows of it.
    explain : Path or None
        A PNG to draw the stages of the split on, side by side.
    overwrite : bool
        Whether a file of that name may be replaced.
    shelf : Path or None
        The shelf's folder; None for the usual one.

    Raises
    ------
    NotFound
        If there is no such page.
    BadOption, CannotCombine, OutsidePage, TooFineGrid
        If a hint cannot be, alone or with the others; nothing is changed then.
    OriginalChanged, DamagedPicture
        If the page's original is gone, altered or damaged.
    OutputExists, CannotWrite
        If the picture's file exists and may not be replaced, or cannot be written.
    """
    from kitprep.split import split_page

    here = Shelf(shelf_folder(shelf))
    ref = here.find_page(page)
    check_hints(hints, ref.page)
    if explain is not None:
        _refuse_explained(explain, overwrite)
    look = _looked_at(here, ref)
    seen = _hints_for(hints, ref, look.raster)
    if explain is None:
        split = split_page(look.raster, ref.page.ppi, seen, look.known_boxes)
        return _keep(here, ref, split, said=hints.says_what_is_there)
    from kitprep.files.pictures.explained import write_explained
    from kitprep.split.explaining import explained_split

    split, explained = explained_split(look.raster, ref.page.ppi, seen, look.known_boxes)
    done = _keep(here, ref, split, said=hints.says_what_is_there)
    write_explained(explained, done.change.page, title=ref.id, path=explain, overwrite=overwrite)
    return done


def make_whole(shelf: Shelf, ref: PageRef, raster: Raster) -> Resplit:
    """Make a page one paper, as `split_again` does where the whole page is asked for."""
    from kitprep.split import SplitHints, split_page

    return _keep(shelf, ref, split_page(raster, ref.page.ppi, SplitHints(whole=True)), said=True)


def check_hints(hints: PageHints, page: Page) -> None:
    """Refuse hints that cannot be or do not go together."""
    for option, count in (("--rows", hints.rows), ("--columns", hints.columns)):
        if count is not None and count < 1:
            raise BadOption(option, str(count), "a whole number from 1")
    if hints.gap is not None and hints.gap < ZERO:
        raise BadOption("--gap", hints.gap.text(), "a length of zero or more")
    grid = hints.rows is not None or hints.columns is not None
    if hints.whole and (grid or hints.gap is not None or hints.background is not None):
        raise CannotCombine("a page that is one paper has no gap, background or grid", "give --whole alone")
    if grid and hints.gap is not None:
        raise CannotCombine("a grid says already what is one thing", "leave --gap out")
    if hints.background is not None and page.has_alpha:
        raise CannotCombine(
            f"the background of {page.name} is what is transparent of it", "leave --background out"
        )


def _keep(shelf: Shelf, ref: PageRef, split: Split, *, said: bool) -> Resplit:
    from kitprep.split import settle

    before: list[Page] = []
    held: list[int] = []

    def change(page: Page) -> Page:
        again = settle(page, split.elements, said=said)
        before.append(page)
        held.append(len(again.held_back))
        return dataclasses.replace(page, elements=again.elements, gone=again.gone)

    page = shelf.correct_page(ref.kit.slug, ref.page.number, change)
    by_hand = sum(element.by_hand for element in page.elements)
    change_made = Mended.between(ref.id, before[0], page)
    return Resplit(change_made, by_hand, held[0], tuple(split_findings(split, ref.id)))


def _looked_at(shelf: Shelf, ref: PageRef) -> Look:
    """The page as an import sees it: reduced while decoding, with the boxes that a PDF knows."""
    from kitprep.files.kit import Original, PageOptions, find_pages

    page = ref.page
    path = shelf.verified_original(ref.kit, page.file)
    bought = next(original for original in ref.kit.originals if original.file == page.file)
    original = Original(page.file, path, bought.sha256, bought.length)
    # The resolution decides how far a page is reduced, and it may be one that a person gave.
    options = PageOptions(ppi=min(page.ppi.x, page.ppi.y), password=ref.kit.password or None)
    found = find_pages([original], options)
    source = next((source for source in found.pages if source.frame == page.frame), None)
    if source is None:
        raise found.problems[0] if found.problems else OriginalChanged(ref.kit.slug, page.file)
    look = source.look(page.number, WORKING_PPI)
    if look.page.size_px != page.size_px:
        raise OriginalChanged(ref.kit.slug, page.file)
    return look


def _hints_for(hints: PageHints, ref: PageRef, raster: Raster) -> SplitHints:
    from kitprep.split import SplitHints

    background = hints.background
    if isinstance(background, PagePlace):
        background = _colour_at(background, ref, raster)
    return SplitHints(hints.gap, background, hints.whole, hints.rows, hints.columns)


def _colour_at(place: PagePlace, ref: PageRef, raster: Raster) -> tuple[int, int, int]:
    import numpy as np

    page, (across, down) = ref.page, raster.scale
    x, y = place.left.pixels(page.ppi.x), place.top.pixels(page.ppi.y)
    if not (0 <= x < page.size_px[0] and 0 <= y < page.size_px[1]):
        asked = f"the place {place.left.text()}, {place.top.text()}"
        raise OutsidePage(asked, f"page {ref.id}", f"its {page.size.text()}")
    half = max(1, round(TAKEN_OVER / 2 * page.ppi.x / across))
    column, row = int(x / across), int(y / down)
    there = raster.pixels[max(0, row - half) : row + half + 1, max(0, column - half) : column + half + 1, :3]
    red, green, blue = np.median(there.reshape(-1, 3), axis=0).round().astype(int).tolist()
    return red, green, blue


def _refuse_explained(path: Path, overwrite: bool) -> None:
    from kitprep.jobs.finding import refuse_picture

    refuse_picture(path, overwrite=overwrite, option="--explain", endings=(".png",))
