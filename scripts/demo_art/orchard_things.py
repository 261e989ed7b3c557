"""Ladder, basket and straw hive."""

from __future__ import annotations

import numpy as np

from .curves import Frame, Points, ellipse, rectangle, ribbon, smooth
from .engraving import Hatch, Plate
from .fruit import APPLE_COLOURS, PEAR_COLOURS, apple, leaf, pear
from .noise import clouds, smoothstep
from .palette import BARK, DEEP_RUSSET, INK, KRAFT, STRAW, Colour


def _timber(
    plate: Plate,
    frame: Frame,
    shape: Points,
    pitch: float,
    along: float,
    paint: Colour = KRAFT,
    shade: float = 0.2,
) -> None:
    outline = frame.at(shape)
    board = plate.patch(outline)
    board.light(0.7)
    board.tone = np.clip(board.tone * 0.55 + shade, 0, 1)
    rows, columns = board.mask.shape
    board.tone += 0.14 * clouds(rows, columns, 16, plate.rng)
    board.wash(paint, BARK, depth=0.8, mottle=0.1)
    board.hatch(Hatch(angle=frame.angle + along, pitch=pitch * 0.9, bow=0.15, start=0.28, cross=0.95))
    plate.lay(board)
    plate.contour(outline, pitch * 0.42)


def ladder(plate: Plate, frame: Frame, pitch: float = 4.6, rungs: int = 7) -> None:
    """Draw an orchard ladder, one unit tall with its third leg behind, 0.5 wide at the foot."""
    _timber(plate, frame, ribbon([(0.0, -0.47), (0.13, 0.44)], [0.028, 0.032]), pitch, 82, shade=0.5)
    for step in range(rungs):
        y = 0.4 - step * 0.81 / (rungs - 0.4)
        half = 0.062 + (y + 0.5) * 0.165
        rung = rectangle(-half - 0.012, y - 0.018, half + 0.012, y + 0.018)
        _timber(plate, frame, rung, pitch, 2)
        plate.line(
            frame.at([(-half, y + 0.021), (half, y + 0.021)]), [pitch * 0.6, pitch * 0.8, pitch * 0.6], 0.9
        )
    for side in (-1, 1):
        rail = ribbon([(0.048 * side, -0.49), (0.232 * side, 0.49)], [0.034, 0.044])
        _timber(plate, frame, rail, pitch, 90 - 10.6 * side, shade=0.12 if side < 0 else 0.3)
        for step in range(rungs):
            y = 0.4 - step * 0.81 / (rungs - 0.4)
            x = (0.048 + (y + 0.49) * 0.184 / 0.98) * side
            plate.line(frame.at(ellipse(x, y, 0.006, 0.006, n=14)), pitch * 0.5)
    _timber(plate, frame, ribbon([(-0.075, -0.455), (0.075, -0.455)], 0.034), pitch, 0)


def basket(plate: Plate, frame: Frame, pitch: float = 4.6, full: bool = True) -> None:
    """Draw a willow basket heaped with fruit: one unit wide, 0.95 tall, centred on the origin."""
    handle = smooth(
        [
            (-0.43, -0.02),
            (-0.4, -0.28),
            (-0.22, -0.43),
            (0, -0.47),
            (0.22, -0.43),
            (0.4, -0.28),
            (0.43, -0.02),
        ]
    )
    back = np.vstack([ellipse(0, -0.02, 0.46, 0.1, n=60)])
    inside = plate.patch(frame.at(back))
    inside.tone[:] = 0.8
    plate.lay(
        inside.wash(BARK, INK, depth=0.8).hatch(
            Hatch(angle=frame.angle, pitch=pitch, bow=0, start=0.2, cross=0.7)
        )
    )
    _withy(plate, frame, ellipse(0, -0.02, 0.458, 0.1, 180, 360, 60), [0.04, 0.036, 0.04], pitch)
    _withy(plate, frame, handle, [0.045], pitch)
    if full:
        _heap(plate, frame, pitch)
    _weave(plate, frame, pitch)
    _withy(plate, frame, ellipse(0, 0.39, 0.33, 0.07, 168, 12, 50), [0.022, 0.042, 0.042, 0.022], pitch)
    _withy(plate, frame, ellipse(0, -0.02, 0.46, 0.1, 178, 2, 60), [0.036, 0.052, 0.052, 0.036], pitch)
    for side in (-1, 1):
        for turn in range(3):
            knot = frame.at(
                smooth(
                    ellipse(side * (0.437 + 0.004 * turn), -0.035 + 0.03 * turn, 0.034, 0.02, n=12),
                    closed=True,
                )
            )
            plate.lay(
                plate.patch(knot)
                .light()
                .wash(STRAW, BARK, depth=0.9)
                .hatch(Hatch(angle=12, pitch=pitch, start=0.4))
            )
            plate.contour(knot, pitch * 0.4)


