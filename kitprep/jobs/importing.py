"""A bought kit comes onto the shelf: unpacked, read, split, kept whole or not at all."""

from __future__ import annotations

import dataclasses
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from kitprep.errors import LockedFile, NoPages, UnusableFile
from kitprep.jobs.findings import (
    AssumedColours,
    AssumedPpi,
    BadPage,
    Finding,
    NothingFound,
    PageNoted,
    Reproduction,
    TermsNotRecorded,
    TextureTaken,
)
from kitprep.jobs.progress import SILENT, Progress
from kitprep.lengths import Size
from kitprep.pages import Kind, Kit, Original, Page, PpiSource

if TYPE_CHECKING:
    from kitprep.files.kit import FoundPages, PageSource, Unpacked
    from kitprep.files.kit import Original as Bought
    from kitprep.files.shelf import Shelf
    from kitprep.split import Split

WORKING_PPI = 150.0
"""Pages are looked at reduced to this: half of the usual 300, which a JPEG decoder gives for less."""

SWITCH_SECONDS = 0.001
"""How long a thread may keep the interpreter from another; measured, a fifth of the usual saves 3 %."""


@dataclass(frozen=True, slots=True)
class ImportOptions:
    """What a person may say of a kit when importing it.

    Parameters
    ----------
    name, maker : str
        For people; empty to take the name from the file and to record no maker.
    terms : str
        The terms of use; empty to look for them in the kit.
    page_size : Size or None
        What each page measures in print.
    ppi : float or None
        The resolution of each page.
    whole : bool
        Keep each page as one element.
    password : str or None
        For locked PDFs.
    """

    name: str = ""
    maker: str = ""
    terms: str = ""
    page_size: Size | None = None
    ppi: float | None = None
    whole: bool = False
    password: str | None = None


@dataclass(frozen=True, slots=True)
class ImportReport:
    """A kit on the shelf and what was found on the way.

    Parameters
    ----------
    kit : Kit
        As it lies on the shelf.
    known : bool
        Whether the same bytes had been imported before; its elements are then as they were.
    changed : tuple of str
        What was changed of a kit that was known, in words.
    findings : tuple of Finding
        About the kit and its pages.
    """

    kit: Kit
    known: bool
    findings: tuple[Finding, ...]
    changed: tuple[str, ...] = ()

    @property
    def bad_pages(self) -> tuple[BadPage, ...]:
        """The pages that were left out."""
        return tuple(finding for finding in self.findings if isinstance(finding, BadPage))


def _nobody_to_ask(_name: str) -> None:
    """There is nobody at the keyboard."""


def import_kit(
    sources: Sequence[Path],
    *,
    options: ImportOptions = ImportOptions(),
    shelf: Path | None = None,
    progress: Progress = SILENT,
    ask_password: Callable[[str], str | None] = _nobody_to_ask,
) -> ImportReport:
    """Bring a ZIP, a folder or picture and PDF files onto the shelf as one kit.

    Parameters
    ----------
    sources : sequence of Path
        What was bought.
    options : ImportOptions
        What a person says of it.
    shelf : Path or None
        The shelf's folder; None for the usual one.
    progress : Progress
        Told of each page.
    ask_password : callable
        Asked for the password of a locked PDF, by its name, where none was given; None gives up.

    Raises
    ------
    UnusableFile
        If there is no page in it, or it is not safe to unpack; the shelf stays as it was.
    ShelfProblem
        If the shelf is busy.
    """
    from kitprep.files.kit import unpack
    from kitprep.files.shelf import Shelf, shelf_folder

    here = Shelf(shelf_folder(shelf))
    with here.staging() as staged:
        (staged / "originals").mkdir()
        (staged / "cache").mkdir()
        unpacked = unpack(sources, staged / "originals")
        originals = tuple(_as_bought(original) for original in unpacked.originals)
        known = here.same_kit(originals)
        if known is not None:
            return _again(here, known, staged / "originals", unpacked, options)
        found, password = _find_pages(unpacked.originals, options, ask_password)
        if not found.pages:
            raise found.problems[0] if found.problems else NoPages(_named(sources))
        pages, findings = _read_pages(found.pages, staged / "cache", options.whole, progress)
        if not pages:
            raise next(finding.error for finding in findings if isinstance(finding, BadPage))
        kit = Kit(
            slug="",
            name=options.name or unpacked.name,
            maker=options.maker,
            terms=options.terms or unpacked.terms,
            pages=tuple(pages),
            source=_named(sources),
            password=password,
            terms_file="" if options.terms else unpacked.terms_file,
            originals=tuple(sorted(originals, key=lambda original: original.file)),
        )
        added = here.add(kit, staged)
    problems = [BadPage(_file_of(problem), problem) for problem in found.problems]
    findings = _of_the_kit(added.kit, findings)
    return ImportReport(added.kit, added.was_there, (*problems, *findings, *_kit_findings(added.kit)))


