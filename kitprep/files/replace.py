"""Files that appear whole or not at all: written beside their place, then moved onto it.

A move within one folder is atomic on POSIX systems (IEEE Std 1003.1, rename) and replaces the old
file in one step on Windows, so nobody ever sees half a file and a failure leaves the old one whole.
"""

from __future__ import annotations

import errno
import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from kitprep.errors import CannotWrite, MissingFile, OutputExists

_PLACE_FAULTS = {errno.ENOSPC, errno.EDQUOT, errno.EROFS, errno.EFBIG, errno.EIO}
"""Faults of the disk rather than of what is being written."""


@contextmanager
def replacing(path: Path, *, overwrite: bool = False) -> Iterator[Path]:
    """Give a temporary file to write; it takes its place when the block ends without an error.

    Parameters
    ----------
    path : Path
        Where the file is to appear. A link is followed.
    overwrite : bool
        Whether a file that is already there may be replaced.

    Yields
    ------
    Path
        An empty file in the same folder, with the same ending. After an error it is gone and a file
        that was at `path` is as it was.

    Raises
    ------
    OutputExists
        If there is a file and `overwrite` is false; before anything is written.
    MissingFile
        If the folder is not there.
    CannotWrite
        If the folder cannot be written to, the disk is full, or the old file is open elsewhere.
    """
    target = Path(os.path.realpath(path))
    _check(path, target, overwrite)
    temporary = _create(path, target)
    try:
        yield temporary
        _flush(temporary)
        if not overwrite and target.exists():
            raise OutputExists(str(path))
        _move(path, temporary, target)
    except OSError as error:
        _remove(temporary)
        if is_fault_of_place(error, temporary):
            raise cannot_write(path, error) from error
        raise
    except BaseException:
        _remove(temporary)
        raise


def write_bytes(path: Path, content: bytes, *, overwrite: bool = False) -> None:
    """Write a whole small file; errors as `replacing`."""
    with replacing(path, overwrite=overwrite) as temporary:
        temporary.write_bytes(content)


def is_fault_of_place(error: OSError, place: Path) -> bool:
    """Whether an error comes from where something is written rather than from what is written there."""
    named = [str(name) for name in (error.filename, error.filename2) if name is not None]
    return error.errno in _PLACE_FAULTS or any(Path(name).is_relative_to(place) for name in named)


def cannot_write(path: Path, error: OSError) -> CannotWrite:
    """The user's words for an operating system's refusal to write at a path."""
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return CannotWrite(str(path), "there is no space left", "free some space, or choose another place")
    if error.errno == errno.EROFS:
        return CannotWrite(str(path), "the disk is read-only")
    if error.errno in (errno.EACCES, errno.EPERM):
        return CannotWrite(str(path), "you may not write there")
    if error.errno == errno.ENAMETOOLONG:
        return CannotWrite(str(path), "its name is too long", "give a shorter name")
    return CannotWrite(str(path), (error.strerror or str(error)).lower())


def _check(path: Path, target: Path, overwrite: bool) -> None:
    try:
        if not target.parent.is_dir():
            raise MissingFile(str(path.parent))
        if target.is_dir():
            raise CannotWrite(str(path), "it is a folder", "give the name of a file")
        if not overwrite and target.exists():
            raise OutputExists(str(path))
    except OSError as error:
        raise cannot_write(path, error) from error


def _create(path: Path, target: Path) -> Path:
    temporary = target.parent / f".kitprep-{secrets.token_hex(6)}{target.suffix}"
    try:
        temporary.open("xb").close()  # not tempfile.mkstemp, which hides the file from everybody else
    except OSError as error:
        raise cannot_write(path, error) from error
    return temporary


def _flush(temporary: Path) -> None:
    with temporary.open("rb+") as file:
        os.fsync(file.fileno())


def _move(path: Path, temporary: Path, target: Path) -> None:
    try:
        temporary.replace(target)
    except PermissionError as error:
        if target.exists():
            how = "it is open in another program, or protected"
            raise CannotWrite(str(path), how, "close it there, or give another name") from error
        raise cannot_write(path, error) from error


def _remove(temporary: Path) -> None:
    with suppress(OSError):
        temporary.unlink()
