"""Renders a piece's artwork as one picture of a given pixel count, for a picture file or a reduction.

What lies at the piece's own scale is taken over pixel by pixel where it can be: an upright element that
is neither shrunk nor enlarged keeps its values, at most moved by half a pixel.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from kitprep.pages import Affine, PixelBox
from kitprep.piece.artwork import Artwork, Patch
from kitprep.piece.edges import Read
from kitprep.piece.resampling import Light, resize, straighten

Box = tuple[float, float, float, float]
Pixels = NDArray[np.uint8 | np.uint16]
SAME_COUNT_PX = 0.75  # a count that differs by less is the picture's own, rounded
NEARLY_WHOLE = 1e-3  # pixels: an edge this near a whole pixel is on it, but for rounding in floats


def render_piece(
    artwork: Artwork, size_px: tuple[int, int], read: Read, light: Light | None = None
) -> Pixels:
    """The trim and the bleed of a piece as pixels.

    Parameters
    ----------
    artwork : Artwork
    size_px : tuple of int
        Width and height wanted for trim plus bleed.
    read : callable
        Reads a box of page pixels: uint8, shape (rows, cols, 3) sRGB, or (rows, cols, 4) with straight
        alpha; or uint16, as the artwork was made of. Only boxes on the page are asked for.
    light : ndarray or None
        The light of each code value of 16 bits, for colours other than sRGB; see `resampling.resize`.

    Returns
    -------
    ndarray
        Of the dtype that was read, shape (height, width, 3), or (height, width, 4) with straight alpha for
        a cut-out or a transparent page.
    """
    past = artwork.bleed.points
    whole = (-past, -past, artwork.trim.width.points + past, artwork.trim.height.points + past)
    if artwork.made is not None:
        pixels, place = artwork.made.pixels, artwork.made.place
    else:
        pixels, place = _upright(artwork.patches[-1], whole, read)
    rows, cols = pixels.shape[:2]
    scale = cols / (place[2] - place[0]), rows / (place[3] - place[1])
    box = _nearly_whole(
        (
            (whole[0] - place[0]) * scale[0],
            (whole[1] - place[1]) * scale[1],
            (whole[2] - place[0]) * scale[0],
            (whole[3] - place[1]) * scale[1],
        )
    )
    pixels, box = _extended(pixels, box, clear=artwork.made is not None and pixels.shape[2] == 4)
    return resize(pixels, size_px, _own_pixels(box, size_px, pixels.shape[1::-1]), light)


def _upright(picture: Patch, whole: Box, read: Read) -> tuple[Pixels, Box]:
    """The element's own clean pixels, upright, at their own scale, and the place they cover."""
    matrix, clip = picture.matrix, picture.clip
    to_page = matrix.inverse
    if matrix.b == 0 and matrix.c == 0:
        left, top = to_page(clip[0], clip[1])
        right, bottom = to_page(clip[2], clip[3])
        box = PixelBox(
            _outward(left, clip[0] > whole[0], -1),
            _outward(top, clip[1] > whole[1], -1),
            _outward(right, clip[2] < whole[2], 1),
            _outward(bottom, clip[3] < whole[3], 1),
        )
        return read(box), (*matrix(box.left, box.top), *matrix(box.right, box.bottom))
    return _straightened(to_page, clip, read), clip


def _outward(edge: float, mirrored: bool, way: int) -> int:
    """A whole pixel edge: inward at a mirror, beyond which nothing is clean, else outward."""
    near = round(edge)
    if abs(edge - near) < NEARLY_WHOLE:
        return near
    return math.floor(edge) if (way < 0) != mirrored else math.ceil(edge)


def _straightened(to_page: Affine, clip: Box, read: Read) -> Pixels:
    per_point = math.hypot(to_page.a, to_page.b), math.hypot(to_page.c, to_page.d)
    wide = max(round((clip[2] - clip[0]) * per_point[0]), 1)
    high = max(round((clip[3] - clip[1]) * per_point[1]), 1)
    corners = [to_page(x, y) for x in (clip[0], clip[2]) for y in (clip[1], clip[3])]
    box = PixelBox(
        max(math.floor(min(x for x, _ in corners)), 0),
        max(math.floor(min(y for _, y in corners)), 0),
        math.ceil(max(x for x, _ in corners) - NEARLY_WHOLE),
        math.ceil(max(y for _, y in corners) - NEARLY_WHOLE),
    )
    grid = Affine((clip[2] - clip[0]) / wide, 0.0, 0.0, (clip[3] - clip[1]) / high, clip[0], clip[1])
    to_block = grid.then(to_page).then(Affine(1.0, 0.0, 0.0, 1.0, -float(box.left), -float(box.top)))
    return straighten(read(box), to_block, (wide, high))


def _nearly_whole(box: Box) -> Box:
    left, top, right, bottom = (
        float(round(edge)) if abs(edge - round(edge)) < NEARLY_WHOLE else edge for edge in box
    )
    return left, top, right, bottom


def _extended(pixels: Pixels, box: Box, clear: bool) -> tuple[Pixels, Box]:
    """Pixels that reach as far as the box: reflected, or clear for a cut-out."""
    rows, cols = pixels.shape[:2]
    left, top = max(math.ceil(-box[0]), 0), max(math.ceil(-box[1]), 0)
    right, bottom = max(math.ceil(box[2] - cols), 0), max(math.ceil(box[3] - rows), 0)
    if not (left or top or right or bottom):
        return pixels, box
    widths = ((top, bottom), (left, right), (0, 0))
    wider = np.pad(pixels, widths) if clear else np.pad(pixels, widths, mode="symmetric")
    return wider, (box[0] + left, box[1] + top, box[2] + left, box[3] + top)


def _own_pixels(box: Box, size_px: tuple[int, int], had_px: tuple[int, ...]) -> Box:
    """The box moved onto whole pixels where the count wanted is the picture's own."""
    wide, high = box[2] - box[0], box[3] - box[1]
    if abs(wide - size_px[0]) > SAME_COUNT_PX or abs(high - size_px[1]) > SAME_COUNT_PX:
        return box
    left, top = (
        max(min(math.floor(edge + 0.5), had - wanted), 0)
        for edge, had, wanted in zip(box[:2], had_px, size_px, strict=True)
    )
    if left + size_px[0] > had_px[0] or top + size_px[1] > had_px[1]:
        return box
    return float(left), float(top), float(left + size_px[0]), float(top + size_px[1])
