"""The storm lantern."""

from __future__ import annotations

import numpy as np

from .curves import Frame, Points, ellipse, rectangle, ribbon, smooth
from .engraving import Hatch, Plate
from .fruit import pear
from .noise import Field, smoothstep
from .palette import AMBER, BARK, GLOW, IVORY, KRAFT, MIDNIGHT, RUSSET, STRAW, TIN, Colour, mixed

FINE_WIRES = 420  # a lantern smaller than this, in pixels, has its guard drawn as plain lines


def lantern(plate: Plate, frame: Frame, pitch: float = 4.8) -> None:
    """Draw a lit storm lantern: 1.0 unit tall with its bail raised, 0.52 wide, centred on the origin."""
    bail = smooth(
        [
            (-0.234, -0.19),
            (-0.24, -0.3),
            (-0.165, -0.435),
            (0, -0.485),
            (0.165, -0.435),
            (0.24, -0.3),
            (0.234, -0.19),
        ]
    )
    _wire(plate, frame, bail, 0.014, pitch)
    grip = smooth([(-0.06, -0.478), (0, -0.487), (0.06, -0.478)])
    _wire(plate, frame, grip, 0.034, pitch, BARK)
    _metal(plate, frame, rectangle(-0.05, -0.4, 0.05, -0.345), pitch, half=0.06)
    for side in (-1, 1):
        tube = smooth([(0.09 * side, -0.29), (0.19 * side, -0.285), (0.232 * side, -0.21), (0.236 * side, 0.0),
                       (0.236 * side, 0.22), (0.215 * side, 0.3), (0.15 * side, 0.33)])  # fmt: skip
        _wire(plate, frame, tube, 0.036, pitch)
    hood = np.vstack([
        smooth([(-0.06, -0.35), (-0.1, -0.325), (-0.155, -0.27),
            (-0.165, -0.225)]), ellipse(0, -0.222, 0.165, 0.022, 180, 0, 30),
        smooth([(0.165, -0.225), (0.155, -0.27), (0.1, -0.325), (0.06, -0.35)]),
    ])  # fmt: skip
    _metal(plate, frame, hood, pitch, half=0.17)
    for x in (-0.085, -0.045, 0.0, 0.045, 0.085):
        slot = frame.at(ellipse(x, -0.265, 0.011, 0.017, n=24))
        vent = plate.patch(slot)
        vent.wash(AMBER, mottle=0)
        plate.lay(vent)
        plate.contour(slot, pitch * 0.34)
    _globe(plate, frame, pitch)
    _metal(
        plate,
        frame,
        np.vstack([ellipse(0, 0.2, 0.13, 0.018, 180, 360, 30), ellipse(0, 0.268, 0.155, 0.022, 0, 180, 30)]),
        pitch,
        half=0.15,
    )
    tank = np.vstack([
        ellipse(0, 0.3, 0.19, 0.028, 180, 360, 36), smooth([(0.19, 0.3), (0.243, 0.34), (0.255, 0.4), (0.24, 0.455)]),
        ellipse(0, 0.458, 0.235, 0.036, 0, 180, 36), smooth([(-0.24, 0.455), (-0.255, 0.4), (-0.243, 0.34),
            (-0.19, 0.3)]),
    ])  # fmt: skip
    _metal(plate, frame, tank, pitch, half=0.255)
    for y in (0.345, 0.44):
        plate.line(frame.at(ellipse(0, y, 0.243, 0.034, 172, 8, 50)), [0.6, pitch * 0.4, 0.6])
    plate_oval = frame.at(ellipse(-0.03, 0.402, 0.072, 0.034, n=60))
    plate.lay(
        plate.patch(plate_oval)
        .light(0.6)
        .wash(STRAW, BARK, depth=0.7)
        .hatch(Hatch(angle=frame.angle, pitch=pitch * 0.8, start=0.42))
    )
    plate.contour(plate_oval, pitch * 0.4)
    if frame.size > FINE_WIRES:
        pear(plate, frame.within(-0.03, 0.406, 0.05), pitch=2.4)
    for side in (-1, 1):
        pivot = frame.at(ellipse(0.235 * side, -0.185, 0.02, 0.02, n=24))
        plate.lay(plate.patch(pivot).light().wash(TIN, MIDNIGHT, depth=0.7))
        plate.contour(pivot, pitch * 0.38)
    cap = frame.within(0.125, 0.315)
    _metal(
        plate,
        cap,
        np.vstack([ellipse(0, -0.03, 0.04, 0.01, 180, 360, 20), ellipse(0, 0.02, 0.045, 0.014, 0, 180, 20)]),
        pitch,
        half=0.045,
    )
    _wire(plate, frame, np.array([(-0.14, 0.262), (-0.2, 0.25), (-0.262, 0.262)]), 0.012, pitch)


