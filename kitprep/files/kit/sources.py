"""Brings what was bought into one folder, byte for byte: from a ZIP, a folder, or files.

What computers leave in folders (``__MACOSX``, ``.DS_Store``, ``Thumbs.db``, ``desktop.ini``, ``._*``) stays
behind; everything else comes along, read-me texts too. A file is read once: it is hashed while it is copied.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path, PurePosixPath

from kitprep.errors import CannotRead, EmptyFile, MissingFile, NoPages, TooMuchToImport
from kitprep.files.kit.limits import Limits
from kitprep.files.kit.names import folded, is_junk, kit_name, natural_order, safe_name
from kitprep.files.kit.sniffing import FileKind, sniff
from kitprep.files.kit.source import Original
from kitprep.files.kit.terms import find_terms
from kitprep.files.kit.unzipping import KitZip
from kitprep.files.kit.writing import CHUNK_BYTES, write_original


@dataclass(frozen=True, slots=True)
class Unpacked:
    """The originals of one kit.

    Parameters
    ----------
    originals : tuple of Original
        In natural order of their names.
    name : str
        A name for the kit, from that of the ZIP, folder or file.
    terms : str
        The terms of use found among them; empty where there are none.
    terms_file : str
        The original they were read from, the first if from several; empty where there are none.
    """

    originals: tuple[Original, ...]
    name: str
    terms: str
    terms_file: str


def unpack(sources: Sequence[Path], into: Path, *, limits: Limits | None = None) -> Unpacked:
    """Copy or unpack everything useful in the sources into a folder.

    One ZIP or folder keeps its inner paths. Of several sources, each ZIP and each folder gets a folder
    of its own name. Files of the same name from different sources are told apart by a number.

    Parameters
    ----------
    sources : sequence of Path
        ZIPs, folders and files; a ZIP is known by its content.
    into : Path
        An empty folder that exists; nothing outside it is touched. After an error its content is of no use.
    limits : Limits
        What is too much.

    Raises
    ------
    MissingFile, CannotRead, EmptyFile
        If a source is not there, cannot be read, or is an empty file given alone.
    UnsafeZip, LockedFile, DamagedZip
        If a ZIP must not or cannot be unpacked.
    TooMuchToImport
        If a folder or the files hold more than a kit can.
    NoPages
        If there is nothing in them at all.
    CannotWrite
        If the disk is full or `into` cannot be written to.
    """
    intake = _Intake(into, limits or Limits())
    for source in sources:
        if not source.exists():
            raise MissingFile(str(source))
    for source in sources:
        inner = kit_folder(source) if len(sources) > 1 else ""
        if source.is_dir():
            intake.take_folder(source, inner)
        elif _is_zip(source):
            intake.take_zip(source, inner)
        else:
            intake.take_file(source, source.name)
    if not intake.originals:
        raise NoPages(", ".join(source.name for source in sources))
    originals = tuple(sorted(intake.originals, key=lambda original: natural_order(original.name)))
    terms, terms_file = find_terms(originals)
    return Unpacked(originals, _name_of(sources), terms, terms_file)


def kit_folder(source: Path) -> str:
    """The folder that a ZIP or folder gets among several sources."""
    return safe_name(source.resolve().name if source.is_dir() else source.stem) or "kit"


def _is_zip(source: Path) -> bool:
    kind = sniff(source)
    if kind is FileKind.EMPTY and source.suffix.lower() == ".zip":
        raise EmptyFile(source.name)
    return kind is FileKind.ZIP


def _name_of(sources: Sequence[Path]) -> str:
    first = sources[0].resolve()
    if len(sources) > 1:
        parents = {source.resolve().parent for source in sources}
        if len(parents) == 1 and first.parent.name:
            return kit_name(first.parent.name)
    return kit_name(first.name if first.is_dir() else first.stem)


class _Intake:
    """Takes sources in, one after the other, and keeps count."""

    def __init__(self, into: Path, limits: Limits) -> None:
        self.originals: list[Original] = []
        self._into, self._limits = into, limits
        self._room = limits.unpacked_bytes
        self._taken: set[str] = set()

    def take_zip(self, source: Path, inner: str) -> None:
        with KitZip(source, self._limits) as archive:
            for name, member in archive.members:
                self._write(_within(inner, name), archive.read(member, self._room))

    def take_folder(self, source: Path, inner: str) -> None:
        files = list(islice(_files_in(source), self._limits.members + 1))
        if len(files) > self._limits.members:
            raise TooMuchToImport(str(source), f"more than {self._limits.members} files")
        for file, name in files:
            self.take_file(file, _within(inner, safe_name(name)))

    def take_file(self, source: Path, name: str) -> None:
        self._write(safe_name(name), self._read(source))

    def _write(self, name: str, pieces: Iterator[bytes]) -> None:
        original = write_original(self._into, self._free(name), pieces)
        self._room -= original.length
        self.originals.append(original)

    def _read(self, source: Path) -> Iterator[bytes]:
        count = 0
        try:
            with source.open("rb") as file:
                while piece := file.read(CHUNK_BYTES):
                    count += len(piece)
                    if count > self._room:
                        raise TooMuchToImport(source.parent.name, f"more than {self._limits.bytes_text}")
                    yield piece
        except OSError as fault:
            raise CannotRead(str(source), fault.strerror or str(fault)) from fault

    def _free(self, name: str) -> str:
        """The name, or one with a number where another source has taken it."""
        path, number = PurePosixPath(name), 2
        while folded(name) in self._taken:
            name = str(path.with_name(f"{path.stem} ({number}){path.suffix}"))
            number += 1
        self._taken.add(folded(name))
        return name


def _within(inner: str, name: str) -> str:
    return f"{inner}/{name}" if inner else name


def _files_in(folder: Path) -> Iterator[tuple[Path, str]]:
    """Plain files in a folder and below, with their paths inside it; links to folders are not followed."""

    def refuse(fault: OSError) -> None:
        raise CannotRead(fault.filename or str(folder), fault.strerror or str(fault)) from fault

    for place, folders, files in os.walk(folder, onerror=refuse):
        folders.sort()
        for file in sorted(files):
            path = Path(place, file)
            name = path.relative_to(folder).as_posix()
            if path.is_file() and not is_junk(name):
                yield path, name
