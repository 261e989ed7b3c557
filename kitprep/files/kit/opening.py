"""Opens a picture file with Pillow and reads what its header says.

Pillow's file classes are used by name. ``Image.open`` would hold every picture to a limit on pixels that is
one for the whole program, and lower than kitprep's own; the classes leave the checking to the caller, who
does it here, from the header, before any pixel is read.
"""

from __future__ import annotations

import logging
import struct
import threading
import warnings
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from typing import IO, TYPE_CHECKING

from kitprep.errors import CannotRead, DamagedPicture, KitprepError, PictureTooLarge, TooManyPages
from kitprep.files.kit.exif import read_exif
from kitprep.files.kit.limits import MAX_MEGAPIXELS, MAX_PAGES, too_many_pixels
from kitprep.files.kit.orientation import Orientation
from kitprep.files.kit.sniffing import FileKind

if TYPE_CHECKING:
    from PIL.ImageFile import ImageFile

# What Pillow finds wrong goes to whoever listens to the log, and not, for want of one, to the terminal.
logging.getLogger("PIL").addHandler(logging.NullHandler())

# What Pillow raises for damage; an OSError with an errno is the disk's, not the picture's.
_DAMAGE = (
    OSError,
    SyntaxError,
    ValueError,
    EOFError,
    IndexError,
    KeyError,
    TypeError,
    struct.error,
    zlib.error,
)
_TIFF_ORIENTATION, _TIFF_SUBFILE_TYPE = 274, 254
_CM_PER_INCH = 2.54
_JFIF_PER_INCH, _JFIF_PER_CM = 1, 2
# Python keeps one list of warning filters for all threads; only one of ours may change it at a time.
_WARNING_FILTERS = threading.Lock()


@dataclass(frozen=True, slots=True)
class Header:
    """What a picture says of itself before its pixels are read.

    Parameters
    ----------
    size_px : tuple of int
        Width and height as stored.
    orientation : Orientation
        How to stand it upright.
    stated_ppi : tuple of tuple of float
        Resolutions it states, across and down the stored picture, the best source first.
    """

    size_px: tuple[int, int]
    orientation: Orientation
    stated_ppi: tuple[tuple[float, float], ...]


@contextmanager
def _quiet() -> Iterator[None]:
    """Keeps Pillow from warning of Exif and the like; damage to the picture itself it raises."""
    with _WARNING_FILTERS, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield


@contextmanager
def damage_named(name: str) -> Iterator[None]:
    """Turns what Pillow raises for a damaged picture into `DamagedPicture`.

    Raises
    ------
    DamagedPicture
        If the picture is cut short or broken.
    CannotRead
        If the disk fails.
    """
    try:
        yield
    except KitprepError:
        raise
    except _DAMAGE as fault:
        if isinstance(fault, OSError) and fault.errno is not None:
            raise CannotRead(name, fault.strerror or str(fault)) from fault
        cut_short = "truncated" in str(fault).lower() or isinstance(fault, EOFError)
        raise DamagedPicture(name, "it is cut short" if cut_short else "it cannot be decoded") from fault


@contextmanager
def opened(source: Path | IO[bytes], kind: FileKind, name: str, frame: int = 0) -> Iterator[ImageFile]:
    """A picture with its header read, at one of its frames; closed at the end.

    Parameters
    ----------
    source : Path or binary file
        The file.
    kind : FileKind
        One of `sniffing.PICTURE_KINDS`.
    name : str
        What to call it in errors.
    frame : int
        Which of its pictures, from 0.

    Raises
    ------
    DamagedPicture
        If its header is broken.
    PictureTooLarge
        If it has more pixels than kitprep takes in.
    """
    with damage_named(name):
        picture = _open(source, kind, frame)
    with picture:
        if too_many_pixels(*picture.size):
            raise PictureTooLarge(name, *picture.size, MAX_MEGAPIXELS)
        yield picture


