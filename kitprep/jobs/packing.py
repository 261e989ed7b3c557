"""Pieces are placed on papers and the sheets drawn up.

A sheet keeps a strip at its foot for check lines and words. Where the strip would cost a sheet, the pieces
get the whole printable area and the check lines go wherever there is room; only if a sheet has none does
the strip stay.

Blanks are cut from the paper itself, so the printer's margins are nothing to them: a paper that carries
only blanks has no margins unless they are asked for, and a blank too large for the printable area is cut
from a sheet of its own that nothing is printed on.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from kitprep.errors import BadOption
from kitprep.jobs.planning import PlannedPiece, PlannedPieces
from kitprep.jobs.progress import SILENT, Progress
from kitprep.jobs.stopping import Patience, until_interrupted
from kitprep.lengths import EMU_PER_POINT, Box, Length, inches
from kitprep.pack.packing import CutMode, PackedSheet, Packing, PackItem
from kitprep.papers import NO_MARGINS, Flip, Margins, Paper, printable
from kitprep.sheet import MARK_LENGTH, Sheet, SheetItem, check_strip, lay_out, letter, margins_behind

DEFAULT_MARGINS = Margins.even(inches("1/4"))
"""What nearly every home printer reaches; common practice, no published source."""
TRIMMER_LENGTH = inches(12)
"""The longest cut of a usual paper trimmer; common practice, no published source."""


_LEFT_OVER_TOLD = 8  # one part in so many of the paper; smaller ones are in the guide and in the answer


@dataclass(frozen=True, slots=True)
class PackOptions:
    """How pieces are placed.

    Parameters
    ----------
    paper : Paper
        Of every piece that names none.
    margins : Margins or None
        What the printer cannot reach, where that was said.
    gap : Length
        Least distance between two trims.
    cut : CutMode
        What the pieces are cut with.
    trimmer : Length or None
        The longest cut of the trimmer, where that was said.
    fill : tuple of str
        Ids or labels of pieces that may be copied to fill what is left over.
    seconds : float or None
        About how long to look for fewer sheets of each paper, and the longest time that may take; None for
        about a second's work, however long a machine takes for it.
    flip : Flip
        The edge over which papers with backs are turned.
    outlines : bool
        Whether the edges of cut-outs are drawn.
    """

    paper: Paper
    margins: Margins | None
    gap: Length
    cut: CutMode
    trimmer: Length | None = None
    fill: tuple[str, ...] = ()
    seconds: float | None = None
    flip: Flip = Flip.LONG
    outlines: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class MadeSheets:
    """All sheets of one paper.

    Parameters
    ----------
    paper : Paper
        As it lies.
    margins : Margins
        What the printer cannot reach.
    pieces : tuple of int
        Indices of the job's pieces, by the packing's own.
    packing : Packing
        Places, cuts and bound.
    sheets : tuple of Sheet
        As drawn.
    prints : bool
        Whether there is a picture on it.
    stopped : bool
        Whether Ctrl-C ended the looking for fewer sheets.
    """

    paper: Paper
    margins: Margins
    pieces: tuple[int, ...]
    packing: Packing
    sheets: tuple[Sheet, ...]
    prints: bool
    stopped: bool = False

    def is_worth_telling(self, left_over: Box) -> bool:
        """Whether a left-over is large enough to be named beside the number of sheets."""
        whole = self.paper.size.width.emu * self.paper.size.height.emu
        return left_over.width.emu * left_over.height.emu * _LEFT_OVER_TOLD >= whole

    def share_used(self, sheet: PackedSheet) -> float:
        """The share of a sheet's printable area that ends up as finished pieces."""
        area = printable(self.paper, self.margins).size
        trims = sum(place.box.width.emu * place.box.height.emu for place in sheet.placements)
        return trims / (area.width.emu * area.height.emu)


@dataclass(frozen=True, slots=True)
class _Batch:
    """Pieces that share sheets."""

    paper: Paper
    margins: Margins
    pieces: tuple[int, ...]
    flip: Flip | None


