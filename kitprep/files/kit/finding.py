"""Finds the pages among the originals, by their content and from their headers alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kitprep.errors import (
    EmptyFile,
    NotAPicture,
    TooManyPages,
    UnsupportedPicture,
    UnusableFile,
    ZipInsideZip,
)
from kitprep.files.kit.limits import MAX_PAGES
from kitprep.files.kit.names import natural_order
from kitprep.files.kit.pdf import pdf_pages
from kitprep.files.kit.pictures import picture_pages
from kitprep.files.kit.resolution import GivenResolution
from kitprep.files.kit.sniffing import (
    PICTURE_KINDS,
    UNSUPPORTED_KINDS,
    FileKind,
    is_named_like_a_page,
    sniff,
)
from kitprep.files.kit.source import Original, PageSource
from kitprep.lengths import Size


@dataclass(frozen=True, slots=True)
class PageOptions:
    """What a person says of the pages.

    Parameters
    ----------
    page_size : Size or None
        The printed size of each page that is a picture, either way up.
    ppi : float or None
        Pixels per inch of each page that is a picture; goes before `page_size`.
    password : str or None
        What opens locked PDFs.
    """

    page_size: Size | None = None
    ppi: float | None = None
    password: str | None = None


@dataclass(frozen=True, slots=True)
class FoundPages:
    """The pages of a kit, and the files that look like pages and cannot be used."""

    pages: tuple[PageSource, ...]
    problems: tuple[UnusableFile, ...]


def find_pages(originals: Sequence[Original], options: PageOptions | None = None) -> FoundPages:
    """The pages among the originals, page 2 before page 10.

    A file counts by its content, whatever its name: a PNG called .jpg is a page. Texts, fonts, drawings for
    other programs and the like are no pages and no problem. A problem is a file whose content or name says
    that it is a picture or a PDF and that cannot be used, a ZIP inside the kit, which is not opened, and a
    file that would bring the kit to more than `limits.MAX_PAGES` pages.

    Parameters
    ----------
    originals : sequence of Original
        The bought files.
    options : PageOptions
        What a person says of the pages.
    """
    options = options or PageOptions()
    pages: list[PageSource] = []
    problems: list[UnusableFile] = []
    for original in sorted(originals, key=lambda original: natural_order(original.name)):
        try:
            found = _pages_of(original, options)
            if len(pages) + len(found) > MAX_PAGES:
                raise TooManyPages(original.name, MAX_PAGES)
            pages.extend(found)
        except UnusableFile as problem:
            problems.append(problem)
    return FoundPages(tuple(pages), tuple(problems))


def _pages_of(original: Original, options: PageOptions) -> Sequence[PageSource]:
    kind = sniff(original.path)
    if kind in PICTURE_KINDS:
        return picture_pages(original, kind, GivenResolution(options.page_size, options.ppi))
    if kind is FileKind.PDF:
        return pdf_pages(original, options.password)
    if kind in UNSUPPORTED_KINDS:
        raise UnsupportedPicture(original.name, kind.value)
    if kind is FileKind.ZIP and original.name.lower().endswith(".zip"):
        raise ZipInsideZip(original.name)
    if is_named_like_a_page(original.name):
        raise EmptyFile(original.name) if kind is FileKind.EMPTY else NotAPicture(original.name)
    return ()
