"""Unpacks a PDF's streams, but never to more than is wanted of them.

A stream of a megabyte can unpack to a gigabyte, and qpdf unpacks a stream whole. So each filter's result is
measured first, without being kept; then qpdf unpacks it, which knows the predictors and bears small damage.
The filters are those of ISO 32000-1, 7.4.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable, Iterator
from typing import Any

LOSSLESS = frozenset({"/FlateDecode", "/LZWDecode", "/RunLengthDecode", "/ASCII85Decode", "/ASCIIHexDecode"})
LOSSLESS |= {"/Fl", "/LZW", "/RL", "/A85", "/AHx"}

MAX_UNPACKED_BYTES = 64 * 1024**2  # far above any drawing or profile; what unpacks further is made to do harm
_STEP_BYTES = 1024**2
# Filters on the way may hold more than the last gives (hexadecimals do), and predictors add to each row.
_INNER_TIMES, _INNER_BYTES = 4, 64 * 1024
_LZW_CLEAR, _LZW_END, _LZW_FIRST = 256, 257, 258
_PREDICTOR_KEYS = ("/Predictor", "/Colors", "/BitsPerComponent", "/Columns", "/EarlyChange")


class UnpacksTooFar(Exception):
    """A stream holds more than is wanted of it; caught inside this room."""


def unpacked(stream: Any, most: int, count: int | None = None) -> bytes:
    """A stream's content.

    Parameters
    ----------
    stream : pikepdf.Object
        The stream.
    most : int
        How many bytes are wanted at most.
    count : int or None
        How many of its filters to undo, from the first; None for all.

    Raises
    ------
    UnpacksTooFar
        If there are more.
    pikepdf.PdfError
        If they cannot be unpacked.
    """
    import pikepdf

    steps = _steps(stream)[:count]
    data = bytes(stream.read_raw_bytes())
    with pikepdf.new() as bench:
        for index, (name, parms) in enumerate(steps):
            room = most if index == len(steps) - 1 else _INNER_TIMES * most + _INNER_BYTES
            _measure(data, name, parms, room)
            packed = bench.make_stream(b"")
            packed.write(
                data, filter=pikepdf.Name(name), decode_parms=pikepdf.Dictionary(parms) if parms else None
            )
            data = bytes(packed.read_bytes(pikepdf.StreamDecodeLevel.specialized))
            if len(data) > room:
                raise UnpacksTooFar
    if len(data) > most:
        raise UnpacksTooFar
    return data


def listed(value: Any) -> list[Any]:
    """What a PDF gives as one thing, as several or not at all."""
    import pikepdf

    if value is None:
        return []
    return list(value) if isinstance(value, pikepdf.Array) else [value]


def _steps(stream: Any) -> list[tuple[str, dict[str, int]]]:
    """Its filters in the order they are undone, each with its parameters."""
    names = [str(name) for name in listed(stream.get("/Filter"))]
    given = listed(stream.get("/DecodeParms", stream.get("/DP")))
    given += [None] * (len(names) - len(given))
    return [(name, _parms(found)) for name, found in zip(names, given, strict=False)]


def _parms(given: Any) -> dict[str, int]:
    if not hasattr(given, "get"):
        return {}
    return {key: int(given[key]) for key in _PREDICTOR_KEYS if key in given}


def _measure(data: bytes, name: str, parms: dict[str, int], room: int) -> None:
    """Refuse what one filter would unpack to over `room`. Damage ends the count: qpdf gets no further."""
    sizes = _COUNTERS.get(name)
    if sizes is None:  # the ASCII filters give four bytes for one at most
        return
    if parms.get("/Predictor", 1) > 1:
        bits = parms.get("/Colors", 1) * parms.get("/BitsPerComponent", 8) * parms.get("/Columns", 1)
        if bits > 8 * room:
            raise UnpacksTooFar
        room = 2 * room + _INNER_BYTES
    total = 0
    for size in sizes(data, parms):
        total += size
        if total > room:
            raise UnpacksTooFar


def _flate_sizes(data: bytes, _: dict[str, int]) -> Iterator[int]:
    unpacker = zlib.decompressobj()
    try:
        while not unpacker.eof:
            piece = unpacker.decompress(data, _STEP_BYTES)
            data = unpacker.unconsumed_tail
            if not piece and not data:
                return
            yield len(piece)
    except zlib.error:
        return


def _run_length_sizes(data: bytes, _: dict[str, int]) -> Iterator[int]:
    at = 0
    while at < len(data) and data[at] != 128:
        code = data[at]
        yield code + 1 if code < 128 else 257 - code
        at += code + 2 if code < 128 else 2


def _lzw_sizes(data: bytes, parms: dict[str, int]) -> Iterator[int]:
    """The length of what each code stands for; a new code stands for one byte more than the last."""
    early = parms.get("/EarlyChange", 1)
    lengths, last, held, bits = [1] * _LZW_FIRST, 0, 0, 0
    for byte in data:
        held, bits = held << 8 | byte, bits + 8
        width = min(12, max(9, (len(lengths) + early).bit_length()))
        if bits < width:
            continue
        bits -= width
        code, held = held >> bits, held & ((1 << bits) - 1)
        if code == _LZW_CLEAR:
            lengths, last = lengths[:_LZW_FIRST], 0
            continue
        if code == _LZW_END or code > len(lengths) or (code == len(lengths) and not last):
            return
        if last:
            lengths.append(last + 1)
        last = lengths[code]
        yield last


_COUNTERS: dict[str, Callable[[bytes, dict[str, int]], Iterator[int]]] = {
    "/FlateDecode": _flate_sizes,
    "/Fl": _flate_sizes,
    "/RunLengthDecode": _run_length_sizes,
    "/RL": _run_length_sizes,
    "/LZWDecode": _lzw_sizes,
    "/LZW": _lzw_sizes,
}
