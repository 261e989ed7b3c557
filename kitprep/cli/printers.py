"""``printer add``, ``list``, ``test``, ``measured`` and ``remove``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from kitprep.cli import given as read
from kitprep.cli.console import Screen
from kitprep.cli.kits import AsJson, Overwrite

Name = Annotated[str, typer.Argument(help="What you call the printer.")]

printer = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help="Keep what a printer cannot reach and how far it is off true size, by name.",
)


def add_to(app: typer.Typer) -> None:
    """Add these commands."""
    app.add_typer(printer, name="printer")


@printer.command("add")
def add(
    ctx: typer.Context,
    name: Name,
    margin: Annotated[
        str | None, typer.Option(help="What it cannot reach: one length, or 'LEFT, TOP, RIGHT, BOTTOM'.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Add a printer, or change its margins; if you don't know, what most printers reach is taken.

    kitprep printer add kitchen --margin "1/8, 1/8, 1/8, 1/2 in"
    """

    from kitprep import answers, wording
    from kitprep.jobs import printing

    known = printing.add_printer(name, read.optional(margin, read.margins), shelf=read.given(ctx).shelf)
    screen = Screen(as_json)
    screen.say(wording.printer(known))
    screen.answer(answers.printers([known]))


@printer.command("list")
def list_(ctx: typer.Context, as_json: AsJson = False) -> None:
    """List the printers you have added.

    kitprep printer list
    """

    from kitprep import answers, wording
    from kitprep.jobs import printing

    known = printing.list_printers(shelf=read.given(ctx).shelf)
    screen = Screen(as_json)
    for one in known:
        screen.say(wording.printer(one))
    if not known:
        screen.say("No printer is kept yet; add one with 'kitprep printer add NAME'.")
    screen.answer(answers.printers(known))


@printer.command("test")
def test(
    ctx: typer.Context,
    name: Name,
    out: Annotated[Path, typer.Option("-o", "--out", help="The PDF to write.")] = Path("test.pdf"),
    paper: Annotated[str, typer.Option(help="What you will print it on.")] = "letter",
    corrected: Annotated[
        bool, typer.Option("--corrected", help="Make up for what was measured, to see that it is so.")
    ] = False,
    overwrite: Overwrite = False,
    as_json: AsJson = False,
) -> None:
    """Write a page to print and measure: a frame, rulers at the edges, ladders of lines and greys.

    kitprep printer test kitchen -o test.pdf
    """

    from kitprep import answers, wording
    from kitprep.jobs import printing
    from kitprep.papers import find_paper

    tested = printing.make_test_page(
        name,
        out,
        find_paper(paper),
        corrected=corrected,
        overwrite=overwrite,
        shelf=read.given(ctx).shelf,
    )
    screen = Screen(as_json)
    screen.say(f"Test page: {out}")
    seen_to_be_true = corrected and tested.is_measured
    screen.say(wording.CORRECTED_PAGE_ADVICE if seen_to_be_true else wording.TEST_PAGE_ADVICE)
    screen.answer(answers.printers([tested]))


@printer.command("measured")
def measured(
    ctx: typer.Context,
    name: Name,
    width: Annotated[str, typer.Option(help="Width of the test page's frame, by a ruler.")],
    height: Annotated[str, typer.Option(help="Its height.")],
    left: Annotated[str | None, typer.Option(help="From the paper's left edge to the frame.")] = None,
    top: Annotated[str | None, typer.Option(help="From the paper's upper edge to the frame.")] = None,
    as_json: AsJson = False,
) -> None:
    """Keep what a ruler shows of the test page, so that sheets for this printer come out true.

    kitprep printer measured kitchen --width "5.97 in" --height "9 in" --left "1 5/16 in" --top "1 in"
    """

    from kitprep import answers, wording
    from kitprep.jobs import printing
    from kitprep.jobs.values import Readings

    readings = Readings(
        read.length("--width", width),
        read.length("--height", height),
        read.optional(left, lambda text: read.length("--left", text)),
        read.optional(top, lambda text: read.length("--top", text)),
    )
    changed = printing.measure_printer(name, readings, shelf=read.given(ctx).shelf)
    screen = Screen(as_json)
    screen.say(wording.printer(changed))
    screen.answer(answers.printers([changed]))


@printer.command("remove")
def remove(ctx: typer.Context, name: Name, as_json: AsJson = False) -> None:
    """Forget a printer.

    kitprep printer remove kitchen
    """

    from kitprep import answers
    from kitprep.jobs import printing

    gone = printing.remove_printer(name, shelf=read.given(ctx).shelf)
    screen = Screen(as_json)
    screen.say(f"{gone.name} is forgotten.")
    screen.answer(answers.printers([gone]))
