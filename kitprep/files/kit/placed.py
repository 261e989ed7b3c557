"""The pictures that make up a page, as a PDF or a picture file can take them: own bytes, or pixels as they are."""

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
        alpha), not colour-converted, not for writing to. The picture is decoded at each call and
        not kept, so that a job on many pages holds one of them: ask once for all that is needed.
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


@dataclass(frozen=True, slots=True, eq=False)
class FullPixels:
    """All sixteen bits of a page that has them, upright and in its own colours.

    Parameters
    ----------
    pixels : ndarray
        uint16, shape (rows, cols), (rows, cols, 3) or (rows, cols, 4) with straight alpha.
    grey : bool
        Whether it is a grey picture; one with alpha has its grey three times.
    icc : bytes or None
        Its profile, where that is one for its colours; None for sRGB.
    """

    pixels: NDArray[np.uint16]
    grey: bool
    icc: bytes | None

    def read(self, box: PixelBox) -> NDArray[np.uint16]:
        """A box of the page: uint16, shape (rows, cols, 3), or (rows, cols, 4) with straight alpha."""
        import numpy as np

        part = self.pixels[box.top : box.bottom, box.left : box.right]
        return part if part.ndim == 3 else np.repeat(part[:, :, np.newaxis], 3, axis=2)
