"""Writes pictures of sixteen bits to a colour, which Pillow holds in grey alone.

PNG by its third edition: chunks by 5.3, pHYs by 11.3.4.3, iCCP by 11.3.2.3, rows filtered by the row above
(9.2, type 2). TIFF 6.0 with deflate and differences along rows (sections 14 and 8; Adobe's technical note 2
of 2002 for the compression's number), its directory written by Pillow. The clauses are from memory, not checked.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Sixteen = NDArray[np.uint16]

_LEVEL = 6
_INCH = 0.0254  # metres
_COLOUR_TYPES = {1: 0, 2: 4, 3: 2, 4: 6}  # PNG, third edition, 11.2.1: by channels
_UP = 2
_PERCEPTUAL = b"\0"  # the intent that sRGB asks to be told (11.3.2.5)
_DATA_BYTES = 1 << 20  # of a chunk of pixels
_SHORT, _LONG, _RATIONAL, _UNDEFINED = 3, 4, 5, 7
_DEFLATE, _DIFFERENCES, _STRAIGHT_ALPHA, _PER_INCH = 8, 2, 2, 2
_BLACK_IS_ZERO, _RGB = 1, 2


def save_png(pixels: Sixteen, ppi: tuple[float, float], icc: bytes | None, out: Path) -> None:
    """Write a PNG; `pixels` of shape (rows, cols, 1 to 4), with straight alpha where that is 2 or 4."""
    rows, cols, channels = pixels.shape
    header = struct.pack(">IIBBBBB", cols, rows, 16, _COLOUR_TYPES[channels], 0, 0, 0)
    density = struct.pack(">IIB", *(round(value / _INCH) for value in ppi), 1)
    with out.open("wb") as file:
        file.write(b"\x89PNG\r\n\x1a\n")
        file.write(_chunk(b"IHDR", header))
        if icc is None:
            file.write(_chunk(b"sRGB", _PERCEPTUAL))
        else:
            file.write(_chunk(b"iCCP", b"ICC profile\0\0" + zlib.compress(icc, _LEVEL)))
        file.write(_chunk(b"pHYs", density))
        for part in _deflated_rows(pixels):
            file.write(_chunk(b"IDAT", part))
        file.write(_chunk(b"IEND", b""))


def _chunk(name: bytes, content: bytes) -> bytes:
    return struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))


def _deflated_rows(pixels: Sixteen) -> Iterator[bytes]:
    import numpy as np

    stream = zlib.compressobj(_LEVEL)
    above = np.zeros(pixels.shape[1] * pixels.shape[2] * 2, np.uint8)
    waiting = b""
    for row in pixels:
        seen = np.frombuffer(row.astype(">u2").tobytes(), np.uint8)
        waiting += stream.compress(bytes([_UP]) + (seen - above).tobytes())
        above = seen
        if len(waiting) >= _DATA_BYTES:
            yield waiting
            waiting = b""
    yield waiting + stream.flush()


def save_tiff(pixels: Sixteen, ppi: tuple[float, float], icc: bytes | None, out: Path) -> None:
    """Write a TIFF; `pixels` as for `save_png`."""
    import numpy as np
    from PIL.TiffImagePlugin import IFDRational, ImageFileDirectory_v2
    from PIL.TiffTags import TAGS_V2

    rows, cols, channels = pixels.shape
    apart = pixels.copy()
    apart[:, 1:] -= pixels[:, :-1]
    data = zlib.compress(np.ascontiguousarray(apart, "<u2").tobytes(), _LEVEL)
    numbers = {info.name: number for number, info in TAGS_V2.items()}
    tags: dict[str, tuple[int, object]] = {
        "ImageWidth": (_LONG, cols),
        "ImageLength": (_LONG, rows),
        "BitsPerSample": (_SHORT, (16,) * channels),
        "Compression": (_SHORT, _DEFLATE),
        "PhotometricInterpretation": (_SHORT, _RGB if channels > 2 else _BLACK_IS_ZERO),
        "StripOffsets": (_LONG, 0),
        "SamplesPerPixel": (_SHORT, channels),
        "RowsPerStrip": (_LONG, rows),
        "StripByteCounts": (_LONG, len(data)),
        "XResolution": (_RATIONAL, IFDRational(ppi[0])),
        "YResolution": (_RATIONAL, IFDRational(ppi[1])),
        "ResolutionUnit": (_SHORT, _PER_INCH),
        "Predictor": (_SHORT, _DIFFERENCES),
    }
    if icc is not None:
        tags["ICCProfile"] = (_UNDEFINED, icc)
    if channels in (2, 4):
        tags["ExtraSamples"] = (_SHORT, _STRAIGHT_ALPHA)
    directory = ImageFileDirectory_v2(b"II\x2a\x00\x00\x00\x00\x00")
    for name, (kind, value) in tags.items():
        directory.tagtype[numbers[name]] = kind
        directory[numbers[name]] = value
    with out.open("wb") as file:
        directory.save(file)
        file.write(data)
