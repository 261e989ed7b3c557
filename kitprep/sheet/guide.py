"""What a cut guide says: which pieces are on a sheet, and every cut with its fence setting in words.

The cautions are common practice with paper trimmers and craft knives, no published source; they send
the reader to the tool's own manual first.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from kitprep.lengths import Length, Unit
from kitprep.pack.packing import Cut
from kitprep.sheet.drawn import Sheet, SheetPiece
from kitprep.sheet.typeface import with_fractions

TRIMMER_CAUTIONS = (
    "Read the trimmer's own manual first; where it differs from this page, it is right.",
    "Keep the blade guard on and lock the hold-down before every cut.",
    "Hold the paper well away from the blade's path; never reach across it.",
    "Close or lock the blade whenever you turn away, and keep it out of children's reach.",
)
SCISSORS_CAUTIONS = (
    "Cut towards the open side of the paper, away from the hand that holds it, and turn the paper.",
    "With a knife: a cutting mat, a steel ruler with a finger guard, a fresh blade, several light strokes.",
    "Cap blades when you put them down, and keep them out of children's reach.",
)
PLAN_CAUTION = "This is a plan for paper without a print on it: measure on the card itself."
CHECK_CAUTION = "Hold a ruler against the sheet's check lines: 1 in and 25 mm must measure just that."
TICKS_CAUTION = (
    "Cut on the printed ticks and marks; a fence setting only brings you to them, as printers place a "
    "picture up to a millimetre off."
)
NUMBERS_NOTE = (
    "Cut the pieces apart roughly first, in the order of their numbers, then cut each along its own edge."
)
UNLABELLED_NOTE = (
    "Pieces that carry no name on the sheet, for want of room, are told by their letter in the drawing."
)


@dataclass(frozen=True, slots=True)
class GuidePiece:
    """One line of the list of pieces.

    Parameters
    ----------
    letter, name : str
        As on the sheet.
    size : str
        Width and height as it stands unturned.
    count : int
        Copies on this sheet.
    numbers : str
        The numbers that they have in the drawing of a sheet for scissors; empty for the trimmer.
    folds : str
        Where it is folded, from its left edge; empty for none.
    grade : str
        The grade of its picture; empty for a blank.
    """

    letter: str
    name: str
    size: str
    count: int
    numbers: str
    folds: str
    grade: str


@dataclass(frozen=True, slots=True)
class GuideStep:
    """One cut in words.

    Parameters
    ----------
    cut : Cut
        The cut.
    take : str
        The part in hand.
    edge : str
        The edge that goes against the fence: left, right, top, bottom.
    fence : str
        Where the fence is set, in the unit of the guide.
    other : str
        The same in the other system.
    falls : str
        What falls off.
    ticked : bool
        Whether the sheet carries a tick with the cut's number.
    """

    cut: Cut
    take: str
    edge: str
    fence: str
    other: str
    falls: str
    ticked: bool


@dataclass(frozen=True, slots=True, eq=False)
class GuideSheet:
    """The guide to one sheet.

    Parameters
    ----------
    sheet : Sheet
        To be drawn small.
    paper : str
        Its paper and size in words.
    pieces : tuple of GuidePiece
        By letter.
    steps : tuple of GuideStep
        In order; empty for scissors.
    note : str
        What else there is to know about the pieces; empty for nothing.
    left_over : str
        What is left over and worth keeping, with its size; empty for nothing.
    cautions : tuple of str
        What to mind, most important first.
    """

    sheet: Sheet
    paper: str
    pieces: tuple[GuidePiece, ...]
    steps: tuple[GuideStep, ...]
    note: str
    left_over: str
    cautions: tuple[str, ...]


def cut_guide(sheets: Sequence[Sheet], unit: Unit | None = None) -> tuple[GuideSheet, ...]:
    """The cut guide of sheets.

    Parameters
    ----------
    sheets : sequence of Sheet
        In order.
    unit : Unit, optional
        What lengths are spoken of in; each paper's own where not given.
    """
    return tuple(_guide(sheet, unit or sheet.paper.unit) for sheet in sheets)


def _guide(sheet: Sheet, unit: Unit) -> GuideSheet:
    size = _set(sheet.paper.size.text(unit))
    named = sheet.paper.name if sheet.paper.name[:1].isalpha() else ""
    return GuideSheet(
        sheet=sheet,
        paper=f"{named}, {size}" if named else size,
        pieces=_pieces(sheet, unit),
        steps=tuple(_step(cut, unit, cut.number not in sheet.unmarked_cuts) for cut in sheet.cuts),
        note=_note(sheet),
        left_over=_left_over(sheet, unit),
        cautions=_cautions(sheet),
    )


def _note(sheet: Sheet) -> str:
    notes = [] if sheet.cuts else [NUMBERS_NOTE]
    return " ".join(notes + ([UNLABELLED_NOTE] if sheet.unlabelled or sheet.lettered else []))


def _left_over(sheet: Sheet, unit: Unit) -> str:
    if sheet.left_over is None:
        return ""
    where = "at the bottom" if sheet.left_over.width == sheet.paper.size.width else "at the right"
    return f"Left over {where}, to keep: {_set(sheet.left_over.size.text(unit))}"


def _cautions(sheet: Sheet) -> tuple[str, ...]:
    tool = TRIMMER_CAUTIONS if sheet.cuts else SCISSORS_CAUTIONS
    if sheet.plan_only:
        return PLAN_CAUTION, *tool
    return (CHECK_CAUTION, TICKS_CAUTION, *tool) if sheet.cuts else (CHECK_CAUTION, *tool)


def _pieces(sheet: Sheet, unit: Unit) -> tuple[GuidePiece, ...]:
    pieces = sheet.pieces
    counts = Counter(piece.item for piece in pieces)
    first = {piece.item: piece for piece in reversed(pieces)}
    return tuple(
        GuidePiece(
            letter=first[item].letter,
            name=first[item].name,
            size=_set(first[item].size.text(unit)),
            count=counts[item],
            numbers="" if sheet.cuts else _numbers(pieces, item),
            folds=_folds(first[item].scores, unit),
            grade=first[item].grade,
        )
        for item in sorted(counts)
    )


def _numbers(pieces: Sequence[SheetPiece], item: int) -> str:
    return "no. " + ", ".join(str(number) for number, piece in enumerate(pieces, 1) if piece.item == item)


def _folds(scores: Sequence[Length], unit: Unit) -> str:
    if not scores:
        return ""
    return _set(f"fold at {', '.join(score.number(unit) for score in scores)} {unit.value} from the left")


def _step(cut: Cut, unit: Unit, ticked: bool) -> GuideStep:
    return GuideStep(
        cut=cut,
        take=cut.part,
        edge=cut.against.value,
        fence=_set(cut.fence.text(unit)),
        other=_rounded(cut.fence, Unit.MM if unit is Unit.INCH else Unit.INCH),
        falls=cut.falls,
        ticked=ticked,
    )


def _rounded(length: Length, unit: Unit) -> str:
    """In tenths of a millimetre or hundredths of an inch, halves up."""
    places = 1 if unit is Unit.MM else 2
    parts = (length.emu * 10**places * 2 + unit.emu) // (2 * unit.emu)
    return f"{parts / 10**places:.{places}f} {unit.value}"


def _set(words: str) -> str:
    return with_fractions(words.replace(" x ", " × "))
