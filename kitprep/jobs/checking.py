"""Will it print sharp? Effective resolution, measured detail, grade and largest sizes of pieces."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from kitprep.detail.grades import Detail, Grade, check
from kitprep.errors import NotFound, WrongUse
from kitprep.files.measured import Measured, measured_key
from kitprep.files.shelf import ElementRef, Shelf, shelf_folder
from kitprep.jobs.findings import AssumedPpi, Finding, PrintsSoft, Stretched
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
    wanted = []
    for text in _with_kits(here, ids):
        ref = here.find(text)
        own = ref.element.size(ref.page.ppi)
        wanted.append(WantedPiece(ref.id, size or WantedSize(own.width, own.height), fit=fit))
    return check_pieces(here, wanted, PageReader(here), progress)


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
        with _naming_the_line(piece, makelist):
            refs.append(shelf.find(piece.element))
    measured = measure_elements(refs, reader, progress)
    checked = []
    for ref, piece in zip(refs, wanted, strict=True):
        with _naming_the_line(piece, makelist):
            checked.append(grade_piece(ref, piece, measured[ref.id]))
    return tuple(checked)


def _with_kits(here: Shelf, ids: Sequence[str]) -> list[str]:
    """Ids of elements, where the name of a kit stands for its elements."""
    kits = {kit.slug for kit in here.kits()}
    found: list[str] = []
    for text in ids:
        slug = text.strip().lower()
        if slug in kits:
            found += [summary.id for summary in here.search(kit=slug) if not summary.unwanted]
        else:
            found.append(text)
    return found


@contextmanager
def _naming_the_line(piece: WantedPiece, makelist: str) -> Iterator[None]:
    try:
        yield
    except (NotFound, WrongUse) as error:
        raise (error.at(f"{makelist}, line {piece.line}") if makelist and piece.line else error) from None


def measure_elements(
    refs: Iterable[ElementRef], reader: PageReader, progress: Progress = SILENT
) -> Mapping[str, Measured]:
    """What the pixels of elements say, by id; what was measured before is taken from the kits' caches.

    Raises
    ------
    OriginalChanged, DamagedPicture
        If the original of a page is gone, altered or damaged, measured before or not.
    """
    distinct = sorted({ref.id: ref for ref in refs}.values(), key=lambda ref: ref.id)
    progress.start("Measuring detail", len(distinct))
    known = {ref.kit.slug: reader.measured(ref.kit.slug) for ref in distinct}
    fresh: set[str] = set()
    found: dict[str, Measured] = {}
    for ref in distinct:
        key = measured_key(ref.kit, ref.page, ref.element)
        reader.verify(ref.kit, ref.page)
        if key not in known[ref.kit.slug]:
            known[ref.kit.slug][key] = _measure(ref, reader)
            fresh.add(ref.kit.slug)
        found[ref.id] = known[ref.kit.slug][key]
        progress.step(ref.id)
    for slug in fresh:
        reader.keep_measured(slug, known[slug])
    progress.finish()
    return found


def _measure(ref: ElementRef, reader: PageReader) -> Measured:
    from kitprep.detail import measure_detail
    from kitprep.piece.focus import interest_of
    from kitprep.piece.likeness import element_mask

    pixels = reader.read(ref.kit, ref.page, ref.element.box)
    mask = element_mask(pixels, ref.element)
    return Measured(measure_detail(pixels, mask), *interest_of(pixels, mask))


def grade_piece(ref: ElementRef, wanted: WantedPiece, measured: Measured) -> Checked:
    """Grade one piece of an element that was measured; `BadSize` if it cannot have that size."""

    def guessed(share: tuple[float, float]) -> tuple[float, float]:
        from kitprep.piece.focus import guess_focus

        return guess_focus(measured.across, measured.down, share)

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
