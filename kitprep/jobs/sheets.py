"""A make-list becomes cut-ready sheets: check, fit, pack, lay out, write."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from kitprep.errors import NoSuchPrinter, NothingToPrint
from kitprep.files.makelist import MakeList, piece_from_text, read_makelist
from kitprep.files.shelf import Printer, Shelf, shelf_folder
from kitprep.jobs.findings import (
    BleedMade,
    Finding,
    KeptApart,
    LowMargin,
    MarksLeftOut,
    Reproduction,
    StoppedEarly,
)
from kitprep.jobs.packing import MadeSheets, PackOptions, pack_papers
from kitprep.jobs.planning import PlannedPiece, PlannedPieces, PlanOptions, plan_pieces
from kitprep.jobs.printing import correction_for
from kitprep.jobs.progress import SILENT, Progress
from kitprep.jobs.sheet_files import PaperFile, SheetFiles, refuse_unusable
from kitprep.jobs.sheet_writing import SheetWriting
from kitprep.lengths import Length, Unit, inches
from kitprep.pack.packing import CutMode
from kitprep.pages import Kind
from kitprep.papers import Flip, Margins, Paper
from kitprep.piece.artwork import BleedSource
from kitprep.sheet import Sheet

MADE_BLEED = frozenset({BleedSource.MIRROR, BleedSource.GROWN})
LOW_MARGIN = inches("1/8")  # less than this and many printers cut off; common practice, no published source


@dataclass(frozen=True, slots=True)
class SheetOptions:
    """What a person says beside, or instead of, a make-list; None leaves the list's own.

    Parameters
    ----------
    paper : Paper or None
        Of every piece that names none.
    margins : Margins or None
        What the printer cannot reach.
    printer : str or None
        Name of a printer on the shelf: its margins and its correction.
    gap, bleed : Length or None
        Least distance between trims, and picture beyond them.
    cut : CutMode or None
        What the pieces are cut with.
    trimmer : Length or None
        The longest cut of the trimmer.
    fill : tuple of str
        Ids or labels of pieces that may be copied to fill what is left over.
    seconds : float or None
        The longest time to look for fewer sheets; None for a fixed effort that gives the same answer
        on every machine.
    keep_pixels : bool
        Whether pictures of over 720 pixels per inch keep all of them.
    back : str or None
        Id of the element on the back of every picture that names none; empty for none.
    flip : Flip or None
        The edge over which the paper is turned.
    misregistration : Length or None
        How far the printer may put a back beside its front.
    outlines : bool
        Whether the edges of cut-outs are drawn on the sheets.
    """

    paper: Paper | None = None
    margins: Margins | None = None
    printer: str | None = None
    gap: Length | None = None
    bleed: Length | None = None
    cut: CutMode | None = None
    trimmer: Length | None = None
    fill: tuple[str, ...] = ()
    seconds: float | None = None
    keep_pixels: bool = False
    back: str | None = None
    flip: Flip | None = None
    misregistration: Length | None = None
    outlines: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class SheetReport:
    """What came of a make-list.

    Parameters
    ----------
    title : str
        Of the list.
    files : SheetFiles
        What was asked for.
    pdfs : tuple of PaperFile
        The PDFs that were written, by paper.
    cut_lines, page_previews : tuple of Path
        The SVGs and PNGs that were written.
    unit : Unit
        The list's unit.
    pieces : tuple of PlannedPiece
        As asked for, in order, with finished size and picture.
    papers : tuple of MadeSheets
        By paper, in the order in which the pieces name them.
    findings : tuple of Finding
        What a person should know.
    """

    title: str
    files: SheetFiles
    pdfs: tuple[PaperFile, ...]
    cut_lines: tuple[Path, ...]
    page_previews: tuple[Path, ...]
    unit: Unit
    pieces: tuple[PlannedPiece, ...]
    papers: tuple[MadeSheets, ...]
    findings: tuple[Finding, ...]

    def where(self, sheet: int) -> tuple[Path, int, int | None]:
        """The PDF that a sheet is in, by the sheet's number, and the pages of its front and back, from 1."""
        for pdf in self.pdfs:
            if sheet in (pages := pdf.pages()):
                return pdf.path, *pages[sheet]
        raise IndexError(sheet)

    @property
    def count(self) -> int:
        """How many sheets there are."""
        return sum(len(made.packing.sheets) for made in self.papers)

    def placed(self, piece: int) -> int:
        """How many of a piece, by its index, lie on the sheets: its copies, and more where it fills."""
        return sum(
            made.pieces[place.item] == piece
            for made in self.papers
            for sheet in made.packing.sheets
            for place in sheet.placements
        )

    @property
    def bound(self) -> int:
        """No packing needs fewer sheets than this."""
        # Blanks on sheets of their own may find room on other sheets of the same paper, so batches of one
        # paper do not add up to a bound; the largest of them is one.
        bounds: dict[Paper, int] = {}
        for made in self.papers:
            bounds[made.paper] = max(bounds.get(made.paper, 0), made.packing.bound)
        return sum(bounds.values())

    @property
    def proved(self) -> bool:
        """Whether no packing can do with fewer sheets."""
        return self.count == self.bound


