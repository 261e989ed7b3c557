"""The eight ways a picture can be stored, and how each is stood upright.

The numbers are those of the Orientation tag (Exif 2.3, 4.6.4; TIFF 6.0, page 36): where the first stored
row and the first stored column lie on the upright picture.
"""

from __future__ import annotations

from enum import IntEnum
from typing import TYPE_CHECKING

from kitprep.pages import Affine

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from PIL.Image import Image


class Orientation(IntEnum):
    """What has to be done to the stored picture."""

    UPRIGHT = 1
    MIRROR = 2
    HALF_TURN = 3
    FLIP = 4
    TRANSPOSE = 5
    TURN_RIGHT = 6
    TRANSVERSE = 7
    TURN_LEFT = 8

    @property
    def swaps_sides(self) -> bool:
        """Whether the stored width is the upright height."""
        return self >= Orientation.TRANSPOSE


def upright_size(size: tuple[int, int], orientation: Orientation) -> tuple[int, int]:
    """Width and height of the upright picture, from those of the stored one."""
    return (size[1], size[0]) if orientation.swaps_sides else size


def upright_matrix(size: tuple[int, int], orientation: Orientation) -> Affine:
    """The map from pixels of the stored picture, of `size`, to pixels of the upright one."""
    width, height = float(size[0]), float(size[1])
    match orientation:
        case Orientation.UPRIGHT:
            return Affine(1, 0, 0, 1, 0, 0)
        case Orientation.MIRROR:
            return Affine(-1, 0, 0, 1, width, 0)
        case Orientation.HALF_TURN:
            return Affine(-1, 0, 0, -1, width, height)
        case Orientation.FLIP:
            return Affine(1, 0, 0, -1, 0, height)
        case Orientation.TRANSPOSE:
            return Affine(0, 1, 1, 0, 0, 0)
        case Orientation.TURN_RIGHT:
            return Affine(0, 1, -1, 0, height, 0)
        case Orientation.TRANSVERSE:
            return Affine(0, -1, -1, 0, height, width)
        case Orientation.TURN_LEFT:
            return Affine(0, -1, 1, 0, 0, width)


def orientation_of(matrix: Affine) -> Orientation | None:
    """Which of the eight a map along the axes is, whatever its scale; None where it leans."""
    slack = 1e-6 * max(abs(matrix.a), abs(matrix.b), abs(matrix.c), abs(matrix.d))
    right, down = matrix.a > 0, matrix.d > 0
    if abs(matrix.b) <= slack and abs(matrix.c) <= slack:
        upper, lower = (Orientation.UPRIGHT, Orientation.FLIP), (Orientation.MIRROR, Orientation.HALF_TURN)
        return (upper if right else lower)[not down]
    if abs(matrix.a) <= slack and abs(matrix.d) <= slack:
        upper = (Orientation.TRANSPOSE, Orientation.TURN_LEFT)
        lower = (Orientation.TURN_RIGHT, Orientation.TRANSVERSE)
        return (upper if matrix.c > 0 else lower)[matrix.b < 0]
    return None


def stood_upright(picture: Image, orientation: Orientation) -> Image:
    """The upright picture."""
    from PIL.Image import Transpose

    how = {
        Orientation.MIRROR: Transpose.FLIP_LEFT_RIGHT,
        Orientation.HALF_TURN: Transpose.ROTATE_180,
        Orientation.FLIP: Transpose.FLIP_TOP_BOTTOM,
        Orientation.TRANSPOSE: Transpose.TRANSPOSE,
        Orientation.TURN_RIGHT: Transpose.ROTATE_270,
        Orientation.TRANSVERSE: Transpose.TRANSVERSE,
        Orientation.TURN_LEFT: Transpose.ROTATE_90,
    }
    return picture if orientation is Orientation.UPRIGHT else picture.transpose(how[orientation])


def turned_upright(pixels: NDArray[np.uint16], orientation: Orientation) -> NDArray[np.uint16]:
    """The same for pixels, shape (rows, cols, ...)."""
    import numpy as np

    if orientation.swaps_sides:
        pixels = np.swapaxes(pixels, 0, 1)
    rows_back = (Orientation.HALF_TURN, Orientation.FLIP, Orientation.TRANSVERSE, Orientation.TURN_LEFT)
    cols_back = (Orientation.MIRROR, Orientation.HALF_TURN, Orientation.TURN_RIGHT, Orientation.TRANSVERSE)
    pixels = pixels[::-1] if orientation in rows_back else pixels
    return pixels[:, ::-1] if orientation in cols_back else pixels
