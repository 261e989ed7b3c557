"""Page 2: pickers' tags, tally stamps, seed-packet labels."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from .curves import Frame, rectangle
from .elements import PAGE_HEIGHT, PAGE_WIDTH, Page, Piece
from .engraving import Hatch, Plate
from .fruit import apple, laden_branch, leaf, pear
from .lantern import lantern
from .lettering import (
    CANON_ITALIC,
    FELL,
    FELL_CAPS,
    FELL_ITALIC,
    SLAB,
    SLAB_BOLD,
    press,
    print_plate,
    set_line,
    set_line_to,
    write,
)
from .meadow import clover_tuft
from .orchard_things import skep
from .palette import (
    CREAM,
    DEEP_MOSS,
    DEEP_RUSSET,
    GLOW,
    INK,
    KRAFT,
    MIDNIGHT,
    RUSSET,
    SAGE,
    STRAW,
    Colour,
    mixed,
)
from .paper import Picture, age_edges, clipped_corners, ring, sheet_of_paper, worn_corners, worn_mask
from .rules import Rules
from .stamps import LARGE, SMALL, stamp
from .winged import LANTERN_MOTH, bee, moth

PAGE_TINT: Colour = (0.915, 0.87, 0.78)
TAG = (500, 870)
LARGE_STAMP = (384, 456)
LABEL = (690, 900)
SIDE = 118  # left and right margin of the page, in pixels


@dataclass(frozen=True)
class TagDesign:
    """One picker's tag: number, picker's row in handwriting, colours, picture."""

    name: str
    number: str
    row: str
    paper: Colour
    ink: Colour
    hand: Colour
    draw: Callable[[Plate], None]


def _tag_pear(plate: Plate) -> None:
    leaf(plate, Frame(196, 58, 110, -14), pitch=4)
    pear(plate, Frame(175, 170, 230), pitch=4.2)


def _tag_apple(plate: Plate) -> None:
    leaf(plate, Frame(190, 60, 112, -16), pitch=4)
    apple(plate, Frame(172, 172, 220), pitch=4.2)


TAGS = [
    TagDesign("picker's tag no. 7, pear", "7", "pears, low boughs", KRAFT, INK, MIDNIGHT, _tag_pear),
    TagDesign(
        "picker's tag no. 12, lantern", "12", "mind the wick", mixed(MIDNIGHT, (0.2, 0.26, 0.42), 0.4), GLOW, CREAM,
        lambda plate: lantern(plate, Frame(175, 150, 282), 3.8),
    ),
    TagDesign(
        "picker's tag no. 31, moth", "31", "counted by moths", mixed(CREAM, (1, 1, 1), 0.25), DEEP_RUSSET, MIDNIGHT,
        lambda plate: moth(plate, Frame(175, 150, 208), LANTERN_MOTH, 3.6),
    ),
    TagDesign("picker's tag no. 4, apple", "4", "russets, by the wall", mixed(SAGE, CREAM, 0.22), DEEP_MOSS,
        MIDNIGHT, _tag_apple),
]  # fmt: skip


def tag(design: TagDesign, seed: int) -> Piece:
    """Draw one picker's tag with its punched hole."""
    width, height = TAG
    rng = np.random.default_rng(seed)
    outline = clipped_corners(width, height, 96)
    hole = ring(width / 2, 92, 25)
    mask = worn_mask(width, height, outline, [hole])
    rgb = sheet_of_paper(width, height, design.paper, rng, age=1.2, foxing=int(rng.integers(2, 7)))
    _eyelet(rgb, width, rng)
    rules = Rules(width, height)
    for inset, thick in ((22, 3.4), (31, 1.2)):
        edge = clipped_corners(width - 2 * inset, height - 2 * inset, 96 - inset * 0.42) + inset
        rules.line(edge, thick, closed=True)
    rules.line([(70, 300), (width - 70, 300)], 1.4)
    for y in (668, 734):
        rules.line([(150 if y < 700 else 132, y), (width - 62, y)], 1.2)
    rules.lozenge(width / 2, 300, 7)
    press(rgb, rules.cover(), 0, 0, design.ink, rng, anchor="lt")
    press(rgb, set_line("PICKER'S TAG", FELL, 38, 0.14), width / 2, 174, design.ink, rng)
    press(rgb, set_line(f"No. {design.number}", SLAB_BOLD, 84, 0.02), width / 2, 242, design.ink, rng)
    plate = Plate(350, 310, seed + 1, INK)
    design.draw(plate)
    print_plate(rgb, plate.printed(0.12), 75, 322, opaque=True)
    press(rgb, set_line("Row", FELL_ITALIC, 36), 66, 669, design.ink, rng, anchor="lb")
    press(rgb, set_line("Fruit", FELL_ITALIC, 36), 54, 734, design.ink, rng, anchor="lb")
    write(rgb, f"{design.number}, east side", CANON_ITALIC, 42, 172, 660, design.hand, rng)
    write(rgb, design.row, CANON_ITALIC, 37, 150, 727, design.hand, rng)
    press(rgb, set_line_to("LANTERN ORCHARD", SLAB_BOLD, 300, 0.16), width / 2, 790, design.ink, rng)
    age_edges(rgb, mask, rng, depth=26, strength=0.3)
    return Piece(rgb, mask, outline, design.name, "tag", rectangular=False)