def pack_papers(
    planned: PlannedPieces, options: PackOptions, *, title: str = "", progress: Progress = SILENT
) -> tuple[MadeSheets, ...]:
    """Place all pieces of a job.

    Parameters
    ----------
    planned : PlannedPieces
        From `kitprep.jobs.planning.plan_pieces`.
    options : PackOptions
        How.
    title : str
        The job's title, printed at the foot of each sheet.
    progress : Progress
        Told of each paper.

    Returns
    -------
    tuple of MadeSheets
        One for each paper, in the order in which the pieces name them.

    Raises
    ------
    WontFit, MarginsLeaveNothing, TooManyPieces, TrimmerTooShort, BadOption
        If it cannot be done as asked.
    BadOption
        Also if a piece to fill with is not on the list.
    """
    pieces = planned.pieces
    fill = _fillers(pieces, options.fill)
    batches = _batches(pieces, options)
    progress.start("Placing pieces", len(batches))
    packed: list[tuple[_Batch, Packing]] = []
    stopped: set[_Batch] = set()
    with until_interrupted(options.seconds) as patience:
        for batch in batches:
            patience.start()
            packed.append((batch, _pack(batch, pieces, options, fill, patience)))
            if patience.stopped:
                stopped.add(batch)
            progress.step(batch.paper.name)
    progress.finish()
    total = sum(len(packing.sheets) for _, packing in packed)
    made: list[MadeSheets] = []
    for batch, packing in packed:
        first = 1 + sum(len(done.sheets) for done in made)
        items = [_sheet_item(pieces[index], index) for index in batch.pieces]
        sheets = tuple(
            lay_out(
                sheet,
                items,
                paper=batch.paper,
                margins=batch.margins,
                number=number,
                total=total,
                title=title,
                credit=planned.credit,
                outlines=options.outlines,
                flip=batch.flip,
            )
            for number, sheet in enumerate(packing.sheets, first)
        )
        prints = any(not pieces[index].is_blank for index in batch.pieces)
        made.append(
            MadeSheets(batch.paper, batch.margins, batch.pieces, packing, sheets, prints, batch in stopped)
        )
    return tuple(made)


def _batches(pieces: tuple[PlannedPiece, ...], options: PackOptions) -> list[_Batch]:
    by_paper: dict[Paper, list[int]] = {}
    for index, piece in enumerate(pieces):
        by_paper.setdefault(piece.wanted.paper or options.paper, []).append(index)
    batches = []
    for paper, indices in by_paper.items():
        if options.margins is None and all(pieces[index].is_blank for index in indices):
            batches.append(_Batch(paper, NO_MARGINS, tuple(indices), None))
            continue
        margins = options.margins or DEFAULT_MARGINS
        flip = options.flip if any(pieces[index].back for index in indices) else None
        if flip is not None:
            margins = margins_behind(margins, flip, paper)
        whole = [index for index in indices if _needs_whole_paper(pieces[index], paper, margins)]
        shared = [index for index in indices if index not in whole]
        if shared:
            batches.append(_Batch(paper, margins, tuple(shared), flip))
        if whole:  # with an empty back, where the paper's other sheets have one, to keep their order
            batches.append(_Batch(paper, NO_MARGINS, tuple(whole), flip))
    return batches


def _needs_whole_paper(piece: PlannedPiece, paper: Paper, margins: Margins) -> bool:
    if not piece.is_blank:
        return False
    needs = piece.trim.grown(piece.bleed)
    ways = [needs, needs.turned] if piece.wanted.may_turn else [needs]
    room = printable(paper, margins).size
    return not any(way.fits_in(room) for way in ways) and any(way.fits_in(paper.size) for way in ways)


