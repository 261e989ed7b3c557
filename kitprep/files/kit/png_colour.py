"""A colour profile for a PNG that states its colours by gAMA and cHRM instead of one.

The W3C PNG specification (11.3.2) gives the meaning: stored value = light ** gamma, and the chromaticities
of white, red, green and blue. The profile is a matrix/TRC display profile (ICC.1:2010, 8.3 and 8.4), its
colorants adapted to D50 by the linear Bradford transform (ICC.1:2010, annex E).
"""

from __future__ import annotations

import struct
from collections.abc import Sequence

Vector = tuple[float, float, float]
Matrix = tuple[Vector, Vector, Vector]

SRGB_GAMMA = 0.45455
SRGB_XY = (0.3127, 0.3290, 0.64, 0.33, 0.30, 0.60, 0.15, 0.06)  # IEC 61966-2-1: white, red, green, blue
GAMMA_TOLERANCE = 0.05  # of the gamma; libpng's PNG_GAMMA_THRESHOLD for "no need to correct"
XY_TOLERANCE = 0.002
_D50: Vector = (0.9642, 1.0, 0.8249)  # ICC.1:2010, 7.2.16
_BRADFORD: Matrix = ((0.8951, 0.2664, -0.1614), (-0.7502, 1.7135, 0.0367), (0.0389, -0.0685, 1.0296))


def profile_of_png(gamma: float | None, xy: Sequence[float] | None, *, grey: bool) -> bytes | None:
    """The profile that gAMA and cHRM describe; None where they say nothing or what sRGB says.

    Parameters
    ----------
    gamma : float or None
        The value of gAMA, such as 0.45455. Without it cHRM alone says too little, and is not followed.
    xy : sequence of float or None
        The eight values of cHRM: white, red, green, blue.
    grey : bool
        Whether the picture is grey.
    """
    if gamma is None or not 0.05 <= gamma <= 10:
        return None
    primaries = tuple(xy) if xy is not None and len(xy) == 8 and not grey else SRGB_XY
    plain_gamma = abs(gamma / SRGB_GAMMA - 1) <= GAMMA_TOLERANCE
    if plain_gamma and all(abs(a - b) <= XY_TOLERANCE for a, b in zip(primaries, SRGB_XY, strict=True)):
        return None
    curve = _curve(1 / gamma)
    if grey:
        return _profile(b"GRAY", {b"kTRC": curve})
    try:
        red, green, blue = _colorants(primaries)
    except ZeroDivisionError:
        return None
    tags = {b"rXYZ": _xyz(red), b"gXYZ": _xyz(green), b"bXYZ": _xyz(blue)}
    return _profile(b"RGB ", tags | {b"rTRC": curve, b"gTRC": curve, b"bTRC": curve})


def _colorants(xy: Sequence[float]) -> tuple[Vector, Vector, Vector]:
    """XYZ of full red, green and blue, adapted to D50."""
    white = _from_xy(xy[0], xy[1])
    primaries = _transposed((_from_xy(*xy[2:4]), _from_xy(*xy[4:6]), _from_xy(*xy[6:8])))
    amounts = _times(_inverse(primaries), white)
    scaled = tuple(
        tuple(value * amount for value, amount in zip(row, amounts, strict=True)) for row in primaries
    )
    cones, wanted = _times(_BRADFORD, white), _times(_BRADFORD, _D50)
    gains = [b / a for a, b in zip(cones, wanted, strict=True)]
    red, green, blue = zip(*scaled, strict=True)
    return _adapted(red, gains), _adapted(green, gains), _adapted(blue, gains)


def _adapted(colour: Vector, gains: Sequence[float]) -> Vector:
    red, green, blue = _times(_BRADFORD, colour)
    return _times(_inverse(_BRADFORD), (red * gains[0], green * gains[1], blue * gains[2]))


def _from_xy(x: float, y: float) -> Vector:
    return x / y, 1.0, (1 - x - y) / y


def _times(matrix: Matrix, vector: Vector) -> Vector:
    first, second, third = (sum(a * b for a, b in zip(row, vector, strict=True)) for row in matrix)
    return first, second, third


def _transposed(matrix: Matrix) -> Matrix:
    first, second, third = zip(*matrix, strict=True)
    return first, second, third


def _inverse(matrix: Matrix) -> Matrix:
    (a, b, c), (d, e, f), (g, h, i) = matrix
    det = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g)
    return (
        ((e * i - f * h) / det, (c * h - b * i) / det, (b * f - c * e) / det),
        ((f * g - d * i) / det, (a * i - c * g) / det, (c * d - a * f) / det),
        ((d * h - e * g) / det, (b * g - a * h) / det, (a * e - b * d) / det),
    )


def _fixed(value: float) -> bytes:
    return struct.pack(">i", round(value * 65_536))


def _xyz(colour: Vector) -> bytes:
    return b"XYZ \0\0\0\0" + b"".join(map(_fixed, colour))


def _curve(exponent: float) -> bytes:
    """A parametric curve of type 0, Y = X ** exponent (ICC.1:2010, 10.16)."""
    return b"para\0\0\0\0" + struct.pack(">HH", 0, 0) + _fixed(exponent)


def _text(words: str) -> bytes:
    """A multiLocalizedUnicodeType of one record (ICC.1:2010, 10.13)."""
    data = words.encode("utf-16-be")
    return b"mluc\0\0\0\0" + struct.pack(">II4sII", 1, 12, b"enUS", len(data), 28) + data


def _profile(space: bytes, tags: dict[bytes, bytes]) -> bytes:
    tags = {b"desc": _text("PNG gAMA and cHRM"), b"cprt": _text("No copyright"), b"wtpt": _xyz(_D50)} | tags
    at = 128 + 4 + 12 * len(tags)
    table, body = struct.pack(">I", len(tags)), b""
    for name, data in tags.items():
        table += name + struct.pack(">II", at + len(body), len(data))
        body += data + bytes(-len(data) % 4)
    header = struct.pack(">I4sI4s4s4s", at + len(body), bytes(4), 0x04200000, b"mntr", space, b"XYZ ")
    header += struct.pack(
        ">6H4s4sI4s4s8sI", 2000, 1, 1, 0, 0, 0, b"acsp", bytes(4), 0, bytes(4), bytes(4), bytes(8), 0
    )
    header += b"".join(map(_fixed, _D50))
    return header.ljust(128, b"\0") + table + body
