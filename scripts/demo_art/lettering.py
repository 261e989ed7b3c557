"""Letterpress type: set words, print them with uneven ink and a slight bite into the paper."""

from __future__ import annotations

import math
from functools import lru_cache
from pathlib import Path

import cv2
import numpy as np
from PIL import Image, ImageDraw, ImageFont

from .noise import Field, clouds, smoothstep
from .palette import Colour
from .paper import Picture

FONTS = Path(__file__).resolve().parent.parent / "fonts"
FELL = "IMFellEnglish-Regular.ttf"
FELL_ITALIC = "IMFellEnglish-Italic.ttf"
FELL_CAPS = "IMFellEnglishSC-Regular.ttf"
CANON_ITALIC = "IMFellFrenchCanon-Italic.ttf"
SLAB = "Rokkitt-Regular.ttf"
SLAB_BOLD = "Rokkitt-Bold.ttf"
FINE = 3  # type is drawn at this many times its size


@lru_cache(maxsize=64)
def _font(name: str, size: int) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(str(FONTS / name), size, layout_engine=ImageFont.Layout.BASIC)


def set_line(words: str, font: str, size: float, tracking: float = 0.0) -> Field:
    """Set one line of type.

    Parameters
    ----------
    words
        What it says.
    font
        File name of the font.
    size
        Size of the type in pixels.
    tracking
        Space added between letters, as a share of the size.

    Returns
    -------
    Field
        Cover from 0 to 1, cropped to the letters; float32, shape (rows, columns).
    """
    face = _font(font, round(size * FINE))
    space = tracking * size * FINE
    width = int(face.getlength(words) + space * len(words) + size * FINE * 2)
    canvas = Image.new("L", (width, int(size * FINE * 2.2)), 0)
    pen = ImageDraw.Draw(canvas)
    x = size * FINE * 0.7
    for at, letter in enumerate(words):
        pen.text((x, size * FINE * 0.5), letter, fill=255, font=face)
        pair = words[at : at + 2]
        x += (
            face.getlength(pair) - face.getlength(pair[1:]) if len(pair) == 2 else face.getlength(letter)
        ) + space
    return _reduced(np.asarray(canvas))


def set_line_to(words: str, font: str, width: float, tracking: float = 0.0, most: float = 1e9) -> Field:
    """Set one line at the size that fills a width, but no larger than `most` pixels of type."""
    trial = set_line(words, font, 60, tracking)
    return set_line(words, font, min(most, 60 * width / trial.shape[1]), tracking)