def _again(
    shelf: Shelf, kit: Kit, originals: Path, unpacked: Unpacked, options: ImportOptions
) -> ImportReport:
    """The same bytes once more: what was lost is put back, and what is said of the kit now is kept."""
    from kitprep.files.shelf import PageRef
    from kitprep.jobs.pixels import reduced_page
    from kitprep.jobs.resplitting import make_whole

    changed = [f"{file} is put back" for file in shelf.restore_originals(kit, originals)]
    new = dataclasses.replace(
        kit,
        name=options.name or kit.name,
        maker=options.maker or kit.maker,
        terms=options.terms or kit.terms,
        terms_file="" if options.terms else kit.terms_file,
        pages=_with_ppi(kit, unpacked.originals, options),
    )
    late, findings = _late_pages(shelf, new, unpacked.originals, options)
    if late:
        new = dataclasses.replace(new, pages=(*new.pages, *late), password=options.password or kit.password)
        changed.append(f"{len(late)} more of its pages came in")
    if new != kit:
        changed += [
            f"its {fact} is changed" for fact in ("name", "maker") if getattr(new, fact) != getattr(kit, fact)
        ]
        changed += ["its terms of use are changed"] if new.terms != kit.terms else []
        changed += ["its resolution is changed"] if new.pages[: len(kit.pages)] != kit.pages else []
        kit = shelf.change_facts(new)
    if options.whole:
        for page in kit.pages:
            make_whole(shelf, PageRef(kit, page), reduced_page(shelf, kit, page))
        changed.append("its pages are whole")
        kit = shelf.kit(kit.slug)
    return ImportReport(kit, True, (*findings, *_kit_findings(kit)), tuple(changed))


def _of_the_kit(kit: Kit, findings: Sequence[Finding]) -> list[Finding]:
    """Findings about pages with the kit named; that colours are assumed is said once for all of them."""
    from kitprep.files.kit import Note

    plain = [note for note in findings if isinstance(note, PageNoted) and note.note is Note.SRGB_ASSUMED]
    others = [note for note in findings if note not in plain]
    named = [dataclasses.replace(note, about=f"{kit.slug}/{note.about}") for note in others]
    if not plain:
        return named
    pages = tuple(note.about for note in plain)
    return [*named, AssumedColours(kit.slug, kit.name, pages, len(pages) == len(kit.pages))]


def _late_pages(
    shelf: Shelf, kit: Kit, originals: Sequence[Bought], options: ImportOptions
) -> tuple[list[Page], list[Finding]]:
    """Pages that a password opens now and that were left out before."""
    if options.password is None:
        return [], []
    found, _ = _find_pages(originals, options, _nobody_to_ask)
    sha = {original.name: original.sha256 for original in originals}
    file = {original.sha256: original.file for original in kit.originals}
    have = {(page.file, page.frame) for page in kit.pages}
    late = [source for source in found.pages if (file[sha[source.file]], source.frame) not in have]
    if not late:
        return [], [BadPage(_file_of(problem), problem) for problem in found.problems]
    first = max(page.number for page in kit.pages) + 1
    pages, findings = _read_pages(late, shelf.cache_folder(kit.slug), options.whole, SILENT, first)
    return [dataclasses.replace(page, file=file[sha[page.file]]) for page in pages], findings


def _with_ppi(kit: Kit, originals: Sequence[Bought], options: ImportOptions) -> tuple[Page, ...]:
    if options.ppi is None and options.page_size is None:
        return kit.pages
    options = dataclasses.replace(options, password=options.password or kit.password or None)
    found, _ = _find_pages(originals, options, _nobody_to_ask)
    sha = {original.name: original.sha256 for original in originals}
    new = {(sha[source.file], source.frame): source.look(1, WORKING_PPI).page.ppi for source in found.pages}
    known = {original.file: original.sha256 for original in kit.originals}
    return tuple(
        dataclasses.replace(page, ppi=new.get((known[page.file], page.frame), page.ppi)) for page in kit.pages
    )


