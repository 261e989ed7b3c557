"""A contact sheet: every element at a glance, as a picture, a PDF or a web page."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from kitprep.errors import BadOption
from kitprep.files.pictures.board import ContactCard
from kitprep.files.replace import replacing

ENDINGS = (".png", ".pdf", ".html")


def write_contact_sheet(
    cards: Sequence[ContactCard], *, title: str, subtitle: str, path: Path, overwrite: bool = False
) -> None:
    """Draw elements as a picture to look at.

    Parameters
    ----------
    cards : sequence of ContactCard
        In the order of their pages; one or more.
    title : str
        What it shows, such as the kit's name.
    subtitle : str
        What is to be known of it: its maker, the state of its terms.
    path : Path
        Ends in .png, .pdf or .html.
    overwrite : bool
        Whether a file of that name may be replaced.

    Raises
    ------
    BadOption
        If the name ends otherwise, or there is nothing to draw.
    OutputExists, MissingFile, CannotWrite
        If the file exists and may not be replaced, its folder is not there, or it cannot be written.
    """
    ending = path.suffix.lower()
    if ending not in ENDINGS:
        raise BadOption("the contact sheet's name", path.name, f"one that ends in {', '.join(ENDINGS)}")
    if not cards:
        raise BadOption("the contact sheet", "empty", "words that some element on the shelf answers to")
    with replacing(path, overwrite=overwrite) as out:
        _draw(ending, cards, title, subtitle, out)


def _draw(ending: str, cards: Sequence[ContactCard], title: str, subtitle: str, out: Path) -> None:
    if ending == ".png":
        from kitprep.files.pictures.board_png import draw_png as draw
    elif ending == ".pdf":
        from kitprep.files.pictures.board_pdf import draw_pdf as draw
    else:
        from kitprep.files.pictures.board_html import draw_html as draw
    draw(cards, title, subtitle, out)
