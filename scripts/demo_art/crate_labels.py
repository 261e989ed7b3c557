"""The two crate labels of page 3."""

from __future__ import annotations

import numpy as np

from .curves import Frame, rectangle
from .elements import Piece
from .engraving import Plate
from .fruit import apple, laden_branch, pear
from .lettering import FELL_CAPS, FELL_ITALIC, SLAB_BOLD, press, print_plate, set_line, set_line_to
from .noise import smoothstep
from .orchard import night_orchard
from .orchard_things import basket
from .palette import CREAM, DEEP_MOSS, DEEP_RUSSET, GLOW, INK, IVORY, MIDNIGHT, QUINCE, RUSSET, Colour, mixed
from .paper import Picture, age_edges, sheet_of_paper, worn_corners, worn_mask
from .rules import Rules
from .scene import Composition

CRATE = (1100, 760)
LABEL_SCENE = Composition((0.69, 0.33), ((0.4, 0.34), (0.1, 0.4)), on_the_ground=False)


def night_crate_label(seed: int) -> Piece:
    """Draw the crate label with the orchard at night."""
    width, height = CRATE
    rng = np.random.default_rng(seed)
    outline = worn_corners(width, height, 8)
    mask = worn_mask(width, height, outline)
    rgb = sheet_of_paper(width, height, mixed(CREAM, IVORY, 0.5), rng, foxing=5)
    scene = night_orchard(width - 68, height - 68, seed + 1, LABEL_SCENE)
    grain = rgb[34:-34, 34:-34] / np.array(mixed(CREAM, IVORY, 0.5), np.float32)
    rgb[34:-34, 34:-34] = scene * grain
    plate = Plate(520, 420, seed + 2)
    laden_branch(plate, Frame(262, 195, 262), "pear", 4)
    _banner(rgb, width, height, rng)
    print_plate(rgb, plate.printed(0.1), width - 556, 292, opaque=True)
    _shadowed(rgb, "LANTERN ORCHARD", SLAB_BOLD, 900, width / 2, 122, GLOW, mixed(MIDNIGHT, INK, 0.5), rng)
    _frame(rgb, rng, DEEP_RUSSET)
    age_edges(rgb, mask, rng, depth=26, strength=0.3)
    return Piece(rgb, mask, outline, "crate label, night-picked pears", "label")


def windfall_crate_label(seed: int) -> Piece:
    """Draw the crate label with the basket before a sunburst."""
    width, height = CRATE
    rng = np.random.default_rng(seed)
    outline = worn_corners(width, height, 8)
    mask = worn_mask(width, height, outline)
    rgb = sheet_of_paper(width, height, mixed(CREAM, IVORY, 0.5), rng, foxing=6)
    plate = Plate(width, height, seed + 1, mixed(INK, DEEP_RUSSET, 0.4))
    board = plate.patch(rectangle(36, 36, width - 36, height - 36))
    turn = np.arctan2(board.y - height * 0.6, board.x - width * 0.5)
    away = np.hypot(board.x - width * 0.5, board.y - height * 0.6)
    beam = np.sin(turn * 22)
    board.tone = np.clip(0.12 + 0.55 * smoothstep(120, 720, away), 0, 1)
    board.wash(QUINCE, RUSSET, depth=0.8)
    board.tint(mixed(DEEP_RUSSET, RUSSET, 0.45), smoothstep(-0.06, 0.06, beam.astype(np.float32)) * 0.86)
    off = np.abs(np.mod(away / 5.2, 1.0) - 0.5)
    wide = np.clip(board.tone * 1.1 - 0.15, 0, 0.7)
    board.ink = np.clip(0.5 + (wide / 2 - off) * 10.4, 0, 1) * (wide > 0.03) * 0.8
    plate.lay(board)
    print_plate(rgb, plate.printed(0.14), 0, 0)
    fruit = Plate(width, height, seed + 2)
    basket(fruit, Frame(width * 0.5, height * 0.63, 470), 4.4)
    for x, y, angle, kind in (
        (0.2, 0.81, -24, apple),
        (0.11, 0.85, 60, pear),
        (0.82, 0.82, 16, apple),
        (0.9, 0.86, -70, pear),
    ):
        kind(fruit, Frame(width * x, height * y, 140, angle), pitch=4.2)
    print_plate(rgb, fruit.printed(0.1), 0, 0, opaque=True)
    _shadowed(rgb, "WINDFALL", SLAB_BOLD, 880, width / 2, 142, CREAM, DEEP_RUSSET, rng)
    for x, words in ((160, "apples"), (width - 160, "& pears")):
        press(rgb, set_line(words, FELL_ITALIC, 76), x, 300, GLOW, rng, bite=0.3)
    _frame(rgb, rng, DEEP_MOSS)
    age_edges(rgb, mask, rng, depth=26, strength=0.3)
    return Piece(rgb, mask, outline, "crate label, windfall", "label")


def _shadowed(
    rgb: Picture,
    words: str,
    font: str,
    width: float,
    x: float,
    y: float,
    face: Colour,
    edge: Colour,
    rng: np.random.Generator,
    most: float = 1e9,
) -> None:
    """Poster lettering: a solid drop shade behind a pale face."""
    cover = set_line_to(words, font, width, 0.03, most)
    for step in range(9, 0, -1):
        press(rgb, cover, x + step, y + step, edge, rng, bite=0, density=1.0)
    outline = np.clip(
        sum(np.roll(np.pad(cover, 5), (dy, dx), (0, 1)) for dy in (-3, 0, 3) for dx in (-3, 0, 3)), 0, 1
    )
    press(rgb, outline.astype(np.float32), x, y, edge, rng, bite=0, density=1.0)
    press(rgb, cover, x, y, face, rng, bite=0.4, density=0.98)


def _banner(rgb: Picture, width: int, height: int, rng: np.random.Generator) -> None:
    rules = Rules(width, height)
    rules.fill(rectangle(36, height - 136, width - 36, height - 36))
    cover = rules.cover()[..., None]
    rgb[:] = rgb * (1 - cover) + np.array(DEEP_RUSSET, np.float32) * cover * (0.75 + 0.25 * rgb)
    press(
        rgb,
        set_line_to("Night-Picked Pears", FELL_CAPS, 560, 0.02),
        70,
        height - 88,
        CREAM,
        rng,
        anchor="lm",
        bite=0.4,
    )
    press(
        rgb,
        set_line_to("packed by lamp, row by row", FELL_ITALIC, 350),
        width - 66,
        height - 86,
        GLOW,
        rng,
        anchor="rm",
        bite=0.4,
    )


def _frame(rgb: Picture, rng: np.random.Generator, ink: Colour) -> None:
    height, width = rgb.shape[:2]
    rules = Rules(width, height)
    rules.box(20, 20, width - 20, height - 20, 4)
    rules.box(34, 34, width - 34, height - 34, 1.6)
    press(rgb, rules.cover(), 0, 0, ink, rng, anchor="lt")
