"""The two things kitprep asks of Exif: which way up, and how many pixels per inch.

Exif data is a TIFF structure (Exif 2.3, 4.5.2): a byte order, then a directory of twelve-byte entries.
It is read here, not by Pillow, because Pillow warns about damage that does not matter to a page, and
Python's warnings cannot be held back in one thread alone. What is damaged counts as not stated.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass

from kitprep.files.kit.orientation import Orientation

_ORIENTATION, _X_RESOLUTION, _Y_RESOLUTION, _UNIT = 0x0112, 0x011A, 0x011B, 0x0128
_SHORT, _RATIONAL = 3, 5
_CENTIMETRE = 3
_CM_PER_INCH = 2.54


@dataclass(frozen=True, slots=True)
class Exif:
    """What Exif states of a picture, as stored."""

    orientation: Orientation
    ppi: tuple[float, float] | None


NO_EXIF = Exif(Orientation.UPRIGHT, None)


def read_exif(data: bytes | None) -> Exif:
    """What an Exif block states, with or without its ``Exif\\0\\0`` lead."""
    if not data:
        return NO_EXIF
    try:
        tags = _first_directory(data.removeprefix(b"Exif\0\0"))
    except struct.error:
        return NO_EXIF
    number = tags.get(_ORIENTATION, 1.0)
    orientation = Orientation(int(number)) if 1 <= number <= 8 else Orientation.UPRIGHT
    across, down = tags.get(_X_RESOLUTION), tags.get(_Y_RESOLUTION)
    if across is None or down is None:
        return Exif(orientation, None)
    per_inch = _CM_PER_INCH if tags.get(_UNIT) == _CENTIMETRE else 1.0
    return Exif(orientation, (across * per_inch, down * per_inch))


def _first_directory(data: bytes) -> dict[int, float]:
    """The short and rational values of the first directory, by tag."""
    order = {b"II": "<", b"MM": ">"}.get(data[:2])
    if order is None:
        return {}
    (start,) = struct.unpack_from(f"{order}I", data, 4)
    (count,) = struct.unpack_from(f"{order}H", data, start)
    values: dict[int, float] = {}
    for entry in range(start + 2, start + 2 + 12 * count, 12):
        tag, kind, _ = struct.unpack_from(f"{order}HHI", data, entry)
        if kind == _SHORT:
            (values[tag],) = struct.unpack_from(f"{order}H", data, entry + 8)
        elif kind == _RATIONAL:
            (at,) = struct.unpack_from(f"{order}I", data, entry + 8)
            over, under = struct.unpack_from(f"{order}II", data, at) if at + 8 <= len(data) else (0, 0)
            if under:
                values[tag] = over / under
    return values
