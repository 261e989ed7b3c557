"""Page backgrounds: what lies behind the elements."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from .studio import Colour, Studio

Field = NDArray[Any]

PAGES_PX = ((2550, 3300), (2550, 3300), (2550, 3300), (2480, 3508), (3300, 2550))
"""Letter upright mostly, A4, letter lying, at 300 PPI."""


@dataclass(frozen=True)
class Ground:
    """A background.

    Attributes
    ----------
    pixels : ndarray
        float32, shape (rows, cols, 3), sRGB 0 to 255.
    roughness : float
        How far it strays from a smooth surface, about two standard deviations.
    """

    pixels: Field
    roughness: float = 0.0


def page_px(studio: Studio) -> tuple[int, int]:
    """A page's width and height."""
    return PAGES_PX[studio.rng.integers(len(PAGES_PX))]


def plain(size_px: tuple[int, int], colour: Colour) -> Ground:
    """One colour all over."""
    return Ground(np.full((size_px[1], size_px[0], 3), colour, np.float32))


def white(studio: Studio) -> Colour:
    """Pure white mostly, else almost."""
    return (255, 255, 255) if studio.chance(0.6) else (int(studio.rng.integers(248, 256)),) * 3


def light(studio: Studio) -> Colour:
    """White, or a plain cream."""
    return white(studio) if studio.chance(0.6) else (250, 244, int(studio.rng.integers(218, 236)))


def deep(studio: Studio) -> Colour:
    """Dark or saturated."""
    if studio.chance(0.5):
        return studio.colour(8, 60)
    low, middle, high = studio.whole(20, 70), studio.whole(60, 160), studio.whole(150, 220)
    red, green, blue = studio.rng.permutation([low, middle, high])
    return int(red), int(green), int(blue)


def tinted(studio: Studio, size_px: tuple[int, int]) -> Ground:
    """Cream, kraft, textured, graded, darker at the rim, or woven."""
    make = studio.one_of(_cream, _kraft, _graded, _textured, _vignette, _woven, _photographed)
    return make(studio, size_px)


def _cream(studio: Studio, size_px: tuple[int, int]) -> Ground:
    return plain(size_px, studio.pale(205, 245))


def _kraft(studio: Studio, size_px: tuple[int, int]) -> Ground:
    grain = studio.rng.uniform(3, 6)
    base = plain(size_px, (196, 160, 116)).pixels + studio.whole(-20, 25)
    fibres = _cloud(studio, size_px, 1.5, 1) * grain + _cloud(studio, size_px, 60, 8) * 3
    return Ground(base + fibres[..., None], 2 * grain)


def _graded(studio: Studio, size_px: tuple[int, int]) -> Ground:
    x, y = _places(size_px)
    turn = studio.rng.uniform(0, 2 * np.pi)
    along = x * np.cos(turn) + y * np.sin(turn)
    share = ((along - along.min()) / np.ptp(along))[..., None].astype(np.float32)
    first, second = (np.array(studio.pale(*span), np.float32) for span in ((200, 250), (170, 235)))
    return Ground(first * (1 - share) + second * share, 2)


def _textured(studio: Studio, size_px: tuple[int, int]) -> Ground:
    fine, coarse = studio.rng.uniform(1.5, 4), studio.rng.uniform(2, 5)
    clouds = _cloud(studio, size_px, 16, 8) * fine + _cloud(studio, size_px, 90, 8) * coarse
    return Ground(plain(size_px, studio.pale(215, 245)).pixels + clouds[..., None], 2 * fine)


def _vignette(studio: Studio, size_px: tuple[int, int]) -> Ground:
    x, y = _places(size_px)
    away = (x - 0.5) ** 2 + (y - 0.5) ** 2
    darker = 1 - studio.rng.uniform(0.1, 0.3) * 2 * away
    return Ground(plain(size_px, studio.pale(225, 250)).pixels * darker[..., None].astype(np.float32), 2)


def _woven(studio: Studio, size_px: tuple[int, int]) -> Ground:
    pitch, depth = studio.rng.uniform(7, 14), studio.rng.uniform(2, 5)
    across = np.sin(np.arange(size_px[0], dtype=np.float32) * 2 * np.pi / pitch)
    down = np.sin(np.arange(size_px[1], dtype=np.float32) * 2 * np.pi / pitch)
    weave = depth * (across[None, :] + down[:, None])
    return Ground(plain(size_px, studio.pale(205, 240)).pixels + weave[..., None], 2 * depth)


def _photographed(studio: Studio, size_px: tuple[int, int]) -> Ground:
    """A real texture, very faint."""
    grey = studio.texture(*size_px)[..., 0].astype(np.float32)
    depth = studio.rng.uniform(2, 5)
    faint = (grey - grey.mean()) / grey.std() * depth
    return Ground(plain(size_px, studio.pale(200, 240)).pixels + faint[..., None], 2 * depth)


def _places(size_px: tuple[int, int]) -> tuple[Field, Field]:
    width, height = size_px
    return (
        np.linspace(0, 1, width, dtype=np.float32)[None, :],
        np.linspace(0, 1, height, dtype=np.float32)[:, None],
    )


def _cloud(studio: Studio, size_px: tuple[int, int], spread_px: float, coarser: int) -> Field:
    """Smooth noise of standard deviation 1."""
    width, height = size_px
    noise = studio.rng.standard_normal((height // coarser + 1, width // coarser + 1), np.float32)
    noise = cv2.GaussianBlur(noise, (0, 0), spread_px / coarser)
    return cv2.resize(noise / noise.std(), size_px, interpolation=cv2.INTER_CUBIC)
