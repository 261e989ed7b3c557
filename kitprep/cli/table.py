"""``worktable``."""

from __future__ import annotations

from typing import Annotated

import typer

from kitprep.cli import given as read


def add_to(app: typer.Typer) -> None:
    """Add this command."""
    app.command("worktable")(worktable)


def worktable(
    ctx: typer.Context,
    port: Annotated[int, typer.Option(help="Port on this machine; 0 for any that is free.")] = 8017,
    no_browser: Annotated[bool, typer.Option("--no-browser", help="Do not open the browser.")] = False,
) -> None:
    """Open the worktable: a page in your browser, served by and for this machine only.

    kitprep worktable
    """
    from kitprep.worktable import serve

    serve(read.given(ctx).shelf, port=port, open_browser=not no_browser)
