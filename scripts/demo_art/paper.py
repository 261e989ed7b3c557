"""Paper: colour, cloudiness, fibres, foxing, grain, and what use does to an edge."""

from __future__ import annotations

import math

import cv2
import numpy as np
from numpy.typing import NDArray

from .curves import Points, resampled, smooth
from .engraving import SHIFT
from .noise import Field, clouds, layered_clouds, smoothstep
from .palette import BARK, Colour

Picture = NDArray[np.float32]


def sheet_of_paper(
    width: int,
    height: int,
    paint: Colour,
    rng: np.random.Generator,
    *,
    age: float = 1.0,
    foxing: int = 0,
    grain: float = 1.0,
) -> Picture:
    """Make a piece of paper.

    Parameters
    ----------
    width, height
        Size in pixels.
    paint
        Its colour.
    rng
        Source of the randomness.
    age
        Strength of clouding; 0 is new paper.
    foxing
        How many rust spots.
    grain
        Strength of the fine grain and fibres.

    Returns
    -------
    Picture
        float32, shape (height, width, 3).
    """
    cloud = layered_clouds(height, width, max(width, height) / 3, rng, layers=5, fall=0.62)
    warm = clouds(height, width, max(width, height) / 2.2, rng)
    base = np.array(paint, np.float32)
    rgb = base * (1 + 0.035 * age * cloud)[..., None]
    rgb *= 1 + (warm * 0.018 * age)[..., None] * np.array([0.4, 0.0, -1.2], np.float32)
    fine = cv2.GaussianBlur(rng.standard_normal((height, width)).astype(np.float32), (0, 0), 1.1) * 3.2
    rgb *= 1 + (fine * 0.0075 * grain)[..., None]
    _add_fibres(rgb, rng, int(width * height / 9000 * grain))
    for _ in range(foxing):
        _add_fox_mark(rgb, rng)
    return rgb


def _add_fibres(rgb: Picture, rng: np.random.Generator, count: int) -> None:
    height, width = rgb.shape[:2]
    layer = np.zeros((height, width), np.uint8)
    light = np.zeros((height, width), np.uint8)
    for at in range(count):
        x, y = rng.uniform(0, width), rng.uniform(0, height)
        turn, bend = rng.uniform(0, math.tau), rng.normal(0, 0.5)
        steps = np.linspace(0, rng.uniform(8, 34), 6)
        course = np.column_stack(
            [x + steps * np.cos(turn + bend * steps / 25), y + steps * np.sin(turn + bend * steps / 25)]
        )
        target = layer if at % 2 else light
        cv2.polylines(
            target,
            [np.round(course * 16).astype(np.int32)],
            False,
            int(rng.uniform(50, 200)),
            1,
            cv2.LINE_AA,
            SHIFT,
        )
    rgb *= 1 - 0.075 * (layer.astype(np.float32) / 255)[..., None]
    rgb += (1 - rgb) * 0.16 * (light.astype(np.float32) / 255)[..., None]


def _add_fox_mark(rgb: Picture, rng: np.random.Generator) -> None:
    height, width = rgb.shape[:2]
    size = float(rng.gamma(2.0, 3.2) + 3)
    x, y = rng.uniform(0, width), rng.uniform(0, height)
    reach = int(size * 3)
    x0, y0, x1, y1 = (
        int(v) for v in (max(x - reach, 0), max(y - reach, 0), min(x + reach, width), min(y + reach, height))
    )
    if x1 - x0 < 4 or y1 - y0 < 4:
        return
    rows, columns = np.mgrid[y0:y1, x0:x1].astype(np.float32)
    rough = 1 + 0.3 * clouds(y1 - y0, x1 - x0, max(size * 0.8, 2), rng)
    away = np.hypot(columns - x, rows - y) / size * rough
    mark = smoothstep(1.5, 0.2, away.astype(np.float32)) * rng.uniform(0.12, 0.4)
    rgb[y0:y1, x0:x1] *= 1 - mark[..., None] * np.array([0.18, 0.38, 0.6], np.float32)


def tea_ring(
    rgb: Picture, x: float, y: float, radius: float, rng: np.random.Generator, strength: float = 0.2
) -> None:
    """Leave the ring of a cup on the paper."""
    height, width = rgb.shape[:2]
    rows, columns = np.mgrid[0:height, 0:width].astype(np.float32)
    away = np.hypot(columns - x, (rows - y) * 1.03)
    rough = clouds(height, width, 60, rng) * 7 + clouds(height, width, 14, rng) * 1.2
    rim = smoothstep(17, 2, np.abs(away - radius + rough))
    inside = smoothstep(radius + 6, radius - 14, away + rough) * 0.14
    broken = np.clip(0.62 + 0.6 * clouds(height, width, 150, rng), 0.05, 1)
    stain = (rim * broken + inside)[..., None] * strength
    rgb *= 1 - stain * np.array([0.32, 0.55, 0.85], np.float32)


