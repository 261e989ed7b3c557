"""Solid things of a kit: each maker gives one that fits a size in pixels."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
import skimage.data
from numpy.typing import NDArray

from . import shapes
from .patterns import paper
from .studio import Colour, Pixels, Studio

PLAIN_STEP, FAINT_STEP = 10.0, 4.0  # levels of the channel that differs most


@dataclass(frozen=True)
class Piece:
    """A thing before it is laid on a page.

    Attributes
    ----------
    rgba : ndarray
        uint8, shape (rows, cols, 4), straight alpha.
    kind : str
        A word of `kitprep.pages.Kind`; empty where people would not agree.
    rectangular : bool
        Whether its edge is a rectangle.
    parts : bool
        Whether it is made of separate parts.
    edge_step : float
        By how many levels its edge must differ from what is behind it, for a person to see it.
    """

    rgba: Pixels
    kind: str
    rectangular: bool = False
    parts: bool = False
    edge_step: float = PLAIN_STEP


Maker = Callable[[Studio, int, int], Piece]


def solid(rgb: Pixels, kind: str, edge_step: float = PLAIN_STEP) -> Piece:
    """A picture as a rectangle."""
    return Piece(np.dstack([rgb, np.full(rgb.shape[:2], 255, np.uint8)]), kind, True, edge_step=edge_step)


def cut(rgb: Pixels, mask: NDArray[Any], kind: str, parts: bool = False) -> Piece:
    """A picture cut out by a mask, cropped to it."""
    rows, cols = np.flatnonzero((mask >= 128).any(1)), np.flatnonzero((mask >= 128).any(0))
    there = np.s_[rows[0] : rows[-1] + 1, cols[0] : cols[-1] + 1]
    return Piece(np.dstack([rgb[there], mask[there]]), kind, False, parts)


def coloured(width: int, height: int, colour: Colour) -> Pixels:
    """One colour."""
    return np.full((height, width, 3), colour, np.uint8)


def photograph(studio: Studio, width: int, height: int) -> Piece:
    """A photograph."""
    return solid(studio.photograph(width, height), "")


def patterned(studio: Studio, width: int, height: int) -> Piece:
    """A small patterned paper."""
    return solid(paper(studio, width, height), "paper")


def card(studio: Studio, width: int, height: int) -> Piece:
    """A pale card with a photograph, or with a drawn frame and words."""
    face = coloured(width, height, studio.pale(200, 245))
    rim = int(min(width, height) * studio.rng.uniform(0.05, 0.15))
    if studio.chance(0.6):
        face[rim : height - rim, rim : width - rim] = studio.photograph(width - 2 * rim, height - 2 * rim)
    else:
        ink = studio.colour(20, 150)
        cv2.rectangle(face, (rim, rim), (width - rim - 1, height - rim - 1), ink, max(2, rim // 6))
        face = studio.lettered(face, ink, (0.2, 0.2), 3)
    return solid(face, "card")


def bordered(studio: Studio, width: int, height: int, border: Colour | None = None) -> Piece:
    """A photograph in a pale border."""
    face = coloured(width, height, border or studio.pale(222, 250))
    rim = int(min(width, height) * studio.rng.uniform(0.05, 0.12))
    face[rim : height - rim, rim : width - rim] = studio.photograph(width - 2 * rim, height - 2 * rim)
    return solid(face, "", FAINT_STEP if border else PLAIN_STEP)


def stamp(studio: Studio, width: int, height: int, border: Colour | None = None) -> Piece:
    """The same with perforated edges."""
    face = bordered(studio, width, height, border).rgba[..., :3]
    pitch = studio.rng.uniform(18, 28)
    holes = shapes.teeth(width, height, pitch, pitch * studio.rng.uniform(0.22, 0.32))
    mask = shapes.filled(width, height, [shapes.rectangle(width, height)], holes)
    return Piece(np.dstack([face, mask]), "stamp", edge_step=FAINT_STEP if border else PLAIN_STEP)


def tag(studio: Studio, width: int, height: int) -> Piece:
    """A tag with cut corners at one end and a punched hole."""
    lying = width > height
    long, short = (width, height) if lying else (height, width)
    corner = short * 0.25
    edge = np.array(
        [(corner, 0), (long, 0), (long, short), (corner, short), (0, short - corner), (0, corner)]
    )
    radius = studio.rng.uniform(16, 30)
    hole = shapes.ellipse(corner * 0.75, short / 2, radius, radius)
    if not lying:
        edge, hole = edge[:, ::-1], hole[:, ::-1]
    face = coloured(width, height, studio.colour(120, 235))
    if studio.chance(0.5):
        face = (face * 0.6 + studio.photograph(width, height) * 0.4).astype(np.uint8)
    face = studio.lettered(face, studio.colour(10, 90), (0.25, 0.25))
    return cut(face, shapes.filled(width, height, [edge], [hole]), "tag")


def label(studio: Studio, width: int, height: int) -> Piece:
    """A pale or coloured label with a drawn rim: oval, round-cornered or with a waved edge."""
    base = studio.pale(222, 250) if studio.chance(0.5) else studio.colour(90, 230)
    return _rimmed(studio, width, height, base, studio.colour(10, 110), studio.whole(8, 22))


def white_inside(studio: Studio, width: int, height: int) -> Piece:
    """A label whose inside is as white as the page, so that only its rim and words show."""
    return _rimmed(studio, width, height, (255, 255, 255), studio.colour(10, 140), studio.whole(5, 14))


def _rimmed(studio: Studio, width: int, height: int, base: Colour, ink: Colour, rim: int) -> Piece:
    shape = studio.one_of("oval", "rounded", "scalloped")
    edges = []
    for inset in (0, rim):
        w, h = width - 2 * inset, height - 2 * inset
        if shape == "oval":
            edges.append(shapes.ellipse(width / 2, height / 2, w / 2, h / 2))
        elif shape == "rounded":
            edges.append(shapes.rounded(width, height, max(4, min(width, height) * 0.12 - inset), inset))
        else:
            edges.append(shapes.scalloped(w, h, 16, 0.04) + inset)
    outer, inner = (shapes.filled(width, height, [edge]) for edge in edges)
    share = (inner / 255)[..., None]
    face = (coloured(width, height, base) * share + coloured(width, height, ink) * (1 - share)).astype(
        np.uint8
    )
    return cut(studio.lettered(face, ink, (0.18, 0.25)), outer, "label")


def figure(studio: Studio, width: int, height: int) -> Piece:
    """A drawing, or a photograph in the shape of a leaf, a star or a horse."""
    drawing = studio.art.figure(studio.rng, width, height) if studio.chance(0.8) else None
    if drawing is not None:
        return Piece(drawing.rgba, "figure")
    mask = studio.one_of(_horse, _star, _leaf)(studio, width, height)
    return cut(studio.photograph(mask.shape[1], mask.shape[0]), mask, "figure")


def strip(studio: Studio, width: int, height: int) -> Piece:
    """A narrow band of pattern, lying or standing."""
    width, height = (width, max(60, height // 6)) if studio.chance(0.7) else (max(60, width // 6), height)
    return solid(paper(studio, width, height), "strip")


def frame(studio: Studio, width: int, height: int) -> Piece:
    """A patterned frame, open inside."""
    rim = int(min(width, height) * studio.rng.uniform(0.08, 0.16))
    face = paper(studio, width, height)
    if studio.chance(0.5):
        edges = [shapes.rectangle(width, height), shapes.rectangle(width, height, rim)]
    else:
        edges = [shapes.ellipse(width / 2, height / 2, width / 2 - by, height / 2 - by) for by in (0, rim)]
    return cut(face, shapes.filled(width, height, edges[:1], edges[1:]), "")


def _horse(_studio: Studio, width: int, height: int) -> NDArray[Any]:
    shape = np.where(skimage.data.horse(), 0, 255).astype(np.uint8)
    rows, cols = np.flatnonzero(shape.any(1)), np.flatnonzero(shape.any(0))
    shape = shape[rows[0] : rows[-1] + 1, cols[0] : cols[-1] + 1]
    scale = min(width / shape.shape[1], height / shape.shape[0])
    size = int(shape.shape[1] * scale), int(shape.shape[0] * scale)
    large = cv2.resize(cv2.GaussianBlur(shape, (0, 0), 1.5), size, interpolation=cv2.INTER_CUBIC)
    return np.clip((large.astype(np.float32) - 127) * 6 + 127, 0, 255).astype(np.uint8)


def _star(studio: Studio, width: int, height: int) -> NDArray[Any]:
    return shapes.filled(width, height, [shapes.scalloped(width, height, studio.whole(5, 12), 0.3)])


def _leaf(_studio: Studio, width: int, height: int) -> NDArray[Any]:
    turn = np.linspace(0, 2 * np.pi, 360, endpoint=False)
    reach = 0.35 + 0.65 * np.abs(np.cos(turn)) ** 1.5
    points = np.column_stack([reach * np.cos(turn), reach * np.sin(turn)])
    points = (points - points.min(0)) / np.ptp(points, 0) * (width, height)
    return shapes.filled(width, height, [points])


SOLID: tuple[Maker, ...] = (
    photograph, card, stamp, bordered, tag, label, figure, figure, strip, patterned, frame,
)  # fmt: skip
