"""The families of papers: several that share an edge, and pages that are one paper."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from . import grounds
from .composing import ComposedPage
from .families import PPI, scatter
from .patterns import paper, printed_paper
from .pieces import PLAIN_STEP, SOLID, Piece, figure, label, solid
from .studio import Pixels, Studio

Box = tuple[int, int, int, int]
Spans = tuple[int, int, int, int]

MARGINS_PX = (0, 0, 60, 150, 225)
SEAM_BAND_PX, SEAM_BLOCK_PX = 8, 24
SEAM_STEP, SEAM_SEEN = 16.0, 0.7  # levels, and share of an edge along which it must be seen
MOST_ATTEMPTS = 60


def shared_edges(studio: Studio) -> ComposedPage:
    """Two to four papers or photographs without a gap, over the whole page or in a block among others."""
    size_px = grounds.page_px(studio)
    page = ComposedPage.on(grounds.plain(size_px, (255, 255, 255)))
    margin = studio.one_of(*MARGINS_PX)
    whole = margin, margin, size_px[0] - margin, size_px[1] - margin
    layout = studio.one_of("beside", "above", "four", "three", "strips", "t", "block", "block")
    boxes = _block(studio, page) if layout == "block" else _LAYOUTS[layout](studio, whole)
    edge_step = (
        0.0 if layout != "block" and margin == 0 else PLAIN_STEP
    )  # at the page's edge there is none to see
    for box in boxes:
        _lay_with_seams(studio, page, box, edge_step)
    if layout == "block":
        scatter(studio, page, SOLID, len(boxes) + studio.whole(2, 6))
    return page


def whole_page(studio: Studio) -> ComposedPage:
    """One paper, with a white margin or without."""
    size_px = grounds.page_px(studio)
    margin = studio.one_of(0, 0, 0, 75, 150, 225)
    width, height = size_px[0] - 2 * margin, size_px[1] - 2 * margin
    make = studio.one_of(_picture, printed_paper, _motifs, _motifs, _vignette, _texture, _written)
    page = ComposedPage.on(grounds.plain(size_px, grounds.light(studio)))
    for _ in range(MOST_ATTEMPTS):
        # Without a margin there is no edge to see.
        piece = solid(make(studio, width, height), "paper", PLAIN_STEP if margin else 0.0)
        if page.lay(piece, margin, margin):
            return page
    raise RuntimeError("no paper was found that differs from its margin")


# ------------------------------------------------------------------ shared edges


def _beside(studio: Studio, span: Spans) -> list[Box]:
    left, top, right, bottom = span
    at = _between(studio, left, right, 0.33, 0.67)
    return [(left, top, at, bottom), (at, top, right, bottom)]


def _above(studio: Studio, span: Spans) -> list[Box]:
    left, top, right, bottom = span
    at = _between(studio, top, bottom, 0.33, 0.67)
    return [(left, top, right, at), (left, at, right, bottom)]


def _four(studio: Studio, span: Spans) -> list[Box]:
    left, top, right, bottom = span
    x, y = _between(studio, left, right, 0.4, 0.6), _between(studio, top, bottom, 0.4, 0.6)
    return [(left, top, x, y), (x, top, right, y), (left, y, x, bottom), (x, y, right, bottom)]


def _three(studio: Studio, span: Spans) -> list[Box]:
    left, top, right, bottom = span
    first, second = _between(studio, top, bottom, 0.28, 0.38), _between(studio, top, bottom, 0.6, 0.72)
    return [(left, top, right, first), (left, first, right, second), (left, second, right, bottom)]


def _strips(_studio: Studio, span: Spans) -> list[Box]:
    left, top, right, bottom = span
    edges = np.linspace(left, right, 5).astype(int).tolist()
    return [(a, top, b, bottom) for a, b in pairwise(edges)]


def _t_shaped(studio: Studio, span: Spans) -> list[Box]:
    left, top, right, bottom = span
    x, y = _between(studio, left, right, 0.4, 0.6), _between(studio, top, bottom, 0.35, 0.65)
    return [(left, top, right, y), (left, y, x, bottom), (x, y, right, bottom)]


def _block(studio: Studio, page: ComposedPage) -> list[Box]:
    """Two or four pictures of one size somewhere on the page."""
    width, height = int(studio.rng.uniform(1.6, 3) * PPI), int(studio.rng.uniform(1.4, 2.6) * PPI)
    down = studio.one_of(1, 2)
    x, y = (
        studio.whole(100, page.width - 2 * width - 100),
        studio.whole(100, page.height - down * height - 100),
    )
    page.take(x, y, 2 * width, down * height)
    return [(x + i * width, y + j * height, x + (i + 1) * width, y + (j + 1) * height)
            for j in range(down) for i in range(2)]  # fmt: skip


_LAYOUTS: dict[str, Callable[[Studio, Spans], list[Box]]] = {
    "beside": _beside, "above": _above, "four": _four, "three": _three, "strips": _strips, "t": _t_shaped,
}  # fmt: skip


def _between(studio: Studio, start: int, end: int, least: float, most: float) -> int:
    return int(start + (end - start) * studio.rng.uniform(least, most))


def _lay_with_seams(studio: Studio, page: ComposedPage, box: Box, edge_step: float) -> None:
    """Lay a paper so that a person sees where it meets its neighbours."""
    left, top, right, bottom = box
    for attempt in range(MOST_ATTEMPTS):
        make = paper if studio.chance(0.6) or attempt > MOST_ATTEMPTS // 2 else Studio.photograph
        pixels = make(studio, right - left, bottom - top)
        if _seams_show(page, pixels, box) and page.lay(solid(pixels, "paper", edge_step), left, top):
            return
    raise RuntimeError("no paper was found that differs from its neighbours")


def _seams_show(page: ComposedPage, pixels: Pixels, box: Box) -> bool:
    left, top, right, bottom = box
    done = [truth.box for truth in page.truths]
    band = SEAM_BAND_PX
    if any(other[2] == left and other[1] < bottom and top < other[3] for other in done) and not _differ(
        page.pixels[top:bottom, left - band : left], pixels[:, :band], 1
    ):
        return False
    return not any(other[3] == top and other[0] < right and left < other[2] for other in done) or _differ(
        page.pixels[top - band : top, left:right], pixels[:band], 0
    )


def _differ(one: NDArray[Any], other: NDArray[Any], across: int) -> bool:
    """Whether two bands differ in mean colour along most of their length."""
    first, second = (band.astype(np.float32).mean(across) for band in (one, other))
    count = len(first) // SEAM_BLOCK_PX
    blocks = [
        band[: count * SEAM_BLOCK_PX].reshape(count, SEAM_BLOCK_PX, 3).mean(1) for band in (first, second)
    ]
    return bool(np.mean(np.abs(blocks[0] - blocks[1]).max(1) >= SEAM_STEP) >= SEAM_SEEN)


# -------------------------------------------------------------------- whole pages


def _picture(studio: Studio, width: int, height: int) -> Pixels:
    return studio.photograph(width, height)


def _texture(studio: Studio, width: int, height: int) -> Pixels:
    tint = np.array(studio.pale()) * 1.2
    return np.clip(studio.texture(width, height) / 255 * tint, 0, 255).astype(np.uint8)


def _vignette(studio: Studio, width: int, height: int) -> Pixels:
    """A picture, a texture or a pattern that goes dark towards its rim."""
    base = studio.one_of(_picture, _texture, printed_paper)(studio, width, height).astype(np.float32)
    x, y = np.linspace(-1, 1, width)[None, :], np.linspace(-1, 1, height)[:, None]
    darker = np.clip(1.1 - 0.6 * (x**2 + y**2), 0.05, 1)
    return (base * darker[..., None]).astype(np.uint8)


def _written(studio: Studio, width: int, height: int) -> Pixels:
    """A ledger page: lines of writing, ruled or not, from edge to edge."""
    picture = Image.new("RGB", (width, height), studio.pale(215, 240))
    draw, font = ImageDraw.Draw(picture), studio.typeface(studio.rng.uniform(40, 70))
    ink, ruled, step = studio.colour(20, 90), studio.chance(0.5), int(font.size * 1.4)
    for top in range(60, height - step, step):
        draw.text((60, top), studio.phrase(40), font=font, fill=ink)
        if ruled:
            draw.line((0, top + step - 4, width, top + step - 4), studio.pale(150, 190), 3)
    return np.asarray(picture)


def _motifs(studio: Studio, width: int, height: int) -> Pixels:
    """Equal small drawings over the whole sheet, cut by its edges, on white or a pale colour."""
    base = (255, 255, 255) if studio.chance(0.5) else studio.pale(205, 245)
    sheet = np.full((height, width, 3), base, np.float32)
    side = int(studio.rng.uniform(0.3, 1.2) * PPI)
    make = label if studio.chance(0.3) else figure
    stamps = [make(studio, side, side) for _ in range(studio.whole(1, 4))]
    across, down = int(side * studio.rng.uniform(1.15, 2)), int(side * studio.rng.uniform(1.15, 2))
    offset, half = studio.rng.uniform(-side, 0, 2).astype(int), studio.chance(0.6)
    for row, top in enumerate(range(offset[1], height, down)):
        for col, left in enumerate(
            range(offset[0] - (across // 2 if half and row % 2 else 0), width, across)
        ):
            _print_at(sheet, stamps[(row + col) % len(stamps)], left, top)
    return sheet.astype(np.uint8)


def _print_at(sheet: NDArray[Any], motif: Piece, left: int, top: int) -> None:
    rows, cols = motif.rgba.shape[:2]
    x, y, right, bottom = (
        max(left, 0),
        max(top, 0),
        min(left + cols, sheet.shape[1]),
        min(top + rows, sheet.shape[0]),
    )
    if right <= x or bottom <= y:
        return
    part = motif.rgba[y - top : bottom - top, x - left : right - left].astype(np.float32)
    there = sheet[y:bottom, x:right]
    there += part[..., 3:] / 255 * (part[..., :3] - there)
