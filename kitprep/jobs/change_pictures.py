"""A small picture of what a correction changed."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from kitprep.files.shelf import Shelf, shelf_folder
from kitprep.jobs.finding import refuse_picture
from kitprep.jobs.mending import Mended

ENDINGS = (".png",)


def draw_changes(
    changes: Sequence[Mended],
    says: Sequence[str],
    path: Path,
    *,
    overwrite: bool = False,
    shelf: Path | None = None,
) -> None:
    """Draw what corrections changed, each page before and after.

    Parameters
    ----------
    changes : sequence of Mended
        One or more.
    says : sequence of str
        What each changed, in words.
    path : Path
        A name that ends in .png.
    overwrite : bool
        Whether a file of that name may be replaced.
    shelf : Path or None
        The shelf's folder; None for the usual one.

    Raises
    ------
    OutputExists, MissingFile, CannotWrite
        If the file exists and may not be replaced, or cannot be written.
    OriginalChanged, DamagedPicture
        If a page has to be reduced anew and its original is not as it was.
    """
    from kitprep.files.pictures.changed import Change, write_changes
    from kitprep.jobs.pixels import reduced_page

    here = Shelf(shelf_folder(shelf))
    drawn = []
    for change, text in zip(changes, says, strict=True):
        ref = here.find_page(change.page_id)
        raster = reduced_page(here, ref.kit, ref.page)
        drawn.append(Change(change.page_id, text, change.before, change.page, raster))
    write_changes(drawn, path=path, overwrite=overwrite)


def refuse_change_picture(path: Path, *, overwrite: bool = False) -> None:
    """Refuse beforehand a picture that could not be written.

    Raises
    ------
    BadOption
        If its name does not end in .png.
    OutputExists, MissingFile
        If the file exists and may not be replaced, or its folder is not there.
    """
    refuse_picture(path, overwrite=overwrite, endings=ENDINGS)
