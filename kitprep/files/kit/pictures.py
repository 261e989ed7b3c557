"""Pages that are picture files: JPEG, PNG, TIFF (each of its pages), WebP."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from kitprep.errors import DamagedPicture, NotAPicture
from kitprep.files.kit.colour import Note, profile_fits, to_srgb
from kitprep.files.kit.decoding import Decoded, adobe_marked, decoded, icc_of, inverted, is_grey
from kitprep.files.kit.exif import read_exif
from kitprep.files.kit.opening import Header, damage_named, frames_of, header_of, opened
from kitprep.files.kit.orientation import stood_upright, turned_upright, upright_matrix, upright_size
from kitprep.files.kit.placed import FullPixels, PlacedPicture
from kitprep.files.kit.resolution import GivenResolution, page_ppi
from kitprep.files.kit.sixteen_bits import sixteen_bit_file
from kitprep.files.kit.sniffing import PICTURE_KINDS, FileKind, sniff
from kitprep.files.kit.source import Look, Original, reduction_for
from kitprep.pages import Page, PageKind, PagePpi, PixelBox, Raster

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from PIL.Image import Image
    from PIL.ImageFile import ImageFile

Mode = Literal["L", "RGB", "CMYK"]
STRIP_PIXELS = 1 << 16  # about a quarter of a megabyte, which stays in a processor's own memory


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
            plain = _colours_not_said(picture, self.kind)
            found = decoded(picture, self.kind, self.file, reduction)
        size_px = upright_size(header.size_px, header.orientation)
        page = Page(number, self.file, self.frame, size_px, ppi, PageKind.PICTURE, found.has_alpha)
        screen, notes = to_srgb(stood_upright(found.picture, header.orientation), found.icc)
        notes = (*notes, Note.SRGB_ASSUMED) if plain else notes
        pixels = found.pixels if screen is found.picture and found.pixels is not None else pixels_of(screen)
        return Look(page, Raster(pixels, size_px), (), found.icc, notes)


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


def full_pixels(path: Path, page: Page) -> FullPixels | None:
    """All bits of a page that has sixteen; see `read_full`."""
    with _reopened(path, page) as (picture, kind, header):
        if sixteen_bit_file(picture, kind) is None:
            return None
        grey = is_grey(picture)
        found = decoded(picture, kind, page.file)
    if found.full is None:
        return None
    pixels = turned_upright(found.full, header.orientation)
    pixels = pixels if page.has_alpha or pixels.ndim == 2 else pixels[..., :3]
    return FullPixels(pixels, grey, found.icc if profile_fits(found.icc, "L" if grey else "RGB") else None)


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
    """Reads boxes of a stored picture; decodes it for each."""

    def __init__(self, path: Path, page: Page, mode: Mode, inverted: bool) -> None:
        self._path, self._page, self._mode, self._inverted = path, page, mode, inverted

    def __call__(self, box: PixelBox) -> NDArray[np.uint8]:
        with _reopened(self._path, self._page) as (picture, kind, _):
            found = self._in_mode(decoded(picture, kind, self._page.file))
        return pixels_of(cropped(found, box))

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


def _colours_not_said(picture: ImageFile, kind: FileKind) -> bool:
    """Whether a freshly opened picture has colours and nothing says which.

    A profile, sRGB or gAMA of a PNG and Exif's own colour space say so; a WebP without a profile is sRGB by
    its specification.
    """
    if kind is FileKind.WEBP or _mode_of(picture) != "RGB" or picture.mode == "LAB":
        return False
    said = {"icc_profile", "srgb", "gamma"} & picture.info.keys()
    return not said and not read_exif(picture.info.get("exif")).srgb


def _mode_of(picture: ImageFile) -> Mode:
    """What `read` gives, known from the header."""
    if is_grey(picture):
        return "L"
    return "CMYK" if picture.mode == "CMYK" else "RGB"


def pixels_of(picture: Image) -> NDArray[np.uint8]:
    """A picture's pixels, shape (rows, cols, channels), not for writing to."""
    import numpy as np

    width, height = picture.size
    bands = len(picture.getbands())
    if bands == 1:
        return np.asarray(picture)[:, :, np.newaxis]
    # Pillow gives pixels as bytes in two steps; for a whole page at once, getting the memory takes longest.
    pixels = np.empty((height, width, bands), np.uint8)
    strip = max(1, STRIP_PIXELS // width)
    for top in range(0, height, strip):
        rows = picture.crop((0, top, width, min(top + strip, height)))
        pixels[top : top + strip] = np.asarray(rows)
    pixels.setflags(write=False)
    return pixels


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
