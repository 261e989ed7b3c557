"""Findings and reports as plain sentences, for the command line and the worktable alike."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any

from kitprep.detail.grades import Grade, rounded_down
from kitprep.jobs.findings import (
    AssumedColours,
    AssumedPpi,
    BadPage,
    BleedMade,
    Enlarged,
    Finding,
    KeptApart,
    LowMargin,
    MarksLeftOut,
    MeasuredAnew,
    NothingFound,
    NotKept,
    PageNoted,
    PrintsSoft,
    Reproduction,
    StoppedEarly,
    Stretched,
    TermsNotRecorded,
    TextureTaken,
)
from kitprep.lengths import EMU_PER_INCH, ZERO, Size, Unit
from kitprep.pages import UNSURE, Element, Kind

if TYPE_CHECKING:
    from kitprep.files.shelf import Printer
    from kitprep.jobs.cards import CardList
    from kitprep.jobs.checking import Checked
    from kitprep.jobs.mending import Mended
    from kitprep.jobs.planning import PlannedPiece
    from kitprep.jobs.resizing import Resized
    from kitprep.jobs.resplitting import Resplit
    from kitprep.jobs.sheets import SheetReport

BLADE_CAUTION = (
    "Blades cut fingers: use the guard and the hold-down, keep fingers off the cutting line, "
    "keep children away; the manual of your own trimmer or knife comes first."
)
REPRODUCTION_CAUTION = (
    "Pieces that look like stamps, money or official forms may not be reproduced freely everywhere; "
    "ask your local law and the kit maker's terms before you print them to look like the real thing."
)


def code(finding: Finding) -> str:
    """The finding's short code, as the JSON answers carry it."""
    if isinstance(finding, PrintsSoft):
        return finding.grade.value
    return _CODES[type(finding)]


def sentence(finding: Finding) -> str:
    """The finding as one or two plain sentences."""
    word: Callable[[Any], str] = _SENTENCES[type(finding)]
    return word(finding)


def size_for_people(size: Size, unit: Unit) -> str:
    """A largest size, rounded down to what a ruler shows: 1/16 in or 1 mm."""
    return rounded_down(size, unit).text(unit)


def count(number: int, noun: str, plural: str = "") -> str:
    """``1 page``, ``3 pages``, ``2 boxes``."""
    return f"{number} {noun if number == 1 else plural or noun + 's'}"


def listed(words: Iterable[str], most: int = 6) -> str:
    """``a, b and c``; ``a, b and 7 more`` where there are many."""
    all_words = list(words)
    if len(all_words) > most:
        all_words = [*all_words[: most - 1], f"{len(all_words) - most + 1} more"]
    if len(all_words) < 2:
        return "".join(all_words)
    if any("," in word for word in all_words):  # a list of names that have commas of their own
        return f"{'; '.join(all_words[:-1])} and {all_words[-1]}"
    return f"{', '.join(all_words[:-1])} and {all_words[-1]}"


def _prints_soft(finding: PrintsSoft) -> str:
    asked, fine = finding.wanted.text(), _fine_up_to(finding)
    if finding.real_ppi is not None and finding.page_real_ppi is not None and finding.real_ppi < finding.ppi:
        return (
            f"{finding.name}: the page says {finding.page_ppi:.0f} pixels per inch, but the picture holds "
            f"about {finding.page_real_ppi:.0f}: at {asked} it will look {finding.grade.value}; "
            f"up to {fine} it is fine."
        )
    return (
        f"{finding.name} at {asked} has {finding.ppi:.0f} pixels per inch "
        f"and will look {finding.grade.value}; up to {fine} it is fine."
    )


def _fine_up_to(finding: PrintsSoft) -> str:
    """The largest fine size, said as the size was asked for: one length where one was."""
    size = rounded_down(finding.largest_fine, finding.unit)
    if finding.wanted.height is None:
        return size.width.text(finding.unit)
    if finding.wanted.width is None:
        return size.height.text(finding.unit)
    return size.text(finding.unit)


def _assumed_ppi(finding: AssumedPpi) -> str:
    return (
        f"Nothing tells the resolution of {finding.about}, so {finding.ppi:.0f} pixels per inch are assumed; "
        "import it with --ppi or --page-size if you know better."
    )


def _assumed_colours(finding: AssumedColours) -> str:
    whose = f"the pages of {finding.name}" if finding.every else f"{listed(finding.pages)} of {finding.name}"
    return f"No colour profile tells the colours of {whose}, so they are taken for sRGB, as most are."


def _bad_page(finding: BadPage) -> str:
    return f"Left out: {finding.error}"


def _terms(finding: TermsNotRecorded) -> str:
    return (
        f"The terms of use of {finding.name} are not recorded; look at where you bought it, "
        "and keep them with --terms."
    )


