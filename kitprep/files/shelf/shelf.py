"""The shelf: kits on disk, found by id, corrected by hand and taken back."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from kitprep.errors import NoSuchKit, NoSuchPage, NothingToUndo, OriginalChanged, ShelfProblem
from kitprep.files.replace import cannot_write, write_bytes
from kitprep.files.shelf import arriving, history, ids
from kitprep.files.shelf.catalogue import Catalogue, ElementSummary, KitSummary
from kitprep.files.shelf.kitfile import kit_text, parse_kit, read_kit, with_page_replaced
from kitprep.files.shelf.lock import write_lock
from kitprep.files.shelf.printers import Printers
from kitprep.files.tomltext import TomlFault
from kitprep.pages import Element, Kind, Kit, Original, Page


@dataclass(frozen=True, slots=True)
class PageRef:
    """A page with its kit."""

    kit: Kit
    page: Page

    @property
    def id(self) -> str:
        """In full: ``lantern-orchard/p02``."""
        return f"{self.kit.slug}/{self.page.name}"


@dataclass(frozen=True, slots=True)
class ElementRef:
    """An element with its page and kit."""

    kit: Kit
    page: Page
    element: Element

    @property
    def id(self) -> str:
        """In full: ``lantern-orchard/p02-07``."""
        return f"{self.kit.slug}/{self.page.name}-{self.element.number:02d}"


@dataclass(frozen=True, slots=True)
class Added:
    """What came of adding a kit.

    Parameters
    ----------
    kit : Kit
        As it stands on the shelf.
    was_there : bool
        Whether the same bytes were on the shelf already; the kit is then unchanged.
    """

    kit: Kit
    was_there: bool


@dataclass(frozen=True, slots=True)
class Undone:
    """A correction that was taken back: the kit, and the page as it is again."""

    kit: Kit
    page: Page


class Shelf:
    """A folder of kits. It is made when something is first put on it.

    Reading needs no lock: every file appears whole. Writing waits a few seconds for another kitprep,
    then raises `ShelfBusy`. A kit whose `kit.toml` is damaged raises `ShelfDamaged` when it is asked
    for and leaves all others usable.

    Parameters
    ----------
    folder : Path
        Where it is; see `shelf_folder`.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.printers = Printers(folder)
        self._catalogue = Catalogue(folder)
        self._read: dict[str, tuple[tuple[int, int, int], Kit]] = {}
        self._verified: dict[Path, tuple[int, int]] = {}

    # ------------------------------------------------------------ what there is

    def kits(self) -> tuple[KitSummary, ...]:
        """Every sound kit, newest first."""
        return self._catalogue.kits()

    def problems(self) -> dict[str, str]:
        """What is wrong with each kit that cannot be read, by slug."""
        return self._catalogue.problems()

    def kit(self, slug: str) -> Kit:
        """One kit, whole.

        Raises
        ------
        NoSuchKit
            If there is none of that name.
        ShelfDamaged, ShelfTooNew
            If its `kit.toml` cannot be read.
        """
        slug = slug.strip().lower()
        folder = self._kit_folder(slug)
        if not slug or "/" in slug or "\\" in slug or slug.startswith(".") or not folder.is_dir():
            raise NoSuchKit(slug, [kit.slug for kit in self.kits()])
        path = folder / "kit.toml"
        stamp = _stamp(path)
        if slug not in self._read or self._read[slug][0] != stamp:
            self._read[slug] = (stamp, read_kit(path, slug))
        return self._read[slug][1]

    def same_kit(self, originals: Sequence[Original]) -> Kit | None:
        """The kit on the shelf that was made from the very same bytes, if any."""
        slug = self._catalogue.kit_of(arriving.identity(tuple(originals)))
        return None if slug is None else self.kit(slug)

    # ----------------------------------------------------------------- finding

    def find(self, text: str) -> ElementRef:
        """The element of an id, or of a tail of it that only one element has.

        Raises
        ------
        NoSuchKit, NoSuchPage, NoSuchElement
            If there is none; the last with the nearest ids.
        AmbiguousId
            If several end so.
        ShelfDamaged, ShelfTooNew
            If its kit cannot be read.
        """
        self._refuse_damaged(text)
        catalogue = self._catalogue
        slugs = [kit.slug for kit in catalogue.kits()]
        full = ids.resolve_element(text, slugs, catalogue.page_ids(), catalogue.element_ids())
        slug, _, place = full.partition("/")
        page_name, _, number = place.partition("-")
        kit = self.kit(slug)
        page = next(page for page in kit.pages if page.name == page_name)
        return ElementRef(kit, page, next(e for e in page.elements if e.number == int(number)))

    def find_page(self, text: str) -> PageRef:
        """The page of an id such as ``lantern-orchard/p02``, or of a tail; errors as `find`."""
        self._refuse_damaged(text)
        catalogue = self._catalogue
        full = ids.resolve_page(text, [kit.slug for kit in catalogue.kits()], catalogue.page_ids())
        slug, _, name = full.partition("/")
        kit = self.kit(slug)
        return PageRef(kit, next(page for page in kit.pages if page.name == name))

    def search(
        self, words: Sequence[str] = (), *, kind: Kind | None = None, kit: str | None = None
    ) -> tuple[ElementSummary, ...]:
        """The elements that have every word in their words, kind, maker or kit's name, newest kit first.

        Parameters
        ----------
        words : sequence of str
            Parts of words, upper and lower case alike; none for all elements.
        kind : Kind or None
            Only of this kind.
        kit : str or None
            Only of this kit.

        Raises
        ------
        NoSuchKit
            If there is no such kit.
        """
        return self._catalogue.elements(words, kind, None if kit is None else self.kit(kit).slug)

    # ------------------------------------------------------------------- files

    def original_path(self, kit: Kit, file: str) -> Path:
        """Where an original is, after a look at its length only: quick, for looking and listing.

        Raises
        ------
        OriginalChanged
            If it is gone or of another length than what was imported.
        """
        path = self._kit_folder(kit.slug) / "originals" / file
        known = _original(kit, file)
        if not path.is_file():
            raise OriginalChanged(kit.slug, file, "is gone from the shelf")
        if path.stat().st_size != known.length:
            raise OriginalChanged(kit.slug, file)
        return path

    def verified_original(self, kit: Kit, file: str) -> Path:
        """Where an original is, after comparing its SHA-256: for everything that is written or printed.

        A file is read once for this in the life of the object, unless its date or length changes.

        Raises
        ------
        OriginalChanged
            If it is gone or not byte for byte what was imported.
        """
        path = self.original_path(kit, file)
        facts = path.stat()
        stamp = (facts.st_mtime_ns, facts.st_size)
        if self._verified.get(path) != stamp:
            if arriving.digest_of(path) != _original(kit, file).sha256:
                raise OriginalChanged(kit.slug, file)
            self._verified[path] = stamp
        return path

    def cache_folder(self, slug: str) -> Path:
        """The folder of a kit's thumbnails and reduced pages; made if missing, may be deleted at any time.

        Raises
        ------
        CannotWrite
            If it is missing and cannot be made.
        """
        folder = self._kit_folder(slug) / "cache"
        try:
            folder.mkdir(exist_ok=True)
        except OSError as error:
            raise cannot_write(folder, error) from error
        return folder

    # --------------------------------------------------------------- arriving

    def staging(self) -> AbstractContextManager[Path]:
        """An empty folder to gather a kit in, for `add`; removed with all in it when the block ends.

        Put the bought files into ``originals/`` and anything for later into ``cache/``.

        Raises
        ------
        CannotWrite, ShelfBusy
            If the shelf cannot be written to or is in use.
        """
        return arriving.arriving(self.folder)

    def add(self, kit: Kit, staged: Path) -> Added:
        """Put a kit on the shelf, whole or not at all.

        Parameters
        ----------
        kit : Kit
            `slug`, `imported` and `originals` are filled in here where they are empty; originals that are
            given were hashed when they were written to the folder.
        staged : Path
            A folder from `staging` with the kit's files; it becomes the kit's own.

        Returns
        -------
        Added
            The kit with all that was filled in, a number after its slug where another kit has that; or the
            older one unchanged where the same bytes are there already.

        Raises
        ------
        CannotWrite, ShelfBusy
            If the shelf cannot be written to or is in use; it is then as it was.
        """
        originals = kit.originals or arriving.describe_originals(staged / "originals")
        with write_lock(self.folder):
            there = self.same_kit(originals)
            if there is not None:
                return Added(there, was_there=True)
            slug = arriving.free_slug(
                arriving.slug_for(kit.slug or kit.name), lambda name: self._kit_folder(name).exists()
            )
            moment = kit.imported or datetime.now(UTC).isoformat(timespec="milliseconds")
            pages = tuple(replace(page, numbers_used=page.next_number - 1) for page in kit.pages)
            kit = replace(kit, slug=slug, imported=moment, originals=originals, pages=pages)
            write_bytes(staged / "kit.toml", kit_text(kit).encode("utf-8"), overwrite=True)
            arriving.settle(staged, self._kit_folder(slug))
        return Added(kit, was_there=False)

    def restore_originals(self, kit: Kit, folder: Path) -> tuple[str, ...]:
        """Put back originals that are gone or altered, from the same bytes in another folder.

        Parameters
        ----------
        kit : Kit
            Whose originals.
        folder : Path
            Holds the bought files again, under whatever names.

        Returns
        -------
        tuple of str
            The originals that were put back.

        Raises
        ------
        CannotWrite, ShelfBusy
            If the shelf cannot be written to or is in use.
        """
        again = {original.sha256: folder / original.file for original in arriving.describe_originals(folder)}
        restored = []
        with write_lock(self.folder):
            for original in kit.originals:
                try:
                    self.verified_original(kit, original.file)
                except OriginalChanged:
                    if original.sha256 in again:
                        place = self._kit_folder(kit.slug) / "originals" / original.file
                        arriving.put_back(again[original.sha256], place)
                        restored.append(original.file)
        return tuple(restored)

    # -------------------------------------------------------------- correcting

    def change_facts(self, kit: Kit) -> Kit:
        """Keep another name, maker, terms, password, page resolutions or further pages; elements stay.

        Parameters
        ----------
        kit : Kit
            As `kit` gave it, with other facts. Its file is written anew, comments in it are lost.

        Raises
        ------
        NoSuchKit, CannotWrite, ShelfBusy
            If it is not there, or the shelf cannot be written to or is in use.
        """
        with write_lock(self.folder):
            now = {page.number: page for page in self.kit(kit.slug).pages}
            pages = tuple(replace(now.get(page.number, page), ppi=page.ppi) for page in kit.pages)
            content = _sound(kit_text(replace(kit, pages=pages)), kit.slug)
            write_bytes(self._kit_folder(kit.slug) / "kit.toml", content, overwrite=True)
        return self.kit(kit.slug)

    def replace_elements(self, slug: str, page_number: int, elements: Sequence[Element]) -> Page:
        """Give a page other elements, in a way that `undo` takes back.

        Parameters
        ----------
        slug : str
            The kit.
        page_number : int
            The page.
        elements : sequence of Element
            All elements that the page is to have; a new one takes `Page.next_number`. Each needs its own
            number, a box of some area and three points or more, else it is a `ValueError`.

        Returns
        -------
        Page
            As it stands on the shelf.

        Raises
        ------
        NoSuchKit, NoSuchPage
            If there is no such kit or page.
        CannotWrite, ShelfBusy, ShelfDamaged
            If the shelf cannot be written to, is in use, or the kit cannot be read.
        """
        return self.correct_page(slug, page_number, lambda page: replace(page, elements=tuple(elements)))

    def correct_page(self, slug: str, page_number: int, change: Callable[[Page], Page]) -> Page:
        """Make of a page what `change` makes of it, with no other writer in between.

        Parameters and errors as `replace_elements`; what `change` raises passes through, and the page
        stays as it was. Where it changes nothing, nothing is written and nothing can be taken back.
        """
        with write_lock(self.folder):
            page = self._page(slug, page_number)
            new = replace(change(page), numbers_used=page.next_number - 1)
            if new != replace(page, numbers_used=page.next_number - 1):
                self._correct(slug, new, keep=page)
        return self._page(slug, page_number)

    def undo(self, slug: str | None = None) -> Undone:
        """Take back the last correction of a kit, or of any kit.

        Raises
        ------
        NoSuchKit
            If there is no such kit.
        NothingToUndo
            If none is recorded.
        CannotWrite, ShelfBusy, ShelfDamaged
            If the shelf cannot be written to, is in use, or the kit cannot be read.
        """
        slugs = [summary.slug for summary in self.kits()] if slug is None else [self.kit(slug).slug]
        with write_lock(self.folder):
            made = [(path, name) for name in slugs for path in history.entries(self._kit_folder(name))]
            if not made:
                raise NothingToUndo("any kit" if slug is None else f"kit {slug}")
            path, name = max(made, key=lambda entry: entry[0].name)
            before = history.read_entry(path)
            used = self._page(name, before.number).next_number - 1
            self._correct(name, replace(before, numbers_used=used), keep=None)
            path.unlink()
        return Undone(self.kit(name), self._page(name, before.number))

    def _correct(self, slug: str, page: Page, keep: Page | None) -> None:
        folder = self._kit_folder(slug)
        path = folder / "kit.toml"
        index = [other.number for other in self.kit(slug).pages].index(page.number)
        content = _sound(with_page_replaced(path.read_text("utf-8"), index, page), slug)
        kept = None
        try:
            kept = None if keep is None else history.record(folder, keep)
            write_bytes(path, content, overwrite=True)
        except BaseException as error:
            if kept is not None:
                kept.unlink()  # a correction that was not made cannot be taken back
            if isinstance(error, OSError):
                raise cannot_write(path, error) from error
            raise

    # ---------------------------------------------------------------- inside

    def _kit_folder(self, slug: str) -> Path:
        return self.folder / "kits" / slug

    def _page(self, slug: str, number: int) -> Page:
        kit = self.kit(slug)
        for page in kit.pages:
            if page.number == number:
                return page
        raise NoSuchPage(f"p{number:02d}", kit.slug, [page.name for page in kit.pages])

    def _refuse_damaged(self, text: str) -> None:
        slug = text.strip().lower().partition("/")[0] if "/" in text else ""
        if slug in self._catalogue.problems():
            try:
                self.kit(slug)
            except ShelfProblem:
                self._read.pop(slug, None)
                raise


def _sound(text: str, slug: str) -> bytes:
    try:
        parse_kit(text, slug, "kit.toml")
    except TomlFault as fault:  # the caller's fault, never the user's: nothing unreadable is written
        raise ValueError(f"line {fault.line} of kit {slug}: {fault.what}") from fault
    return text.encode("utf-8")


def _original(kit: Kit, file: str) -> Original:
    for original in kit.originals:
        if original.file == file:
            return original
    raise OriginalChanged(kit.slug, file, "is not among its originals")


def _stamp(path: Path) -> tuple[int, int, int]:
    if not path.exists():
        return (0, 0, 0)
    facts = path.stat()
    return (facts.st_ino, facts.st_mtime_ns, facts.st_size)
