"""Tells the picture of an element from what was set on it: wording on plain ground, panels, ruled lines.

A sharp caption under a soft photograph would make the whole look sharp. Wording is ink on one plain tone:
most of a square has that tone, and some of it is far from it. A panel or a rule has an edge that runs dead
straight along one row or column of pixels, which no photograph does for long. Both are left out where
enough picture remains to be measured by itself; line art that is nothing but ink on plain ground is kept.
"""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.detail.tiles import LOOKED_AT, Luma, Tiles

SQUARE_TILES = 2  # a square is this many tiles wide: wide enough to hold a letter and its ground
BINS = 32  # of luma: 8 values each
PLAIN_SHARE = 0.5  # of a square in the commonest tone and its neighbours
BARE_SHARE = 0.9  # the same for a square without ink
INK_BINS = 11  # ink is at least 88 values from the ground
LEAST_WORDED = 4  # squares of wording that hang together
STROKES = 2.0  # times a line across a square passes between ground and ink: one edge of a thing is no letter
LEAST_BUSY_SHARE = 0.03  # of all tiles: a smaller rest does not speak for the element
LEAST_BUSY_TILES = 24
BUSY_SPREAD = 5.0  # standard deviation of a tile, in values of luma
RULED_STEP = 20  # values of luma from one pixel to the next
RULED_PX = 48  # dead straight for so long


def without_captions(tiles: Tiles) -> Tiles | None:
    """The tiles that show picture; None where nothing is to be left out or too little would be left."""
    wording, ruled = _wording(tiles), _ruled(tiles)
    if not ((wording | ruled) & tiles.measured).any():
        return None
    # A tile beside the ground or a line still feels its edge.
    near = cv2.dilate(wording.view(np.uint8), np.ones((5, 5), np.uint8)) > 0
    near |= cv2.dilate(ruled.view(np.uint8), np.ones((3, 3), np.uint8)) > 0
    rest = replace(tiles, measured=tiles.measured & ~near)
    if not rest.measured.any():
        return None
    luma = tiles.luma.astype(np.float32)
    mean = rest.means(luma)
    spread = np.sqrt(np.maximum(rest.means(np.square(luma)) - np.square(mean), 0))
    busy = int((spread > BUSY_SPREAD).sum())
    enough = max(LEAST_BUSY_TILES, LEAST_BUSY_SHARE * float(tiles.measured.sum()))
    return rest if busy >= enough else None


