"""Writes sheets as a PDF that prints at true size: pictures untouched, marks and words on top."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from kitprep.files.kit.placed import PlacedPicture
from kitprep.files.pdf.finishing import finish, save, set_page_boxes
from kitprep.files.pdf.pictures import Drawing, ImageObjects, drawings
from kitprep.files.pdf.vectors import draw_vectors
from kitprep.files.replace import replacing
from kitprep.lengths import ZERO, Length, Size
from kitprep.pages import Affine
from kitprep.sheet import Sheet

if TYPE_CHECKING:
    import pikepdf


@dataclass(frozen=True, slots=True)
class PrinterCorrection:
    """What is done to a sheet so that a printer that is a little off puts it where it belongs.

    Everything on the sheet is scaled from the top left corner of the paper, then moved. The paper
    itself stays as it is.

    Parameters
    ----------
    scale_x, scale_y : Fraction
        True size over the size this printer prints, across and down.
    offset_x, offset_y : Length
        How far to move the sheet's content to the right and down.
    """

    scale_x: Fraction = Fraction(1)
    scale_y: Fraction = Fraction(1)
    offset_x: Length = ZERO
    offset_y: Length = ZERO

    def matrix(self, paper: Size) -> Affine:
        """The correction in PDF points from the lower left corner of the paper."""
        scale_x, scale_y = float(self.scale_x), float(self.scale_y)
        down = paper.height.points * (1 - scale_y) - self.offset_y.points
        return Affine(scale_x, 0, 0, scale_y, self.offset_x.points, down)


NO_CORRECTION = PrinterCorrection()


def no_progress(done: int, of: int) -> None:
    """Tell nobody how far the work is."""


def write_sheets(
    sheets: Sequence[Sheet],
    pictures: Callable[[str], tuple[PlacedPicture, ...]],
    path: Path,
    *,
    title: str = "",
    credit: str = "",
    overwrite: bool = False,
    correction: PrinterCorrection = NO_CORRECTION,
    progress: Callable[[int, int], None] = no_progress,
) -> None:
    """Write sheets as one PDF, a page for each side. Equal input gives equal bytes.

    Where a sheet has a back, its page comes next; see `pages_of`.

    Parameters
    ----------
    sheets : sequence of Sheet
        In order; at least one.
    pictures : callable
        From the id of a kit's page to the pictures that make it up.
    path : Path
        The PDF. It appears whole or not at all.
    title, credit : str
        Title and author of the document.
    overwrite : bool
        Whether a file that is there may be replaced.
    correction : PrinterCorrection
        For the printer it is meant for.
    progress : callable
        Told after each side how many are done, and of how many.

    Raises
    ------
    OutputExists
        If there is a file and `overwrite` is false.
    MissingFile, CannotWrite
        If the folder is not there, cannot be written to, or is full.
    """
    import pikepdf

    sides = pages_of(sheets)
    vectors = draw_vectors(sides)
    with (
        replacing(path, overwrite=overwrite) as temporary,
        pikepdf.open(BytesIO(vectors)) as pdf,
    ):
        of_page = cache(pictures)
        shown = [list(drawings(side, of_page)) for side in sides]
        images = ImageObjects(pdf, [drawing for on_sheet in shown for drawing in on_sheet])
        contents = []
        for number, (side, on_side) in enumerate(zip(sides, shown, strict=True)):
            page = pdf.pages[number]
            contents.append(_add_pictures(page, on_side, images, correction.matrix(side.paper.size)))
            set_page_boxes(page, side.paper.size)
            progress(number + 1, len(sides))
        flip = next((sheet.flip for sheet in sheets if sheet.flip is not None), None)
        finish(pdf, title=title, author=credit, flip=flip)
        save(
            pdf,
            temporary,
            identity=b"".join([vectors, images.identity, *contents, title.encode(), credit.encode()]),
        )


def pages_of(sheets: Sequence[Sheet]) -> list[Sheet]:
    """The sides of sheets in the order of their pages: front, back, front, back, or fronts alone."""
    return [side for sheet in sheets for side in (sheet, sheet.back) if side is not None]


def _add_pictures(
    page: pikepdf.Page, on_sheet: Sequence[Drawing], images: ImageObjects, correction: Affine
) -> bytes:
    """Put a sheet's pictures below its lines and words, and both under the printer's correction."""
    import pikepdf

    names: dict[tuple[int, int], str] = {}
    before = [] if correction == Affine(1, 0, 0, 1, 0, 0) else [f"q {_numbers(correction)} cm"]
    after = b"\nQ" if before else b""
    if on_sheet and "/XObject" not in page.Resources:
        page.Resources.XObject = pikepdf.Dictionary()
    for drawing in on_sheet:
        image, matrix = images.image(drawing)
        name = names.setdefault(image.objgen, f"/P{len(names) + 1}")
        page.Resources.XObject[name] = image
        before.append(_draw(name, matrix, drawing))
    content = "\n".join([*before, ""]).encode("ascii")
    page.contents_add(content, prepend=True)
    if after:
        page.contents_add(after)
    page.contents_coalesce()
    return content


def _draw(name: str, matrix: Affine, drawing: Drawing) -> str:
    clip = ""
    if drawing.clip is not None:
        left, bottom, right, top = drawing.clip
        clip = f"{_number(left)} {_number(bottom)} {_number(right - left)} {_number(top - bottom)} re W n "
    return f"q {clip}{_numbers(matrix)} cm {name} Do Q"


def _numbers(matrix: Affine) -> str:
    return " ".join(_number(value) for value in (matrix.a, matrix.b, matrix.c, matrix.d, matrix.e, matrix.f))


def _number(value: float) -> str:
    """A PDF number to a millionth of a point, without exponent (ISO 32000-1, 7.3.3)."""
    text = f"{value:.6f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