def _pack(
    batch: _Batch,
    pieces: tuple[PlannedPiece, ...],
    options: PackOptions,
    fill: frozenset[int],
    patience: Patience,
) -> Packing:
    """The packing: with the strip at the foot left free, or without it where that saves a sheet."""
    from kitprep.pack import pack

    chosen = [pieces[index] for index in batch.pieces]
    items = [_pack_item(piece, options.cut) for piece in chosen]
    fillers = tuple(place for place, index in enumerate(batch.pieces) if index in fill)

    def packed(margins: Margins) -> Packing:
        return pack(
            items,
            batch.paper,
            margins,
            gap=options.gap,
            mode=options.cut,
            deadline=patience.is_over,
            effort=1.0 if options.seconds is None else options.seconds,
            trimmer_length=TRIMMER_LENGTH if options.trimmer is None else options.trimmer,
            fill=fillers,
            mark_room=MARK_LENGTH,
        )

    if batch.margins == NO_MARGINS and all(piece.is_blank for piece in chosen):
        return packed(batch.margins)
    with_strip = check_strip(batch.paper, batch.margins, with_registration=batch.flip is not None)
    if not _all_fit(items, batch.paper, with_strip):
        return packed(batch.margins)
    roomy = packed(with_strip)
    if len(roomy.sheets) == 1:
        return roomy
    tight = packed(batch.margins)
    if len(tight.sheets) < len(roomy.sheets) and _all_have_check_lines(tight, batch, chosen):
        return tight
    # The bound counts what the paper could take, not what the strip leaves of it.
    return replace(roomy, bound=tight.bound)


def _pack_item(piece: PlannedPiece, cut: CutMode) -> PackItem:
    return PackItem(
        piece.name,
        piece.trim,
        piece.wanted.copies,
        piece.bleed,
        piece.wanted.may_turn,
        _outline(piece) if cut is CutMode.SCISSORS else (),
        piece.wanted.together,
    )


def _outline(piece: PlannedPiece) -> tuple[tuple[int, int], ...]:
    """Where a cut-out is cut, within its trim; none where folds need the piece to lie as its box does."""
    if piece.artwork is None or piece.wanted.scores:
        return ()
    width, height = piece.trim.width.emu, piece.trim.height.emu
    return tuple(
        (
            min(max(round(x * EMU_PER_POINT), 0), width),
            min(max(round(y * EMU_PER_POINT), 0), height),
        )
        for x, y in piece.artwork.outline
    )


def _all_fit(items: Iterable[PackItem], paper: Paper, margins: Margins) -> bool:
    room = printable(paper, margins).size
    for item in items:
        needs = item.size.grown(item.bleed)
        if not (needs.fits_in(room) or (item.may_turn and needs.turned.fits_in(room))):
            return False
    return True


def _all_have_check_lines(packing: Packing, batch: _Batch, chosen: list[PlannedPiece]) -> bool:
    items = [_sheet_item(piece, number) for number, piece in enumerate(chosen)]
    drawn = (
        lay_out(
            sheet,
            items,
            paper=batch.paper,
            margins=batch.margins,
            number=1,
            total=len(packing.sheets),
            flip=batch.flip,
        )
        for sheet in packing.sheets
    )
    return all(sheet.has_check_lines and sheet.has_registration for sheet in drawn)


def _sheet_item(piece: PlannedPiece, number: int) -> SheetItem:
    """The piece with the letter it has on all papers of the job."""
    back = piece.back.artwork if piece.back else None
    return SheetItem(
        piece.name, piece.id, piece.artwork, piece.wanted.scores, piece.grade, letter(number), back
    )


def _fillers(pieces: tuple[PlannedPiece, ...], names: tuple[str, ...]) -> frozenset[int]:
    chosen: set[int] = set()
    for name in names:
        found = {
            index
            for index, piece in enumerate(pieces)
            if name == piece.wanted.label or (piece.id is not None and f"/{piece.id}".endswith(f"/{name}"))
        }
        if not found:
            raise BadOption("--fill", name, "the label or the element of a piece that is asked for too")
        chosen |= found
    return frozenset(chosen)
