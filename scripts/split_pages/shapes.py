"""Edges with soft steps: polygons, ellipses, rounded rectangles as masks of uint8, 0 to 255."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
Mask = NDArray[Any]

FINER = 4  # sub-pixels to the pixel


def filled(width: int, height: int, polygons: Sequence[Points], holes: Sequence[Points] = ()) -> Mask:
    """Polygons filled, then holes cut, each pixel covered by its share; (0, 0) is the mask's corner."""
    mask = np.zeros((height * FINER, width * FINER), np.uint8)
    for shade, shapes in ((255, polygons), (0, holes)):
        for shape in shapes:
            cv2.fillPoly(mask, [np.round(shape * FINER - 0.5).astype(np.int32)], shade)
    return cv2.resize(mask, (width, height), interpolation=cv2.INTER_AREA)


def ellipse(x: float, y: float, across: float, down: float, count: int = 160) -> Points:
    """An ellipse by its middle and half-axes."""
    turn = np.linspace(0, 2 * np.pi, count, endpoint=False)
    return np.column_stack([x + across * np.cos(turn), y + down * np.sin(turn)])


def rectangle(width: float, height: float, inset: float = 0.0) -> Points:
    """A rectangle from the origin, drawn in on every side by `inset`."""
    right, bottom = width - inset, height - inset
    return np.array([(inset, inset), (right, inset), (right, bottom), (inset, bottom)], float)


def rounded(width: float, height: float, radius: float, inset: float = 0.0) -> Points:
    """The same with quarter circles at its corners."""
    quarter = np.linspace(0, np.pi / 2, 24)
    middles = ((width - inset - radius, height - inset - radius), (inset + radius, height - inset - radius),
               (inset + radius, inset + radius), (width - inset - radius, inset + radius))  # fmt: skip
    arcs = [
        np.column_stack(
            [x + radius * np.cos(quarter + k * np.pi / 2), y + radius * np.sin(quarter + k * np.pi / 2)]
        )
        for k, (x, y) in enumerate(middles)
    ]
    return np.concatenate(arcs)


def scalloped(width: float, height: float, lobes: int, depth: float) -> Points:
    """A round with a waved edge that fits its box."""
    turn = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    reach = 1 + depth * np.cos(lobes * turn)
    points = np.column_stack([reach * np.cos(turn), reach * np.sin(turn)])
    points -= points.min(0)
    return points / points.max(0) * (width, height)


def teeth(width: float, height: float, pitch: float, radius: float) -> list[Points]:
    """The punched holes along a stamp's four sides."""
    across, down = max(3, round(width / pitch)), max(3, round(height / pitch))
    places = [(i * width / across, y) for i in range(across + 1) for y in (0.0, height)]
    places += [(x, j * height / down) for j in range(1, down) for x in (0.0, width)]
    return [ellipse(x, y, radius, radius, 24) for x, y in places]
