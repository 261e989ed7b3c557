"""The commands by name, and the options that stand before them."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from kitprep.cli import kits, making, mending, printers, table
from kitprep.cli.given import Given

app = typer.Typer(
    name="kitprep",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)


@app.callback()
def before(
    ctx: typer.Context,
    shelf: Annotated[
        Path | None,
        typer.Option(
            help="The folder where kits live; by default 'kitprep' in your documents.", metavar="DIR"
        ),
    ] = None,
    verbose: Annotated[bool, typer.Option("--verbose", help="Show where a fault in kitprep lies.")] = False,
) -> None:
    """Turn bought kits into sharp, true-size, cut-ready sheets.

    A bought kit goes in (import), its pieces are found (elements), checked for sharpness at the size you
    need (check), and put on few sheets that print at true size with a guide for cutting (sheet).
    """
    ctx.obj = Given(shelf, verbose)


kits.add_to(app)
mending.add_to(app)
making.add_to(app)
printers.add_to(app)
table.add_to(app)