def worn_mask(width: int, height: int, outline: Points, holes: list[Points] | None = None) -> Field:
    """Cover of an outline on a tile, smooth at its edge.

    Parameters
    ----------
    width, height
        Size of the tile in pixels.
    outline
        The trim in tile pixels.
    holes
        Outlines of what is punched out.

    Returns
    -------
    Field
        float32, shape (height, width), 0 to 1.
    """
    fine = 4
    canvas = np.zeros((height * fine, width * fine), np.uint8)
    shapes = [
        np.round(np.asarray(p) * fine * (1 << SHIFT) - (1 << (SHIFT - 1))).astype(np.int32)
        for p in [outline, *(holes or [])]
    ]
    cv2.fillPoly(canvas, shapes, 255, cv2.LINE_8, SHIFT)
    return cv2.resize(canvas, (width, height), interpolation=cv2.INTER_AREA).astype(np.float32) / 255


def age_edges(
    rgb: Picture,
    mask: Field,
    rng: np.random.Generator,
    depth: float = 26.0,
    strength: float = 0.3,
    stain: Colour = BARK,
) -> None:
    """Darken a piece towards its edges, unevenly, as handling does.

    Parameters
    ----------
    rgb
        The piece; changed in place.
    mask
        Its cover.
    rng
        Source of the unevenness.
    depth
        How far the darkening reaches, in pixels.
    strength
        How dark it gets.
    stain
        Its colour.
    """
    inside = (np.pad(mask, 1) > 0.5).astype(np.uint8)
    away = cv2.distanceTransform(inside, cv2.DIST_L2, 5)[1:-1, 1:-1]
    height, width = mask.shape
    reach = depth * np.clip(1 + 0.75 * layered_clouds(height, width, 170, rng, 4), 0.25, 3)
    amount = np.exp(-away / reach) * strength * np.clip(1 + 0.4 * clouds(height, width, 90, rng), 0.3, 2)
    amount += np.exp(-away / 2.2) * strength * 0.55
    share = np.clip(amount, 0, 0.9)[..., None]
    rgb *= 1 - share * (1 - np.array(stain, np.float32))


def deckled(outline: Points, rng: np.random.Generator, rough: float = 2.2) -> Points:
    """Roughen an outline as a torn or well-used edge.

    Parameters
    ----------
    outline
        Closed outline in pixels, running clockwise.
    rng
        Source of the roughness.
    rough
        Typical depth of the roughness in pixels.
    """
    course = resampled(outline, 4.0, closed=True)
    count = len(course)
    broad = np.interp(
        np.arange(count), np.linspace(0, count, max(4, count // 22)), rng.standard_normal(max(4, count // 22))
    )
    fine = rng.standard_normal(count) * 0.45
    push = (broad + np.convolve(np.pad(fine, 1, "wrap"), [0.25, 0.5, 0.25], "valid")) * rough
    fade = np.minimum(1, np.minimum(np.arange(count), count - np.arange(count)) / 12)
    middle = course.mean(axis=0)
    along = np.roll(course, -1, axis=0) - np.roll(course, 1, axis=0)
    across = np.column_stack([-along[:, 1], along[:, 0]])
    across /= np.maximum(np.hypot(across[:, 0], across[:, 1]), 1e-9)[:, None]
    toward = np.sign(np.sum(across * (middle - course), axis=1, keepdims=True))
    return course + across * toward * (np.abs(push) * fade)[:, None]


def worn_corners(width: float, height: float, radius: float = 9.0, inset: float = 0.0) -> Points:
    """Give a rectangle whose corners are a little rounded by wear, clockwise from the top left."""
    a, b, c, d = inset, inset, width - inset, height - inset
    r = radius
    corners = []
    for x, y, start in ((a + r, b + r, 180), (c - r, b + r, 270), (c - r, d - r, 0), (a + r, d - r, 90)):
        turn = np.radians(np.linspace(start, start + 90, 7))
        corners.append(np.column_stack([x + r * np.cos(turn), y + r * np.sin(turn)]))
    return np.vstack(corners)


def clipped_corners(width: float, height: float, cut: float) -> Points:
    """Give a tag's outline: the two upper corners cut off."""
    return np.array(
        [(cut, 0), (width - cut, 0), (width, cut), (width, height), (0, height), (0, cut)], np.float64
    )


def perforated(width: float, height: float, pitch: float = 26.0, bite: float = 8.0) -> Points:
    """Give the outline of a perforated stamp: half round bites along four sides.

    Parameters
    ----------
    width, height
        Size over the tips of the teeth, in pixels.
    pitch
        About how far the holes are apart; rounded so that they divide each side.
    bite
        Radius of a hole.
    """
    points: list[tuple[float, float]] = []
    for (x0, y0), (x1, y1) in zip(
        [(0, 0), (width, 0), (width, height), (0, height)],
        [(width, 0), (width, height), (0, height), (0, 0)],
        strict=True,
    ):
        length = math.hypot(x1 - x0, y1 - y0)
        ux, uy = (x1 - x0) / length, (y1 - y0) / length
        count = round(length / pitch)
        points.append((x0, y0))
        for hole in range(count):
            middle = (hole + 0.5) * length / count
            for turn in np.linspace(math.pi, 0, 9):
                along, deep = middle + bite * math.cos(turn), bite * math.sin(turn)
                points.append((x0 + ux * along - uy * deep, y0 + uy * along + ux * deep))
    return np.array(points)


def ring(x: float, y: float, radius: float) -> Points:
    """Give a circle's outline."""
    turn = np.linspace(0, math.tau, 48, endpoint=False)
    return smooth(
        np.column_stack([x + radius * np.cos(turn), y + radius * np.sin(turn)]), closed=True, steps=2
    )
