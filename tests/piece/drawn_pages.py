"""Pages and elements drawn with known truth, for the tests of this folder."""

from __future__ import annotations

import io
import math
from collections.abc import Callable

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from kitprep.lengths import Length, WantedSize
from kitprep.pages import Element, Kind, Outline, Page, PageKind, PagePpi, PixelBox, PpiSource
from kitprep.piece.wanted import Fit, WantedPiece

PPI = PagePpi(300.0, 300.0, PpiSource.GIVEN)
Pixels = NDArray[np.uint8]


def page_of(pixels: Pixels) -> Page:
    rows, cols, channels = pixels.shape
    return Page(1, "page.png", 0, (cols, rows), PPI, PageKind.PICTURE, channels == 4)


def reader(pixels: Pixels) -> Callable[[PixelBox], Pixels]:
    """Reads boxes of a page and fails on one that leaves it, as a file would."""

    def read(box: PixelBox) -> Pixels:
        assert PixelBox(0, 0, pixels.shape[1], pixels.shape[0]).contains(box), f"{box} leaves the page"
        return pixels[box.top : box.bottom, box.left : box.right]

    return read


def wanted(
    width: Length | None,
    height: Length | None = None,
    fit: Fit = Fit.COVER,
    focus: tuple[float, float] | None = None,
) -> WantedPiece:
    return WantedPiece("kit/p01-01", WantedSize(width, height), fit=fit, focus=focus)


def rectangle(left: float, top: float, width: float, height: float, angle_deg: float = 0.0) -> Element:
    """An element of four corners, leaning clockwise about its middle."""
    turn = math.radians(angle_deg)
    middle = left + width / 2, top + height / 2
    corners = tuple(
        (
            middle[0] + x * math.cos(turn) - y * math.sin(turn),
            middle[1] + x * math.sin(turn) + y * math.cos(turn),
        )
        for x, y in (
            (-width / 2, -height / 2),
            (width / 2, -height / 2),
            (width / 2, height / 2),
            (-width / 2, height / 2),
        )
    )
    return Element(1, box_around(corners), corners, angle_deg, Kind.PAPER, True)


def cut_out(outline: Outline, holes: tuple[Outline, ...] = ()) -> Element:
    return Element(1, box_around(outline), outline, 0.0, Kind.FIGURE, False, holes)


def box_around(outline: Outline) -> PixelBox:
    xs, ys = [x for x, _ in outline], [y for _, y in outline]
    return PixelBox(math.floor(min(xs)), math.floor(min(ys)), math.ceil(max(xs)), math.ceil(max(ys)))


def circle(x: float, y: float, radius: float, points: int = 360) -> Outline:
    turns = (2 * math.pi * k / points for k in range(points))
    return tuple((x + radius * math.cos(turn), y + radius * math.sin(turn)) for turn in turns)


def opacity_of(
    shapes: list[tuple[Outline, int]], size_px: tuple[int, int], finer: int = 8
) -> NDArray[np.float64]:
    """How much of each pixel shapes cover, painted in order with 1 or 0; drawn fine and reduced."""
    wide, high = size_px
    fine = np.zeros((high * finer, wide * finer), np.uint8)
    for shape, value in shapes:
        points = np.rint((np.array(shape) * finer - 0.5) * 16).astype(np.int32)
        cv2.fillPoly(fine, [points], value, shift=4)
    return fine.reshape(high, finer, wide, finer).mean(axis=(1, 3))


def laid_on(
    colours: NDArray[np.float64], opacity: NDArray[np.float64], ground: tuple[int, int, int]
) -> Pixels:
    share = opacity[..., None]
    return np.rint(colours * share + np.array(ground, float) * (1 - share)).astype(np.uint8)


def as_jpeg(pixels: Pixels, quality: int) -> Pixels:
    """Coded and decoded, with chroma halved as most JPEGs have it."""
    file = io.BytesIO()
    Image.fromarray(pixels).save(file, "JPEG", quality=quality, subsampling=2)
    return np.asarray(Image.open(file).convert("RGB"))


def texture(wide: int, high: int, seed: int = 3) -> NDArray[np.float64]:
    """A mottled dark picture, nowhere near paper white: float, shape (rows, cols, 3)."""
    noise = np.random.default_rng(seed).normal(size=(high, wide, 3))
    coarse = cv2.GaussianBlur(noise, (0, 0), 6)
    fine = cv2.GaussianBlur(noise, (0, 0), 1.2)
    mixed = coarse / coarse.std() * 22 + fine / fine.std() * 10
    return np.clip(np.array([120.0, 80.0, 60.0]) + mixed, 5, 190)
