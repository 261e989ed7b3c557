"""Finds a kit's terms of use among its text files, and reads them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import PurePosixPath

from kitprep.errors import CannotRead
from kitprep.files.kit.source import Original

TEXT_SUFFIXES = frozenset({".txt", ".text", ".md", ""})
MAX_TERMS_BYTES = 256 * 1024  # a long licence is a tenth of this

_SUGGESTS_TERMS = re.compile(
    r"(?<![a-z])(terms?|tou|licen[cs]e[sd]?|licen[cs]ing|usage|copyright|permissions?|legal)(?![a-z])"
)
_WORD_STARTS = re.compile(r"(?<=[a-z])(?=[A-Z])")


def suggests_terms(name: str) -> bool:
    """Whether a file's name says that it holds terms of use.

    Examples
    --------
    >>> suggests_terms("Kit/Terms_of_Use.txt"), suggests_terms("LICENCE"), suggests_terms("Read me.txt")
    (True, True, False)
    """
    path = PurePosixPath(name)
    words = _WORD_STARTS.sub(" ", path.stem).lower()
    return path.suffix.lower() in TEXT_SUFFIXES and _SUGGESTS_TERMS.search(words) is not None


def find_terms(originals: Sequence[Original]) -> tuple[str, str]:
    """The terms of use, whole, and the name of the file they are in; two empty texts where there are none.

    Those of several files come one after the other, each under its name; the name is then the first's.

    Raises
    ------
    CannotRead
        If a file of terms cannot be read.
    """
    found: list[tuple[str, str]] = []
    for original in originals:
        if suggests_terms(original.name):
            words = _read(original)
            if words:
                found.append((original.name, words))
    if len(found) < 2:
        return (found[0][1], found[0][0]) if found else ("", "")
    return "\n\n".join(f"{name}\n\n{words}" for name, words in found), found[0][0]


def _read(original: Original) -> str:
    try:
        if original.path.stat().st_size > MAX_TERMS_BYTES:
            return ""
        data = original.path.read_bytes()
    except OSError as fault:
        raise CannotRead(original.name, fault.strerror or "no reason given") from fault
    return "" if b"\0" in data and not data.startswith(_UTF_16) else text_of(data).strip()


_UTF_16 = (b"\xff\xfe", b"\xfe\xff")


def text_of(data: bytes) -> str:
    """Text from bytes: by its byte order mark, else UTF-8, else as Windows writes Western text."""
    if data.startswith(_UTF_16):
        return data.decode("utf-16", errors="replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")
