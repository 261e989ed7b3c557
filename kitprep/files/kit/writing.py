"""Writes the originals into their folder, hashing them on the way."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from pathlib import Path

from kitprep.files.kit.source import Original
from kitprep.files.replace import cannot_write

CHUNK_BYTES = 1024**2
_ELSEWHERE = "choose another shelf with --shelf"


def write_original(into: Path, name: str, pieces: Iterable[bytes]) -> Original:
    """Write one original.

    Parameters
    ----------
    into : Path
        The folder of the originals.
    name : str
        A safe path inside it, at which there is nothing.
    pieces : iterable of bytes
        Its content. What reading it raises passes through, save an OSError, which counts as the disk's.

    Raises
    ------
    CannotWrite
        If the disk is full or the folder cannot be written to.
    """
    target = into.joinpath(*name.split("/"))
    digest, length = hashlib.sha256(), 0
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with target.open("xb") as file:
            for piece in pieces:
                digest.update(piece)
                length += len(piece)
                file.write(piece)
    except OSError as fault:
        raise cannot_write(into, fault, _ELSEWHERE) from fault
    return Original(name, target, digest.hexdigest(), length)
