"""Kit pages and sheets to write in tests: drawn here, packed by hand so that every place is known."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from kitprep.files.kit.placed import PlacedPicture
from kitprep.lengths import Box, Length, Size, inches
from kitprep.pack import Axis, Cut, Edge, PackedSheet, Placement
from kitprep.pages import IDENTITY, Affine, PixelBox
from kitprep.papers import Flip, Margins, Paper, printable
from kitprep.piece.artwork import Artwork, Patch
from kitprep.sheet import Sheet, SheetItem, check_strip, lay_out

PAGE_PPI = 300
QUARTER = Margins.even(inches("1/4"))


def dark_page(size_px: tuple[int, int], spots: Sequence[tuple[int, int]]) -> NDArray[np.uint8]:
    """A nearly black page with white 12 px squares centred on the spots; uint8, shape (rows, cols, 3)."""
    page = np.full((size_px[1], size_px[0], 3), 30, np.uint8)
    for x, y in spots:
        page[y - 6 : y + 6, x - 6 : x + 6] = 255
    return page


def lively_page(size_px: tuple[int, int] = (900, 1200), seed: int = 3, grain: float = 6) -> NDArray[np.uint8]:
    """A page of soft colours with grain, as scanned papers have; uint8, shape (rows, cols, 3)."""
    rows, columns = np.mgrid[0 : size_px[1], 0 : size_px[0]]
    waves = np.stack([np.sin(columns / 60), np.cos(rows / 70), np.sin((rows + columns) / 90)], axis=-1)
    noise = np.random.default_rng(seed).normal(0, grain, waves.shape[:2])[..., None]
    return (128 + 80 * waves + noise).clip(0, 255).astype(np.uint8)


def jpeg_bytes(page: NDArray[np.uint8], mode: str = "RGB", quality: int = 92) -> bytes:
    """A JPEG file of a page."""
    content = BytesIO()
    Image.fromarray(page).convert(mode).save(content, "JPEG", quality=quality, subsampling=0)
    return content.getvalue()


def jpeg_picture(
    content: bytes, key: str = "page", matrix: Affine = IDENTITY, icc: bytes | None = None
) -> PlacedPicture:
    """A picture that can go in as the JPEG it is."""
    image = Image.open(BytesIO(content))
    image.load()
    pixels = np.asarray(image).reshape(image.height, image.width, -1)
    return PlacedPicture(
        key, image.size, matrix, image.mode, image.mode == "CMYK", False, icc, content, _reader(pixels)
    )


def plain_picture(
    pixels: NDArray[np.uint8],
    key: str = "page",
    *,
    mode: str = "RGB",
    has_alpha: bool = False,
    icc: bytes | None = None,
) -> PlacedPicture:
    """A picture of which only pixels can be had."""
    size = pixels.shape[1], pixels.shape[0]
    return PlacedPicture(key, size, IDENTITY, mode, False, has_alpha, icc, None, _reader(pixels))


def _reader(pixels: NDArray[np.uint8]):
    def read(box: PixelBox) -> NDArray[np.uint8]:
        return pixels[box.top : box.bottom, box.left : box.right]

    return read


def crop(
    trim: Size, bleed: Length, left_px: float, top_px: float, page: str = "page", ppi: int = PAGE_PPI
) -> Artwork:
    """A piece whose trim's top left corner is at a pixel of a page of 300 PPI, printed at that size."""
    scale = 72 / ppi
    reach = bleed.points
    clip = (-reach, -reach, trim.width.points + reach, trim.height.points + reach)
    return Artwork(
        trim, bleed, page, (Patch(Affine(scale, 0, 0, scale, -left_px * scale, -top_px * scale), clip),)
    )


def two_by_two(
    paper: Paper,
    bleed: Length,
    *,
    trimmer: bool,
    apart: Length | None = None,
    artwork: Artwork | None = None,
    scores: tuple[Length, ...] = (),
    margins: Margins = QUARTER,
    back: Artwork | None = None,
    flip: Flip | None = None,
) -> Sheet:
    """Four pieces of 2 x 1 1/2 in, the right two turned, from 1/2 in inside the printable area.

    In trimmer mode the sheet's first two cuts run along the upper and the left trims.
    """
    size = Size(inches(2), inches("1 1/2"))
    apart = 2 * bleed + inches("1/2") if apart is None else apart
    area = printable(paper, check_strip(paper, margins))
    left, top = area.left + inches("1/2") + bleed, area.top + inches("1/2") + bleed
    right, low = left + size.width + apart, top + size.width + apart
    places = (
        Placement(0, Box.at(left, top, size), bleed, False),
        Placement(0, Box.at(right, top, size.turned), bleed, True),
        Placement(0, Box.at(left, low, size), bleed, False),
        Placement(0, Box.at(right, low, size.turned), bleed, True),
    )
    cuts = _first_cuts(paper, left, top) if trimmer else ()
    grade = "crisp" if artwork else ""
    item = SheetItem("picker's tag", "lantern-orchard/p01-01", artwork, scores, grade, back=back)
    return lay_out(
        PackedSheet(places, cuts),
        [item],
        paper=paper,
        margins=margins,
        number=1,
        total=1,
        title="Harvest supper card",
        credit="Lantern Orchard by Quillmoss Paper Room",
        flip=flip,
    )


def _first_cuts(paper: Paper, left: Length, top: Length) -> tuple[Cut, Cut]:
    none, size = Length(0), paper.size
    whole = Box(none, none, size.width, size.height)
    rest = Box(none, top, size.width, size.height)
    return (
        Cut(1, Axis.Y, top, none, size.width, "whole sheet", whole, Edge.TOP, top, "waste"),
        Cut(2, Axis.X, left, top, size.height, "whole sheet", rest, Edge.LEFT, left, "waste"),
    )
