"""What grows under the trees: clover, and wreaths of leaves."""

from __future__ import annotations

import math

import numpy as np

from .curves import Frame, ellipse, smooth
from .engraving import Hatch, Plate
from .fruit import PEAR_COLOURS, FruitColours, leaf
from .noise import smoothstep
from .palette import BLUSH, CREAM, DEEP_MOSS, DEEP_RUSSET, IVORY, MOSS, SAGE, mixed

HEART = [
    (0.0, 0.0),
    (-0.2, -0.24),
    (-0.36, -0.56),
    (-0.3, -0.84),
    (-0.12, -0.92),
    (0.0, -0.8),
    (0.12, -0.92),
    (0.3, -0.84),
    (0.36, -0.56),
    (0.2, -0.24),
]


def clover_leaf(plate: Plate, frame: Frame, pitch: float = 4.0) -> None:
    """Draw a clover leaf two units across, its three leaflets meeting at the origin."""
    for turn in (-108, 108, 0):
        part = frame.within(0, 0, 1, turn)
        outline = part.at(smooth(HEART, closed=True))
        blade = plate.patch(outline).light(0.6).wash(MOSS, DEEP_MOSS, depth=0.9, mottle=0.06)
        middle, tip = part.at([(0, -0.52), (0, -1.0)])
        along = (
            (blade.x - middle[0]) * (tip[0] - middle[0]) + (blade.y - middle[1]) * (tip[1] - middle[1])
        ) / (part.size * 0.48) ** 2
        side = np.abs(
            (blade.x - middle[0]) * (tip[1] - middle[1]) - (blade.y - middle[1]) * (tip[0] - middle[0])
        ) / (part.size**2 * 0.48)
        mark = smoothstep(0.09, 0.03, np.abs(along + side * 1.6 - 0.1).astype(np.float32))
        blade.tint(mixed(SAGE, CREAM, 0.45), mark * 0.8)
        blade.tone = np.clip(blade.tone + 0.12, 0, 1)
        blade.hatch(
            Hatch(angle=frame.angle + turn + 52, pitch=pitch, bow=0.5, start=0.3, cross=2, weight=0.7)
        )
        plate.lay(blade)
        plate.contour(outline, pitch * 0.38)
        plate.line(part.at([(0, 0), (0, -0.76)]), [pitch * 0.5, 0.4])


def clover_flower(plate: Plate, frame: Frame, pitch: float = 3.6) -> None:
    """Draw a clover flower one unit across, its stalk running down from the origin."""
    plate.line(frame.at(smooth([(0, 0.3), (0.04, 1.0), (-0.02, 1.8)])), [pitch * 1.3, pitch * 1.1, pitch])
    base = plate.patch(frame.at(ellipse(0, 0, 0.46, 0.44)))
    plate.lay(base.light().wash(mixed(BLUSH, DEEP_RUSSET, 0.5)))
    for ring, count, reach in ((0.36, 15, 0.2), (0.23, 11, 0.19), (0.08, 7, 0.18)):
        for at in range(count):
            turn = math.tau * (at + ring * 3) / count
            x, y = math.cos(turn) * ring, math.sin(turn) * ring - 0.06
            petal = frame.within(x, y, reach, math.degrees(turn) + 90)
            outline = petal.at(
                smooth(
                    [(0, 0.5), (-0.36, -0.1), (-0.2, -0.75), (0, -0.9), (0.2, -0.75), (0.36, -0.1)],
                    closed=True,
                )
            )
            bloom = (
                plate.patch(outline)
                .light(0.6)
                .wash(mixed(BLUSH, IVORY, 0.55), mixed(BLUSH, DEEP_RUSSET, 0.4), depth=0.8)
            )
            plate.lay(bloom)
            plate.contour(outline, pitch * 0.3)


def clover_tuft(plate: Plate, frame: Frame, pitch: float = 4.0) -> None:
    """Draw a tuft of clover about three units wide, growing up from the origin."""
    for x, y in ((-0.95, -0.75), (0.0, -1.15), (0.98, -0.7)):
        plate.line(
            frame.at(smooth([(x * 0.2, 0.1), (x * 0.55, y * 0.4), (x, y)])), [pitch * 1.1, pitch * 0.9]
        )
    clover_flower(plate, frame.within(0.52, -1.75, 0.72, 8), pitch * 0.9)
    clover_flower(plate, frame.within(-0.48, -1.95, 0.62, -6), pitch * 0.9)
    clover_leaf(plate, frame.within(-0.95, -0.75, 0.52, -24), pitch)
    clover_leaf(plate, frame.within(0.98, -0.7, 0.52, 24), pitch)
    clover_leaf(plate, frame.within(0.0, -1.0, 0.56, 4), pitch)


def half_wreath(
    plate: Plate,
    frame: Frame,
    radius: float,
    leaves: int,
    length: float,
    colours: FruitColours = PEAR_COLOURS,
    pitch: float = 4.0,
) -> None:
    """Draw the left and right half of a laurel wreath, open at the top, in plate pixels round the frame's origin."""
    for side in (-1, 1):
        arc = [
            (side * radius * math.sin(turn), radius * math.cos(turn)) for turn in np.linspace(0.12, 2.25, 24)
        ]
        plate.line(frame.at(arc), [pitch * 1.2, pitch * 0.9, pitch * 0.5])
        for at in range(leaves):
            turn = 0.2 + 1.95 * at / (leaves - 1)
            x, y = side * radius * math.sin(turn), radius * math.cos(turn)
            tangent = math.degrees(math.atan2(-math.sin(turn), side * math.cos(turn)))
            for lean, curl in ((30, 0.1), (-30, -0.1)):
                size = length * (1 - 0.25 * at / leaves)
                leaf(plate, frame.within(x, y, size, tangent + lean), colours, curl=curl, pitch=pitch)
