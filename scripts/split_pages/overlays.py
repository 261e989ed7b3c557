"""Pages as small pictures with what is true and what was found drawn over them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from kitprep.pages import Element

from .truth import Truth

WIDTH_PX = 640
TRUE, UNWANTED, OPENING = (0, 80, 255), (150, 150, 150), (255, 140, 0)
RECTANGLE, CUT_OUT, WORD = (0, 190, 0), (255, 0, 255), (220, 0, 0)
BEHIND = (200, 220, 255, 255)


def overlay(
    pixels: NDArray[Any],
    truths: Iterable[Truth],
    truth_px: int,
    found: Iterable[Element],
    found_px: int,
    title: str,
) -> Image.Image:
    """A page with true edges in blue, found rectangles in green, found cut-outs in magenta.

    Parameters
    ----------
    pixels : ndarray
        uint8, shape (rows, cols, 3 or 4), at any scale.
    truths, found : iterables
        What is there, what was found.
    truth_px, found_px : int
        The width of the page in whose pixels each is told.
    title : str
        Written at the foot.
    """
    picture = _small(pixels)
    scale = picture.width / truth_px
    draw = ImageDraw.Draw(picture)
    for truth in truths:
        for outline in truth.outlines:
            _polygon(draw, outline, scale, TRUE if truth.wanted else UNWANTED, 1)
        for hole in truth.holes:
            _polygon(draw, hole, scale, OPENING, 1)
    scale = picture.width / found_px
    for element in found:
        _polygon(draw, element.outline, scale, RECTANGLE if element.rectangular else CUT_OUT, 2)
        for hole in element.holes:
            _polygon(draw, hole, scale, OPENING, 2)
        at = element.box.left * scale + 3, element.box.top * scale + 2
        draw.text(at, f"{element.number} {element.kind.value}", fill=WORD)
    draw.text((4, picture.height - 14), title, fill=WORD)
    return picture


def sheet(pictures: Sequence[Image.Image], columns: int) -> Image.Image:
    """Pictures beside and under each other."""
    across, down = max(p.width for p in pictures) + 6, max(p.height for p in pictures) + 6
    whole = Image.new("RGB", (columns * across, -(-len(pictures) // columns) * down), (70, 70, 70))
    for number, picture in enumerate(pictures):
        whole.paste(picture, (number % columns * across, number // columns * down))
    return whole


def _small(pixels: NDArray[Any]) -> Image.Image:
    picture = Image.fromarray(np.ascontiguousarray(pixels))
    size = WIDTH_PX, round(picture.height * WIDTH_PX / picture.width)
    picture = picture.resize(size, Image.Resampling.BOX)
    if picture.mode == "RGBA":
        picture = Image.alpha_composite(Image.new("RGBA", size, BEHIND), picture)
    return picture.convert("RGB")


def _polygon(
    draw: ImageDraw.ImageDraw,
    points: Iterable[Sequence[float]],
    scale: float,
    colour: tuple[int, int, int],
    pen: int,
) -> None:
    scaled = [(x * scale, y * scale) for x, y in points]
    if len(scaled) > 1:
        draw.line([*scaled, scaled[0]], fill=colour, width=pen)
