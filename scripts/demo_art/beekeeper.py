"""The beekeeper: the figure in the middle of the kit."""

from __future__ import annotations

import numpy as np

from .curves import Frame, Points, PointsLike, ellipse, rectangle, ribbon, smooth
from .engraving import Hatch, Patch, Plate
from .lantern import lantern
from .noise import smoothstep
from .orchard_things import skep
from .palette import (
    AMBER,
    BARK,
    CREAM,
    DEEP_MOSS,
    DEEP_RUSSET,
    DUSK,
    INK,
    IVORY,
    KRAFT,
    MIDNIGHT,
    MIST,
    MOSS,
    RUSSET,
    STRAW,
    Colour,
    mixed,
)

LAMP = (-0.268, -0.098)  # where the raised lantern hangs, in the figure's units


def _lamplight(patch: Patch, frame: Frame, strength: float) -> None:
    """Warm and clear whatever lies near the lamp."""
    x, y = frame.at([LAMP])[0]
    away = (np.hypot(patch.x - x, patch.y - y) / frame.size).astype(np.float32)
    near = smoothstep(0.34, 0.06, away) * strength
    patch.tone = np.clip(patch.tone - 0.35 * near, 0, 1)
    patch.tint(mixed(AMBER, CREAM, 0.35), near * 0.75)


def _cloth(
    plate: Plate, frame: Frame, shape: PointsLike, paint: Colour, shadow: Colour, pitch: float, angle: float = 70,
    smoothly: bool = True, start: float = 0.34, lamp: float = 0.6,
) -> Points:  # fmt: skip
    outline = frame.at(smooth(shape, closed=True) if smoothly else shape)
    cloth = plate.patch(outline).light(0.8, ambient=0.14).wash(paint, shadow, depth=0.75)
    _lamplight(cloth, frame, lamp)
    cloth.hatch(Hatch(angle=frame.angle + angle, pitch=pitch, bow=0.35, start=start, cross=0.78, weight=0.75))
    plate.lay(cloth)
    plate.contour(outline, pitch * 0.4)
    return outline


def _folds(plate: Plate, frame: Frame, folds: list[list[tuple[float, float]]], width: float) -> None:
    for fold in folds:
        plate.line(frame.at(smooth(fold)), [0.4, width, 0.4])


def beekeeper(plate: Plate, frame: Frame, pitch: float = 4.0) -> None:
    """Draw a beekeeper one unit tall, hat to boots, a lantern raised in one hand and a hive under the other arm."""
    _legs(plate, frame, pitch)
    skep(plate, frame.within(0.172, 0.0, 0.235, 7), pitch * 0.85)
    _coat(plate, frame, pitch)
    _hive_arm(plate, frame, pitch)
    _head(plate, frame, pitch)
    _lantern_arm(plate, frame, pitch)


def _legs(plate: Plate, frame: Frame, pitch: float) -> None:
    for leg, boot in (
        (
            [(0.01, 0.2), (0.016, 0.32), (0.02, 0.41), (0.075, 0.41), (0.09, 0.3), (0.1, 0.2)],
            [(0.012, 0.375), (0.012, 0.445), (0.02, 0.472), (0.07, 0.48), (0.128, 0.472), (0.124, 0.452),
                (0.088, 0.435), (0.082, 0.375)],
        ),
        (
            [(-0.095, 0.2), (-0.09, 0.33), (-0.085, 0.43), (-0.03, 0.43), (-0.015, 0.3), (-0.008, 0.2)],
            [(-0.022, 0.39), (-0.02, 0.465), (-0.024, 0.492), (-0.08, 0.5), (-0.142, 0.492), (-0.138, 0.47),
                (-0.1, 0.45), (-0.092, 0.39)],
        ),
    ):  # fmt: skip
        _cloth(plate, frame, leg, DUSK, MIDNIGHT, pitch, 84, lamp=0)
        outline = _cloth(plate, frame, boot, BARK, INK, pitch, 20, lamp=0)
        low = outline[np.abs(outline[:, 1] - outline[:, 1].max()) < frame.size * 0.012]
        if len(low) > 2:
            plate.line(low[np.argsort(low[:, 0])], pitch * 0.7)


