"""The families of pages on which things lie apart: scattered, in rows, of parts, in shadow, on any background."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import cv2
import numpy as np

from . import grounds
from .composing import ComposedPage, Shadow, bounds_of
from .part_pieces import PARTS, wording
from .pieces import (
    SOLID,
    Maker,
    Piece,
    bordered,
    card,
    coloured,
    cut,
    label,
    photograph,
    stamp,
    tag,
)
from .studio import Colour, Studio

PPI = 300
LEAST_GAP_PX = 20
PARTS_GAP_PX = 90
MOST_PARTS_GAP_PX = 200
MOST_ATTEMPTS = 6
GUTTERS_PX = (6, 6, 9, 15, 30)
"""0.02 to 0.1 in."""


def scattered(studio: Studio) -> ComposedPage:
    """Solid things lying about on white or cream."""
    page = _page(studio, grounds.plain(grounds.page_px(studio), grounds.light(studio)))
    scatter(studio, page, SOLID, studio.whole(5, 14))
    return page


def dark(studio: Studio) -> ComposedPage:
    """The same on a dark or saturated colour."""
    page = ComposedPage.on(grounds.plain(grounds.page_px(studio), grounds.deep(studio)))
    scatter(studio, page, SOLID, studio.whole(5, 14))
    return page


def tinted(studio: Studio) -> ComposedPage:
    """The same on cream, kraft, textured or graded paper."""
    page = _page(studio, grounds.tinted(studio, grounds.page_px(studio)))
    scatter(studio, page, SOLID, studio.whole(5, 14))
    return page


def shadows(studio: Studio) -> ComposedPage:
    """The same with soft drop shadows that fall all one way."""
    size_px = grounds.page_px(studio)
    plain = grounds.plain(size_px, grounds.light(studio))
    page = _page(studio, plain if studio.chance(0.7) else grounds.tinted(studio, size_px))
    down = studio.whole(0, 22)
    right = down * studio.one_of(-1, 1)
    shadow = Shadow(right, down, float(studio.rng.uniform(7, 22)), float(studio.rng.uniform(0.25, 0.6)))
    scatter(studio, page, SOLID[:-1], studio.whole(5, 12), gap=60, shadow=shadow)
    return page


def transparent(studio: Studio) -> ComposedPage:
    """Solid things and wordings on nothing."""
    width, height = grounds.page_px(studio)
    hidden = (0, 0, 0) if studio.chance(0.5) else (255, 255, 255)
    page = ComposedPage.on(grounds.plain((width, height), hidden), transparent=True)
    scatter(studio, page, (*SOLID, wording), studio.whole(5, 13), gap=PARTS_GAP_PX)
    return page


def parts(studio: Studio) -> ComposedPage:
    """Wordings, dotted frames, bunting, brackets, wreaths, labels white inside; a few solid things."""
    page = _page(studio, grounds.plain(grounds.page_px(studio), grounds.light(studio)))
    count = studio.whole(5, 10)
    for _ in range(5 * count):
        maker = studio.one_of(*PARTS) if studio.chance(0.75) else studio.one_of(*SOLID)
        size = studio.rng.uniform(1.5, 3.4) * PPI, studio.rng.uniform(1, 2.4) * PPI
        piece = maker(studio, int(size[0]), int(size[1]))
        place_apart(studio, page, piece, parts_gap(piece), studio.lean_deg(0.2))
        if len(page.truths) >= count:
            break
    return page


def rows(studio: Studio) -> ComposedPage:
    """Stamps, labels, cards, photographs or tags in rows with narrow gutters."""
    size_px = grounds.page_px(studio)
    colour = grounds.light(studio)
    page = ComposedPage.on(grounds.plain(size_px, colour))
    maker = _of_page_colour(studio, colour) if studio.chance(0.4) else studio.one_of(*ROW_MAKERS)
    gutter, rim = studio.one_of(*GUTTERS_PX), int(studio.rng.uniform(0.25, 0.8) * PPI)
    count, alike = studio.whole(3, 8), studio.chance(0.6)
    height = (size_px[1] - 2 * rim + gutter) // count - gutter
    across = studio.whole(3, 7)
    for number in range(count):
        line_up(studio, page, maker, across if alike else studio.whole(2, 7),
                (rim, rim + number * (height + gutter)), height, gutter)  # fmt: skip
    return page


def mixed(studio: Studio) -> ComposedPage:
    """An everyday kit page: rows of different things, one kind to a row, and a wording here and there."""
    size_px = grounds.page_px(studio)
    plain = grounds.plain(size_px, grounds.light(studio))
    page = _page(studio, plain if studio.chance(0.6) else grounds.tinted(studio, size_px), words=1.0)
    gap, top = studio.one_of(30, 45, 60, 90), 200
    while top < size_px[1] - 600:
        height = min(int(studio.rng.uniform(0.9, 2.6) * PPI), size_px[1] - 200 - top)
        if studio.chance(0.15):
            piece = wording(studio, 1500, height)
            if top + piece.rgba.shape[0] < size_px[1] - 200:
                page.lay(piece, 200, top)
            top += piece.rgba.shape[0] + max(gap, parts_gap(piece))
            continue
        line_up(studio, page, studio.one_of(*SOLID), studio.whole(1, 6), (120, top), height, gap)
        top += height + gap
    return page


def scatter(
    studio: Studio,
    page: ComposedPage,
    makers: Sequence[Maker],
    count: int,
    gap: int = 0,
    shadow: Shadow | None = None,
) -> None:
    """Lay so many things about, or as many as find room."""
    gap += studio.one_of(LEAST_GAP_PX, 30, 50, 80)
    for _ in range(4 * count):
        width, height = (int(v) for v in studio.rng.uniform(0.9, 3.2, 2) * PPI)
        piece = studio.one_of(*makers)(studio, width, height)
        apart = max(gap, parts_gap(piece)) if piece.parts else gap
        place_apart(studio, page, piece, apart, studio.lean_deg(0.35), shadow)
        if len([truth for truth in page.truths if truth.wanted]) >= count:
            break


def place_apart(
    studio: Studio, page: ComposedPage, piece: Piece, gap: int, lean_deg: float, shadow: Shadow | None = None
) -> bool:
    """Lay a thing where it is that far from all others; False where there is no room or it would not show."""
    place = page.free_place(studio.rng, *bounds_of(piece, lean_deg), gap)
    return place is not None and page.lay(piece, *place, lean_deg, shadow)


def line_up(
    studio: Studio,
    page: ComposedPage,
    maker: Maker,
    count: int,
    corner: tuple[int, int],
    height: int,
    gap: int,
) -> None:
    """Lay things side by side across the page, all of one maker."""
    rim, top = corner
    width = (page.width - 2 * rim + gap) // count - gap
    for number in range(count):
        for _ in range(MOST_ATTEMPTS):
            if page.lay(maker(studio, width, height), rim + number * (width + gap), top):
                break


def parts_gap(piece: Piece) -> int:
    """How far other things must stay from one of parts: farther than its parts lie from each other."""
    mask = cv2.resize(piece.rgba[..., 3], None, fx=0.25, fy=0.25, interpolation=cv2.INTER_AREA) > 60
    room = MOST_PARTS_GAP_PX // 4
    mask = cv2.copyMakeBorder(mask.astype(np.uint8), room, room, room, room, cv2.BORDER_CONSTANT)
    away = cv2.distanceTransform(1 - mask, cv2.DIST_L2, 3)
    for reach in range(2, room // 2):
        if cv2.connectedComponents((away <= reach).astype(np.uint8))[0] == 2:
            return max(PARTS_GAP_PX, min(MOST_PARTS_GAP_PX, int(1.4 * 2 * reach * 4)))
    return MOST_PARTS_GAP_PX


def _page(studio: Studio, ground: grounds.Ground, words: float = 0.35) -> ComposedPage:
    """A page, perhaps with a title or a maker's line, which nobody would cut out."""
    page = ComposedPage.on(ground)
    if studio.chance(words):
        _print_words(
            studio, page, "Lantern Orchard" if studio.chance(0.5) else studio.phrase(3), 70, (55, 110)
        )
    if studio.chance(words):
        line = "Quillmoss Paper Room - Lantern Orchard - for personal use only"
        _print_words(studio, page, line, page.height - 110, (26, 42))
    return page


