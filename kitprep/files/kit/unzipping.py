"""Unpacks a ZIP, after looking for everything that could do harm.

Every member is looked at before the first is written: its name, what it is, its claimed sizes and whether
it is locked. The bytes are counted again while they are unpacked, since a header can claim anything.
A ZIP inside the ZIP is unpacked as a file and left closed.
"""

from __future__ import annotations

import stat
import struct
import zlib
from collections.abc import Iterator, Sequence
from importlib import import_module
from pathlib import Path
from zipfile import BadZipFile, ZipFile, ZipInfo

from kitprep.errors import CannotRead, DamagedZip, LockedFile, UnsafeZip
from kitprep.files.kit.limits import Limits
from kitprep.files.kit.names import folded, is_junk, safe_name, why_unsafe
from kitprep.files.kit.writing import CHUNK_BYTES

_ENCRYPTED = 0x1  # APPNOTE 4.4.4, general purpose bit 0
_UTF_8 = 0x800  # bit 11
_UNLOCK = "unpack it with its password, then import the folder"


def _errors_named(*paths: str) -> Iterator[type[Exception]]:
    """Exceptions of modules that not every Python has."""
    for path in paths:
        module, _, name = path.rpartition(".")
        try:
            yield getattr(import_module(module), name)
        except ImportError:
            continue


# An OSError without an errno is damage too: what bz2 raises.
_DAMAGE: tuple[type[Exception], ...] = (
    BadZipFile,
    EOFError,
    zlib.error,
    struct.error,
    NotImplementedError,
    ValueError,
    KeyError,
    *_errors_named("lzma.LZMAError", "compression.zstd.ZstdError"),
)


class KitZip:
    """An open ZIP that has been found safe to unpack.

    Parameters
    ----------
    path : Path
        The ZIP.
    limits : Limits
        What is too much.

    Raises
    ------
    UnsafeZip
        If a member is a link or leads out of the folder, two have the same name, or there is too much.
    LockedFile
        If a member is encrypted.
    DamagedZip
        If the list of members cannot be read.
    """

    def __init__(self, path: Path, limits: Limits) -> None:
        self._name, self._limits = path.name, limits
        try:
            self._zip = ZipFile(path)
        except _DAMAGE as fault:
            raise DamagedZip(path.name, "its list of files cannot be read") from fault
        except OSError as fault:
            raise _failed(path.name, "its list of files cannot be read", fault) from fault
        try:
            self.members = self._checked()
        except BaseException:
            self._zip.close()
            raise

    def __enter__(self) -> KitZip:
        return self

    def __exit__(self, *_: object) -> None:
        self._zip.close()

    def read(self, member: ZipInfo, room: int) -> Iterator[bytes]:
        """A member's bytes in pieces.

        Parameters
        ----------
        member : ZipInfo
            One of `members`.
        room : int
            How many bytes the kit may still grow by.

        Raises
        ------
        UnsafeZip
            If it unpacks to more than `room`, or too many times over.
        DamagedZip
            If it cannot be unpacked, or not to the size it claims.
        """
        count = 0
        try:
            with self._zip.open(member) as packed:
                while piece := packed.read(CHUNK_BYTES):
                    count += len(piece)
                    self._hold_to_limits(member, count, room)
                    yield piece
            if count != member.file_size:
                raise DamagedZip(self._name, f"'{member.filename}' in it is not of the size it claims")
        except _DAMAGE as fault:
            raise DamagedZip(self._name, f"'{member.filename}' in it is damaged") from fault
        except OSError as fault:
            raise _failed(self._name, f"'{member.filename}' in it is damaged", fault) from fault
        except RuntimeError as fault:  # what zipfile raises for a lock it finds late
            raise LockedFile(self._name, _UNLOCK) from fault

    def _checked(self) -> tuple[tuple[str, ZipInfo], ...]:
        members = self._zip.infolist()
        if len(members) > self._limits.members:
            raise self._unsafe(f"it holds {len(members)} files and folders, over {self._limits.members}")
        for member in members:
            self._check(member)
        self._check_overlaps(members)
        wanted = [(safe_name(_name_of(member)), member) for member in members if not member.is_dir()]
        useful = tuple((name, member) for name, member in wanted if not is_junk(_name_of(member)))
        self._check_names([name for name, _ in useful])
        room = self._limits.unpacked_bytes
        for _, member in useful:
            self._hold_to_limits(member, member.file_size, room)
            room -= member.file_size
        return useful

    def _check(self, member: ZipInfo) -> None:
        why = why_unsafe(member.orig_filename) or why_unsafe(_name_of(member))
        if why is not None:
            raise self._unsafe(why)
        kind = stat.S_IFMT(member.external_attr >> 16)
        if kind == stat.S_IFLNK:
            raise self._unsafe(f"'{member.filename}' is a link")
        if kind not in (0, stat.S_IFREG, stat.S_IFDIR):
            raise self._unsafe(f"'{member.filename}' is not a plain file")
        if member.flag_bits & _ENCRYPTED:
            raise LockedFile(self._name, _UNLOCK)

    def _check_overlaps(self, members: Sequence[ZipInfo]) -> None:
        """Members that share packed bytes are a way to hide how much there is."""
        end, last = 0, ""
        for member in sorted(members, key=lambda member: member.header_offset):
            if member.header_offset < end:
                raise self._unsafe(f"'{last}' and '{member.filename}' overlap")
            end, last = member.header_offset + member.compress_size, member.filename

    def _check_names(self, names: Sequence[str]) -> None:
        seen: dict[str, str] = {}
        for name in names:
            if not name:
                raise self._unsafe("a file in it has no name")
            if folded(name) in seen:
                raise self._unsafe(f"'{seen[folded(name)]}' and '{name}' have the same name")
            seen[folded(name)] = name
        for name in names:
            parts = folded(name).split("/")
            for depth in range(1, len(parts)):
                if "/".join(parts[:depth]) in seen:
                    raise self._unsafe(f"'{'/'.join(parts[:depth])}' is both a file and a folder")

    def _hold_to_limits(self, member: ZipInfo, size: int, room: int) -> None:
        limits = self._limits
        if size > room:
            raise self._unsafe(f"it unpacks to more than {limits.bytes_text}")
        if size > limits.ratio_from_bytes and size > limits.ratio * member.compress_size:
            raise self._unsafe(f"'{member.filename}' unpacks to over {limits.ratio} times its size")

    def _unsafe(self, why: str) -> UnsafeZip:
        return UnsafeZip(self._name, why)


def _failed(name: str, how: str, fault: OSError) -> CannotRead | DamagedZip:
    """The disk's fault if it has a number, else the ZIP's."""
    if fault.errno is None:
        return DamagedZip(name, how)
    return CannotRead(name, fault.strerror or str(fault))


def _name_of(member: ZipInfo) -> str:
    """The name as meant: some programs write UTF-8 without saying so, and zipfile reads code page 437."""
    if not member.flag_bits & _UTF_8:
        try:
            return member.filename.encode("cp437").decode("utf-8")
        except UnicodeError:
            pass
    return member.filename