def _coat(plate: Plate, frame: Frame, pitch: float) -> None:
    coat = [
        (-0.055, -0.285), (-0.1, -0.262), (-0.108, -0.17), (-0.092, -0.03), (-0.112, 0.1), (-0.145, 0.25),
            (-0.155, 0.318), (-0.09, 0.338),
        (-0.02, 0.326), (0.05, 0.34), (0.12, 0.325), (0.142, 0.25), (0.11, 0.1), (0.092, -0.03),
            (0.108, -0.17), (0.1, -0.262), (0.055, -0.285),
    ]  # fmt: skip
    _cloth(plate, frame, coat, IVORY, mixed(MIST, DUSK, 0.3), pitch, 82, lamp=0.75)
    _folds(plate, frame, [
        [(-0.086, 0.02), (-0.11, 0.15), (-0.125, 0.318)], [(-0.062, 0.05), (-0.078, 0.18), (-0.082, 0.326)],
        [(0.086, 0.02), (0.108, 0.15), (0.118, 0.31)], [(0.066, 0.06), (0.082, 0.18), (0.086, 0.322)],
            [(0.04, 0.2), (0.046, 0.27), (0.045, 0.33)],
        [(-0.1, -0.2), (-0.085, -0.15), (-0.08, -0.08)], [(0.098, -0.2), (0.085, -0.14), (0.08, -0.08)],
    ], pitch * 0.45)  # fmt: skip
    apron = [(-0.05, -0.175), (-0.06, -0.04), (-0.074, 0.08), (-0.085, 0.19), (-0.07, 0.246), (0.0, 0.258),
        (0.07, 0.246), (0.085, 0.19), (0.074, 0.08),
             (0.06, -0.04), (0.05, -0.175), (0.0, -0.168)]  # fmt: skip
    _cloth(plate, frame, apron, MOSS, mixed(DEEP_MOSS, INK, 0.4), pitch, 84, lamp=0.4)
    for side in (-1, 1):
        plate.line(
            frame.at(smooth([(0.045 * side, -0.172), (0.06 * side, -0.22), (0.055 * side, -0.275)])),
            pitch * 0.75,
        )
    belt = ribbon(smooth([(-0.093, -0.022), (0.0, -0.006), (0.093, -0.022)]), 0.022)
    _cloth(plate, frame, belt, BARK, INK, pitch, 4, smoothly=False)
    buckle = rectangle(-0.014, -0.02, 0.014, 0.01)
    _cloth(plate, frame, buckle, STRAW, BARK, pitch, 4, smoothly=False)
    pocket = [(-0.042, 0.08), (-0.044, 0.15), (-0.04, 0.162), (0.04, 0.162), (0.044, 0.15), (0.042, 0.08)]
    _cloth(
        plate, frame, pocket, mixed(MOSS, CREAM, 0.1), mixed(DEEP_MOSS, INK, 0.4), pitch, 84, smoothly=False
    )
    plate.line(frame.at([(-0.042, 0.092), (0.042, 0.092)]), pitch * 0.3)


