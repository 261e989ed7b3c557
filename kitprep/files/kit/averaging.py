"""Reduces a picture that is transparent in places by whole times, averaging what can be seen.

Pillow weighs every colour by its alpha, over the whole picture at full scale, which takes as long as decoding
it. Most pixels need no weighing: their whole neighbourhood is opaque, or nothing of it can be seen. So all are
averaged plainly, a strip at a time, and only where a neighbourhood is partly transparent is it done again with
weights.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from PIL.Image import Image

STRIP_PIXELS = 1 << 17  # half a megabyte, which stays in a processor's own memory


def averaged(picture: Image, by: int) -> NDArray[Any]:
    """The picture `by` times smaller, its last column and row averaged of what is left for them.

    Parameters
    ----------
    picture : Image
        Of mode LA or RGBA.
    by : int
        At least 1, at most the shorter side.

    Returns
    -------
    ndarray
        uint8, shape (rows, cols, bands), with straight alpha. What cannot be seen at all is 0 in every band.
    """
    import numpy as np

    width, height = picture.size
    rows = -(-height // by)
    reduced = np.empty((rows, -(-width // by), len(picture.getbands())), np.uint8)
    strip_rows = max(1, STRIP_PIXELS // (width * by))
    for row in range(0, rows, strip_rows):
        end = min(row + strip_rows, rows)
        strip = np.asarray(picture.crop((0, row * by, width, min(end * by, height))))
        for into, part in _whole_blocks(reduced[row:end], strip, by):
            _average(into, part)
    return reduced


def _whole_blocks(
    reduced: NDArray[Any], pixels: NDArray[Any], by: int
) -> list[tuple[NDArray[Any], NDArray[Any]]]:
    """Parts of the reduced pixels, each with the pixels it is made of, as many across and down for each."""
    downs = sorted({0, pixels.shape[0] // by, reduced.shape[0]})
    acrosses = sorted({0, pixels.shape[1] // by, reduced.shape[1]})
    return [
        (reduced[top:bottom, left:right], pixels[top * by : bottom * by, left * by : right * by])
        for top, bottom in pairwise(downs)
        for left, right in pairwise(acrosses)
    ]


def _average(reduced: NDArray[Any], pixels: NDArray[Any]) -> None:
    """Fill `reduced`, shape (rows, cols, bands), with averages of equal blocks of `pixels`."""
    import cv2
    import numpy as np

    rows, cols, bands = reduced.shape
    plain = cv2.resize(pixels, (cols, rows), interpolation=cv2.INTER_AREA).reshape(reduced.shape)
    alpha = cv2.extractChannel(plain, bands - 1)
    reduced[:] = cv2.bitwise_and(plain, plain, mask=alpha).reshape(reduced.shape)
    partly = cv2.findNonZero(cv2.inRange(alpha, np.array(1), np.array(254)))
    if partly is None:
        return
    col, row = partly.reshape(-1, 2).T
    down, across = pixels.shape[0] // rows, pixels.shape[1] // cols
    blocks = pixels.reshape(rows, down, cols, across, bands)[row, :, col].reshape(len(row), -1, bands)
    weights = blocks[..., -1].astype(np.float32)
    seen = np.einsum("nib,ni->nb", blocks[..., :-1].astype(np.float32), weights)
    reduced[row, col, :-1] = np.rint(seen / weights.sum(axis=1, keepdims=True))
