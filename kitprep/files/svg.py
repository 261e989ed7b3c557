"""Writes a sheet's cut and fold lines as SVG at true size, for people with a cutting machine.

SVG 1.1 (W3C, second edition): the picture is as large as the paper in millimetres, and its view box counts
the same millimetres (7.2, 7.7, 7.10), so that programs which ignore one of the two still get it right. Cuts
and folds are two groups with names of their own. Machines follow lines, not their width or colour; both are
for people who look at the file. Such files were found valid by the W3C's own document type (Debian's
w3c-sgml-lib 1.3-3), and the numbers of the sections checked in public copies of the list of contents.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from xml.sax.saxutils import escape, quoteattr

from kitprep.files.replace import write_bytes
from kitprep.lengths import Length
from kitprep.sheet import PieceLines, Sheet, cut_lines

CUT_COLOUR, FOLD_COLOUR = "#000000", "#0060c0"
LINE_MM = "0.1"
_DECIMALS = 4  # of a millimetre; a whole number of EMU is at most 0.00002 mm off


def write_cut_lines(sheet: Sheet, path: Path, *, overwrite: bool = False) -> None:
    """Write one sheet's cut and fold lines.

    Parameters
    ----------
    sheet : Sheet
        Its pieces are cut along their outlines and trims.
    path : Path
        The SVG. It appears whole or not at all.
    overwrite : bool
        Whether a file that is there may be replaced.

    Raises
    ------
    OutputExists, MissingFile, CannotWrite
        See `kitprep.files.replace.replacing`.
    """
    write_bytes(path, "\n".join(_lines(sheet)).encode("utf-8"), overwrite=overwrite)


def _lines(sheet: Sheet) -> Iterator[str]:
    wide, tall = _mm(sheet.paper.size.width), _mm(sheet.paper.size.height)
    pieces = cut_lines(sheet)
    yield '<?xml version="1.0" encoding="UTF-8"?>'
    yield (
        f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="{wide}mm" height="{tall}mm" '
        f'viewBox="0 0 {wide} {tall}">'
    )
    title = f"{sheet.title}: " if sheet.title else ""
    yield f"<title>{_text(f'{title}cut and fold lines of sheet {sheet.number} of {sheet.total}')}</title>"
    yield f'<g id="cut" fill="none" stroke="{CUT_COLOUR}" stroke-width="{LINE_MM}">'
    for number, piece in enumerate(pieces, 1):
        yield f'<path id="cut-{number}" d="{_path(piece.contour)} Z"><title>{_text(piece.name)}</title></path>'
    yield "</g>"
    yield (
        f'<g id="fold" fill="none" stroke="{FOLD_COLOUR}" stroke-width="{LINE_MM}" stroke-dasharray="2 1">'
    )
    yield from _folds(pieces)
    yield "</g>"
    yield "</svg>\n"


def _folds(pieces: Sequence[PieceLines]) -> Iterator[str]:
    number = 0
    for piece in pieces:
        for fold in piece.folds:
            number += 1
            name = _text(piece.name)
            yield f'<path id={quoteattr(f"fold-{number}")} d="{_path(fold)}"><title>{name}</title></path>'


def _path(points: Sequence[tuple[Length, Length]]) -> str:
    """Moves and lines (SVG 1.1, 8.3.2 and 8.3.4)."""
    return "M " + " L ".join(f"{_mm(x)} {_mm(y)}" for x, y in points)


def _mm(length: Length) -> str:
    return f"{length.mm:.{_DECIMALS}f}".rstrip("0").rstrip(".")


def _text(words: str) -> str:
    """Words without the signs that XML 1.0 (2.2) forbids."""
    return escape("".join(sign for sign in words if sign.isprintable()))