def _print_words(studio: Studio, page: ComposedPage, text: str, top: int, sizes_px: tuple[int, int]) -> None:
    font = studio.typeface(studio.rng.uniform(*sizes_px))
    drawn = font.getmask(text, "L")
    mask = np.asarray(drawn, np.uint8).reshape(drawn.size[1], drawn.size[0])
    piece = cut(coloured(mask.shape[1], mask.shape[0], studio.colour(20, 110)), mask, "words", True)
    left = (page.width - mask.shape[1]) // 2
    if page.lay(piece, left, top, wanted=False):
        margin = PARTS_GAP_PX
        page.take(0, top - margin, page.width, piece.rgba.shape[0] + 2 * margin)


def _of_page_colour(studio: Studio, colour: Colour) -> Maker:
    """Stamps or photographs whose border is almost the colour of the page."""
    step = studio.rng.uniform(6, 14) * (1 if studio.chance(0.2) else -1)
    border = np.clip(np.array(colour) + step + studio.rng.uniform(-2, 2, 3), 0, 255).astype(int)
    if np.abs(border - colour).max() < 6:
        border = np.array(colour) - 8
    make = studio.one_of(stamp, bordered)
    return lambda studio, width, height: make(studio, width, height, tuple(int(v) for v in border))


ROW_MAKERS: tuple[Maker, ...] = (stamp, stamp, bordered, label, card, photograph, tag)
Family = Callable[[Studio], ComposedPage]
