"""Will it print sharp? Effective resolution, measured detail, grade and largest sizes of pieces."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

from kitprep.detail.grades import Detail, Grade, check
from kitprep.errors import CannotWrite, NotFound, WrongUse
from kitprep.files.measured import Measured, MeasuredUnreadable, measured_key
from kitprep.files.shelf import ElementRef, Shelf, shelf_folder
from kitprep.jobs.findings import AssumedPpi, Finding, MeasuredAnew, NotKept, PrintsSoft, Stretched
from kitprep.jobs.pixels import PageReader
from kitprep.jobs.progress import SILENT, Progress
from kitprep.lengths import Size, Unit, WantedSize
from kitprep.pages import PpiSource
from kitprep.piece.fitting import Fitting, fit_element
from kitprep.piece.wanted import Fit, WantedPiece

DISTORTION_WARNED = 0.02  # pulled further than this, a circle is seen to be none; common practice


@dataclass(frozen=True, slots=True)
class Checked:
    """One piece and how sharp it prints.

    Parameters
    ----------
    ref : ElementRef
        The element with its page and kit.
    wanted : WantedPiece
        What was asked of it.
    fitting : Fitting
        Which of its pixels lie where.
    detail : Detail
        Resolution, grade, largest sizes.
    findings : tuple of Finding
        What a person should know of it.
    """

    ref: ElementRef
    wanted: WantedPiece
    fitting: Fitting
    detail: Detail
    findings: tuple[Finding, ...]

    @property
    def id(self) -> str:
        """The element's id in full."""
        return self.ref.id

    @property
    def unit(self) -> Unit:
        """The unit its size was spoken of in."""
        return self.wanted.size.unit


@dataclass(frozen=True, slots=True)
class Measurements:
    """What was measured.

    Parameters
    ----------
    by_id : mapping of str to Measured
        What the pixels of each element say, by its id.
    findings : tuple of Finding
        What went wrong with the caches of kits; `about` is the kit.
    """

    by_id: Mapping[str, Measured]
    findings: tuple[Finding, ...]


def check_elements(
    ids: Sequence[str],
    size: WantedSize | None = None,
    *,
    fit: Fit = Fit.COVER,
    shelf: Path | None = None,
    progress: Progress = SILENT,
) -> tuple[Checked, ...]:
    """Check elements, each at one size or at its own.

    Parameters
    ----------
    ids : sequence of str
        Ids of elements; the name of a kit stands for all of its elements that are likely wanted.
    size : WantedSize or None
        The size they are wanted at; None for the size each has on its page.
    fit : Fit
        How they fill a size of other proportions.
    shelf : Path or None
        The shelf's folder; None for the usual one.
    progress : Progress
        Told of each element.

    Raises
    ------
    NotFound
        If there is no such element or kit.
    BadSize
        If the size cannot be.
    """
    here = Shelf(shelf_folder(shelf))
    refs = _named(here, ids)
    wanted = [WantedPiece(ref.id, size or _own_size(ref), fit=fit) for ref in refs]
    return _check_found(refs, wanted, PageReader(here), progress, "")


def check_make_list(
    path: Path, *, shelf: Path | None = None, progress: Progress = SILENT
) -> tuple[Checked, ...]:
    """Check every element of a make-list at the size it is wanted at.

    Raises
    ------
    MakeListProblem, MissingFile
        If the make-list cannot be followed.
    NotFound
        If an element of it is not there.
    """
    from kitprep.files.makelist import read_makelist

    wanted = [piece for piece in read_makelist(path).pieces if piece.element]
    here = Shelf(shelf_folder(shelf))
    return check_pieces(here, wanted, PageReader(here), progress, path.name)


def check_pieces(
    shelf: Shelf,
    wanted: Sequence[WantedPiece],
    reader: PageReader,
    progress: Progress = SILENT,
    makelist: str = "",
) -> tuple[Checked, ...]:
    """Check pieces; the pixels of each page are read once, however many of its elements are asked for.

    `makelist` is the name of the list that the pieces stand in, for errors that name its line.
    """
    refs = []
    for piece in wanted:
        with naming_the_line(piece, makelist):
            refs.append(shelf.find(piece.element))
    return _check_found(refs, wanted, reader, progress, makelist)


def _check_found(
    refs: Sequence[ElementRef],
    wanted: Sequence[WantedPiece],
    reader: PageReader,
    progress: Progress,
    makelist: str,
) -> tuple[Checked, ...]:
    cropped = set()
    for ref, piece in zip(refs, wanted, strict=True):
        with naming_the_line(piece, makelist):
            if _needs_a_focus(ref, piece):
                cropped.add(ref.id)
    measured = measure_elements(refs, reader, progress, cropped)
    untold = list(measured.findings)
    checked = []
    for ref, piece in zip(refs, wanted, strict=True):
        with naming_the_line(piece, makelist):
            one = grade_piece(ref, piece, measured.by_id[ref.id])
        of_kit = [finding for finding in untold if finding.about == ref.kit.slug]
        untold = [finding for finding in untold if finding not in of_kit]  # the kit's first piece tells it
        checked.append(replace(one, findings=(*one.findings, *of_kit)))
    return tuple(checked)


def _needs_a_focus(ref: ElementRef, wanted: WantedPiece) -> bool:
    """Whether it is cropped and nothing says where; `BadSize` if it cannot have that size."""
    asked = []

    def middle(share: tuple[float, float]) -> tuple[float, float]:
        asked.append(share)
        return 0.5, 0.5

    fit_element(ref.element, ref.page.ppi, wanted, middle)
    return bool(asked)


