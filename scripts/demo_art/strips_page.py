"""Page 3: crate labels, a ledger card, seals, wordings and measuring strips."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from .crate_labels import night_crate_label, windfall_crate_label
from .curves import Frame, ellipse, rectangle
from .elements import PAGE_WIDTH, Page, Piece
from .engraving import Hatch, Plate
from .fruit import pear
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
    set_arc,
    set_line,
    set_line_to,
    write,
)  # fmt: skip
from .meadow import half_wreath
from .palette import (
    AMBER,
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
    Colour,
    mixed,
)  # fmt: skip
from .paper import age_edges, deckled, ring, sheet_of_paper, tea_ring, worn_corners, worn_mask
from .rules import Rules
from .tags_page import lay_row, makers_line, plain_page
from .winged import GHOST_MOTH, LANTERN_MOTH, bee, moth

PAGE_TINT: Colour = (0.905, 0.905, 0.885)
CARD = (900, 600)
SEAL = 560
TICKET = (520, 600)
STRIP = (2320, 178)


def ledger_card(seed: int) -> Piece:
    """Draw the small ledger card, filled in by hand."""
    width, height = CARD
    rng = np.random.default_rng(seed)
    outline = worn_corners(width, height, 14)
    mask = worn_mask(width, height, outline)
    rgb = sheet_of_paper(width, height, mixed(CREAM, STRAW, 0.14), rng, age=1.5, foxing=12)
    tea_ring(rgb, 735, 470, 128, rng, 0.3)
    blue, red = Rules(width, height), Rules(width, height)
    for y in range(206, height - 30, 58):
        blue.line([(26, y), (width - 26, y)], 1.3)
    for x in (170, 560, 710):
        for shift in (0, 6):
            red.line([(x + shift, 150), (x + shift, height - 28)], 1.3)
    red.line([(26, 150), (width - 26, 150)], 2.4)
    red.line([(26, 157), (width - 26, 157)], 1.1)
    press(rgb, blue.cover(), 0, 0, mixed(DUSK, MIST, 0.4), rng, anchor="lt", density=0.75, bite=0.2)
    press(rgb, red.cover(), 0, 0, RUSSET, rng, anchor="lt", density=0.85, bite=0.2)
    press(rgb, set_line_to("Orchard Ledger", FELL_CAPS, 440), 40, 82, INK, rng, anchor="lm")
    press(
        rgb,
        set_line_to("night harvest, sheet 12", FELL_ITALIC, 330),
        width - 40,
        88,
        DEEP_RUSSET,
        rng,
        anchor="rm",
    )
    for x, words in ((98, "ROW"), (366, "FRUIT"), (636, "BASKETS"), (800, "WATCH")):
        press(rgb, set_line(words, SLAB, 23, 0.1), x, 182, INK, rng, bite=0.5)
    rows = (
        ("7", "Moonwine pear", "14", "first"), ("9", "Lamplight russet", "11", "first"),
            ("12", "Owl-light quince", "6", "second"),
        ("21", "windfalls, sound", "9", "third"), ("all", "the last basket", "40", "dawn"),
    )  # fmt: skip
    for at, entry in enumerate(rows):
        for (x, across), words in zip(((98, "m"), (196, "l"), (636, "m"), (800, "m")), entry, strict=True):
            write(
                rgb,
                words,
                CANON_ITALIC,
                45,
                x + float(rng.normal(0, 2)),
                206 + 58 * (at + 1) - 10,
                MIDNIGHT,
                rng,
                across,
            )
    age_edges(rgb, mask, rng, depth=34, strength=0.36)
    return Piece(rgb, mask, outline, "ledger card", "card")


def seal(seed: int) -> Piece:
    """Draw the round night harvest seal."""
    rng = np.random.default_rng(seed)
    half = SEAL / 2
    turn = np.linspace(0, math.tau, 720, endpoint=False)
    reach = half - 9 + 7.5 * np.cos(turn * 40)
    outline = np.column_stack([half + reach * np.cos(turn), half + reach * np.sin(turn)])
    mask = worn_mask(SEAL, SEAL, outline)
    rgb = sheet_of_paper(SEAL, SEAL, mixed(MOSS, DEEP_MOSS, 0.55), rng, age=1.2)
    plate = Plate(SEAL, SEAL, seed + 1, DEEP_MOSS)
    disc = plate.patch(ellipse(half, half, 178, 178, n=160))
    away = np.hypot(disc.x - half, disc.y - half) / 178
    disc.tone = np.clip(0.08 + 0.6 * away**3, 0, 1).astype(np.float32)
    disc.wash(mixed(STRAW, CREAM, 0.5), SAGE, depth=0.8)
    plate.lay(disc.hatch(Hatch(angle=0, pitch=4.4, bow=0, start=0.1, cross=2, weight=0.6)))
    print_plate(rgb, plate.printed(0.1), 0, 0, opaque=True)
    figure = Plate(SEAL, SEAL, seed + 2)
    half_wreath(figure, Frame(half, half, 1), 132, 6, 62, pitch=3.6)
    lantern(figure, Frame(half, half + 2, 286), 3.8)
    print_plate(rgb, figure.printed(0.1), 0, 0, opaque=True)
    rules = Rules(SEAL, SEAL)
    for radius, thick in ((258, 2.4), (250, 1.1), (186, 2.2), (179, 1.1)):
        rules.line(ring(half, half, radius), thick, closed=True)
    press(rgb, rules.cover(), 0, 0, GLOW, rng, anchor="lt", bite=0.4)
    press(rgb, set_arc("THE NIGHT HARVEST", FELL, 46, 202), half, half, GLOW, rng, bite=0.4)
    press(rgb, set_arc("LANTERN ORCHARD", FELL, 36, 205, 90, 0.12), half, half, GLOW, rng, bite=0.4)
    age_edges(rgb, mask, rng, depth=14, strength=0.25)
    return Piece(rgb, mask, outline, "round seal, the night harvest", "label", rectangular=False)


def basket_ticket(seed: int) -> Piece:
    """Draw the basket ticket with a moth."""
    width, height = TICKET
    rng = np.random.default_rng(seed)
    outline = worn_corners(width, height, 6)
    mask = worn_mask(width, height, outline)
    rgb = sheet_of_paper(width, height, mixed(QUINCE, CREAM, 0.35), rng, age=1.3, foxing=6)
    plate = Plate(width, height, seed + 1)
    moth(plate, Frame(width / 2, 330, 218), LANTERN_MOTH, 3.8)
    print_plate(rgb, plate.printed(0.12), 0, 0)
    rules = Rules(width, height)
    rules.box(20, 20, width - 20, height - 20, 3.4, 26)
    rules.box(31, 31, width - 31, height - 31, 1.2, 22)
    rules.line([(110, 206), (width - 110, 206)], 1.2)
    rules.lozenge(width / 2, 206, 7)
    press(rgb, rules.cover(), 0, 0, DEEP_RUSSET, rng, anchor="lt")
    press(rgb, set_line("BASKET TICKET", SLAB, 30, 0.2), width / 2, 80, DEEP_RUSSET, rng)
    press(rgb, set_line("No. 0317", SLAB_BOLD, 84), width / 2, 148, INK, rng)
    press(rgb, set_line("carry level, set down softly", CANON_ITALIC, 37), width / 2, 480, MIDNIGHT, rng)
    press(rgb, set_line("QUILLMOSS PAPER ROOM", SLAB_BOLD, 20, 0.18), width / 2, 540, DEEP_RUSSET, rng)
    age_edges(rgb, mask, rng, depth=24, strength=0.3)
    return Piece(rgb, mask, outline, "basket ticket", "card")


def wording(
    words: str,
    font: str,
    width: int,
    height: int,
    paper: Colour,
    ink: Colour,
    seed: int,
    tracking: float = 0.0,
) -> Piece:
    """Print a few words on a torn slip."""
    rng = np.random.default_rng(seed)
    outline = deckled(rectangle(3, 3, width - 3, height - 3), rng, 2.0)
    mask = worn_mask(width, height, outline)
    rgb = sheet_of_paper(width, height, paper, rng, age=1.4, foxing=int(width / 160))
    cover = set_line_to(words, font, width - 150, tracking, most=height * 0.56)
    press(rgb, cover, width / 2, height / 2, ink, rng, bite=1.3)
    age_edges(rgb, mask, rng, depth=18, strength=0.3)
    return Piece(rgb, mask, outline, f"wording, {words}", "words")


def measuring_strip(
    words: str,
    paper: Colour,
    ink: Colour,
    accent: Colour,
    motif: Callable[[Plate, Frame], None],
    start: int,
    seed: int,
) -> Piece:
    """Draw a measuring strip whose inches and eighths are true at 300 pixels per inch."""
    width, height = STRIP
    rng = np.random.default_rng(seed)
    outline = worn_corners(width, height, 5)
    mask = worn_mask(width, height, outline)
    rgb = sheet_of_paper(width, height, paper, rng, age=1.2, foxing=6)
    rules, marks = Rules(width, height), Rules(width, height)
    rules.line([(0, 12), (width, 12)], 1.6)
    rules.line([(0, height - 12), (width, height - 12)], 1.6)
    rules.line([(0, height - 19), (width, height - 19)], 1.0)
    for eighth in range(1, int(width / 37.5) + 1):
        x = eighth * 37.5 - 15
        tall = 66 if eighth % 8 == 0 else 46 if eighth % 4 == 0 else 34 if eighth % 2 == 0 else 22
        marks.line([(x, 12), (x, 12 + tall)], 2.6 if eighth % 8 == 0 else 1.6)
    press(rgb, rules.cover(), 0, 0, accent, rng, anchor="lt")
    press(rgb, marks.cover(), 0, 0, ink, rng, anchor="lt", bite=0.5)
    plate = Plate(width, height, seed + 1)
    for inch in range(1, int((width + 15) / 300) + 1):
        x = inch * 300 - 15
        if x < width - 30:
            press(rgb, set_line(str(start + inch), SLAB_BOLD, 52), x, 112, accent, rng)
        if inch % 2:
            motif(plate, Frame(x + 150 - 300, 112, 1))
        else:
            press(rgb, set_line_to(words, FELL_ITALIC, 172, most=36), x - 150, 114, ink, rng)
    print_plate(rgb, plate.printed(0.1), 0, 0, opaque=sum(paper) < 1.4)
    age_edges(rgb, mask, rng, depth=16, strength=0.26)
    return Piece(rgb, mask, outline, f"measuring strip, {words}", "strip")


def _small_pear(plate: Plate, frame: Frame) -> None:
    pear(plate, frame.within(-6, 4, 78, 76), pitch=3.2)


def _small_moth(plate: Plate, frame: Frame) -> None:
    moth(plate, frame.within(0, 0, 76), replace(GHOST_MOTH, feelers=CREAM), 2.8)


def _small_bee(plate: Plate, frame: Frame) -> None:
    bee(plate, frame.within(0, 4, 70, 84), 2.4)


def _words_rows(page: Page) -> None:
    pale, straw = mixed(CREAM, IVORY, 0.6), mixed(STRAW, CREAM, 0.4)
    night = mixed(MIDNIGHT, DUSK, 0.2)
    first = [
        wording("gathered by lantern light", FELL_ITALIC, 1370, 210, pale, MIDNIGHT, 540),
        wording("WINDFALL", SLAB_BOLD, 840, 210, straw, DEEP_RUSSET, 545, 0.16),
    ]
    second = [
        wording("the last basket", FELL_CAPS, 900, 210, mixed(SAGE, CREAM, 0.4), DEEP_MOSS, 550, 0.04),
        wording("good night, orchard", CANON_ITALIC, 1310, 210, night, GLOW, 555),
    ]
    lay_row(page, first, 1662, 115)
    lay_row(page, second, 1962, 115)


def draw_strips_page() -> Page:
    """Draw page 3."""
    page = plain_page(3, PAGE_TINT, 500)
    lay_row(page, [night_crate_label(510), windfall_crate_label(515)], 112, 115)
    card, round_seal, ticket = ledger_card(520), seal(525), basket_ticket(530)
    page.lay(card, 140, 965, -3.0)
    page.lay(round_seal, 1187, 985)
    page.lay(ticket, PAGE_WIDTH - 115 - TICKET[0] - 20, 965, 3.5)
    _words_rows(page)
    strips = (
        ("the north row", mixed(CREAM, STRAW, 0.35), INK, RUSSET, _small_pear, 0),
        ("by lamp and moon", mixed(MIDNIGHT, DUSK, 0.15), CREAM, AMBER, _small_moth, 8),
        ("hive side, hush", mixed(SAGE, CREAM, 0.3), INK, DEEP_MOSS, _small_bee, 16),
    )
    for at, (words, paper, ink, accent, motif, start) in enumerate(strips):
        page.lay(measuring_strip(words, paper, ink, accent, motif, start, 560 + 5 * at), 115, 2290 + 276 * at)
    makers_line(page, 3170, 590)
    return page
