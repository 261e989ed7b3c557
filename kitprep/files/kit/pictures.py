"""Pages that are picture files: JPEG, PNG, TIFF (each of its pages), WebP."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from kitprep.errors import DamagedPicture, NotAPicture
from kitprep.files.kit.colour import profile_fits, to_srgb
from kitprep.files.kit.decoding import Decoded, adobe_marked, decoded, icc_of, inverted, is_grey
from kitprep.files.kit.opening import Header, damage_named, frames_of, header_of, opened
from kitprep.files.kit.orientation import stood_upright, upright_matrix, upright_size
from kitprep.files.kit.placed import PlacedPicture
from kitprep.files.kit.resolution import GivenResolution, page_ppi
from kitprep.files.kit.sniffing import PICTURE_KINDS, FileKind, sniff
from kitprep.files.kit.source import Look, Original, reduction_for
from kitprep.pages import Page, PageKind, PagePpi, PixelBox, Raster

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from PIL.Image import Image
    from PIL.ImageFile import ImageFile

Mode = Literal["L", "RGB", "CMYK"]


@dataclass(frozen=True, slots=True)
class PicturePage:
    """A `PageSource`: one picture file, or one page of a TIFF."""

    file: str
    frame: int
    path: Path
    kind: FileKind
    given: GivenResolution

    def look(self, number: int, target_ppi: float) -> Look:
        """Decode the page once; see `PageSource.look`."""
        with opened(self.path, self.kind, self.file, self.frame) as picture:
            header = header_of(picture, self.kind)
            ppi = _upright_ppi(header, self.given)
            reduction = reduction_for(min(ppi.x, ppi.y), target_ppi)
            found = decoded(picture, self.kind, self.file, reduction)
        size_px = upright_size(header.size_px, header.orientation)
        page = Page(number, self.file, self.frame, size_px, ppi, PageKind.PICTURE, found.has_alpha)
        screen, notes = to_srgb(stood_upright(found.picture, header.orientation), found.icc)
        return Look(page, Raster(pixels_of(screen), size_px), (), found.icc, notes)


def picture_pages(original: Original, kind: FileKind, given: GivenResolution) -> tuple[PicturePage, ...]:
    """The pages of a picture file, from its header.

    Raises
    ------
    DamagedPicture
        If its header is broken.
    PictureTooLarge
        If it has more pixels than kitprep takes in.
    TooManyPages
        If it is a TIFF of more pictures than a kit can have pages.
    """
    with opened(original.path, kind, original.name) as picture, damage_named(original.name):
        frames = frames_of(picture, kind, original.name)
    return tuple(PicturePage(original.name, frame, original.path, kind, given) for frame in frames)


def picture_raster(path: Path, page: Page, target_ppi: float) -> Raster:
    """The page in sRGB at about `target_ppi`; see `read_raster`."""
    with _reopened(path, page) as (picture, kind, header):
        reduction = reduction_for(min(page.ppi.x, page.ppi.y), target_ppi)
        found = decoded(picture, kind, page.file, reduction)
    upright = stood_upright(found.picture, header.orientation)
    return Raster(pixels_of(to_srgb(upright, found.icc)[0]), page.size_px)


def picture_regions(path: Path, page: Page, boxes: Sequence[PixelBox]) -> Iterator[NDArray[np.uint8]]:
    """Boxes of the page in sRGB at full scale, from one decode; see `read_region`."""
    with _reopened(path, page) as (picture, kind, header):
        found = decoded(picture, kind, page.file)
    upright = stood_upright(found.picture, header.orientation)
    for box in boxes:
        yield pixels_of(to_srgb(cropped(upright, box), found.icc)[0])


def placed_picture(path: Path, page: Page) -> PlacedPicture:
    """The one picture that a page from a picture file is."""
    with _reopened(path, page) as (picture, kind, header):
        mode = _mode_of(picture)
        icc = icc_of(picture, kind)
        marked = kind is FileKind.JPEG and mode == "CMYK" and adobe_marked(picture)
    jpeg = path.read_bytes() if kind is FileKind.JPEG else None
    with path.open("rb") as file:
        digest = hashlib.file_digest(file, "sha256").hexdigest()
    return PlacedPicture(
        key=f"{digest}-{page.frame}",
        size_px=header.size_px,
        matrix=upright_matrix(header.size_px, header.orientation),
        mode=mode,
        inverted=marked,
        has_alpha=page.has_alpha,
        icc=icc if profile_fits(icc, mode) else None,
        jpeg=jpeg,
        read=_Reader(path, page, mode, marked),
    )


class _Reader:
    """Reads boxes of a stored picture; decodes at the first and keeps the pixels while it lives."""

    def __init__(self, path: Path, page: Page, mode: Mode, inverted: bool) -> None:
        self._path, self._page, self._mode, self._inverted = path, page, mode, inverted
        self._picture: Image | None = None

    def __call__(self, box: PixelBox) -> NDArray[np.uint8]:
        if self._picture is None:
            with _reopened(self._path, self._page) as (picture, kind, _):
                self._picture = self._in_mode(decoded(picture, kind, self._page.file))
        return pixels_of(cropped(self._picture, box))

    def _in_mode(self, found: Decoded) -> Image:
        if found.picture.mode == "LAB":
            return to_srgb(found.picture, None)[0]
        if self._inverted:
            return inverted(found.picture)
        wanted = self._mode + ("A" if self._page.has_alpha else "")
        return found.picture if found.picture.mode == wanted else found.picture.convert(wanted)


@contextmanager
def _reopened(path: Path, page: Page) -> Iterator[tuple[ImageFile, FileKind, Header]]:
    kind = sniff(path)
    if kind not in PICTURE_KINDS:
        raise NotAPicture(page.file)
    with opened(path, kind, page.file, page.frame) as picture:
        header = header_of(picture, kind)
        if upright_size(header.size_px, header.orientation) != page.size_px:
            raise DamagedPicture(page.file, "it is not the picture that was imported")
        yield picture, kind, header


def _upright_ppi(header: Header, given: GivenResolution) -> PagePpi:
    stated = header.stated_ppi
    if header.orientation.swaps_sides:
        stated = tuple((down, across) for across, down in stated)
    return page_ppi(upright_size(header.size_px, header.orientation), stated, given)


def _mode_of(picture: ImageFile) -> Mode:
    """What `read` gives, known from the header."""
    if is_grey(picture):
        return "L"
    return "CMYK" if picture.mode == "CMYK" else "RGB"


def pixels_of(picture: Image) -> NDArray[np.uint8]:
    """A picture's pixels, shape (rows, cols, channels), not for writing to."""
    import numpy as np

    array = np.asarray(picture)
    return array if array.ndim == 3 else array[:, :, np.newaxis]


def cropped(picture: Image, box: PixelBox) -> Image:
    """A box of a picture. Pillow's own crop holds its size to a limit for the whole program."""
    from PIL import Image

    if not PixelBox(0, 0, *picture.size).contains(box):
        raise ValueError(f"{box} is not on a picture of {picture.size}")
    if (box.left, box.top, box.right, box.bottom) == (0, 0, *picture.size):
        return picture
    part = Image.new(picture.mode, (box.width, box.height))
    part.paste(picture, (-box.left, -box.top))
    return part
