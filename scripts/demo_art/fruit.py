"""Pears, apples, leaves and the branches they hang from."""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np

from .curves import Frame, Points, ribbon, smooth
from .engraving import SCALE, Hatch, Patch, Plate
from .noise import clouds, smoothstep
from .palette import BARK, BLUSH, DEEP_MOSS, DEEP_RUSSET, IVORY, MOSS, QUINCE, RUSSET, Colour, mixed

PEAR = [
    (0.0, -0.5), (-0.085, -0.485), (-0.14, -0.41), (-0.165, -0.3), (-0.2, -0.16), (-0.285, 0.0),
    (-0.355, 0.17), (-0.345, 0.34), (-0.23, 0.46), (-0.07, 0.49), (0.0, 0.475), (0.08, 0.492),
    (0.245, 0.455), (0.36, 0.32), (0.365, 0.15), (0.295, -0.02), (0.205, -0.17), (0.16, -0.31), (0.13, -0.42),
    (0.075, -0.487),
]  # fmt: skip
APPLE = [
    (0.0, -0.37), (-0.1, -0.43), (-0.26, -0.44), (-0.41, -0.34), (-0.48, -0.14), (-0.46, 0.1), (-0.36, 0.31),
    (-0.22, 0.43), (-0.1, 0.45), (0.0, 0.42), (0.11, 0.45), (0.24, 0.42), (0.38, 0.3), (0.47, 0.09), (0.48, -0.14),
    (0.41, -0.33), (0.26, -0.44), (0.1, -0.43),
]  # fmt: skip


@dataclass(frozen=True)
class FruitColours:
    """Washes of fruit and leaf: skin, its shadow, the blush on one cheek, leaf, leaf's shadow, bark."""

    skin: Colour = (0.84, 0.70, 0.33)
    shadow: Colour = (0.42, 0.38, 0.16)
    blush: Colour = RUSSET
    leaf: Colour = MOSS
    leaf_shadow: Colour = DEEP_MOSS
    bark: Colour = BARK


PEAR_COLOURS = FruitColours()
APPLE_COLOURS = FruitColours(skin=mixed(BLUSH, QUINCE, 0.3), shadow=DEEP_RUSSET, blush=(0.62, 0.22, 0.15))


def _skin(
    plate: Plate, frame: Frame, outline: Points, colours: FruitColours, pitch: float, gleam: tuple[float, float],
    streaks: bool = False,
) -> None:  # fmt: skip
    body = plate.patch(outline)
    body.light(0.85, ambient=0.04)
    # Light thrown back from below keeps the shaded rim from going dead.
    rim = smoothstep(0.16 * frame.size, 0.0, body.height / SCALE) * smoothstep(0.5, 0.9, body.tone)
    body.tone = np.clip(body.tone * 0.95 - 0.34 * rim, 0, 1)
    body.wash(colours.skin, colours.shadow, depth=0.6, mottle=0.035)
    cheek = frame.at([(0.22, 0.12)])[0]
    away = np.hypot(body.x - cheek[0], body.y - cheek[1]) / frame.size
    rows, columns = body.mask.shape
    drift = clouds(rows, columns, frame.size * 0.4, plate.rng) * 0.1
    body.tint(colours.blush, smoothstep(0.58, 0.08, away.astype(np.float32) + drift) * 0.62)
    if streaks:
        _streaks(body, plate, frame, colours)
    light = frame.at([gleam])[0]
    away = np.hypot((body.x - light[0]) * 1.25, body.y - light[1]) / frame.size
    body.tint(mixed(colours.skin, IVORY, 0.62), smoothstep(0.21, 0.0, away.astype(np.float32)) * 0.5)
    body.hatch(Hatch(angle=frame.angle - 62, pitch=pitch, bow=-0.75, start=0.3, cross=0.8))
    plate.lay(body)
    plate.contour(outline, pitch * 0.42)


def _streaks(body: Patch, plate: Plate, frame: Frame, colours: FruitColours) -> None:
    """Red streaks that run from an apple's hollow over its shoulders."""
    top = frame.at([(0.0, -0.5)])[0]
    turn = np.arctan2(body.x - top[0], body.y - top[1]) - math.radians(-frame.angle)
    far = np.hypot(body.x - top[0], body.y - top[1]) / frame.size
    strands = np.convolve(plate.rng.standard_normal(420), [0.25, 0.5, 0.25], "same")
    strand = np.interp(turn, np.linspace(-1.6, 1.6, 420), strands).astype(np.float32)
    reach = 0.75 + 0.2 * strand
    body.tint(
        colours.blush,
        smoothstep(0.1, 0.9, strand) * smoothstep(reach, reach * 0.5, far.astype(np.float32)) * 0.85,
    )


