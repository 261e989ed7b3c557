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

from kitprep.detail.tiles import Tiles

SQUARE_TILES = 2  # a square is this many tiles wide: wide enough to hold a letter and its ground
BINS = 32  # of luma: 8 values each
PLAIN_SHARE = 0.5  # of a square in the commonest tone and its neighbours
BARE_SHARE = 0.9  # the same for a square without ink
INK_BINS = 11  # ink is at least 88 values from the ground
STROKES = 2.0  # times a line across a square passes between ground and ink: one edge of a thing is no letter
LEAST_BUSY_SHARE = 0.1  # of all tiles: a smaller rest does not speak for the element
LEAST_BUSY_TILES = 24
BUSY_SPREAD = 5.0  # standard deviation of a tile, in values of luma
RULED_STEP = 20.0  # values of luma from one pixel to the next
RULED_ALONE = 2.0  # times the steps before and after: an edge that was enlarged takes several pixels
RULED_PX = 48  # dead straight for so long


def without_captions(tiles: Tiles) -> Tiles | None:
    """The tiles that show picture; None where nothing is to be left out or too little would be left."""
    wording, ruled = _wording(tiles), _ruled(tiles)
    if not ((wording | ruled) & tiles.measured).any():
        return None
    # A tile beside the ground or a line still feels its edge.
    near = cv2.dilate(wording.astype(np.uint8), np.ones((5, 5), np.uint8)) > 0
    near |= cv2.dilate(ruled.astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
    rest = replace(tiles, measured=tiles.measured & ~near)
    if not rest.measured.any():
        return None
    mean = rest.means(tiles.luma)
    spread = np.sqrt(np.maximum(rest.means(np.square(tiles.luma)) - np.square(mean), 0))
    busy = int((spread > BUSY_SPREAD).sum())
    enough = max(LEAST_BUSY_TILES, LEAST_BUSY_SHARE * float(tiles.measured.sum()))
    return rest if busy >= enough else None


def _wording(tiles: Tiles) -> NDArray[np.bool_]:
    """Which tiles are plain ground with wording somewhere on it: bool, shape (tile rows, tile cols)."""
    side = tiles.side * SQUARE_TILES
    rows, cols = tiles.luma.shape
    down, across = -(-rows // side), -(-cols // side)
    square = (np.arange(rows) // side)[:, None] * across + np.arange(cols) // side
    tone = np.clip(tiles.luma, 0, 255).astype(np.int64) * BINS // 256
    counts = np.bincount((square * BINS + tone).ravel(), minlength=down * across * BINS)
    counts = counts.reshape(-1, BINS)
    shares = counts / np.maximum(counts.sum(axis=1, keepdims=True), 1)
    padded = np.pad(shares, ((0, 0), (1, 1)))
    around = padded[:, :-2] + padded[:, 1:-1] + padded[:, 2:]
    ground = around.argmax(axis=1)
    bare, plain = (around.max(axis=1).reshape(down, across) >= share for share in (BARE_SHARE, PLAIN_SHARE))
    ink = np.abs(tone - ground[square]) >= INK_BINS
    worded = plain & (_crossings(ink, down, across, side) >= STROKES * side)
    squares = _with_their_ground(worded, bare, ground.reshape(down, across))
    repeated = squares.repeat(SQUARE_TILES, axis=0).repeat(SQUARE_TILES, axis=1)
    return np.asarray(repeated[: tiles.measured.shape[0], : tiles.measured.shape[1]], dtype=np.bool_)


def _ruled(tiles: Tiles) -> NDArray[np.bool_]:
    """Which tiles an edge runs through that is one pixel wide and dead straight."""
    across, down = _straight_steps(tiles.luma), _straight_steps(np.ascontiguousarray(tiles.luma.T)).T
    rows, cols = tiles.measured.shape
    lines = np.maximum(across, down)[: rows * tiles.side, : cols * tiles.side]
    blocks = lines.reshape(rows, tiles.side, cols, tiles.side)
    return np.asarray(blocks.max(axis=(1, 3)) > 0, dtype=np.bool_)


def _straight_steps(luma: NDArray[np.float32]) -> NDArray[np.uint8]:
    """Long steps between a row and the next: uint8, 0 or 1, the shape of `luma`."""
    step = np.abs(np.diff(luma, axis=0, prepend=luma[:1], append=luma[-1:]))
    beside = np.maximum(step[:-2], step[2:]) if len(step) > 2 else step[1:-1]
    alone = np.zeros(luma.shape, np.uint8)
    alone[1:] = (step[1:-1] > RULED_STEP) & (step[1:-1] >= RULED_ALONE * beside)
    line = np.ones((1, RULED_PX), np.uint8)
    return np.asarray(cv2.morphologyEx(alone, cv2.MORPH_OPEN, line), np.uint8)


def _with_their_ground(
    worded: NDArray[np.bool_], bare: NDArray[np.bool_], ground: NDArray[np.int64]
) -> NDArray[np.bool_]:
    """Squares of wording and the bare squares of the same tone that hang together with them."""
    squares = worded.copy()
    for tone in np.unique(ground[worded]):
        same = (worded | bare) & (np.abs(ground - tone) <= 1)
        _, part = cv2.connectedComponents(same.astype(np.uint8), connectivity=8)
        squares |= same & np.isin(part, np.unique(np.asarray(part)[worded & (ground == tone)]))
    return squares


def _crossings(ink: NDArray[np.bool_], down: int, across: int, side: int) -> NDArray[np.int64]:
    """How often neighbouring pixels of each square differ in being ink: shape (down, across)."""
    padded = np.zeros((down * side, across * side), dtype=np.bool_)
    padded[: ink.shape[0], : ink.shape[1]] = ink
    squares = padded.reshape(down, side, across, side)
    along = (squares[..., 1:] != squares[..., :-1]).sum(axis=(1, 3))
    return np.asarray(along + (squares[:, 1:] != squares[:, :-1]).sum(axis=(1, 3)), dtype=np.int64)
