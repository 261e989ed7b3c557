"""Small pictures of elements and whole pages, as encoded bytes for a screen.

They are made from the reduced pages of the cache. The last few of those are held, because a screen asks for
all elements of a page one after the other.
"""

from __future__ import annotations

from collections import OrderedDict
from io import BytesIO
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING

from kitprep.files.shelf import PageRef, Shelf, shelf_folder
from kitprep.pages import Raster

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

LONGEST_PX = 640  # of an element's picture: two pixels to each that a screen gives it
_PAGES_HELD = 4
_QUALITY = 86  # of WebP, by eye at the size it is seen
_METHOD = 2  # of WebP: quick; 6 would be a tenth smaller and several times slower


class Thumbnails:
    """Makes pictures of one shelf; may be asked from several threads.

    Parameters
    ----------
    shelf : Path or None
        The shelf's folder; None for the usual one.
    """

    def __init__(self, shelf: Path | None = None) -> None:
        self._shelf = Shelf(shelf_folder(shelf))
        self._held: OrderedDict[tuple[str, str], Raster] = OrderedDict()
        self._lock = Lock()

    def element(self, element: str, longest_px: int = LONGEST_PX) -> bytes:
        """A WebP picture of an element, straight, transparent beyond its outline.

        Parameters
        ----------
        element : str
            Its id.
        longest_px : int
            Its longer side is at most this; it is never enlarged.

        Raises
        ------
        NotFound
            If there is no such element.
        OriginalChanged, DamagedPicture
            If the page has to be reduced anew and its original is not as it was.
        """
        from kitprep.piece.likeness import likeness

        ref = self._shelf.find(element)
        pixels = likeness(self._reduced(PageRef(ref.kit, ref.page)), ref.element)
        return _webp(pixels, longest_px)

    def page(self, page: str, longest_px: int | None = None) -> bytes:
        """A WebP picture of a page; errors as `element`.

        Parameters
        ----------
        page : str
            Its id.
        longest_px : int or None
            Its longer side is at most this; None for about 150 pixels to the printed inch.
        """
        return _webp(self._reduced(self._shelf.find_page(page)).pixels, longest_px)

    def _reduced(self, ref: PageRef) -> Raster:
        from kitprep.jobs.pixels import reduced_page

        key = ref.id, ref.kit.imported
        with self._lock:  # also so that two threads never reduce the same page
            if key not in self._held:
                self._held[key] = reduced_page(self._shelf, ref.kit, ref.page)
            self._held.move_to_end(key)
            while len(self._held) > _PAGES_HELD:
                self._held.popitem(last=False)
            return self._held[key]


def _webp(pixels: NDArray[np.uint8], longest_px: int | None) -> bytes:
    from PIL import Image

    picture = Image.fromarray(pixels)
    if longest_px is not None and max(picture.size) > longest_px:
        picture.thumbnail((longest_px, longest_px), Image.Resampling.LANCZOS, reducing_gap=3.0)
    content = BytesIO()
    picture.save(content, "WEBP", quality=_QUALITY, method=_METHOD)
    return content.getvalue()
