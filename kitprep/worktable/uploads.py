"""Files of kits on their way in: each appears whole or not at all, and one kit takes no more than its room."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from secrets import token_urlsafe
from shutil import rmtree
from threading import Lock

from kitprep.errors import BrokenRequest, NoSuchWork, TooMuchToImport

MOST_BYTES = 2 * 1024**3  # of one kit, as importing has it
MOST_FILES = 2_000  # likewise
IDLE_S = 6 * 3600.0  # after which an upload that was never brought in is let go


@dataclass
class Upload:
    """The files of one kit.

    Parameters
    ----------
    folder : Path
        Its own; what has arrived is in `files`, what is arriving beside it.
    used : float
        When it was last used, in seconds of the uploads' clock.
    taken : int
        Bytes of the files that have arrived and of those that are arriving.
    sizes : dict of str to int
        Bytes of each file that has arrived.
    arriving : int
        How many files are arriving.
    """

    folder: Path
    used: float
    taken: int = 0
    sizes: dict[str, int] = field(default_factory=dict)
    arriving: int = 0

    @property
    def name(self) -> str:
        """By which the page asks for it."""
        return self.folder.name

    @property
    def files(self) -> Path:
        """Where the files that have arrived are."""
        return self.folder / "files"

    @property
    def parts(self) -> Path:
        """Where the files that are arriving are."""
        return self.folder / "parts"


class Uploads:
    """All uploads of one worktable; used from several threads.

    Parameters
    ----------
    folder : Path
        Where they go.
    clock : callable
        Seconds that only grow.
    """

    def __init__(self, folder: Path, clock: Callable[[], float] = time.monotonic) -> None:
        self._folder = folder
        self._clock = clock
        self._lock = Lock()
        self._uploads: dict[str, Upload] = {}

    def begin(self) -> Upload:
        """A place for the files of one kit; those that were left for hours are let go."""
        with self._lock:
            now = self._clock()
            left = [one for one in self._uploads.values() if not one.arriving and now - one.used > IDLE_S]
            for one in left:
                del self._uploads[one.name]
            new = Upload(self._folder / token_urlsafe(9), now)
            new.files.mkdir(parents=True)
            new.parts.mkdir()
            self._uploads[new.name] = new
        for one in left:
            rmtree(one.folder, ignore_errors=True)
        return new

    @contextmanager
    def arriving(self, name: str, path: str) -> Iterator[Callable[[bytes], None]]:
        """Take one file in; it takes the place of an earlier one of that path once it is whole.

        Parameters
        ----------
        name : str
            Of the upload.
        path : str
            Within the folder that was dropped; one that the caller has found safe.

        Yields
        ------
        callable
            Writes the next bytes.

        Raises
        ------
        NoSuchWork
            If there is no such upload.
        TooMuchToImport
            If it holds more than one kit may.
        OSError
            If the file cannot be written.
        """
        upload = self._start(name, path)
        part = upload.parts / token_urlsafe(9)
        length = 0

        def write(chunk: bytes) -> None:
            nonlocal length
            self._claim(upload, len(chunk))
            length += len(chunk)
            file.write(chunk)

        kept = False
        try:
            with part.open("xb") as file:
                yield write
            self._keep(upload, part, path, length)
            kept = True
        finally:
            with self._lock:
                upload.arriving -= 1
                upload.used = self._clock()
                upload.taken -= 0 if kept else length
            part.unlink(missing_ok=True)

    def take(self, name: str) -> Upload:
        """An upload to be imported; it is no longer among those that are found or let go.

        Raises
        ------
        NoSuchWork
            If there is no such upload.
        BrokenRequest
            If a file of it is still arriving.
        """
        with self._lock:
            upload = self._find(name)
            if upload.arriving:
                raise BrokenRequest("files of that kit are still arriving")
            return self._uploads.pop(name)

    def give_back(self, upload: Upload) -> None:
        """Have an upload that was taken here again, to be imported once more."""
        with self._lock:
            upload.used = self._clock()
            self._uploads[upload.name] = upload

    def _find(self, name: str) -> Upload:
        if name not in self._uploads:
            raise NoSuchWork("files of that kit")
        return self._uploads[name]

    def _start(self, name: str, path: str) -> Upload:
        with self._lock:
            upload = self._find(name)
            if path not in upload.sizes and len(upload.sizes) + upload.arriving >= MOST_FILES:
                raise TooMuchToImport("what was dropped", f"over {MOST_FILES} files")
            upload.arriving += 1
            return upload

    def _claim(self, upload: Upload, length: int) -> None:
        with self._lock:
            if upload.taken + length > MOST_BYTES:
                raise TooMuchToImport("what was dropped", "over 2 GiB")
            upload.taken += length

    def _keep(self, upload: Upload, part: Path, path: str, length: int) -> None:
        target = upload.files / path
        with self._lock:
            target.parent.mkdir(parents=True, exist_ok=True)
            part.replace(target)
            upload.taken -= upload.sizes.get(path, 0)
            upload.sizes[path] = length
