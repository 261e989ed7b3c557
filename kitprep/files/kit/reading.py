"""Reads pixels of a page that is on the shelf, from its original."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from kitprep.files.kit.pdf import pdf_placed_pictures, pdf_raster, pdf_regions
from kitprep.files.kit.pictures import full_pixels, picture_raster, picture_regions, placed_picture
from kitprep.files.kit.placed import FullPixels, PlacedPicture
from kitprep.pages import Page, PageKind, PixelBox, Raster

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


def read_region(path: Path, page: Page, box: PixelBox, password: str | None = None) -> NDArray[np.uint8]:
    """A box of a page at full scale, upright, in sRGB.

    Parameters
    ----------
    path : Path
        The page's original.
    page : Page
        As its look found it.
    box : PixelBox
        On the page.
    password : str or None
        What opens a locked PDF.

    Returns
    -------
    ndarray
        uint8, shape (rows, cols, 3), or (rows, cols, 4) with straight alpha where the page is transparent
        in places. Not for writing to.

    Raises
    ------
    UnusableFile
        If the original cannot be read, is damaged, or is not what was imported.
    """
    return next(read_regions(path, page, (box,), password))


def read_regions(
    path: Path, page: Page, boxes: Sequence[PixelBox], password: str | None = None
) -> Iterator[NDArray[np.uint8]]:
    """Several boxes of a page, from one decode; each as `read_region` gives it."""
    if page.kind is PageKind.PICTURE:
        return picture_regions(path, page, boxes)
    return pdf_regions(path, page, boxes, password)


def read_raster(path: Path, page: Page, target_ppi: float, password: str | None = None) -> Raster:
    """A whole page at about `target_ppi`, as a look at it gives; parameters as for `read_region`."""
    if page.kind is PageKind.PICTURE:
        return picture_raster(path, page, target_ppi)
    return pdf_raster(path, page, target_ppi, password)


def placed_pictures(path: Path, page: Page, password: str | None = None) -> tuple[PlacedPicture, ...]:
    """The pictures that make up a page, lowest first, for a PDF to take as they are."""
    if page.kind is PageKind.PICTURE:
        return (placed_picture(path, page),)
    return pdf_placed_pictures(path, page, password)


def read_full(path: Path, page: Page) -> FullPixels | None:
    """All bits of a page that is a picture file of sixteen bits to a colour, RGB or grey; None for others.

    Parameters and errors as for `read_region`.
    """
    return full_pixels(path, page) if page.kind is PageKind.PICTURE else None
