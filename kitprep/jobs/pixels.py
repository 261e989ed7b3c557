"""The pixels of pages on the shelf, read when a job needs them and no more than once."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from kitprep.files.measured import Measured, read_measured, write_measured
from kitprep.files.shelf import ElementRef, Shelf
from kitprep.pages import Kit, Page, PixelBox, Raster

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from kitprep.files.kit import FullPixels

REDUCED_PPI = 150.0
BYTES_HELD = 32_000_000
"""Of pages kept decoded, the one in use always among them: a letter page at 300 PPI has 25 million."""


def page_id(ref: ElementRef) -> str:
    """The id of the page that an element is on, such as ``lantern-orchard/p02``."""
    return f"{ref.kit.slug}/{ref.page.name}"


def decoded_bytes(page: Page) -> int:
    """How much memory a page takes when it is decoded."""
    width, height = page.size_px
    return width * height * (4 if page.has_alpha else 3)


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
    """Reads boxes of pages at full scale; holds what it read last, so that elements of one page share it.

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
            self._make_room(page)
            path = self._shelf.verified_original(kit, page.file)
            pixels = read_region(path, page, page.box, kit.password or None)
        self._held[key] = pixels
        return pixels[box.top : box.bottom, box.left : box.right]

    def _make_room(self, page: Page) -> None:
        """Let go of the oldest pages before the next is read, which takes memory of its own."""
        coming = decoded_bytes(page)
        while self._held and coming + sum(held.nbytes for held in self._held.values()) > BYTES_HELD:
            del self._held[next(iter(self._held))]

    def full(self, kit: Kit, page: Page) -> FullPixels | None:
        """All bits of a page of sixteen; None where it has eight. Not held.

        Raises
        ------
        OriginalChanged, DamagedPicture
            If the original is gone, altered or damaged.
        """
        from kitprep.files.kit import read_full

        return read_full(self._shelf.verified_original(kit, page.file), page)

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
