"""Moths and bees."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from .curves import Frame, Points, PointsLike, ellipse, smooth
from .engraving import Hatch, Patch, Plate
from .noise import Field, clouds, smoothstep
from .palette import AMBER, BARK, CREAM, DEEP_RUSSET, GLOW, INK, KRAFT, MIST, QUINCE, RUSSET, STRAW, Colour

FOREWING = [
    (0.03, -0.13), (0.16, -0.27), (0.36, -0.42), (0.58, -0.52), (0.74, -0.55), (0.8, -0.5), (0.77, -0.4),
    (0.7, -0.26), (0.62, -0.1), (0.55, 0.01), (0.4, 0.03), (0.2, 0.0), (0.05, -0.01),
]  # fmt: skip
HINDWING = [
    (0.04, -0.03), (0.2, -0.04), (0.4, -0.02), (0.54, 0.06), (0.58, 0.18), (0.53, 0.32), (0.43, 0.42), (0.33, 0.45),
    (0.24, 0.4), (0.15, 0.28), (0.06, 0.12),
]  # fmt: skip


@dataclass(frozen=True)
class MothColours:
    """Washes of a moth, and the colour of its feelers where the ground is too dark for inked ones."""

    ground: Colour = KRAFT
    band: Colour = BARK
    margin: Colour = RUSSET
    eye: Colour = INK
    ring: Colour = QUINCE
    body: Colour = STRAW
    pale: Colour = CREAM
    feelers: Colour | None = None


LANTERN_MOTH = MothColours()
GHOST_MOTH = MothColours(
    ground=CREAM,
    band=MIST,
    margin=(0.72, 0.68, 0.58),
    ring=AMBER,
    body=(0.9, 0.86, 0.76),
    pale=(1.0, 0.98, 0.92),
)
CINDER_MOTH = MothColours(ground=RUSSET, band=DEEP_RUSSET, margin=INK, ring=AMBER, body=BARK, pale=QUINCE)


def _polar(patch: Patch, frame: Frame, outline: Points, base: tuple[float, float]) -> tuple[Field, Field]:
    """Place of each pixel on a wing: angle from its root, and distance as a share of the way to its edge."""
    root = frame.at([base])[0]
    around = outline - root
    angles = np.unwrap(np.arctan2(around[:, 1], around[:, 0]))
    if frame.mirror:
        angles, around = angles[::-1], around[::-1]
    middle = float(np.arctan2(*(outline.mean(axis=0) - root)[::-1]))
    reach = np.hypot(around[:, 0], around[:, 1])
    grid = np.linspace(-math.pi, math.pi, 720)
    turned = np.mod(angles - middle + math.pi, 2 * math.pi) - math.pi
    order = np.argsort(turned)
    edge = np.interp(grid, turned[order], reach[order])
    theta = np.mod(np.arctan2(patch.y - root[1], patch.x - root[0]) - middle + math.pi, 2 * math.pi) - math.pi
    far = np.hypot(patch.x - root[0], patch.y - root[1])
    return theta.astype(np.float32), (far / np.maximum(np.interp(theta, grid, edge), 1)).astype(np.float32)


def _wing(
    plate: Plate, frame: Frame, shape: PointsLike, base: tuple[float, float], colours: MothColours, pitch: float,
    bands: tuple[float, ...], eye: tuple[float, float, float],
) -> None:  # fmt: skip
    outline = frame.at(smooth(shape, closed=True))
    wing = plate.patch(outline)
    theta, share = _polar(wing, frame, outline, base)
    rows, columns = wing.mask.shape
    ripple = 0.018 * np.sin(theta * 34) + 0.02 * clouds(rows, columns, 30, plate.rng)
    along = share + ripple
    wing.light(0.25)
    wing.tone = np.clip(0.30 + 0.55 * (1 - smoothstep(0.0, 0.5, share)) * 0.8 + 0.1 * wing.tone, 0, 1)
    wing.wash(colours.ground, depth=0.35, mottle=0.08)
    wing.tint(colours.pale, smoothstep(0.3, 0.55, along) * smoothstep(0.85, 0.7, along) * 0.5)
    for at in bands:
        line = smoothstep(0.045, 0.012, np.abs(along - at))
        wing.tint(colours.band, line * 0.85)
        wing.tone = np.clip(wing.tone + line * 0.5, 0, 1)
    rim = smoothstep(0.84, 0.9, along)
    wing.tint(colours.margin, rim * 0.85)
    wing.tone = np.clip(wing.tone + rim * 0.28 + smoothstep(0.955, 0.985, along) * 0.5, 0, 1)
    wing.ink = np.maximum(wing.ink, _scale_rows(wing.tone, share, frame.size, pitch))
    plate.lay(wing)
    root = frame.at([base])[0]
    for at in np.linspace(0.08, 0.92, 9):
        tip = outline[int(at * (len(outline) - 1))]
        if np.hypot(*(tip - root)) > frame.size * 0.3:
            bend = (root + tip) / 2 + (0, -0.02 * frame.size)
            plate.line(smooth([tuple(root), tuple(bend), tuple(tip)]), [pitch * 0.34, pitch * 0.26, 0.4], 0.9)
    _eye(plate, frame, eye, colours, pitch)
    plate.contour(outline, pitch * 0.42)


def _scale_rows(tone: Field, share: Field, size: float, pitch: float) -> Field:
    """Lines that run parallel to a wing's edge, as its scales lie."""
    count = size * 0.62 / pitch
    off = np.abs(np.mod(share * count, 1.0) - 0.5)
    width = np.clip((tone - 0.22) / 0.78, 0, 1) * 0.8
    return np.clip(0.5 + (width / 2 - off) * pitch * 2, 0, 1).astype(np.float32) * (width > 0.05)


