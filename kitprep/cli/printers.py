"""``printer add``, ``list``, ``measured`` and ``remove``."""

from __future__ import annotations

from typing import Annotated

import typer

from kitprep.cli import given as read
from kitprep.cli.console import Screen
from kitprep.cli.kits import AsJson

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
    """Add a printer, or change its margins; 1/4 in on every side if you don't know.

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


@printer.command("measured")
def measured(
    ctx: typer.Context,
    name: Name,
    across: Annotated[str, typer.Option(help="What a ruler shows across the sheet.")],
    down: Annotated[str, typer.Option(help="What a ruler shows down the sheet.")],
    true: Annotated[str, typer.Option(help="What it should be.")],
    as_json: AsJson = False,
) -> None:
    """Keep what a ruler shows of a printed length, so that sheets for this printer come out true.

    Print at 100 %, actual size, and measure something long: a piece of known size on a sheet.

    kitprep printer measured kitchen --true "6 in" --across "5.97 in" --down "6 in"
    """

    from kitprep import answers, wording
    from kitprep.jobs import printing
    from kitprep.lengths import read_length

    changed = printing.measure_printer(
        name, read_length(true), read_length(across), read_length(down), shelf=read.given(ctx).shelf
    )
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
