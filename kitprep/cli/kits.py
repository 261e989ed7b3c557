"""``import``, ``kits`` and ``elements``."""

from __future__ import annotations

import getpass
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from kitprep.cli import given as read
from kitprep.cli.console import ProgressBar, Screen
from kitprep.cli.exits import WARNED
from kitprep.errors import BadOption, CannotRead, MissingFile

if TYPE_CHECKING:
    from kitprep.jobs.importing import ImportReport

LONGEST_NAME = 240
"""A longer text is no name of a file on any common system, so it is the terms themselves."""
AsJson = Annotated[bool, typer.Option("--json", help="Answer with one JSON document.")]
Overwrite = Annotated[bool, typer.Option("--overwrite", help="Replace files that are there already.")]


def add_to(app: typer.Typer) -> None:
    """Add these commands."""
    app.command("import", no_args_is_help=True)(import_)
    app.command("kits")(kits)
    app.command("elements")(elements)


def import_(
    ctx: typer.Context,
    sources: Annotated[list[Path], typer.Argument(help="A ZIP, a folder, or picture and PDF files.")],
    name: Annotated[str, typer.Option(help="What to call the kit.")] = "",
    maker: Annotated[str, typer.Option(help="Who made it.")] = "",
    terms: Annotated[str, typer.Option(help="Its terms of use: a text, or a file that holds it.")] = "",
    page_size: Annotated[
        str | None, typer.Option(help="What each page measures: letter, A4, 12 x 12 in.")
    ] = None,
    ppi: Annotated[float | None, typer.Option(help="Pixels per inch of each page.")] = None,
    whole: Annotated[bool, typer.Option("--whole", help="Keep each page whole, as one element.")] = False,
    password: Annotated[str | None, typer.Option(help="For locked PDFs; asked for where needed.")] = None,
    picture: Annotated[Path | None, typer.Option(help="Draw a contact sheet: .png, .pdf or .html.")] = None,
    overwrite: Overwrite = False,
    as_json: AsJson = False,
) -> None:
    """Bring a bought kit onto the shelf, split into its elements.

    kitprep import demo_kit/pages --name "Lantern Orchard" --maker "Quillmoss Paper Room"
    """

    from kitprep import answers
    from kitprep.jobs.finding import Wish, draw_contact_sheet, find_elements, refuse_picture
    from kitprep.jobs.importing import ImportOptions, import_kit

    screen, shelf = Screen(as_json), read.given(ctx).shelf
    if ppi is not None and not 1 <= ppi <= 4800:
        raise BadOption("--ppi", f"{ppi:g}", "pixels per inch from 1 to 4800")
    if picture is not None:
        refuse_picture(picture, overwrite=overwrite)
    options = ImportOptions(
        name=name,
        maker=maker,
        terms=_terms(terms),
        page_size=read.optional(page_size, read.page_size),
        ppi=ppi,
        whole=whole,
        password=password,
    )
    report = import_kit(
        sources, options=options, shelf=shelf, progress=ProgressBar(), ask_password=_ask_password
    )
    _show_import(screen, report)
    if picture is not None:
        found = find_elements(Wish(kit=report.kit.slug), shelf=shelf)
        draw_contact_sheet(found, picture, overwrite=overwrite, shelf=shelf)
        screen.say(f"Contact sheet: {picture}")
    screen.answer(answers.imported(report))
    if report.bad_pages:
        raise typer.Exit(WARNED)


def kits(ctx: typer.Context, as_json: AsJson = False) -> None:
    """List the kits on the shelf, newest first.

    kitprep kits
    """

    from kitprep.jobs.finding import list_kits

    screen = Screen(as_json)
    listed = list_kits(shelf=read.given(ctx).shelf)
    rows = [
        (
            kit.slug,
            kit.name,
            kit.maker or "not recorded",
            str(kit.pages),
            str(kit.elements),
            "recorded" if kit.has_terms else "not recorded",
        )
        for kit in listed.kits
    ]
    if rows:
        screen.table(("kit", "name", "maker", "pages", "elements", "terms"), rows, right=(3, 4))
    elif not listed.problems:
        screen.say("There is no kit on the shelf yet; bring one in with 'kitprep import'.")
    for slug, problem in listed.problems.items():
        screen.note(f"kit {slug} cannot be read: {problem}")
    if as_json:  # the words and answers of all jobs would be a tenth of the start of this quick command
        from kitprep import answers

        screen.answer(answers.kits(listed))


