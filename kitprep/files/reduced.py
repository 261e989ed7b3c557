"""Reduced pages in a kit's cache: what lists, contact sheets and the worktable look at.

They may be deleted at any time and come back when next needed. Opaque pages are kept as JPEG, at half the
usual resolution about a tenth of a megabyte each; transparent ones as PNG.
"""

from __future__ import annotations

from pathlib import Path

from kitprep.files.replace import replacing
from kitprep.pages import Page, Raster

QUALITY = 88  # of a picture that is only looked at, at a reduced size; by eye


def write_reduced(raster: Raster, cache: Path, page: Page) -> None:
    """Keep a reduced page.

    Parameters
    ----------
    raster : Raster
        The page, reduced.
    cache : Path
        The kit's cache folder.
    page : Page
        Which page it is.

    Raises
    ------
    CannotWrite
        If the folder cannot be written to.
    """
    from PIL import Image

    transparent = raster.pixels.shape[2] == 4
    picture = Image.fromarray(raster.pixels)
    with replacing(_place(cache, page, transparent), overwrite=True) as out:
        if transparent:
            picture.save(out, "PNG", compress_level=1)
        else:
            picture.save(out, "JPEG", quality=QUALITY)


def read_reduced(cache: Path, page: Page) -> Raster | None:
    """The reduced page of the cache; None where it is not there or cannot be read."""
    import numpy as np
    from PIL import Image

    for transparent in (False, True):
        path = _place(cache, page, transparent)
        if path.exists():
            try:
                with Image.open(path) as picture:
                    return Raster(np.asarray(picture.convert("RGBA" if transparent else "RGB")), page.size_px)
            except OSError:
                return None
    return None


def renumber_reduced(cache: Path, old: Page, new: Page) -> None:
    """Let a reduced page stand for the same page under its new number."""
    for transparent in (False, True):
        path = _place(cache, old, transparent)
        if old.number != new.number and path.exists():
            path.replace(_place(cache, new, transparent))


def _place(cache: Path, page: Page, transparent: bool) -> Path:
    return cache / f"{page.name}.{'png' if transparent else 'jpg'}"
