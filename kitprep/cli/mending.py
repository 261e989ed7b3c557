"""``crop``, ``join``, ``divide``, ``drop``, ``describe`` and ``undo``."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from kitprep.cli import given as read
from kitprep.cli.console import Screen
from kitprep.cli.kits import AsJson

if TYPE_CHECKING:
    from kitprep.jobs.mending import Mended

ElementId = Annotated[str, typer.Argument(help="An element's id, such as p02-07.")]


def add_to(app: typer.Typer) -> None:
    """Add these commands."""
    app.command("crop", no_args_is_help=True)(crop)
    app.command("join", no_args_is_help=True)(join)
    app.command("divide", no_args_is_help=True)(divide)
    app.command("drop", no_args_is_help=True)(drop)
    app.command("describe", no_args_is_help=True)(describe)
    app.command("undo")(undo)


def crop(
    ctx: typer.Context,
    page: Annotated[str, typer.Argument(help="A page's id, such as lantern-orchard/p02.")],
    box: Annotated[
        str, typer.Option(help="'X,Y,W,H' from the page's top left: lengths, or with px at the end.")
    ],
    exactly: Annotated[
        bool, typer.Option("--exactly", help="Take the box as it is, not the nearest edges.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Take an element off a page by hand.

    kitprep crop p02 --box "1 in, 2 in, 3 in, 2 1/2 in"
    """

    from kitprep.jobs import mending

    shelf = read.given(ctx).shelf
    _show(Screen(as_json), [mending.crop_element(page, read.box(box), snap=not exactly, shelf=shelf)])


def join(
    ctx: typer.Context,
    ids: Annotated[list[str], typer.Argument(help="Two or more elements of one page.")],
    as_json: AsJson = False,
) -> None:
    """Make several elements of one page one.

    kitprep join p03-04 p03-05
    """

    from kitprep.jobs import mending

    _show(Screen(as_json), [mending.join_elements(ids, shelf=read.given(ctx).shelf)])


def divide(
    ctx: typer.Context,
    element: ElementId,
    at: Annotated[str | None, typer.Option(help="Distance of an upright line from its left edge.")] = None,
    at_row: Annotated[str | None, typer.Option(help="Distance of a level line from its top edge.")] = None,
    as_json: AsJson = False,
) -> None:
    """Make one element two.

    kitprep divide p01-01 --at "2 in"
    """

    from kitprep.jobs import mending

    change = mending.divide_element(
        element,
        at=read.optional(at, lambda text: read.length("--at", text)),
        at_row=read.optional(at_row, lambda text: read.length("--at-row", text)),
        shelf=read.given(ctx).shelf,
    )
    _show(Screen(as_json), [change])


def drop(
    ctx: typer.Context,
    ids: Annotated[list[str], typer.Argument(help="Elements that are none.")],
    as_json: AsJson = False,
) -> None:
    """Take elements off their page's list; the page stays as it was bought.

    kitprep drop p03-12
    """

    from kitprep.jobs import mending

    _show(Screen(as_json), mending.drop_elements(ids, shelf=read.given(ctx).shelf))


def describe(
    ctx: typer.Context,
    element: ElementId,
    kind: Annotated[str | None, typer.Option(help="What it is: paper, card, tag, stamp ...")] = None,
    words: Annotated[str | None, typer.Option(help="Words to find it by, with commas between.")] = None,
    as_json: AsJson = False,
) -> None:
    """Say what an element is, and give it words to find it by.

    kitprep describe p04-01 --kind figure --words "beekeeper, lantern"
    """

    from kitprep.jobs import mending

    change = mending.describe_element(
        element,
        kind=read.optional(kind, read.kind),
        words=None if words is None else words.split(","),
        shelf=read.given(ctx).shelf,
    )
    _show(Screen(as_json), [change])


def undo(
    ctx: typer.Context,
    kit: Annotated[str | None, typer.Argument(help="Only a correction of this kit.")] = None,
    as_json: AsJson = False,
) -> None:
    """Take back the last correction.

    kitprep undo
    """

    from kitprep.jobs import mending

    _show(Screen(as_json), [mending.undo(kit, shelf=read.given(ctx).shelf)])


def _show(screen: Screen, changes: Sequence[Mended]) -> None:
    from kitprep import answers, wording

    for change in changes:
        screen.say(wording.mended(change))
    documents = [answers.mended(change) for change in changes]
    screen.answer(documents[0] if len(documents) == 1 else documents)
