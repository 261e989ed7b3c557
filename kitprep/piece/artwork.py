"""What a piece's picture is: which pixels go where on its trim and bleed.

Piece coordinates are PDF points (1/72 in) as floats, origin at the top left corner of the trim as it
stands unturned, x right, y down. The bleed lies at negative coordinates and beyond the trim's size.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING

from kitprep.lengths import Length, Size
from kitprep.pages import Affine, Point

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Pixels = NDArray[np.uint8 | np.uint16]


class BleedSource(Enum):
    """Where the picture beyond the trim comes from."""

    NONE = "none"
    SURROUNDINGS = "surroundings"
    """Real picture around the crop, part of the same element."""
    MIRROR = "mirror"
    """The picture reflected at the element's edge."""
    GROWN = "grown"
    """Edge colours grown outward from a cut-out's outline."""


@dataclass(frozen=True, slots=True)
class Patch:
    """The page's own pixels, mapped onto the piece and clipped.

    Parameters
    ----------
    matrix : Affine
        From page pixels to piece coordinates. May turn (a leaning element is straightened) or mirror.
    clip : tuple of float
        (left, top, right, bottom) in piece coordinates: what of it shows.
    """

    matrix: Affine
    clip: tuple[float, float, float, float]


@dataclass(frozen=True, slots=True, eq=False)
class MadePicture:
    """Pixels that had to be made: a cut-out with its soft edge and bleed, or a reduction.

    Parameters
    ----------
    pixels : ndarray
        uint8, shape (rows, cols, 3) or (rows, cols, 4) with straight alpha, sRGB; uint16 and in the page's
        own colours where it was made of such, for a picture file.
    place : tuple of float
        (left, top, right, bottom) in piece coordinates that the pixels cover.
    """

    pixels: Pixels
    place: tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Artwork:
    """A piece's picture, ready to be placed.

    Parameters
    ----------
    trim : Size
        The finished size.
    bleed : Length
        How far the picture reaches beyond it.
    page : str
        Id of the page that the patches show, such as ``lantern-orchard/p02``.
    patches : tuple of Patch
        The page's own pixels, first below; empty where `made` serves.
    made : MadePicture or None
        Pixels that had to be made.
    outline : tuple of Point
        Where a cut-out is to be cut, in piece coordinates; empty for a rectangle.
    sources : frozenset of BleedSource
        Where the bleed comes from, for the report.
    """

    trim: Size
    bleed: Length
    page: str
    patches: tuple[Patch, ...]
    made: MadePicture | None = None
    outline: tuple[Point, ...] = ()
    sources: frozenset[BleedSource] = frozenset()