def _heap(plate: Plate, frame: Frame, pitch: float) -> None:
    for x, y, size, angle, kind in (
        (-0.2, -0.14, 0.26, -20, apple), (0.22, -0.15, 0.26, 15, apple), (0.0, -0.2, 0.27, 4, apple),
        (-0.33, -0.07, 0.24, -8, apple), (0.33, -0.06, 0.24, 24, apple), (-0.12, -0.07, 0.34, -64, pear),
        (0.17, -0.05, 0.25, -12, apple), (-0.02, -0.02, 0.24, 10, apple), (0.28, 0.02, 0.3, 70, pear),
            (-0.26, 0.03, 0.24, 12, apple),
    ):  # fmt: skip
        kind(plate, frame.within(x, y, size, angle), APPLE_COLOURS if kind is apple else PEAR_COLOURS, pitch)
    for x, y, size, angle in ((-0.08, -0.3, 0.2, -150), (0.06, -0.31, 0.22, -30), (0.38, -0.08, 0.2, 20)):
        leaf(plate, frame.within(x, y, size, angle), pitch=pitch * 0.9)


def _withy(plate: Plate, frame: Frame, course: Points, widths: list[float], pitch: float) -> None:
    """A twisted willow rod: a ribbon with slanting turns."""
    outline = frame.at(ribbon(course, widths))
    width = max(widths) * 0.92
    rod = plate.patch(outline).light(1.0).wash(STRAW, BARK, depth=0.85, mottle=0.1)
    rod.hatch(Hatch(angle=frame.angle + 4, pitch=pitch, bow=0.5, start=0.45, cross=2))
    plate.lay(rod)
    plate.contour(outline, pitch * 0.42)
    for at in range(3, len(course) - 4, 2):
        along = course[at + 1] - course[at]
        along /= np.hypot(*along)
        across = np.array([-along[1], along[0]]) * width * 0.46
        turn = smooth(
            [course[at] - across - along * width * 0.3, course[at], course[at] + across + along * width * 0.3]
        )
        plate.line(frame.at(turn), [0.5, pitch * 0.42, 0.5])


