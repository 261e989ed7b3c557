"""How often the measured detail is right, on pictures of which the truth is known.

Sources are scikit-image's and scikit-learn's bundled pictures, reduced so far that they are truly sharp, then
enlarged, coded as JPEG, given grain, cut out of a white page, given a sharp caption, or blurred but for a small
part, as a close-up is. The constants of `kitprep.detail` were fitted to the pictures in `FITTED`, to Debian's
mate-backgrounds, gnome-backgrounds and plasma-workspace-wallpapers, and looked over on all bundled ones.
Those of the joint factor were fitted to every second case of all bundled ones, and to 24 drawings of
openclipart-svg that are not drawn here. So the figures to quote are those of pictures from elsewhere:

KITPREP_BENCH_PICTURES may name a folder of photographs (such as those of Debian's lomiri-wallpapers). Each is
reduced to 512 px across, and at least 2.5 times, all by the same rule; whether they are sharp then is for
whoever chose them to say. KITPREP_BENCH_CLIP_ART may name a folder of SVG drawings (such as that of Debian's
openclipart-svg): `DRAWINGS` of them, taken by a fixed draw, are drawn at 600 px and measured inside their
outline.
"""

from __future__ import annotations

import io
import os
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import cv2
import numpy as np
import pymupdf
from numpy.typing import NDArray
from PIL import Image
from skimage import data
from sklearn.datasets import load_sample_image

from kitprep.detail import measure_detail

Pixels = NDArray[np.uint8]

FITTED = ("astronaut", "coins", "brick", "rocket", "gravel", "page", "flower", "chelsea")
HALVED = ("astronaut", "camera", "coffee", "coins", "rocket", "brick", "grass", "gravel", "page", "text",
          "immunohistochemistry", "hubble_deep_field", "china", "flower", "motorcycle_left")  # fmt: skip
THIRDED = ("chelsea",)  # these hold less than half of their pixel count
FIFTHED = ("retina",)
SOFT = 0.625
KERNELS = {
    "nearest": Image.Resampling.NEAREST,
    "bilinear": Image.Resampling.BILINEAR,
    "bicubic": Image.Resampling.BICUBIC,
    "lanczos": Image.Resampling.LANCZOS,
}
FACTORS = (1.5, 2.0, 2.5, 3.0, 4.0)
PHOTOGRAPHS = (".jpg", ".jpeg", ".png", ".webp")
PHOTOGRAPH_PX = 512
REDUCED_AT_LEAST = 2.5
DRAWINGS = 40
DRAWING_PX = 600
DRAW = 77  # seed
LEAST_COVERED = 0.15  # of the drawing's box, else there is nothing to measure
LEAST_DRAWN = 2.0  # mean of the Laplacian, likewise
FOCUS_PX = 40  # radius of what stays sharp in a close-up
OUT_OF_FOCUS_PX = 4.0  # sigma of the rest
SPEED_PX = 1000
ROUNDS = 7

Found = list[tuple[float, float | None]]
"""True factor and measured detail of each case."""


def run(report: Callable[[str], None]) -> None:
    """Measure and report shares of right answers, errors of the factor, and the time of one element."""
    for title, wanted in (("pictures not fitted to", False), ("pictures fitted to", True)):
        names = [name for name in (*HALVED, *THIRDED, *FIFTHED) if (name in FITTED) is wanted]
        _report_set(report, f"{title} ({len(names)})", names)
    if folder := os.environ.get("KITPREP_BENCH_PICTURES"):
        photographs = sorted(path for path in Path(folder).rglob("*") if path.suffix.lower() in PHOTOGRAPHS)
        _report_set(
            report, f"photographs of {folder} ({len(photographs)})", [str(path) for path in photographs]
        )
    if folder := os.environ.get("KITPREP_BENCH_CLIP_ART"):
        drawings = list(_drawings(Path(folder)))
        found = [case for drawing, mask in drawings for case in _plain_cases(drawing, mask)]
        report(f"drawings of {folder} ({len(drawings)})")
        _report_kind(report, "cut out", found)
    report(
        f"a {SPEED_PX} x {SPEED_PX} px element: {_seconds() * 1000:.0f} ms (aim 150), OpenCV on one thread"
    )