def _eye(
    plate: Plate, frame: Frame, eye: tuple[float, float, float], colours: MothColours, pitch: float
) -> None:
    """The spot that looks back: dark rim, ring, pupil, and a glint off its middle."""
    outline = frame.at(ellipse(eye[0], eye[1], eye[2], eye[2] * 0.95))
    spot = plate.patch(outline)
    (x, y), (gx, gy) = frame.at([eye[:2], (eye[0] - eye[2] * 0.16, eye[1] - eye[2] * 0.18)])
    away = (np.hypot(spot.x - x, (spot.y - y) * 1.05) / (eye[2] * frame.size)).astype(np.float32)
    spot.wash(colours.band, mottle=0.05)
    for radius, paint in ((0.84, colours.pale), (0.76, colours.ring), (0.5, colours.eye)):
        spot.tint(paint, smoothstep(radius + 0.05, radius - 0.05, away))
    glint = (np.hypot(spot.x - gx, spot.y - gy) / (eye[2] * frame.size)).astype(np.float32)
    spot.tint(colours.pale, smoothstep(0.2, 0.12, glint))
    turn = np.arctan2(spot.y - y, spot.x - x)
    rays = np.abs(np.mod(turn * 36 / (2 * math.pi), 1.0) - 0.5)
    spot.ink = (
        smoothstep(0.3, 0.2, rays.astype(np.float32))
        * smoothstep(0.52, 0.56, away)
        * smoothstep(0.76, 0.6, away)
        * 0.7
    ).astype(np.float32)
    plate.lay(spot)
    plate.contour(outline, pitch * 0.42)


def _fur(plate: Plate, frame: Frame, centre: tuple[float, float], rx: float, ry: float, pitch: float) -> None:
    for turn in np.linspace(0, 2 * math.pi, int(30 + frame.size * 0.1), endpoint=False):
        reach = plate.rng.uniform(0.92, 1.12)
        start = (centre[0] + math.cos(turn) * rx * 0.55, centre[1] + math.sin(turn) * ry * 0.55)
        end = (centre[0] + math.cos(turn) * rx * reach, centre[1] + math.sin(turn) * ry * reach + 0.008)
        plate.line(frame.at([start, end]), [pitch * 0.34, 0.4], 0.85)


