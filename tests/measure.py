"""Measures printed sheets: renders a PDF with either of two engines and finds ink where it should be.

Places are in the paper's own `Length` from its top left corner, y down; differences are in millimetres.
Lines are found by the centre of their darkness, ends by where darkness falls to a half, both to a fraction
of a pixel, so that 300 pixels per inch (0.085 mm each) measure to about 0.01 mm.
"""

from __future__ import annotations

from enum import Enum
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from kitprep.lengths import Box, Length, mm
from kitprep.sheet import Line

MM_PER_INCH = 25.4
EDGE_DOUBT = mm("0.02")  # by which a renderer's anti-aliasing may smear an edge
_AROUND_PX = 5  # how far beside a line its darkness is gathered
_INK = 24  # of 255: darker than the background by this much is ink


class Engine(Enum):
    """A PDF renderer. The two share no code."""

    PYMUPDF = "pymupdf"
    PYPDFIUM2 = "pypdfium2"


def rendered(pdf: Path, ppi: int, engine: Engine, page: int = 0) -> NDArray[np.uint8]:
    """A page as uint8 RGB, shape (rows, cols, 3)."""
    if engine is Engine.PYMUPDF:
        import pymupdf

        with pymupdf.open(pdf) as document:
            pixmap = document[page].get_pixmap(dpi=ppi, alpha=False)
            return np.frombuffer(pixmap.samples, np.uint8).reshape(pixmap.height, pixmap.width, 3).copy()
    return _rendered_by_pypdfium2(pdf, ppi, page)


def _rendered_by_pypdfium2(pdf: Path, ppi: int, page: int, *, grey: bool = False) -> NDArray[np.uint8]:
    """Drawn through a matrix, since the usual call stretches the page to a whole number of pixels."""
    import ctypes

    import pypdfium2
    from pypdfium2 import raw

    with pypdfium2.PdfDocument(pdf) as document:
        opened = document[page]
        columns, rows = (int(np.ceil(side * ppi / 72 - 1e-6)) for side in opened.get_size())
        kind = raw.FPDFBitmap_Gray if grey else raw.FPDFBitmap_BGRx
        bitmap = pypdfium2.PdfBitmap.new_native(columns, rows, kind)
        bitmap.fill_rect((255, 255, 255, 255), 0, 0, columns, rows)
        matrix = raw.FS_MATRIX(ppi / 72, 0, 0, ppi / 72, 0, 0)
        clip = raw.FS_RECTF(0, 0, columns, rows)
        flags = raw.FPDF_ANNOT | (raw.FPDF_GRAYSCALE if grey else raw.FPDF_REVERSE_BYTE_ORDER)
        raw.FPDF_RenderPageBitmapWithMatrix(bitmap, opened, ctypes.byref(matrix), ctypes.byref(clip), flags)
        pixels = bitmap.to_numpy()
        return np.ascontiguousarray(pixels.reshape(rows, columns, -1)[..., :3])


def rendered_darkness(pdf: Path, ppi: int, engine: Engine, page: int = 0) -> NDArray[np.float32]:
    """`darkness` of a page, rendered in grey, which takes a third of the memory."""
    if engine is Engine.PYMUPDF:
        import pymupdf

        with pymupdf.open(pdf) as document:
            pixmap = document[page].get_pixmap(dpi=ppi, alpha=False, colorspace=pymupdf.csGRAY)
            grey = np.frombuffer(pixmap.samples, np.uint8).reshape(pixmap.height, pixmap.width)
            return 1 - grey.astype(np.float32) / 255
    return 1 - _rendered_by_pypdfium2(pdf, ppi, page, grey=True)[..., 0].astype(np.float32) / 255


def darkness(picture: NDArray[np.uint8]) -> NDArray[np.float32]:
    """0 for paper white to 1 for black, float32, shape (rows, cols)."""
    return 1 - picture.sum(axis=2, dtype=np.uint16).astype(np.float32) / (3 * 255)


def box_px(box: Box, ppi: int) -> tuple[float, float, float, float]:
    """Left, top, right, bottom of a box in pixels."""
    return box.left.pixels(ppi), box.top.pixels(ppi), box.right.pixels(ppi), box.bottom.pixels(ppi)


