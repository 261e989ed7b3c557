"""Draws an artwork as a renderer would: patch after patch, each clipped; written apart from kitprep's own."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.pages import Affine
from kitprep.piece.artwork import Artwork

FINER = 2  # drawn this many times finer and reduced, so that seams show as they do on a screen


def rasterise(
    artwork: Artwork, page: NDArray[np.uint8], ppi: float, ground: tuple[int, int, int] = (255, 255, 255)
) -> NDArray[np.uint8]:
    """Trim and bleed on a ground colour: uint8, shape (rows, cols, 3)."""
    past = artwork.bleed.points
    scale = ppi / 72 * FINER
    wide = round((artwork.trim.width.points + 2 * past) * scale)
    high = round((artwork.trim.height.points + 2 * past) * scale)
    canvas = np.full((high, wide, 3), ground, np.float32)
    to_canvas = Affine(scale, 0, 0, scale, past * scale, past * scale)
    for patch in artwork.patches:
        _paint(canvas, page, patch.matrix.then(to_canvas), _pixels(patch.clip, scale, past))
    if artwork.made is not None:
        left, top, right, bottom = artwork.made.place
        rows, cols = artwork.made.pixels.shape[:2]
        matrix = Affine((right - left) / cols, 0, 0, (bottom - top) / rows, left, top).then(to_canvas)
        _paint(canvas, artwork.made.pixels, matrix, _pixels(artwork.made.place, scale, past))
    size = wide // FINER, high // FINER
    return np.rint(cv2.resize(canvas, size, interpolation=cv2.INTER_AREA)).astype(np.uint8)


def _pixels(clip: tuple[float, float, float, float], scale: float, past: float) -> tuple[int, int, int, int]:
    left, top, right, bottom = (max(round((edge + past) * scale), 0) for edge in clip)
    return left, top, right, bottom


def _paint(
    canvas: NDArray[np.float32], picture: NDArray[np.uint8], matrix: Affine, clip: tuple[int, int, int, int]
) -> None:
    middles = Affine(1, 0, 0, 1, 0.5, 0.5).then(matrix).then(Affine(1, 0, 0, 1, -0.5, -0.5))
    turned = cv2.warpAffine(
        picture.astype(np.float32),
        np.array([[middles.a, middles.c, middles.e], [middles.b, middles.d, middles.f]]),
        canvas.shape[1::-1],
        flags=cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_CONSTANT,
        borderValue=(255, 0, 255, 0),
    )
    left, top, right, bottom = clip
    part = turned[top:bottom, left:right]
    opacity = part[..., 3:] / 255 if part.shape[2] == 4 else 1.0
    below = canvas[top:bottom, left:right]
    canvas[top:bottom, left:right] = part[..., :3] * opacity + below * (1 - opacity)
