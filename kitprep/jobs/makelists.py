"""Make-lists as plain values, for a door that keeps and edits them itself.

A document is a make-list's keys and values as TOML has them and JSON can carry them: texts, numbers, true
and false, and lists of these, with the pieces in a list under ``piece``. It is read by the one reader of
make-lists, so it takes and refuses exactly what a file does.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from kitprep.errors import BadEntry, MakeListProblem
from kitprep.files.makelist import MakeList, makelist_text, parse_makelist
from kitprep.files.tomltext import TomlFault, toml_text
from kitprep.piece.wanted import WantedPiece

__all__ = ["MakeList", "WantedPiece", "document_from_text", "document_of", "document_text", "read_document"]

Document = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class _Line:
    """One line of a make-list's text, and which value of the document it holds."""

    text: str
    piece: int | None
    key: str


def read_document(document: Document) -> MakeList:
    """The make-list of a document.

    Raises
    ------
    BadEntry
        If it cannot be followed; names the piece and the key.
    """
    lines = list(_lines(document))
    try:
        return parse_makelist("\n".join(line.text for line in lines))
    except TomlFault as fault:
        at = lines[fault.line - 1] if 0 < fault.line <= len(lines) else _Line("", None, "")
        raise BadEntry(at.piece, at.key, fault.what, fault.next_step) from None


def document_from_text(text: str, name: str) -> dict[str, Any]:
    """The document of a make-list's text, checked and complete.

    Parameters
    ----------
    text : str
        The content of a make-list's file.
    name : str
        What to call it when it cannot be followed.

    Raises
    ------
    MakeListProblem
        If it cannot be read or followed; names the line.
    """
    try:
        return document_of(parse_makelist(text))
    except TomlFault as fault:
        raise MakeListProblem(name, fault.line, fault.what, fault.next_step) from None


def document_of(makelist: MakeList) -> dict[str, Any]:
    """A make-list as a document; reading it gives the same list."""
    return tomllib.loads(makelist_text(makelist))


def document_text(document: Document) -> str:
    """The text of a make-list's file; errors as `read_document`."""
    return makelist_text(read_document(document))


def _lines(document: Document) -> Iterator[_Line]:
    """The document as TOML, one line to a value, so that the reader's complaints find their way back."""
    for key, value in document.items():
        if key != "piece" and value is not None:
            yield _Line(f"{toml_text(key)} = {_value(None, key, value)}", None, key)
    pieces = document.get("piece", [])
    if not isinstance(pieces, list) or not all(isinstance(piece, Mapping) for piece in pieces):
        raise BadEntry(None, "piece", "the pieces are no list", "give a list of pieces, each with its keys")
    for index, piece in enumerate(pieces):
        yield _Line("[[piece]]", index, "")
        for key, value in piece.items():
            if value is not None:
                yield _Line(f"{toml_text(key)} = {_value(index, key, value)}", index, key)


def _value(piece: int | None, key: str, value: object) -> str:
    if isinstance(value, str):
        return toml_text(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return repr(value)
    if isinstance(value, list):
        return f"[{', '.join(_value(piece, key, part) for part in value)}]"
    raise BadEntry(piece, key, f"{key} is neither a text nor a number", "give a text, a number or a list")
