"""A page in the making: pieces are laid on a background and what is where is written down.

A piece is only laid where a person would see it: along at least `SEEN` of its edge, its own colour must differ
from the background's by more than the background's own roughness, and what of it differs must reach to all four
sides of its box.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from .grounds import Ground
from .pieces import Piece
from .truth import Truth, traced

Field = NDArray[Any]

COARSER = 10  # page pixels to a cell of the map of what is taken
RIM_PX = 60  # pieces keep off the page's edge
SEEN = 0.95
REACH_PX = 6  # how far from the side of its box a piece may begin to show
FINER = 3  # sub-pixels for the edge of a leaning piece
PAD = 4


@dataclass(frozen=True)
class Shadow:
    """A soft shadow: how far it falls, its blur (standard deviation) and its depth (0 to 1)."""

    right: int
    down: int
    blur: float
    depth: float


@dataclass(frozen=True)
class _Laid:
    """A piece in its place: colours, cover (0 to 1), the page pixel of its corner, the map from its own pixels."""

    colours: Field
    cover: Field
    left: int
    top: int
    matrix: Field


@dataclass
class ComposedPage:
    """A page in the making.

    Attributes
    ----------
    pixels : ndarray
        float32, shape (rows, cols, 3).
    roughness : float
        Of its background.
    alpha : ndarray or None
        float32, shape (rows, cols), 0 to 1, where the page is transparent.
    truths : list of Truth
        What was laid down so far.
    """

    pixels: Field
    roughness: float = 0.0
    alpha: Field | None = None
    truths: list[Truth] = field(default_factory=list)
    taken: Field = field(init=False)

    def __post_init__(self) -> None:
        self.taken = np.zeros((self.height // COARSER + 1, self.width // COARSER + 1), bool)

    @classmethod
    def on(cls, ground: Ground, transparent: bool = False) -> ComposedPage:
        """A page on a background."""
        alpha = np.zeros(ground.pixels.shape[:2], np.float32) if transparent else None
        return cls(ground.pixels, ground.roughness, alpha)

    @property
    def width(self) -> int:
        """Columns."""
        return int(self.pixels.shape[1])

    @property
    def height(self) -> int:
        """Rows."""
        return int(self.pixels.shape[0])

    def free_place(
        self, rng: np.random.Generator, width: float, height: float, gap: float, tries: int = 80
    ) -> tuple[float, float] | None:
        """Where a box can lie that far from all others; the place is taken then."""
        room = self.width - 2 * RIM_PX - width, self.height - 2 * RIM_PX - height
        if min(room) <= 0:
            return None
        for _ in range(tries):
            x, y = RIM_PX + rng.uniform(0, room[0]), RIM_PX + rng.uniform(0, room[1])
            if not self.taken[self._cells(x, y, width, height, gap)].any():
                self.take(x, y, width, height)
                return float(x), float(y)
        return None

    def take(self, x: float, y: float, width: float, height: float) -> None:
        """Let no other piece lie here."""
        self.taken[self._cells(x, y, width, height, 0)] = True

    def lay(
        self,
        piece: Piece,
        x: float,
        y: float,
        lean_deg: float = 0.0,
        shadow: Shadow | None = None,
        **facts: Any,
    ) -> bool:
        """Lay a piece with the corner of its box at a place, leaning clockwise.

        Parameters
        ----------
        piece : Piece
            What is laid.
        x, y : float
            Page pixels of the left and top of the box around it.
        lean_deg : float
            Its lean.
        shadow : Shadow, optional
            What it casts.
        **facts
            Fields of `Truth` other than the usual.

        Returns
        -------
        bool
            False where nobody would see its edge; the page is left as it was.
        """
        laid = _upright(piece, x, y) if lean_deg == 0 else _leaning(piece, x, y, lean_deg)
        there, part = self._meeting(laid)
        cover = laid.cover[part]
        if self.alpha is None and not self._is_seen(piece, laid.colours[part], cover, self.pixels[there]):
            return False
        if shadow:
            self._shade(laid, shadow)
        self.pixels[there] += cover[..., None] * (laid.colours[part] - self.pixels[there])
        if self.alpha is not None:
            self.alpha[there] = np.maximum(self.alpha[there], cover)
        self.truths.append(_truth(piece, laid, cover, (there[1].start, there[0].start), lean_deg, facts))
        return True

    def _cells(self, x: float, y: float, width: float, height: float, gap: float) -> tuple[slice, slice]:
        left, top = max(0, int((x - gap) / COARSER)), max(0, int((y - gap) / COARSER))
        return np.s_[top : int((y + height + gap) / COARSER) + 1, left : int((x + width + gap) / COARSER) + 1]

    def _meeting(self, laid: _Laid) -> tuple[tuple[slice, slice], tuple[slice, slice]]:
        """Where a piece meets the page, in page pixels and in its own."""
        rows, cols = laid.cover.shape
        left, top = max(laid.left, 0), max(laid.top, 0)
        right, bottom = min(laid.left + cols, self.width), min(laid.top + rows, self.height)
        own = np.s_[top - laid.top : bottom - laid.top, left - laid.left : right - laid.left]
        return np.s_[top:bottom, left:right], own

    def _is_seen(self, piece: Piece, colours: Field, cover: Field, behind: Field) -> bool:
        inside = (cover >= 0.5).astype(np.uint8)
        rim = inside - cv2.erode(
            inside, np.ones((5, 5), np.uint8), borderType=cv2.BORDER_CONSTANT, borderValue=0
        )
        at = rim > 0
        step = np.abs(colours - behind).max(2)
        least = piece.edge_step + 1.5 * self.roughness
        if not at.any() or np.mean(step[at] >= least) < SEEN:
            return False
        shown = inside * (step >= least)
        return bool(np.abs(np.subtract(cv2.boundingRect(shown), cv2.boundingRect(inside))).max() <= REACH_PX)

    def _shade(self, laid: _Laid, shadow: Shadow) -> None:
        wide = int(3 * shadow.blur) + 1
        soft = cv2.copyMakeBorder(laid.cover, wide, wide, wide, wide, cv2.BORDER_CONSTANT)
        soft = cv2.GaussianBlur(soft, (0, 0), shadow.blur)
        fallen = _Laid(
            laid.colours, soft, laid.left - wide + shadow.right, laid.top - wide + shadow.down, laid.matrix
        )
        there, part = self._meeting(fallen)
        self.pixels[there] *= (1 - soft[part] * shadow.depth)[..., None]


def bounds_of(piece: Piece, lean_deg: float) -> tuple[float, float]:
    """Width and height of the box around a leaning piece."""
    rows, cols = piece.rgba.shape[:2]
    if lean_deg == 0:
        return cols, rows
    turn = np.radians(abs(lean_deg))
    across, down = abs(np.cos(turn)), abs(np.sin(turn))
    return cols * across + rows * down + 2 * PAD, rows * across + cols * down + 2 * PAD


def _upright(piece: Piece, x: float, y: float) -> _Laid:
    left, top = round(x), round(y)
    matrix = np.array([[1, 0, left], [0, 1, top]], float)
    rgba = piece.rgba.astype(np.float32)
    return _Laid(rgba[..., :3], rgba[..., 3] / 255, left, top, matrix)


def _leaning(piece: Piece, x: float, y: float, lean_deg: float) -> _Laid:
    """Turned about its corner; matrices map corners of pixels, OpenCV's map their middles."""
    rows, cols = piece.rgba.shape[:2]
    turn = np.radians(lean_deg)
    spin = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    corners = np.array([(0, 0), (cols, 0), (cols, rows), (0, rows)]) @ spin.T
    shift = np.array([x, y]) - corners.min(0)
    left, top = int(x) - 2, int(y) - 2
    size = tuple(int(v) + 6 for v in np.ptp(corners, 0))
    matrix = np.column_stack([spin, shift])
    own = matrix - [[0, 0, left], [0, 0, top]]
    padded = cv2.copyMakeBorder(piece.rgba[..., :3], PAD, PAD, PAD, PAD, cv2.BORDER_REPLICATE)
    cover = cv2.copyMakeBorder(piece.rgba[..., 3], PAD, PAD, PAD, PAD, cv2.BORDER_CONSTANT)
    colours = cv2.warpAffine(padded, _for_middles(own, 1), size, borderMode=cv2.BORDER_REPLICATE)
    fine = cv2.warpAffine(cover, _for_middles(own, FINER), (size[0] * FINER, size[1] * FINER))
    cover = cv2.resize(fine, size, interpolation=cv2.INTER_AREA).astype(np.float32) / 255
    return _Laid(colours.astype(np.float32), cover, left, top, matrix)


def _for_middles(matrix: Field, finer: int) -> Field:
    """A map of corners (from padded pixels, to sub-pixels) as one of middles, as OpenCV counts."""
    spin = matrix[:, :2]
    shift = matrix[:, 2] - spin @ [PAD, PAD]
    return np.column_stack([spin * finer, finer * (shift + spin @ [0.5, 0.5]) - 0.5])


def _truth(
    piece: Piece, laid: _Laid, cover: Field, corner: tuple[int, int], lean_deg: float, facts: dict[str, Any]
) -> Truth:
    known: dict[str, Any] = {
        "kind": piece.kind,
        "rectangular": piece.rectangular,
        "angle_deg": lean_deg,
        "parts": piece.parts,
    }
    is_cut = cover.shape != laid.cover.shape
    if is_cut and lean_deg:
        known["rectangular"] = False
    if piece.rectangular and not is_cut:
        rows, cols = piece.rgba.shape[:2]
        corners = (
            np.array([(0, 0), (cols, 0), (cols, rows), (0, rows)]) @ laid.matrix[:, :2].T + laid.matrix[:, 2]
        )
        known |= {"outlines": [corners.round(3).tolist()], "holes": []}
    return traced(cover >= 0.5, *corner, **known | facts)
