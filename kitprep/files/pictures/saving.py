"""Writes one picture at its physical size: PNG with its transparency, TIFF, or JPEG where that is asked.

PNG records its resolution as pixels to the metre (PNG, third edition, 11.3.4.3, pHYs), TIFF as ratios
(TIFF 6.0, section 8), JPEG as ratios in Exif and, where that is near enough, as whole pixels to the inch
(JFIF 1.02, APP0). Pixels of eight bits are sRGB (IEC 61966-2-1) and say so; those of sixteen keep the colours
and the profile of their page.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from kitprep.errors import BadOption
from kitprep.files.pictures import sixteen_bits
from kitprep.files.replace import replacing
from kitprep.files.srgb import srgb_profile

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from PIL.Image import Exif, Image

JPEG_QUALITY = 95  # the highest that Pillow's documentation advises; above, files grow and nothing is gained
_LEVEL = 6
_WHOLE_IS_NEAR = 0.0005  # as a share: 0.006 in. on a page of 12 in.
_PER_INCH = 2  # ResolutionUnit (TIFF 6.0, section 8), which Exif takes over


def write_picture(
    pixels: NDArray[np.uint8 | np.uint16],
    ppi: tuple[float, float],
    path: Path,
    *,
    icc: bytes | None = None,
    grey: bool = False,
    overwrite: bool = False,
) -> None:
    """Write pixels as a picture file of the kind its name ends in.

    Parameters
    ----------
    pixels : ndarray
        uint8, shape (rows, cols, 3) sRGB, or (rows, cols, 4) with straight alpha. A JPEG has no alpha:
        transparent places become white. Or uint16 of these shapes, for PNG and TIFF.
    ppi : tuple of float
        Pixels per inch across and down, which the file records.
    path : Path
        Ends in .png, .tif, .tiff, .jpg or .jpeg.
    icc : bytes or None
        The profile of pixels of sixteen bits; None for sRGB.
    grey : bool
        Whether pixels of sixteen bits are grey, three times the same: they are written once, and without
        a profile of their own a PNG says that it is sRGB.
    overwrite : bool
        Whether a file of that name may be replaced.

    Raises
    ------
    BadOption
        If the name ends otherwise, or is that of a JPEG for sixteen bits.
    OutputExists, MissingFile, CannotWrite
        If the file exists and may not be replaced, its folder is not there, or it cannot be written.
    """
    import numpy as np
    from PIL import Image

    savers = _SAVERS if pixels.dtype == np.uint8 else _SIXTEEN_BIT_SAVERS
    ending = path.suffix.lower()
    if ending not in savers:
        raise BadOption("the picture's name", path.name, f"one that ends in {', '.join(savers)}")
    with replacing(path, overwrite=overwrite) as out:
        if pixels.dtype == np.uint8:
            _SAVERS[ending](Image.fromarray(pixels), ppi, out)
        else:
            channels = pixels[..., 2:] if grey else pixels  # the last of grey, and alpha
            profile = icc or (None if grey else srgb_profile())
            _SIXTEEN_BIT_SAVERS[ending](channels.astype(np.uint16), ppi, profile, out)


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
    picture.save(
        out,
        "JPEG",
        quality=JPEG_QUALITY,
        subsampling="4:4:4",
        dpi=_jfif_density(ppi),
        exif=_exif(ppi),
        icc_profile=srgb_profile(),
    )


def _jfif_density(ppi: tuple[float, float]) -> tuple[int, int]:
    """Whole pixels to the inch, or (0, 0) for none.

    JFIF holds whole numbers only, and readers believe it before Exif. So where whole numbers would give
    a wrong size it states no unit, and readers go on to Exif's ratios. Some of them, Pillow for one, take
    Exif's figure across for both; where that is the greater error the whole numbers stay.
    """
    whole = max(round(ppi[0]), 1), max(round(ppi[1]), 1)
    off_by_whole = max(abs(stated / true - 1) for stated, true in zip(whole, ppi, strict=True))
    off_by_exif = abs(ppi[0] / ppi[1] - 1)
    return whole if off_by_whole <= max(_WHOLE_IS_NEAR, off_by_exif) else (0, 0)


def _exif(ppi: tuple[float, float]) -> Exif:
    from PIL.ExifTags import Base
    from PIL.Image import Exif
    from PIL.TiffImagePlugin import IFDRational

    exif = Exif()
    exif[Base.XResolution], exif[Base.YResolution] = (IFDRational(value) for value in ppi)
    exif[Base.ResolutionUnit] = _PER_INCH
    return exif


_SAVERS: dict[str, Callable[[Image, tuple[float, float], Path], None]] = {
    ".png": _save_png,
    ".tif": _save_tiff,
    ".tiff": _save_tiff,
    ".jpg": _save_jpeg,
    ".jpeg": _save_jpeg,
}
_SIXTEEN_BIT_SAVERS: dict[
    str, Callable[[NDArray[np.uint16], tuple[float, float], bytes | None, Path], None]
] = {
    ".png": sixteen_bits.save_png,
    ".tif": sixteen_bits.save_tiff,
    ".tiff": sixteen_bits.save_tiff,
}
SIXTEEN_BIT_ENDINGS = tuple(_SIXTEEN_BIT_SAVERS)
"""Of the kinds of files that hold sixteen bits."""
