"""Lay drawn pieces on a page and keep the truth about each: its box, its edge, its lean."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

import cv2
import numpy as np

from .curves import Points
from .noise import Field
from .paper import Picture

PAGE_WIDTH, PAGE_HEIGHT, PPI = 2550, 3300, 300  # US letter, 8.5 x 11 in (ANSI/ASME Y14.1 size A)


@dataclass
class Piece:
    """A finished element before it is laid down.

    Attributes
    ----------
    rgb
        Its picture, shape (rows, columns, 3).
    mask
        Its cover, shape (rows, columns).
    outline
        Its true edge in its own pixels.
    name, kind
        What a person would call it.
    rectangular
        Whether a straight rectangle is its trim.
    """

    rgb: Picture
    mask: Field
    outline: Points
    name: str
    kind: str
    rectangular: bool = True


@dataclass
class Page:
    """A page of the kit being laid out.

    Attributes
    ----------
    number
        Its number in the kit, from 1.
    rgb
        Its picture, shape (3300, 2550, 3).
    alpha
        Its cover where the page is transparent, else nothing.
    elements
        The truth of each element laid down so far.
    """

    number: int
    rgb: Picture
    alpha: Field | None = None
    elements: list[dict[str, Any]] = field(default_factory=list)

    def lay(self, piece: Piece, x: float, y: float, lean: float = 0.0) -> None:
        """Lay a piece with its upper left corner at x, y, turned by `lean` degrees clockwise about its middle."""
        rows, columns = piece.mask.shape
        turn = math.radians(lean)
        cos, sin = math.cos(turn), math.sin(turn)
        middle = np.array([columns / 2, rows / 2])
        spin = np.array([[cos, -sin], [sin, cos]])
        outline = (piece.outline - middle) @ spin.T + middle + np.array([x, y])
        if lean:
            self._blend_turned(piece, x, y, spin, middle)
        else:
            there = (slice(round(y), round(y) + rows), slice(round(x), round(x) + columns))
            self.rgb[there] += (piece.rgb - self.rgb[there]) * piece.mask[..., None]
        self.note(piece.name, piece.kind, outline, lean, piece.rectangular)

    def _blend_turned(self, piece: Piece, x: float, y: float, spin: np.ndarray, middle: np.ndarray) -> None:
        premultiplied = np.dstack([piece.rgb * piece.mask[..., None], piece.mask])
        # Pixel centres lie at half numbers, so the shift is worked out for them.
        shift = middle + np.array([x, y]) - spin @ middle + spin @ np.array([0.5, 0.5]) - 0.5
        move = np.column_stack([spin, shift]).astype(np.float64)
        moved = cv2.warpAffine(premultiplied, move, (PAGE_WIDTH, PAGE_HEIGHT), flags=cv2.INTER_CUBIC)
        cover = np.clip(moved[..., 3:], 0, 1)
        self.rgb *= 1 - cover
        self.rgb += np.clip(moved[..., :3], 0, 1)

    def note(
        self,
        name: str,
        kind: str,
        outline: Points,
        lean: float = 0.0,
        rectangular: bool = True,
        unwanted: bool = False,
    ) -> None:
        """Write down one element's truth; ids follow in the order of the notes."""
        low, high = outline.min(axis=0), outline.max(axis=0)
        entry: dict[str, Any] = {
            "id": f"p{self.number:02d}-{len(self.elements) + 1:02d}",
            "name": name,
            "box_px": [math.floor(v + 0.02) for v in low] + [math.ceil(v - 0.02) for v in high],
            "outline_px": [[round(float(px), 2), round(float(py), 2)] for px, py in outline],
            "kind": kind,
            "angle_deg": float(lean),
            "rectangular": rectangular,
        }
        if unwanted:
            entry["unwanted"] = True
        self.elements.append(entry)


def as_bytes(rgb: Picture) -> np.ndarray:
    """Turn a picture from 0-1 into 8 bits.

    Parameters
    ----------
    rgb
        float32, shape (rows, columns, channels).

    Returns
    -------
    ndarray
        uint8, same shape.
    """
    return np.round(np.clip(rgb, 0, 1) * 255).astype(np.uint8)
