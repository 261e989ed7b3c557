"""Errors and findings in the words of the page: what to do is told by what is on it, not by options.

What is wrong is always the error's own sentence; only a next step that names the command line is said anew.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from kitprep import wording
from kitprep.answers import Json
from kitprep.errors import (
    BadEntry,
    BadOption,
    KitprepError,
    LockedFile,
    MarginsLeaveNothing,
    NoSuchElement,
    NoSuchKit,
    NoSuchPrinter,
    NotFound,
    NothingToPrint,
    NothingToUndo,
    OutsidePage,
    ShelfProblem,
    TrimmerTooShort,
    WontFit,
)
from kitprep.jobs.findings import AssumedPpi, BadPage, Finding, NothingFound, TermsNotRecorded


def error(cause: KitprepError) -> Json:
    """An error as the page takes it: its sentence, its cause by name, and what on the page it is about."""
    answer: Json = {"text": sentence_of_error(cause), "cause": type(cause).__name__}
    if isinstance(cause, BadEntry):
        answer |= {"piece": cause.piece, "key": cause.key}
    if isinstance(cause, WontFit):
        answer |= {"name": cause.name}
    return answer


def sentence_of_error(cause: KitprepError) -> str:
    """What is wrong, then what to do about it on the page."""
    step: Callable[[Any], str] = _NEXT_STEPS.get(type(cause), lambda other: str(other.next_step))
    what = f"{cause.what[:1].upper()}{cause.what[1:]}" if isinstance(cause, _OWN_WORDS) else cause.what
    return f"{what}; {step(cause)}."


def warning(finding: Finding) -> Json:
    """A finding as the page shows it."""
    word: Callable[[Any], str] = _SENTENCES.get(type(finding), wording.sentence)
    return {"code": wording.code(finding), "text": word(finding), "about": finding.about}


def fault(cause: BaseException) -> Json:
    """What to say of a fault of kitprep itself."""
    kind = type(cause).__name__
    text = f"This is a fault in kitprep ({kind}); the window in which kitprep runs shows where."
    return {"text": text, "cause": kind}


def _assumed_ppi(finding: AssumedPpi) -> str:
    return (
        f"Nothing tells the resolution of {finding.about}, so {finding.ppi:.0f} pixels per inch are assumed; "
        "bring it in again with its page size if you know it."
    )


def _terms(finding: TermsNotRecorded) -> str:
    return (
        f"The terms of use of {finding.name} are not recorded; look at where you bought it, and bring it in "
        "again with them."
    )


def _bad_page(finding: BadPage) -> str:
    if isinstance(finding.error, LockedFile):
        # The kit is on the shelf without it by now; the same files again would leave it so.
        return f"Left out: {finding.error.what}; type its password and bring that file in by itself."
    return f"Left out: {sentence_of_error(finding.error)}"


def _nothing_found(finding: NothingFound) -> str:
    return f"No element stands out on {finding.about}; draw a box around one on the page itself."


# Their sentences begin with a word of kitprep's; others may begin with the name of a file or a piece, which
# stays as its owner wrote it.
_OWN_WORDS = (BadEntry, BadOption, MarginsLeaveNothing, NothingToUndo, OutsidePage, NotFound, ShelfProblem)
_SENTENCES: dict[type[Finding], Callable[[Any], str]] = {
    AssumedPpi: _assumed_ppi,
    BadPage: _bad_page,
    TermsNotRecorded: _terms,
    NothingFound: _nothing_found,
}
_NEXT_STEPS: dict[type[KitprepError], Callable[[Any], str]] = {
    LockedFile: lambda _: "type its password and bring it in again",
    NothingToUndo: lambda _: "there is nothing to take back",
    NothingToPrint: lambda _: "put an element or a blank on the list first",
    TrimmerTooShort: lambda _: "choose a smaller paper, a longer trimmer, or scissors",
    NoSuchElement: lambda cause: (
        f"did you mean {', '.join(cause.near)}" if cause.near else "take it off the list, or bring its kit in"
    ),
    NoSuchKit: lambda cause: f"choose from {', '.join(cause.known)}" if cause.known else "bring one in",
    NoSuchPrinter: lambda cause: (
        f"choose from {', '.join(cause.known)}" if cause.known else "choose a margin instead"
    ),
}
