"""Opens what was bought: ZIPs, folders, pictures and PDFs, within limits, and gives their pages.

`unpack` brings the originals into a folder, `find_pages` finds the pages among them, `PageSource.look`
decodes one once, and `read_region`, `read_raster` and `placed_pictures` come back to it later.
"""

from kitprep.files.kit.colour import Note
from kitprep.files.kit.finding import FoundPages, PageOptions, find_pages
from kitprep.files.kit.limits import Limits
from kitprep.files.kit.placed import FullPixels, PlacedPicture
from kitprep.files.kit.reading import placed_pictures, read_full, read_raster, read_region, read_regions
from kitprep.files.kit.source import Look, Original, PageSource
from kitprep.files.kit.sources import Unpacked, unpack

__all__ = [
    "FoundPages",
    "FullPixels",
    "Limits",
    "Look",
    "Note",
    "Original",
    "PageOptions",
    "PageSource",
    "PlacedPicture",
    "Unpacked",
    "find_pages",
    "placed_pictures",
    "read_full",
    "read_raster",
    "read_region",
    "read_regions",
    "unpack",
]
