"""Which files a make-list becomes, what they are called, and where each sheet is in them.

One file has the name that was given. Where there are several of a kind, each name gets a word more before
its ending: PDFs the paper's (``supper-letter.pdf``, ``supper-a4.pdf``), since a print dialog takes one paper
at a time; cut lines and pictures of single pages the sheet's number (``supper-1.svg``, ``supper-1-back.png``).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from kitprep.errors import BadOption, CannotWrite, MissingFile, OutputExists
from kitprep.papers import Paper
from kitprep.sheet import Sheet

LONGEST_NAME = 240  # of a file; common systems hold 255 bytes
LEAST_PPI, MOST_PPI = 20, 600  # of previews
ROOM_FOR_WORDS = 32  # in a name, for a paper or a number


@dataclass(frozen=True, slots=True)
class SheetFiles:
    """What to write, and where.

    Parameters
    ----------
    pdf : Path
        The sheets; a file for each paper, see above.
    preview : Path or None
        A PNG of all pages.
    guide : Path or None
        A PDF that says how to cut them.
    overwrite : bool
        Whether files of those names may be replaced.
    cut_lines : Path or None
        An SVG of each sheet's cut and fold lines at true size.
    page_previews : Path or None
        A PNG of each page.
    preview_ppi : int or None
        Pixels per inch of previews; None for 100 where all are on one, else 150.
    """

    pdf: Path
    preview: Path | None = None
    guide: Path | None = None
    overwrite: bool = False
    cut_lines: Path | None = None
    page_previews: Path | None = None
    preview_ppi: int | None = None


@dataclass(frozen=True, slots=True, eq=False)
class PaperFile:
    """The PDF of one paper.

    Parameters
    ----------
    paper : Paper
        Of all its pages.
    path : Path
        Where it is.
    sheets : tuple of Sheet
        On its pages in this order, each followed by its back where it has one.
    """

    paper: Paper
    path: Path
    sheets: tuple[Sheet, ...]

    def pages(self) -> dict[int, tuple[int, int | None]]:
        """For each sheet, by its number, the page of its front and of its back, from 1."""
        found: dict[int, tuple[int, int | None]] = {}
        page = 1
        for sheet in self.sheets:
            back = page + 1 if sheet.back is not None else None
            found[sheet.number] = page, back
            page = (back or page) + 1
        return found


def refuse_unusable(files: SheetFiles, papers: Sequence[Paper]) -> None:
    """Refuse before the work is done what the writers would refuse after it.

    Raises
    ------
    BadOption
        If a name ends wrongly, two are the same, or the resolution of previews is out of bounds.
    MissingFile, CannotWrite, OutputExists
        If a folder is not there, a name is too long, or a file is there that may not be replaced.
    """
    named = _named(files)
    for option, path, ending in named:
        if path.suffix.lower() != ending:
            raise BadOption(option, path.name, f"a name that ends in {ending}")
    if files.preview_ppi is not None and not LEAST_PPI <= files.preview_ppi <= MOST_PPI:
        needed = f"pixels per inch from {LEAST_PPI} to {MOST_PPI}"
        raise BadOption("--preview-ppi", str(files.preview_ppi), needed)
    for _, path, _ in named:
        if not path.absolute().parent.is_dir():
            raise MissingFile(str(path.parent))
        if len(path.name) > LONGEST_NAME - ROOM_FOR_WORDS:
            raise CannotWrite(path.name, "its name is too long", "give a shorter one")
    pdfs = paper_paths(files.pdf, papers)
    for path in (*pdfs.values(), *(path for option, path, _ in named if option in ("--preview", "--guide"))):
        if path.exists() and not files.overwrite:
            raise OutputExists(str(path))
    whole = [path.absolute() for _, path, _ in named] + [path.absolute() for path in pdfs.values()]
    if len(set(whole[1:])) < len(whole) - 1:
        raise BadOption("--guide, --preview or another output", str(files.pdf), "each file a name of its own")


def paper_paths(pdf: Path, papers: Iterable[Paper]) -> dict[Paper, Path]:
    """The PDF of each paper."""
    distinct = list(dict.fromkeys(papers))
    if len(distinct) == 1:
        return {distinct[0]: pdf}
    return {paper: _with_word(pdf, _plain(paper.name)) for paper in distinct}


def sheet_paths(path: Path, sheets: Sequence[Sheet]) -> list[Path]:
    """A file for each sheet."""
    if len(sheets) == 1:
        return [path]
    return [_with_word(path, str(sheet.number)) for sheet in sheets]


def page_paths(path: Path, sheets: Sequence[Sheet]) -> list[Path]:
    """A file for each page, backs after their fronts."""
    found = []
    for sheet, own in zip(sheets, sheet_paths(path, sheets), strict=True):
        found += [own] if sheet.back is None else [own, _with_word(own, "back")]
    return found


def _named(files: SheetFiles) -> list[tuple[str, Path, str]]:
    every = (
        ("-o", files.pdf, ".pdf"),
        ("--guide", files.guide, ".pdf"),
        ("--preview", files.preview, ".png"),
        ("--page-previews", files.page_previews, ".png"),
        ("--cut-lines", files.cut_lines, ".svg"),
    )
    return [(option, path, ending) for option, path, ending in every if path is not None]


def _with_word(path: Path, word: str) -> Path:
    return path.with_name(f"{path.stem}-{word}{path.suffix}")


def _plain(name: str) -> str:
    """A paper's name as part of a file's."""
    words = "".join(sign if sign.isalnum() or sign == "." else " " for sign in name.lower()).split()
    return "-".join(words)[: ROOM_FOR_WORDS - 1]
