"""Everything that can go wrong through no fault of kitprep, in the user's words.

Each class is one cause. It holds the facts of the case and words one sentence from them: what is
wrong and where, then what to do. It knows no exit code and no HTTP status; the command line and the
worktable each map the four families below to their own.

====================  =====================================================
family                 meaning
====================  =====================================================
`WrongUse`             what was asked for cannot be done as asked
`UnusableFile`         a file or folder cannot be read or written
`NotFound`             no such kit, page, element, printer
`ShelfProblem`         the shelf itself is busy or damaged
====================  =====================================================
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Self


class KitprepError(Exception):
    """A cause the user can act on.

    Parameters
    ----------
    what : str
        What is wrong and where, without a full stop.
    next_step : str
        What to do about it, without a full stop.
    """

    def __init__(self, what: str, next_step: str) -> None:
        super().__init__(what, next_step)
        self.what = what
        self.next_step = next_step

    def __str__(self) -> str:
        return f"{self.what}; {self.next_step}."

    def at(self, where: str) -> Self:
        """The same error with the place it was met, such as a line of a make-list, in front."""
        self.what = f"{where}: {self.what}"
        return self


class WrongUse(KitprepError):
    """What was asked for cannot be done as asked."""


class UnusableFile(KitprepError):
    """A file or folder cannot be read or written."""


class NotFound(KitprepError):
    """No such kit, page, element or printer."""


class ShelfProblem(KitprepError):
    """The shelf is busy or damaged."""


# ---------------------------------------------------------------- wrong use


class BadLength(WrongUse):
    """A text that is not a length."""

    def __init__(self, text: str) -> None:
        self.text = text
        super().__init__(f"'{text}' is not a length", "write it like 4 3/4 in, 4.75 in, 12 cm or 120 mm")


class BadSize(WrongUse):
    """A text that is not a size, or a size that cannot be."""

    def __init__(self, text: str, why: str = "is not a size") -> None:
        self.text = text
        super().__init__(f"'{text}' {why}", "write it like 4 3/4 x 2 3/4 in, 3 in wide or 80 mm tall")


class UnknownPaper(WrongUse):
    """A paper that is neither a known name nor a size."""

    def __init__(self, text: str, known: Sequence[str]) -> None:
        self.text = text
        super().__init__(
            f"'{text}' is not a paper kitprep knows",
            f"name one of {', '.join(known)}, or give its size like 12 x 12 in",
        )


class UnknownCard(WrongUse):
    """A card that is neither a known name nor a size."""

    def __init__(self, text: str, known: Sequence[str]) -> None:
        self.text = text
        super().__init__(
            f"'{text}' is not a card kitprep knows",
            f"name one of {', '.join(known)}, or give its front like 5 x 7 in",
        )


class AmbiguousCard(WrongUse):
    """A name that two cards go by."""

    def __init__(self, text: str, meanings: Sequence[str]) -> None:
        self.text = text
        super().__init__(f"'{text}' could be {' or '.join(meanings)}", "write which of them")


class UnknownSize(BadSize):
    """A text that is neither a size nor the name of one; `near` are names like it."""

    def __init__(self, text: str, near: Sequence[str]) -> None:
        self.text = text
        self.near = tuple(near)
        step = f"did you mean {', '.join(near)}" if near else "write it like 4 3/4 x 2 3/4 in or A2 front"
        WrongUse.__init__(self, f"'{text}' is neither a size nor the name of one", step)


class AmbiguousSize(BadSize):
    """A name that several sizes go by."""

    def __init__(self, text: str, meanings: Sequence[str]) -> None:
        self.text = text
        WrongUse.__init__(self, f"'{text}' could be {', '.join(meanings)}", "write which of them")


class BadOption(WrongUse):
    """An option whose value cannot be used.

    Parameters
    ----------
    option : str
        The option or key as the user writes it.
    value : str
        The value given.
    needed : str
        What it has to be, as the end of the sentence "give ...".
    """

    def __init__(self, option: str, value: str, needed: str) -> None:
        self.option = option
        self.value = value
        super().__init__(f"{option} cannot be '{value}'", f"give {needed}")


class OutsidePage(WrongUse):
    """A box or a line that does not lie on the page or element it is for."""

    def __init__(self, asked: str, where: str, limits: str) -> None:
        super().__init__(f"{asked} does not lie on {where}", f"keep within {limits}")


class CannotCombine(WrongUse):
    """Elements that cannot become one, or an element that cannot become two."""

    def __init__(self, what: str, next_step: str) -> None:
        super().__init__(what, next_step)


class TooFineGrid(WrongUse):
    """A grid of elements too small to cut out.

    Parameters
    ----------
    asked : str
        How many rows or columns were asked for, in words.
    each : str
        How tall or wide each would be, as printed for people.
    most : int
        How many there may be.
    """

    def __init__(self, asked: str, each: str, most: int) -> None:
        super().__init__(f"{asked} would be {each} each, too small to cut out", f"ask for at most {most}")


class ScaledByDialog(WrongUse):
    """A test page that came out so much off that the print dialog must have scaled it.

    Parameters
    ----------
    share : str
        Its size as a share of the true one.
    true, reading : str
        What a length of it should measure, and what it measures.
    """

    def __init__(self, share: str, true: str, reading: str) -> None:
        super().__init__(
            f"{reading} in place of {true} is {share}, which no printer does by itself: "
            "the print dialog scaled the page",
            'print the test page once more at 100 %, actual size, not "fit to page"',
        )


class NotTested(WrongUse):
    """A printer whose test page was never written, so that there is nothing to compare a reading with."""

    def __init__(self, name: str) -> None:
        super().__init__(
            f"'{name}' has had no test page yet",
            f"print one first: kitprep printer test '{name}' -o test.pdf",
        )


class WontFit(WrongUse):
    """A piece larger than what the paper can take.

    Parameters
    ----------
    name : str
        The piece.
    needs : str
        The room it needs with bleed, as printed for people.
    paper : str
        The paper's name.
    room : str
        The printable area of that paper, as printed for people.
    over : str
        By how much it is too large, in words.
    advice : str
        What would do: another paper, turning, a smaller size.
    """

    def __init__(self, name: str, needs: str, paper: str, room: str, over: str, advice: str) -> None:
        self.name = name
        super().__init__(f"{name} needs {needs} with its bleed, {over}, and {paper} prints {room}", advice)


class BadEntry(WrongUse):
    """A value in a list kept elsewhere than in a file that cannot be followed.

    Parameters
    ----------
    piece : int or None
        Which piece of the list, from 0; None for a value of the list itself.
    key : str
        The key of the value; empty where the piece as a whole is at fault.
    what, next_step : str
        As in `KitprepError`.
    """

    def __init__(self, piece: int | None, key: str, what: str, next_step: str) -> None:
        self.piece = piece
        self.key = key
        super().__init__(what, next_step)


class NothingToPrint(WrongUse):
    """A job without a piece."""

    def __init__(self, where: str) -> None:
        super().__init__(
            f"{where} asks for no piece", "add a [[piece]] with a size, or use --piece 'ID, SIZE, COPIES'"
        )


class TooManyPieces(WrongUse):
    """A job of more pieces than kitprep packs."""

    def __init__(self, count: int, limit: int) -> None:
        super().__init__(f"{count} pieces are asked for", f"ask for at most {limit} at once")


class MarginsLeaveNothing(WrongUse):
    """Margins that use up the paper."""

    def __init__(self, paper: str, margins: str) -> None:
        super().__init__(
            f"margins of {margins} leave nothing of {paper}", "give smaller margins or a larger paper"
        )


class TrimmerTooShort(WrongUse):
    """A cut longer than the trimmer."""

    def __init__(self, cut: str, trimmer: str) -> None:
        super().__init__(
            f"{cut} is longer than the trimmer of {trimmer}", "use a smaller paper, or --cut scissors"
        )


# ------------------------------------------------------------- unusable file


class MissingFile(UnusableFile):
    """A path at which there is nothing."""

    def __init__(self, path: str) -> None:
        self.path = path
        super().__init__(f"there is no file or folder '{path}'", "check the spelling of its name")


class CannotRead(UnusableFile):
    """A file or folder that is there but cannot be read."""

    def __init__(self, path: str, why: str) -> None:
        super().__init__(f"'{path}' cannot be read ({why})", "check that you may open it, or copy it again")


class NotAPicture(UnusableFile):
    """A file whose content is no picture, PDF or ZIP."""

    def __init__(self, name: str) -> None:
        self.name = name
        super().__init__(
            f"{name} holds no picture", "give JPEG, PNG, TIFF, WebP or PDF pages, or a ZIP of them"
        )


class EmptyFile(UnusableFile):
    """A file of zero bytes."""

    def __init__(self, name: str) -> None:
        super().__init__(f"{name} is empty (0 bytes)", "download or copy it again")


class DamagedPicture(UnusableFile):
    """A picture that is cut short or broken."""

    def __init__(self, name: str, how: str) -> None:
        super().__init__(f"{name} is damaged ({how})", "download or copy it again")


class UnsupportedPicture(UnusableFile):
    """A picture of a kind that kitprep does not take in.

    Parameters
    ----------
    name : str
        The file.
    what : str
        What it is, as the end of the sentence "it is ...".
    """

    def __init__(self, name: str, what: str) -> None:
        super().__init__(f"{name} is {what}, which kitprep does not read", "save it as PNG or JPEG")


class PictureTooLarge(UnusableFile):
    """A picture of more pixels than kitprep takes in."""

    def __init__(self, name: str, width: int, height: int, limit_megapixels: int) -> None:
        super().__init__(
            f"{name} has {width} x {height} pixels, over the limit of {limit_megapixels} megapixels",
            "save it smaller, or split it into pages",
        )


class UnsafeZip(UnusableFile):
    """A ZIP with a member that must not be unpacked."""

    def __init__(self, name: str, why: str) -> None:
        super().__init__(f"{name} is not safe to unpack: {why}", "ask the kit's maker for a plain ZIP")


class DamagedZip(UnusableFile):
    """A ZIP that cannot be unpacked."""

    def __init__(self, name: str, how: str) -> None:
        super().__init__(f"{name} cannot be unpacked ({how})", "download it again")


class ZipInsideZip(UnusableFile):
    """A ZIP inside a kit, which is kept but not opened."""

    def __init__(self, name: str) -> None:
        super().__init__(f"{name} is a ZIP inside the kit and was not opened", "unpack it and import it too")


class TooMuchToImport(UnusableFile):
    """A folder that holds more than one kit can."""

    def __init__(self, name: str, how: str) -> None:
        super().__init__(f"{name} holds {how}", "import the folder of one kit at a time")


class TooManyPages(UnusableFile):
    """A PDF or TIFF whose pages would make a kit too long."""

    def __init__(self, name: str, limit: int) -> None:
        super().__init__(
            f"{name} would bring the kit to more than {limit} pages",
            "split it, and import each part as a kit of its own",
        )


class LockedFile(UnusableFile):
    """A ZIP or PDF that needs a password."""

    def __init__(self, name: str, next_step: str = "give its password with --password") -> None:
        self.name = name
        super().__init__(f"{name} is locked with a password", next_step)


class DamagedPdf(UnusableFile):
    """A PDF that cannot be read."""

    def __init__(self, name: str, how: str) -> None:
        super().__init__(
            f"{name} cannot be used as a PDF ({how})", "download it again, or save its pages as pictures"
        )


class PageTooLarge(UnusableFile):
    """A PDF page too large to be a kit page."""

    def __init__(self, name: str, page: int, wide: str, limit: str) -> None:
        super().__init__(
            f"page {page} of {name} is {wide} wide, over the limit of {limit}", "save that page smaller"
        )


class NoPages(UnusableFile):
    """A source in which there is no page at all."""

    def __init__(self, name: str) -> None:
        super().__init__(f"{name} holds no page", "give JPEG, PNG, TIFF, WebP or PDF pages, or a ZIP of them")


class MakeListProblem(UnusableFile):
    """A make-list that cannot be followed.

    Parameters
    ----------
    name : str
        The file.
    line : int
        The line, counted from 1; 0 where no one line is at fault.
    what : str
        What is wrong there.
    next_step : str
        What to write instead.
    """

    def __init__(self, name: str, line: int, what: str, next_step: str) -> None:
        self.line = line
        super().__init__(f"{name}, line {line}: {what}" if line else f"{name}: {what}", next_step)


class OutputExists(UnusableFile):
    """An output that would replace a file."""

    def __init__(self, path: str) -> None:
        super().__init__(f"'{path}' exists already", "give another name, or --overwrite to replace it")


class CannotWrite(UnusableFile):
    """A place that cannot be written to."""

    def __init__(self, path: str, why: str, next_step: str = "choose another place") -> None:
        self.path, self.why = path, why
        super().__init__(f"'{path}' cannot be written ({why})", next_step)


class OriginalChanged(UnusableFile):
    """An original on the shelf that is not what was imported."""

    def __init__(self, kit: str, file: str, how: str = "was changed on disk") -> None:
        super().__init__(f"{file} of kit {kit} {how}", "put the bought file back, or import the kit again")


# ------------------------------------------------------------------ not found


class NoSuchKit(NotFound):
    """No kit of that name."""

    def __init__(self, kit: str, known: Sequence[str]) -> None:
        self.known = tuple(known)
        have = f"choose from {', '.join(known)}" if known else "import one with 'kitprep import'"
        super().__init__(f"there is no kit '{kit}' on the shelf", have)


class NoSuchPage(NotFound):
    """No page of that number."""

    def __init__(self, page: str, kit: str, known: Sequence[str]) -> None:
        super().__init__(f"kit {kit} has no page '{page}'", f"choose from {', '.join(known)}")


class NoSuchElement(NotFound):
    """No element of that id."""

    def __init__(self, element: str, near: Sequence[str] = ()) -> None:
        self.near = tuple(near)
        do = f"did you mean {', '.join(near)}?" if near else "list them with 'kitprep elements'"
        super().__init__(f"there is no element '{element}'", do.rstrip("?"))


class AmbiguousId(NotFound):
    """A short id that several kits have."""

    def __init__(self, element: str, candidates: Sequence[str]) -> None:
        super().__init__(f"'{element}' could be any of {', '.join(candidates)}", "write it in full")


class NoSuchPrinter(NotFound):
    """No printer of that name."""

    def __init__(self, name: str, known: Sequence[str]) -> None:
        self.known = tuple(known)
        have = f"choose from {', '.join(known)}" if known else f"add it with 'kitprep printer add {name}'"
        super().__init__(f"there is no printer '{name}'", have)


# ---------------------------------------------------------------------- shelf


class ShelfBusy(ShelfProblem):
    """Another kitprep is writing to the shelf."""

    def __init__(self, path: str) -> None:
        super().__init__(
            f"the shelf '{path}' is in use by another kitprep", "try again when that one is done"
        )


class ShelfDamaged(ShelfProblem):
    """A file of the shelf's own cannot be read."""

    def __init__(
        self,
        path: str,
        how: str,
        next_step: str = "mend that file, or delete the kit's folder and import the kit again",
    ) -> None:
        super().__init__(f"'{path}' on the shelf is damaged ({how})", next_step)


class ShelfTooNew(ShelfProblem):
    """A file on the shelf in a format that this kitprep does not know yet."""

    def __init__(self, path: str, written_as: int, known: int) -> None:
        super().__init__(
            f"'{path}' on the shelf is in format {written_as} and this kitprep knows format {known}",
            "update kitprep",
        )


class PortTaken(WrongUse):
    """A port that cannot be listened on."""

    def __init__(self, port: int, why: str) -> None:
        super().__init__(
            f"port {port} of this machine cannot be used ({why})",
            "give another, or --port 0 for any that is free",
        )


class BrokenRequest(WrongUse):
    """A request to the worktable that is not made as its page makes them."""

    def __init__(self, what: str) -> None:
        super().__init__(what, "load the page again")


class NoSuchWork(NotFound):
    """Work or files that the worktable does not keep, or keeps no longer."""

    def __init__(self, what: str) -> None:
        super().__init__(f"the worktable has no {what} any more", "do it again")


class NothingToUndo(WrongUse):
    """An undo where no correction was made."""

    def __init__(self, where: str) -> None:
        super().__init__(f"no correction is recorded for {where}", "make one first, or name another kit")
