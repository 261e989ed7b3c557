"""``crop``, ``join``, ``divide``, ``drop``, ``describe``, ``split`` and ``undo``."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from kitprep.cli import given as read
from kitprep.cli.console import Screen
from kitprep.cli.kits import AsJson, Overwrite

if TYPE_CHECKING:
    from kitprep.jobs.mending import Mended

ElementId = Annotated[str, typer.Argument(help="An element's id, such as p02-07.")]
PageId = Annotated[str, typer.Argument(help="A page's id, such as lantern-orchard/p02.")]
Picture = Annotated[Path | None, typer.Option(help="Draw what changed, before and after: a .png.")]


def add_to(app: typer.Typer) -> None:
    """Add these commands."""
    app.command("crop", no_args_is_help=True)(crop)
    app.command("join", no_args_is_help=True)(join)
    app.command("divide", no_args_is_help=True)(divide)
    app.command("drop", no_args_is_help=True)(drop)
    app.command("describe", no_args_is_help=True)(describe)
    app.command("split", no_args_is_help=True)(split)
    app.command("undo")(undo)


def crop(
    ctx: typer.Context,
    page: PageId,
    box: Annotated[
        str, typer.Option(help="'X,Y,W,H' from the page's top left: lengths, or with px at the end.")
    ],
    exactly: Annotated[
        bool, typer.Option("--exactly", help="Take the box as it is, not the nearest edges.")
    ] = False,
    picture: Picture = None,
    overwrite: Overwrite = False,
    as_json: AsJson = False,
) -> None:
    """Take an element off a page by hand.

    kitprep crop p02 --box "1 in, 2 in, 3 in, 2 1/2 in"
    """

    from kitprep.jobs import mending

    drawing = _Drawing(ctx, picture, overwrite)
    change = mending.crop_element(page, read.box(box), snap=not exactly, shelf=drawing.shelf)
    _show(Screen(as_json), [change], drawing)


def join(
    ctx: typer.Context,
    ids: Annotated[list[str], typer.Argument(help="Two or more elements of one page.")],
    picture: Picture = None,
    overwrite: Overwrite = False,
    as_json: AsJson = False,
) -> None:
    """Make several elements of one page one.

    kitprep join p03-04 p03-05
    """

    from kitprep.jobs import mending

    drawing = _Drawing(ctx, picture, overwrite)
    _show(Screen(as_json), [mending.join_elements(ids, shelf=drawing.shelf)], drawing)


def divide(
    ctx: typer.Context,
    element: ElementId,
    at: Annotated[str | None, typer.Option(help="Distance of an upright line from its left edge.")] = None,
    at_row: Annotated[str | None, typer.Option(help="Distance of a level line from its top edge.")] = None,
    picture: Picture = None,
    overwrite: Overwrite = False,
    as_json: AsJson = False,
) -> None:
    """Make one element two.

    kitprep divide p01-01 --at "2 in"
    """

    from kitprep.jobs import mending

    drawing = _Drawing(ctx, picture, overwrite)
    change = mending.divide_element(
        element,
        at=read.optional(at, lambda text: read.length("--at", text)),
        at_row=read.optional(at_row, lambda text: read.length("--at-row", text)),
        shelf=drawing.shelf,
    )
    _show(Screen(as_json), [change], drawing)


def drop(
    ctx: typer.Context,
    ids: Annotated[list[str], typer.Argument(help="Elements that are none.")],
    picture: Picture = None,
    overwrite: Overwrite = False,
    as_json: AsJson = False,
) -> None:
    """Take elements off their page's list; the page stays as it was bought.

    kitprep drop p03-12
    """

    from kitprep.jobs import mending

    drawing = _Drawing(ctx, picture, overwrite)
    _show(Screen(as_json), mending.drop_elements(ids, shelf=drawing.shelf), drawing)


def describe(
    ctx: typer.Context,
    element: ElementId,
    kind: Annotated[str | None, typer.Option(help="What it is: paper, card, tag, stamp ...")] = None,
    words: Annotated[str | None, typer.Option(help="Words to find it by, with commas between.")] = None,
    picture: Picture = None,
    overwrite: Overwrite = False,
    as_json: AsJson = False,
) -> None:
    """Say what an element is, and give it words to find it by.

    kitprep describe p04-01 --kind figure --words "beekeeper, lantern"
    """

    from kitprep.jobs import mending

    drawing = _Drawing(ctx, picture, overwrite)
    change = mending.describe_element(
        element,
        kind=read.optional(kind, read.kind),
        words=None if words is None else words.split(","),
        shelf=drawing.shelf,
    )
    _show(Screen(as_json), [change], drawing)


def split(
    ctx: typer.Context,
    page: PageId,
    gap: Annotated[
        str | None, typer.Option(help="What lies nearer than this is one thing, and nothing else is.")
    ] = None,
    background: Annotated[
        str | None, typer.Option(help="Its colour as '#rrggbb', or a place that has it as 'X,Y'.")
    ] = None,
    whole: Annotated[bool, typer.Option("--whole", help="The page is one paper.")] = False,
    rows: Annotated[int | None, typer.Option(help="It is a grid of so many rows.")] = None,
    columns: Annotated[int | None, typer.Option(help="It is a grid of so many columns.")] = None,
    explain: Annotated[
        Path | None, typer.Option(help="Draw background, regions, groups and edges side by side: a .png.")
    ] = None,
    picture: Picture = None,
    overwrite: Overwrite = False,
    as_json: AsJson = False,
) -> None:
    """Split a page again, with a hint. Ids stay with their elements, and what was corrected by hand is kept.

    kitprep split p02 --gap "1/16 in"
    """

    from kitprep import answers, wording
    from kitprep.jobs.resplitting import PageHints, split_again

    drawing = _Drawing(ctx, picture, overwrite)
    hints = PageHints(
        gap=read.optional(gap, lambda text: read.length("--gap", text)),
        background=read.optional(background, read.colour),
        whole=whole,
        rows=rows,
        columns=columns,
    )
    done = split_again(page, hints, explain=explain, overwrite=overwrite, shelf=drawing.shelf)
    screen = Screen(as_json)
    screen.say(wording.resplit(done))
    screen.warnings(done.findings)
    if explain is not None:
        screen.say(f"How it comes apart: {explain}")
    drawing.draw(screen, [done.change], [wording.resplit(done)])
    screen.answer(answers.resplit(done))


def undo(
    ctx: typer.Context,
    kit: Annotated[str | None, typer.Argument(help="Only a correction of this kit.")] = None,
    picture: Picture = None,
    overwrite: Overwrite = False,
    as_json: AsJson = False,
) -> None:
    """Take back the last correction.

    kitprep undo
    """

    from kitprep import wording
    from kitprep.jobs import mending

    drawing = _Drawing(ctx, picture, overwrite)
    change = mending.undo(kit, shelf=drawing.shelf)
    _show(Screen(as_json), [change], drawing, wording.undone)


class _Drawing:
    """The picture of what changes, where one was asked for; refused before anything is changed."""

    def __init__(self, ctx: typer.Context, path: Path | None, overwrite: bool) -> None:
        self.shelf = read.given(ctx).shelf
        self._path, self._overwrite = path, overwrite
        if path is not None:
            from kitprep.jobs.change_pictures import refuse_change_picture

            refuse_change_picture(path, overwrite=overwrite)

    def draw(self, screen: Screen, changes: Sequence[Mended], says: Sequence[str]) -> None:
        """Draw it and say where it is."""
        if self._path is None:
            return
        from kitprep.jobs.change_pictures import draw_changes

        draw_changes(changes, says, self._path, overwrite=self._overwrite, shelf=self.shelf)
        screen.say(f"Picture: {self._path}")


def _show(
    screen: Screen,
    changes: Sequence[Mended],
    drawing: _Drawing,
    words: Callable[[Mended], str] | None = None,
) -> None:
    from kitprep import answers, wording

    says = [(words or wording.mended)(change) for change in changes]
    for text in says:
        screen.say(text)
    drawing.draw(screen, changes, says)
    documents = [answers.mended(change) for change in changes]
    screen.answer(documents[0] if len(documents) == 1 else documents)
