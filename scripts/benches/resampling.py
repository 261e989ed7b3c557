"""Shrinking by 2 and by 3.7, beside scikit-image and Pillow, on scikit-image's bundled pictures.

The reference is what the eye takes in from farther off: the mean light under each new pixel (an exact box
over light, IEC 61966-2-1). SSIM and PSNR are means over all pictures. Times are of a letter page. Enlarging is
measured on pictures halved, reduced by 2 and 3, and enlarged again.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image
from skimage import data, transform
from skimage.metrics import peak_signal_noise_ratio, structural_similarity

from kitprep.piece.resampling import resize

PICTURES = ("astronaut", "camera", "chelsea", "coffee", "coins", "rocket", "moon", "page", "text", "brick",
            "grass", "gravel", "cell", "immunohistochemistry", "colorwheel", "retina",
            "hubble_deep_field")  # fmt: skip
FACTORS = (2.0, 3.7)
ENLARGED_BY = (2, 3)
PAGE_PX = (2550, 3300)
ROUNDS = 5
BEST_DB = 60.0  # an exact match counts as this


def run(report: Callable[[str], None]) -> None:
    """Measure and report similarity to the reference, and times."""
    for factor in FACTORS:
        found = {name: _figures(make, factor) for name, make in _MAKERS.items()}
        for name, (similarity, decibels) in found.items():
            report(f"shrink by {factor:g}, {name}: SSIM {similarity:.4f}, PSNR {decibels:.2f} dB")
    for by in ENLARGED_BY:
        found = {name: _enlarging_figures(make, by) for name, make in _ENLARGERS.items()}
        for name, (similarity, decibels) in found.items():
            report(f"enlarge by {by}, {name}: SSIM {similarity:.4f}, PSNR {decibels:.2f} dB")
    ours, theirs = _times()
    report(f"halving a letter page: {ours * 1000:.0f} ms, Pillow Lanczos {theirs * 1000:.0f} ms, "
           f"ratio {ours / theirs:.2f} (aim 3)")  # fmt: skip


def _figures(make: Callable[..., NDArray[np.uint8]], factor: float) -> tuple[float, float]:
    similar, decibels = [], []
    for name in PICTURES:
        pixels = getattr(data, name)()
        pixels = np.ascontiguousarray(pixels[..., :3] if pixels.ndim == 3 else pixels)
        new_px = int(pixels.shape[1] / factor), int(pixels.shape[0] / factor)
        made, reference = make(pixels, new_px), _mean_light(pixels, new_px)
        channel = {"channel_axis": 2} if pixels.ndim == 3 else {}
        similar.append(structural_similarity(made, reference, **channel))
        same = np.array_equal(made, reference)
        decibels.append(BEST_DB if same else min(peak_signal_noise_ratio(reference, made), BEST_DB))
    return float(np.mean(similar)), float(np.mean(decibels))


def _enlarging_figures(make: Callable[..., NDArray[np.uint8]], by: int) -> tuple[float, float]:
    similar, decibels = [], []
    for name in PICTURES:
        pixels = getattr(data, name)()
        pixels = np.ascontiguousarray(pixels[..., :3] if pixels.ndim == 3 else pixels)
        small_px = pixels.shape[1] // 2 // by, pixels.shape[0] // 2 // by
        truth = resize(pixels, (small_px[0] * by, small_px[1] * by))
        made = make(resize(truth, small_px), truth.shape[1::-1])
        channel = {"channel_axis": 2} if pixels.ndim == 3 else {}
        similar.append(structural_similarity(made, truth, **channel))
        decibels.append(peak_signal_noise_ratio(truth, made))
    return float(np.mean(similar)), float(np.mean(decibels))


def _bicubic(pixels: NDArray[np.uint8], size_px: tuple[int, int]) -> NDArray[np.uint8]:
    return np.asarray(Image.fromarray(pixels).resize(size_px, Image.Resampling.BICUBIC))


def _bilinear(pixels: NDArray[np.uint8], size_px: tuple[int, int]) -> NDArray[np.uint8]:
    return np.asarray(Image.fromarray(pixels).resize(size_px, Image.Resampling.BILINEAR))


def _kitprep(pixels: NDArray[np.uint8], size_px: tuple[int, int]) -> NDArray[np.uint8]:
    return resize(pixels, size_px)


def _pillow(pixels: NDArray[np.uint8], size_px: tuple[int, int]) -> NDArray[np.uint8]:
    return np.asarray(Image.fromarray(pixels).resize(size_px, Image.Resampling.LANCZOS))


def _scikit_image(pixels: NDArray[np.uint8], size_px: tuple[int, int]) -> NDArray[np.uint8]:
    shape = (*size_px[::-1], *pixels.shape[2:])
    return np.rint(transform.resize(pixels, shape, anti_aliasing=True, preserve_range=True)).astype(np.uint8)


_MAKERS = {"kitprep": _kitprep, "Pillow Lanczos": _pillow, "scikit-image": _scikit_image}
_ENLARGERS = {"kitprep": _kitprep, "Pillow bicubic": _bicubic, "Pillow bilinear": _bilinear}


def _mean_light(pixels: NDArray[np.uint8], size_px: tuple[int, int]) -> NDArray[np.uint8]:
    code = pixels / 255
    light = np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)
    mean = cv2.resize(light, size_px, interpolation=cv2.INTER_AREA)
    code = np.where(mean <= 0.0031308, mean * 12.92, 1.055 * mean ** (1 / 2.4) - 0.055)
    return np.rint(np.clip(code, 0, 1) * 255).astype(np.uint8)


def _times() -> tuple[float, float]:
    """The shortest time of kitprep and of Pillow, run in turns so that a busy machine slows both alike."""
    page = np.random.default_rng(7).integers(0, 256, (*PAGE_PX[::-1], 3), dtype=np.uint8)
    half = PAGE_PX[0] // 2, PAGE_PX[1] // 2
    taken: dict[str, list[float]] = {"ours": [], "theirs": []}
    for _ in range(ROUNDS):
        for name, make in (("ours", _kitprep), ("theirs", _pillow)):
            start = time.perf_counter()
            make(page, half)
            taken[name].append(time.perf_counter() - start)
    return min(taken["ours"]), min(taken["theirs"])