def _wording(tiles: Tiles) -> NDArray[np.bool_]:
    """Which tiles are plain ground with wording somewhere on it: bool, shape (tile rows, tile cols)."""
    side = tiles.side * SQUARE_TILES
    rows, cols = tiles.luma.shape
    down, across = -(-rows // side), -(-cols // side)
    tone = tiles.luma // (256 // BINS)
    around = _tones_of_squares(tone, side, down, across)
    ground = around.argmax(axis=1).reshape(down, across)
    most = around.max(axis=1).reshape(down, across)
    bare, plain = most >= BARE_SHARE, most >= PLAIN_SHARE
    worded = plain.copy()
    worded[plain] = _crossings(tone, ground, plain, side) >= STROKES * side
    squares = _with_their_ground(worded, bare, ground)
    repeated = squares.repeat(SQUARE_TILES, axis=0).repeat(SQUARE_TILES, axis=1)
    return np.asarray(repeated[: tiles.measured.shape[0], : tiles.measured.shape[1]], dtype=np.bool_)


def _tones_of_squares(tone: Luma, side: int, down: int, across: int) -> NDArray[np.float64]:
    """The share of each square's pixels in each tone and its two neighbours: shape (squares, BINS)."""
    few = tone[::LOOKED_AT, ::LOOKED_AT].astype(np.int64)
    squares = (np.arange(len(few)) * LOOKED_AT // side)[:, None] * across
    squares = squares + np.arange(few.shape[1]) * LOOKED_AT // side
    counts = np.bincount((squares * BINS + few).ravel(), minlength=down * across * BINS).reshape(-1, BINS)
    shares = np.pad(counts / np.maximum(counts.sum(axis=1, keepdims=True), 1), ((0, 0), (1, 1)))
    return np.asarray(shares[:, :-2] + shares[:, 1:-1] + shares[:, 2:], np.float64)


def _crossings(
    tone: Luma, ground: NDArray[np.int64], plain: NDArray[np.bool_], side: int
) -> NDArray[np.int64]:
    """How often neighbouring pixels of each plain square differ in being ink: shape (plain squares,)."""
    down, across = plain.shape
    padded = np.zeros((down * side, across * side), np.uint8)
    padded[: tone.shape[0], : tone.shape[1]] = tone
    squares = padded.reshape(down, side, across, side).transpose(0, 2, 1, 3)[plain]
    inside = np.zeros_like(padded)
    inside[: tone.shape[0], : tone.shape[1]] = 1
    inside = inside.reshape(down, side, across, side).transpose(0, 2, 1, 3)[plain]
    away = np.abs(squares.astype(np.int16) - ground[plain].astype(np.int16)[:, None, None])
    ink = (away >= INK_BINS) & (inside > 0)
    along = (ink[:, :, 1:] != ink[:, :, :-1]).sum(axis=(1, 2))
    return np.asarray(along + (ink[:, 1:] != ink[:, :-1]).sum(axis=(1, 2)), dtype=np.int64)


def _ruled(tiles: Tiles) -> NDArray[np.bool_]:
    """Which tiles an edge runs through that is one pixel wide and dead straight."""
    found = np.zeros_like(tiles.measured)
    rows, cols = tiles.measured.shape
    across, down = _straight_steps(tiles.luma), _straight_steps(np.ascontiguousarray(tiles.luma.T))
    if across is not None:
        found |= across.reshape(rows, tiles.side, cols, tiles.side).any(axis=(1, 3))
    if down is not None:
        found |= down.T.reshape(rows, tiles.side, cols, tiles.side).any(axis=(1, 3))
    return found


def _straight_steps(luma: Luma) -> NDArray[np.uint8] | None:
    """Long steps between a row and the next: uint8, 0 or 1, the shape of `luma`; None where there is none."""
    step = cv2.absdiff(luma[1:], luma[:-1])
    still = np.zeros((1, luma.shape[1]), np.uint8)
    beside = cv2.max(np.vstack([still, step[:-1]]), np.vstack([step[1:], still]))
    alone = np.zeros(luma.shape, np.uint8)
    # An edge that was enlarged takes several pixels, so the steps beside it are more than half of it.
    alone[1:] = (step > RULED_STEP) & (step >= cv2.add(beside, beside))
    if cv2.reduce(alone, 1, cv2.REDUCE_SUM, dtype=cv2.CV_32S).max() < RULED_PX:
        return None
    line = np.ones((1, RULED_PX), np.uint8)
    return np.asarray(cv2.morphologyEx(alone, cv2.MORPH_OPEN, line), np.uint8)


def _with_their_ground(
    worded: NDArray[np.bool_], bare: NDArray[np.bool_], ground: NDArray[np.int64]
) -> NDArray[np.bool_]:
    """Squares of wording and the bare squares of the same tone that hang together with them.

    Nothing where no few of wording hang together: a beetle on a leaf out of focus has a plain ground too.
    """
    squares = worded.copy()
    most = 0
    for tone in np.unique(ground[worded]):
        same = (worded | bare) & (np.abs(ground - tone) <= 1)
        count, part = cv2.connectedComponents(same.astype(np.uint8), connectivity=8)
        parts = np.asarray(part)
        held = np.bincount(parts[worded & (ground == tone)], minlength=count)
        squares |= same & (held > 0)[parts]
        most = max(most, int(np.bincount(parts[worded & same], minlength=count).max()))
    return squares if most >= LEAST_WORDED else np.zeros_like(worded)
