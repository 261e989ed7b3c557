"""Files that appear whole or not at all: written beside their place, then moved onto it.

A move within one folder is atomic on POSIX systems (IEEE Std 1003.1, rename) and replaces the old
file in one step on Windows, so nobody ever sees half a file and a failure leaves the old one whole.
"""

from __future__ import annotations

import errno
import os
import secrets
from collections.abc import Iterator, Sequence
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
    with replacing_all([path], overwrite=overwrite) as (temporary,):
        yield temporary


@contextmanager
def replacing_all(paths: Sequence[Path], *, overwrite: bool = False) -> Iterator[tuple[Path, ...]]:
    """As `replacing` for several files: all of them take their places, or none does.

    Files that are there already are set aside while the new ones move in, and put back if one of them
    cannot.

    Parameters
    ----------
    paths : sequence of Path
        Where the files are to appear, each at a place of its own.
    overwrite : bool
        As in `replacing`.

    Yields
    ------
    tuple of Path
        An empty file for each, in the same order.

    Raises
    ------
    OutputExists, MissingFile, CannotWrite
        As in `replacing`.
    """
    places = [_Place(path) for path in paths]
    try:
        for place in places:
            place.make_ready(overwrite)
        yield tuple(place.temporary for place in places)
        for place in places:
            place.finish(overwrite)
        _move_in(places)
    except OSError as error:
        _clear(places)
        for place in places:
            if is_fault_of_place(error, place.temporary):
                raise cannot_write(place.path, error) from error
        raise
    except CannotWrite as error:  # of a writer that was given a temporary file, whose name says nothing
        _clear(places)
        for place in places:
            if error.path == str(place.temporary):
                raise CannotWrite(str(place.path), error.why, error.next_step) from error
        raise
    except BaseException:
        _clear(places)
        raise


def write_bytes(path: Path, content: bytes, *, overwrite: bool = False) -> None:
    """Write a whole small file; errors as `replacing`."""
    with replacing(path, overwrite=overwrite) as temporary:
        temporary.write_bytes(content)


def is_fault_of_place(error: OSError, place: Path) -> bool:
    """Whether an error comes from where something is written rather than from what is written there."""
    named = [str(name) for name in (error.filename, error.filename2) if name is not None]
    return error.errno in _PLACE_FAULTS or any(Path(name).is_relative_to(place) for name in named)


def cannot_write(path: Path, error: OSError, elsewhere: str = "") -> CannotWrite:
    """The user's words for an operating system's refusal to write at a path.

    Parameters
    ----------
    path : Path
        Where.
    error : OSError
        The refusal.
    elsewhere : str
        How to choose another place; empty for the usual words.
    """
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        other = elsewhere or "choose another place"
        return CannotWrite(str(path), "there is no space left", f"free some space, or {other}")
    if elsewhere:
        return CannotWrite(str(path), error.strerror or str(error), elsewhere)
    if error.errno == errno.EROFS:
        return CannotWrite(str(path), "the disk is read-only")
    if error.errno in (errno.EACCES, errno.EPERM):
        return CannotWrite(str(path), "you may not write there")
    if error.errno == errno.ENAMETOOLONG:
        return CannotWrite(str(path), "its name is too long", "give a shorter name")
    return CannotWrite(str(path), (error.strerror or str(error)).lower())


class _Place:
    """One file on its way to its place."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.target = Path(os.path.realpath(path))
        mark = secrets.token_hex(6)
        self.temporary = self.target.parent / f".kitprep-{mark}{self.target.suffix}"
        self.set_aside = self.target.parent / f".kitprep-{mark}-old{self.target.suffix}"

    def make_ready(self, overwrite: bool) -> None:
        """Refuse what cannot be, and make the temporary file."""
        _check(self.path, self.target, overwrite)
        try:
            self.temporary.open("xb").close()  # not tempfile.mkstemp, which hides it from everybody else
        except OSError as error:
            raise cannot_write(self.path, error) from error

    def finish(self, overwrite: bool) -> None:
        """Bring what was written to the disk."""
        with self.temporary.open("rb+") as file:
            os.fsync(file.fileno())
        _check(self.path, self.target, overwrite)

    def move(self) -> None:
        """Take the place at once."""
        self._moving(self.temporary, self.target)

    def step_aside(self) -> bool:
        """Put an old file aside; whether there was one."""
        if not self.target.exists():
            return False
        self._moving(self.target, self.set_aside)
        return True

    def _moving(self, start: Path, end: Path) -> None:
        try:
            start.replace(end)
        except PermissionError as error:
            if self.target.exists():
                how = "it is open in another program, or protected"
                raise CannotWrite(str(self.path), how, "close it there, or give another name") from error
            raise cannot_write(self.path, error) from error


def _move_in(places: Sequence[_Place]) -> None:
    if len(places) == 1:  # in one step, so that at no moment the place is empty
        places[0].move()
        return
    aside: list[_Place] = []
    new: list[_Place] = []
    try:
        for place in places:
            if place.step_aside():
                aside.append(place)
        for place in places:
            place.move()
            new.append(place)
    except BaseException:
        for place in new:
            _remove(place.target)
        for place in aside:
            place.set_aside.replace(place.target)
        raise
    for place in aside:
        _remove(place.set_aside)


def _clear(places: Sequence[_Place]) -> None:
    for place in places:
        _remove(place.temporary)


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


def _remove(temporary: Path) -> None:
    with suppress(OSError):
        temporary.unlink()
