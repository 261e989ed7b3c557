"""Draws what a correction changed: the place on its page, before and after.

What came, went or has another edge is shown as it is within its outline, with its id; everything else is
paled, with the outlines of what was not touched drawn thin.
"""

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
from kitprep.pages import Element, Page, PixelBox, Raster

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw

PANEL = 620  # px; longer side of a panel
MARGIN, GAP = 36, 28
TITLE, HEADING, LABEL = 22, 17, 19
LINE = 28
AROUND, LEAST = 0.18, 1.2  # of the changed place, and in inches, shown with it at least
PALED = 0.72  # of the way to the board's colour
ENLARGED = 2.0  # at most, of the reduced page
FINER = 2


@dataclass(frozen=True, slots=True, eq=False)
class Change:
    """A page before and after a correction.

    Parameters
    ----------
    id : str
        The page's id.
    says : str
        What changed, in words.
    before, after : Page
        Its two states.
    raster : Raster
        The page, perhaps reduced.
    """

    id: str
    says: str
    before: Page
    after: Page
    raster: Raster


def write_changes(changes: Sequence[Change], *, path: Path, overwrite: bool = False) -> None:
    """Draw corrections, one beneath the other.

    Parameters
    ----------
    changes : sequence of Change
        One or more.
    path : Path
        A PNG.
    overwrite : bool
        Whether a file of that name may be replaced.

    Raises
    ------
    OutputExists, MissingFile, CannotWrite
        If the file exists and may not be replaced, its folder is not there, or it cannot be written.
    """
    from PIL import Image

    strips = [_strip(change) for change in changes]
    width = max(strip.width for strip in strips)
    picture = Image.new("RGB", (width, sum(strip.height for strip in strips)), colours.BOARD)
    top = 0
    for strip in strips:
        picture.paste(strip, (0, top))
        top += strip.height
    with replacing(path, overwrite=overwrite) as out:
        picture.save(out, "PNG", compress_level=6, icc_profile=srgb_profile())


def _strip(change: Change) -> Image:
    from PIL import Image, ImageDraw

    old, new = set(change.before.elements), set(change.after.elements)
    place = _place(change, old ^ new)
    panels = [
        _panel(change, place, page, page_set - other)
        for page, page_set, other in ((change.before, old, new), (change.after, new, old))
    ]
    side_by_side = panels[0].width <= 1.6 * panels[0].height
    across = 2 * panels[0].width + GAP if side_by_side else panels[0].width
    width = 2 * MARGIN + max(across, 560)
    lines = wrapped(change.says, TITLE, 0.96 * (width - 2 * MARGIN), text_width)
    top = MARGIN + len(lines) * LINE + 34
    height = panels[0].height if side_by_side else 2 * panels[0].height + 40
    picture = Image.new("RGB", (width, top + height + MARGIN), colours.BOARD)
    draw = ImageDraw.Draw(picture)
    for number, line in enumerate(lines):
        draw_text(draw, line, MARGIN, MARGIN + TITLE * 0.7 + number * LINE, TITLE, colours.INK)
    left = MARGIN
    for name, panel in zip(("before", "after"), panels, strict=True):
        draw_text(draw, name, left, top - 10, HEADING, colours.ACCENT, bold=True)
        picture.paste(panel, (left, top))
        draw.rectangle((left - 1, top - 1, left + panel.width, top + panel.height), outline=colours.RULE)
        left, top = (left + panel.width + GAP, top) if side_by_side else (left, top + panel.height + 40)
    return picture


def _place(change: Change, changed: set[Element]) -> PixelBox:
    """What of the page is shown: all that changed, and something around it."""
    page = change.after
    if not changed:
        return page.box
    left, top = min(e.box.left for e in changed), min(e.box.top for e in changed)
    right, bottom = max(e.box.right for e in changed), max(e.box.bottom for e in changed)
    across = max(AROUND * (right - left), AROUND * (bottom - top), (LEAST * page.ppi.x - (right - left)) / 2)
    down = max(AROUND * (right - left), AROUND * (bottom - top), (LEAST * page.ppi.y - (bottom - top)) / 2)
    around = PixelBox(round(left - across), round(top - down), round(right + across), round(bottom + down))
    return around.clipped(page.box)


