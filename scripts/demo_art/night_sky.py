"""The sky of the night orchard: engraved rings of light, stars, the moon."""

from __future__ import annotations

import math

import cv2
import numpy as np
from numpy.typing import NDArray

from .engraving import SHIFT
from .noise import Field, clouds, layered_clouds, smoothstep
from .palette import BARK, DUSK, GLOW, IVORY, MIDNIGHT, MIST, QUINCE, mixed
from .scene import FINE, Canvas, Scene


def sky(scene: Scene, horizon: float) -> Canvas:
    """Paint the sky down to the foot of the picture; `horizon` is in printed pixels from the top."""
    rows, columns = scene.height * FINE, scene.width * FINE
    y, x = np.mgrid[0:rows, 0:columns].astype(np.float32) / FINE
    mx, my, radius = scene.moon
    away = np.hypot(x - mx, y - my)
    down = np.clip(y / horizon, 0, 1)
    light = np.clip(0.42 * np.exp(-away / (radius * 3.2)) + 0.38 * down**2.2, 0, 1)
    light += 0.05 * layered_clouds(rows, columns, 500, scene.rng, 3)
    cloud = layered_clouds(rows // 4, columns // 16, 60, scene.rng, 4)
    bank = smoothstep(0.15, 0.9, cv2.resize(cloud, (columns, rows), interpolation=cv2.INTER_CUBIC))
    light = np.clip(light + bank * 0.16 * smoothstep(0.05, 0.5, down), 0, 1).astype(np.float32)
    rgb = np.array(mixed(MIDNIGHT, (0, 0, 0), 0.25), np.float32) + light[..., None] * (
        np.array(DUSK, np.float32) - np.array(MIDNIGHT, np.float32)
    )
    off = np.abs(np.mod((away + 2.5 * clouds(rows, columns, 160, scene.rng)) / 6.2, 1.0) - 0.5)
    width = np.clip(light * 1.15 - 0.06, 0.0, 0.8)
    lines = np.clip(0.5 + (width / 2 - off) * 6.2 * FINE, 0, 1) * (width > 0.03)
    pale = np.array(mixed(DUSK, MIST, 0.65), np.float32)
    rgb += (pale - rgb) * (lines * np.clip(0.25 + light, 0, 0.85))[..., None]
    _stars(rgb, scene, horizon)
    _moon(rgb, scene, x, y, away)
    return np.round(np.clip(rgb, 0, 1) * 255).astype(np.uint8)


def _stars(rgb: NDArray[np.float32], scene: Scene, horizon: float) -> None:
    for _ in range(int(scene.width * horizon / 5200)):
        x, y = scene.rng.uniform(0, scene.width), scene.rng.uniform(0, horizon * 0.9)
        size = float(scene.rng.pareto(2.6) * 0.8 + 0.7)
        if math.hypot(x - scene.moon[0], y - scene.moon[1]) < scene.moon[2] * 1.5:
            continue
        centre = (round(x * FINE * 16), round(y * FINE * 16))
        pale = mixed(IVORY, GLOW, float(scene.rng.random()))
        if size > 2.2:
            reach = min(size, 6) * 2.6
            for turn in (0, math.pi / 2):
                tip = np.array([math.cos(turn), math.sin(turn)]) * reach
                side = np.array([-math.sin(turn), math.cos(turn)]) * min(size, 6) * 0.32
                diamond = np.array([tip, side, -tip, -side]) + np.array([x, y])
                cv2.fillPoly(rgb, [np.round(diamond * FINE * 16).astype(np.int32)], pale, cv2.LINE_8, SHIFT)
        cv2.circle(rgb, centre, round(min(size, 3) * 0.62 * FINE * 16), pale, -1, cv2.LINE_8, SHIFT)


def _moon(rgb: NDArray[np.float32], scene: Scene, x: Field, y: Field, away: Field) -> None:
    mx, my, radius = scene.moon
    box = (
        slice(int((my - radius * 1.1) * FINE), int((my + radius * 1.1) * FINE)),
        slice(int((mx - radius * 1.1) * FINE), int((mx + radius * 1.1) * FINE)),
    )
    rows, columns = away[box].shape
    disc = np.clip((radius - away[box]) * FINE + 0.5, 0, 1)
    seas = smoothstep(0.1, 0.7, layered_clouds(rows, columns, radius * 0.9, scene.rng, 4))
    limb = np.clip(away[box] / radius, 0, 1) ** 4
    side = np.clip(0.5 + ((x[box] - mx) * 0.6 + (y[box] - my) * 0.7) / radius * 0.5, 0, 1)
    tone = np.clip(0.5 * seas + 0.22 * limb + 0.34 * side**2, 0, 1).astype(np.float32)
    face = np.array(mixed(GLOW, IVORY, 0.55), np.float32) * (
        1 - tone[..., None] * np.array([0.2, 0.25, 0.36], np.float32)
    )
    off = np.abs(np.mod((x[box] * 0.5 + y[box] * 0.86) / 4.6, 1.0) - 0.5)
    width = np.clip(tone - 0.2, 0, 0.7)
    ink = np.clip(0.5 + (width / 2 - off) * 4.6 * FINE, 0, 1) * (width > 0.03) * 0.55
    face = face * (1 - ink[..., None]) + np.array(mixed(BARK, QUINCE, 0.4), np.float32) * ink[..., None]
    rgb[box] += (face - rgb[box]) * disc[..., None]