def _report_set(report: Callable[[str], None], title: str, names: list[str]) -> None:
    report(title)
    plain = [case for name in names for case in _plain_cases(_sharp(name))]
    _report_kind(report, "plain", plain)
    for kind, change in (("cut out", _cut_out), ("captioned", _captioned)):
        found = [(factor, measure_detail(*change(_enlarged(_sharp(name), factor, "bicubic"))))
                 for name in names for factor in (1.0, 2.0, 3.0)]  # fmt: skip
        _report_kind(report, kind, found)
    found = [(factor, measure_detail(_enlarged(_close_up(_sharp(name)), factor, "bicubic")))
             for name in names for factor in (1.0, 2.0, 3.0)]  # fmt: skip
    _report_kind(report, "close-up", found)


def _report_kind(report: Callable[[str], None], kind: str, found: Found) -> None:
    sharp = [detail for factor, detail in found if factor == 1]
    large = [(factor, detail) for factor, detail in found if factor >= 2]
    between = [detail for factor, detail in found if 1 < factor < 2]
    told = [(factor, detail) for factor, detail in large if detail is not None]
    errors = [abs(1 / detail / factor - 1) for factor, detail in told]
    line = (
        f"  {kind}: sharp called soft {_share(_soft(sharp))} of {len(sharp)} (aim at most 2 %), "
        f"enlarged 2x or more called soft {_share(_soft([d for _, d in large]))} of {len(large)} (aim 97 %), "
        f"cannot tell {_share([detail is None for _, detail in found])} (aim at most 4 %)"
    )
    report(line)
    report(
        f"    factor at 2x or more: median error {np.median(errors):.1%}, within 25 % in "
        f"{_share([error <= 0.25 for error in errors])} (aim 90 %)"
        + (f"; enlarged 1.5x called soft {_share(_soft(between))}" if between else "")
    )


def _soft(details: list[float | None]) -> list[bool]:
    return [detail is not None and detail <= SOFT for detail in details]


def _share(true: list[bool]) -> str:
    return f"{np.mean(true):.1%}"


def _plain_cases(
    sharp: Pixels, mask: NDArray[np.bool_] | None = None
) -> Iterator[tuple[float, float | None]]:
    for pixels in (sharp, _as_jpeg(sharp, 75), _as_jpeg(sharp, 90), _grained(sharp)):
        yield 1.0, measure_detail(pixels, mask)
    for factor in FACTORS:
        for kernel in KERNELS:
            if kernel == "nearest" and factor != int(factor):
                continue
            large = _enlarged(sharp, factor, kernel)
            inside = None if mask is None else _mask_of(mask, large)
            yield factor, measure_detail(large, inside)
            coded = _as_jpeg(large, 80) if kernel in ("nearest", "bicubic") else _grained(large)
            yield factor, measure_detail(coded, inside)


def _mask_of(mask: NDArray[np.bool_], large: Pixels) -> NDArray[np.bool_]:
    size_px = large.shape[1], large.shape[0]
    return np.asarray(cv2.resize(mask.astype(np.uint8) * 255, size_px, interpolation=cv2.INTER_LINEAR)) > 127


def _drawings(folder: Path) -> Iterator[tuple[Pixels, NDArray[np.bool_]]]:
    """Drawings on white with what they cover; those that cannot be drawn or show next to nothing are left out."""
    paths = sorted(folder.rglob("*.svg"))
    drawn = 0
    for number in np.random.default_rng(DRAW).permutation(len(paths)):
        pixels = _drawn(paths[number])
        if pixels is None or (pixels[..., 3] > 250).mean() < LEAST_COVERED:
            continue
        on_white = np.rint(pixels[..., :3] + 255.0 - pixels[..., 3:]).clip(0, 255).astype(np.uint8)
        laplacian = np.abs(cv2.Laplacian(on_white.mean(axis=2), cv2.CV_64F))
        if np.minimum(laplacian, 60).mean() >= LEAST_DRAWN:
            yield on_white, pixels[..., 3] > 127
            drawn += 1
        if drawn == DRAWINGS:
            return


def _drawn(path: Path) -> Pixels | None:
    """A drawing with premultiplied alpha; None where MuPDF cannot draw it."""
    try:
        with pymupdf.open(path) as document:
            across = max(document[0].rect.width, document[0].rect.height)
            zoom = pymupdf.Matrix(DRAWING_PX / across, DRAWING_PX / across)
            drawn = document[0].get_pixmap(matrix=zoom, alpha=True)
    except (RuntimeError, ValueError, ZeroDivisionError, IndexError):
        return None
    return np.frombuffer(drawn.samples, np.uint8).reshape(drawn.height, drawn.width, 4)


