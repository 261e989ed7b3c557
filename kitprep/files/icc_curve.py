"""How much light the code values of a profile stand for, for sums of pixels that are to be sums of light.

Read from the tone curves of a matrix profile or a grey one (ICC.1:2010, 8.3 and 8.4): curveType (10.5) and
parametricCurveType (10.16).
"""

from __future__ import annotations

import struct
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

LEVELS = 65_536
_TAGS = {b"RGB ": (b"gTRC", b"rTRC", b"bTRC"), b"GRAY": (b"kTRC",)}
_COLOUR_SPACE_AT, _TAGS_AT, _TAG_BYTES = slice(16, 20), 128, 12  # ICC.1:2010, 7.2 and 7.3
_PARAMETERS = {0: 1, 1: 3, 2: 4, 3: 5, 4: 7}  # ICC.1:2010, table 65: by function type


def light_of_profile(icc: bytes) -> NDArray[np.float32] | None:
    """The light that each code value of 16 bits stands for.

    Parameters
    ----------
    icc : bytes
        A profile. Of three curves that of green counts, which carries most of the light.

    Returns
    -------
    ndarray or None
        float32, shape (65536,), 0 to 1, never falling; None where it has no such curve, as profiles of
        tables have none.
    """
    import numpy as np

    for name in _TAGS.get(icc[_COLOUR_SPACE_AT], ()):
        tag = _tag(icc, name)
        curve = None if tag is None else _curve(tag)
        if curve is not None and np.isfinite(curve).all() and curve[-1] > curve[0]:
            return np.maximum.accumulate(np.clip(curve, 0, 1)).astype(np.float32)
    return None


def _tag(icc: bytes, name: bytes) -> bytes | None:
    try:
        (count,) = struct.unpack_from(">I", icc, _TAGS_AT)
        for number in range(min(count, 100)):
            signature, at, size = struct.unpack_from(">4sII", icc, _TAGS_AT + 4 + number * _TAG_BYTES)
            if signature == name:
                return icc[at : at + size]
    except struct.error:
        return None
    return None


def _curve(tag: bytes) -> NDArray[np.float64] | None:
    try:
        if tag[:4] == b"curv":
            return _table(tag)
        return _parametric(tag) if tag[:4] == b"para" else None
    except (struct.error, ZeroDivisionError):
        return None


def _table(tag: bytes) -> NDArray[np.float64] | None:
    import numpy as np

    code = np.linspace(0, 1, LEVELS)
    (count,) = struct.unpack_from(">I", tag, 8)
    if count == 0:
        return code
    if count == 1:
        return np.asarray(code ** (struct.unpack_from(">H", tag, 12)[0] / 256), np.float64)
    if len(tag) < 12 + 2 * count:
        return None
    table = np.frombuffer(tag, ">u2", count, 12) / 65_535
    return np.interp(code, np.linspace(0, 1, count), table)


def _parametric(tag: bytes) -> NDArray[np.float64] | None:
    import numpy as np

    (kind,) = struct.unpack_from(">H", tag, 8)
    if kind not in _PARAMETERS:
        return None
    count = _PARAMETERS[kind]
    gamma, a, b, c, d, e, f = [
        *(value / 65_536 for value in struct.unpack_from(f">{count}i", tag, 12)),
        *(1.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)[count - 1 :],
    ][:7]
    code = np.linspace(0, 1, LEVELS)
    bent = np.maximum(a * code + b, 0) ** gamma
    if kind == 0:
        return np.asarray(code**gamma, np.float64)
    if kind in (1, 2):
        return np.asarray(np.where(code >= -b / a, bent, 0) + c * (kind == 2), np.float64)
    return np.asarray(np.where(code >= d, bent + e, c * code + f), np.float64)
