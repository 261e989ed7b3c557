"""What every PDF of kitprep carries: true-size printing, its makers, the meaning of its colours.

Keys by ISO 32000-1:2008: viewer preferences, table 150; page boundaries, 14.11.2; document information,
14.3.3; output intents, 14.11.5. The numbers were checked in public sources that quote the standard. No clock
and no random number goes in, so equal input gives equal bytes.
"""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from kitprep.files.srgb import srgb_profile
from kitprep.lengths import Size
from kitprep.papers import Flip

if TYPE_CHECKING:
    import pikepdf

_FIXED_IDENTIFIER = b"31415926535897932384626433832795"  # qpdf's `static_id`, in hexadecimal
_TAIL = 4096  # bytes at the end of a file among which its cross-reference dictionary lies
_SRGB = "sRGB IEC61966-2.1"


_DUPLEX = {Flip.LONG: "/DuplexFlipLongEdge", Flip.SHORT: "/DuplexFlipShortEdge"}


def finish(pdf: pikepdf.Pdf, *, title: str, author: str, flip: Flip | None = None) -> None:
    """Set a document's title, author, colours and the settings that a print dialog starts from.

    Parameters
    ----------
    pdf : pikepdf.Pdf
        The document, changed in place.
    title, author : str
        For its document information; left out where empty.
    flip : Flip or None
        The edge over which the paper is turned to print its back; None for one side.
    """
    import pikepdf

    for key in list(pdf.docinfo.keys()):
        del pdf.docinfo[key]
    for key, value in (
        ("/Title", title),
        ("/Author", author),
        ("/Creator", "kitprep"),
        ("/Producer", "kitprep"),
    ):
        if value:
            pdf.docinfo[key] = value
    pdf.Root.ViewerPreferences = pikepdf.Dictionary(
        PrintScaling=pikepdf.Name("/None"),
        PickTrayByPDFSize=True,
        DisplayDocTitle=bool(title),
    )
    if flip is not None:
        pdf.Root.ViewerPreferences.Duplex = pikepdf.Name(_DUPLEX[flip])
    pdf.Root.OutputIntents = pikepdf.Array([_srgb_intent(pdf)])


def set_page_boxes(page: pikepdf.Page, size: Size) -> None:
    """Make the paper, and with it trim and bleed of the page as a whole, exactly this size."""
    import pikepdf

    for key in ("/MediaBox", "/CropBox", "/BleedBox", "/TrimBox"):
        page.obj[key] = pikepdf.Array([0, 0, _points(size.width.points), _points(size.height.points)])


def save(pdf: pikepdf.Pdf, path: Path, *, identity: bytes) -> None:
    """Write the document, with a file identifier that depends on its content alone.

    qpdf can make such an identifier itself, but takes the MD5 of the whole file for it, which for 8 MB of
    pictures took three quarters of all the time of writing them. So it is asked for its fixed one, which is
    then overwritten: both parts alike, as ISO 32000-1, 14.4 has it for a file that is written first.

    Parameters
    ----------
    pdf : pikepdf.Pdf
        The document.
    path : Path
        Where to.
    identity : bytes
        What tells this document from others.
    """
    import pikepdf

    identifier = sha256(identity).digest()[: len(_FIXED_IDENTIFIER) // 2]
    pdf.trailer.ID = pikepdf.Array([pikepdf.String(identifier)] * 2)
    pdf.save(
        path,
        static_id=True,
        object_stream_mode=pikepdf.ObjectStreamMode.generate,
        compress_streams=True,
        stream_decode_level=pikepdf.StreamDecodeLevel.none,
    )
    _set_identifier(path, identifier.hex().encode("ascii"))


def _set_identifier(path: Path, identifier: bytes) -> None:
    with path.open("rb+") as file:
        start = max(0, path.stat().st_size - _TAIL)
        file.seek(start)
        at = file.read().rfind(_FIXED_IDENTIFIER)
        if at >= 0:
            file.seek(start + at)
            file.write(identifier)


def _srgb_intent(pdf: pikepdf.Pdf) -> pikepdf.Object:
    import pikepdf

    profile = pikepdf.Stream(pdf, srgb_profile())
    profile.N = 3
    return pdf.make_indirect(
        pikepdf.Dictionary(
            Type=pikepdf.Name("/OutputIntent"),
            S=pikepdf.Name("/GTS_PDFA1"),
            OutputConditionIdentifier=_SRGB,
            RegistryName="http://www.color.org",
            Info=_SRGB,
            DestOutputProfile=pdf.make_indirect(profile),
        )
    )


def _points(value: float) -> object:
    from decimal import Decimal

    return Decimal(f"{value:.6f}").normalize() if value % 1 else int(value)
