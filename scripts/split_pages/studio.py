"""What a page is made with: chance, art, colours, words, typefaces."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from .art import Art

Colour = tuple[int, int, int]
Pixels = NDArray[Any]

_ROOT = Path(__file__).resolve().parent.parent.parent
FONTS = tuple(
    _ROOT / name
    for name in (
        "scripts/fonts/IMFellEnglish-Italic.ttf",
        "scripts/fonts/IMFellEnglishSC-Regular.ttf",
        "scripts/fonts/IMFellFrenchCanon-Italic.ttf",
        "scripts/fonts/Rokkitt-Bold.ttf",
        "scripts/fonts/Rokkitt-Regular.ttf",
        "kitprep/fonts/AlegreyaSans-Regular.ttf",
        "kitprep/fonts/AlegreyaSans-Bold.ttf",
    )
)
WORDS = (
    "apple", "lantern", "harvest", "ledger", "No.", "42", "orchard", "plum", "moonrise", "gather", "tally", "Picked",
    "by", "hand", "sweet", "cider", "first", "frost", "handmade", "with", "love", "bee", "keeper", "jar", "of",
    "light", "1897", "seed", "and", "soil", "fresh", "eggs", "the", "long", "night",
)  # fmt: skip


@dataclass(frozen=True)
class Studio:
    """One page's chance, and the art it draws on."""

    rng: np.random.Generator
    art: Art

    def chance(self, share: float) -> bool:
        """True so often."""
        return bool(self.rng.random() < share)

    def whole(self, least: float, most: float) -> int:
        """A whole number from `least` to below `most`."""
        return int(self.rng.uniform(least, most))

    def one_of(self, *choices: Any) -> Any:
        """One of some things."""
        return choices[self.rng.integers(len(choices))]

    def colour(self, darkest: int = 40, lightest: int = 220) -> Colour:
        """Any colour of three channels in a range."""
        red, green, blue = self.rng.integers(darkest, lightest, 3)
        return int(red), int(green), int(blue)

    def pale(self, darkest: float = 225, lightest: float = 252) -> Colour:
        """A paper colour: near grey, rather warm."""
        light = self.rng.uniform(darkest, lightest)
        tints = self.rng.uniform(0, 5), self.rng.uniform(-3, 2), self.rng.uniform(-14, 0)
        red, green, blue = (int(np.clip(light + tint, 0, 254)) for tint in tints)
        return red, green, blue

    def photograph(self, width: int, height: int) -> Pixels:
        """Part of a photograph at a size."""
        return self.art.photograph(self.rng, width, height)

    def texture(self, width: int, height: int) -> Pixels:
        """Part of a photographed texture at a size."""
        return self.art.texture(self.rng, width, height)

    def phrase(self, count: int) -> str:
        """Some words."""
        return " ".join(self.rng.choice(WORDS, count))

    def typeface(self, size: float) -> ImageFont.FreeTypeFont:
        """A typeface at a size in pixels."""
        return _font(self.font_file(), int(size))

    def font_file(self) -> Path:
        """One of the typefaces' files."""
        return FONTS[self.rng.integers(len(FONTS))]

    def lean_deg(self, share: float) -> float:
        """0, or at this share of times anything up to 10 degrees either way."""
        return float(self.rng.uniform(-10, 10)) if self.chance(share) else 0.0

    def lettered(self, pixels: Pixels, ink: Colour, inset: tuple[float, float], words: int = 2) -> Pixels:
        """Words in the middle of a picture, as large as fits within insets given as shares of its size."""
        picture = Image.fromarray(pixels)
        draw = ImageDraw.Draw(picture)
        room = picture.width * (1 - 2 * inset[0]), picture.height * (1 - 2 * inset[1])
        text = self.phrase(words)
        font = self.typeface(max(16, min(room[1] * 0.7, 170)))
        while draw.textlength(text, font=font) > room[0] and font.size > 14:
            font = font.font_variant(size=int(font.size * 0.85))
        draw.text((picture.width / 2, picture.height / 2), text, font=font, fill=ink, anchor="mm")
        return np.asarray(picture).copy()


@lru_cache(256)
def _font(path: Path, size: int) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(str(path), size)
