"""One writer at a time: a lock that the operating system lets go of when its holder dies."""

from __future__ import annotations

import errno
import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from kitprep.errors import ShelfBusy
from kitprep.files.replace import cannot_write

_PATIENCE_S = 5.0  # a write to the shelf is a rename or a small file: longer means something is stuck
_PAUSE_S = 0.05
_HELD_BY_ANOTHER = {errno.EACCES, errno.EAGAIN, errno.EDEADLK}


@contextmanager
def write_lock(shelf: Path, patience_s: float = _PATIENCE_S) -> Iterator[None]:
    """Hold the shelf for writing.

    Raises
    ------
    ShelfBusy
        If another holds it for longer than the patience.
    CannotWrite
        If the shelf's folder cannot be made or written to.
    """
    try:
        shelf.mkdir(parents=True, exist_ok=True)
        file = open_lock(shelf / ".lock")
    except OSError as error:
        raise cannot_write(shelf, error) from error
    try:
        _wait(file, shelf, patience_s)
        try:
            yield
        finally:
            release(file)
    finally:
        os.close(file)


def open_lock(path: Path) -> int:
    """A file descriptor of a lock file, made where it is missing."""
    return os.open(path, os.O_RDWR | os.O_CREAT, 0o666)


def _wait(file: int, shelf: Path, patience_s: float) -> None:
    deadline = time.monotonic() + patience_s
    while not try_lock(file):
        if time.monotonic() >= deadline:
            raise ShelfBusy(str(shelf))
        time.sleep(_PAUSE_S)


if sys.platform == "win32":
    import msvcrt

    def _lock(file: int) -> None:
        os.lseek(file, 0, os.SEEK_SET)
        msvcrt.locking(file, msvcrt.LK_NBLCK, 1)

    def release(file: int) -> None:
        """Let a lock go."""
        os.lseek(file, 0, os.SEEK_SET)
        msvcrt.locking(file, msvcrt.LK_UNLCK, 1)

else:
    import fcntl

    def _lock(file: int) -> None:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)

    def release(file: int) -> None:
        """Let a lock go."""
        fcntl.flock(file, fcntl.LOCK_UN)


def try_lock(file: int) -> bool:
    """Take a lock if nobody has it."""
    try:
        _lock(file)
    except OSError as error:
        if error.errno in _HELD_BY_ANOTHER:
            return False
        raise
    return True
