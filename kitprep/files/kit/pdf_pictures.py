"""Pictures stored in a PDF, taken out as they are (ISO 32000-1, 8.9.5).

Only plain ones: a JPEG, or 1, 2, 4 or 8 bits per component under lossless filters, in grey, RGB or CMYK by
device, by ICC profile or through a palette, with nothing that masks or remaps them. Everything else raises
`NotPlain`, and its page is rendered.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, field
from io import BytesIO
from typing import TYPE_CHECKING, Any, Literal

from kitprep.errors import DamagedPicture, KitprepError
from kitprep.files.kit.colour import profile_fits
from kitprep.files.kit.decoding import adobe_marked, decoded, inverted
from kitprep.files.kit.limits import too_many_pixels
from kitprep.files.kit.opening import opened
from kitprep.files.kit.pdf_streams import LOSSLESS, MAX_UNPACKED_BYTES, UnpacksTooFar, listed, unpacked
from kitprep.files.kit.sniffing import FileKind

if TYPE_CHECKING:
    from PIL.Image import Image

Mode = Literal["L", "RGB", "CMYK"]
CHANNELS: dict[Mode, int] = {"L": 1, "RGB": 3, "CMYK": 4}

# How much is wanted of a stream: what it must hold, and what programs leave after it.
_STRAY_BYTES = 64 * 1024
_MOST_PALETTE_BYTES = 256 * 4 + _STRAY_BYTES
_MOST_PROFILE_BYTES = MAX_UNPACKED_BYTES  # the largest printing profiles are a tenth of this
_MOST_JPEG_BYTES_PER_PIXEL, _MOST_JPEG_EXTRA_BYTES = 8, 16 * 1024**2
_JPEG_FILTERS = frozenset({"/DCTDecode", "/DCT"})
_DEVICE: dict[str, Mode] = {"/DeviceGray": "L", "/G": "L", "/DeviceRGB": "RGB", "/RGB": "RGB"}
_DEVICE |= {"/DeviceCMYK": "CMYK", "/CMYK": "CMYK"}
_DEFAULT_OF: dict[Mode, str] = {"L": "/DefaultGray", "RGB": "/DefaultRGB", "CMYK": "/DefaultCMYK"}
_MODE_OF_COUNT: dict[int, Mode] = {1: "L", 3: "RGB", 4: "CMYK"}
_MASKING = ("/SMask", "/Mask", "/SMaskInData", "/OC", "/Matte")


class NotPlain(Exception):
    """Why a page's pictures cannot be taken out as they are; caught inside this room."""


@dataclass(frozen=True, slots=True, eq=False)
class StoredPicture:
    """One picture as a PDF stores it.

    Parameters
    ----------
    size_px : tuple of int
        Its own width and height.
    mode : str
        The mode of its pixels, eight bits each.
    icc : bytes or None
        The profile that the PDF gives it; one inside a JPEG does not count (ISO 32000-1, 8.9.5.1).
    jpeg : bytes or None
        The JPEG file it is stored as.
    inverted : bool
        Whether that JPEG's CMYK is stored inverted.
    packed : Packed or None
        How its pixels are stored where it is no JPEG.
    """

    size_px: tuple[int, int]
    mode: Mode
    icc: bytes | None = field(repr=False)
    jpeg: bytes | None = field(repr=False)
    inverted: bool
    packed: Packed | None = field(repr=False)

    @property
    def key(self) -> str:
        """Equal for pictures of the same pixels and profile."""
        digest = hashlib.sha256(repr((self.size_px, self.mode, self.inverted)).encode())
        digest.update(self.icc or b"")
        digest.update(self.jpeg if self.jpeg is not None else self.packed.digest if self.packed else b"")
        return digest.hexdigest()

    def decode(self, name: str, reduction: int = 1) -> Image:
        """Its pixels, of mode `mode` (CMYK: 255 is full ink), reduced as `decoding.decoded` does.

        Raises
        ------
        DamagedPicture
            If it is cut short or broken.
        """
        if self.packed is not None:
            picture = self.packed.unpack(self.size_px, name)
            return picture.reduce(min(reduction, *picture.size)) if reduction > 1 else picture
        assert self.jpeg is not None
        with opened(BytesIO(self.jpeg), FileKind.JPEG, name) as file:
            marked = adobe_marked(file)
            picture = decoded(file, FileKind.JPEG, name, reduction).picture
        if picture.mode == "CMYK" and self.inverted != marked:
            return inverted(picture)
        return picture


