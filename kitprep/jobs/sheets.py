"""A make-list becomes cut-ready sheets: check, fit, pack, lay out, write."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from kitprep.errors import BadOption, CannotWrite, MissingFile, NoSuchPrinter, NothingToPrint, OutputExists
from kitprep.files.makelist import MakeList, piece_from_text, read_makelist
from kitprep.files.shelf import Printer, Shelf, shelf_folder
from kitprep.jobs.findings import BleedMade, Finding, LowMargin, MarksLeftOut, Reproduction
from kitprep.jobs.packing import MadeSheets, PackOptions, pack_papers
from kitprep.jobs.planning import PlannedPiece, PlannedPieces, plan_pieces
from kitprep.jobs.progress import SILENT, Progress
from kitprep.lengths import Length, Unit, inches
from kitprep.pack.packing import CutMode
from kitprep.pages import Kind
from kitprep.papers import Margins, Paper
from kitprep.piece.artwork import BleedSource
from kitprep.sheet import LineKind, Sheet

if TYPE_CHECKING:
    from kitprep.files.pdf import PrinterCorrection

MADE_BLEED = frozenset({BleedSource.MIRROR, BleedSource.GROWN})
LONGEST_NAME = 240  # of a file; common systems hold 255 bytes
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


@dataclass(frozen=True, slots=True)
class SheetFiles:
    """What to write, and where.

    Parameters
    ----------
    pdf : Path
        The sheets.
    preview : Path or None
        A PNG of all sheets.
    guide : Path or None
        A PDF that says how to cut them.
    overwrite : bool
        Whether files of those names may be replaced.
    """

    pdf: Path
    preview: Path | None = None
    guide: Path | None = None
    overwrite: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class SheetReport:
    """What came of a make-list.

    Parameters
    ----------
    title : str
        Of the list.
    files : SheetFiles
        What was written.
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
    unit: Unit
    pieces: tuple[PlannedPiece, ...]
    papers: tuple[MadeSheets, ...]
    findings: tuple[Finding, ...]

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
    from kitprep.files.pdf import write_guide, write_preview, write_sheets

    _refuse_files(files)
    here = Shelf(shelf_folder(shelf))
    makelist = source.name if isinstance(source, Path) else ""
    wanted = _with_options(_make_list(source), options, makelist)
    printer = _printer(here, wanted, options, makelist)
    given = wanted.margins or (printer.margins if printer else None)
    planned = plan_pieces(here, wanted.pieces, wanted.bleed, options.keep_pixels, progress, makelist)
    papers = pack_papers(
        planned,
        PackOptions(
            wanted.paper, given, wanted.gap, wanted.cut, wanted.trimmer, options.fill, options.seconds
        ),
        title=wanted.title,
        progress=progress,
    )
    sheets = [sheet for made in papers for sheet in made.sheets]
    progress.start("Writing the sheets", 1 + bool(files.guide) + bool(files.preview))
    write_sheets(
        sheets,
        planned.placed_pictures,
        files.pdf,
        title=wanted.title,
        credit=planned.credit,
        overwrite=files.overwrite,
        correction=_correction(printer),
    )
    progress.step(files.pdf.name)
    if files.guide is not None:
        write_guide(
            sheets,
            files.guide,
            title=wanted.title,
            credit=planned.credit,
            unit=wanted.unit,
            overwrite=files.overwrite,
        )
        progress.step(files.guide.name)
    if files.preview is not None:
        write_preview(files.pdf, files.preview, overwrite=files.overwrite)
        progress.step(files.preview.name)
    progress.finish()
    return SheetReport(
        title=wanted.title,
        files=files,
        unit=wanted.unit,
        pieces=planned.pieces,
        papers=papers,
        findings=tuple(_findings(planned, papers, given, wanted.unit)),
    )


def _left_out(sheet: Sheet) -> MarksLeftOut | None:
    ticks = sum(line.kind in (LineKind.FOLD_TICK, LineKind.FOLD) for line in sheet.lines)
    scored = [piece for piece in sheet.pieces if piece.scores]
    folds = tuple(piece.name for piece in scored) if not ticks else ()
    unlabelled = tuple(sheet.pieces[index].name for index in sheet.unlabelled)
    no_check_lines = not sheet.has_check_lines and not sheet.plan_only
    if not (folds or unlabelled or sheet.unmarked_cuts or no_check_lines):
        return None
    return MarksLeftOut(
        f"sheet {sheet.number}", sheet.number, folds, unlabelled, len(sheet.unmarked_cuts), no_check_lines
    )


def _refuse_files(files: SheetFiles) -> None:
    """Refuse before the work is done what the writers would refuse after it."""
    endings = (
        ("-o", files.pdf, ".pdf"),
        ("--guide", files.guide, ".pdf"),
        ("--preview", files.preview, ".png"),
    )
    named = [path for _, path, _ in endings if path is not None]
    for option, path, ending in endings:
        if path is not None and path.suffix.lower() != ending:
            raise BadOption(option, path.name, f"a name that ends in {ending}")
    for path in named:
        if not path.absolute().parent.is_dir():
            raise MissingFile(str(path.parent))
        if len(path.name) > LONGEST_NAME:
            raise CannotWrite(path.name, "its name is too long", "give a shorter one")
        if path.exists() and not files.overwrite:
            raise OutputExists(str(path))
    if len({path.absolute() for path in named}) < len(named):
        raise BadOption("--guide or --preview", str(files.pdf), "each file a name of its own")


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
        trimmer=options.trimmer or wanted.trimmer,
    )


def _printer(shelf: Shelf, wanted: MakeList, options: SheetOptions, makelist: str) -> Printer | None:
    if not wanted.printer:
        return None
    try:
        return shelf.printers.get(wanted.printer)
    except NoSuchPrinter as error:
        raise (error.at(makelist) if makelist and options.printer is None else error) from None


def _correction(printer: Printer | None) -> PrinterCorrection:
    from kitprep.files.pdf import NO_CORRECTION, PrinterCorrection

    if printer is None:
        return NO_CORRECTION
    return PrinterCorrection(1 / printer.scale_x, 1 / printer.scale_y, -printer.offset_x, -printer.offset_y)


def _findings(
    planned: PlannedPieces, papers: tuple[MadeSheets, ...], given: Margins | None, unit: Unit
) -> list[Finding]:
    found = [finding for piece in planned.pieces for finding in piece.findings]
    printed = {made.paper.name for made in papers if made.prints}
    if given is not None and printed:
        least = min(given.left, given.top, given.right, given.bottom)
        if least < LOW_MARGIN:
            found.append(LowMargin(", ".join(sorted(printed)), least, unit))
    made = [
        piece for piece in planned.pieces if piece.artwork is not None and piece.artwork.sources & MADE_BLEED
    ]
    if made:
        found.append(BleedMade(made[0].id or "", tuple(piece.name for piece in made)))
    found += [
        finding for made in papers for sheet in made.sheets if (finding := _left_out(sheet)) is not None
    ]
    stamps = tuple(
        piece
        for piece in planned.pieces
        if piece.checked is not None and piece.checked.ref.element.kind is Kind.STAMP
    )
    if stamps:
        found.append(Reproduction(stamps[0].id or "", tuple(piece.name for piece in stamps)))
    return found