def _find_pages(
    originals: Sequence[Bought], options: ImportOptions, ask_password: Callable[[str], str | None]
) -> tuple[FoundPages, str]:
    """The pages, and the password that opened a locked PDF among them."""
    from kitprep.files.kit import PageOptions, find_pages

    asked = PageOptions(page_size=options.page_size, ppi=options.ppi, password=options.password)
    found = find_pages(originals, asked)
    locked = next((problem for problem in found.problems if isinstance(problem, LockedFile)), None)
    if locked is not None and options.password is not None:
        wrong = LockedFile(locked.name, "give another password: this one does not open it")
        problems = tuple(wrong if problem is locked else problem for problem in found.problems)
        return dataclasses.replace(found, problems=problems), options.password
    if locked is None:
        return found, options.password or ""
    password = ask_password(locked.name) or ""
    if not password:
        return found, ""
    return find_pages(originals, dataclasses.replace(asked, password=password)), password


def _read_pages(
    sources: Sequence[PageSource], cache: Path, whole: bool, progress: Progress, first: int = 1
) -> tuple[list[Page], list[Finding]]:
    """Read and split all pages side by side; decoding and OpenCV let other threads run.

    The pages are numbered from `first`.
    """
    from concurrent.futures import ThreadPoolExecutor

    from kitprep.files.reduced import renumber_reduced

    pages: list[Page] = []
    findings: list[Finding] = []
    progress.start("Reading pages", len(sources))
    workers = min(os.cpu_count() or 1, len(sources), 4)
    with _quick_turns(), ThreadPoolExecutor(workers) as pool:
        jobs = [
            pool.submit(_read_page, source, number, cache, whole)
            for number, source in enumerate(sources, first)
        ]
        for source, job in zip(sources, jobs, strict=True):
            try:
                page, notes = job.result()
            except UnusableFile as error:
                findings.append(BadPage(source.file, error))
            else:
                # A page that was left out leaves no gap in the numbers.
                pages.append(dataclasses.replace(page, number=len(pages) + first))
                renumber_reduced(cache, page, pages[-1])
                findings += [dataclasses.replace(note, about=pages[-1].name) for note in notes]
            progress.step(source.file)
    progress.finish()
    return pages, findings


@contextmanager
def _quick_turns() -> Iterator[None]:
    """Threads wait less for each other: between its many short array calls each needs the interpreter."""
    usual = sys.getswitchinterval()
    sys.setswitchinterval(SWITCH_SECONDS)
    try:
        yield
    finally:
        sys.setswitchinterval(usual)


def _read_page(source: PageSource, number: int, cache: Path, whole: bool) -> tuple[Page, list[Finding]]:
    from kitprep.files.kit import Look
    from kitprep.files.reduced import write_reduced
    from kitprep.split import SplitHints, split_page

    look: Look = source.look(number, WORKING_PPI)
    split = split_page(look.raster, look.page.ppi, SplitHints(whole=whole), look.known_boxes)
    page = dataclasses.replace(look.page, elements=split.elements)
    write_reduced(look.raster, cache, page)
    findings: list[Finding] = []
    if page.ppi.source is PpiSource.ASSUMED:
        findings.append(AssumedPpi("", page.ppi.x))
    findings += [PageNoted("", note) for note in look.notes]
    return page, [*findings, *split_findings(split, "")]


def split_findings(split: Split, about: str) -> list[Finding]:
    """What a split has to tell of its page."""
    from kitprep.split import SplitNote

    notes = {
        SplitNote.NOTHING_FOUND: NothingFound(about),
        SplitNote.TEXTURE_IS_ONE_PAPER: TextureTaken(about),
    }
    return [notes[note] for note in split.notes]


def _kit_findings(kit: Kit) -> list[Finding]:
    findings: list[Finding] = []
    if not kit.terms:
        findings.append(TermsNotRecorded(kit.slug, kit.name))
    stamps = [
        f"{page.name}-{element.number:02d}"
        for page in kit.pages
        for element in page.elements
        if element.kind is Kind.STAMP
    ]
    if stamps:
        findings.append(Reproduction(kit.slug, tuple(stamps)))
    return findings


def _file_of(problem: UnusableFile) -> str:
    """The file that a problem is about, where it names one."""
    return str(getattr(problem, "name", "")) or problem.what


def _as_bought(original: Bought) -> Original:
    return Original(original.name, original.sha256, original.length)


def _named(sources: Sequence[Path]) -> str:
    # A name that is not UTF-8 on disk has signs in it that no text file can hold.
    first = sources[0].name.encode("utf-8", "replace").decode("utf-8")
    return first if len(sources) == 1 else f"{first} and {len(sources) - 1} more"
