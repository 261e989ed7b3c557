"""The night orchard: hills, rows of trees, lanterns in the branches.

Painted from the back to the front with leaf-shaped dabs of colour; the lamps' glow is added as light.
"""

from __future__ import annotations

import math

import cv2
import numpy as np

from .curves import Frame, ribbon, smooth
from .engraving import SHIFT, Plate
from .lantern import lantern
from .lettering import print_plate
from .night_sky import sky
from .noise import smoothstep
from .orchard_things import basket, ladder
from .palette import (
    AMBER,
    BARK,
    DEEP_MOSS,
    DUSK,
    GLOW,
    INK,
    IVORY,
    MIDNIGHT,
    MIST,
    MOSS,
    QUINCE,
    SAGE,
    STRAW,
    mixed,
)
from .paper import Picture
from .scene import FINE, Composition, Scene
from .trees import dab_tree, near_tree, shadow
from .winged import GHOST_MOTH, moth

WHOLE_SCENE = Composition()


def night_orchard(width: int, height: int, seed: int, composition: Composition = WHOLE_SCENE) -> Picture:
    """Paint the orchard at night.

    Parameters
    ----------
    width, height
        Printed size in pixels.
    seed
        Seed of its random numbers.
    composition
        Where moon and lanterns hang, and what stands on the ground.

    Returns
    -------
    Picture
        float32, shape (height, width, 3).
    """
    rng = np.random.default_rng(seed)
    unit = min(width, height * 0.77)
    horizon = height * 0.60
    scene = Scene(width, height, rng, (width * composition.moon[0], height * composition.moon[1], unit * 0.1))
    trunk = (width * 0.2, height * 0.93)
    hooks = [(width * x, height * y) for x, y in composition.hooks]
    scene.lamps = [(x, y + unit * 0.085, unit * 0.2) for x, y in hooks]
    ground_lamp = (width * 0.565, height * 0.925 - unit * 0.09)
    if composition.on_the_ground:
        scene.lamps.append((*ground_lamp, unit * 0.27))
    scene.canvas = sky(scene, horizon)
    _hills(scene, horizon, unit)
    _ground(scene, horizon, unit)
    _rows_of_trees(scene, horizon, unit)
    near_tree(scene, trunk, unit, hooks)
    rgb = cv2.resize(scene.canvas, (width, height), interpolation=cv2.INTER_AREA).astype(np.float32) / 255
    rgb = _glow(rgb, scene)
    if composition.on_the_ground:
        _stand_things(rgb, scene, trunk, unit)
    _hang_lanterns(rgb, scene, unit, hooks)
    _grass(rgb, scene, unit)
    return _darkened_edges(rgb)


def _hills(scene: Scene, horizon: float, unit: float) -> None:
    for layer, (lift, paint, pale) in enumerate(
        (
            (0.125, mixed(DUSK, MIST, 0.12), MIST),
            (0.075, mixed(MIDNIGHT, DUSK, 0.62), DUSK),
            (0.03, mixed(MIDNIGHT, DEEP_MOSS, 0.35), SAGE),
        )
    ):
        x = np.linspace(-10, scene.width + 10, 60)
        rise = (
            np.sin(x / unit * (3.1 + layer) + layer * 1.9) * 0.032
            + np.sin(x / unit * 7.3 + layer * 2.7) * 0.011
        )
        top = horizon - (lift + rise) * unit
        self_line = np.column_stack([x, top])
        scene.fill(np.vstack([self_line, [(scene.width + 10, scene.height), (-10, scene.height)]]), paint)
        for down in np.arange(0.004, 0.11, 0.0065):
            ripple = top + down * unit * (1 + 0.35 * np.sin(x / unit * 4 + layer))
            share = max(0.0, 0.32 - down * 2.6)
            course = np.column_stack([x, ripple]) * FINE * 16
            tone = [round(c * 255) for c in mixed(paint, pale, share)]
            cv2.polylines(
                scene.canvas, [np.round(course).astype(np.int32)], False, tone, 2, cv2.LINE_AA, SHIFT
            )
        for at in np.arange(10, scene.width, unit * 0.028):
            y = float(np.interp(at, x, top)) + unit * 0.004
            if scene.rng.random() < 0.55:
                dab_tree(
                    scene,
                    at + scene.rng.normal(0, 3),
                    y,
                    unit * (0.013 + 0.007 * layer),
                    26,
                    mixed(paint, INK, 0.45),
                    mixed(paint, pale, 0.3),
                )


