"""Writes the originals into their folder, hashing them on the way."""

from __future__ import annotations

import errno
import hashlib
from collections.abc import Iterable
from pathlib import Path

from kitprep.errors import CannotWrite
from kitprep.files.kit.source import Original

CHUNK_BYTES = 1024**2


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
        raise cannot_write(into, fault) from fault
    return Original(name, target, digest.hexdigest(), length)


def cannot_write(place: Path, fault: OSError) -> CannotWrite:
    """The error for a failed write, with what to do about it."""
    why = fault.strerror or "no reason given"
    if fault.errno in (errno.ENOSPC, errno.EDQUOT):
        return CannotWrite(str(place), why, "free some space, or choose another shelf with --shelf")
    return CannotWrite(str(place), why, "choose another shelf with --shelf")
