"""Pictures that others made: where they are looked for, and how one is cut to a wanted size.

Photographs: those that scikit-image and scikit-learn carry in their packages, and any folders of desktop
photographs. Figures: a folder of public-domain clip art as SVG, of which only drawings are used that MuPDF
draws faithfully (no gradients, filters or text) and that are one solid thing.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pymupdf
import skimage.data
from numpy.typing import NDArray
from PIL import Image
from sklearn.datasets import load_sample_image

Pixels = NDArray[Any]

BUNDLED = ("astronaut", "camera", "chelsea", "coffee", "coins", "hubble_deep_field", "immunohistochemistry",
           "moon", "page", "retina", "rocket", "text", "china.jpg", "flower.jpg")  # fmt: skip
TEXTURES = ("brick", "grass", "gravel")
PHOTOGRAPH_ENDINGS = (".jpg", ".jpeg", ".png", ".webp")
LEAST_SIDE_PX = 1000  # smaller files in those folders are previews
BLANK_TRIES, LEAST_VARIETY = 10, 12.0  # levels; part of a picture that shows nothing is not taken
KEPT_PX = 2000  # long side at which a photograph is kept in memory
PHOTOGRAPHS_KEPT = 40

CLIP_ART_FOLDERS = ("animals", "buildings", "containers", "decorations", "education", "food", "office",
                    "plants", "recreation", "tools", "transportation")  # fmt: skip
UNFAITHFUL = re.compile(rb"Gradient|<image|<text|flowRoot|filter|pattern|<use|clip-path|<style|opacity:0?\.")
MOST_SVG_BYTES = 300_000
DRAWN_PX = 200  # size at which a drawing is judged
FAINT_ALPHA = 24  # out of 255; a line drawn small is faint
MOST_RIM = 0.12  # a drawing that covers more of its page's rim is cut off there
ONE_THING, SOLID = 0.995, 0.9  # share of its cover in the largest part, and that survives an opening

WHERE_CLIP_ART = (
    "give --clip-art the folder of SVG drawings of Debian's openclipart-svg "
    "(apt-get download openclipart-svg, dpkg-deb -x, usr/share/openclipart/svg)"
)
WHERE_PHOTOGRAPHS = (
    "give --photographs folders of desktop photographs, such as usr/share/wallpapers and usr/share/backgrounds of "
    "Debian's plasma-workspace-wallpapers, mate-backgrounds and gnome-backgrounds"
)


class ArtMissing(Exception):
    """A folder of art that is not there or holds none."""


@dataclass(frozen=True)
class Figure:
    """A drawing on nothing, cropped to its ink.

    Attributes
    ----------
    rgba : ndarray
        uint8, shape (rows, cols, 4), straight alpha.
    path : Path
        The SVG it comes from.
    scale : float
        Pixels per unit of the SVG's page.
    inset_px : tuple of int
        How far the ink begins from the left and top of the SVG's page.
    """

    rgba: Pixels
    path: Path
    scale: float
    inset_px: tuple[int, int]


@dataclass(frozen=True)
class Art:
    """All the art there is; without drawings, figures are cut from photographs."""

    photographs: tuple[str | Path, ...] = BUNDLED
    drawings: tuple[Path, ...] = ()

    def photograph(self, rng: np.random.Generator, width: int, height: int) -> Pixels:
        """Part of a photograph at a size, uint8, shape (height, width, 3), some tinted, some with grain."""
        for _ in range(BLANK_TRIES):
            whole = _photograph(self.photographs[rng.integers(len(self.photographs))])
            cut = cut_from(whole, rng, width, height)
            if cut[::8, ::8].std(axis=(0, 1)).max() >= LEAST_VARIETY:
                break
        if rng.random() < 0.2:
            cut = (cut * rng.uniform(0.5, 1, 3)).astype(np.uint8)
        grain = rng.standard_normal(cut.shape, np.float32) * np.float32(rng.uniform(0, 3))
        return np.clip(cut + grain, 0, 255).astype(np.uint8)

    def texture(self, rng: np.random.Generator, width: int, height: int) -> Pixels:
        """Part of a photographed texture at a size, uint8, shape (height, width, 3)."""
        return cut_from(_photograph(TEXTURES[rng.integers(len(TEXTURES))]), rng, width, height)

    def figure(self, rng: np.random.Generator, width: int, height: int) -> Figure | None:
        """A drawing whose ink just fits a size in pixels; None where there are no drawings."""
        for _ in range(200 if self.drawings else 0):
            path = self.drawings[rng.integers(len(self.drawings))]
            if _is_fit(path):
                return _drawn_to(path, width, height)
        return None


def gather(clip_art: Path, photographs: Sequence[Path]) -> Art:
    """The art of some folders, and that of the packages.

    Parameters
    ----------
    clip_art : Path
        A folder with `CLIP_ART_FOLDERS` of SVG files.
    photographs : sequence of Path
        Folders that are searched whole.

    Raises
    ------
    ArtMissing
        If a folder holds nothing of use.
    """
    drawings = [path for name in CLIP_ART_FOLDERS for path in sorted((clip_art / name).rglob("*.svg"))]
    faithful = tuple(path for path in drawings if _is_faithful(path))
    if not faithful:
        raise ArtMissing(f"There is no clip art in {clip_art}: {WHERE_CLIP_ART}.")
    found: list[str | Path] = list(BUNDLED)
    for folder in photographs:
        here = [path for path in sorted(folder.rglob("*")) if _is_photograph(path)]
        if not here:
            raise ArtMissing(f"There are no photographs in {folder}: {WHERE_PHOTOGRAPHS}.")
        found += here
    return Art(tuple(found), faithful)


def cut_from(picture: Pixels, rng: np.random.Generator, width: int, height: int) -> Pixels:
    """A random part of a picture, scaled to a size: uint8, shape (height, width, 3)."""
    rows, cols = picture.shape[:2]
    scale = max(width / cols, height / rows) * rng.uniform(1, 1.8)
    across, down = width / scale, height / scale
    left, top = rng.uniform(0, cols - across), rng.uniform(0, rows - down)
    back = np.array([[across / width, 0, left], [0, down / height, top]], np.float32)
    flags = (cv2.INTER_CUBIC if scale > 1 else cv2.INTER_AREA) | cv2.WARP_INVERSE_MAP
    return cv2.warpAffine(picture, back, (width, height), flags=flags, borderMode=cv2.BORDER_REFLECT)


def _is_photograph(path: Path) -> bool:
    if path.suffix.lower() not in PHOTOGRAPH_ENDINGS or path.stem == "screenshot":
        return False
    with Image.open(path) as picture:
        return min(picture.size) >= LEAST_SIDE_PX


@lru_cache(PHOTOGRAPHS_KEPT)
def _photograph(source: str | Path) -> Pixels:
    if isinstance(source, Path):
        return _reduced(source)
    bundled: Callable[[], Pixels] = (
        (lambda: load_sample_image(source)) if "." in source else getattr(skimage.data, source)
    )
    pixels = np.asarray(bundled())
    pixels = np.dstack([pixels] * 3) if pixels.ndim == 2 else pixels[..., :3]
    return np.ascontiguousarray(pixels)


def _reduced(path: Path) -> Pixels:
    with Image.open(path) as picture:
        picture.draft("RGB", (KEPT_PX, KEPT_PX))
        whole = picture.convert("RGB")
    whole.thumbnail((KEPT_PX, KEPT_PX), Image.Resampling.BOX)
    return np.asarray(whole)


def _is_faithful(path: Path) -> bool:
    return path.stat().st_size <= MOST_SVG_BYTES and not UNFAITHFUL.search(path.read_bytes())


@lru_cache(None)
def _is_fit(path: Path) -> bool:
    try:
        alpha = _drawn(path, DRAWN_PX)[0][..., 3]
    except (RuntimeError, ValueError):  # MuPDF cannot read it
        return False
    mask = (alpha > FAINT_ALPHA).astype(np.uint8)
    covered = int(mask.sum())
    if covered < DRAWN_PX**2 // 16 or not 0.3 < mask.shape[0] / mask.shape[1] < 3:
        return False
    if max(mask[0].mean(), mask[-1].mean(), mask[:, 0].mean(), mask[:, -1].mean()) > MOST_RIM:
        return False
    parts = cv2.connectedComponentsWithStats(mask)[2][1:, cv2.CC_STAT_AREA]
    opened = cv2.morphologyEx(mask, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    return bool(parts.max() >= ONE_THING * covered and opened.sum() >= SOLID * covered)


def _drawn(path: Path, longest_px: int) -> tuple[Pixels, float]:
    """A drawing with its SVG page `longest_px` long, and pixels per unit of that page."""
    pymupdf.TOOLS.mupdf_display_errors(False)
    with pymupdf.open(path) as drawing:
        page = drawing[0]
        scale = longest_px / max(page.rect.width, page.rect.height)
        pixmap = page.get_pixmap(matrix=pymupdf.Matrix(scale, scale), alpha=True)
    premultiplied = Image.frombytes("RGBa", (pixmap.width, pixmap.height), pixmap.samples)
    return np.asarray(premultiplied.convert("RGBA")), scale


def _drawn_to(path: Path, width: int, height: int) -> Figure:
    small = _ink_box(_drawn(path, DRAWN_PX)[0], FAINT_ALPHA)
    larger = min(width / (small[2] - small[0]), height / (small[3] - small[1]))
    rgba, scale = _drawn(path, round(DRAWN_PX * larger))
    left, top, right, bottom = _ink_box(rgba, 128)
    return Figure(np.ascontiguousarray(rgba[top:bottom, left:right]), path, scale, (left, top))


def _ink_box(rgba: Pixels, least: int) -> tuple[int, int, int, int]:
    rows, cols = np.nonzero(rgba[..., 3] >= least)
    return int(cols.min()), int(rows.min()), int(cols.max()) + 1, int(rows.max()) + 1
