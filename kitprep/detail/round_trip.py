"""How far a picture can be shrunk and enlarged again before it changes.

For each factor k the picture is shrunk by k and enlarged back; what a tile loses by that is E_k. In the
tiles with the finest detail the loss starts at the factor by which the picture could be smaller: a picture
enlarged s times loses almost nothing until k passes s, nowhere. So a few of the finest tiles speak for the
picture: a beetle in focus may sit among blossoms that are not. One cheap round trip over all of it finds
them, and only they, and some quiet ones that tell the noise, take the others.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.detail.spectrum import fine_share
from kitprep.detail.tiles import AROUND_PX, Tiles

FACTORS = (1.15, 1.3, 1.5, 1.75, 2.0, 2.35, 2.75, 3.2, 3.8, 4.5, 5.5, 7.0)
SHARP_SHARE = 0.19  # of the finest detail: a picture with more is sharp, and its factor not asked for
FINE_AT = 1.5  # what is lost here is fine detail,
COARSER_AT = 3.2  # and here where all of it that is finer drowns in grain
DROWNED = 3.0  # times what quiet tiles lose: the finest ones lose no more than that by grain alone
TOP = 16  # finest tiles that are looked at
QUIET = 16  # tiles whose loss is noise,
QUIET_SHARE = 0.1  # about this quantile of the fine loss
LOST = 0.3  # the share of the greatest loss that marks the factor
FACTOR_OF_CROSSING = (0.365, 2.02)  # gain and power, fitted to pictures enlarged 2 to 4 times


@dataclass(frozen=True, slots=True)
class RoundTrip:
    """What a round trip says.

    Parameters
    ----------
    factor : float
        By how much the picture could be smaller, 1 or more.
    crossing : float
        The factor of shrinking at which the loss starts: what `factor` comes from.
    fine_share : float
        From `kitprep.detail.spectrum`: a sharp picture's is above 0.19, that of one enlarged twice below.
    contrast : float
        Root of the mean loss at the largest factor in the tiles looked at, above noise; in values of luma.
    noise : float
        Root of the mean loss at that factor in the quietest tiles.
    """

    factor: float
    crossing: float
    fine_share: float
    contrast: float
    noise: float


def losses(tiles: Tiles, factor: float) -> NDArray[np.float32]:
    """What each measured tile loses by one round trip, to a byte: mean square, float32, shape (tiles,)."""
    rows, cols = tiles.luma.shape
    small_px = max(round(cols / factor), 2), max(round(rows / factor), 2)
    small = cv2.resize(tiles.luma, small_px, interpolation=cv2.INTER_AREA)
    back = cv2.resize(small, (cols, rows), interpolation=cv2.INTER_CUBIC)
    lost = cv2.absdiff(tiles.luma, back)
    return tiles.means(np.asarray(cv2.multiply(lost, lost, dtype=cv2.CV_32F), np.float32))


def fineness(tiles: Tiles) -> NDArray[np.float32]:
    """By what to rank the measured tiles: the more, the finer what a tile shows; float32, shape (tiles,)."""
    lost = losses(tiles, FINE_AT)
    drowned = lost[finest(lost)].mean() < DROWNED * np.quantile(lost, QUIET_SHARE)
    return losses(tiles, COARSER_AT) if drowned else lost


def round_trip(tiles: Tiles, fine: NDArray[np.float32]) -> RoundTrip:
    """Measure how far the picture in some tiles can be shrunk; `fine` ranks them."""
    squares = tiles.with_surroundings(np.concatenate([finest(fine), _quiet(fine)]))
    tops = min(TOP, len(fine))
    greatest, noise = _loss(squares, tops, FACTORS[-1])
    found = RoundTrip(1.0, 1.0, fine_share(squares, tops), math.sqrt(greatest), math.sqrt(noise))
    if found.fine_share >= SHARP_SHARE or greatest == 0:
        return found
    crossing = _crossing(squares, tops, greatest)
    return replace(found, factor=_factor(crossing), crossing=crossing)


def finest(fine: NDArray[np.float32]) -> NDArray[np.int64]:
    """The tiles that speak for a picture, of those whose fine detail is given."""
    if len(fine) <= TOP:
        return np.arange(len(fine))
    return np.asarray(np.argpartition(fine, -TOP)[-TOP:], np.int64)


def _quiet(fine: NDArray[np.float32]) -> NDArray[np.int64]:
    order = np.argsort(fine, kind="stable")
    middle = round(QUIET_SHARE * len(order))
    return np.asarray(order[max(middle - QUIET // 2, 0) : middle + QUIET // 2], np.int64)


def _crossing(squares: NDArray[np.float32], tops: int, greatest: float) -> float:
    """The factor at which the share of the greatest loss passes `LOST`, interpolated in its logarithm.

    The more a picture is shrunk, the more it loses, so the passage is closed in on by halves.
    """
    low, high = 0, len(FACTORS) - 1
    below, over = _share(squares, tops, greatest, low), 1.0
    if below >= LOST:
        return FACTORS[0]
    while high - low > 1:
        middle = (low + high) // 2
        share = _share(squares, tops, greatest, middle)
        if share >= LOST:
            high, over = middle, share
        else:
            low, below = middle, share
    least, most = math.log(FACTORS[low]), math.log(FACTORS[high])
    return math.exp(least + (LOST - below) / (over - below) * (most - least))


def _share(squares: NDArray[np.float32], tops: int, greatest: float, number: int) -> float:
    return math.sqrt(_loss(squares, tops, FACTORS[number])[0] / greatest)


def _loss(squares: NDArray[np.float32], tops: int, factor: float) -> tuple[float, float]:
    """What the finest tiles, the first ones, lose beyond noise; and noise."""
    lost = _losses(squares, factor)
    noise = float(np.median(lost[tops:]))
    return max(float(lost[:tops].mean()) - noise, 0.0), noise


def _losses(squares: NDArray[np.float32], factor: float) -> NDArray[np.float32]:
    """What the tile in the middle of each square loses by one round trip: float32, shape (squares,)."""
    count, across, _ = squares.shape
    small = round(across / factor)
    column = squares.reshape(count * across, across)
    # Every square is shrunk to whole pixels, so that none takes anything from its neighbour.
    shrunk = cv2.resize(column, (small, small * count), interpolation=cv2.INTER_AREA)
    back = cv2.resize(shrunk, (across, across * count), interpolation=cv2.INTER_CUBIC)
    lost = np.square(column - back).reshape(squares.shape)
    inner = slice(AROUND_PX, across - AROUND_PX)
    return np.asarray(lost[:, inner, inner].mean(axis=(1, 2)), np.float32)


def _factor(crossing: float) -> float:
    gain, power = FACTOR_OF_CROSSING
    return max(1.0, gain * math.pow(crossing, power))
