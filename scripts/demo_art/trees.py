"""The trees of the night orchard, near and far."""

from __future__ import annotations

import math

import numpy as np

from .curves import Points, ribbon, smooth
from .palette import (
    AMBER,
    BARK,
    BLUSH,
    DEEP_MOSS,
    DEEP_RUSSET,
    GLOW,
    INK,
    MIDNIGHT,
    MIST,
    RUSSET,
    SAGE,
    Colour,
    mixed,
)
from .scene import WOOD, Scene


def dab_tree(
    scene: Scene, x: float, y: float, size: float, count: int, dark: Colour, pale: Colour, fruit: int = 0
) -> None:
    """A whole small tree: trunk foot at x, y, crown about twice `size` across."""
    trunk = smooth([(x - size * 0.05, y), (x + size * 0.03, y - size * 0.5), (x - size * 0.02, y - size)])
    scene.fill(ribbon(trunk, [size * 0.26, size * 0.15, size * 0.1]), mixed(BARK, INK, 0.62))
    lobes = [
        (
            x + scene.rng.normal(0, 0.42) * size,
            y - size * (1.35 + scene.rng.normal(0, 0.24)),
            size * scene.rng.uniform(0.5, 0.78),
        )
        for _ in range(6)
    ]
    scene.fill(
        smooth(
            np.array(
                [
                    (x + math.cos(a) * size * 0.6, y - size * 1.3 + math.sin(a) * size * 0.42)
                    for a in np.linspace(0, 5.6, 9)
                ]
            ),
            closed=True,
        ),
        dark,
    )
    toward = math.atan2(scene.moon[1] - y + size, scene.moon[0] - x)
    for step in range(count):
        lx, ly, reach = lobes[step % len(lobes)]
        turn, out = scene.rng.uniform(0, math.tau), math.sqrt(scene.rng.random())
        px, py = lx + math.cos(turn) * out * reach, ly + math.sin(turn) * out * reach * 0.85
        facing = 0.5 * math.cos(turn - toward) * out + 0.28 * (step / count) + scene.rng.normal(0, 0.12)
        scene.fill(
            _leaf_shape(px, py, max(size * 0.17, 3.2), scene.rng.uniform(0, math.pi)),
            scene.lit(px, py, dark, pale, facing),
        )
    for _ in range(fruit):
        turn, out = scene.rng.uniform(0, math.tau), math.sqrt(scene.rng.random()) * 0.85
        px, py = x + math.cos(turn) * out * size, y - size * 1.3 + math.sin(turn) * out * size * 0.75
        _fruit_dot(scene, px, py, max(size * 0.06, 2.2))


def shadow(scene: Scene, x: float, y: float, size: float, depth: float) -> None:
    """Dark grass under a tree, thrown away from the moon."""
    for _ in range(int(60 + 420 * depth)):
        turn, out = scene.rng.uniform(0, math.tau), math.sqrt(scene.rng.random())
        px, py = x + math.cos(turn) * out * size * 1.15, y + math.sin(turn) * out * size * 0.2
        tall = size * scene.rng.uniform(0.05, 0.13)
        lean = scene.rng.normal(0, 0.3) * tall
        blade = np.array([(px - tall * 0.3, py), (px + lean, py - tall), (px + tall * 0.3, py)])
        scene.fill(blade, mixed(INK, DEEP_MOSS, float(scene.rng.uniform(0.1, 0.42))))