def moth(plate: Plate, frame: Frame, colours: MothColours = LANTERN_MOTH, pitch: float = 4.4) -> None:
    """Draw a moth seen from above, wings spread: 1.6 units wide, one tall, thorax near the origin."""
    for mirror in (False, True):
        half = frame.within(0, 0, 1, 0, mirror)
        _wing(plate, half, HINDWING, (0.02, 0.0), colours, pitch, (0.3, 0.7), (0.36, 0.19, 0.085))
    for mirror in (False, True):
        half = frame.within(0, 0, 1, 0, mirror)
        _wing(plate, half, FOREWING, (0.02, -0.06), colours, pitch, (0.26, 0.34, 0.72), (0.5, -0.27, 0.1))
        _antenna(plate, half, pitch, colours.feelers)
    _abdomen(plate, frame, colours, pitch)
    chest = frame.at(smooth(ellipse(0, -0.06, 0.075, 0.105, n=16), closed=True))
    plate.lay(
        plate.patch(chest)
        .light()
        .wash(colours.body, colours.band)
        .hatch(Hatch(angle=80, pitch=pitch, start=0.35))
    )
    _fur(plate, frame, (0, -0.06), 0.085, 0.115, pitch)
    head = frame.at(ellipse(0, -0.178, 0.04, 0.036, n=30))
    plate.lay(plate.patch(head).light().wash(colours.body, colours.band).hatch(Hatch(pitch=pitch, start=0.4)))
    plate.contour(head, pitch * 0.34)
    for side in (-1, 1):
        bead = frame.at(ellipse(0.034 * side, -0.19, 0.012, 0.014, n=20))
        plate.lay(plate.patch(bead).wash(INK))


def _antenna(plate: Plate, half: Frame, pitch: float, paint: Colour | None) -> None:
    course = smooth([(0.018, -0.205), (0.06, -0.28), (0.13, -0.345), (0.205, -0.375)])
    plate.line(half.at(course), [pitch * 0.42, pitch * 0.3, 0.6], paint=paint)
    strength = 0.9 if paint is None else 0.55  # pale hairs spread on a dark ground and would run together
    for at in range(5, len(course) - 2, 2):
        along = course[at + 1] - course[at - 1]
        along /= np.hypot(*along)
        length = 0.052 * math.sin(at / len(course) * math.pi) ** 0.6
        for side in (-1, 1):
            across = np.array([-along[1], along[0]]) * side
            plate.line(
                half.at([course[at], course[at] + (across + along * 0.7) * length]),
                [pitch * 0.2, 0.35],
                strength,
                paint,
            )


def _abdomen(plate: Plate, frame: Frame, colours: MothColours, pitch: float) -> None:
    shape = [(-0.058, -0.01), (-0.07, 0.1), (-0.058, 0.22), (-0.03, 0.32), (0, 0.355), (0.03, 0.32), (0.058, 0.22),
             (0.07, 0.1), (0.058, -0.01)]  # fmt: skip
    outline = frame.at(smooth(shape, closed=True))
    body = plate.patch(outline).light().wash(colours.body, colours.band, depth=0.8)
    (x0, y0), (x1, y1) = frame.at([(0, 0), (0, 0.36)])
    along = ((body.x - x0) * (x1 - x0) + (body.y - y0) * (y1 - y0)) / ((x1 - x0) ** 2 + (y1 - y0) ** 2)
    ring = np.abs(np.mod(along * 7, 1.0) - 0.5) * 2
    stripe = smoothstep(0.55, 0.95, ring.astype(np.float32))
    body.tint(colours.margin, stripe * 0.7)
    body.tone = np.clip(body.tone + stripe * 0.3, 0, 1)
    body.hatch(Hatch(angle=frame.angle, pitch=pitch * 0.85, bow=0.5, start=0.3, cross=0.8))
    plate.lay(body)
    plate.contour(outline, pitch * 0.4)


