"""Decodes a picture once, into one of the few modes the rest of the room knows.

Those are L, LA, RGB, RGBA, CMYK (255 is full ink) and LAB, eight bits each. Sixteen bits are rounded to
eight, those of CMYK cut off; in full they are kept beside. A CMYK JPEG without an Adobe marker stores ink as
such (ISO 32000-1, 7.4.8, note 3), one with the marker stores it inverted (common practice of prepress
programs, no published source); Pillow takes all for inverted.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from kitprep.errors import UnsupportedPicture
from kitprep.files.kit.averaging import averaged
from kitprep.files.kit.opening import damage_named
from kitprep.files.kit.png_colour import profile_of_png
from kitprep.files.kit.sixteen_bits import has_planes_of_sixteen_bits, sixteen_bit_file, to_eight_bits
from kitprep.files.kit.sniffing import FileKind

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from PIL.Image import Image
    from PIL.ImageFile import ImageFile

JPEG_REDUCTIONS = (8, 4, 2)  # what libjpeg does while decoding, at less cost than a whole decode
_SIXTEEN_BIT = ("I;16", "I;16B", "I;16L", "I;16N")
_UNREAD_MODES = {"F": "a picture of floating-point numbers", "I": "a picture of 32-bit numbers"}


@dataclass(frozen=True, slots=True)
class Decoded:
    """Pixels as stored: not turned, not colour-converted.

    Parameters
    ----------
    picture : Image
        Of mode L, LA, RGB, RGBA, CMYK or LAB; with alpha only where some pixel is transparent.
    icc : bytes or None
        The profile, or what stands for one.
    full : ndarray or None
        All sixteen bits of a picture that has them, where it was not reduced: uint16, shape (rows, cols),
        (rows, cols, 3) or (rows, cols, 4) with straight alpha.
    pixels : ndarray or None
        Those of `picture`, uint8, shape (rows, cols, bands), where they are at hand without a copy.
    """

    picture: Image
    icc: bytes | None
    full: NDArray[np.uint16] | None = None
    pixels: NDArray[np.uint8] | None = None

    @property
    def has_alpha(self) -> bool:
        """Whether it is transparent in places."""
        return self.picture.mode in ("LA", "RGBA")


def adobe_marked(picture: ImageFile) -> bool:
    """Whether a JPEG has an Adobe marker, which tells that CMYK is stored inverted."""
    return "adobe" in picture.info


def decoded(picture: ImageFile, kind: FileKind, name: str, reduction: int = 1) -> Decoded:
    """The pixels of an opened picture, from one decode.

    Parameters
    ----------
    picture : ImageFile
        Fresh from `opening.opened`.
    kind : FileKind
        What it is.
    name : str
        What to call it in errors.
    reduction : int
        How many times smaller it may be at most, across and down. JPEG is reduced by the next smaller
        power of two up to 8 while it is decoded; the whole times that are left, and everything else, by
        averaging after.

    Raises
    ------
    DamagedPicture
        If it is cut short or broken.
    UnsupportedPicture
        If its pixels are of a kind kitprep does not read.
    """
    if picture.mode in _UNREAD_MODES:
        raise UnsupportedPicture(name, _UNREAD_MODES[picture.mode])
    if kind is FileKind.TIFF and has_planes_of_sixteen_bits(picture):
        raise UnsupportedPicture(name, "a picture of 16 bits that stores its colours one after the other")
    icc, grey, size_px = icc_of(picture, kind), is_grey(picture), picture.size
    fine = sixteen_bit_file(picture, kind)
    drafted = _draft(picture, reduction) if kind is FileKind.JPEG else 1
    with damage_named(name):
        picture.load()
    full = fine.read(picture) if fine else None
    plain = _without_needless_alpha(_plain(picture) if full is None else _rounded(full))
    if grey and plain.mode.startswith("RGB"):
        plain = plain.convert("LA" if plain.mode == "RGBA" else "L")
    if kind is FileKind.JPEG and plain.mode == "CMYK" and not adobe_marked(picture):
        plain = inverted(plain)
    further = min(reduction // drafted, *plain.size)
    pixels = averaged(plain, further) if further > 1 and plain.mode in ("LA", "RGBA") else None
    if pixels is not None:
        plain = _picture_of(pixels)
    elif further > 1:
        plain = plain.reduce(further)
    spanning = _spanning(plain, size_px, drafted * further)
    return Decoded(spanning, icc, full if reduction == 1 else None, pixels if spanning is plain else None)


def _picture_of(pixels: NDArray[Any]) -> Image:
    from PIL import Image

    return Image.fromarray(pixels)


def icc_of(picture: ImageFile, kind: FileKind) -> bytes | None:
    """The profile of a freshly opened picture: its own, or for PNG the one that gAMA and cHRM describe."""
    own = picture.info.get("icc_profile")
    if own or kind is not FileKind.PNG or "srgb" in picture.info:
        return own or None
    gamma, xy = picture.info.get("gamma"), picture.info.get("chromaticity")
    return profile_of_png(gamma, xy, grey=is_grey(picture))


def is_grey(picture: ImageFile) -> bool:
    """Whether a freshly opened picture is stored in grey. Pillow gives grey and alpha of 16 bits as RGBA."""
    if picture.mode in ("1", "L", "LA", "La", *_SIXTEEN_BIT):
        return True
    return any(tile[3] == "LA;16B" for tile in picture.tile)


def _draft(picture: ImageFile, reduction: int) -> int:
    """Have a JPEG reduced while it is decoded; gives by how much."""
    width, height = picture.size
    scale = next((step for step in JPEG_REDUCTIONS if step <= min(reduction, width, height)), 1)
    if scale > 1:
        picture.draft(picture.mode, (width // scale, height // scale))
    return scale


def _spanning(picture: Image, size_px: tuple[int, int], reduction: int) -> Image:
    """The reduced picture with its pixels spread evenly over the whole of the stored one.

    Where the reduction does not go into the stored size, the last column and row reach beyond it.
    """
    width, height = size_px[0] / reduction, size_px[1] / reduction
    if (width, height) == picture.size:
        return picture
    from PIL.Image import Resampling

    return picture.resize(picture.size, Resampling.BICUBIC, box=(0, 0, width, height))


def _plain(picture: Image) -> Image:
    """The picture in one of this module's modes."""
    if picture.mode in _SIXTEEN_BIT:
        return _rounded(_sixteen(picture))
    transparency = picture.info.get("transparency")
    if isinstance(transparency, tuple) and max(transparency) > 255:  # 16 bits, as the pixels were
        picture.info["transparency"] = tuple(value >> 8 for value in transparency)
    if picture.mode in ("1", "L") and transparency is not None:
        return picture.convert("RGBA")
    if picture.mode == "P" or (picture.mode == "RGB" and transparency is not None):
        return picture.convert("RGB" if transparency is None and not _palette_has_alpha(picture) else "RGBA")
    simpler = {
        "1": "L",
        "RGBX": "RGB",
        "RGBa": "RGBA",
        "La": "LA",
        "PA": "RGBA",
        "YCbCr": "RGB",
        "HSV": "RGB",
    }
    return picture.convert(simpler[picture.mode]) if picture.mode in simpler else picture


def _rounded(full: NDArray[np.uint16]) -> Image:
    from PIL import Image

    return Image.fromarray(to_eight_bits(full))


def _palette_has_alpha(picture: Image) -> bool:
    return picture.palette is not None and picture.palette.mode == "RGBA"


def _sixteen(picture: Image) -> NDArray[np.uint16]:
    import numpy as np

    return np.asarray(picture).astype(np.uint16)


def _without_needless_alpha(picture: Image) -> Image:
    if picture.mode not in ("LA", "RGBA"):
        return picture
    lowest, _ = picture.getchannel("A").getextrema()
    return picture.convert(picture.mode.removesuffix("A")) if lowest == 255 else picture


def inverted(picture: Image) -> Image:
    """The picture with 255 for 0."""
    from PIL import ImageChops

    return ImageChops.invert(picture)
