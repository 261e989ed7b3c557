"""Draws the stages of a split side by side: background, regions, groups, edges."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from kitprep.files.pictures import colours
from kitprep.files.pictures.lettering import draw_label, draw_text, text_width
from kitprep.files.pictures.words import wrapped
from kitprep.files.replace import replacing
from kitprep.files.srgb import srgb_profile
from kitprep.pages import UNSURE, Page

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw

    from kitprep.split.explaining import Explained

PANEL = 880  # px; the longer side a page of letter size has at the scale at which it is looked at is 1100
TALLEST = 1200
MARGIN, GAP = 44, 30
TITLE, HEADING, TEXT, LINE = 38, 30, 24, 30
LABEL = 15


@dataclass(frozen=True, slots=True, eq=False)
class Panel:
    """One stage: its name, what is to be learned, and the picture."""

    name: str
    says: str
    pixels: NDArray[np.uint8]


def write_explained(
    explained: Explained, page: Page, *, title: str, path: Path, overwrite: bool = False
) -> None:
    """Draw what the stages of a split saw.

    Parameters
    ----------
    explained : Explained
        What each stage handed on.
    page : Page
        With the elements it has now, whose ids stand at their edges.
    title : str
        What stands at the top.
    path : Path
        A PNG.
    overwrite : bool
        Whether a file of that name may be replaced.

    Raises
    ------
    OutputExists, MissingFile, CannotWrite
        If the file exists and may not be replaced, its folder is not there, or it cannot be written.
    """
    picture = _drawn(_panels(explained, page), f"How {title} comes apart", page)
    with replacing(path, overwrite=overwrite) as out:
        picture.save(out, "PNG", compress_level=3, icc_profile=srgb_profile())


def _panels(explained: Explained, page: Page) -> list[Panel]:
    from kitprep.split.explaining import EdgeColours, draw_background, draw_edges, draw_groups, draw_regions

    house = EdgeColours(*(_rgb(name) for name in (colours.ACCENT, colours.SECOND, colours.THIRD)))
    edges = draw_edges(explained.page, page.elements, page.size_px, house)
    return [
        Panel("1  Background", _background_says(explained), draw_background(explained)),
        Panel("2  Regions", _regions_say(explained), draw_regions(explained)),
        Panel("3  Groups", _groups_say(explained), draw_groups(explained)),
        Panel("4  Edges", _edges_say(page), edges),
    ]


def _background_says(explained: Explained) -> str:
    if explained.something is None:
        return "There is none: the picture goes on to the page's rim, so the page is taken as papers."
    share = f"{explained.background_share:.0%} of the page is background (chequered)"
    if explained.transparent:
        return f"{share}: all that is less than half opaque."
    what = "no single colour, followed from the rim inwards"
    if explained.colour is not None:
        what = "#{:02x}{:02x}{:02x}, the colour of the rim".format(*explained.colour)
    return (
        f"{share}: {what}. What is further from it than {explained.threshold:.0f} levels of 255 is something."
    )


def _regions_say(explained: Explained) -> str:
    if explained.regions is None:
        return "Not looked for: a person said what is there, or papers fill the page."
    parts = sum(region.is_part for region in explained.regions)
    solid = len(explained.regions) - parts
    return (
        f"{len(explained.regions)} hang together and are more than specks: {solid} solid (in colours), "
        f"{parts} too small or thin to be cut out alone (dark)."
    )


def _groups_say(explained: Explained) -> str:
    joined = [region for region in explained.groups if region.parts > 1]
    return (
        f"{len(explained.groups)} to cut out, after joining small parts to what they belong to "
        f"({len(joined)} of them made of several) and parting what only touches."
    )


def _edges_say(page: Page) -> str:
    by_hand = sum(element.by_hand for element in page.elements)
    others = [element for element in page.elements if not element.by_hand]
    straight = sum(element.rectangular for element in others)
    unsure = sum(element.confidence < UNSURE and not element.unwanted for element in others)
    text = f"{len(page.elements)} elements: {straight} rectangles (brown), {len(others) - straight} cut-outs (green)"
    text += f", {by_hand} by hand (blue)" if by_hand else ""
    return text + (f". {unsure} marked with ? are worth a second look." if unsure else ".")


def _drawn(panels: Sequence[Panel], title: str, page: Page) -> Image:
    from PIL import Image, ImageDraw

    rows, cols = panels[0].pixels.shape[:2]
    scale = min(PANEL / cols, TALLEST / rows)
    width, height = max(1, round(cols * scale)), max(1, round(rows * scale))
    column = max(width, 420)
    lines = [wrapped(panel.says, TEXT, 0.96 * column, text_width) for panel in panels]
    top = MARGIN + TITLE + 28 + HEADING + 14 + max(map(len, lines)) * LINE + 12
    size = (2 * MARGIN + len(panels) * column + (len(panels) - 1) * GAP, top + height + MARGIN)
    picture = Image.new("RGB", size, colours.BOARD)
    draw = ImageDraw.Draw(picture)
    draw_text(draw, title, MARGIN, MARGIN + TITLE * 0.8, TITLE, colours.INK, bold=True)
    for index, (panel, text) in enumerate(zip(panels, lines, strict=True)):
        left, baseline = MARGIN + index * (column + GAP), MARGIN + TITLE + 28 + HEADING
        draw_text(draw, panel.name, left, baseline, HEADING, colours.ACCENT, bold=True)
        for number, line in enumerate(text, 1):
            draw_text(draw, line, left, baseline + 4 + number * LINE, TEXT, colours.INK)
        shown = Image.fromarray(panel.pixels).resize((width, height), Image.Resampling.LANCZOS)
        picture.paste(shown, (left, top))
        draw.rectangle((left - 1, top - 1, left + width, top + height), outline=colours.RULE)
    left = MARGIN + (len(panels) - 1) * (column + GAP)
    _labels(draw, page, (left, top), (width / page.size_px[0], height / page.size_px[1]))
    return picture


def _labels(draw: ImageDraw, page: Page, corner: tuple[int, int], scale: tuple[float, float]) -> None:
    for element in page.elements:
        unsure = element.confidence < UNSURE and not (element.by_hand or element.unwanted)
        text = f"{element.number:02d}{'?' if unsure else ''}"
        box = element.box
        x = corner[0] + (box.left + box.right) / 2 * scale[0]
        y = corner[1] + (box.top + box.bottom) / 2 * scale[1]
        draw_label(draw, text, (x, y), LABEL, colours.ACCENT if unsure else colours.INK)


def _rgb(name: str) -> tuple[int, int, int]:
    red, green, blue = (int(name[at : at + 2], 16) for at in (1, 3, 5))
    return red, green, blue
