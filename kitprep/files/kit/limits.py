"""How much one kit may hold before it is refused.

The figures are kitprep's own: far above any kit that is sold, far below what would fill a disk or the
memory of a home computer.
"""

from __future__ import annotations

from dataclasses import dataclass

MAX_MEGAPIXELS = 250
MAX_PAGES = 2_000
MAX_PDF_INCHES = 200  # the widest page that PDF gives without UserUnit: 14 400 units of 1/72 in


@dataclass(frozen=True, slots=True)
class Limits:
    """What may be unpacked or copied for one kit.

    Parameters
    ----------
    members : int
        Files and folders in one ZIP, or files in one folder.
    unpacked_bytes : int
        Bytes over all sources.
    ratio : int
        How many times its packed size a ZIP member may unpack to.
    ratio_from_bytes : int
        Members that unpack to no more than this are not held to `ratio`: a small blank page packs very
        well and does no harm.
    """

    members: int = 2_000
    unpacked_bytes: int = 2 * 1024**3
    ratio: int = 200
    ratio_from_bytes: int = 1024**2

    @property
    def bytes_text(self) -> str:
        """The limit on bytes as people read it."""
        for unit, name in ((1024**3, "GiB"), (1024**2, "MiB"), (1024, "KiB")):
            if self.unpacked_bytes >= unit:
                return f"{self.unpacked_bytes / unit:.3g} {name}"
        return f"{self.unpacked_bytes} bytes"


def too_many_pixels(width: int, height: int) -> bool:
    """Whether a picture of this many columns and rows is over the limit."""
    return width * height > MAX_MEGAPIXELS * 1_000_000