@dataclass(frozen=True, slots=True, eq=False)
class Packed:
    """Pixels under lossless filters.

    Parameters
    ----------
    stream : pikepdf.Object
        Where they are; good while its PDF is open.
    mode : str
        Of the picture, or of the palette's colours.
    bits : int
        Bits per component: 1, 2, 4 or 8.
    palette : bytes or None
        The colours that the pixels number.
    """

    stream: Any
    mode: Mode
    bits: int
    palette: bytes | None

    @property
    def digest(self) -> bytes:
        """Of the stored bytes and all that gives them meaning."""
        data = hashlib.sha256(self.stream.read_raw_bytes())
        data.update(repr((self.mode, self.bits, self.palette)).encode())
        return data.digest()

    def unpack(self, size_px: tuple[int, int], name: str) -> Image:
        """The picture they make, of mode `mode`."""
        import numpy as np
        from PIL import Image

        count = 1 if self.palette is not None else CHANNELS[self.mode]
        most = _row_bytes(size_px[0], count, self.bits) * size_px[1] + _STRAY_BYTES
        samples = _samples(self._bytes(name, most), size_px, count, self.bits)
        if samples is None:
            raise DamagedPicture(name, "a picture on the page is cut short")
        if self.palette is not None:
            count = CHANNELS[self.mode]
            colours = np.zeros((256, count), np.uint8)
            known = np.frombuffer(self.palette, np.uint8)[: 256 * count]
            colours[: len(known) // count] = known[: len(known) // count * count].reshape(-1, count)
            samples = colours[samples[:, :, 0]]
        elif self.bits < 8:
            samples = samples * np.uint8(255 // (2**self.bits - 1))
        return Image.frombytes(self.mode, size_px, samples.tobytes())

    def _bytes(self, name: str, most: int) -> bytes:
        import pikepdf

        try:
            return unpacked(self.stream, most)
        except UnpacksTooFar as fault:
            raise DamagedPicture(name, "a picture on the page unpacks to more than its size") from fault
        except pikepdf.PdfError as fault:
            raise DamagedPicture(name, "a picture on the page cannot be decoded") from fault


def _row_bytes(width: int, count: int, bits: int) -> int:
    return (width * count * bits + 7) // 8


def _samples(data: bytes, size_px: tuple[int, int], count: int, bits: int) -> Any:
    """uint8 samples, shape (rows, cols, count); None where there are too few bytes. Rows start on a byte."""
    import numpy as np

    width, height = size_px
    row_bytes = _row_bytes(width, count, bits)
    if len(data) < row_bytes * height:
        return None
    rows = np.frombuffer(data, np.uint8, row_bytes * height).reshape(height, row_bytes)
    if bits < 8:
        weights = (1 << np.arange(bits)[::-1]).astype(np.uint8)
        rows = (np.unpackbits(rows, axis=1).reshape(height, -1, bits) * weights).sum(axis=2, dtype=np.uint8)
    return rows[:, : width * count].reshape(height, width, count)


def stored_picture(stream: Any, default_spaces: frozenset[str]) -> StoredPicture:
    """A picture as it is stored.

    Parameters
    ----------
    stream : pikepdf.Object
        The image XObject; good while its PDF is open.
    default_spaces : frozenset of str
        Device colour spaces that the page's resources redefine.

    Raises
    ------
    NotPlain
        If it cannot be taken out as it is.
    UnpacksTooFar
        If its profile is so large that rendering the page, which unpacks the profile whole, would do harm.
    """
    if stream.get("/ImageMask", False):
        raise NotPlain("a picture is a stencil")
    for key in _MASKING:
        if key in stream and not (key == "/SMaskInData" and stream[key] == 0):
            raise NotPlain(f"a picture has {key}")
    size_px = int(stream.get("/Width", 0)), int(stream.get("/Height", 0))
    if min(size_px) < 1 or too_many_pixels(*size_px):
        raise NotPlain(f"a picture has {size_px[0]} x {size_px[1]} pixels")
    filters = [str(name) for name in listed(stream.get("/Filter"))]
    if filters and filters[-1] in _JPEG_FILTERS and set(filters[:-1]) <= LOSSLESS:
        return _jpeg_picture(stream, size_px, filters, default_spaces)
    if not set(filters) <= LOSSLESS:
        raise NotPlain(f"a picture is stored by {filters}")
    return _packed_picture(stream, size_px, default_spaces)


def _jpeg_picture(
    stream: Any, size_px: tuple[int, int], filters: Sequence[str], default_spaces: frozenset[str]
) -> StoredPicture:
    jpeg = _jpeg_bytes(stream, size_px, filters)
    mode, icc, palette = _colours(stream.get("/ColorSpace"), default_spaces)
    try:
        with opened(BytesIO(jpeg), FileKind.JPEG, "a picture") as file:
            if palette is not None or (file.size, file.mode) != (size_px, mode):
                raise NotPlain("a JPEG is not what the PDF says it is")
            _check_transform(stream, file.info, mode)
    except KitprepError as fault:
        raise NotPlain("a JPEG cannot be opened") from fault
    decode = _decode_array(stream)
    from_ink = mode == "CMYK" and decode == [1.0, 0.0] * 4
    if decode is not None and not from_ink and decode != [0.0, 1.0] * CHANNELS[mode]:
        raise NotPlain("a picture is remapped by /Decode")
    return StoredPicture(size_px, mode, icc, jpeg, from_ink, None)


def _check_transform(stream: Any, info: dict[Any, Any], mode: Mode) -> None:
    """A JPEG's own Adobe marker goes before /ColorTransform (ISO 32000-1, table 13)."""
    for parms in listed(stream.get("/DecodeParms", stream.get("/DP"))):
        wanted = parms.get("/ColorTransform") if hasattr(parms, "get") else None
        usual = 1 if mode == "RGB" else 0
        if wanted is not None and "adobe" not in info and int(wanted) != usual:
            raise NotPlain("a JPEG has an unusual /ColorTransform")


def _jpeg_bytes(stream: Any, size_px: tuple[int, int], filters: Sequence[str]) -> bytes:
    """The JPEG file, out of any lossless filters around it."""
    import pikepdf

    if len(filters) == 1:
        return bytes(stream.read_raw_bytes())
    most = _MOST_JPEG_BYTES_PER_PIXEL * size_px[0] * size_px[1] + _MOST_JPEG_EXTRA_BYTES
    try:
        return unpacked(stream, most, len(filters) - 1)
    except (UnpacksTooFar, pikepdf.PdfError) as fault:
        raise NotPlain("a JPEG cannot be taken out of its filters") from fault


def _packed_picture(stream: Any, size_px: tuple[int, int], default_spaces: frozenset[str]) -> StoredPicture:
    mode, icc, palette = _colours(stream.get("/ColorSpace"), default_spaces)
    bits = int(stream.get("/BitsPerComponent", 0))
    if bits not in (1, 2, 4, 8):
        raise NotPlain(f"a picture has {bits} bits per component")
    decode = _decode_array(stream)
    plain = [0.0, float(2**bits - 1)] if palette is not None else [0.0, 1.0] * CHANNELS[mode]
    if decode is not None and decode != plain:
        raise NotPlain("a picture is remapped by /Decode")
    return StoredPicture(size_px, mode, icc, None, False, Packed(stream, mode, bits, palette))


def _colours(space: Any, default_spaces: frozenset[str]) -> tuple[Mode, bytes | None, bytes | None]:
    """Mode, profile and palette of a colour space."""
    import pikepdf

    if isinstance(space, pikepdf.Name):
        mode = _DEVICE.get(str(space))
        if mode is None or _DEFAULT_OF[mode] in default_spaces:
            raise NotPlain(f"a picture is in the colour space {space}")
        return mode, None, None
    if not isinstance(space, pikepdf.Array) or len(space) == 0:
        raise NotPlain("a picture has no colour space")
    family = str(space[0])
    if family == "/ICCBased":
        return (*_profiled(space[1]), None)
    if family in ("/Indexed", "/I"):
        mode, icc, deeper = _colours(space[1], default_spaces)
        if deeper is not None:
            raise NotPlain("a palette of palettes")
        table = space[3]
        if isinstance(table, pikepdf.Stream):
            return mode, icc, _palette_bytes(table)
        return mode, icc, bytes(table)
    if len(space) == 1 and family in _DEVICE:
        return _colours(space[0], default_spaces)
    raise NotPlain(f"a picture is in the colour space {family}")


def _profiled(stream: Any) -> tuple[Mode, bytes]:
    mode = _MODE_OF_COUNT.get(int(stream.get("/N", 0)))
    icc = unpacked(stream, _MOST_PROFILE_BYTES)
    if mode is None or not profile_fits(icc, mode):
        raise NotPlain("a picture has an unusable profile")
    return mode, icc


def _palette_bytes(stream: Any) -> bytes:
    try:
        return unpacked(stream, _MOST_PALETTE_BYTES)
    except UnpacksTooFar as fault:
        raise NotPlain("a palette unpacks too far") from fault


def _decode_array(stream: Any) -> list[float] | None:
    decode = stream.get("/Decode")
    return None if decode is None else [float(value) for value in decode]