def _eyelet(rgb: Picture, width: int, rng: np.random.Generator) -> None:
    cover = worn_mask(width, rgb.shape[0], ring(width / 2, 92, 50))[..., None]
    patch = sheet_of_paper(width, rgb.shape[0], mixed(RUSSET, KRAFT, 0.25), rng, age=1.4)
    rgb[:] = rgb * (1 - cover) + patch * cover
    rules = Rules(width, rgb.shape[0])
    for radius, thick in ((49, 1.6), (31, 1.4)):
        rules.line(ring(width / 2, 92, radius), thick, closed=True)
    press(rgb, rules.cover(), 0, 0, DEEP_RUSSET, rng, anchor="lt", bite=0.5)


@dataclass(frozen=True)
class LabelDesign:
    """One seed-packet label: fruit's name, a line about it, colours, picture."""

    name: str
    title: str
    line: str
    count: str
    band: Colour
    ground: Colour
    draw: Callable[[Plate, float, float], None]


def _label_pear(plate: Plate, w: float, h: float) -> None:
    laden_branch(plate, Frame(w * 0.47, h * 0.57, w * 0.53), "pear", 4.4)


def _label_apple(plate: Plate, w: float, h: float) -> None:
    laden_branch(plate, Frame(w * 0.47, h * 0.59, w * 0.53), "apple", 4.4)


def _label_clover(plate: Plate, w: float, h: float) -> None:
    skep(plate, Frame(w / 2, h * 0.5, w * 0.5), 4.2)
    for x, size in ((0.15, 62), (0.85, 62)):
        clover_tuft(plate, Frame(w * x, h * 0.98, size), 3.8)
    for x, y, turn in ((0.15, 0.22, 50), (0.86, 0.18, -42), (0.9, 0.42, -75)):
        bee(plate, Frame(w * x, h * y, w * 0.105, turn), 2.6)


LABELS = [
    LabelDesign("seed-packet label, moonwine pear", "Moonwine Pear", "sow by lantern light, water by dew",
        "nine pips", DEEP_MOSS, mixed(SAGE, CREAM, 0.55), _label_pear),
    LabelDesign("seed-packet label, hive clover", "Hive Clover", "for the edge of the orchard",
        "one good pinch", MIDNIGHT, mixed(STRAW, CREAM, 0.5), _label_clover),
    LabelDesign("seed-packet label, lamplight russet", "Lamplight Russet", "keeps until the last frost",
        "seven pips", DEEP_RUSSET, mixed(STRAW, CREAM, 0.45), _label_apple),
]  # fmt: skip


