"""A copper-plate engraver's way of drawing: washes of colour under lines that swell with the shade.

A `Plate` is drawn at twice its printed size and reduced at the end. Each form covers what lies under it, so a
motif is drawn from the back to the front. The roundness of a form comes from the height of a soap film over its
outline (Poisson's equation with zero edge), which for a circle is exactly a sphere.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import cv2
import numpy as np
from numpy.typing import NDArray

from .curves import Frame, Points, PointsLike, resampled
from .noise import Field, clouds, smoothstep
from .palette import INK, Colour

SCALE = 2  # plate pixels to one printed pixel
SHIFT = 4  # OpenCV draws with this many binary places below the pixel
LIGHT = (-0.52, -0.62, 0.59)  # from the upper left, towards the eye
FILM_GRID = 96  # the soap film is solved on a grid no larger than this


@dataclass(frozen=True)
class Hatch:
    """How a tone is turned into lines.

    Attributes
    ----------
    angle
        Direction of the lines in degrees, clockwise from the horizontal.
    pitch
        Distance between lines in printed pixels.
    bow
        How far the lines bend round the form, as a share of its height.
    start
        Tone at which lines begin.
    cross
        Tone at which a second set of lines begins; above 1 there is none.
    weight
        How wide lines become in full tone, as a share of the pitch.
    """

    angle: float = -32.0
    pitch: float = 5.0
    bow: float = 0.9
    start: float = 0.2
    cross: float = 0.66
    weight: float = 0.85


def film_height(mask: Field) -> Field:
    """Solve the height of a soap film over a mask: a circle becomes a half sphere.

    Parameters
    ----------
    mask
        Cover from 0 to 1, shape (rows, columns).

    Returns
    -------
    Field
        Height in pixels of the mask, same shape.
    """
    rows, columns = mask.shape
    shrink = max(1.0, max(rows, columns) / FILM_GRID)
    size = (max(4, round(columns / shrink)), max(4, round(rows / shrink)))
    small = np.pad(cv2.resize(mask, size, interpolation=cv2.INTER_AREA), 2)
    film = np.zeros_like(small)
    for level in (8, 4, 2, 1):
        shape = (max(3, small.shape[1] // level), max(3, small.shape[0] // level))
        inside = cv2.resize(small, shape, interpolation=cv2.INTER_AREA)
        film = cv2.resize(film, shape, interpolation=cv2.INTER_LINEAR)
        source = np.float32(level * level / 4)
        for _ in range(60):
            around = np.zeros_like(film)
            around[1:-1, 1:-1] = film[:-2, 1:-1] + film[2:, 1:-1] + film[1:-1, :-2] + film[1:-1, 2:]
            film = (around / 4 + source) * inside
    height = 2 * np.sqrt(np.maximum(film[2:-2, 2:-2], 0)) * np.float32(shrink)
    return cv2.resize(height, (columns, rows), interpolation=cv2.INTER_CUBIC)


def hatch_lines(
    tone: Field, x: Field, y: Field, lift: Field | float, hatch: Hatch, wobble: Field | float
) -> Field:
    """Turn a tone into lines whose width follows it.

    Parameters
    ----------
    tone
        0 is light, 1 is dark.
    x, y
        Plate pixels of each place.
    lift
        Height in plate pixels by which the lines are bent.
    hatch
        How the lines run.
    wobble
        Unsteadiness of the hand in plate pixels.

    Returns
    -------
    Field
        Ink from 0 to 1.
    """
    ink = _one_set(tone, x, y, lift, hatch, hatch.angle, hatch.start, wobble)
    if hatch.cross < 1:
        second = _one_set(tone, x, y, lift, hatch, hatch.angle + 62, hatch.cross, wobble)
        ink = np.maximum(ink, second)
    return ink


def _one_set(
    tone: Field,
    x: Field,
    y: Field,
    lift: Field | float,
    hatch: Hatch,
    angle: float,
    start: float,
    wobble: Field | float,
) -> Field:
    turn = math.radians(angle)
    pitch = hatch.pitch * SCALE
    across = -math.sin(turn) * x + math.cos(turn) * y + hatch.bow * lift + wobble
    off = np.abs(np.mod(across / pitch, 1.0) - 0.5)
    width = np.clip((tone - start) / max(1.0 - start, 0.05), 0, 1) ** 0.8 * hatch.weight
    return np.clip(0.5 + (width / 2 - off) * pitch, 0, 1).astype(np.float32) * (width > 0.04)


class Patch:
    """One form on the plate while it is being worked: its mask, shape, tone, colour and lines.

    Attributes
    ----------
    mask
        Cover from 0 to 1, shape (rows, columns) of the form's box on the plate.
    x, y
        Printed pixel of each place, so that motifs can compute with their own coordinates.
    rgb
        Colour, shape (rows, columns, 3).
    tone
        Shade, 0 light to 1 dark.
    ink
        Line ink, 0 to 1.
    """

    def __init__(self, box: tuple[int, int, int, int], mask: Field, plate: Plate) -> None:
        self.box = box
        self.mask = mask
        self._plate = plate
        x0, y0, x1, y1 = box
        rows, columns = np.mgrid[y0:y1, x0:x1].astype(np.float32)
        self._px, self._py = columns, rows
        self.x, self.y = columns / SCALE, rows / SCALE
        self.tone: Field = np.zeros_like(mask)
        self.rgb = np.ones((*mask.shape, 3), np.float32)
        self.ink: Field = np.zeros_like(mask)

    @cached_property
    def height(self) -> Field:
        """Height of the rounded form in plate pixels."""
        return film_height(self.mask)

    def in_frame(self, frame: Frame) -> tuple[Field, Field]:
        """Give each pixel's place in a frame's own units, x and y."""
        origin, right, down = frame.at([(0, 0), (1, 0), (0, 1)])
        (ax, ay), (bx, by) = right - origin, down - origin
        det = ax * by - ay * bx
        dx, dy = self.x - origin[0], self.y - origin[1]
        return ((dx * by - dy * bx) / det).astype(np.float32), ((dy * ax - dx * ay) / det).astype(np.float32)

    def light(
        self, roundness: float = 1.0, towards: tuple[float, float, float] = LIGHT, ambient: float = 0.0
    ) -> Patch:
        """Shade the form as a round body."""
        soft = cv2.GaussianBlur(self.height * roundness, (0, 0), max(1.0, float(self.height.max()) * 0.05))
        dy, dx = np.gradient(soft)
        lit = (-dx * towards[0] - dy * towards[1] + towards[2]) / np.sqrt(dx * dx + dy * dy + 1)
        self.tone = np.clip(1 - np.maximum(lit, ambient), 0, 1).astype(np.float32)
        return self

    def wash(
        self, paint: Colour, shadow: Colour | None = None, depth: float = 0.55, mottle: float = 0.06
    ) -> Patch:
        """Lay a wash that deepens with the tone, uneven as water leaves it, darker along its edge."""
        dark = np.array(shadow if shadow is not None else tuple(c * 0.55 for c in paint), np.float32)
        share = np.clip(self.tone * depth, 0, 1)[..., None]
        self.rgb = np.array(paint, np.float32) * (1 - share) + dark * share
        rows, columns = self.mask.shape
        uneven = clouds(rows, columns, 26 * SCALE, self._plate.rng) * mottle
        edge = np.clip(1 - self.height / (5.0 * SCALE), 0, 1) * 0.1
        self.rgb *= (1 + uneven - edge)[..., None]
        return self

    def tint(self, paint: Colour, share: Field) -> Patch:
        """Float another colour in where `share` says."""
        amount = np.clip(share, 0, 1)[..., None]
        self.rgb = self.rgb * (1 - amount) + np.array(paint, np.float32) * amount
        return self

    def hatch(self, hatch: Hatch) -> Patch:
        """Engrave the tone as lines."""
        rows, columns = self.mask.shape
        wobble = clouds(rows, columns, 34 * SCALE, self._plate.rng) * (0.35 * SCALE)
        lines = hatch_lines(self.tone, self._px, self._py, self.height, hatch, wobble)
        self.ink = np.maximum(self.ink, lines)
        return self


class Plate:
    """A tile that is drawn on at twice its size.

    Parameters
    ----------
    width, height
        Printed size in pixels.
    seed
        Seed of the plate's random numbers.
    ink
        Colour of its lines.
    """

    def __init__(self, width: int, height: int, seed: int, ink: Colour = INK) -> None:
        self.width, self.height = width, height
        self.line_colour = ink
        self.rng = np.random.default_rng(seed)
        shape = (height * SCALE, width * SCALE)
        self.rgb = np.ones((*shape, 3), np.float32)
        self.cover = np.zeros(shape, np.float32)
        self.ink = np.zeros(shape, np.float32)

    def patch(self, outline: PointsLike, holes: list[Points] | None = None) -> Patch:
        """Begin a form with this outline, in printed pixels."""
        points = np.asarray(outline, np.float64) * SCALE
        x0, y0 = np.floor(points.min(axis=0)).astype(int) - 3
        x1, y1 = np.ceil(points.max(axis=0)).astype(int) + 4
        x0, y0 = max(int(x0), 0), max(int(y0), 0)
        x1, y1 = max(min(int(x1), self.width * SCALE), x0 + 2), max(min(int(y1), self.height * SCALE), y0 + 2)
        inside = [points] + [hole * SCALE for hole in holes or []]
        canvas = np.zeros((y1 - y0, x1 - x0), np.uint8)
        fixed = [np.round((p - (x0, y0)) * (1 << SHIFT)).astype(np.int32) for p in inside]
        cv2.fillPoly(canvas, fixed, 255, cv2.LINE_AA, SHIFT)
        return Patch((x0, y0, x1, y1), canvas.astype(np.float32) / 255, self)

    def lay(self, patch: Patch, strength: float = 1.0) -> None:
        """Put a finished form over what is there."""
        x0, y0, x1, y1 = patch.box
        mask = patch.mask * np.float32(strength)
        there = (slice(y0, y1), slice(x0, x1))
        self.rgb[there] += (patch.rgb - self.rgb[there]) * mask[..., None]
        self.cover[there] = np.maximum(self.cover[there], mask)
        self.ink[there] = self.ink[there] * (1 - mask) + patch.ink * mask

    def line(
        self,
        points: PointsLike,
        width: float | list[float],
        strength: float = 1.0,
        paint: Colour | None = None,
    ) -> None:
        """Engrave one line whose width may change along it.

        Parameters
        ----------
        points
            Its course in printed pixels.
        width
            Width in printed pixels; several are spread evenly along the line.
        strength
            Ink from 0 to 1.
        paint
            Paint the line in this colour instead of inking it, for what must show on a dark ground.
        """
        course = resampled(points, 2.5) * SCALE
        widths = np.interp(np.linspace(0, 1, len(course)), np.linspace(0, 1, np.size(width)), np.ravel(width))
        there, drawn = self._swept(course, widths * SCALE)
        drawn *= np.float32(strength)
        if paint is None:
            self.ink[there] = np.maximum(self.ink[there], drawn)
        else:
            self.rgb[there] += (np.array(paint, np.float32) - self.rgb[there]) * drawn[..., None]
            self.cover[there] = np.maximum(self.cover[there], drawn)
            self.ink[there] *= 1 - drawn

    def contour(self, outline: PointsLike, width: float = 1.8, shade_side: float = 0.9) -> None:
        """Draw round a form, heavier where it turns away from the light."""
        course = resampled(outline, 2.5, closed=True)
        course = np.vstack([course, course[:2]]) * SCALE
        along = np.gradient(course, axis=0)
        normal = np.column_stack([along[:, 1], -along[:, 0]])
        normal /= np.maximum(np.hypot(normal[:, 0], normal[:, 1]), 1e-9)[:, None]
        if _signed_area(course) < 0:
            normal = -normal
        away = -(normal @ np.array(LIGHT[:2])) / math.hypot(*LIGHT[:2])
        swell = cv2.GaussianBlur(clouds(1, len(course), 18, self.rng), (0, 0), 3)[0]
        widths = width * SCALE * np.clip(0.75 + shade_side * 0.6 * away + 0.15 * swell, 0.35, 2)
        there, drawn = self._swept(course, widths)
        self.ink[there] = np.maximum(self.ink[there], drawn)

    def _swept(self, course: Points, widths: NDArray[np.float64]) -> tuple[tuple[slice, slice], Field]:
        """Cover of a line of changing width, and the part of the plate it lies in."""
        reach = int(widths.max()) + 4
        x0, y0 = np.maximum(np.floor(course.min(axis=0)).astype(int) - reach, 0)
        x1 = min(int(course[:, 0].max()) + reach + 1, self.width * SCALE)
        y1 = min(int(course[:, 1].max()) + reach + 1, self.height * SCALE)
        there = (slice(int(y0), max(y1, int(y0))), slice(int(x0), max(x1, int(x0))))
        canvas = np.zeros(self.ink[there].shape, np.uint8)
        if canvas.size == 0:
            return there, canvas.astype(np.float32)
        along = np.gradient(course, axis=0)
        along /= np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-9)[:, None]
        across = np.column_stack([-along[:, 1], along[:, 0]]) * (np.maximum(widths, 0.6) / 2)[:, None]
        left, right = course + across - (x0, y0), course - across - (x0, y0)
        quads = np.stack([left[:-1], left[1:], right[1:], right[:-1]], axis=1)
        for quad in np.round(quads * (1 << SHIFT)).astype(np.int32):
            cv2.fillConvexPoly(canvas, quad, 255, cv2.LINE_AA, SHIFT)
        return there, canvas.astype(np.float32) / 255

    def printed(self, unevenness: float = 0.18, step: float = 0.0) -> NDArray[np.float32]:
        """Pull the print: colour and alpha at printed size.

        Parameters
        ----------
        unevenness
            How far the ink's density varies.
        step
            Colours are rounded to this step, so that a lossless file stays small; 0 keeps them.

        Returns
        -------
        ndarray
            float32, shape (height, width, 4), straight alpha.
        """
        rows, columns = self.ink.shape
        patchy = clouds(rows, columns, 9, self.rng) * 0.5 + clouds(rows, columns, 60, self.rng)
        ink = smoothstep(0.18, 0.82, self.ink + patchy * 0.07)
        ink = ink * (1 - unevenness * np.clip(0.5 + patchy * 0.5, 0, 1))
        cover = np.maximum(self.cover, ink)
        rgb = self.rgb + (np.array(self.line_colour, np.float32) - self.rgb) * ink[..., None]
        whole = np.dstack([rgb * cover[..., None], cover])
        small = cv2.resize(whole, (self.width, self.height), interpolation=cv2.INTER_AREA)
        alpha = small[..., 3:]
        rgb = np.where(alpha > 0.002, small[..., :3] / np.maximum(alpha, 0.002), 0)
        if step:
            rgb = np.round(rgb / step) * step
        return np.dstack([np.clip(rgb, 0, 1), np.clip(alpha, 0, 1)]).astype(np.float32)


def _signed_area(points: Points) -> float:
    x, y = points[:, 0], points[:, 1]
    return float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y) / 2)