def _open(source: Path | IO[bytes], kind: FileKind, frame: int) -> ImageFile:
    from PIL.JpegImagePlugin import JpegImageFile
    from PIL.PngImagePlugin import PngImageFile
    from PIL.WebPImagePlugin import WebPImageFile

    classes = {FileKind.JPEG: JpegImageFile, FileKind.PNG: PngImageFile, FileKind.WEBP: WebPImageFile}
    file = str(source) if isinstance(source, Path) else source
    with _quiet():
        picture: ImageFile = _tiff_class()(file) if kind is FileKind.TIFF else classes[kind](file)
        try:
            if frame:
                picture.seek(frame)
        except BaseException:
            picture.close()
            raise
    return picture


def _tiff_class() -> type[ImageFile]:
    from PIL import Image
    from PIL.ImageFile import ImageFile
    from PIL.TiffImagePlugin import TiffImageFile

    class Tiff(TiffImageFile):
        """Pillow's, without its limit for the whole program, and quiet about damaged Exif data."""

        def load_prepare(self) -> None:
            if self._im is None:
                self.im = Image.new(self.mode, self._tile_size).im
            ImageFile.load_prepare(self)

        def load_end(self) -> None:
            with _quiet():
                super().load_end()

    return Tiff


def frames_of(picture: ImageFile, kind: FileKind, name: str) -> tuple[int, ...]:
    """The numbers of its pages: those of a TIFF that are not thumbnails of another; 0 for the others.

    The further pictures of an animation, or of a JPEG from a camera, are not pages.

    Raises
    ------
    TooManyPages
        If there are more pictures in it than a kit can have pages.
    """
    if kind is not FileKind.TIFF:
        return (0,)
    pages: list[int] = []
    with _quiet():
        for frame in count():
            if frame > MAX_PAGES:
                raise TooManyPages(name, MAX_PAGES)
            try:
                picture.seek(frame)
            except EOFError:  # what Pillow raises after the last
                break
            if not int(picture.tag_v2.get(_TIFF_SUBFILE_TYPE, 0)) & 1:  # type: ignore[attr-defined]
                pages.append(frame)
    return tuple(pages)


def header_of(picture: ImageFile, kind: FileKind) -> Header:
    """What an opened picture says of itself.

    A TIFF counts as upright: Pillow has turned it already.
    """
    if kind is FileKind.TIFF:
        return _tiff_header(picture)
    exif = read_exif(picture.info.get("exif"))
    stated = [_jfif_ppi(picture) if kind is FileKind.JPEG else None]
    stated.append(_pair(picture.info.get("dpi")) if kind is FileKind.PNG else None)
    stated.append(exif.ppi)
    return Header(picture.size, exif.orientation, tuple(ppi for ppi in stated if ppi is not None))


def _tiff_header(picture: ImageFile) -> Header:
    ppi = _pair(picture.info.get("dpi"))
    turned = picture.tag_v2.get(_TIFF_ORIENTATION, 1) >= Orientation.TRANSPOSE  # type: ignore[attr-defined]
    if ppi is not None and turned:
        ppi = ppi[1], ppi[0]
    return Header(picture.size, Orientation.UPRIGHT, () if ppi is None else (ppi,))


def _jfif_ppi(picture: ImageFile) -> tuple[float, float] | None:
    """By its JFIF segment alone: Pillow's own figure falls back to Exif, and then to 72."""
    unit, density = picture.info.get("jfif_unit"), _pair(picture.info.get("jfif_density"))
    if density is None or unit not in (_JFIF_PER_INCH, _JFIF_PER_CM):
        return None
    per_inch = _CM_PER_INCH if unit == _JFIF_PER_CM else 1.0
    return density[0] * per_inch, density[1] * per_inch


def _pair(value: object) -> tuple[float, float] | None:
    if not isinstance(value, tuple) or len(value) != 2:
        return None
    try:
        return float(value[0]), float(value[1])
    except (TypeError, ValueError, ZeroDivisionError):
        return None
