"""From a picture's own colours to sRGB for the screen.

An embedded profile is followed by littleCMS (through Pillow's ImageCms): relative colorimetric with black
point compensation, the common practice for looking at print pictures. CMYK without a profile has no
defined colours; it is shown by the plain sum R = (1 - C)(1 - K), and so on (ISO 32000-1, 10.3.5, gives the
same idea), and said to be.
"""

from __future__ import annotations

from enum import Enum
from functools import lru_cache
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageCms import ImageCmsTransform


class Note(Enum):
    """Something about a page's picture that its owner may want to know; the value words it."""

    PROFILE_UNUSABLE = "its colour profile cannot be used, so its colours are shown without it"
    CMYK_WITHOUT_PROFILE = "it is CMYK without a colour profile, so its colours on screen are approximate"
    SRGB_ASSUMED = "nothing tells what its colours are, so they are taken for sRGB"
    COARSE_PICTURES = "the finest picture on it has fewer than 300 pixels per inch"
    RENDERED_WITH_FAULTS = "parts of it are damaged and may be missing from the picture"


_PROFILE_SPACES = {"L": b"GRAY", "RGB": b"RGB ", "CMYK": b"CMYK"}
_COLOUR_SPACE_AT = slice(16, 20)  # ICC.1:2010, 7.2, data colour space
_SIGNATURE_AT = slice(36, 40)
PROBE_STEPS = 9
NEARLY_SRGB = 1  # levels of 255; profiles that differ by no more are taken as sRGB and not applied


def profile_fits(icc: bytes | None, mode: str) -> bool:
    """Whether a profile is one for colours of a mode (``L``, ``RGB``, ``CMYK``), going by its header."""
    if icc is None or icc[_SIGNATURE_AT] != b"acsp":
        return False
    return icc[_COLOUR_SPACE_AT] == _PROFILE_SPACES.get(mode)


def to_srgb(picture: Image, icc: bytes | None) -> tuple[Image, tuple[Note, ...]]:
    """A picture in sRGB.

    Parameters
    ----------
    picture : Image
        Of mode L, LA, RGB, RGBA, CMYK (255 is full ink) or LAB.
    icc : bytes or None
        Its profile.

    Returns
    -------
    Image
        Of mode RGB, or RGBA with straight alpha.
    tuple of Note
        Where the colours are not sure.
    """
    if picture.mode in ("LA", "RGBA"):
        return _with_alpha(picture, icc)
    if picture.mode == "L" and not profile_fits(icc, "L") and profile_fits(icc, "RGB"):
        picture = picture.convert("RGB")
    if picture.mode == "LAB":
        return _lab_transform().apply(picture), ()
    notes: tuple[Note, ...] = ()
    if icc is not None:
        conversion = _conversion(icc, picture.mode)
        if conversion is not None:
            return conversion.apply(picture), ()
        notes = (Note.PROFILE_UNUSABLE,)
    if picture.mode == "CMYK":
        notes = (*notes, Note.CMYK_WITHOUT_PROFILE)
    return _in_rgb(picture), notes


def _in_rgb(picture: Image) -> Image:
    """The picture in RGB; itself where it is, as Pillow would copy every pixel."""
    return picture if picture.mode == "RGB" else picture.convert("RGB")


def _with_alpha(picture: Image, icc: bytes | None) -> tuple[Image, tuple[Note, ...]]:
    if picture.mode == "RGBA" and icc is None:
        return picture, ()
    alpha = picture.getchannel("A")
    opaque, notes = to_srgb(picture.convert(picture.mode.removesuffix("A")), icc)
    opaque.putalpha(alpha)
    return opaque, notes


class _Conversion(Protocol):
    """What takes pictures of one mode to sRGB."""

    def apply(self, picture: Image) -> Image: ...


class _Unchanged:
    """Stands for a profile that is sRGB in all but name."""

    def apply(self, picture: Image) -> Image:
        return _in_rgb(picture)


class _GreyTable:
    """A conversion of grey, looked up: 256 levels need no more.

    littleCMS's own shortcut for grey is off by up to 10 levels of 255 in the shadows of a linear profile, and
    without the shortcut it takes a second for a page.
    """

    def __init__(self, transform: ImageCmsTransform) -> None:
        bands = transform.apply(_every_grey()).split()
        self._tables = [list(band.tobytes()) for band in bands]

    def apply(self, picture: Image) -> Image:
        from PIL import Image

        return Image.merge("RGB", [picture.point(table) for table in self._tables])


@lru_cache(maxsize=16)
def _conversion(icc: bytes, mode: str) -> _Conversion | None:
    """What takes a mode to sRGB by a profile; None where the profile cannot do that.

    littleCMS copies its small pixel cache for each call, so one transform serves several threads.
    """
    from io import BytesIO

    from PIL import ImageCms

    if not profile_fits(icc, mode):
        return None
    exact = ImageCms.Flags.NOOPTIMIZE if mode == "L" else ImageCms.Flags.NONE
    try:
        transform = ImageCms.buildTransform(
            ImageCms.ImageCmsProfile(BytesIO(icc)),
            ImageCms.createProfile("sRGB"),
            mode,
            "RGB",
            ImageCms.Intent.RELATIVE_COLORIMETRIC,
            ImageCms.Flags.BLACKPOINTCOMPENSATION | exact,
        )
    except (ImageCms.PyCMSError, OSError):
        return None
    if mode != "CMYK" and _changes_nothing(transform, mode):
        return _Unchanged()
    return _GreyTable(transform) if mode == "L" else transform


def _every_grey() -> Image:
    from PIL import Image

    return Image.frombytes("L", (256, 1), bytes(range(256)))


def _changes_nothing(transform: ImageCmsTransform, mode: str) -> bool:
    """Whether every probed colour stays what it is, within `NEARLY_SRGB`."""
    from PIL import Image, ImageChops

    levels = [round(255 * step / (PROBE_STEPS - 1)) for step in range(PROBE_STEPS)]
    if mode == "L":
        probe = _every_grey()
    else:
        probe = Image.new("RGB", (PROBE_STEPS**3, 1))
        probe.putdata([(red, green, blue) for red in levels for green in levels for blue in levels])
    apart = ImageChops.difference(transform.apply(probe), probe.convert("RGB")).getextrema()
    return max(int(high) for _, high in apart) <= NEARLY_SRGB  # type: ignore[misc]


@lru_cache(maxsize=1)
def _lab_transform() -> ImageCmsTransform:
    from PIL import ImageCms

    return ImageCms.buildTransform(
        ImageCms.createProfile("LAB"),
        ImageCms.createProfile("sRGB"),
        "LAB",
        "RGB",
        ImageCms.Intent.RELATIVE_COLORIMETRIC,
    )