def bee(plate: Plate, frame: Frame, pitch: float = 3.6) -> None:
    """Draw a bee seen from above, flying up: one unit tall, 1.3 wide."""
    for mirror in (False, True):
        half = frame.within(0, 0, 1, 0, mirror)
        for knee in ((0.3, -0.2, 0.36, -0.33), (0.34, 0.02, 0.44, 0.14), (0.28, 0.2, 0.34, 0.42)):
            leg = smooth([(0.08, -0.08 + knee[1] * 0.2), knee[:2], knee[2:]])
            plate.line(half.at(leg), [pitch * 0.8, pitch * 0.6, pitch * 0.35])
        for shape in (
            [(0.06, -0.02), (0.24, 0.02), (0.44, 0.1), (0.5, 0.2), (0.42, 0.26), (0.24, 0.18)],
            [
                (0.06, -0.12),
                (0.28, -0.22),
                (0.52, -0.26),
                (0.66, -0.2),
                (0.64, -0.08),
                (0.46, 0.0),
                (0.22, -0.02),
            ],
        ):
            outline = half.at(smooth(shape, closed=True))
            wing = plate.patch(outline)
            wing.tone[:] = 0.3
            wing.wash((0.86, 0.88, 0.86), MIST, depth=0.5)
            lean = half.angle + (20 if mirror else -20)
            wing.hatch(Hatch(angle=lean, pitch=pitch * 1.2, bow=0.12, start=0.2, cross=2, weight=0.5))
            plate.lay(wing)
            plate.contour(outline, pitch * 0.45)
            for tip in shape[2:-1]:
                plate.line(half.at([shape[0], tip]), [pitch * 0.45, 0.5])
        plate.line(half.at(smooth([(0.03, -0.36), (0.09, -0.44), (0.16, -0.47)])), [pitch * 0.5, pitch * 0.5])
    shape = [(-0.11, 0.02), (-0.17, 0.16), (-0.15, 0.33), (-0.06, 0.46), (0, 0.5), (0.06, 0.46), (0.15, 0.33),
             (0.17, 0.16), (0.11, 0.02)]  # fmt: skip
    outline = frame.at(smooth(shape, closed=True))
    body = plate.patch(outline).light().wash(AMBER, RUSSET, depth=0.8)
    (x0, y0), (x1, y1) = frame.at([(0, 0.02), (0, 0.5)])
    along = ((body.x - x0) * (x1 - x0) + (body.y - y0) * (y1 - y0)) / ((x1 - x0) ** 2 + (y1 - y0) ** 2)
    stripe = smoothstep(0.42, 0.58, np.abs(np.mod(along * 4.2 + 0.1, 1.0) - 0.5).astype(np.float32) * 2)
    body.tint(INK, stripe * 0.92)
    body.hatch(Hatch(angle=frame.angle, pitch=pitch, bow=0.6, start=0.35))
    plate.lay(body)
    plate.contour(outline, pitch * 0.5)
    chest = frame.at(ellipse(0, -0.1, 0.14, 0.15))
    plate.lay(plate.patch(chest).light().wash(QUINCE, BARK, depth=0.9).hatch(Hatch(pitch=pitch, start=0.4)))
    _fur(plate, frame, (0, -0.1), 0.155, 0.165, pitch)
    head = frame.at(ellipse(0, -0.3, 0.1, 0.075))
    plate.lay(plate.patch(head).light().wash(INK, INK))
    plate.line(frame.at(smooth([(-0.05, -0.32), (0, -0.34), (0.05, -0.32)])), 0.8, paint=MIST)
    for side in (-1, 1):
        plate.lay(
            plate.patch(frame.at(ellipse(0.07 * side, -0.31, 0.03, 0.045)))
            .light()
            .wash(GLOW, RUSSET, depth=1)
        )
