"""The pixels of pages on the shelf, read when a job needs them and no more than once."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from kitprep.files.measured import Measured, read_measured, write_measured
from kitprep.files.shelf import Shelf
from kitprep.pages import Kit, Page, PixelBox, Raster

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

REDUCED_PPI = 150.0
PAGES_HELD = 4
"""Pages kept decoded: a usual kit, some 25 MB each at 300 PPI."""


def reduced_page(shelf: Shelf, kit: Kit, page: Page) -> Raster:
    """A page reduced for looking at, from the cache or made anew.

    Raises
    ------
    OriginalChanged, DamagedPicture
        If it has to be made and its original is gone, altered or damaged.
    """
    from kitprep.files.kit import read_raster
    from kitprep.files.reduced import read_reduced, write_reduced

    cache = shelf.cache_folder(kit.slug)
    raster = read_reduced(cache, page)
    if raster is None:
        raster = read_raster(shelf.original_path(kit, page.file), page, REDUCED_PPI, kit.password or None)
        write_reduced(raster, cache, page)
    return raster


class PageReader:
    """Reads boxes of pages at full scale; holds the pages it read last, so that their elements share them.

    Parameters
    ----------
    shelf : Shelf
        Where the originals are; each is checked against its digest before it is read.
    """

    def __init__(self, shelf: Shelf) -> None:
        self._shelf = shelf
        self._held: dict[str, NDArray[np.uint8]] = {}

    def read(self, kit: Kit, page: Page, box: PixelBox) -> NDArray[np.uint8]:
        """The pixels of a box of a page.

        Parameters
        ----------
        kit, page
            Which page.
        box : PixelBox
            Within the page.

        Returns
        -------
        ndarray
            uint8, shape (rows, cols, 3) sRGB, or (rows, cols, 4) with straight alpha. A view: copy it
            before changing it.

        Raises
        ------
        OriginalChanged, DamagedPicture
            If the original is gone, altered or damaged.
        """
        from kitprep.files.kit import read_region

        key = f"{kit.slug}/{page.name}"
        pixels = self._held.pop(key, None)
        if pixels is None:
            while len(self._held) >= PAGES_HELD:  # let go of the oldest before reading the next
                del self._held[next(iter(self._held))]
            path = self._shelf.verified_original(kit, page.file)
            pixels = read_region(path, page, page.box, kit.password or None)
        self._held[key] = pixels
        return pixels[box.top : box.bottom, box.left : box.right]

    def verify(self, kit: Kit, page: Page) -> None:
        """See that the original of a page is there and unaltered.

        Raises
        ------
        OriginalChanged
            If it is not.
        """
        self._shelf.verified_original(kit, page.file)

    def measured(self, slug: str) -> dict[str, Measured]:
        """What was measured before of a kit's elements, by `measured_key`."""
        return read_measured(self._shelf.cache_folder(slug))

    def keep_measured(self, slug: str, known: Mapping[str, Measured]) -> None:
        """Keep what was measured in the kit's cache."""
        write_measured(self._shelf.cache_folder(slug), known)