def elements(
    ctx: typer.Context,
    words: Annotated[
        list[str] | None, typer.Argument(help="Words to find elements by; none for all.")
    ] = None,
    kit: Annotated[str | None, typer.Option(help="Only of this kit.")] = None,
    kind: Annotated[str | None, typer.Option(help="Only of this kind: paper, tag, stamp ...")] = None,
    wider_than: Annotated[str | None, typer.Option(help="Only those wider than this on their page.")] = None,
    crisp_at: Annotated[
        str | None, typer.Option(help="Only those crisp at this size by their pixels.")
    ] = None,
    picture: Annotated[Path | None, typer.Option(help="Draw a contact sheet: .png, .pdf or .html.")] = None,
    overwrite: Overwrite = False,
    as_json: AsJson = False,
) -> None:
    """Find elements, and draw them as a contact sheet.

    kitprep elements --kind stamp --picture stamps.png
    """

    from kitprep import answers, wording
    from kitprep.jobs.finding import Wish, draw_contact_sheet, find_elements, list_kits
    from kitprep.jobs.values import find_size

    screen, shelf = Screen(as_json), read.given(ctx).shelf
    wish = Wish(
        words=tuple(words or ()),
        kit=kit,
        kind=read.optional(kind, read.kind),
        wider_than=read.optional(wider_than, lambda text: read.length("--wider-than", text)),
        crisp_at=read.optional(crisp_at, find_size),
    )
    found = find_elements(wish, shelf=shelf)
    rows = [
        (
            summary.id,
            summary.kind.value,
            wording.size_on_page(summary.size),
            f"{min(summary.ppi.x, summary.ppi.y):.0f}",
            wording.sureness(summary.confidence, unwanted=summary.unwanted),
            ", ".join(summary.words),
        )
        for summary in found
    ]
    if rows:
        screen.table(("element", "kind", "size on its page", "ppi", "", "words"), rows, right=(3,))
    screen.say(f"{wording.count(len(found), 'element')}.")
    for slug, problem in list_kits(shelf=shelf).problems.items():
        screen.note(f"kit {slug} cannot be read: {problem}")
    if picture is not None:
        draw_contact_sheet(found, picture, overwrite=overwrite, shelf=shelf)
        screen.say(f"Contact sheet: {picture}")
    screen.answer(answers.elements(found))


def _ask_password(name: str) -> str | None:
    """Ask where somebody sits at the keyboard."""
    if not sys.stdin.isatty():
        return None
    return getpass.getpass(f"Password of {name}: ") or None


def _terms(text: str) -> str:
    """The terms themselves, or those in the file of that name."""
    if not text:
        return ""
    path = Path(text)
    if len(text) > LONGEST_NAME or "\n" in text:
        return text
    if path.is_file():
        try:
            return path.read_text("utf-8")
        except UnicodeDecodeError:
            raise BadOption("--terms", text, "a text file in UTF-8") from None
        except OSError as error:
            raise CannotRead(text, (error.strerror or str(error)).lower()) from error
    if path.suffix.lower() in (".txt", ".md"):
        raise MissingFile(text)
    return text


def _show_import(screen: Screen, report: ImportReport) -> None:
    from kitprep import wording

    kit = report.kit
    if report.known:
        changed = wording.listed(report.changed) or "nothing was changed"
        screen.say(f"This kit is on the shelf already, as {kit.slug}; {changed}.")
    rows = [
        (
            page.name,
            page.file.rpartition("/")[2],
            page.size.text(),
            f"{page.ppi.x:.0f}" if page.ppi.x == page.ppi.y else f"{page.ppi.x:.0f} x {page.ppi.y:.0f}",
            page.ppi.source.value,
            str(sum(not element.unwanted for element in page.elements)),
            wording.kinds_of(page.elements),
        )
        for page in kit.pages
    ]
    screen.table(("page", "file", "size", "ppi", "known from", "elements", "kinds"), rows, right=(3, 5))
    total = sum(not element.unwanted for page in kit.pages for element in page.elements)
    screen.say(
        f"{kit.name}, by {kit.maker or 'a maker not recorded'}: "
        f"{wording.count(len(kit.pages), 'page')}, {wording.count(total, 'element')}, on the shelf as {kit.slug}."
    )
    if kit.password:
        screen.say("The password is kept with the kit, readable, so that its pages can be printed later.")
    screen.say(f"Terms of use: {'kept with the kit' if kit.terms else 'not recorded'}.")
    screen.warnings(report.findings)
