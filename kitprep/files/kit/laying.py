"""Lays pictures on a white canvas, each through its own map.

A picture that stands straight (also turned by quarters, or mirrored) is laid on whole canvas pixels: its
edges go to the nearest ones, so pictures that meet in the PDF meet here, and one whose pixels are those of
the canvas is copied as it is. A leaning picture is resampled with soft edges.
"""

from __future__ import annotations

from math import floor
from typing import TYPE_CHECKING

from kitprep.files.kit.orientation import Orientation, orientation_of, stood_upright
from kitprep.pages import Affine, PixelBox

if TYPE_CHECKING:
    from PIL.Image import Image

ROUNDING_NOISE = 1e-6  # pixels; an edge halfway between two goes the same way whatever the sums before it


def blank(columns: int, rows: int) -> Image:
    """A white canvas, RGB."""
    from PIL import Image

    return Image.new("RGB", (columns, rows), "white")


def lay(canvas: Image, picture: Image, to_canvas: Affine) -> None:
    """Lay a picture on the canvas, over what is there.

    Parameters
    ----------
    canvas : Image
        RGB; changed.
    picture : Image
        RGB; decoded with the reduction that `reduction_of` gives, so that a leaning one needs no more.
    to_canvas : Affine
        From the picture's pixels to the canvas's.
    """
    orientation = orientation_of(to_canvas)
    if orientation is None:
        _lay_leaning(canvas, picture, to_canvas)
    else:
        _lay_straight(canvas, picture, to_canvas, orientation)


def box_of(size_px: tuple[int, int], to_page: Affine) -> PixelBox:
    """The box of whole pixels around a picture, its edges at the nearest ones."""
    corners = PixelBox(0, 0, *size_px).corners
    across, down = zip(*(to_page(x, y) for x, y in corners), strict=True)
    return PixelBox(_nearest(min(across)), _nearest(min(down)), _nearest(max(across)), _nearest(max(down)))


def reduction_of(to_canvas: Affine) -> int:
    """How many times smaller a picture may be decoded and still have a pixel for each of the canvas."""
    return max(1, int(1 / max(*_lengths(to_canvas), 1e-9) + 1e-3))


def _nearest(edge: float) -> int:
    return floor(edge + 0.5 + ROUNDING_NOISE)


def _lay_straight(canvas: Image, picture: Image, to_canvas: Affine, orientation: Orientation) -> None:
    from PIL.Image import Resampling

    target = box_of(picture.size, to_canvas)
    seen = target.clipped(PixelBox(0, 0, *canvas.size))
    if seen.width < 1 or seen.height < 1:
        return
    upright = stood_upright(picture, orientation)
    if (target.width, target.height) == upright.size:
        canvas.paste(upright, (target.left, target.top))
        return
    across, down = upright.width / target.width, upright.height / target.height
    part = (
        (seen.left - target.left) * across,
        (seen.top - target.top) * down,
        min((seen.right - target.left) * across, upright.width),
        min((seen.bottom - target.top) * down, upright.height),
    )
    how = Resampling.LANCZOS if max(across, down) > 1 else Resampling.BICUBIC
    canvas.paste(upright.resize((seen.width, seen.height), how, box=part), (seen.left, seen.top))


def _lay_leaning(canvas: Image, picture: Image, to_canvas: Affine) -> None:
    from PIL import Image
    from PIL.Image import Resampling, Transform

    around = box_of(picture.size, to_canvas).grown(1).clipped(PixelBox(0, 0, *canvas.size))
    if around.width < 1 or around.height < 1:
        return
    back = Affine(1, 0, 0, 1, around.left, around.top).then(to_canvas.inverse)
    data = (back.a, back.c, back.e, back.b, back.d, back.f)
    size = (around.width, around.height)
    cover = Image.new("L", picture.size, 255).transform(size, Transform.AFFINE, data, Resampling.BILINEAR)
    laid = picture.transform(size, Transform.AFFINE, data, Resampling.BICUBIC)
    canvas.paste(laid, (around.left, around.top), cover)


def _lengths(matrix: Affine) -> tuple[float, float]:
    """How long a pixel's width and height are on the canvas."""
    return (matrix.a**2 + matrix.b**2) ** 0.5, (matrix.c**2 + matrix.d**2) ** 0.5