def _panel(change: Change, place: PixelBox, page: Page, changed: set[Element]) -> Image:
    from PIL import Image, ImageDraw
    from PIL.Image import Resampling

    sx, sy = change.raster.scale
    # Drawn twice as large and reduced, since Pillow draws lines without smoothing them.
    scale = FINER * min(PANEL / max(place.width, place.height), ENLARGED / max(sx, sy))
    size = (max(1, round(place.width * scale)), max(1, round(place.height * scale)))
    whole = _on_board(change.raster)
    box = (place.left / sx, place.top / sy, place.right / sx, place.bottom / sy)
    shown = whole.resize(size, Resampling.LANCZOS, box=box)
    picture = Image.blend(shown, Image.new("RGB", size, colours.BOARD), PALED)
    picture.paste(shown, mask=_mask(changed, place, scale, size))
    draw = ImageDraw.Draw(picture)
    for element in page.elements:
        if element not in changed:
            _outline(draw, element, place, scale, colours.PALE_INK, FINER)
    for element in sorted(changed, key=lambda one: one.number):
        _outline(draw, element, place, scale, colours.ACCENT, 3 * FINER)
    reduced = (max(1, size[0] // FINER), max(1, size[1] // FINER))
    picture = picture.resize(reduced, Resampling.BOX)
    draw, scale = ImageDraw.Draw(picture), scale / FINER
    for element in page.elements:
        _label(draw, element, place, scale, reduced, is_changed=element in changed)
    return picture


def _on_board(raster: Raster) -> Image:
    from PIL import Image

    picture = Image.fromarray(raster.pixels)
    if picture.mode != "RGBA":
        return picture.convert("RGB")
    board = Image.new("RGB", picture.size, "white")
    board.paste(picture, mask=picture.getchannel("A"))
    return board


def _mask(elements: set[Element], place: PixelBox, scale: float, size: tuple[int, int]) -> Image:
    from PIL import Image, ImageDraw

    mask = Image.new("L", size, 0)
    draw = ImageDraw.Draw(mask)
    for element in elements:
        draw.polygon(_points(element.outline, place, scale), fill=255)
        for hole in element.holes:
            draw.polygon(_points(hole, place, scale), fill=0)
    return mask


def _outline(
    draw: ImageDraw, element: Element, place: PixelBox, scale: float, colour: str, width: int
) -> None:
    for outline in (element.outline, *element.holes):
        points = _points(outline, place, scale)
        closed = [*points, points[0], points[1]]
        draw.line(closed, fill="white", width=width + 2 * FINER, joint="curve")
        draw.line(closed, fill=colour, width=width, joint="curve")


def _label(
    draw: ImageDraw,
    element: Element,
    place: PixelBox,
    scale: float,
    size: tuple[int, int],
    *,
    is_changed: bool,
) -> None:
    seen = element.box.clipped(place)
    if seen.width * scale < LABEL or seen.height * scale < LABEL / 2:
        return
    x, y = (
        ((seen.left + seen.right) / 2 - place.left) * scale,
        ((seen.top + seen.bottom) / 2 - place.top) * scale,
    )
    name = f"{element.number:02d}"
    room = text_width(name, LABEL, True) / 2 + 8
    x, y = min(max(x, room), size[0] - room), min(max(y, LABEL), size[1] - LABEL)
    if is_changed:
        draw_label(draw, name, (x, y), LABEL, colours.ACCENT)
    else:
        draw_label(draw, name, (x, y), 0.7 * LABEL, colours.PALE_INK)


def _points(
    outline: Sequence[tuple[float, float]], place: PixelBox, scale: float
) -> list[tuple[float, float]]:
    return [((x - place.left) * scale - 0.5, (y - place.top) * scale - 0.5) for x, y in outline]