def _sharp(name: str) -> Pixels:
    """A bundled picture, reduced so that every pixel of it is real."""
    if Path(name).suffix.lower() in PHOTOGRAPHS:
        photograph = Image.open(name).convert("RGB")
        by = max(REDUCED_AT_LEAST, photograph.width / PHOTOGRAPH_PX)
        size_px = round(photograph.width / by), round(photograph.height / by)
        return np.asarray(photograph.resize(size_px, Image.Resampling.LANCZOS))
    if name in ("china", "flower"):
        pixels = load_sample_image(f"{name}.jpg")
    elif name == "motorcycle_left":
        pixels = np.asarray(Image.open(Path(data.__file__).parent / "motorcycle_left.png").convert("RGB"))
    else:
        pixels = getattr(data, name)()
    pixels = np.dstack([pixels] * 3) if pixels.ndim == 2 else pixels[..., :3]
    picture = Image.fromarray(np.ascontiguousarray(pixels))
    by = 3 if name in THIRDED else 5 if name in FIFTHED else 2
    return np.asarray(picture.resize((picture.width // by, picture.height // by), Image.Resampling.LANCZOS))


def _enlarged(pixels: Pixels, factor: float, kernel: str) -> Pixels:
    if factor == 1:
        return pixels
    picture = Image.fromarray(pixels)
    size = round(picture.width * factor), round(picture.height * factor)
    return np.asarray(picture.resize(size, KERNELS[kernel]))


def _as_jpeg(pixels: Pixels, quality: int) -> Pixels:
    file = io.BytesIO()
    Image.fromarray(pixels).save(file, "JPEG", quality=quality)
    return np.asarray(Image.open(file).convert("RGB"))


def _grained(pixels: Pixels) -> Pixels:
    grain = np.random.default_rng(1).normal(0, 3, (*pixels.shape[:2], 1))
    return np.clip(pixels + grain, 0, 255).astype(np.uint8)


def _close_up(pixels: Pixels) -> Pixels:
    """The picture out of focus but for its busiest part."""
    grey = cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY).astype(np.float32)
    busy = np.minimum(np.abs(cv2.Laplacian(grey, cv2.CV_32F)), 60)
    margin = min(FOCUS_PX + 10, min(grey.shape) // 3)
    inner = cv2.boxFilter(busy, -1, (65, 65))[margin:-margin, margin:-margin]
    row, col = np.unravel_index(int(inner.argmax()), inner.shape)
    focus = np.zeros(grey.shape, np.float32)
    cv2.circle(focus, (int(col) + margin, int(row) + margin), FOCUS_PX, 1.0, -1, cv2.LINE_AA)
    share = cv2.GaussianBlur(focus, (0, 0), 4)[..., None]
    blurred = cv2.GaussianBlur(pixels, (0, 0), OUT_OF_FOCUS_PX).astype(np.float32)
    return np.rint(pixels * share + blurred * (1 - share)).astype(np.uint8)


def _cut_out(pixels: Pixels) -> tuple[Pixels, NDArray[np.bool_]]:
    rows, cols = pixels.shape[:2]
    mask = np.zeros((rows, cols), np.uint8)
    cv2.ellipse(mask, (cols // 2, rows // 2), (cols * 2 // 5, rows * 2 // 5), 0, 0, 360, 255, -1, cv2.LINE_AA)
    share = mask[..., None] / 255
    return np.rint(pixels * share + 255 * (1 - share)).astype(np.uint8), mask > 127


def _captioned(pixels: Pixels) -> tuple[Pixels]:
    pixels = pixels.copy()
    rows, cols = pixels.shape[:2]
    cv2.rectangle(pixels, (0, rows - 70), (cols, rows), (250, 246, 235), -1)
    for line in range(3):
        place = (8, rows - 50 + 20 * line)
        cv2.putText(pixels, "Gathered by lantern light", place, cv2.FONT_HERSHEY_COMPLEX, 0.5, (30, 20, 20), 1,
                    cv2.LINE_AA)  # fmt: skip
    return (pixels,)


def _seconds() -> float:
    """The shortest time to measure a square element, with OpenCV on one thread."""
    picture = Image.fromarray(_sharp("china")).resize((SPEED_PX, SPEED_PX), Image.Resampling.BICUBIC)
    pixels, threads = np.asarray(picture), cv2.getNumThreads()
    cv2.setNumThreads(1)
    taken = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        measure_detail(pixels)
        taken.append(time.perf_counter() - start)
    cv2.setNumThreads(threads)
    return min(taken)
