"""A box drawn by hand goes to the nearest true edges, which may lean a little or be soft.

Each side is looked at in short pieces; within each the colours are averaged, so that noise does not count,
and the places where they step lie on a line if there is an edge. Coordinates are those of the pixels given:
x to the right, y down, (0, 0) the corner of the first pixel.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.pages import PixelBox
from kitprep.split.edges import STRAIGHT

REACH = 0.05  # in; the nearest true edge within this is meant
PIECES = 32  # into which a side is cut
BLUNT = 0.008  # in; colours this far on either side of a place are compared, so that soft edges step too
LEAST_STEP = 8.0  # levels of Lab: a step a person would see
MOST_STEP = 40.0  # a stronger one is no truer
STEPPED = 0.6  # of a side along which there must be a step for it to be a true edge
AS_TRUE = 0.5  # of the strongest step within reach; the nearest of those that have it is meant
CORNER_SHARE = 0.04  # of a side, left out at its ends, where the other sides' edges meet it
ONE_LEAN = 0.35  # degrees; sides that lean within this of each other are those of a leaning rectangle


@dataclass(frozen=True, slots=True)
class Snapped:
    """A rectangle of true edges.

    Parameters
    ----------
    corners : ndarray
        float, shape (4, 2), clockwise from the top left one.
    angle_deg : float
        Lean clockwise; 0 where it stands upright.
    found : tuple of bool
        Top, right, bottom, left: whether there was an edge; else the side is where it was drawn.
    """

    corners: NDArray[Any]
    angle_deg: float
    found: tuple[bool, bool, bool, bool]


@dataclass(frozen=True, slots=True)
class _Line:
    """A side: where it is at its middle, and how far it goes sideways for each pixel along."""

    at: float
    slope: float
    found: bool


def snapped(pixels: NDArray[np.uint8], ppi: tuple[float, float], box: PixelBox) -> Snapped:
    """Move each side of a box to the nearest true edge within 0.05 in, if there is one.

    Parameters
    ----------
    pixels : ndarray
        uint8, shape (rows, cols, 3 or 4), sRGB with or without straight alpha.
    ppi : tuple of float
        Pixels per inch across and down.
    box : PixelBox
        On them, of some area.
    """
    turned = pixels.transpose(1, 0, 2)
    top = _side(turned, ppi[1], box.top, (box.left, box.right), outer=-1)
    bottom = _side(turned, ppi[1], box.bottom, (box.left, box.right), outer=1)
    left = _side(pixels, ppi[0], box.left, (box.top, box.bottom), outer=-1)
    right = _side(pixels, ppi[0], box.right, (box.top, box.bottom), outer=1)
    found = (top.found, right.found, bottom.found, left.found)
    lean = _common_lean(top, right, bottom, left)
    x, y = (box.left + box.right) / 2, (box.top + box.bottom) / 2
    if lean:
        return Snapped(
            _leaning(top, right, bottom, left, lean, (x, y)), float(np.degrees(np.arctan(lean))), found
        )
    corners = [(left.at, top.at), (right.at, top.at), (right.at, bottom.at), (left.at, bottom.at)]
    return Snapped(np.array(corners, float), 0.0, found)


def _common_lean(top: _Line, right: _Line, bottom: _Line, left: _Line) -> float:
    """The tangent of the angle that the sides with an edge lean by, if three or more agree; else 0."""
    leans = [line.slope for line in (top, bottom) if line.found]
    leans += [-line.slope for line in (left, right) if line.found]
    if len(leans) < 3 or max(leans) - min(leans) > np.tan(np.radians(ONE_LEAN)):
        return 0.0
    lean = float(np.median(leans))
    return lean if abs(lean) >= np.tan(np.radians(STRAIGHT)) else 0.0


def _leaning(
    top: _Line, right: _Line, bottom: _Line, left: _Line, lean: float, middle: tuple[float, float]
) -> NDArray[Any]:
    """The corners where sides of one lean meet."""
    corners = []
    for level, upright in ((top, left), (top, right), (bottom, right), (bottom, left)):
        # y = level.at + lean (x - mx) and x = upright.at - lean (y - my)
        x = (upright.at - lean * (level.at - lean * middle[0] - middle[1])) / (1 + lean * lean)
        corners.append((x, level.at + lean * (x - middle[0])))
    return np.array(corners)


def _side(pixels: NDArray[np.uint8], ppi: float, at: int, span: tuple[int, int], outer: int) -> _Line:
    """The edge nearest to an upright side; the side as it was drawn where there is none."""
    drawn = _Line(float(at), 0.0, False)
    reach, blunt = REACH * ppi, max(1, round(BLUNT * ppi))
    spare = round(reach) + 2 * blunt
    low, high = max(0, at - spare), min(pixels.shape[1], at + spare)
    inset = round(CORNER_SHARE * (span[1] - span[0]))
    start, end = span[0] + inset, span[1] - inset
    if high - low < 2 * blunt + 1 or end - start < 4:
        return drawn
    steps = _steps(_pieces(pixels[start:end, low:high]), blunt)
    places = np.arange(low + blunt, high - blunt + 1)
    near = np.abs(places - at) <= reach
    along = (np.arange(len(steps)) + 0.5) / len(steps) - 0.5
    line = _best_line(steps, places, near, at, along, blunt, reach, outer)
    return drawn if line is None else _refined(steps, places, line, along, blunt, end - start)


def _pieces(strip: NDArray[np.uint8]) -> NDArray[Any]:
    """Mean colours of short pieces along a strip: float32, shape (pieces, columns, 3 or 4)."""
    lab = cv2.cvtColor(np.ascontiguousarray(strip[..., :3]), cv2.COLOR_RGB2LAB)
    layers = lab if strip.shape[2] == 3 else np.dstack([lab, strip[..., 3]])
    count = min(PIECES, len(layers))
    return cv2.resize(
        layers.astype(np.float32), (layers.shape[1], count), interpolation=cv2.INTER_AREA
    ).reshape(count, layers.shape[1], -1)


def _steps(pieces: NDArray[Any], blunt: int) -> NDArray[Any]:
    """How far colours before and behind each place differ: float32, shape (pieces, columns - 2 blunt + 1)."""
    sums = np.cumsum(np.pad(pieces, ((0, 0), (1, 0), (0, 0))), axis=1)
    means = (sums[:, blunt:] - sums[:, :-blunt]) / blunt
    return np.asarray(np.abs(means[:, blunt:] - means[:, :-blunt]).max(axis=2))


def _best_line(
    steps: NDArray[Any],
    places: NDArray[Any],
    near: NDArray[Any],
    at: int,
    along: NDArray[Any],
    blunt: int,
    reach: float,
    outer: int,
) -> tuple[float, float] | None:
    """Middle and sideways course, in pixels over the whole side, of the nearest line of steps."""
    lines: list[tuple[float, float, float, float]] = []
    for course in sorted(range(-2 * round(reach), 2 * round(reach) + 1), key=abs):
        shift = np.round(along * course).astype(int)
        index = np.clip(np.arange(len(places))[None] + shift[:, None], 0, len(places) - 1)
        moved = np.take_along_axis(steps, index, axis=1)
        seen = near & ((moved >= LEAST_STEP).mean(axis=0) >= STEPPED)
        sharp, strength = moved.mean(axis=0), np.minimum(moved, MOST_STEP).mean(axis=0)
        lines += [
            (float(sharp[i]), float(strength[i]), float(places[i]), float(course))
            for i in np.flatnonzero(seen)
        ]
    ridges = _ridges(lines, 2 * blunt + 1)
    if not ridges:
        return None
    least = AS_TRUE * max(strength for _, strength, _, _ in ridges)
    true = [line for line in ridges if line[1] >= least]
    _, _, middle, across = min(true, key=lambda line: (round(abs(line[2] - at)), -outer * line[2]))
    return middle, across


def _ridges(
    lines: list[tuple[float, float, float, float]], apart: float
) -> list[tuple[float, float, float, float]]:
    """The sharpest lines, without those whose middle lies beside that of a sharper one."""
    kept: list[tuple[float, float, float, float]] = []
    for line in sorted(lines, key=lambda line: (-line[0], abs(line[3]))):
        if all(abs(line[2] - other[2]) >= apart for other in kept):
            kept.append(line)
    return kept


def _refined(
    steps: NDArray[Any],
    places: NDArray[Any],
    line: tuple[float, float],
    along: NDArray[Any],
    blunt: int,
    length: int,
) -> _Line:
    """A straight line through the centres of the steps near a course, outliers left out."""
    expected = line[0] + along * line[1]
    offsets = places[None] - expected[:, None]
    weights = np.where(np.abs(offsets) <= 1.5 * blunt + 1, steps, 0.0)
    weights = np.where(weights >= 0.5 * weights.max(axis=1, keepdims=True), weights, 0.0)
    seen = weights.max(axis=1) >= LEAST_STEP
    centre = (weights * places[None]).sum(axis=1) / np.maximum(weights.sum(axis=1), 1e-9)
    for limit in (4.0, 1.5, 1.0):
        if seen.sum() < 3:
            break
        slope, level = np.polyfit(along[seen], centre[seen], 1)
        seen = seen & (np.abs(centre - level - slope * along) <= limit)
    return _Line(float(level), float(slope) / length, True) if seen.sum() >= 3 else _Line(line[0], 0.0, True)