def _reduced(canvas: np.ndarray) -> Field:
    there = np.argwhere(canvas > 8)
    (y0, x0), (y1, x1) = there.min(axis=0), there.max(axis=0) + 1
    cut = np.pad(canvas[y0:y1, x0:x1], ((0, -(y1 - y0) % FINE), (0, -(x1 - x0) % FINE)))
    size = (cut.shape[1] // FINE, cut.shape[0] // FINE)
    return cv2.resize(cut, size, interpolation=cv2.INTER_AREA).astype(np.float32) / 255


def set_arc(
    words: str, font: str, size: float, radius: float, middle: float = -90.0, tracking: float = 0.08
) -> Field:
    """Set a line round a circle.

    Parameters
    ----------
    words, font, size, tracking
        As for `set_line`.
    radius
        Radius of the base line in pixels.
    middle
        Where the middle of the words stands, in degrees clockwise from the right; -90 is the top. Words whose
        middle is in the lower half run the other way round so that they can be read.

    Returns
    -------
    Field
        Cover, square, its middle the middle of the circle.
    """
    face = _font(font, round(size * FINE))
    half = int((radius + size * 1.6) * FINE)
    canvas = Image.new("L", (2 * half, 2 * half), 0)
    lower = math.sin(math.radians(middle)) > 0.1
    wide = [face.getlength(letter) + tracking * size * FINE for letter in words]
    base = (radius + (size * 0.66 if lower else 0)) * FINE
    step = -1 if lower else 1
    turn = middle - step * math.degrees(sum(wide) / 2 / base)
    for letter, advance in zip(words, wide, strict=True):
        at = turn + step * math.degrees(advance / 2 / base)
        glyph = Image.new("L", (int(size * FINE * 3), int(size * FINE * 3)), 0)
        centre = glyph.width / 2
        ImageDraw.Draw(glyph).text((centre, centre), letter, fill=255, font=face, anchor="ms")
        glyph = glyph.rotate(
            -(at + 90) + (180 if lower else 0), Image.Resampling.BICUBIC, center=(centre, centre)
        )
        x = half + base * math.cos(math.radians(at)) - centre
        y = half + base * math.sin(math.radians(at)) - centre
        canvas.paste(255, (round(x), round(y)), glyph)
        turn += step * math.degrees(advance / base)
    side = 2 * half // FINE
    return cv2.resize(np.asarray(canvas), (side, side), interpolation=cv2.INTER_AREA).astype(np.float32) / 255


def press(
    rgb: Picture, cover: Field, x: float, y: float, ink: Colour, rng: np.random.Generator, *, density: float = 0.94,
    bite: float = 1.0, anchor: str = "mm",
) -> tuple[int, int, int, int]:  # fmt: skip
    """Print a cover onto paper.

    Parameters
    ----------
    rgb
        The paper; changed in place.
    cover
        What prints, 0 to 1.
    x, y
        Where its anchor stands, in paper pixels.
    ink
        Colour of the ink.
    rng
        Source of the unevenness.
    density
        How well the ink covers.
    bite
        How deep the type presses into the paper.
    anchor
        Two letters: l, m or r across, t, m or b down.

    Returns
    -------
    tuple of int
        The printed box x0, y0, x1, y1 in paper pixels.
    """
    rows, columns = cover.shape
    x0 = round(x - columns * {"l": 0.0, "m": 0.5, "r": 1.0}[anchor[0]])
    y0 = round(y - rows * {"t": 0.0, "m": 0.5, "b": 1.0}[anchor[1]])
    pad = 6
    height, width = rgb.shape[:2]
    top, left, bottom, right = y0 - pad, x0 - pad, y0 + rows + pad, x0 + columns + pad
    if left < 0 or top < 0 or right > width or bottom > height:
        cover = cover[max(-top, 0) and max(-y0, 0) :, max(-x0, 0) :]
        x0, y0 = max(x0, 0), max(y0, 0)
        cover = cover[: height - y0, : width - x0]
        rows, columns = cover.shape
        pad = 0
        top, left, bottom, right = y0, x0, y0 + rows, x0 + columns
    there = (slice(top, bottom), slice(left, right))
    type_face = np.pad(cover, pad)
    mottle = clouds(*type_face.shape, 3.2, rng) * 0.6 + clouds(*type_face.shape, 16, rng)
    rough = smoothstep(0.25, 0.75, type_face + mottle * 0.1 * smoothstep(0.02, 0.5, type_face))
    inner = cv2.GaussianBlur(type_face, (0, 0), 2.2)
    laid = rough * density * np.clip(0.93 + 0.09 * (1 - inner) + 0.075 * mottle, 0.4, 1)
    dent = cv2.GaussianBlur(type_face, (0, 0), 1.3)
    slope = np.roll(dent, (2, 2), (0, 1)) - np.roll(dent, (-2, -2), (0, 1))
    paper = rgb[there] * (1 - 0.09 * bite * np.clip(-slope, 0, 1))[..., None]
    paper = paper + (1 - paper) * (0.22 * bite * np.clip(slope, 0, 1) * (1 - rough))[..., None]
    # Transparent ink lets the paper show; a pale ink on a darker paper has to cover it.
    through = 0.35 if sum(ink) < float(rgb[there].mean()) * 3 else 0.0
    shown = np.array(ink, np.float32) * (1 - through + through * paper)
    rgb[there] = paper + (shown - paper) * laid[..., None]
    return x0, y0, x0 + columns, y0 + rows


def write(
    rgb: Picture, words: str, font: str, size: float, x: float, y: float, ink: Colour,
        rng: np.random.Generator, across: str = "l"
) -> None:  # fmt: skip
    """Write by hand on a line: lighter than type, no bite, its letters standing on `y`.

    Parameters
    ----------
    rgb
        The paper; changed in place.
    words, font, size
        As for `set_line`.
    x, y
        Where the words begin (or have their middle, or end) and the line they stand on.
    ink
        Colour of the ink.
    rng
        Source of the unevenness.
    across
        ``"l"``, ``"m"`` or ``"r"``: what `x` means.
    """
    below = _font(font, round(size * FINE)).getbbox(words, anchor="ls")[3] / FINE
    density = float(rng.uniform(0.74, 0.88))
    press(
        rgb, set_line(words, font, size), x, y + below, ink, rng, density=density, bite=0, anchor=across + "b"
    )


def print_plate(
    rgb: Picture, plate: Picture, x: int, y: int, strength: float = 1.0, opaque: bool = False
) -> None:
    """Print a pulled plate onto paper.

    Parameters
    ----------
    rgb
        The paper; changed in place.
    plate
        Straight alpha, shape (rows, columns, 4).
    x, y
        Its upper left corner.
    strength
        How much of its cover.
    opaque
        Lay it on like a cut-out; otherwise its colours let the paper through.
    """
    height, width = rgb.shape[:2]
    x0, y0 = max(x, 0), max(y, 0)
    x1, y1 = min(x + plate.shape[1], width), min(y + plate.shape[0], height)
    if x1 <= x0 or y1 <= y0:
        return
    piece = plate[y0 - y : y1 - y, x0 - x : x1 - x]
    paper = rgb[y0:y1, x0:x1]
    alpha = piece[..., 3:] * strength
    laid = piece[..., :3] if opaque else piece[..., :3] * (0.25 + 0.75 * paper)
    rgb[y0:y1, x0:x1] = paper * (1 - alpha) + laid * alpha