def _nothing_found(finding: NothingFound) -> str:
    return (
        f"No element stands out on {finding.about}; take one by hand with 'kitprep crop', "
        "or keep the page whole with --whole."
    )


def _page_noted(finding: PageNoted) -> str:
    return f"{finding.about}: {finding.note.value}."


def _texture(finding: TextureTaken) -> str:
    return (
        f"{finding.about} looks like one printed paper and is taken as one; crop it if it is more than that."
    )


def _enlarged(finding: Enlarged) -> str:
    return (
        f"{finding.about} was written with {finding.factor:.1f} times the pixels it has across; "
        "more pixels do not make it sharper."
    )


def _stretched(finding: Stretched) -> str:
    return (
        f"{finding.about} is pulled out of proportion by {finding.percent:.0f} %; "
        "use fit cover or inside to keep its shape."
    )


def _measured_anew(finding: MeasuredAnew) -> str:
    return (
        f"What was measured of {finding.about} before could not be read, so it was measured once more; "
        "nothing needs to be done."
    )


def _not_kept(finding: NotKept) -> str:
    return (
        f"What was measured of {finding.about} cannot be kept, so each check takes longer: "
        f"'{finding.path}' cannot be written ({finding.why})."
    )


def _bleed(finding: BleedMade) -> str:
    return (
        f"The kit has no picture beyond the edge of {listed(finding.names)}, so the bleed is made from "
        "the edge: mirrored, or its colours grown outward."
    )


def _low_margin(finding: LowMargin) -> str:
    return (
        f"A margin of {finding.margin.text(finding.unit)} on {finding.about} is less than many home "
        "printers reach; try one sheet first."
    )


def _marks_left_out(finding: MarksLeftOut) -> str:
    missing = []
    if finding.folds:
        missing.append(f"the fold marks of {listed(finding.folds)}")
    if finding.unlabelled:
        missing.append(f"a label for {listed(finding.unlabelled)}")
    if finding.cuts:
        missing.append(f"the ticks of {count(finding.cuts, 'cut')}")
    guide = "; the cut guide (--guide) has them" if missing else ""
    if finding.registration:
        missing.append("the marks to hold against the light")
    if finding.check_lines:
        missing.append("the check lines, so measure a piece instead")
    return f"Sheet {finding.sheet} has no room for {listed(missing)}{guide}."


def _reproduction(finding: Reproduction) -> str:
    return f"{listed(finding.names)}: {REPRODUCTION_CAUTION}"


def _kept_apart(finding: KeptApart) -> str:
    return f"The pieces of {finding.together} are on several sheets; to keep them on one would cost a sheet."


def _stopped_early(finding: StoppedEarly) -> str:
    return (
        f"The search for fewer sheets of {finding.paper} was stopped at {finding.sheets}; "
        f"at least {finding.bound} are needed."
    )


_CODES: dict[type[Finding], str] = {
    AssumedColours: "assumed-srgb",
    AssumedPpi: "assumed-ppi",
    BadPage: "bad-page",
    TermsNotRecorded: "terms",
    NothingFound: "nothing-found",
    TextureTaken: "texture",
    PageNoted: "page",
    Enlarged: "upscaled",
    Stretched: "stretched",
    MeasuredAnew: "measured-anew",
    NotKept: "not-kept",
    BleedMade: "no-bleed-source",
    LowMargin: "low-margin",
    MarksLeftOut: "no-room",
    Reproduction: "reproduction",
    KeptApart: "kept-apart",
    StoppedEarly: "stopped",
}
_SENTENCES: dict[type[Finding], Callable[[Any], str]] = {
    AssumedColours: _assumed_colours,
    AssumedPpi: _assumed_ppi,
    BadPage: _bad_page,
    TermsNotRecorded: _terms,
    NothingFound: _nothing_found,
    TextureTaken: _texture,
    PageNoted: _page_noted,
    PrintsSoft: _prints_soft,
    Enlarged: _enlarged,
    Stretched: _stretched,
    MeasuredAnew: _measured_anew,
    NotKept: _not_kept,
    BleedMade: _bleed,
    LowMargin: _low_margin,
    MarksLeftOut: _marks_left_out,
    Reproduction: _reproduction,
    KeptApart: _kept_apart,
    StoppedEarly: _stopped_early,
}


# ------------------------------------------------------------------ reports