def has_ink(dark: NDArray[np.float32], ppi: int, box: Box) -> bool:
    """Whether any pixel that lies wholly in a box, and 0.02 mm from its edge, is inked."""
    left, top, right, bottom = box_px(box.grown(-EDGE_DOUBT), ppi)
    inside = dark[int(np.ceil(top)) : int(bottom), int(np.ceil(left)) : int(right)]
    return bool(inside.size and inside.max() * 255 > _INK)


def line_offset_mm(dark: NDArray[np.float32], ppi: int, line: Line) -> float:
    """How far an upright or level line lies from its place, across it; infinite where there is no ink."""
    band, start = _band(dark, ppi, line)
    if not band.any():
        return float("inf")
    length = band.shape[1]
    across = band[:, length // 4 : max(length // 4 + 1, 3 * length // 4)].mean(axis=1)
    centre = float((across * (np.arange(len(across)) + 0.5)).sum() / across.sum()) + start
    at = line.x0 if line.x0 == line.x1 else line.y0
    return (centre - at.pixels(ppi)) / ppi * MM_PER_INCH


def line_ends_mm(dark: NDArray[np.float32], ppi: int, line: Line) -> tuple[float, float]:
    """How far the two ends of a lone line lie from their places, along it."""
    upright = line.x0 == line.x1
    planned = sorted((line.y0, line.y1) if upright else (line.x0, line.x1))
    first, last = (end.pixels(ppi) for end in planned)
    band, _ = _band(dark, ppi, line, beyond=_AROUND_PX)
    along = band.sum(axis=0)
    full = np.median(along[along > along.max() / 2])
    offset = max(0, int(first) - _AROUND_PX)
    return tuple(  # type: ignore[return-value]
        (found + offset - end) / ppi * MM_PER_INCH
        for found, end in zip(_half_places(along / full), (first, last), strict=True)
    )


def _band(
    dark: NDArray[np.float32], ppi: int, line: Line, beyond: int = 0
) -> tuple[NDArray[np.float32], int]:
    """Darkness around a line, shape (across, along), and the pixel at which it starts across."""
    upright = line.x0 == line.x1
    at = (line.x0 if upright else line.y0).pixels(ppi)
    ends = sorted(end.pixels(ppi) for end in ((line.y0, line.y1) if upright else (line.x0, line.x1)))
    start = max(0, int(at) - _AROUND_PX)
    along = slice(max(0, int(ends[0]) - beyond), int(np.ceil(ends[1])) + beyond)
    across = slice(start, int(at) + _AROUND_PX + 1)
    return (dark[along, across].T if upright else dark[across, along]), start


def _half_places(profile: NDArray[np.float32]) -> tuple[float, float]:
    """Where a run of about ones among zeros starts and ends, from the share of its end pixels."""
    full = np.flatnonzero(profile > 0.5)
    first, last = int(full[0]), int(full[-1])
    before = profile[first - 1] if first else 0.0
    after = profile[last + 1] if last + 1 < len(profile) else 0.0
    start = first + (1 - min(1.0, profile[first])) - before
    end = last + min(1.0, profile[last]) + after
    return float(start), float(end)


def spot_mm(dark: NDArray[np.float32], ppi: int, x: Length, y: Length, radius_px: int) -> tuple[float, float]:
    """How far the centre of a light spot on dark, or dark on light, lies from (x, y)."""
    column, row = int(x.pixels(ppi)), int(y.pixels(ppi))
    top, left = row - radius_px, column - radius_px
    around = dark[top : row + radius_px + 1, left : column + radius_px + 1]
    weight = np.abs(around - np.median(around[0]))
    weight[weight < 0.2] = 0
    rows, columns = np.indices(weight.shape) + 0.5
    found_x = (weight * columns).sum() / weight.sum() + left
    found_y = (weight * rows).sum() / weight.sum() + top
    return (
        float((found_x - x.pixels(ppi)) / ppi * MM_PER_INCH),
        float((found_y - y.pixels(ppi)) / ppi * MM_PER_INCH),
    )


def psnr_db(one: NDArray[np.uint8], other: NDArray[np.uint8]) -> float:
    """Peak signal-to-noise ratio of two pictures of one size; infinite where they are equal."""
    error = float(((one.astype(np.float64) - other) ** 2).mean())
    return float("inf") if error == 0 else float(10 * np.log10(255**2 / error))
