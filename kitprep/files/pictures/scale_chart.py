"""A scale board as a file: a picture for the screen, or a PDF true to size for the wall."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from kitprep.errors import BadOption
from kitprep.files.pictures.scale_board import ScaledCard, scale_board
from kitprep.files.replace import replacing
from kitprep.lengths import Unit

SCALE_BOARD_ENDINGS = (".png", ".pdf")


def write_scale_board(
    cards: Sequence[ScaledCard],
    *,
    title: str,
    subtitle: str,
    path: Path,
    unit: Unit = Unit.INCH,
    overwrite: bool = False,
) -> None:
    """Draw elements at one scale on a ruler grid.

    Parameters
    ----------
    cards : sequence of ScaledCard
        One or more.
    title, subtitle : str
        What stands at the top.
    path : Path
        Ends in .png or .pdf.
    unit : Unit
        The unit of the rulers.
    overwrite : bool
        Whether a file of that name may be replaced.

    Raises
    ------
    BadOption
        If the name ends otherwise.
    OutputExists, MissingFile, CannotWrite
        If the file exists and may not be replaced, its folder is not there, or it cannot be written.
    """
    ending = path.suffix.lower()
    if ending not in SCALE_BOARD_ENDINGS:
        raise BadOption("--picture", path.name, f"a name that ends in {' or '.join(SCALE_BOARD_ENDINGS)}")
    if ending == ".pdf":
        from kitprep.files.pictures.scale_pdf import draw_scale_pdf as draw
    else:
        from kitprep.files.pictures.scale_png import draw_scale_png as draw
    board = scale_board(cards, unit)
    with replacing(path, overwrite=overwrite) as out:
        draw(board, title, subtitle, unit, out)