def _hive_arm(plate: Plate, frame: Frame, pitch: float) -> None:
    sleeve = [
        (0.07, -0.27),
        (0.112, -0.258),
        (0.146, -0.18),
        (0.172, -0.08),
        (0.178, 0.01),
        (0.15, 0.06),
        (0.106, 0.06),
        (0.112, -0.02),
        (0.094, -0.12),
    ]
    _cloth(plate, frame, sleeve, IVORY, mixed(MIST, DUSK, 0.3), pitch, 58, lamp=0)
    _folds(
        plate,
        frame,
        [
            [(0.1, -0.2), (0.126, -0.15), (0.138, -0.1)],
            [(0.126, -0.04), (0.15, -0.03), (0.168, -0.04)],
            [(0.118, 0.0), (0.14, 0.01), (0.172, 0.0)],
        ],
        pitch * 0.4,
    )
    cuff = ribbon(smooth([(0.1, 0.048), (0.135, 0.062), (0.176, 0.03)]), 0.03)
    _cloth(plate, frame, cuff, KRAFT, BARK, pitch, 60, smoothly=False, lamp=0)
    glove = [
        (0.172, 0.045),
        (0.182, 0.085),
        (0.16, 0.112),
        (0.118, 0.12),
        (0.078, 0.112),
        (0.066, 0.098),
        (0.085, 0.09),
        (0.104, 0.06),
        (0.14, 0.066),
    ]
    _cloth(plate, frame, glove, KRAFT, BARK, pitch, 30, lamp=0)
    for x in (0.084, 0.1, 0.117):
        plate.line(frame.at([(x, 0.095), (x + 0.006, 0.113)]), pitch * 0.3)


def _lantern_arm(plate: Plate, frame: Frame, pitch: float) -> None:
    lantern(plate, frame.within(*LAMP, 0.345, 3), pitch * 0.85)
    sleeve = [
        (-0.062, -0.272),
        (-0.098, -0.268),
        (-0.15, -0.262),
        (-0.2, -0.288),
        (-0.232, -0.305),
        (-0.246, -0.272),
        (-0.215, -0.222),
        (-0.168, -0.182),
        (-0.1, -0.17),
    ]
    _cloth(plate, frame, sleeve, IVORY, mixed(MIST, DUSK, 0.3), pitch, 24)
    _folds(
        plate,
        frame,
        [
            [(-0.1, -0.25), (-0.13, -0.225), (-0.135, -0.195)],
            [(-0.15, -0.255), (-0.17, -0.23), (-0.172, -0.205)],
            [(-0.19, -0.275), (-0.212, -0.255), (-0.215, -0.235)],
        ],
        pitch * 0.4,
    )
    cuff = ribbon([(-0.232, -0.318), (-0.252, -0.256)], [0.028, 0.036])
    _cloth(plate, frame, cuff, KRAFT, BARK, pitch, 60, smoothly=False)
    glove = [
        (-0.222, -0.298),
        (-0.248, -0.325),
        (-0.282, -0.332),
        (-0.296, -0.312),
        (-0.292, -0.285),
        (-0.27, -0.268),
        (-0.25, -0.262),
        (-0.236, -0.27),
    ]
    _cloth(plate, frame, glove, KRAFT, BARK, pitch, -30)
    for x in (-0.287, -0.276, -0.265):
        plate.line(frame.at([(x, -0.3), (x + 0.004, -0.278)]), pitch * 0.3)


def _face(plate: Plate, frame: Frame, pitch: float) -> None:
    face = frame.at(
        smooth(
            [
                (-0.042, -0.41),
                (-0.046, -0.36),
                (-0.036, -0.318),
                (0, -0.302),
                (0.036, -0.318),
                (0.046, -0.36),
                (0.042, -0.41),
            ],
            closed=True,
        )
    )
    skin = plate.patch(face).light(0.8).wash(mixed(KRAFT, RUSSET, 0.12), DEEP_RUSSET, depth=0.75)
    plate.lay(skin.hatch(Hatch(angle=60, pitch=pitch * 0.9, start=0.45, cross=2)))
    beard = frame.at(
        smooth(
            [
                (-0.043, -0.352),
                (-0.036, -0.318),
                (-0.012, -0.283),
                (0.014, -0.283),
                (0.036, -0.318),
                (0.043, -0.352),
                (0.016, -0.346),
                (0, -0.338),
                (-0.016, -0.346),
            ],
            closed=True,
        )
    )
    hair = plate.patch(beard).light(0.8).wash(mixed(IVORY, MIST, 0.35), DUSK, depth=0.8)
    plate.lay(hair.hatch(Hatch(angle=84, pitch=pitch * 0.7, start=0.15, cross=2)))
    for side in (-1, 1):
        plate.line(frame.at([(0.008 * side, -0.387), (0.03 * side, -0.39)]), pitch * 0.6)
        plate.lay(plate.patch(frame.at(ellipse(0.018 * side, -0.374, 0.0068, 0.0068, n=16))).wash(INK))
    plate.line(frame.at(smooth([(0.001, -0.378), (0.011, -0.354), (-0.004, -0.349)])), pitch * 0.45)