def label(design: LabelDesign, seed: int) -> Piece:
    """Draw one seed-packet label."""
    width, height = LABEL
    rng = np.random.default_rng(seed)
    outline = worn_corners(width, height, 7)
    mask = worn_mask(width, height, outline)
    rgb = sheet_of_paper(
        width, height, mixed(CREAM, (1, 1, 1), 0.4), rng, age=1.1, foxing=int(rng.integers(2, 6))
    )
    plate = Plate(width, height, seed + 1, mixed(INK, design.band, 0.3))
    band = plate.patch(rectangle(34, 34, width - 34, 150))
    band.tone[:] = 0.55
    plate.lay(band.wash(design.band, mottle=0.1))
    picture = plate.patch(rectangle(34, 158, width - 34, 636))
    away = np.hypot((picture.x - width / 2) / 420, (picture.y - 390) / 330)
    picture.tone = np.clip(0.05 + 0.6 * away**2, 0, 1).astype(np.float32)
    picture.wash(design.ground, mixed(design.ground, design.band, 0.7), depth=0.6)
    plate.lay(picture.hatch(Hatch(angle=0, pitch=4.6, bow=0, start=0.1, cross=2, weight=0.5)))
    print_plate(rgb, plate.printed(0.14), 0, 0)
    fruit = Plate(width - 80, 470, seed + 2, INK)
    design.draw(fruit, fruit.width, fruit.height)
    print_plate(rgb, fruit.printed(0.12), 40, 164, opaque=True)
    rules = Rules(width, height)
    rules.box(22, 22, width - 22, height - 22, 3.0)
    rules.box(34, 34, width - 34, height - 34, 1.2)
    rules.line([(34, 637), (width - 34, 637)], 3)
    rules.line([(34, 157), (width - 34, 157)], 3)
    rules.line([(150, 826), (width - 150, 826)], 1.2)
    rules.lozenge(width / 2, 826, 7)
    press(rgb, rules.cover(), 0, 0, design.band, rng, anchor="lt")
    press(rgb, set_line("SEEDS OF THE NIGHT ORCHARD", SLAB, 27, 0.17), width / 2, 70, CREAM, rng, bite=0.3)
    press(rgb, set_line(design.count, FELL_ITALIC, 40), width / 2, 116, GLOW, rng, bite=0.3)
    press(
        rgb,
        set_line_to(design.title, FELL_CAPS, width - 120, 0.01, most=96),
        width / 2,
        704,
        design.band,
        rng,
    )
    press(rgb, set_line(design.line, CANON_ITALIC, 38), width / 2, 782, INK, rng)
    press(rgb, set_line("QUILLMOSS PAPER ROOM", SLAB_BOLD, 22, 0.2), width / 2, 852, design.band, rng)
    age_edges(rgb, mask, rng, depth=24, strength=0.2)
    return Piece(rgb, mask, outline, design.name, "label")


def plain_page(number: int, tint: Colour, seed: int) -> Page:
    """Begin a page of tinted paper with a faint grain."""
    rng = np.random.default_rng(seed)
    rgb = sheet_of_paper(PAGE_WIDTH, PAGE_HEIGHT, tint, rng, age=0.25, grain=0.25)
    return Page(number, rgb)


def makers_line(page: Page, middle: float, seed: int) -> None:
    """Print the maker's line at the foot of a page."""
    words = f"Quillmoss Paper Room  ·  Lantern Orchard  ·  {page.number} of 4"
    cover = set_line(words, FELL_ITALIC, 42, 0.02)
    box = press(
        page.rgb,
        cover,
        PAGE_WIDTH / 2,
        middle,
        mixed(INK, KRAFT, 0.25),
        np.random.default_rng(seed),
        bite=0.3,
    )
    page.note(f"maker's line, {page.number} of 4", "words", rectangle(*box), unwanted=True)


def lay_row(page: Page, pieces: list[Piece], top: float, side: float = SIDE) -> None:
    """Lay pieces of one height in a row with equal gaps between."""
    room = PAGE_WIDTH - 2 * side - sum(piece.mask.shape[1] for piece in pieces)
    gap = room / (len(pieces) - 1)
    left = side
    for piece in pieces:
        page.lay(piece, round(left), round(top))
        left += piece.mask.shape[1] + gap


def draw_tags_page() -> Page:
    """Draw page 2."""
    page = plain_page(2, PAGE_TINT, 200)
    lay_row(page, [tag(design, 210 + 5 * at) for at, design in enumerate(TAGS)], 112)
    lay_row(page, [stamp(design, *LARGE_STAMP, 240 + 5 * at) for at, design in enumerate(LARGE)], 1082)
    lay_row(page, [stamp(design, *LARGE_STAMP, 270 + 5 * at) for at, design in enumerate(SMALL)], 1632)
    lay_row(page, [label(design, 300 + 5 * at) for at, design in enumerate(LABELS)], 2184)
    makers_line(page, 3186, 330)
    return page
