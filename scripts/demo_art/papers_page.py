"""Page 1: four patterned papers, drawn one by one because a PDF page carries them as separate pictures."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from .curves import Frame, ellipse, smooth
from .engraving import Hatch, Plate
from .fruit import FruitColours, leaf, pear, twig
from .lettering import (
    CANON_ITALIC,
    FELL,
    FELL_CAPS,
    FELL_ITALIC,
    SLAB,
    press,
    print_plate,
    set_arc,
    set_line,
    set_line_to,
    write,
)
from .noise import smoothstep
from .orchard import night_orchard
from .palette import (
    BARK,
    CREAM,
    DEEP_MOSS,
    DEEP_RUSSET,
    DUSK,
    GLOW,
    INK,
    IVORY,
    MIDNIGHT,
    MIST,
    MOSS,
    QUINCE,
    RUSSET,
    SAGE,
    STRAW,
    mixed,
)  # fmt: skip
from .paper import Picture, age_edges, ring, sheet_of_paper, tea_ring
from .rules import Rules, tally_marks
from .winged import CINDER_MOTH, GHOST_MOTH, LANTERN_MOTH, MothColours, moth

NIGHT_LEAF = FruitColours(leaf=mixed(SAGE, MOSS, 0.25), leaf_shadow=DEEP_MOSS, bark=mixed(BARK, STRAW, 0.35))


@dataclass(frozen=True)
class PlacedPaper:
    """One paper and where it lies on the page, in page pixels at 300 per inch."""

    name: str
    x: int
    y: int
    rgb: Picture


def _finished(rgb: Picture, seed: int, strength: float = 0.24) -> Picture:
    rng = np.random.default_rng(seed)
    age_edges(rgb, np.ones(rgb.shape[:2], np.float32), rng, depth=30, strength=strength)
    return np.clip(rgb, 0, 1)


def night_paper(width: int, height: int, seed: int) -> Picture:
    """Draw the night-sky orchard paper."""
    rng = np.random.default_rng(seed)
    grain = sheet_of_paper(width, height, (0.94, 0.93, 0.9), rng, age=0.6) / 0.93
    return _finished(night_orchard(width, height, seed + 1) * grain, seed + 2, 0.2)


def moth_paper(width: int, height: int, seed: int) -> Picture:
    """Draw the moth and leaf paper: a half-drop repeat on deep moss."""
    rng = np.random.default_rng(seed)
    ground = mixed(DEEP_MOSS, MIDNIGHT, 0.22)
    rgb = sheet_of_paper(width, height, ground, rng, age=1.6)
    dust = Rules(width, height)
    for row in range(int(height / 24) + 1):
        dust.dots(6 + 12 * (row % 2), width, 8 + 24 * row, 24, 1.4)
    press(rgb, dust.cover(), 0, 0, mixed(MOSS, SAGE, 0.3), rng, anchor="lt", bite=0, density=0.75)
    across, down = width / 3, 386.0
    moths = [
        _pulled_moth(seed + 10 + at, colours)
        for at, colours in enumerate((GHOST_MOTH, LANTERN_MOTH, CINDER_MOTH))
    ]
    sprigs = [_pulled_sprig(seed + 20, False), _pulled_sprig(seed + 21, True)]
    stars = Rules(width, height)
    for column in range(-1, 4):
        for row in range(-1, 6):
            x, y = (column + 0.5) * across, (row + 0.25 + 0.5 * (column % 2)) * down
            tile = moths[(row + column) % 3]
            print_plate(rgb, tile, round(x - tile.shape[1] / 2), round(y - tile.shape[0] / 2), opaque=True)
            leafy = sprigs[(row + column) % 2]
            print_plate(
                rgb,
                leafy,
                round(x - leafy.shape[1] / 2),
                round(y + down / 2 - leafy.shape[0] / 2),
                opaque=True,
            )
            for side in (-1, 1):
                for dy in (0.0, 0.5):
                    _star(stars, x + side * across / 2, y + (dy + 0.25) * down, 13 if dy else 8)
    press(rgb, stars.cover(), 0, 0, QUINCE, rng, anchor="lt", bite=0.2)
    return _finished(rgb, seed + 2)


def _star(rules: Rules, x: float, y: float, reach: float) -> None:
    rules.fill([(x - reach, y), (x, y - reach * 0.17), (x + reach, y), (x, y + reach * 0.17)])
    rules.fill([(x, y - reach), (x + reach * 0.17, y), (x, y + reach), (x - reach * 0.17, y)])


def _pulled_moth(seed: int, colours: MothColours) -> Picture:
    plate = Plate(330, 230, seed)
    moth(plate, Frame(165, 124, 186), replace(colours, feelers=STRAW), 3.2)
    return plate.printed(0.1)


def _pulled_sprig(seed: int, mirror: bool) -> Picture:
    plate = Plate(330, 240, seed)
    frame = Frame(165, 120, 1.16, mirror=mirror)
    stem = frame.at(smooth([(-112, 34), (-40, 16), (30, 2), (100, -16)]))
    for x, y, length, direction, curl in (
        (-78, 27, 84, -70, 0.14), (-12, 11, 88, -68, 0.14), (52, -3, 78, -64, 0.14), (-62, 23, 84, 34, -0.14),
            (4, 8, 84, 30, -0.14),
        (92, -14, 60, -16, 0.1),
    ):  # fmt: skip
        leaf(plate, frame.within(x, y, length, direction), NIGHT_LEAF, curl=curl, pitch=3.4)
    twig(plate, stem, [7, 5, 3.5], NIGHT_LEAF)
    return plate.printed(0.1)


def ledger_paper(width: int, height: int, seed: int) -> Picture:
    """Draw the ledger paper: ruled, headed, filled in by one careful hand."""
    rng = np.random.default_rng(seed)
    rgb = sheet_of_paper(width, height, mixed(CREAM, STRAW, 0.12), rng, age=1.7, foxing=30)
    tea_ring(rgb, width * 0.76, height * 0.77, 150, rng, 0.3)
    _watermark(rgb, width, height, seed + 5)
    blue, red = Rules(width, height), Rules(width, height)
    first, step = 330, 62
    for y in range(first, height, step):
        blue.line([(0, y), (width, y)], 1.3)
    for x in (170, 700, 880, 1060):
        for shift in (0, 7):
            red.line([(x + shift, 236), (x + shift, height)], 1.4)
    for y, thick in ((236, 2.6), (244, 1.1)):
        red.line([(0, y), (width, y)], thick)
    press(rgb, blue.cover(), 0, 0, mixed(DUSK, MIST, 0.35), rng, anchor="lt", density=0.72, bite=0.2)
    press(rgb, red.cover(), 0, 0, RUSSET, rng, anchor="lt", density=0.85, bite=0.2)
    press(rgb, set_line_to("The Orchard Ledger", FELL_CAPS, 800), 74, 112, INK, rng, anchor="lm")
    press(rgb, set_line("night harvest, by lantern", FELL_ITALIC, 48), 78, 196, DEEP_RUSSET, rng, anchor="lm")
    press(rgb, set_line("Folio 12", FELL, 52, 0.04), width - 74, 112, INK, rng, anchor="rm")
    for x, words in (
        (88, "ROW"),
        (438, "FRUIT & REMARKS"),
        (794, "BASKETS"),
        (974, "WATCH"),
        (1172, "TALLY"),
    ):
        press(rgb, set_line(words, SLAB, 26, 0.14), x, 290, INK, rng, bite=0.5)
    _entries(rgb, first, step, rng)
    return _finished(rgb, seed + 2, 0.3)


def _watermark(rgb: Picture, width: int, height: int, seed: int) -> None:
    plate = Plate(620, 820, seed, mixed(QUINCE, RUSSET, 0.4))
    leaf(plate, Frame(330, 130, 250, -14), pitch=6)
    pear(plate, Frame(290, 450, 600), pitch=6)
    pulled = plate.printed(0.1)
    grey = pulled[..., :3].mean(axis=-1, keepdims=True)
    pulled[..., :3] = np.array(mixed(STRAW, QUINCE, 0.5), np.float32) * (0.45 + 0.55 * grey)
    print_plate(rgb, pulled, round(width * 0.36), round(height * 0.27), strength=0.22)


ENTRIES = (
    ("3", "Moonwine pear", "14", "first", 4), ("4", "Moonwine pear, small", "9", "first", 3),
    ("7", "Lamplight russet", "11", "first", 4), ("9", "bees asleep, go softly", "", "first", 0),
    ("12", "Owl-light quince", "6", "second", 2), ("12", "same, upper boughs", "5", "second", 2),
    ("15", "Lamplight russet", "17", "second", 6), ("16", "ladder lent to row 21", "", "second", 0),
    ("18", "Dew medlar", "4", "second", 1), ("21", "windfalls, sound", "8", "third", 3),
    ("21", "windfalls, for the press", "12", "third", 5), ("24", "Moonwine pear", "10", "third", 3),
    ("25", "one moth, let go", "1", "third", 0), ("27", "Owl-light quince", "7", "third", 2),
    ("all", "the last basket", "1", "dawn", 1),
)  # fmt: skip


def _entries(rgb: Picture, first: int, step: int, rng: np.random.Generator) -> None:
    for at, (row, fruit, baskets, watch, tally) in enumerate(ENTRIES):
        line = first + (at + 1) * step - 11 + float(rng.normal(0, 1))
        for x, across, words in ((88, "m", row), (204, "l", fruit), (794, "m", baskets), (974, "m", watch)):
            if words:
                write(
                    rgb, words, CANON_ITALIC, 48, x + float(rng.normal(0, 2.5)), line, MIDNIGHT, rng, across
                )
        if tally:
            marks = tally_marks(tally, 30, rng)
            press(rgb, marks, 1172, line + 8, MIDNIGHT, rng, density=0.8, bite=0, anchor="mb")


def crate_paper(width: int, height: int, seed: int) -> Picture:
    """Draw the fruit-crate wrapper: medallions with a pear, set in a half drop."""
    rng = np.random.default_rng(seed)
    paint = mixed(CREAM, STRAW, 0.2)
    rgb = sheet_of_paper(width, height, paint, rng, age=1.5, foxing=10)
    lattice = Rules(width, height)
    for shift in np.arange(-height, width + height, 34.0):
        lattice.line([(shift, 0), (shift + height, height)], 1.3)
        lattice.line([(shift, height), (shift + height, 0)], 1.3)
    press(rgb, lattice.cover(), 0, 0, mixed(QUINCE, RUSSET, 0.25), rng, anchor="lt", density=0.5, bite=0.1)
    medallion = _medallion(seed + 1, paint)
    half = medallion.shape[0] // 2
    across, down = width / 2, height / 3
    for column in range(-1, 4):
        for row in range(-1, 5):
            x, y = column * across, (row + 0.5 * (column % 2)) * down
            print_plate(rgb, medallion, round(x) - half, round(y) - half, opaque=True)
    spots = Rules(width, height)
    for column in range(4):
        for row in range(8):
            x, y = (column - 0.5) * across, (row / 2 - 0.25) * down
            for dx, dy in ((-15, 0), (15, 0), (0, -15), (0, 15)):
                spots.lozenge(x + dx, y + dy, 10, 1.0)
    press(rgb, spots.cover(), 0, 0, DEEP_RUSSET, rng, anchor="lt", bite=0.3)
    return _finished(rgb, seed + 2)


def _medallion(seed: int, paint: tuple[float, float, float]) -> Picture:
    side, half = 460, 230
    rng = np.random.default_rng(seed)
    rgb = sheet_of_paper(side, side, paint, rng, age=0.8)
    plate = Plate(side, side, seed, DEEP_RUSSET)
    outer = plate.patch(ellipse(half, half, 222, 222, n=160))
    outer.tone[:] = 0.2
    plate.lay(outer.wash(RUSSET, mottle=0.07))
    middle = plate.patch(ellipse(half, half, 150, 150, n=160))
    turn = np.arctan2(middle.y - half, middle.x - half)
    away = np.hypot(middle.x - half, middle.y - half) / 150
    middle.wash(mixed(GLOW, CREAM, 0.3), mottle=0.04)
    middle.tint(mixed(QUINCE, GLOW, 0.2), smoothstep(-0.08, 0.08, np.sin(turn * 16).astype(np.float32)))
    middle.tone = np.clip(0.05 + 0.5 * away**3, 0, 1).astype(np.float32)
    plate.lay(middle.hatch(Hatch(angle=0, pitch=4.2, bow=0, start=0.1, cross=2, weight=0.6)))
    print_plate(rgb, plate.printed(0.1), 0, 0)
    fruit = Plate(side, side, seed + 1)
    for direction, curl in ((-24, 0.14), (206, -0.14)):
        leaf(fruit, Frame(half + 6, half - 92, 92, direction), curl=curl, pitch=3.8)
    pear(fruit, Frame(half, half + 18, 206), pitch=4)
    print_plate(rgb, fruit.printed(0.1), 0, 0, opaque=True)
    rules = Rules(side, side)
    for radius, thick in ((214, 2.2), (158, 2.2)):
        rules.line(ring(half, half, radius), thick, closed=True)
    for turn_at in (0.0, np.pi):
        rules.lozenge(half + 186 * np.cos(turn_at), half, 9)
    press(rgb, rules.cover(), 0, 0, IVORY, rng, anchor="lt", bite=0.2)
    press(rgb, set_arc("LANTERN ORCHARD", FELL, 38, 172), half, half, IVORY, rng, bite=0.2)
    press(rgb, set_arc("NIGHT PICKED", FELL, 36, 174, 90, 0.14), half, half, IVORY, rng, bite=0.2)
    y, x = np.mgrid[0:side, 0:side]
    alpha = np.clip(222.5 - np.hypot(x + 0.5 - half, y + 0.5 - half), 0, 1)
    return np.dstack([rgb, alpha]).astype(np.float32)


def draw_papers() -> list[PlacedPaper]:
    """Draw the four papers of page 1 in reading order; the moth and crate papers share an edge.

    Returns
    -------
    list of PlacedPaper
        Each paper and its place.
    """
    return [
        PlacedPaper("night orchard paper", 105, 105, night_paper(1290, 1680, 100)),
        PlacedPaper("moth paper", 1485, 105, moth_paper(960, 1545, 120)),
        PlacedPaper("ledger paper", 105, 1875, ledger_paper(1290, 1320, 150)),
        PlacedPaper("fruit-crate paper", 1485, 1650, crate_paper(960, 1545, 170)),
    ]