def _head(plate: Plate, frame: Frame, pitch: float) -> None:
    _face(plate, frame, pitch)
    veil = [(-0.07, -0.425), (-0.082, -0.36), (-0.088, -0.3), (-0.112, -0.262), (-0.1, -0.232),
        (-0.045, -0.212), (0.0, -0.206), (0.045, -0.212), (0.1, -0.232),
            (0.112, -0.262), (0.088, -0.3), (0.082, -0.36), (0.07, -0.425)]  # fmt: skip
    outline = frame.at(smooth(veil, closed=True))
    net = plate.patch(outline).light(0.7).wash(mixed(CREAM, MIST, 0.3), DUSK, depth=0.7)
    _lamplight(net, frame, 0.5)
    net.tone = np.clip(net.tone * 0.35 + 0.3, 0, 1)
    for lean in (46, -46):
        net.hatch(Hatch(angle=lean, pitch=max(2.6, pitch * 0.85), bow=0.3, start=0.0, cross=2, weight=0.5))
    plate.lay(net, 0.4)
    plate.contour(outline, pitch * 0.36)
    _folds(plate, frame, [
        [(-0.066, -0.4), (-0.072, -0.33), (-0.086, -0.235)], [(0.066, -0.4), (0.072, -0.33), (0.086, -0.235)],
            [(-0.054, -0.3), (-0.05, -0.26), (-0.052, -0.215)],
        [(0.054, -0.3), (0.05, -0.26), (0.052, -0.215)], [(0.0, -0.27), (0.004, -0.24), (0.0, -0.21)],
    ], pitch * 0.36)  # fmt: skip
    plate.line(frame.at(smooth([(-0.084, -0.29), (0, -0.268), (0.084, -0.29)])), pitch * 0.5)
    _hat(plate, frame, pitch)


def _hat(plate: Plate, frame: Frame, pitch: float) -> None:
    under = frame.at(ellipse(0, -0.418, 0.138, 0.026))
    plate.lay(plate.patch(under).wash(mixed(BARK, INK, 0.4)))
    rim = [
        (-0.15, -0.414),
        (-0.1, -0.44),
        (0, -0.449),
        (0.1, -0.44),
        (0.15, -0.414),
        (0.1, -0.419),
        (0.05, -0.412),
        (0, -0.41),
        (-0.05, -0.412),
        (-0.1, -0.419),
    ]
    brim = frame.at(smooth(rim, closed=True))
    straw = plate.patch(brim).light(0.7).wash(STRAW, BARK, depth=0.8)
    straw.hatch(Hatch(angle=frame.angle, pitch=pitch * 0.8, bow=0.5, start=0.22, cross=2))
    plate.lay(straw)
    plate.contour(brim, pitch * 0.42)
    crown = [
        (-0.07, -0.43),
        (-0.066, -0.466),
        (-0.05, -0.492),
        (0, -0.5),
        (0.05, -0.492),
        (0.066, -0.466),
        (0.07, -0.43),
        (0, -0.42),
    ]
    _cloth(plate, frame, crown, STRAW, BARK, pitch, 0, start=0.28, lamp=0)
    band = ribbon(smooth([(-0.069, -0.441), (0, -0.43), (0.069, -0.441)]), 0.02)
    _cloth(plate, frame, band, DEEP_RUSSET, INK, pitch, 0, smoothly=False, lamp=0)