def _lenticels(plate: Plate, frame: Frame, places: Points, size: float, outline: Points) -> None:
    skin = outline.astype(np.float32).reshape(-1, 1, 2)
    for x, y in frame.at(places):
        if cv2.pointPolygonTest(skin, (float(x), float(y)), True) < 6:
            continue
        spot = np.array([(x - size, y), (x + size, y + size * 0.3)])
        plate.line(spot, [size * 0.8, size * 1.2, size * 0.5], 0.75)


def _stalk(
    plate: Plate,
    frame: Frame,
    course: list[tuple[float, float]],
    widths: list[float],
    colours: FruitColours,
    pitch: float,
) -> None:
    outline = ribbon(frame.at(smooth(course)), [frame.size * width for width in widths])
    plate.lay(plate.patch(outline).light(0.8).wash(colours.bark))
    plate.contour(outline, pitch * 0.34)


def pear(plate: Plate, frame: Frame, colours: FruitColours = PEAR_COLOURS, pitch: float = 5.0) -> None:
    """Draw a pear one unit tall, its stem reaching 0.18 units above."""
    outline = frame.at(smooth(PEAR, closed=True))
    _skin(plate, frame, outline, colours, pitch, (-0.13, 0.02))
    stem = [(-0.005, -0.47), (0.01, -0.55), (0.05, -0.62), (0.11, -0.67)]
    _stalk(plate, frame, stem, [0.035, 0.028, 0.045], colours, pitch)
    plate.line(frame.at(smooth([(-0.06, -0.455), (0.0, -0.44), (0.055, -0.457)])), [0.5, pitch * 0.4, 0.5])
    for lean in (-0.05, -0.02, 0.015, 0.05):
        plate.line(frame.at([(lean * 0.5, 0.462), (lean * 1.3, 0.505)]), [pitch * 0.5, 0.8])
    spots = plate.rng.normal(0, 1, (int(24 + frame.size / 14), 2)) * (0.14, 0.2) + (0.02, 0.12)
    _lenticels(plate, frame, spots, max(0.8, frame.size * 0.0035), outline)


def apple(plate: Plate, frame: Frame, colours: FruitColours = APPLE_COLOURS, pitch: float = 5.0) -> None:
    """Draw an apple about one unit wide, its stem reaching 0.6 units above its middle."""
    outline = frame.at(smooth(APPLE, closed=True))
    _skin(plate, frame, outline, colours, pitch, (-0.2, -0.13), streaks=True)
    for start in (-0.24, -0.16, -0.07, 0.03, 0.12, 0.2, 0.27):
        wide, fall = start * 1.3, plate.rng.uniform(-0.25, -0.14)
        streak = smooth([(start * 0.5, -0.33), (wide * 0.95, -0.3), (wide * 1.15, fall)])
        plate.line(frame.at(streak), [0.3, pitch * 0.22, 0.3], 0.8)
    hollow = frame.at(smooth([(-0.2, -0.385), (-0.1, -0.345), (0.0, -0.315), (0.1, -0.345), (0.2, -0.385)]))
    plate.line(hollow, [0.5, pitch * 0.55, 0.5])
    _stalk(
        plate,
        frame,
        [(0.0, -0.325), (0.015, -0.43), (0.05, -0.52), (0.1, -0.6)],
        [0.028, 0.03, 0.055],
        colours,
        pitch,
    )
    for lean in (-0.03, 0.0, 0.035):
        plate.line(frame.at([(lean * 0.5, 0.405), (lean * 1.5, 0.44)]), [pitch * 0.5, 0.8])
    spots = plate.rng.normal(0, 0.2, (int(16 + frame.size / 16), 2))
    _lenticels(plate, frame, spots, max(0.8, frame.size * 0.0035), outline)


def leaf(
    plate: Plate, frame: Frame, colours: FruitColours = PEAR_COLOURS, width: float = 0.34, curl: float = 0.14,
    pitch: float = 4.4,
) -> None:  # fmt: skip
    """Draw a leaf one unit long, from its stalk at the origin along x, its middle lifted by `curl`.

    A negative curl lets the middle sag instead; the half that lies below is the darker one.
    """
    share = np.linspace(0, 1, 60)
    rib = np.column_stack([share, -curl * np.sin(share * math.pi) + 0.05 * share])
    along = np.gradient(rib, axis=0)
    across = np.column_stack([along[:, 1], -along[:, 0]]) / np.hypot(along[:, 0], along[:, 1])[:, None]
    body = np.sin(np.clip(share * 1.02, 0, 1) ** 0.82 * math.pi) ** 0.85
    teeth = 0.045 * (1 - np.mod(share * 15, 1.0)) * (share > 0.12) * (share < 0.96)
    half = (width / 2 * body * (1 + teeth * 1.6))[:, None]
    direction = math.degrees(math.atan2(*(frame.at([(1, 0.05)])[0] - frame.at([(0, 0)])[0])[::-1]))
    sides = (rib + across * half, rib - across * half * 0.92)
    turned = -1 if frame.mirror else 1
    shades = (0.1, 0.42) if math.cos(math.radians(direction)) * turned > 0 else (0.42, 0.1)
    for side, edge in enumerate(sides):
        half_leaf = frame.at(np.vstack([rib, edge[::-1]]))
        blade = plate.patch(half_leaf)
        blade.light(0.5)
        blade.tone = np.clip(blade.tone * 0.7 + shades[side], 0, 1)
        blade.wash(colours.leaf, colours.leaf_shadow, depth=0.85, mottle=0.08)
        lean = (-52, 52)[side] * turned
        blade.hatch(Hatch(angle=direction + lean, pitch=pitch, bow=0.5, start=0.28, cross=2.0, weight=0.7))
        plate.lay(blade)
    plate.contour(frame.at(np.vstack([sides[0], sides[1][::-1]])), pitch * 0.36)
    for at in range(8, 54, 6):
        for edge in sides:
            tip = min(at + 8, 59)
            end = rib[tip] + (edge[tip] - rib[tip]) * 0.86
            plate.line(frame.at(smooth([rib[at], (rib[at] * 0.45 + end * 0.55), end])), [pitch * 0.3, 0.4])
    plate.line(frame.at(rib), [pitch * 0.6, pitch * 0.4, 0.5])


