"""Patterns that papers are printed with: uint8, shape (height, width, 3)."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from .studio import Pixels, Studio

Field = NDArray[Any]

LEAST_CONTRAST = 40


def paper(studio: Studio, width: int, height: int) -> Pixels:
    """Any pattern, photograph, texture, plain or graded colour."""
    return _of_kind(studio, studio.one_of("photograph", "texture", "plain", *_SHARES), width, height)


def printed_paper(studio: Studio, width: int, height: int) -> Pixels:
    """A pattern that nobody takes for an empty page."""
    return _of_kind(studio, studio.one_of("stripes", "gingham", "dots", "zigzag"), width, height)


def _of_kind(studio: Studio, kind: str, width: int, height: int) -> Pixels:
    if kind == "photograph":
        return studio.photograph(width, height)
    first, second = _two_colours(studio)
    if kind == "texture":
        return np.clip(studio.texture(width, height) / 255 * first * 1.3 + 30, 0, 255).astype(np.uint8)
    share = np.zeros((height, width), np.float32) if kind == "plain" else _SHARES[kind](studio, width, height)
    grain = studio.rng.standard_normal((height, width, 1), np.float32) * np.float32(studio.rng.uniform(0, 3))
    share = share[..., None]
    return np.clip(first * (1 - share) + second * share + grain, 0, 255).astype(np.uint8)


def _two_colours(studio: Studio) -> tuple[Field, Field]:
    first = np.array(studio.colour(60, 250), np.float32)
    second = np.array(studio.colour(60, 250), np.float32)
    if np.abs(first - second).max() < LEAST_CONTRAST:
        second = (first + 90) % 256
    return first, second


def _grid(width: int, height: int) -> tuple[Field, Field]:
    return (
        np.arange(width, dtype=np.float32)[None, :],
        np.arange(height, dtype=np.float32)[:, None],
    )


def _stripes(studio: Studio, width: int, height: int) -> Field:
    x, y = _grid(width, height)
    turn = np.radians(studio.one_of(0, 90, 45))
    along = (x * np.cos(turn) + y * np.sin(turn)).astype(np.float32)
    wide = studio.rng.uniform(0.3, 0.7)
    return (along / studio.rng.uniform(30, 140) % 1 < wide).astype(np.float32)


def _gingham(studio: Studio, width: int, height: int) -> Field:
    x, y = _grid(width, height)
    check = studio.rng.uniform(40, 150)
    return ((x / check % 1 < 0.5) * 0.5 + (y / check % 1 < 0.5) * 0.5).astype(np.float32)


def _dots(studio: Studio, width: int, height: int) -> Field:
    x, y = _grid(width, height)
    step = studio.rng.uniform(40, 150)
    right, down = studio.rng.uniform(0, step, 2)
    away = np.hypot((x + right) % step - step / 2, (y + down) % step - step / 2)
    return np.clip(step * studio.rng.uniform(0.15, 0.35) - away + 0.5, 0, 1).astype(np.float32)


def _zigzag(studio: Studio, width: int, height: int) -> Field:
    x, y = _grid(width, height)
    step = studio.rng.uniform(40, 140)
    return ((y + np.abs(x % step - step / 2)) / step % 1 < 0.5).astype(np.float32)


def _graded(studio: Studio, width: int, height: int) -> Field:
    x, y = _grid(width, height)
    turn = studio.rng.uniform(0, 2 * np.pi)
    along = x / width * np.cos(turn) + y / height * np.sin(turn)
    return ((along - along.min()) / np.ptp(along)).astype(np.float32)


_SHARES = {"stripes": _stripes, "gingham": _gingham, "dots": _dots, "zigzag": _zigzag, "graded": _graded}
