"""The pictures that make up a page, as a PDF can take them: own bytes, or pixels read on demand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from kitprep.pages import Affine, PixelBox

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True, eq=False)
class PlacedPicture:
    """One picture on a page. A page from a picture file has exactly one.

    Parameters
    ----------
    key : str
        Pictures with equal keys are the same pixels.
    size_px : tuple of int
        Width and height of its own grid, as stored (before any EXIF orientation).
    matrix : Affine
        From its own pixels to page pixels; carries orientation, placement and any turning.
    mode : str
        Its colours: grey, RGB or CMYK, 8 bits each.
    inverted : bool
        For CMYK: whether 255 means no ink, in `jpeg` and in what `read` gives. So it is in JPEGs with an
        Adobe marker.
    has_alpha : bool
        Whether `read` gives a last channel of straight alpha.
    icc : bytes or None
        Its embedded colour profile, where that is one for colours of `mode`.
    jpeg : bytes or None
        A whole JPEG file that a PDF can hold as it is; None where there is none.
    read : callable
        Decoded pixels of a box of its own grid: uint8, shape (rows, cols, channels of `mode`, plus
        alpha), not colour-converted, not for writing to. The picture is decoded at the first call and
        kept as long as this record.
    """

    key: str
    size_px: tuple[int, int]
    matrix: Affine
    mode: Literal["L", "RGB", "CMYK"]
    inverted: bool
    has_alpha: bool
    icc: bytes | None
    jpeg: bytes | None
    read: Callable[[PixelBox], NDArray[np.uint8]]