def make_sheets(
    source: Path | MakeList | Sequence[str],
    files: SheetFiles,
    options: SheetOptions = SheetOptions(),
    *,
    shelf: Path | None = None,
    progress: Progress = SILENT,
) -> SheetReport:
    """Make the sheets of a make-list.

    Parameters
    ----------
    source : Path, MakeList, or sequence of str
        The make-list's file, the list itself, or pieces as ``"ID, SIZE, COPIES"``.
    files : SheetFiles
        What to write.
    options : SheetOptions
        What a person says beside it.
    shelf : Path or None
        The shelf's folder; None for the usual one.
    progress : Progress
        Told of the steps.

    Raises
    ------
    MakeListProblem, MissingFile
        If the list cannot be followed.
    NothingToPrint, WontFit, BadOption, BadSize, MarginsLeaveNothing, TooManyPieces, TrimmerTooShort
        If it asks for what cannot be done.
    NotFound
        If an element or printer is not there.
    OriginalChanged, OutputExists, CannotWrite
        If an original or an output is not as it should be. Nothing is written then.
    """
    here = Shelf(shelf_folder(shelf))
    makelist = source.name if isinstance(source, Path) else ""
    wanted = _with_options(_make_list(source), options, makelist)
    refuse_unusable(files, [piece.paper or wanted.paper for piece in wanted.pieces])
    printer = _printer(here, wanted, options, makelist)
    given = wanted.margins or (printer.margins if printer else None)
    plan = PlanOptions(wanted.bleed, options.keep_pixels, wanted.back, wanted.misregistration)
    planned = plan_pieces(here, wanted.pieces, plan, progress, makelist)
    papers = pack_papers(
        planned,
        PackOptions(
            wanted.paper,
            given,
            wanted.gap,
            wanted.cut,
            wanted.trimmer,
            options.fill,
            options.seconds,
            wanted.flip,
            options.outlines,
        ),
        title=wanted.title,
        progress=progress,
    )
    writing = SheetWriting(wanted.title, planned.credit, wanted.unit, correction_for(printer))
    pdfs, cut_lines, page_previews = writing.write(papers, planned.placed_pictures, files, progress=progress)
    return SheetReport(
        title=wanted.title,
        files=files,
        pdfs=pdfs,
        cut_lines=cut_lines,
        page_previews=page_previews,
        unit=wanted.unit,
        pieces=planned.pieces,
        papers=papers,
        findings=tuple(_findings(planned, papers, given, wanted.unit)),
    )


def _left_out(sheet: Sheet) -> MarksLeftOut | None:
    folds = tuple(dict.fromkeys(sheet.pieces[index].name for index in sheet.unmarked_folds))
    unlabelled = tuple(sheet.pieces[index].name for index in sheet.unlabelled)
    no_check_lines = not sheet.has_check_lines and not sheet.plan_only
    if not (folds or unlabelled or sheet.unmarked_cuts or no_check_lines or not sheet.has_registration):
        return None
    return MarksLeftOut(
        f"sheet {sheet.number}",
        sheet.number,
        folds,
        unlabelled,
        len(sheet.unmarked_cuts),
        no_check_lines,
        not sheet.has_registration,
    )


def _make_list(source: Path | MakeList | Sequence[str]) -> MakeList:
    if isinstance(source, Path):
        return read_makelist(source)
    if isinstance(source, MakeList):
        return source
    return MakeList(pieces=tuple(piece_from_text(text) for text in source))


def _with_options(wanted: MakeList, options: SheetOptions, makelist: str) -> MakeList:
    if not wanted.pieces:
        raise NothingToPrint(makelist or wanted.title or "the make-list")
    margins = wanted.margins
    if options.margins is not None or options.printer is not None:
        margins = options.margins
    return replace(
        wanted,
        paper=options.paper or wanted.paper,
        margins=margins,
        printer=options.printer if options.printer is not None else wanted.printer,
        gap=wanted.gap if options.gap is None else options.gap,
        bleed=wanted.bleed if options.bleed is None else options.bleed,
        cut=options.cut or wanted.cut,
        trimmer=wanted.trimmer if options.trimmer is None else options.trimmer,
        back=wanted.back if options.back is None else options.back,
        flip=options.flip or wanted.flip,
        misregistration=(
            wanted.misregistration if options.misregistration is None else options.misregistration
        ),
    )


def _printer(shelf: Shelf, wanted: MakeList, options: SheetOptions, makelist: str) -> Printer | None:
    if not wanted.printer:
        return None
    try:
        return shelf.printers.get(wanted.printer)
    except NoSuchPrinter as error:
        raise (error.at(makelist) if makelist and options.printer is None else error) from None


def _findings(
    planned: PlannedPieces, papers: tuple[MadeSheets, ...], given: Margins | None, unit: Unit
) -> list[Finding]:
    found = list(dict.fromkeys(finding for piece in planned.pieces for finding in piece.findings))
    printed = {made.paper.name for made in papers if made.prints}
    if given is not None and printed:
        least = min(given.left, given.top, given.right, given.bottom)
        if least < LOW_MARGIN:
            found.append(LowMargin(", ".join(sorted(printed)), least, unit))
    made = [piece for piece in planned.pieces if _bleed_is_made(piece)]
    if made:
        found.append(BleedMade(made[0].id or "", tuple(piece.name for piece in made)))
    found += [
        finding for made in papers for sheet in made.sheets if (finding := _left_out(sheet)) is not None
    ]
    found += [KeptApart(name, name) for made in papers for name in made.packing.apart]
    found += [
        StoppedEarly(made.paper.name, made.paper.name, len(made.packing.sheets), made.packing.bound)
        for made in papers
        if made.stopped and not made.packing.proved
    ]
    stamps = tuple(
        piece
        for piece in planned.pieces
        if piece.checked is not None and piece.checked.ref.element.kind is Kind.STAMP
    )
    if stamps:
        found.append(Reproduction(stamps[0].id or "", tuple(piece.name for piece in stamps)))
    return found


def _bleed_is_made(piece: PlannedPiece) -> bool:
    artworks = (piece.artwork, piece.back.artwork if piece.back else None)
    return any(artwork is not None and bool(artwork.sources & MADE_BLEED) for artwork in artworks)