def _ground(scene: Scene, horizon: float, unit: float) -> None:
    near = np.array(mixed(DEEP_MOSS, MIDNIGHT, 0.55)) * 0.72
    far = np.array(mixed(MIDNIGHT, MOSS, 0.36))
    top = int((horizon - unit * 0.004) * FINE)
    for row in range(top, scene.height * FINE):
        share = (row - top) / (scene.height * FINE - top)
        scene.canvas[row] = np.round((far + (near - far) * share**0.7) * 255)
    path = []
    for side in (-1, 1):
        for share in np.linspace(0, 1, 24)[::side]:
            y = horizon + (scene.height - horizon + 20) * share**1.6
            middle = scene.width * (0.56 + 0.05 * math.sin(share * 5.2) + 0.1 * share)
            path.append((middle - side * unit * (0.008 + 0.15 * share**1.5), y))
    scene.fill(np.array(path), mixed(mixed(BARK, STRAW, 0.15), MIDNIGHT, 0.45))
    for _ in range(int(scene.width * scene.height / 380)):
        share = scene.rng.random() ** 1.4
        y = horizon + (scene.height - horizon) * share
        x = scene.rng.uniform(0, scene.width)
        length = unit * (0.004 + 0.022 * share)
        lean = scene.rng.normal(0, 0.28)
        paint = scene.lit(x, y, mixed(DEEP_MOSS, INK, 0.3), SAGE, float(scene.rng.random() ** 3 * 0.6))
        blade = np.array([(x - length * 0.06, y), (x + lean * length, y - length), (x + length * 0.06, y)])
        scene.fill(blade, paint)


def _rows_of_trees(scene: Scene, horizon: float, unit: float) -> None:
    trees = []
    for rank in range(7):
        share = (rank + 0.6) / 7.6
        depth = share**1.9
        y = horizon + (scene.height - horizon) * (0.02 + 0.56 * depth)
        size = unit * (0.026 + 0.115 * depth)
        spread = unit * (0.075 + 0.42 * depth)
        for side in range(-7, 8):
            x = scene.width * (0.55 + 0.06 * depth) + (side + 0.5) * spread
            if -size < x < scene.width + size:
                trees.append(
                    (y + scene.rng.normal(0, size * 0.05), x + scene.rng.normal(0, size * 0.1), size, depth)
                )
    for y, x, size, depth in sorted(trees):
        dark = mixed(mixed(MIDNIGHT, DUSK, 0.35), mixed(DEEP_MOSS, INK, 0.5), min(1, 0.25 + depth))
        pale = mixed(mixed(DUSK, MIST, 0.4), mixed(SAGE, MIST, 0.25), min(1, depth + 0.2))
        shadow(scene, x - size * 0.25, y, size, depth)
        dab_tree(scene, x, y, size, int(70 + 620 * depth), dark, pale, int(5 + 22 * depth))


def _stand_things(rgb: Picture, scene: Scene, foot: tuple[float, float], unit: float) -> None:
    """Stand ladder, basket and a lantern on the ground."""
    seed = int(scene.rng.integers(1, 9999))
    size = unit * 0.62
    plate = Plate(int(size * 0.62), int(size * 1.06), seed, INK)
    ladder(plate, Frame(plate.width * 0.46, plate.height * 0.5, size, 7), 4.4, 8)
    pulled = plate.printed()
    pulled[..., :3] *= np.array([0.62, 0.56, 0.52], np.float32)
    print_plate(rgb, pulled, int(foot[0] + unit * 0.02), int(foot[1] - size * 0.99), opaque=True)
    wide = unit * 0.2
    plate = Plate(int(wide * 1.16), int(wide * 1.08), seed + 1, INK)
    basket(plate, Frame(plate.width / 2, plate.height * 0.52, wide), 3.6)
    pulled = plate.printed()
    pulled[..., :3] *= np.array([0.86, 0.78, 0.7], np.float32)
    print_plate(rgb, pulled, int(foot[0] + unit * 0.5), int(foot[1] - wide * 0.9), opaque=True)
    size = unit * 0.2
    plate = Plate(int(size * 0.62), int(size * 1.12), seed + 30, INK)
    lantern(plate, Frame(plate.width / 2, plate.height * 0.52, size), 3.8)
    x, y, _ = scene.lamps[-1]
    print_plate(
        rgb,
        _darker_metal(plate.printed(0.1)),
        int(x - plate.width / 2),
        int(y - plate.height * 0.5),
        opaque=True,
    )
    _bloom(rgb, x, y, size * 0.5)
    _small_moth(rgb, x + size * 0.62, y - size * 0.5, size * 0.19, 30, seed + 31)


def _hang_lanterns(rgb: Picture, scene: Scene, unit: float, hooks: list[tuple[float, float]]) -> None:
    """Hang a lantern from each hook, moths about it."""
    seed = int(scene.rng.integers(1, 9999))
    for at, (x, y) in enumerate(hooks):
        size = unit * (0.17, 0.145, 0.13)[at]
        plate = Plate(int(size * 0.62), int(size * 1.12), seed + at, INK)
        lantern(plate, Frame(plate.width / 2, plate.height * 0.52, size), 3.6)
        cord = [(int(x), int(y - unit * 0.04)), (int(x), int(y + size * 0.06))]
        cv2.line(rgb, *cord, mixed(INK, BARK, 0.4), 2, cv2.LINE_AA)
        print_plate(rgb, _darker_metal(plate.printed(0.1)), int(x - plate.width / 2), int(y), opaque=True)
        _bloom(rgb, x, y + size * 0.5, size * 0.5)
        for turn, out in ((0.5, 0.62), (2.3, 0.8), (4.0, 0.7))[: 3 - at]:
            place = (x + math.cos(turn) * out * size, y + size * (0.5 + 0.55 * math.sin(turn)))
            _small_moth(rgb, *place, size * 0.19, turn * 57, seed + 20 + at)


