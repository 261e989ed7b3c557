"""Kit pages composed with known truth from pictures that others made.

The photographs are those that scikit-image and scikit-learn carry in their packages (skimage.data:
astronaut, chelsea, coffee, rocket, brick, grass, gravel, horse; sklearn.datasets: china, flower).
Pages are composed at 300 pixels per inch, stored as JPEG and read back at half scale, as an import does.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import cv2
import numpy as np
import skimage.data
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont
from sklearn.datasets import load_sample_image

from kitprep.pages import PagePpi, PixelBox, PpiSource, Raster

PPI = PagePpi(300.0, 300.0, PpiSource.GIVEN)
Pixels = NDArray[Any]
FONT = "kitprep/fonts/AlegreyaSans-Bold.ttf"


@cache
def original(name: str) -> Pixels:
    from_sklearn = {"china": "china.jpg", "flower": "flower.jpg"}
    picture = load_sample_image(from_sklearn[name]) if name in from_sklearn else getattr(skimage.data, name)()
    picture = np.asarray(picture)
    return np.dstack([picture] * 3) if picture.ndim == 2 else picture[..., :3]


def photo(name: str, width: int, height: int) -> Pixels:
    """A photograph cropped to proportion and scaled: uint8, shape (height, width, 3)."""
    picture = original(name)
    scale = max(width / picture.shape[1], height / picture.shape[0])
    cols, rows = int(width / scale), int(height / scale)
    x, y = (picture.shape[1] - cols) // 2, (picture.shape[0] - rows) // 2
    part = np.ascontiguousarray(picture[y : y + rows, x : x + cols])
    return cv2.resize(part, (width, height), interpolation=cv2.INTER_CUBIC)


@dataclass
class ComposedPage:
    """A page in the making and where its elements truly are."""

    pixels: Pixels
    boxes: list[PixelBox] = field(default_factory=list)
    alpha: Pixels | None = None

    @classmethod
    def plain(cls, colour: tuple[int, int, int], width: int = 1500, height: int = 1800) -> ComposedPage:
        return cls(np.full((height, width, 3), colour, np.float32))

    def put(
        self, art: Pixels, x: int, y: int, mask: Pixels | None = None, lean: float = 0.0, shadow: float = 0.0
    ) -> None:
        """Paste a picture by its mask (0 to 1), leaning clockwise, over its own soft shadow."""
        opaque = np.ones(art.shape[:2], np.float32) if mask is None else mask.astype(np.float32)
        if lean:
            art, opaque = _turned(art, opaque, lean)
        rows, cols = opaque.shape
        if shadow:
            self._shade(opaque, x, y, shadow)
        there = self.pixels[y : y + rows, x : x + cols]
        there[:] = there * (1 - opaque[..., None]) + art * opaque[..., None]
        if self.alpha is not None:
            part = self.alpha[y : y + rows, x : x + cols]
            np.maximum(part, opaque, out=part)
        ys, xs = np.nonzero(opaque >= 0.5)
        self.boxes.append(
            PixelBox(int(x + xs.min()), int(y + ys.min()), int(x + xs.max() + 1), int(y + ys.max() + 1))
        )

    def _shade(self, opaque: Pixels, x: int, y: int, strength: float) -> None:
        pad, off = 60, 9
        cast = cv2.copyMakeBorder(opaque, pad, pad, pad, pad, cv2.BORDER_CONSTANT, value=0)
        cast = cv2.GaussianBlur(cast, (0, 0), 14) * strength
        top, left = y - pad + off, x - pad + off
        self.pixels[top : top + cast.shape[0], left : left + cast.shape[1]] *= 1 - cast[..., None]

    def stored(self, quality: int = 90) -> Pixels:
        """At full scale, after JPEG: uint8, shape (rows, cols, 3)."""
        file = io.BytesIO()
        Image.fromarray(np.clip(self.pixels + 0.5, 0, 255).astype(np.uint8)).save(
            file, "JPEG", quality=quality
        )
        return np.asarray(Image.open(file))

    def raster(self, quality: int = 90) -> Raster:
        """As an import sees it: at half scale, after JPEG unless it is transparent."""
        rows, cols = self.pixels.shape[:2]
        whole = np.clip(self.pixels + 0.5, 0, 255).astype(np.uint8)
        if self.alpha is not None:
            rgba = np.dstack([whole, (self.alpha * 255 + 0.5).astype(np.uint8)])
            half = cv2.resize(rgba, (cols // 2, rows // 2), interpolation=cv2.INTER_AREA)
            return Raster(half, (cols, rows))
        stored = io.BytesIO()
        Image.fromarray(whole).save(stored, "JPEG", quality=quality)
        with Image.open(stored) as picture:
            picture.draft("RGB", (cols // 2, rows // 2))
            return Raster(np.asarray(picture).copy(), (cols, rows))


def _turned(art: Pixels, opaque: Pixels, lean: float) -> tuple[Pixels, Pixels]:
    rows, cols = opaque.shape
    turn = np.radians(lean)
    across = int(cols * np.cos(turn) + rows * abs(np.sin(turn))) + 4
    down = int(rows * np.cos(turn) + cols * abs(np.sin(turn))) + 4
    matrix = cv2.getRotationMatrix2D(((cols - 1) / 2, (rows - 1) / 2), -lean, 1.0)
    matrix[:, 2] += ((across - cols) / 2, (down - rows) / 2)
    leaning = cv2.warpAffine(art, matrix, (across, down), borderMode=cv2.BORDER_REPLICATE)
    return leaning, cv2.warpAffine(opaque, matrix, (across, down))


def drawn_mask(width: int, height: int, draw: Callable[[ImageDraw.ImageDraw, int], object]) -> Pixels:
    """A mask drawn four times larger and averaged: float32 0 to 1, shape (height, width)."""
    finer = 4
    image = Image.new("L", (width * finer, height * finer), 0)
    draw(ImageDraw.Draw(image), finer)
    return np.asarray(image.resize((width, height), Image.Resampling.BOX), np.float32) / 255


def perforated(width: int, height: int, pitch: int = 24, radius: int = 6) -> Pixels:
    """The mask of a stamp with teeth."""

    def draw(pen: ImageDraw.ImageDraw, k: int) -> None:
        pen.rectangle((0, 0, width * k, height * k), fill=255)
        across, down = round(width / pitch), round(height / pitch)
        places = [(width * i / across, y) for i in range(across + 1) for y in (0, height)]
        places += [(x, height * i / down) for i in range(down + 1) for x in (0, width)]
        for x, y in places:
            pen.ellipse([k * (x - radius), k * (y - radius), k * (x + radius), k * (y + radius)], fill=0)

    return drawn_mask(width, height, draw)


def tag(width: int, height: int) -> Pixels:
    """The mask of a tag with clipped corners and a punched hole."""

    def draw(pen: ImageDraw.ImageDraw, k: int) -> None:
        w, h, c = width * k, height * k, min(width, height) * k // 4
        pen.polygon([(c, 0), (w - c, 0), (w, c), (w, h), (0, h), (0, c)], fill=255)
        pen.ellipse([w // 2 - 26 * k, 60 * k - 26 * k, w // 2 + 26 * k, 60 * k + 26 * k], fill=0)

    return drawn_mask(width, height, draw)


def disc(width: int, height: int) -> Pixels:
    """The mask of an ellipse."""
    return drawn_mask(
        width, height, lambda pen, k: pen.ellipse((0, 0, width * k - 1, height * k - 1), fill=255)
    )


def lettering(text: str, size: int) -> Pixels:
    """The mask of a wording, cropped to its ink."""
    font = ImageFont.truetype(FONT, size)
    image = Image.new("L", (3000, 4 * size), 0)
    ImageDraw.Draw(image).multiline_text((20, 20), text, font=font, fill=255, spacing=size // 6)
    mask = np.asarray(image, np.float32) / 255
    ys, xs = np.nonzero(mask >= 0.5)
    return mask[ys.min() : ys.max() + 1, xs.min() : xs.max() + 1]


def ink(mask: Pixels, colour: tuple[int, int, int]) -> Pixels:
    """A plain colour in the shape of a mask."""
    return np.full((*mask.shape, 3), colour, np.uint8)


def bordered(name: str, width: int, height: int, border: int, colour: tuple[int, int, int]) -> Pixels:
    """A photograph in a plain border."""
    art = np.full((height, width, 3), colour, np.uint8)
    art[border : height - border, border : width - border] = photo(
        name, width - 2 * border, height - 2 * border
    )
    return art


def reads_in_order(found: list[PixelBox], expected: list[PixelBox], within: int = 2) -> bool:
    """Whether boxes are the expected ones, in order, each side within so many page pixels."""
    return len(found) == len(expected) and all(
        max(abs(a.left - b.left), abs(a.top - b.top), abs(a.right - b.right), abs(a.bottom - b.bottom))
        <= within
        for a, b in zip(found, expected, strict=True)
    )
