"""Smooth random fields: the unevenness of paper, ink and hand."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

Field = NDArray[np.float32]


def clouds(height: int, width: int, cell: float, rng: np.random.Generator) -> Field:
    """Make a smooth random field.

    Parameters
    ----------
    height, width
        Size of the field in pixels.
    cell
        Distance in pixels over which the field changes.
    rng
        Source of the numbers.

    Returns
    -------
    Field
        float32, shape (height, width), mean about 0, mostly within -1 to 1.
    """
    rows, columns = int(height / cell) + 4, int(width / cell) + 4
    grid = rng.standard_normal((rows, columns)).astype(np.float32) * 0.6
    full = cv2.resize(grid, (int(columns * cell) + 1, int(rows * cell) + 1), interpolation=cv2.INTER_CUBIC)
    top, left = int(cell), int(cell)
    return np.ascontiguousarray(full[top : top + height, left : left + width])


def layered_clouds(
    height: int, width: int, cell: float, rng: np.random.Generator, layers: int = 4, fall: float = 0.55
) -> Field:
    """Add fields of ever smaller cells, each weaker than the one before.

    Parameters
    ----------
    height, width
        Size of the field in pixels.
    cell
        Cell of the largest layer in pixels; each further layer has half of it.
    rng
        Source of the numbers.
    layers
        How many layers.
    fall
        Strength of each layer as a share of the one before.
    """
    total = np.zeros((height, width), np.float32)
    strength, norm = 1.0, 0.0
    for _ in range(layers):
        total += strength * clouds(height, width, max(cell, 1.5), rng)
        norm += strength
        strength *= fall
        cell /= 2
    return total / np.float32(norm**0.7)


def smoothstep(low: float, high: float, value: Field) -> Field:
    """Rise smoothly from 0 at `low` to 1 at `high`."""
    share = np.clip((value - low) / (high - low), 0, 1)
    return (share * share * (3 - 2 * share)).astype(np.float32)