def near_tree(scene: Scene, foot: tuple[float, float], unit: float, hooks: list[tuple[float, float]]) -> None:
    """Paint the tree that the lanterns hang from, its foot at `foot`, `unit` its measure, all in printed pixels."""
    tips: list[tuple[float, float]] = []
    x, y = foot
    fork = (x - unit * 0.035, y - unit * 0.52)
    trunk = smooth(
        [
            (x - unit * 0.01, y + unit * 0.02),
            (x + unit * 0.008, y - unit * 0.1),
            (x + unit * 0.012, y - unit * 0.22),
            (x - unit * 0.02, y - unit * 0.38),
            fork,
        ]
    )
    for side, reach in ((-1, 0.17), (-0.55, 0.1), (0.45, 0.09), (1, 0.16)):
        root = smooth(
            [
                (x + side * unit * 0.03, y - unit * 0.1),
                (x + side * unit * 0.075, y - unit * 0.012),
                (x + side * unit * reach, y + unit * 0.032),
            ]
        )
        scene.fill(ribbon(root, [unit * 0.07, unit * 0.05, unit * 0.012]), WOOD)
    widths = [unit * 0.17, unit * 0.118, unit * 0.1, unit * 0.096, unit * 0.104]
    scene.fill(ribbon(trunk, widths), WOOD)
    for lean, length in ((-2.35, 0.24), (-1.75, 0.27), (-1.1, 0.28), (-0.55, 0.33), (-0.22, 0.3)):
        start = (fork[0] + math.cos(lean) * unit * 0.03, fork[1] + unit * 0.035)
        _limb(scene, start, lean, unit * length, unit * 0.066, tips, 2)
    _bark(scene, trunk, widths, unit)
    inside = [(px, py) for px, py in tips if py < y - unit * 0.42]
    for px, py in hooks:
        inside += [(px + dx * unit, py - unit * 0.05) for dx in (-0.09, -0.04, 0.02, 0.08)]
    _foliage(scene, inside, unit)