def _globe(plate: Plate, frame: Frame, pitch: float) -> None:
    shape = np.vstack([
        ellipse(0, -0.205, 0.105, 0.014, 180, 360, 24),
        smooth([(0.105, -0.2), (0.15, -0.13), (0.178, -0.02), (0.168, 0.09), (0.125, 0.2)]),
        ellipse(0, 0.205, 0.12, 0.016, 0, 180, 24),
        smooth([(-0.125, 0.2), (-0.168, 0.09), (-0.178, -0.02), (-0.15, -0.13), (-0.105, -0.2)]),
    ])  # fmt: skip
    outline = frame.at(shape)
    glass = plate.patch(outline)
    x, y = glass.in_frame(frame)
    away = np.hypot(x * 1.25, (y - 0.06) * 0.8)
    glass.wash(AMBER, mottle=0.02)
    glass.tint(RUSSET, smoothstep(0.15, 0.29, away) * 0.55)
    glass.tint(GLOW, smoothstep(0.17, 0.03, away))
    glass.tone = smoothstep(0.11, 0.26, away) * 0.8
    rays = np.arctan2(y - 0.06, x) * 84 / (2 * np.pi)
    off = np.abs(np.mod(rays, 1.0) - 0.5)
    spacing = np.maximum(np.hypot(x, y - 0.06) * frame.size * 2 * np.pi / 84, 0.5)
    width = np.clip((glass.tone - 0.18) / 0.8, 0, 1) * 0.6
    glass.ink = np.clip(0.5 + (width / 2 - off) * spacing * 2, 0, 1) * (width > 0.05)
    plate.lay(glass)
    flame = smooth(
        [
            (0, -0.085),
            (0.03, -0.02),
            (0.048, 0.045),
            (0.035, 0.1),
            (0, 0.12),
            (-0.035, 0.1),
            (-0.048, 0.045),
            (-0.026, -0.02),
        ],
        closed=True,
    )
    fire = plate.patch(frame.at(flame))
    _, fy = fire.in_frame(frame)
    fire.wash(IVORY, mottle=0)
    fire.tint(GLOW, smoothstep(0.02, -0.06, fy))
    fire.tint(AMBER, smoothstep(0.07, 0.12, fy) * 0.7)
    plate.lay(fire)
    plate.contour(frame.at(flame), pitch * 0.26)
    plate.line(frame.at([(0, 0.08), (0, 0.125)]), [pitch * 0.5, pitch * 0.9])
    burner = np.vstack(
        [ellipse(0, 0.13, 0.045, 0.01, 180, 360, 20), ellipse(0, 0.195, 0.08, 0.014, 0, 180, 20)]
    )
    _metal(plate, frame, burner, pitch, paint=KRAFT, half=0.08)
    shine = smooth([(-0.115, -0.13), (-0.145, -0.04), (-0.143, 0.05)])
    gleam = plate.patch(frame.at(ribbon(shine, [0.001, 0.012, 0.018, 0.019, 0.016, 0.009, 0.001])))
    gleam.wash(IVORY, mottle=0)
    plate.lay(gleam, 0.9)
    guards = [ellipse(0, y, rx + 0.062, 0.016, 174, 6, 50) for y, rx in ((-0.11, 0.166), (0.1, 0.172))]
    for bend in (-1, 1):
        guards.append(
            smooth([(0.232 * bend, -0.18), (0.1 * bend, -0.05), (-0.1 * bend, 0.08), (-0.232 * bend, 0.2)])
        )
    for guard in guards:
        if frame.size > FINE_WIRES:
            _wire(plate, frame, guard, 0.008, pitch)
        else:
            plate.line(frame.at(guard), max(1.1, frame.size * 0.0055))
    plate.contour(outline, pitch * 0.4)


def _metal(
    plate: Plate, frame: Frame, shape: Points, pitch: float, paint: Colour = TIN, half: float = 0.3
) -> None:
    """A turned tin part: shaded across as a cylinder, with a bright band left of its middle."""
    outline = frame.at(shape)
    part = plate.patch(outline)
    x, _ = part.in_frame(frame)
    across = np.clip(x / half, -1, 1)
    part.tone = np.clip(
        0.12 + 0.75 * np.abs(across + 0.32) ** 1.25 - 0.25 * smoothstep(0.75, 1.0, across), 0, 1
    )
    part.wash(paint, MIDNIGHT, depth=0.7, mottle=0.06)
    _, y = part.in_frame(frame)
    part.tint(mixed(AMBER, paint, 0.3), _firelight(x, y) * (1 - 0.6 * part.tone))
    part.hatch(Hatch(angle=frame.angle + 90, pitch=pitch, bow=0, start=0.26, cross=0.74))
    plate.lay(part)
    plate.contour(outline, pitch * 0.42)


def _wire(
    plate: Plate, frame: Frame, course: Points, width: float, pitch: float, paint: Colour = TIN
) -> None:
    outline = frame.at(ribbon(course, width))
    plate.lay(plate.patch(outline).light(1.0).wash(paint, MIDNIGHT, depth=0.8))
    plate.contour(outline, pitch * 0.36)


def _firelight(x: Field, y: Field) -> Field:
    """How much of the flame's warmth falls on the lantern's own tin."""
    away = np.hypot(x, y - 0.04).astype(np.float32)
    return smoothstep(0.42, 0.2, away) * 0.42