def _named(here: Shelf, ids: Sequence[str]) -> list[ElementRef]:
    """Elements by their ids, where the name of a kit stands for its elements."""
    kits = {kit.slug for kit in here.kits()}
    found: list[ElementRef] = []
    for text in ids:
        slug = text.strip().lower()
        if slug in kits:
            kit = here.kit(slug)
            refs = [ElementRef(kit, page, element) for page in kit.pages for element in page.elements]
            by_id = {ref.id: ref for ref in refs}
            found += [by_id[summary.id] for summary in here.search(kit=slug) if not summary.unwanted]
        else:
            found.append(here.find(text))
    return found


@contextmanager
def naming_the_line(piece: WantedPiece, makelist: str) -> Iterator[None]:
    """Add to an error the line that a piece stands in, where it comes from a make-list of that name."""
    try:
        yield
    except (NotFound, WrongUse) as error:
        raise (error.at(f"{makelist}, line {piece.line}") if makelist and piece.line else error) from None


def measure_elements(
    refs: Iterable[ElementRef],
    reader: PageReader,
    progress: Progress = SILENT,
    cropped: Container[str] | None = None,
) -> Measurements:
    """What the pixels of elements say; what was measured before is taken from the kits' caches.

    `cropped` has the ids of those whose interest is needed too; None for all.

    Raises
    ------
    OriginalChanged, DamagedPicture
        If the original of a page is gone, altered or damaged, measured before or not.
    """
    distinct = sorted({ref.id: ref for ref in refs}.values(), key=lambda ref: ref.id)
    progress.start("Measuring detail", len(distinct))
    findings: list[Finding] = []
    known = {slug: _known(slug, reader, findings) for slug in dict.fromkeys(ref.kit.slug for ref in distinct)}
    fresh: dict[str, None] = {}
    found: dict[str, Measured] = {}
    for ref in distinct:
        reader.verify(ref.kit, ref.page)
        key, of_kit = measured_key(ref.kit, ref.page, ref.element), known[ref.kit.slug]
        before = of_kit.get(key)
        with_interest = cropped is None or ref.id in cropped
        if before is None or (with_interest and before.interest is None):
            of_kit[key] = _measure(ref, reader, before, with_interest)
            fresh[ref.kit.slug] = None
        found[ref.id] = of_kit[key]
        progress.step(ref.id)
    for slug in fresh:
        _keep(slug, known[slug], reader, findings)
    progress.finish()
    return Measurements(found, tuple(findings))


def _known(slug: str, reader: PageReader, findings: list[Finding]) -> dict[str, Measured]:
    try:
        return reader.measured(slug)
    except MeasuredUnreadable:
        findings.append(MeasuredAnew(slug))
    except CannotWrite:
        pass  # there is no folder to keep anything in, and none can be made: `_keep` will say so
    return {}


def _keep(slug: str, known: Mapping[str, Measured], reader: PageReader, findings: list[Finding]) -> None:
    try:
        reader.keep_measured(slug, known)
    except CannotWrite as error:
        findings.append(NotKept(slug, error.path, error.why))


def _measure(ref: ElementRef, reader: PageReader, before: Measured | None, with_interest: bool) -> Measured:
    from kitprep.detail import measure_detail
    from kitprep.piece.focus import interest_of
    from kitprep.piece.likeness import element_mask

    pixels = reader.read(ref.kit, ref.page, ref.element.box)
    mask = element_mask(pixels, ref.element)
    detail = measure_detail(pixels, mask) if before is None else before.detail
    return Measured(detail, interest_of(pixels, mask) if with_interest else None)


def grade_piece(ref: ElementRef, wanted: WantedPiece, measured: Measured) -> Checked:
    """Grade one piece of an element that was measured; `BadSize` if it cannot have that size."""

    def guessed(share: tuple[float, float]) -> tuple[float, float]:
        from kitprep.piece.focus import guess_focus

        assert measured.interest is not None  # `measure_elements` was told that it is cropped
        return guess_focus(*measured.interest, share)

    fitting = fit_element(ref.element, ref.page.ppi, wanted, guessed)
    detail = check(ref.element.straight_size_px, fitting.picture, fitting.shown_px, measured.detail)
    return Checked(ref, wanted, fitting, detail, tuple(_findings(ref, wanted, fitting, detail)))


def _findings(ref: ElementRef, wanted: WantedPiece, fitting: Fitting, detail: Detail) -> list[Finding]:
    found: list[Finding] = []
    if detail.grade in (Grade.SOFT, Grade.BLURRY):
        page_ppi = min(ref.page.ppi.x, ref.page.ppi.y)
        found.append(
            PrintsSoft(
                about=ref.id,
                name=wanted.name,
                wanted=wanted.size,
                size=fitting.picture,
                unit=wanted.size.unit,
                grade=detail.grade,
                ppi=detail.ppi,
                page_ppi=page_ppi,
                real_ppi=detail.detail_ppi,
                page_real_ppi=None if detail.detail is None else page_ppi * detail.detail,
                largest_fine=detail.largest[Grade.FINE],
            )
        )
    if wanted.fit is Fit.STRETCH and fitting.distortion > DISTORTION_WARNED:
        found.append(Stretched(ref.id, fitting.distortion * 100))
    if ref.page.ppi.source is PpiSource.ASSUMED and wanted.size == _own_size(ref):
        found.append(AssumedPpi(f"{ref.kit.slug}/{ref.page.name}", ref.page.ppi.x))
    return found


def _own_size(ref: ElementRef) -> WantedSize:
    own: Size = ref.element.size(ref.page.ppi)
    return WantedSize(own.width, own.height)
