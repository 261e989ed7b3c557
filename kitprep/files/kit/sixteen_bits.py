"""Pictures of sixteen bits: read in full, and reduced to eight where eight must do.

Pillow holds colours in eight bits and cuts sixteen off to their upper eight. OpenCV reads them whole; it
is asked for what a header says is RGB or grey of sixteen bits, and believed where Pillow's own decode, which
also finds damage, agrees in the upper bits. Both turn a TIFF upright by its tag and leave a PNG as stored.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from kitprep.files.kit.sniffing import FileKind

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from PIL.Image import Image
    from PIL.ImageFile import ImageFile

    Sixteen = NDArray[np.uint16]

TOP = 65_535
_STEP = 257  # levels of 16 bits in one of 8: 65 535 / 255
_EXTRA_SAMPLES, _PHOTOMETRIC, _BITS_PER_SAMPLE = 338, 262, 258  # TIFF 6.0, section 8
_PREMULTIPLIED, _UNSPECIFIED = 1, 0
_WHITE_IS_ZERO = 0
_AGREE = 1  # levels of 8 bits, of the upper bits against Pillow's eight


@dataclass(frozen=True, slots=True)
class SixteenBitFile:
    """A file whose header says that it holds sixteen bits, before its pixels are read.

    Parameters
    ----------
    content : bytes
        The file.
    frame : int
        Which of its pictures, from 0.
    extra : int or None
        For TIFF: what its fourth channel is.
    white_is_zero : bool
        For TIFF: whether grey counts ink, not light.
    """

    content: bytes
    frame: int
    extra: int | None
    white_is_zero: bool

    def read(self, eight: Image) -> Sixteen | None:
        """The pixels, in full.

        Parameters
        ----------
        eight : Image
            The same picture as Pillow read it.

        Returns
        -------
        ndarray or None
            uint16, shape (rows, cols) grey, (rows, cols, 3) RGB or (rows, cols, 4) with straight alpha, as
            Pillow gives them turned; None where the two do not agree on what the file holds.
        """
        import cv2
        import numpy as np

        data = np.frombuffer(self.content, np.uint8)
        _, found = cv2.imdecodemulti(data, cv2.IMREAD_UNCHANGED, range=(self.frame, self.frame + 1))
        if len(found) != 1 or found[0].dtype != np.uint16:
            return None
        pixels = np.asarray(found[0], dtype=np.uint16)
        if pixels.ndim == 3:
            pixels = pixels[..., [2, 1, 0, 3][: pixels.shape[2]]]
        if not _agree(pixels, eight):
            return None
        if pixels.ndim == 2:
            return (TOP - pixels).astype(np.uint16) if self.white_is_zero else pixels
        if pixels.shape[2] == 4 and self.extra == _UNSPECIFIED:
            return pixels[..., :3]
        return _straight(pixels) if self.extra == _PREMULTIPLIED else pixels


def sixteen_bit_file(picture: ImageFile, kind: FileKind) -> SixteenBitFile | None:
    """The file of a picture that was opened and not yet read, where that holds RGB or grey of sixteen bits."""
    raw = picture.tile[0][3] if picture.tile else ""
    raw = raw if isinstance(raw, str) else str(raw[0] if raw else "")
    if kind not in (FileKind.PNG, FileKind.TIFF) or ";16" not in raw or raw.startswith("CMYK"):
        return None
    file = picture.fp
    assert file is not None
    at = file.tell()
    file.seek(0)
    content = file.read()
    file.seek(at)
    tags: Any = getattr(picture, "tag_v2", {})
    extra = tags.get(_EXTRA_SAMPLES, (None,))
    return SixteenBitFile(
        content, picture.tell(), extra[0] if extra else None, tags.get(_PHOTOMETRIC) == _WHITE_IS_ZERO
    )


def has_planes_of_sixteen_bits(picture: ImageFile) -> bool:
    """Whether an opened TIFF has its colours in uncompressed planes of sixteen bits: Pillow garbles them."""
    tags: Any = picture.tag_v2  # type: ignore[attr-defined]
    deep = max(tags.get(_BITS_PER_SAMPLE, (1,))) > 8
    return deep and len(picture.tile) > 1 and isinstance(args := picture.tile[0][3], tuple) and args[0] == "R"


def to_eight_bits(pixels: Sixteen) -> NDArray[np.uint8]:
    """The nearest of eight bits: the same share of full scale (PNG, third edition, 13.12)."""
    import numpy as np

    return ((pixels.astype(np.uint32) + _STEP // 2) // _STEP).astype(np.uint8)


def _agree(pixels: Sixteen, eight: Image) -> bool:
    """Whether the upper bits are what Pillow read, where nothing is see-through."""
    import numpy as np

    other = np.asarray(eight)
    if other.dtype != np.uint8:
        other = other >> 8
    if other.shape[:2] != pixels.shape[:2] or (other.ndim == 2) != (pixels.ndim == 2):
        return False
    upper = pixels >> 8
    if pixels.ndim == 2:
        return bool(np.abs(upper.astype(np.int16) - other.astype(np.int16)).max() <= _AGREE)
    apart = np.abs(upper[..., :3].astype(np.int16) - other[..., :3].astype(np.int16)).max(axis=2)
    opaque = other[..., 3] == 255 if other.shape[2] == 4 else np.ones(apart.shape, np.bool_)
    return bool(apart[opaque].max(initial=0) <= _AGREE)


def _straight(pixels: Sixteen) -> Sixteen:
    """Colours no longer multiplied by their opacity."""
    import numpy as np

    alpha = pixels[..., 3:].astype(np.float64)
    colours = np.minimum(np.rint(pixels[..., :3] * (TOP / np.maximum(alpha, 1))), TOP)
    return np.concatenate([colours.astype(np.uint16), pixels[..., 3:]], axis=2)