PRINT_ADVICE = (
    'Print at 100 %, actual size (not "fit to page"); '
    "then hold a ruler to the 1 in and 25 mm lines on the sheet."
)
TWO_SIDED_ADVICE = (
    "Print on both sides, turned over the {edge} edge; hold one sheet against the light: "
    "where the crosses of both sides meet, the backs are behind their fronts."
)
TEST_PAGE_ADVICE = (
    "Print it at 100 %, actual size, measure the frame with a ruler, and type what you read "
    "with 'kitprep printer measured'; the page says how."
)
CORRECTED_PAGE_ADVICE = (
    "Print it at 100 %, actual size, and hold a ruler to the frame: it makes up for what was measured, so the "
    "frame must be as large, and stand where, the page says."
)
CHECK_HEADINGS = ("piece", "printed at", "ppi", "detail", "grade", "crisp up to", "fine up to", "soft up to")
PIECE_HEADINGS = ("piece", "size", "copies", "element", "grade")


def size_on_page(size: Size) -> str:
    """A size that came from pixels: inches to the hundredth."""
    return f"{size.width.inches:.2f} x {size.height.inches:.2f} in"


def sureness(confidence: float, *, unwanted: bool) -> str:
    """What to say of an element that may be wrong or not wanted; empty where there is nothing to say."""
    if unwanted:
        return "likely not wanted"
    return "look twice" if confidence < UNSURE else ""


def kinds_of(elements: Iterable[Element]) -> str:
    """``8 stamps, 4 tags``: what is on a page, without what is likely not wanted."""
    counts: dict[Kind, int] = {}
    for element in elements:
        if not element.unwanted:
            counts[element.kind] = counts.get(element.kind, 0) + 1
    return ", ".join(
        f"{number} {kind.value}" if kind in _NO_PLURAL else count(number, kind.value)
        for kind, number in counts.items()
    )


def mended(change: Mended) -> str:
    """What a correction did."""
    added, removed = _ids(change, change.added), _ids(change, change.removed)
    if not added and not removed:
        return f"{change.page_id} is as it was."
    if added == removed:
        element = change.added[0]
        words = f", words: {', '.join(element.words)}" if element.words else ""
        return f"{added[0]} is now a {element.kind.value}{words}."
    if not added:
        return f"{listed(removed)} {_are(removed)} off the list of {change.page_id}."
    made = listed(
        f"{name} ({element.kind.value}, {size_on_page(element.size(change.page.ppi))})"
        for name, element in zip(added, change.added, strict=True)
    )
    return f"{made} in place of {listed(removed)}." if removed else f"{made} is added."


def undone(change: Mended) -> str:
    """What taking a correction back did."""
    back, gone, altered = (_short_ids(change, some) for some in (change.came, change.went, change.altered))
    parts = []
    if back:
        parts.append(f"{listed(back)} {_are(back)} there again")
    if gone:
        parts.append(f"{listed(gone)} {_are(gone)} gone")
    if altered:
        parts.append(f"{listed(altered)} {_are(altered)} as before")
    return f"Taken back on {change.page_id}: {'; '.join(parts) or 'no element is changed by it'}."


def resplit(done: Resplit) -> str:
    """What splitting a page again did."""
    change = done.change
    parts = []
    for verb, some in (("came", change.came), ("went", change.went), ("changed", change.altered)):
        if some:
            parts.append(f"{len(some)} {verb} ({listed(_short_ids(change, some))})")
    same = len(change.page.elements) - len(change.added)
    if same and parts:
        parts.append(f"{same} stayed as {'it was' if same == 1 else 'they were'}")
    text = f"{change.page_id} is split again: {', '.join(parts) if parts else 'nothing is changed'}."
    if done.by_hand:
        text += f" {count(done.by_hand, 'correction')} by hand {'is' if done.by_hand == 1 else 'are'} kept"
        text += f", and {done.held_back} of what was found gave way." if done.held_back else "."
    elif done.held_back:
        text += (
            f" {done.held_back} of what was found {'was' if done.held_back == 1 else 'were'} dropped before."
        )
    return text


def _ids(change: Mended, elements: Iterable[Element]) -> list[str]:
    return [change.id_of(element) for element in elements]


def _short_ids(change: Mended, elements: Iterable[Element]) -> list[str]:
    """Where the kit is named beside them."""
    return [name.rpartition("/")[2] for name in _ids(change, elements)]


def _are(names: list[str]) -> str:
    return "is" if len(names) == 1 else "are"


def check_row(one: Checked) -> tuple[str, ...]:
    """A piece's row under `CHECK_HEADINGS`."""
    detail = one.detail
    name = f"{one.wanted.label} ({one.id.rpartition('/')[2]})" if one.wanted.label else one.id
    exact = (
        one.unit is Unit.INCH and detail.printed.width.emu * 16 % EMU_PER_INCH == 0
    ) or one.unit is not Unit.INCH
    return (
        name,
        detail.printed.text(one.unit) if exact else size_on_page(detail.printed),
        f"{detail.ppi:.0f}",
        "cannot tell" if detail.detail is None else f"{detail.detail:.0%}",
        detail.grade.value,
        *(
            size_for_people(detail.largest[grade], one.unit)
            for grade in (Grade.CRISP, Grade.FINE, Grade.SOFT)
        ),
    )


