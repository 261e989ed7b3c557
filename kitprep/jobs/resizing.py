"""One element as one picture file of a physical size."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from kitprep.errors import BadOption
from kitprep.files.shelf import Shelf, shelf_folder
from kitprep.jobs.checking import Checked, check_pieces
from kitprep.jobs.findings import Enlarged, Finding
from kitprep.jobs.pixels import PageReader, page_id
from kitprep.lengths import ZERO, Length, Size, WantedSize
from kitprep.piece.fitting import output_pixels
from kitprep.piece.wanted import Border, Fit, WantedPiece

if TYPE_CHECKING:
    from kitprep.files.kit import FullPixels

ENDINGS = (".png", ".jpg", ".jpeg", ".tif", ".tiff")
MOST_PIXELS = 250_000_000  # of a picture file: as many as a page may have that is brought in
MOST_PPI = 2400.0  # of a picture file; printers place dots finer, pictures are not seen finer


@dataclass(frozen=True, slots=True)
class Resized:
    """A picture file and how it was made.

    Parameters
    ----------
    checked : Checked
        The element, its fitting, its grade at that size.
    path : Path
        The file.
    size_px : tuple of int
        Width and height of the file in pixels, bleed included.
    ppi : tuple of float
        The resolution written into it, across and down.
    size : Size
        What it measures in print, bleed included.
    findings : tuple of Finding
        What a person should know.
    bits : int
        To a colour: 8, or 16 where the page has them and the file can hold them.
    """

    checked: Checked
    path: Path
    size_px: tuple[int, int]
    ppi: tuple[float, float]
    size: Size
    findings: tuple[Finding, ...]
    bits: int = 8


def resize_element(
    element: str,
    size: WantedSize,
    path: Path,
    *,
    fit: Fit = Fit.COVER,
    focus: tuple[float, float] | None = None,
    bleed: Length = ZERO,
    border: Border | None = None,
    ppi: float | None = None,
    overwrite: bool = False,
    shelf: Path | None = None,
) -> Resized:
    """Write an element as a picture that is exactly a size when printed at its recorded resolution.

    A picture file of sixteen bits stays one, in its own colours and with its profile, where the new file is a
    PNG or a TIFF. A border is told in sRGB, so around colours of another profile it is laid in eight bits.

    Parameters
    ----------
    element : str
        Its id.
    size : WantedSize
        Width, height or both.
    path : Path
        A name that ends in .png, .jpg or .tif; a JPEG has no transparency.
    fit : Fit
        How it fills a size of other proportions.
    focus : tuple of float or None
        What to keep in view when covering, as shares across and down; None for where the detail lies.
    bleed : Length
        Picture beyond the size on every side.
    border : Border or None
        Around a cut-out, outside its size.
    ppi : float or None
        Resolution of the file; None for the element's own pixels, reduced where they are more than 300
        to the inch.
    overwrite : bool
        Whether a file of that name may be replaced.
    shelf : Path or None
        The shelf's folder; None for the usual one.

    Raises
    ------
    NotFound
        If there is no such element.
    BadOption, BadSize
        If the name's ending, the resolution, the focus or the size cannot be used, or make too many pixels.
    OutputExists, CannotWrite
        If the file is there and may not be replaced, or cannot be written.
    """
    from kitprep.files.icc_curve import light_of_profile
    from kitprep.files.pictures import write_picture
    from kitprep.piece import make_artwork, render_piece

    if path.suffix.lower() not in ENDINGS:
        raise BadOption("-o", path.name, f"a name that ends in {', '.join(ENDINGS)}")
    if ppi is not None and not 1 <= ppi <= MOST_PPI:
        raise BadOption("--ppi", f"{ppi:g}", f"pixels per inch from 1 to {MOST_PPI:.0f}")
    if bleed < ZERO:
        raise BadOption("--bleed", bleed.text(), "a length of zero or more")
    here = Shelf(shelf_folder(shelf))
    wanted = WantedPiece(here.find(element).id, size, fit=fit, focus=focus, bleed=bleed, border=border)
    reader = PageReader(here)
    checked = check_pieces(here, [wanted], reader)[0]
    ref, fitting = checked.ref, checked.fitting
    _, resolution = output_pixels(fitting, ppi)
    whole = fitting.trim.grown(bleed)
    size_px = (
        max(1, round(whole.width.pixels(resolution[0]))),
        max(1, round(whole.height.pixels(resolution[1]))),
    )
    if size_px[0] * size_px[1] > MOST_PIXELS:
        largest = math.floor(resolution[0] * math.sqrt(MOST_PIXELS / (size_px[0] * size_px[1])))
        raise BadOption("--ppi", f"{resolution[0]:.0f}", f"{largest} or less for {whole.text(size.unit)}")
    # Whole pixels seldom make up a size exactly, so the resolution recorded is the one at which they do.
    exact = size_px[0] / whole.width.inches, size_px[1] / whole.height.inches
    full = _all_bits(checked, path, reader)
    read = full.read if full else lambda box: reader.read(ref.kit, ref.page, box)
    artwork = make_artwork(ref.element, ref.page, page_id(ref), fitting, bleed, read, keep_all_pixels=True)
    icc = full.icc if full else None
    pixels = render_piece(artwork, size_px, read, light_of_profile(icc) if icc else None)
    grey = full is not None and full.grey and (border is None or len(set(border.colour)) == 1)
    write_picture(pixels, exact, path, icc=icc, grey=grey, overwrite=overwrite)
    factor = max(exact[0] / fitting.ppi[0], exact[1] / fitting.ppi[1])
    findings = checked.findings if factor < 1.01 else (*checked.findings, Enlarged(ref.id, factor))
    return Resized(checked, path, size_px, exact, whole, findings, 16 if full else 8)


def _all_bits(checked: Checked, path: Path, reader: PageReader) -> FullPixels | None:
    """The page's pixels where they have sixteen bits and can keep them."""
    from kitprep.files.pictures import SIXTEEN_BIT_ENDINGS

    if path.suffix.lower() not in SIXTEEN_BIT_ENDINGS:
        return None
    full = reader.full(checked.ref.kit, checked.ref.page)
    return None if full is None or (full.icc and checked.wanted.border) else full
