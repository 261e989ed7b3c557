"""What a file is, by its first bytes; its name is only asked where the bytes say nothing.

The signatures are those of the formats' own standards: JPEG (ISO/IEC 10918-1, annex B), PNG (W3C PNG,
5.2), TIFF 6.0 (section 2) and BigTIFF, WebP (RFC 9649, 2.4), PDF (ISO 32000-1, 7.5.2), ZIP (PKWARE
APPNOTE 4.3). A PDF's header may follow up to 1024 bytes of something else: common practice of PDF readers.
"""

from __future__ import annotations

from enum import Enum
from pathlib import Path, PurePosixPath

from kitprep.errors import CannotRead

HEAD_BYTES = 1_024


class FileKind(Enum):
    """What the first bytes of a file say it is."""

    JPEG = "a JPEG picture"
    PNG = "a PNG picture"
    TIFF = "a TIFF picture"
    WEBP = "a WebP picture"
    PDF = "a PDF"
    ZIP = "a ZIP"
    GIF = "a GIF picture"
    BMP = "a BMP picture"
    HEIF = "a HEIC or AVIF picture"
    JPEG_2000 = "a JPEG 2000 picture"
    EMPTY = "an empty file"
    OTHER = "something else"


PICTURE_KINDS = frozenset({FileKind.JPEG, FileKind.PNG, FileKind.TIFF, FileKind.WEBP})
UNSUPPORTED_KINDS = frozenset({FileKind.GIF, FileKind.BMP, FileKind.HEIF, FileKind.JPEG_2000})

_PAGE_SUFFIXES = frozenset({".jpg", ".jpeg", ".jpe", ".jfif", ".png", ".tif", ".tiff", ".webp", ".pdf"})
_UNSUPPORTED_SUFFIXES = frozenset({".gif", ".bmp", ".heic", ".heif", ".avif", ".jp2"})
_HEIF_BRANDS = frozenset({b"heic", b"heix", b"hevc", b"mif1", b"msf1", b"avif", b"avis"})
_SIGNATURES = (
    (b"\xff\xd8\xff", FileKind.JPEG),
    (b"\x89PNG\r\n\x1a\n", FileKind.PNG),
    (b"II*\0", FileKind.TIFF),
    (b"MM\0*", FileKind.TIFF),
    (b"II+\0", FileKind.TIFF),
    (b"MM\0+", FileKind.TIFF),
    (b"%PDF-", FileKind.PDF),
    (b"PK\3\4", FileKind.ZIP),
    (b"PK\5\6", FileKind.ZIP),
    (b"GIF87a", FileKind.GIF),
    (b"GIF89a", FileKind.GIF),
    (b"\0\0\0\x0cjP  ", FileKind.JPEG_2000),
)


def sniff(path: Path) -> FileKind:
    """What a file is.

    Raises
    ------
    CannotRead
        If it cannot be opened.
    """
    try:
        with path.open("rb") as file:
            head = file.read(HEAD_BYTES)
    except OSError as fault:
        raise CannotRead(path.name, fault.strerror or "no reason given") from fault
    return kind_of(head, path.suffix)


def kind_of(head: bytes, suffix: str = "") -> FileKind:
    """What a file that begins with `head` is.

    Examples
    --------
    >>> kind_of(b"%PDF-1.7").value, kind_of(b"Thank you!").value
    ('a PDF', 'something else')
    """
    if not head:
        return FileKind.EMPTY
    for signature, kind in _SIGNATURES:
        if head.startswith(signature):
            return kind
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        return FileKind.WEBP
    if head[4:8] == b"ftyp" and head[8:12] in _HEIF_BRANDS:
        return FileKind.HEIF
    if head[:2] == b"BM" and head[6:10] == bytes(4):
        return FileKind.BMP
    if suffix.lower() == ".pdf" and b"%PDF-" in head:
        return FileKind.PDF
    return FileKind.OTHER


def is_named_like_a_page(name: str) -> bool:
    """Whether a file's name says that it is a picture or a PDF.

    Examples
    --------
    >>> is_named_like_a_page("Pages/p1.JPG"), is_named_like_a_page("Read me.txt")
    (True, False)
    """
    suffix = PurePosixPath(name).suffix.lower()
    return suffix in _PAGE_SUFFIXES or suffix in _UNSUPPORTED_SUFFIXES