def _weave(plate: Plate, frame: Frame, pitch: float) -> None:
    shape = np.vstack([ellipse(0, -0.02, 0.46, 0.1, 180, 0, 50)[::1], smooth([(0.46, -0.02), (0.43, 0.15),
        (0.335, 0.39)]),
                       ellipse(0, 0.39, 0.335, 0.07, 0, 180, 40), smooth([(-0.335, 0.39), (-0.43, 0.15),
                           (-0.46, -0.02)])])  # fmt: skip
    outline = frame.at(shape)
    wall = plate.patch(outline)
    x, y = wall.in_frame(frame)
    half = np.interp(y, [-0.02, 0.15, 0.39], [0.46, 0.425, 0.335])
    across = np.clip(x / half, -0.999, 0.999)
    sag = 0.1 * np.sqrt(1 - across**2)
    row = (y - sag) / 0.036
    column = np.arcsin(across) * 6.2
    rank = np.floor(row)
    swing = np.sin((column + rank) * np.pi)
    bulge = np.sqrt(np.clip(1 - (2 * np.mod(row, 1.0) - 1) ** 2, 0, 1))
    over = 0.5 + 0.5 * swing
    shade = np.clip(0.15 + 0.55 * np.abs(across + 0.3) ** 1.6, 0, 1)
    wall.tone = np.clip(shade + 0.75 * (1 - bulge) + 0.45 * (1 - over) - 0.12, 0, 1).astype(np.float32)
    wall.wash(STRAW, BARK, depth=0.95, mottle=0.08)
    fine = np.abs(np.mod(row * 3.0 + 0.35 * swing, 1.0) - 0.5)
    width = np.clip((wall.tone - 0.38) / 0.62, 0, 1) * 0.95
    wall.ink = np.clip(0.5 + (width / 2 - fine) * 0.036 * frame.size * 2 / 3.0, 0, 1) * (width > 0.05)
    plate.lay(wall)
    plate.contour(outline, pitch * 0.42)


def skep(plate: Plate, frame: Frame, pitch: float = 4.6) -> None:
    """Draw a straw bee hive: one unit wide, one tall, centred on the origin."""
    foot = rectangle(-0.52, 0.4, 0.52, 0.47)
    _timber(plate, frame, foot, pitch, 0)
    shape = np.vstack([
        smooth([(-0.45, 0.4), (-0.47, 0.2), (-0.43, -0.06), (-0.31, -0.3), (-0.12, -0.43), (0, -0.45), (0.12, -0.43),
                (0.31, -0.3), (0.43, -0.06), (0.47, 0.2), (0.45, 0.4)]), ellipse(0, 0.4, 0.45, 0.03, 0, 180, 40),
    ])  # fmt: skip
    outline = frame.at(shape)
    dome = plate.patch(outline)
    x, y = dome.in_frame(frame)
    half = np.interp(y, [-0.45, -0.43, -0.3, -0.06, 0.2, 0.4], [0.02, 0.13, 0.32, 0.44, 0.47, 0.455])
    across = np.clip(x / half, -0.999, 0.999)
    row = (y + 0.47 - 0.05 * np.sqrt(1 - across**2)) / 0.088
    profile = np.sqrt(np.clip(1 - (2 * np.mod(row, 1.0) - 1) ** 2, 0, 1))
    dome.tone = np.clip(0.1 + 0.6 * np.abs(across + 0.34) ** 1.5 + 0.75 * (1 - profile) ** 1.2, 0, 1).astype(
        np.float32
    )
    dome.wash(STRAW, BARK, depth=0.85, mottle=0.08)
    slant = np.arcsin(across) * 13 + row * 0.55
    off = np.abs(np.mod(slant * 2.0, 1.0) - 0.5)
    width = np.clip((dome.tone - 0.22) / 0.78, 0, 1) * 0.8
    dome.ink = np.clip(0.5 + (width / 2 - off) * pitch * 2.2, 0, 1) * (width > 0.05)
    dome.ink = np.maximum(dome.ink, smoothstep(0.3, 0.12, profile))
    plate.lay(dome)
    plate.contour(outline, pitch * 0.46)
    mouth = np.vstack([ellipse(0, 0.34, 0.1, 0.12, 180, 360, 40), np.array([(0.1, 0.425), (-0.1, 0.425)])])
    door = plate.patch(frame.at(mouth))
    door.tone[:] = 1
    plate.lay(door.wash(INK, INK))
    plate.contour(frame.at(mouth), pitch * 0.5)
    knob = frame.at(smooth(ellipse(0, -0.47, 0.05, 0.04, n=14), closed=True))
    plate.lay(
        plate.patch(knob).light().wash(STRAW, DEEP_RUSSET, depth=0.8).hatch(Hatch(pitch=pitch, start=0.3))
    )
    plate.contour(knob, pitch * 0.4)
