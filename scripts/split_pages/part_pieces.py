"""Things made of separate parts that a person cuts out as one."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from . import shapes
from .pieces import Maker, Piece, coloured, cut, white_inside
from .studio import Studio

PEN_ROOM_PX = 100
LETTERS_PX = (2900, 1500)


def wording(studio: Studio, width: int, _height: int) -> Piece:
    """One to three lines of letters, one sentiment."""
    size = studio.rng.uniform(55, 170)
    lines = [studio.phrase(studio.whole(1, 4)) for _ in range(studio.whole(1, 4))]
    canvas = Image.new("L", LETTERS_PX)
    ImageDraw.Draw(canvas).multiline_text(
        (PEN_ROOM_PX, PEN_ROOM_PX), "\n".join(lines), font=studio.typeface(size), fill=255,
        spacing=size * studio.rng.uniform(0.05, 0.25), align=studio.one_of("left", "center"),
    )  # fmt: skip
    mask = np.asarray(canvas)
    ink = np.flatnonzero(mask.any(0))
    if np.ptp(ink) > width * 1.3:
        shrink = width * 1.3 / np.ptp(ink)
        mask = cv2.resize(mask, None, fx=shrink, fy=shrink, interpolation=cv2.INTER_AREA)
    return cut(coloured(mask.shape[1], mask.shape[0], studio.colour(5, 110)), mask, "words", True)


def dotted_frame(studio: Studio, width: int, height: int) -> Piece:
    """Words in a frame of dots."""
    pitch = studio.rng.uniform(26, 44)
    radius = pitch * studio.rng.uniform(0.22, 0.36)
    across, down = round((width - 2 * radius) / pitch), round((height - 2 * radius) / pitch)
    xs, ys = np.linspace(radius, width - radius, across + 1), np.linspace(radius, height - radius, down + 1)
    places = [(x, y) for x in xs for y in (ys[0], ys[-1])] + [
        (x, y) for y in ys[1:-1] for x in (xs[0], xs[-1])
    ]
    dots = shapes.filled(width, height, [shapes.ellipse(x, y, radius, radius, 24) for x, y in places])
    mask = np.maximum(dots, _letters(studio, width, height))
    return cut(coloured(width, height, studio.colour(5, 130)), mask, "label", True)


def bunting(studio: Studio, width: int, height: int) -> Piece:
    """A string of flags, with its string or without."""
    height = min(height, max(130, width // 4))
    count = studio.whole(5, 9)
    face, flags, step = coloured(width, height, (0, 0, 0)), [], width / count
    for number in range(count):
        left, top = number * step + step * 0.12, 8 + np.sin(np.pi * (number + 0.5) / count) * height * 0.25
        tip = top + height * 0.7 - 10
        flags.append(np.array([(left, top), (left + step * 0.76, top), (left + step * 0.38, tip)]))
        face[:, int(number * step) : int((number + 1) * step)] = studio.colour()
    mask = shapes.filled(width, height, flags)
    if studio.chance(0.6):
        xs = np.linspace(0, width - 1, 80)
        ys = 8 + np.sin(np.pi * xs / width) * height * 0.25 - 3
        line = np.column_stack([xs, ys]).astype(np.int32)
        cv2.polylines(mask, [line], False, 255, studio.whole(4, 8), cv2.LINE_AA)
    return cut(face, mask, "", True)


def brackets(studio: Studio, width: int, height: int) -> Piece:
    """Words between four corner brackets."""
    reach, pen = int(min(width, height) * studio.rng.uniform(0.22, 0.32)), studio.whole(8, 18)
    corner = np.zeros((reach, reach), np.uint8)
    corner[:pen] = corner[:, :pen] = 255
    mask = _letters(studio, width, height)
    for turn, (y, x) in enumerate(
        ((0, 0), (0, width - reach), (height - reach, width - reach), (height - reach, 0))
    ):
        there = mask[y : y + reach, x : x + reach]
        np.maximum(there, np.rot90(corner, -turn), out=there)
    return cut(coloured(width, height, studio.colour(5, 120)), mask, "label", True)


def wreath(studio: Studio, width: int, height: int) -> Piece:
    """A ring of loose leaves, with a word inside or without."""
    side = min(width, height)
    middle, leaf = side / 2, side * 0.09
    count = studio.whole(10, 18)
    face, leaves = coloured(side, side, (0, 0, 0)), []
    for number in range(count):
        turn = 2 * np.pi * number / count
        place = middle + (middle - leaf) * np.array([np.cos(turn), np.sin(turn)])
        tilt = turn + np.pi / 2 + (0.5 if number % 2 else -0.5)
        spin = np.array([[np.cos(tilt), np.sin(tilt)], [-np.sin(tilt), np.cos(tilt)]])
        leaves.append(shapes.ellipse(0, 0, leaf * 0.85, leaf * 0.3, 40) @ spin + place)
        _spread(face, leaves[-1], studio.colour(30, 150))
    mask = shapes.filled(side, side, leaves)
    if studio.chance(0.5):
        word = _letters(studio, side, side, 1)
        face[word > 0] = studio.colour(5, 120)
        mask = np.maximum(mask, word)
    return cut(face, mask, "", True)


def _spread(face: NDArray[Any], leaf: NDArray[Any], colour: tuple[int, int, int]) -> None:
    """Colour a leaf and a little beyond, so that its soft edge has its own colour."""
    points = leaf.round().astype(np.int32)
    cv2.fillPoly(face, [points], colour)
    cv2.polylines(face, [points], True, colour, 5)


def _letters(studio: Studio, width: int, height: int, words: int = 2) -> NDArray[Any]:
    blank = np.zeros((height, width, 3), np.uint8)
    return studio.lettered(blank, (255, 255, 255), (0.2, 0.25), words)[..., 0].copy()


PARTS: tuple[Maker, ...] = (wording, wording, dotted_frame, bunting, brackets, wreath, white_inside)