def resized(done: Resized) -> str:
    """What ``resize`` wrote."""
    across, down = done.size_px
    bits = f" of {done.bits} bits to a colour" if done.bits > 8 else ""
    return (
        f"{done.checked.id} at {done.size.text(done.checked.unit)} is written to {done.path}: "
        f"{across} x {down} pixels{bits} at {done.ppi[0]:.0f} to the inch, {done.checked.detail.grade.value}."
    )


def piece_row(piece: PlannedPiece, report: SheetReport) -> tuple[str, ...]:
    """A piece's row under `PIECE_HEADINGS`; ``1 + 50`` where copies were added to fill."""
    more = report.placed(report.pieces.index(piece)) - piece.wanted.copies
    copies = f"{piece.wanted.copies} + {more}" if more else str(piece.wanted.copies)
    return (piece.name, piece.trim.text(report.unit), copies, piece.id or "blank", piece.grade)


def papers(report: SheetReport) -> list[str]:
    """How many sheets of each paper were made and how well they are used, a line each."""
    lines = []
    for made in report.papers:
        packing = made.packing
        shares = listed((f"{made.share_used(sheet):.0%}" for sheet in packing.sheets), most=12)
        least = "no fewer are possible" if packing.proved else f"at least {packing.bound} are needed"
        kind = made.paper.name if made.prints else f"{made.paper.name}, blanks only, nothing to print"
        lines.append(f"{count(len(packing.sheets), 'sheet')} of {kind} ({least}); used: {shares}.")
        cuts = sum(len(sheet.cuts) for sheet in packing.sheets)
        if cuts:
            lines.append(f"{count(cuts, 'through cut')} with a trimmer.")
        if any(sheet.nested for sheet in packing.sheets):
            lines.append("Outlines are nested closer than their boxes.")
        kept = [
            f"{packed.left_over.size.text(report.unit)} of sheet {sheet.number}"
            for packed, sheet in zip(packing.sheets, made.sheets, strict=True)
            if packed.left_over is not None and made.is_worth_telling(packed.left_over)
        ]
        if kept:
            lines.append(f"Left over, to keep: {listed(kept)}.")
    return lines


def sheets(report: SheetReport) -> list[str]:
    """What was made and where it is, a line each."""
    several = len(report.pdfs) > 1
    lines = papers(report)
    lines += [
        f"Sheets of {pdf.paper.name}: {pdf.path}" if several else f"Sheets: {pdf.path}" for pdf in report.pdfs
    ]
    flips = {sheet.flip for pdf in report.pdfs for sheet in pdf.sheets if sheet.flip is not None}
    lines += [TWO_SIDED_ADVICE.format(edge=flip.value) for flip in flips]
    if report.files.preview is not None:
        lines.append(f"Preview: {report.files.preview}")
    if report.files.guide is not None:
        lines.append(f"Cut guide: {report.files.guide}")
    for kind, paths in (("Cut lines", report.cut_lines), ("Previews", report.page_previews)):
        if paths:
            lines.append(f"{kind}: {listed(map(str, paths))}")
    return lines


def card(made: CardList) -> list[str]:
    """A card's plan, a line each."""
    plan, unit = made.plan, made.plan.card.unit
    lines = [f"{plan.card.name} card, {plan.card.front.text(unit)} closed, fold at the {plan.edge.value}."]
    lines.append(f"Base: {plan.base.text(unit)}.")
    lines += [f"Score at {fold.at.text(unit)} from the left, {fold.way.value} fold." for fold in plan.folds]
    lines += [
        f"{panel.name}: {panel.size.text(unit)}" + (f", {panel.copies} of it." if panel.copies > 1 else ".")
        for panel in plan.panels
    ]
    if made.path is not None:
        lines.append(f"Make-list: {made.path}")
    return lines


def printer(known: Printer) -> str:
    """What is known of a printer."""
    text = f"{known.name}: cannot reach {known.margins.text()}"
    if not known.is_measured:
        return f"{text}; not measured yet, taken as true to size."
    beside = [
        f"{abs(offset.mm):.1f} mm too far {plus if offset > ZERO else minus}"
        for offset, plus, minus in ((known.offset_x, "right", "left"), (known.offset_y, "down", "up"))
        if offset != ZERO
    ]
    place = f", {' and '.join(beside)} at the top left corner" if beside else ""
    return (
        f"{text}; prints {float(known.scale_x):.2%} across and {float(known.scale_y):.2%} down{place}; "
        "sheets for it make up for that."
    )


_NO_PLURAL = frozenset({Kind.WORDS, Kind.OTHER})