def _darker_metal(pulled: Picture) -> Picture:
    """Darken a pulled lantern's tin for the night, but not its flame."""
    bright, warm = pulled[..., :3].mean(axis=-1), pulled[..., 0] - pulled[..., 2]
    metal = (smoothstep(0.66, 0.5, bright) * smoothstep(0.3, 0.12, warm))[..., None]
    pulled[..., :3] *= 1 - metal * np.array([0.16, 0.24, 0.34], np.float32)
    return pulled


def _bloom(rgb: Picture, x: float, y: float, reach: float) -> None:
    """Let a flame dazzle a little."""
    x0, y0 = max(int(x - reach * 3), 0), max(int(y - reach * 3), 0)
    x1, y1 = min(int(x + reach * 3), rgb.shape[1]), min(int(y + reach * 3), rgb.shape[0])
    rows, columns = np.mgrid[y0:y1, x0:x1].astype(np.float32)
    light = 0.62 * np.exp(-((np.hypot(columns - x, rows - y) / reach) ** 2) * 3.4)
    light += 0.2 * np.exp(-((np.hypot(columns - x, rows - y) / reach) ** 2) * 0.7)
    rgb[y0:y1, x0:x1] = 1 - (1 - rgb[y0:y1, x0:x1]) * (
        1 - light[..., None] * np.array(mixed(AMBER, GLOW, 0.35), np.float32)
    )


def _small_moth(rgb: Picture, x: float, y: float, size: float, angle: float, seed: int) -> None:
    side = int(size * 2) + 8
    plate = Plate(side, side, seed, mixed(BARK, INK, 0.5))
    moth(plate, Frame(side / 2, side / 2, size, angle), GHOST_MOTH, 2.2)
    print_plate(rgb, plate.printed(0.1), int(x - side / 2), int(y - side / 2), opaque=True)


def _grass(rgb: Picture, scene: Scene, unit: float) -> None:
    layer = np.round(np.clip(rgb, 0, 1) * 255).astype(np.uint8)
    for _ in range(int(scene.width / 1.6)):
        x = scene.rng.uniform(0, scene.width)
        y = scene.height + scene.rng.uniform(-0.03, 0.03) * unit
        length = unit * scene.rng.uniform(0.03, 0.09)
        lean = scene.rng.normal(0, 0.3)
        stem = smooth(
            [(x, y), (x + lean * length * 0.3, y - length * 0.55), (x + lean * length, y - length)], steps=5
        )
        paint = scene.lit(
            x, y - length, mixed(DEEP_MOSS, INK, 0.5), SAGE, float(scene.rng.random() ** 2 * 0.55)
        )
        shape = ribbon(stem, [length * 0.07, length * 0.05, 0.4])
        cv2.fillPoly(
            layer,
            [np.round(shape * 16).astype(np.int32)],
            [round(c * 255) for c in paint],
            cv2.LINE_AA,
            SHIFT,
        )
    rgb[:] = layer.astype(np.float32) / 255


def _glow(rgb: Picture, scene: Scene) -> Picture:
    y, x = np.mgrid[0 : scene.height, 0 : scene.width].astype(np.float32)
    for lx, ly, reach in scene.lamps:
        away = np.hypot(x - lx, y - ly) / reach
        light = 0.42 * np.exp(-((away * 1.5) ** 2)) + 0.16 * np.exp(-away * 1.7)
        rgb = 1 - (1 - rgb) * (
            1 - light[..., None] * np.array(AMBER, np.float32) * np.array([1, 0.82, 0.55], np.float32)
        )
    away = np.hypot(x - scene.moon[0], y - scene.moon[1]) / scene.moon[2]
    halo = 0.2 * np.exp(-np.maximum(away - 1, 0) * 1.5)
    rgb = 1 - (1 - rgb) * (1 - halo[..., None] * np.array(mixed(IVORY, QUINCE, 0.25), np.float32))
    return rgb.astype(np.float32)


def _darkened_edges(rgb: Picture) -> Picture:
    height, width = rgb.shape[:2]
    y, x = np.mgrid[0:height, 0:width].astype(np.float32)
    edge = np.minimum(np.minimum(x, width - x), np.minimum(y, height - y)) / (0.22 * width)
    return (rgb * (0.78 + 0.22 * np.clip(edge, 0, 1) ** 0.6)[..., None]).astype(np.float32)
