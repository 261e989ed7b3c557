"""Names of files in a kit: which are junk, which are unsafe, how they sort, what the kit is called."""

from __future__ import annotations

import re
import unicodedata
from pathlib import PurePosixPath

_JUNK_FOLDERS = frozenset({"__macosx", ".trashes", ".spotlight-v100", ".fseventsd"})
_JUNK_FILES = frozenset({".ds_store", "thumbs.db", "ehthumbs.db", "desktop.ini", "icon\r"})
_FORBIDDEN = re.compile(r'[<>:"|?*\x00-\x1f\x7f\ud800-\udfff]')  # on Windows (Microsoft, "Naming Files")
_RESERVED = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\.|$)", re.IGNORECASE)
_SURROGATES = re.compile("[\ud800-\udfff]")  # what stands for bytes of a name that are not UTF-8
_DRIVE = re.compile(r"[A-Za-z]:")
_DIGITS = re.compile(r"(\d+)")


def is_junk(name: str) -> bool:
    """Whether a file is what a computer leaves in folders, and no part of a kit.

    Examples
    --------
    >>> is_junk("__MACOSX/p1.jpg"), is_junk("pages/._p1.jpg"), is_junk("pages/p1.jpg")
    (True, True, False)
    """
    *folders, last = name.lower().split("/")
    return last in _JUNK_FILES or last.startswith("._") or any(folder in _JUNK_FOLDERS for folder in folders)


def why_unsafe(name: str) -> str | None:
    """Why a ZIP member of this name must not be unpacked, as a clause; None where it may be."""
    if name.startswith("/"):
        return f"'{name}' has an absolute path"
    if _DRIVE.match(name):
        return f"'{name}' names a drive"
    if "\\" in name:
        return f"'{name}' has a backslash in its path"
    if ".." in name.split("/"):
        return f"'{name}' leads out of its folder"
    if "\0" in name:
        return "a name in it has a zero byte"
    return None


def safe_name(name: str) -> str:
    """The path as every system can store it: characters and names that Windows forbids are replaced.

    Examples
    --------
    >>> safe_name("./Tags/Which one?.png"), safe_name("aux.png")
    ('Tags/Which one_.png', '_aux.png')
    """
    parts = [_FORBIDDEN.sub("_", part) for part in name.split("/") if part not in ("", ".")]
    return "/".join(_safe_part(part) for part in parts)


def _safe_part(part: str) -> str:
    bare = part.rstrip(" .")
    part = bare + "_" * (len(part) - len(bare))
    return f"_{part}" if _RESERVED.match(part) else part


def folded(name: str) -> str:
    """What two names have in common that some systems cannot tell apart."""
    return unicodedata.normalize("NFC", name).casefold()


def natural_order(name: str) -> tuple[tuple[tuple[int, int, str], ...], ...]:
    """A key that sorts page 2 before page 10, and a folder's own files before those of its folders.

    Examples
    --------
    >>> sorted(["page 10.png", "b/page 1.png", "Page 2.png"], key=natural_order)
    ['Page 2.png', 'page 10.png', 'b/page 1.png']
    """
    *folders, last = folded(name).split("/")
    keys = [((1, 0, ""), *_natural_part(folder)) for folder in folders]
    return (*keys, ((0, 0, ""), *_natural_part(last)))


def _natural_part(part: str) -> tuple[tuple[int, int, str], ...]:
    pieces = [piece for piece in _DIGITS.split(part) if piece]
    return tuple((0, int(piece), piece) if piece.isdecimal() else (1, 0, piece) for piece in pieces)


_SEPARATORS = re.compile(r"[\s_.+-]+")
_COPY_MARKS = re.compile(r"(\s*\(\d+\)|[\s_-]+copy(\s*\d+)?)+$", re.IGNORECASE)
_WORD_STARTS = re.compile(r"(?<=[a-z])(?=[A-Z])")


def kit_name(file_name: str) -> str:
    """A kit's name for people, from the name of its ZIP, folder or file without its ending.

    Examples
    --------
    >>> kit_name("lantern-orchard (1)"), kit_name("LanternOrchard_kit"), kit_name("Lantern Orchard")
    ('Lantern Orchard', 'Lantern Orchard Kit', 'Lantern Orchard')
    """
    file_name = _SURROGATES.sub("_", file_name)
    words = _SEPARATORS.split(_WORD_STARTS.sub(" ", _COPY_MARKS.sub("", file_name)))
    return " ".join(word.capitalize() if word.islower() else word for word in words if word) or file_name


def stem_of(name: str) -> str:
    """A file's name without its folders and its ending."""
    return PurePosixPath(name).stem
