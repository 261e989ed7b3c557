"""What kitprep asks of Exif: which way up, how many pixels per inch, and whether the colours are sRGB.

Exif data is a TIFF structure (Exif 2.3, 4.5.2): a byte order, then a directory of twelve-byte entries.
It is read here, not by Pillow, because Pillow warns about damage that does not matter to a page, and
Python's warnings cannot be held back in one thread alone. What is damaged counts as not stated.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass

from kitprep.files.kit.orientation import Orientation

_ORIENTATION, _X_RESOLUTION, _Y_RESOLUTION, _UNIT = 0x0112, 0x011A, 0x011B, 0x0128
_EXIF_DIRECTORY, _COLOUR_SPACE = 0x8769, 0xA001  # Exif 2.3, 4.6.3 and 4.6.5
_SRGB = 1
_SHORT, _LONG, _RATIONAL = 3, 4, 5
_CENTIMETRE = 3
_CM_PER_INCH = 2.54


@dataclass(frozen=True, slots=True)
class Exif:
    """What Exif states of a picture, as stored."""

    orientation: Orientation
    ppi: tuple[float, float] | None
    srgb: bool = False


NO_EXIF = Exif(Orientation.UPRIGHT, None)


def read_exif(data: bytes | None) -> Exif:
    """What an Exif block states, with or without its ``Exif\\0\\0`` lead."""
    if not data:
        return NO_EXIF
    try:
        tags = _directories(data.removeprefix(b"Exif\0\0"))
    except struct.error:
        return NO_EXIF
    number = tags.get(_ORIENTATION, 1.0)
    orientation = Orientation(int(number)) if 1 <= number <= 8 else Orientation.UPRIGHT
    across, down = tags.get(_X_RESOLUTION), tags.get(_Y_RESOLUTION)
    if across is None or down is None:
        return Exif(orientation, None, tags.get(_COLOUR_SPACE) == _SRGB)
    per_inch = _CM_PER_INCH if tags.get(_UNIT) == _CENTIMETRE else 1.0
    stated = across * per_inch, down * per_inch
    return Exif(orientation, stated, tags.get(_COLOUR_SPACE) == _SRGB)


def _directories(data: bytes) -> dict[int, float]:
    """The values of the first directory and of Exif's own, by tag."""
    order = {b"II": "<", b"MM": ">"}.get(data[:2])
    if order is None:
        return {}
    values = _directory(data, order, *struct.unpack_from(f"{order}I", data, 4))
    if _EXIF_DIRECTORY in values:
        try:
            values |= _directory(data, order, int(values[_EXIF_DIRECTORY]))
        except struct.error:  # cut off after the first, which stays good
            return values
    return values


def _directory(data: bytes, order: str, start: int) -> dict[int, float]:
    """The short, long and rational values of a directory, by tag."""
    (count,) = struct.unpack_from(f"{order}H", data, start)
    values: dict[int, float] = {}
    for entry in range(start + 2, start + 2 + 12 * count, 12):
        tag, kind, _ = struct.unpack_from(f"{order}HHI", data, entry)
        if kind == _SHORT:
            (values[tag],) = struct.unpack_from(f"{order}H", data, entry + 8)
        elif kind == _LONG:
            (values[tag],) = struct.unpack_from(f"{order}I", data, entry + 8)
        elif kind == _RATIONAL:
            (at,) = struct.unpack_from(f"{order}I", data, entry + 8)
            over, under = struct.unpack_from(f"{order}II", data, at) if at + 8 <= len(data) else (0, 0)
            if under:
                values[tag] = over / under
    return values
