"""The pixels of pages on the shelf, read when a job needs them and no more than once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitprep.files.shelf import Shelf
from kitprep.pages import Kit, Page, PixelBox, Raster

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

REDUCED_PPI = 150.0


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
        raster = read_raster(shelf.original_path(kit, page.file), page, REDUCED_PPI)
        write_reduced(raster, cache, page)
    return raster


class PageReader:
    """Reads boxes of pages at full scale; holds the page it read last, so that its elements share it.

    Parameters
    ----------
    shelf : Shelf
        Where the originals are; each is checked against its digest before it is read.
    """

    def __init__(self, shelf: Shelf) -> None:
        self._shelf = shelf
        self._held: tuple[str, NDArray[np.uint8]] | None = None

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
        if self._held is None or self._held[0] != key:
            self._held = None  # let go of the page before reading the next
            self._held = (key, read_region(self._shelf.verified_original(kit, page.file), page, page.box))
        return self._held[1][box.top : box.bottom, box.left : box.right]
