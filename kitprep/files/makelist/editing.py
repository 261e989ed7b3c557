"""Edits make-lists in place and writes new ones.

Comments, the order of everything and the line endings stay when a list is edited. A list with a problem
is never touched, and no list is written that could not be read back.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kitprep.errors import KitprepError, MakeListProblem
from kitprep.files.makelist.makelist import DEFAULT_MISREGISTRATION, MakeList
from kitprep.files.makelist.reading import makelist_content, parse_makelist, read_makelist
from kitprep.files.replace import write_bytes
from kitprep.files.tomltext import TomlFault, toml_number, toml_text
from kitprep.lengths import Unit
from kitprep.papers import Flip, Margins, Paper, find_paper
from kitprep.piece.colours import colour_text
from kitprep.piece.wanted import Fit, WantedPiece

if TYPE_CHECKING:
    import tomlkit


def add_piece(path: Path, piece: WantedPiece) -> None:
    """Add a piece at the end of a make-list; comments and order stay.

    Raises
    ------
    MissingFile, MakeListProblem
        As `read_makelist`; the file is then as it was.
    CannotWrite
        If it cannot be written.
    """

    import tomlkit

    def edit(pieces: tomlkit.items.AoT) -> None:
        if pieces:
            pieces[-1].add(tomlkit.nl())
        pieces.append(_table(piece))

    _edit(path, edit)


def change_piece(path: Path, index: int, piece: WantedPiece) -> None:
    """Make another piece of the one at `index`, from 0; comments within it stay. Errors as `add_piece`."""

    def edit(pieces: tomlkit.items.AoT) -> None:
        values = _values(piece)
        for key in [key for key in pieces[index] if key not in values]:
            del pieces[index][key]
        pieces[index].update(values)

    _edit(path, edit)


def remove_piece(path: Path, index: int) -> None:
    """Take the piece at `index`, from 0, out of a make-list. Errors as `add_piece`."""

    def edit(pieces: tomlkit.items.AoT) -> None:
        del pieces[index]

    _edit(path, edit)


def write_makelist(makelist: MakeList, path: Path, *, overwrite: bool = False) -> None:
    """Write a new make-list, readable and complete.

    Raises
    ------
    OutputExists
        If there is a file and `overwrite` is false.
    MissingFile, CannotWrite
        If the folder is not there or cannot be written to.
    """
    write_bytes(path, makelist_text(makelist).encode("utf-8"), overwrite=overwrite)


def makelist_text(makelist: MakeList) -> str:
    """The text of a make-list; reading it gives the same list."""
    unit = makelist.unit
    lines = [f"title = {toml_text(makelist.title)}", f'unit = "{unit.value}"']
    lines.append(f"paper = {toml_text(_paper_text(makelist.paper))}")
    if makelist.printer:
        lines.append(f"printer = {toml_text(makelist.printer)}")
    elif makelist.margins is not None:
        lines.append(f"margin = {_margin_text(makelist.margins, unit)}")
    lines.append(f'cut = "{makelist.cut.value}"')
    if makelist.trimmer is not None:
        lines.append(f'trimmer = "{makelist.trimmer.exact_text(unit)}"')
    lines.append(f'bleed = "{makelist.bleed.exact_text(unit)}"')
    lines.append(f'gap = "{makelist.gap.exact_text(unit)}"')
    if makelist.back:
        lines.append(f"back = {toml_text(makelist.back)}")
    if makelist.flip is not Flip.LONG:
        lines.append(f'flip = "{makelist.flip.value}"')
    if makelist.misregistration != DEFAULT_MISREGISTRATION:
        lines.append(f'misregistration = "{makelist.misregistration.exact_text(unit)}"')
    for piece in makelist.pieces:
        lines.append("\n[[piece]]")
        lines += [f"{key} = {_value_text(value)}" for key, value in _values(piece).items()]
    return "\n".join(lines) + "\n"


def _edit(path: Path, edit: Callable[[Any], None]) -> None:
    import tomlkit

    read_makelist(path)  # words what is wrong with the list before it is touched
    document = tomlkit.parse(makelist_content(path))
    if "piece" not in document:
        document.append("piece", tomlkit.aot())
    edit(document["piece"])
    text = tomlkit.dumps(document)
    try:
        parse_makelist(text)
    except TomlFault as fault:
        raise MakeListProblem(path.name, fault.line, fault.what, fault.next_step) from None
    if b"\r\n" in path.read_bytes():
        text = text.replace("\n", "\r\n")
    write_bytes(path, text.encode("utf-8"), overwrite=True)


def _table(piece: WantedPiece) -> tomlkit.items.Table:
    import tomlkit

    table = tomlkit.table()
    for key, value in _values(piece).items():
        table.add(key, value)
    return table


def _values(piece: WantedPiece) -> dict[str, Any]:
    unit = piece.size.unit
    values: dict[str, Any] = {"element": piece.element} if piece.element else {}
    if piece.label:
        values["label"] = piece.label
    values |= {"size": piece.size.exact_text(), "copies": piece.copies}
    if piece.fit is not Fit.COVER:
        values["fit"] = piece.fit.value
    if piece.focus is not None:
        values["focus"] = [float(share) for share in piece.focus]
    if not piece.may_turn:
        values["turn"] = False
    if piece.bleed is not None:
        values["bleed"] = piece.bleed.exact_text(unit)
    if piece.paper is not None:
        values["paper"] = _paper_text(piece.paper)
    if piece.scores:
        values["score"] = [place.exact_text(unit) for place in piece.scores]
    if piece.border is not None:
        values["border"] = piece.border.width.exact_text(unit)
        values["border_colour"] = colour_text(piece.border.colour)
    if piece.back:
        values["back"] = piece.back
    if piece.together:
        values["together"] = piece.together
    return values


def _paper_text(paper: Paper) -> str:
    try:
        if find_paper(paper.name).size == paper.size:
            return paper.name
    except KitprepError:
        pass
    size = paper.size
    return f"{size.width.exact_text(paper.unit)} x {size.height.exact_text(paper.unit)}"


def _margin_text(margins: Margins, unit: Unit) -> str:
    sides = [margins.left, margins.top, margins.right, margins.bottom]
    texts = [toml_text(side.exact_text(unit)) for side in sides]
    return texts[0] if len(set(sides)) == 1 else f"[{', '.join(texts)}]"


def _value_text(value: str | bool | int | float | list[Any]) -> str:
    if isinstance(value, str):
        return toml_text(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        return f"[{', '.join(_value_text(part) for part in value)}]"
    return toml_number(value, 6)