def _limb(
    scene: Scene,
    start: tuple[float, float],
    turn: float,
    length: float,
    width: float,
    tips: list[tuple[float, float]],
    depth: int,
) -> None:
    x, y = start
    course = [(x, y)]
    for _ in range(4):
        turn = min(max(turn + scene.rng.normal(0, 0.17), -3.35), 0.22)
        x, y = x + math.cos(turn) * length / 4, y + math.sin(turn) * length / 4
        course.append((x, y))
    line = smooth(course, steps=8)
    scene.fill(ribbon(line, [width, width * 0.82, width * 0.62]), WOOD)
    for edge in np.linspace(0.5, -0.42, max(3, int(width / 2.6))):
        shifted = line + np.array([edge * width * 0.42, edge * -width * 0.1])
        at = shifted[len(shifted) // 2]
        paint = scene.lit(
            float(at[0]), float(at[1]), mixed(BARK, INK, 0.5), mixed(MIST, BARK, 0.45), edge * 1.5
        )
        piece = shifted[int(scene.rng.integers(0, 6)) : len(shifted) - int(scene.rng.integers(0, 6))]
        scene.fill(ribbon(piece, [0.4, min(1.8, width * 0.12), 0.4]), paint)
    tips.extend(course[2:])
    if depth == 0:
        return
    for lean in (-0.62, 0.08, 0.66) if depth > 1 else (-0.5, 0.45):
        _limb(
            scene,
            (x, y),
            turn + lean + scene.rng.normal(0, 0.12),
            length * scene.rng.uniform(0.62, 0.78),
            width * 0.6,
            tips,
            depth - 1,
        )


def _bark(scene: Scene, trunk: Points, widths: list[float], unit: float) -> None:
    """Ridges that run up the trunk: moonlit on the right, warm under the lamps."""
    share = np.linspace(0, 1, len(trunk))
    half = np.interp(share, np.linspace(0, 1, len(widths)), widths) / 2
    for _ in range(150):
        edge = float(scene.rng.uniform(-0.94, 0.94))
        wave = np.sin(share * scene.rng.uniform(7, 15) + scene.rng.uniform(0, 6)) * unit * 0.004
        ridge = trunk + np.column_stack([edge * half + wave, np.zeros(len(trunk))])
        start = int(scene.rng.integers(0, len(trunk) - 9))
        stop = min(len(trunk) - int(scene.rng.integers(0, 9)), start + int(scene.rng.integers(7, 26)))
        if stop - start < 4:
            continue
        x, y = ridge[(start + stop) // 2]
        facing = 0.08 + 0.62 * max(0.0, edge) ** 1.6 + scene.rng.normal(0, 0.07)
        paint = scene.lit(float(x), float(y), mixed(BARK, INK, 0.5), mixed(MIST, BARK, 0.3), facing)
        if scene.rng.random() < 0.34:
            paint = mixed(BARK, INK, 0.92)
        scene.fill(ribbon(ridge[start:stop], [0.3, unit * scene.rng.uniform(0.0022, 0.0046), 0.3]), paint)


def _foliage(scene: Scene, tips: list[tuple[float, float]], unit: float) -> None:
    dark, pale = mixed(DEEP_MOSS, INK, 0.58), mixed(SAGE, MIST, 0.25)
    leaves = []
    for layer in range(3):
        for x, y in tips:
            for _ in range(13):
                px, py = x + scene.rng.normal(0, unit * 0.031), y + scene.rng.normal(0, unit * 0.026)
                leaves.append((layer, px, py, scene.rng.uniform(0, math.tau)))
    for layer, px, py, turn in leaves:
        facing = (-0.25, 0.12, 0.42)[layer] + scene.rng.normal(0, 0.17) + 0.18 * math.cos(turn - 0.8)
        size = unit * scene.rng.uniform(0.017, 0.027)
        shape = _leaf_shape(px, py, size, turn)
        scene.fill(shape, scene.lit(px, py, dark, pale, facing))
        if layer == 2:
            rib = np.array([shape[0], shape[5]])
            scene.fill(ribbon(rib, 0.9), dark)
    for at in scene.rng.choice(len(tips), min(len(tips), 54), replace=False):
        x, y = tips[int(at)]
        _fruit_dot(
            scene,
            x + scene.rng.normal(0, unit * 0.02),
            y + scene.rng.uniform(0, unit * 0.035),
            unit * scene.rng.uniform(0.0095, 0.0125),
        )


def _fruit_dot(scene: Scene, x: float, y: float, radius: float) -> None:
    turn = np.linspace(0, math.tau, 18, endpoint=False)
    dip = 1 - 0.2 * np.exp(-((np.mod(turn + math.pi / 2 + math.pi, math.tau) - math.pi) ** 2) * 5)
    body = np.column_stack([np.cos(turn) * 1.06, np.sin(turn)]) * dip[:, None]
    warmth = max(
        (math.exp(-((math.hypot(x - lx, y - ly) / reach) ** 2) * 0.8) for lx, ly, reach in scene.lamps),
        default=0,
    )
    paint = mixed(mixed(RUSSET, MIDNIGHT, 0.22), mixed(BLUSH, AMBER, 0.45), min(1, 0.2 + warmth))
    scene.fill(body * radius * 1.2 + (x, y), mixed(INK, DEEP_RUSSET, 0.25))
    scene.fill(body * radius + (x, y), mixed(paint, DEEP_RUSSET, 0.45))
    scene.fill(body * radius * 0.8 + (x + radius * 0.1, y - radius * 0.1), paint)
    scene.fill(body * radius * 0.28 + (x + radius * 0.36, y - radius * 0.36), mixed(paint, GLOW, 0.7))
    if radius > 5:
        stem = [
            (x, y - radius * 0.62),
            (x + radius * 0.1, y - radius * 1.1),
            (x + radius * 0.32, y - radius * 1.5),
        ]
        scene.fill(ribbon(smooth(stem, steps=4), radius * 0.2), mixed(BARK, INK, 0.6))


def _leaf_shape(x: float, y: float, length: float, turn: float) -> Points:
    share = np.linspace(0, 1, 6)
    half = np.sin(share * math.pi) * 0.24
    outline = np.vstack([np.column_stack([share, half]), np.column_stack([share, -half])[::-1]]) - (0.5, 0)
    cos, sin = math.cos(turn), math.sin(turn)
    return outline @ np.array([[cos, sin], [-sin, cos]]) * length + (x, y)
