"""How a kit comes onto the shelf: gathered out of sight, then moved into place in one step.

A kit being gathered has a folder in `.arriving` and beside it a lock file, held for as long as its
process lives. A folder whose lock is free was left by a run that was broken off, and is cleared away.
"""

from __future__ import annotations

import hashlib
import os
import re
import secrets
import shutil
import stat
import unicodedata
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from kitprep.errors import CannotWrite
from kitprep.files.replace import cannot_write, is_fault_of_place, replacing
from kitprep.files.shelf.lock import open_lock, release, try_lock, write_lock
from kitprep.pages import Original

_CHUNK = 1 << 20
_WRITABLE = stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH
_SLUG_LENGTH = 60  # keeps paths below the 260 characters that Windows allows by default
_RESERVED = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)$")  # device names on Windows


@contextmanager
def arriving(shelf: Path) -> Iterator[Path]:
    """Give an empty folder on the shelf's own disk; whatever is left of it afterwards is removed.

    Raises
    ------
    CannotWrite
        If the shelf cannot be written to or its disk is full, also when that happens inside the block.
    ShelfBusy
        If another kitprep holds the shelf.
    """
    place = shelf / ".arriving"
    with write_lock(shelf):
        _clear_leftovers(place)
        folder = place / secrets.token_hex(6)
        try:
            place.mkdir(exist_ok=True)
            lock = open_lock(folder.with_suffix(".lock"))
            try_lock(lock)
            folder.mkdir()
        except OSError as error:
            raise cannot_write(shelf, error) from error
    try:
        yield folder
    except OSError as error:
        if is_fault_of_place(error, folder):
            raise cannot_write(shelf, error) from error
        raise
    finally:
        _put_away(folder, lock)


def _put_away(folder: Path, lock: int) -> None:
    with suppress(CannotWrite):  # what cannot be removed now is a leftover for the next run
        remove_tree(folder)
    release(lock)
    os.close(lock)
    if not folder.exists():
        with suppress(OSError):
            folder.with_suffix(".lock").unlink()


def _clear_leftovers(place: Path) -> None:
    for path in sorted(place.glob("*.lock")):
        with suppress(OSError, CannotWrite):
            lock = open_lock(path)
            free = try_lock(lock)
            os.close(lock)
            if free:
                remove_tree(path.with_suffix(""))
                path.unlink()


def settle(folder: Path, place: Path) -> None:
    """Move a gathered kit to its place, its originals read-only.

    Raises
    ------
    CannotWrite
        If it cannot be moved there; it is then still where it was.
    """
    try:
        for path in _files(folder / "originals"):
            path.chmod(path.stat().st_mode & ~_WRITABLE)
        place.parent.mkdir(exist_ok=True)
        folder.rename(place)
    except OSError as error:
        raise cannot_write(place, error) from error


def put_back(source: Path, place: Path) -> None:
    """Copy an original to its place on the shelf again, whole and read-only.

    Raises
    ------
    CannotWrite
        If it cannot be written.
    """
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        if place.exists():
            place.chmod(stat.S_IWUSR | stat.S_IRUSR)
        with replacing(place, overwrite=True) as out:
            shutil.copyfile(source, out)
        place.chmod(place.stat().st_mode & ~_WRITABLE)
    except OSError as error:
        raise cannot_write(place, error) from error


def describe_originals(folder: Path) -> tuple[Original, ...]:
    """Every file below a folder with its digest and length, in order of path."""
    found = [
        Original(path.relative_to(folder).as_posix(), digest_of(path), path.stat().st_size)
        for path in _files(folder)
    ]
    return tuple(sorted(found, key=lambda original: original.file))


def digest_of(path: Path) -> str:
    """The SHA-256 digest of a file (FIPS 180-4), in hexadecimal."""
    digest = hashlib.sha256()
    with path.open("rb") as file:
        while chunk := file.read(_CHUNK):
            digest.update(chunk)
    return digest.hexdigest()


def identity(originals: tuple[Original, ...]) -> str:
    """One digest for all that was bought: equal for the same bytes, whatever the files are called."""
    listing = "\n".join(sorted(original.sha256 for original in originals))
    return hashlib.sha256(listing.encode("ascii")).hexdigest()


def slug_for(name: str) -> str:
    """A kit's name as it stands in ids and folders.

    Examples
    --------
    >>> slug_for("Lantern Orchard"), slug_for("Été & Brume"), slug_for("★")
    ('lantern-orchard', 'ete-brume', 'kit')
    """
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode("ascii").lower()
    slug = re.sub(r"[^a-z0-9]+", "-", plain)[:_SLUG_LENGTH].strip("-") or "kit"
    return f"{slug}-kit" if _RESERVED.match(slug) else slug


def free_slug(wish: str, taken: Callable[[str], bool]) -> str:
    """The wished slug, or with the first number from 2 that makes it free."""
    slug, number = wish, 1
    while taken(slug):
        number += 1
        slug = f"{wish}-{number}"
    return slug


def remove_tree(folder: Path) -> None:
    """Remove a folder, read-only files too.

    Raises
    ------
    CannotWrite
        If something of it cannot be removed.
    """
    if not folder.exists():
        return
    try:
        for path in _files(folder):
            path.chmod(stat.S_IWUSR | stat.S_IRUSR)  # Windows does not remove a read-only file
        shutil.rmtree(folder)
    except OSError as error:
        raise CannotWrite(
            str(folder), f"it cannot be removed: {(error.strerror or '').lower()}", "remove it by hand"
        ) from error


def _files(folder: Path) -> list[Path]:
    return sorted(path for path in folder.rglob("*") if path.is_file() and not path.is_symlink())
