"""Tally stamps: small engraved pictures with perforated edges. They count baskets and are worth nothing else."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from .beekeeper import beekeeper
from .curves import Frame, Points, ellipse, rectangle
from .elements import Piece
from .engraving import Hatch, Plate
from .fruit import apple, laden_branch, leaf, pear
from .lantern import lantern
from .lettering import FELL_CAPS, FELL_ITALIC, SLAB_BOLD, press, print_plate, set_line, set_line_to
from .noise import smoothstep
from .orchard_things import basket, ladder, skep
from .palette import (
    AMBER,
    BARK,
    CREAM,
    DAMSON,
    DEEP_MOSS,
    DEEP_RUSSET,
    DUSK,
    GLOW,
    IVORY,
    MIDNIGHT,
    MIST,
    MOSS,
    SAGE,
    STRAW,
    Colour,
    mixed,
)
from .paper import age_edges, perforated, sheet_of_paper, worn_mask
from .rules import Rules
from .winged import GHOST_MOTH, bee, moth

PAPER: Colour = (0.985, 0.97, 0.935)
MARGIN = 33  # white border inside the teeth, in pixels


@dataclass(frozen=True)
class StampDesign:
    """One stamp: what it says, its colours, its picture.

    Attributes
    ----------
    name
        What a person would call it.
    head, foot, count
        Words above, words below, numeral in the corner.
    ink, ground
        Line colour and the colour behind the picture.
    draw
        Draws the picture on a plate of the frame's size.
    frame
        ``"full"``, ``"oval"`` or ``"arch"``.
    """

    name: str
    head: str
    foot: str
    count: str
    ink: Colour
    ground: Colour
    draw: Callable[[Plate, float, float], None]
    frame: str = "full"


def _stars(plate: Plate, places: list[tuple[float, float, float]]) -> None:
    for x, y, size in places:
        for turned in (False, True):
            shape = np.array([(-size, 0), (0, -size * 0.16), (size, 0), (0, size * 0.16)])
            star = plate.patch((shape[:, ::-1] if turned else shape) + (x, y))
            plate.lay(star.wash(GLOW, mottle=0))


def _moon(plate: Plate, x: float, y: float, radius: float) -> None:
    disc = plate.patch(ellipse(x, y, radius, radius))
    disc.wash(GLOW, mottle=0.05)
    disc.tone = smoothstep(0.2, 1.4, ((disc.x - x) * 0.7 + (disc.y - y) * 0.7) / radius) * 0.6
    plate.lay(disc.hatch(Hatch(angle=-30, pitch=3.6, bow=0, cross=2)))
    plate.contour(ellipse(x, y, radius, radius), 1.4)


def _pear_stamp(plate: Plate, w: float, h: float) -> None:
    leaf(plate, Frame(w * 0.54, h * 0.24, h * 0.26, -18), pitch=3.8)
    pear(plate, Frame(w * 0.47, h * 0.56, h * 0.58), pitch=3.8)


def _lantern_stamp(plate: Plate, w: float, h: float) -> None:
    _stars(
        plate,
        [(w * 0.16, h * 0.24, 9), (w * 0.85, h * 0.32, 7), (w * 0.12, h * 0.6, 6), (w * 0.87, h * 0.66, 9)],
    )
    lantern(plate, Frame(w * 0.5, h * 0.5, h * 0.74), pitch=3.6)


def _moth_stamp(plate: Plate, w: float, h: float) -> None:
    _moon(plate, w * 0.5, h * 0.38, h * 0.24)
    moth(plate, Frame(w * 0.5, h * 0.53, w * 0.58), GHOST_MOTH, pitch=3.4)


def _apple_stamp(plate: Plate, w: float, h: float) -> None:
    leaf(plate, Frame(w * 0.54, h * 0.27, h * 0.26, -16), pitch=3.8)
    apple(plate, Frame(w * 0.48, h * 0.56, h * 0.5), pitch=3.8)


def _ladder_stamp(plate: Plate, w: float, h: float) -> None:
    _moon(plate, w * 0.74, h * 0.3, h * 0.11)
    _stars(plate, [(w * 0.18, h * 0.26, 8), (w * 0.24, h * 0.5, 6), (w * 0.84, h * 0.56, 6)])
    ladder(plate, Frame(w * 0.45, h * 0.53, h * 0.76, 3), pitch=3.6)


def _basket_stamp(plate: Plate, w: float, h: float) -> None:
    basket(plate, Frame(w * 0.5, h * 0.53, w * 0.76), pitch=3.6)


def _bee_stamp(plate: Plate, w: float, h: float) -> None:
    bee(plate, Frame(w * 0.5, h * 0.52, h * 0.56, 14), pitch=3.6)


def _skep_stamp(plate: Plate, w: float, h: float) -> None:
    skep(plate, Frame(w * 0.5, h * 0.54, w * 0.66), pitch=3.6)
    for x, y, turn in ((0.2, 0.26, 60), (0.82, 0.24, -40), (0.86, 0.44, -80)):
        bee(plate, Frame(w * x, h * y, h * 0.1, turn), pitch=2.0)


def _branch_stamp(plate: Plate, w: float, h: float) -> None:
    laden_branch(plate, Frame(w * 0.5, h * 0.48, w * 0.6), "apple", pitch=3.6)


def _keeper_stamp(plate: Plate, w: float, h: float) -> None:
    _moon(plate, w * 0.76, h * 0.28, h * 0.09)
    _stars(plate, [(w * 0.18, h * 0.22, 7), (w * 0.86, h * 0.56, 6)])
    beekeeper(plate, Frame(w * 0.54, h * 0.505, h * 0.73), pitch=3.2)


NIGHT = mixed(MIDNIGHT, DUSK, 0.45)
LARGE = [
    StampDesign(
        "tally stamp, pear",
        "Tally",
        "One Basket",
        "1",
        DEEP_MOSS,
        mixed(SAGE, CREAM, 0.45),
        _pear_stamp,
        "oval",
    ),
    StampDesign("tally stamp, lantern", "Tally", "Row Twelve", "12", MIDNIGHT, NIGHT, _lantern_stamp),
    StampDesign(
        "tally stamp, ghost moth", "Tally", "Third Watch", "3", MIDNIGHT, mixed(DUSK, MIST, 0.25), _moth_stamp
    ),
    StampDesign(
        "tally stamp, apple",
        "Tally",
        "Two Baskets",
        "2",
        DEEP_RUSSET,
        mixed(STRAW, CREAM, 0.35),
        _apple_stamp,
        "oval",
    ),
    StampDesign("tally stamp, ladder", "Tally", "Top Boughs", "7", MIDNIGHT, NIGHT, _ladder_stamp),
]
SMALL = [
    StampDesign(
        "tally stamp, basket", "Tally", "Full Heap", "6", BARK, mixed(SAGE, CREAM, 0.3), _basket_stamp
    ),
    StampDesign(
        "tally stamp, bee",
        "Hive Row",
        "Keep Quiet",
        "4",
        DEEP_RUSSET,
        mixed(AMBER, CREAM, 0.62),
        _bee_stamp,
        "oval",
    ),
    StampDesign("tally stamp, beekeeper", "Keeper", "First Round", "9", MIDNIGHT, NIGHT, _keeper_stamp),
    StampDesign(
        "tally stamp, straw hive",
        "Tally",
        "Honey Side",
        "5",
        DEEP_MOSS,
        mixed(MOSS, CREAM, 0.55),
        _skep_stamp,
    ),
    StampDesign(
        "tally stamp, apple branch",
        "Tally",
        "Last Light",
        "21",
        DAMSON,
        mixed(DAMSON, CREAM, 0.72),
        _branch_stamp,
        "oval",
    ),
]


def stamp(design: StampDesign, width: int, height: int, seed: int) -> Piece:
    """Draw one stamp.

    Parameters
    ----------
    design
        What it shows.
    width, height
        Size over the teeth, in pixels.
    seed
        Seed of its random numbers.
    """
    rng = np.random.default_rng(seed)
    outline = perforated(width, height)
    mask = worn_mask(width, height, outline)
    rgb = sheet_of_paper(width, height, PAPER, rng, age=0.8, foxing=int(rng.integers(0, 3)))
    inner_w, inner_h = width - 2 * MARGIN, height - 2 * MARGIN
    plate = Plate(inner_w, inner_h, seed + 1, design.ink)
    _ground(plate, design, inner_w, inner_h)
    design.draw(plate, inner_w, inner_h)
    print_plate(rgb, plate.printed(0.14), MARGIN, MARGIN)
    _words(rgb, design, width, height, rng)
    age_edges(rgb, mask, rng, depth=5, strength=0.34)
    return Piece(rgb, mask, outline, design.name, "stamp")


def _window(design: StampDesign, w: float, h: float) -> Points:
    if design.frame == "oval":
        return ellipse(w / 2, h * 0.515, w * 0.455, h * 0.395, n=120)
    return rectangle(10, h * 0.125, w - 10, h * 0.885)


def _ground(plate: Plate, design: StampDesign, w: int, h: int) -> None:
    board = plate.patch(rectangle(2, 2, w - 2, h - 2))
    board.wash(design.ink, mottle=0.1)
    if design.frame == "oval":
        board.tone[:] = 0.5
        board.wash(mixed(design.ink, design.ground, 0.25), mottle=0.08).hatch(
            Hatch(angle=45, pitch=3.4, bow=0, start=0.2, cross=2)
        )
    plate.lay(board)
    window = _window(design, w, h)
    ground = plate.patch(window)
    away = np.hypot((ground.x - w / 2) / (w * 0.62), (ground.y - h * 0.5) / (h * 0.56))
    ground.tone = np.clip(0.1 + 0.75 * away**1.7, 0, 1).astype(np.float32)
    ground.wash(design.ground, design.ink, depth=0.5, mottle=0.06)
    plate.lay(ground.hatch(Hatch(angle=0, pitch=3.8, bow=0, start=0.12, cross=2, weight=0.75)))
    plate.line(np.vstack([window, window[:1]]), 2.2)
    inset = window + (np.array([w / 2, h * 0.5]) - window) * 0.025
    plate.line(np.vstack([inset, inset[:1]]), 1.0)


def _words(rgb: np.ndarray, design: StampDesign, width: int, height: int, rng: np.random.Generator) -> None:
    rules = Rules(width, height)
    rules.box(MARGIN - 6, MARGIN - 6, width - MARGIN + 6, height - MARGIN + 6, 1.4)
    press(rgb, rules.cover(), 0, 0, design.ink, rng, anchor="lt", bite=0.4)
    inner = width - 2 * MARGIN
    band = (height - 2 * MARGIN) * 0.125
    head = set_line_to(design.head.upper(), SLAB_BOLD, inner * 0.6, 0.16, most=band * 0.88)
    foot = set_line_to(design.foot, FELL_CAPS, inner * 0.66, 0.05, most=band * 0.92)
    _pale_tablet(rgb, design, width, MARGIN + band * 0.5, head.shape[1])
    _pale_tablet(rgb, design, width, height - MARGIN - band * 0.46, foot.shape[1])
    press(rgb, head, width / 2, MARGIN + band * 0.5, PAPER, rng, bite=0.3, density=0.97)
    press(rgb, foot, width / 2, height - MARGIN - band * 0.46, PAPER, rng, bite=0.3, density=0.97)
    numeral = set_line(design.count, FELL_ITALIC, band * 1.05)
    for x, anchor in ((MARGIN + 13, "lm"), (width - MARGIN - 13, "rm")):
        press(rgb, numeral, x, MARGIN + band * 0.5, PAPER, rng, bite=0.2, anchor=anchor)


def _pale_tablet(rgb: np.ndarray, design: StampDesign, width: int, middle: float, wide: float) -> None:
    if design.frame != "oval":
        return
    rules = Rules(width, rgb.shape[0])
    half = wide / 2 + 16
    rules.fill(rectangle(width / 2 - half, middle - 20, width / 2 + half, middle + 20))
    cover = rules.cover()[..., None]
    rgb[:] = rgb * (1 - cover) + np.array(mixed(design.ink, IVORY, 0.04), np.float32) * cover * (
        0.2 + 0.8 * rgb
    )
