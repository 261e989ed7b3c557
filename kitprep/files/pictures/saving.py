"""Writes one picture at its physical size: PNG with its transparency, TIFF, or JPEG where that is asked.

PNG records its resolution as pixels to the metre (PNG, third edition, 11.3.4.3, pHYs), JPEG as whole
pixels to the inch (JFIF 1.02, APP0), TIFF as ratios (TIFF 6.0, section 8). Pixels are sRGB
(IEC 61966-2-1) and say so.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from kitprep.errors import BadOption
from kitprep.files.replace import replacing

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from PIL.Image import Image

JPEG_QUALITY = 95  # the highest that Pillow's documentation advises; above, files grow and nothing is gained
_LEVEL = 6


def write_picture(
    pixels: NDArray[np.uint8], ppi: tuple[float, float], path: Path, *, overwrite: bool = False
) -> None:
    """Write pixels as a picture file of the kind its name ends in.

    Parameters
    ----------
    pixels : ndarray
        uint8, shape (rows, cols, 3) sRGB, or (rows, cols, 4) with straight alpha. A JPEG has no alpha:
        transparent places become white.
    ppi : tuple of float
        Pixels per inch across and down, which the file records.
    path : Path
        Ends in .png, .tif, .tiff, .jpg or .jpeg.
    overwrite : bool
        Whether a file of that name may be replaced.

    Raises
    ------
    BadOption
        If the name ends otherwise.
    OutputExists, MissingFile, CannotWrite
        If the file exists and may not be replaced, its folder is not there, or it cannot be written.
    """
    from PIL import Image

    save = _SAVERS.get(path.suffix.lower())
    if save is None:
        raise BadOption("the picture's name", path.name, f"one that ends in {', '.join(_SAVERS)}")
    with replacing(path, overwrite=overwrite) as out:
        save(Image.fromarray(pixels), ppi, out)


@cache
def srgb_profile() -> bytes:
    """An ICC profile of sRGB, as LittleCMS makes it."""
    from PIL import ImageCms

    return ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


def _save_png(picture: Image, ppi: tuple[float, float], out: Path) -> None:
    picture.save(out, "PNG", dpi=ppi, compress_level=_LEVEL, icc_profile=srgb_profile())


def _save_tiff(picture: Image, ppi: tuple[float, float], out: Path) -> None:
    picture.save(out, "TIFF", dpi=ppi, compression="tiff_lzw", icc_profile=srgb_profile())


def _save_jpeg(picture: Image, ppi: tuple[float, float], out: Path) -> None:
    from PIL import Image

    if picture.mode == "RGBA":
        board = Image.new("RGB", picture.size, "white")
        board.paste(picture, mask=picture.getchannel("A"))
        picture = board
    whole = round(ppi[0]), round(ppi[1])
    profile = srgb_profile()
    picture.save(out, "JPEG", quality=JPEG_QUALITY, subsampling="4:4:4", dpi=whole, icc_profile=profile)


_SAVERS: dict[str, Callable[[Image, tuple[float, float], Path], None]] = {
    ".png": _save_png,
    ".tif": _save_tiff,
    ".tiff": _save_tiff,
    ".jpg": _save_jpeg,
    ".jpeg": _save_jpeg,
}
