"""``check``, ``resize``, ``sheet`` and ``card``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from kitprep.cli import given as read
from kitprep.cli.console import ProgressBar, Screen
from kitprep.cli.exits import WARNED
from kitprep.cli.kits import AsJson, Overwrite
from kitprep.errors import BadOption, CannotCombine

if TYPE_CHECKING:
    from kitprep.jobs.sheets import SheetReport

Strict = Annotated[bool, typer.Option("--strict", help="Exit with 5 at a warning that something can mend.")]
HowFit = Annotated[str, typer.Option("--fit", help="inside, cover or stretch.")]
Focus = Annotated[str | None, typer.Option(help="What to keep in view when covering, as shares: 0.5,0.4.")]


def add_to(app: typer.Typer) -> None:
    """Add these commands."""
    app.command("check", no_args_is_help=True)(check)
    app.command("resize", no_args_is_help=True)(resize)
    app.command("sheet", no_args_is_help=True)(sheet)
    app.command("card", no_args_is_help=True)(card)


def check(
    ctx: typer.Context,
    ids: Annotated[list[str], typer.Argument(help="Elements, a kit, or one make-list (a .toml file).")],
    size: Annotated[
        str | None, typer.Option(help="The size to print at: '3 in wide', '4 x 2 in', 'A2 front'.")
    ] = None,
    fit: HowFit = "cover",
    picture: Annotated[
        Path | None,
        typer.Option(
            help="Draw it: several on a ruler grid (.png, or .pdf true to size); one beside what it holds (.png)."
        ),
    ] = None,
    strict: Strict = False,
    overwrite: Overwrite = False,
    as_json: AsJson = False,
) -> None:
    """Say how sharp elements print at a size, and how large they may be.

    kitprep check p04-01 --size "3 3/4 in tall"
    """

    from kitprep import answers, wording
    from kitprep.jobs.checking import check_elements, check_make_list
    from kitprep.jobs.findings import CAUTIONS
    from kitprep.jobs.picturing import draw_check, refuse_check_picture
    from kitprep.jobs.values import Fit, find_size

    screen, shelf, bar = Screen(as_json), read.given(ctx).shelf, ProgressBar()
    if picture is not None:
        refuse_check_picture(picture, overwrite=overwrite)
    if len(ids) == 1 and ids[0].lower().endswith(".toml"):
        if size is not None:
            raise BadOption(
                "--size", size, "elements to check at one size, or a make-list that has the sizes"
            )
        checked = check_make_list(Path(ids[0]), shelf=shelf, progress=bar)
    else:
        wanted = read.optional(size, find_size)
        how = read.choice("--fit", fit, Fit)
        checked = check_elements(ids, wanted, fit=how, shelf=shelf, progress=bar)
    screen.table(wording.CHECK_HEADINGS, [wording.check_row(one) for one in checked], right=(2, 3))
    findings = [finding for one in checked for finding in one.findings]
    screen.warnings(findings)
    if picture is not None:
        draw_check(checked, picture, overwrite=overwrite, shelf=shelf)
        screen.say(f"Picture: {picture}")
    screen.answer(answers.checks(checked))
    if strict and any(not isinstance(finding, CAUTIONS) for finding in findings):
        raise typer.Exit(WARNED)


def resize(
    ctx: typer.Context,
    element: Annotated[str, typer.Argument(help="An element's id, such as p02-07.")],
    size: Annotated[str, typer.Option(help="'3 in wide', '4 3/4 x 2 3/4', 'A2 front'.")],
    out: Annotated[Path, typer.Option("-o", "--out", help="The file to write: .png, .jpg or .tif.")],
    fit: HowFit = "cover",
    focus: Focus = None,
    bleed: Annotated[str | None, typer.Option(help="Picture beyond the size, on every side.")] = None,
    border: Annotated[
        str | None, typer.Option(help="An even border around a cut-out, as wide as this.")
    ] = None,
    border_colour: Annotated[
        str, typer.Option(help="Its colour: white, cream, kraft, #fbf4e4 ...")
    ] = "white",
    ppi: Annotated[
        float | None, typer.Option(help="Resolution of the file, if not the element's own.")
    ] = None,
    overwrite: Overwrite = False,
    as_json: AsJson = False,
) -> None:
    """Write one element as a picture of a physical size.

    kitprep resize p04-01 --size "1 1/2 in tall" -o figure.png
    """

    from kitprep import answers, wording
    from kitprep.jobs.resizing import resize_element
    from kitprep.jobs.values import Fit, find_size
    from kitprep.lengths import ZERO

    screen = Screen(as_json)
    done = resize_element(
        element,
        find_size(size),
        out,
        fit=read.choice("--fit", fit, Fit),
        focus=read.optional(focus, read.focus),
        bleed=ZERO if bleed is None else read.length("--bleed", bleed),
        border=read.optional(border, lambda text: read.border(text, border_colour)),
        ppi=ppi,
        overwrite=overwrite,
        shelf=read.given(ctx).shelf,
    )
    screen.say(wording.resized(done))
    screen.warnings(done.findings)
    screen.answer(answers.resized(done))


def sheet(
    ctx: typer.Context,
    makelist: Annotated[Path | None, typer.Argument(help="A make-list (a .toml file).")] = None,
    piece: Annotated[
        list[str] | None,
        typer.Option(help="'ID, SIZE, COPIES', once for each piece, instead of a make-list."),
    ] = None,
    out: Annotated[Path, typer.Option("-o", "--out", help="The PDF to write.")] = Path("sheets.pdf"),
    preview: Annotated[Path | None, typer.Option(help="A PNG to look at the sheets.")] = None,
    guide: Annotated[Path | None, typer.Option(help="A PDF that says how to cut.")] = None,
    paper: Annotated[str | None, typer.Option(help="letter, legal, A4, A3, A5, 12 x 12 in ...")] = None,
    margin: Annotated[
        str | None, typer.Option(help="What the printer cannot reach: one length, or four.")
    ] = None,
    printer: Annotated[
        str | None, typer.Option(help="A printer by name, for its margins and correction.")
    ] = None,
    gap: Annotated[str | None, typer.Option(help="Least distance between two pieces.")] = None,
    bleed: Annotated[str | None, typer.Option(help="Picture beyond the cut, on every side.")] = None,
    cut: Annotated[str | None, typer.Option(help="trimmer or scissors.")] = None,
    trimmer_length: Annotated[
        str | None, typer.Option(help="Longest cut of the trimmer; else 12 in.")
    ] = None,
    fill: Annotated[list[str] | None, typer.Option(help="A piece to fill what is left over with.")] = None,
    effort: Annotated[
        float | None, typer.Option(help="Seconds to look for fewer sheets of a paper; else about 1.")
    ] = None,
    keep_pixels: Annotated[
        bool, typer.Option("--keep-pixels", help="Keep pictures of over 720 pixels per inch as they are.")
    ] = False,
    back: Annotated[
        str | None, typer.Option(help="An element for the back of every piece that names none.")
    ] = None,
    flip: Annotated[
        str | None, typer.Option(help="Edge to turn the paper over for backs: long or short.")
    ] = None,
    misregistration: Annotated[
        str | None, typer.Option(help="How far the printer may put a back beside its front; else 1/16 in.")
    ] = None,
    outlines: Annotated[
        bool, typer.Option("--outlines", help="Draw the outlines of cut-outs on the sheets.")
    ] = False,
    cut_lines: Annotated[
        Path | None, typer.Option(help="An SVG of cut and fold lines for a cutting machine, for each sheet.")
    ] = None,
    page_previews: Annotated[Path | None, typer.Option(help="A PNG to look at, for each page.")] = None,
    preview_ppi: Annotated[
        int | None, typer.Option(help="Pixels per inch of previews; else 100 on one PNG, 150 on several.")
    ] = None,
    strict: Strict = False,
    overwrite: Overwrite = False,
    as_json: AsJson = False,
) -> None:
    """Put pieces on few sheets that print at true size, ready to cut.

    kitprep sheet demo_kit/harvest-supper-card.toml -o supper.pdf --preview supper.png --guide cutting.pdf
    """

    from kitprep import answers
    from kitprep.jobs.findings import CAUTIONS
    from kitprep.jobs.sheet_files import SheetFiles
    from kitprep.jobs.sheets import SheetOptions, make_sheets
    from kitprep.jobs.values import CutMode
    from kitprep.papers import Flip, find_paper

    screen = Screen(as_json)
    if (makelist is None) == (not piece):
        given = "nothing is asked for" if makelist is None else "a make-list and --piece are both given"
        raise CannotCombine(given, "give either a make-list or --piece 'ID, SIZE, COPIES'")
    if margin is not None and printer is not None:
        raise CannotCombine("--margin and --printer are both given", "keep one: a printer has its margins")
    if effort is not None and not 0 < effort <= 3600:
        raise BadOption("--effort", f"{effort:g}", "seconds above 0, at most 3600")
    options = SheetOptions(
        paper=read.optional(paper, find_paper),
        margins=read.optional(margin, read.margins),
        printer=printer,
        gap=read.optional(gap, lambda text: read.length("--gap", text)),
        bleed=read.optional(bleed, lambda text: read.length("--bleed", text)),
        cut=read.optional(cut, lambda text: read.choice("--cut", text, CutMode)),
        trimmer=read.optional(trimmer_length, lambda text: read.length("--trimmer-length", text)),
        fill=tuple(fill or ()),
        seconds=effort,
        keep_pixels=keep_pixels,
        back=back,
        flip=read.optional(flip, lambda text: read.choice("--flip", text, Flip)),
        misregistration=read.optional(misregistration, lambda text: read.length("--misregistration", text)),
        outlines=outlines,
    )
    report = make_sheets(
        makelist if makelist is not None else tuple(piece or ()),
        SheetFiles(out, preview, guide, overwrite, cut_lines, page_previews, preview_ppi),
        options,
        shelf=read.given(ctx).shelf,
        progress=ProgressBar(),
    )
    _show_sheets(screen, report)
    screen.answer(answers.sheets(report))
    if strict and any(not isinstance(finding, CAUTIONS) for finding in report.findings):
        raise typer.Exit(WARNED)


def card(
    name: Annotated[
        str, typer.Argument(help="A card by name (A2, A7, A6 ISO ...) or the size of its front.")
    ],
    fold: Annotated[str, typer.Option(help="half, gate or accordion.")] = "half",
    edge: Annotated[str, typer.Option(help="Where the fold is: side or top.")] = "side",
    mats: Annotated[int, typer.Option(help="Papers layered on the front.")] = 1,
    reveal: Annotated[str, typer.Option(help="What shows of the paper below each.")] = "1/8 in",
    panels: Annotated[int, typer.Option(help="Panels of an accordion.")] = 4,
    copies: Annotated[int, typer.Option(help="How many cards.")] = 1,
    paper: Annotated[str | None, typer.Option(help="What to cut it from.")] = None,
    out: Annotated[Path | None, typer.Option("-o", "--out", help="A make-list to write (.toml).")] = None,
    overwrite: Overwrite = False,
    as_json: AsJson = False,
) -> None:
    """Plan a folded card: what to cut, where to fold, what to layer on it.

    kitprep card A2 --mats 2 -o card.toml
    """

    from kitprep import answers, wording
    from kitprep.jobs.cards import make_card_list
    from kitprep.jobs.values import FoldEdge, FoldStyle
    from kitprep.papers import find_paper

    screen = Screen(as_json)
    if not 1 <= copies <= 1000:
        raise BadOption("--copies", str(copies), "a number from 1 to 1000")
    made = make_card_list(
        name,
        style=read.choice("--fold", fold, FoldStyle),
        edge=read.choice("--edge", edge, FoldEdge),
        mats=mats,
        reveal=read.length("--reveal", reveal),
        accordion_panels=panels,
        copies=copies,
        paper=read.optional(paper, find_paper),
        path=out,
        overwrite=overwrite,
    )
    for line in wording.card(made):
        screen.say(line)
    screen.answer(answers.card(made))


def _show_sheets(screen: Screen, report: SheetReport) -> None:
    from kitprep import wording

    screen.table(
        wording.PIECE_HEADINGS, [wording.piece_row(piece, report) for piece in report.pieces], right=(2,)
    )
    for line in wording.sheets(report):
        screen.say(line)
    screen.warnings(report.findings)
    screen.say(wording.PRINT_ADVICE)
    screen.say(wording.BLADE_CAUTION)