def twig(
    plate: Plate, line: Points, width: list[float], colours: FruitColours = PEAR_COLOURS, pitch: float = 4.6
) -> None:
    """Draw a piece of branch along a line in plate pixels, with bark rings and knots."""
    outline = ribbon(line, width)
    wood = plate.patch(outline).light(1.0).wash(colours.bark, depth=0.8, mottle=0.1)
    wood.hatch(Hatch(angle=18, pitch=pitch, bow=0.8, start=0.25, cross=0.8))
    plate.lay(wood)
    plate.contour(outline, pitch * 0.4)
    for _ in range(int(len(line) / 9)):
        at = int(plate.rng.integers(2, len(line) - 3))
        across = plate.rng.uniform(-0.35, 0.35) * width[0]
        start = line[at] + (0, across)
        plate.line(
            [tuple(start), tuple(start + (line[at + 1] - line[at]) * 2.2)], [0.5, pitch * 0.3, 0.4], 0.9
        )


def laden_branch(plate: Plate, frame: Frame, kind: str = "pear", pitch: float = 5.0) -> None:
    """Draw a branch with three fruits and leaves, about 1.75 units wide and 1.1 tall, centred on the origin."""
    colours = PEAR_COLOURS if kind == "pear" else APPLE_COLOURS
    size = frame.size
    main = frame.at(
        smooth([(-0.76, -0.22), (-0.5, -0.32), (-0.22, -0.29), (0.08, -0.36), (0.4, -0.3), (0.68, -0.37)])
    )
    for x, y, length, direction, curl in (
        (-0.52, -0.32, 0.36, -118, -0.1), (-0.5, -0.33, 0.32, -62, 0.14), (-0.04, -0.34, 0.34, -112, -0.14),
        (0.02, -0.35, 0.37, -58, 0.12), (0.36, -0.31, 0.34, -106, -0.12), (0.42, -0.3, 0.36, -52, 0.14),
        (-0.66, -0.27, 0.34, 122, 0.12), (0.6, -0.34, 0.3, 44, -0.12), (-0.14, -0.3, 0.3, 128, 0.12),
            (0.16, -0.34, 0.3, 52, -0.1),
    ):  # fmt: skip
        leaf(plate, frame.within(x, y, length, direction), colours, curl=curl, pitch=pitch * 0.9)
    draw, fruit, hang = (pear, 0.62, 0.36) if kind == "pear" else (apple, 0.47, 0.255)
    draw(plate, frame.within(-0.38, -0.27 + hang, fruit * 0.92, 4), colours, pitch)
    draw(plate, frame.within(0.37, -0.27 + hang, fruit * 0.95, -5, True), colours, pitch)
    middle = -0.035 if kind == "pear" else -0.012
    draw(plate, frame.within(middle, -0.2 + hang + 0.035, fruit, -2), colours, pitch)
    for x, y, drop in ((-0.315, -0.3, 0.0), (0.025, -0.335, 0.085), (0.3, -0.325, 0.0)):
        spur = frame.at(
            smooth([(x - 0.01, y), (x + 0.004, y + 0.03 + drop * 0.4), (x + 0.012, y + 0.055 + drop)])
        )
        twig(plate, spur, [size * 0.034, size * 0.026, size * 0.03], colours)
    twig(plate, main, [size * 0.062, size * 0.046, size * 0.036, size * 0.018], colours)
    for x, y, length, direction, curl in (
        (-0.33, -0.3, 0.25, 28, 0.1), (0.1, -0.35, 0.22, 160, -0.1), (0.66, -0.37, 0.32, -18, 0.12),
            (0.34, -0.31, 0.22, 18, 0.1),
    ):  # fmt: skip
        leaf(plate, frame.within(x, y, length, direction), colours, curl=curl, pitch=pitch * 0.9)
