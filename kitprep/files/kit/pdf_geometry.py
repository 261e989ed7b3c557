"""Where a PDF page lies: its boxes, its turning, its units, and the pixel grid kitprep lays over it.

ISO 32000-1: the visible page is the CropBox cut to the MediaBox (14.11.2), both inherited (7.7.3.4); /Rotate
turns it clockwise by quarters; /UserUnit is the size of a unit in 1/72 in (7.7.3.3, table 30). User space
has y up; the upright page's pixels have y down from its top left corner.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import TYPE_CHECKING, Any

from kitprep.errors import DamagedPdf, PageTooLarge, PictureTooLarge
from kitprep.files.kit.limits import MAX_MEGAPIXELS, MAX_PDF_INCHES, too_many_pixels
from kitprep.pages import Affine

if TYPE_CHECKING:
    import pikepdf

UNITS_PER_INCH = 72.0
SNAP_PPI = 0.02  # a PDF's decimals; on the longest side of a page at 600 this is a quarter of a pixel
# What values of the wrong type or number raise on their way through a reader of pages.
MALFORMED = (TypeError, ValueError, LookupError, AttributeError, ArithmeticError)
COARSEST_GRID_PPI, FINEST_GRID_PPI = 300.0, 600.0


@dataclass(frozen=True, slots=True)
class PdfFrame:
    """What of user space a page shows, and how.

    Parameters
    ----------
    left, bottom, right, top : float
        The visible page, in units of user space.
    turned : int
        Clockwise turning in degrees: 0, 90, 180 or 270.
    unit_in : float
        Inches in a unit.
    """

    left: float
    bottom: float
    right: float
    top: float
    turned: int
    unit_in: float

    @property
    def size_in(self) -> tuple[float, float]:
        """Width and height of the upright page, in inches."""
        size = (self.right - self.left) * self.unit_in, (self.top - self.bottom) * self.unit_in
        return size if self.turned in (0, 180) else (size[1], size[0])

    def grid_px(self, ppi: float) -> tuple[int, int]:
        """Columns and rows of the upright page at a resolution."""
        width, height = self.size_in
        return max(1, round(width * ppi)), max(1, round(height * ppi))

    def to_page(self, ppi: float) -> Affine:
        """The map from user space to pixels of the upright page."""
        scale = ppi * self.unit_in
        match self.turned:
            case 90:
                return Affine(0, scale, scale, 0, -self.bottom * scale, -self.left * scale)
            case 180:
                return Affine(-scale, 0, 0, scale, self.right * scale, -self.bottom * scale)
            case 270:
                return Affine(0, -scale, -scale, 0, self.top * scale, self.right * scale)
            case _:
                return Affine(scale, 0, 0, -scale, -self.left * scale, self.top * scale)


def frame_of(page: pikepdf.Page, name: str, number: int) -> PdfFrame:
    """What a page shows.

    Parameters
    ----------
    page : pikepdf.Page
        The page.
    name : str
        The file, for errors.
    number : int
        The page's number, from 1, for errors.

    Raises
    ------
    DamagedPdf
        If its boxes or units make no sense.
    PageTooLarge
        If it is over 200 in wide or tall.
    """
    try:
        frame = _frame(page, name, number)
    except MALFORMED as fault:
        raise DamagedPdf(name, f"the size of page {number} is not as the standard has it") from fault
    longest = max(frame.size_in)
    if longest > MAX_PDF_INCHES:
        raise PageTooLarge(name, number, f"{longest:.4g} in", f"{MAX_PDF_INCHES} in")
    return frame


def _frame(page: pikepdf.Page, name: str, number: int) -> PdfFrame:
    media, crop = _box(page, "/MediaBox"), _box(page, "/CropBox")
    if media is None:
        raise DamagedPdf(name, f"page {number} has no size")
    if crop is not None:
        crop = (
            max(media[0], crop[0]),
            max(media[1], crop[1]),
            min(media[2], crop[2]),
            min(media[3], crop[3]),
        )
    left, bottom, right, top = crop if crop is not None and crop[0] < crop[2] and crop[1] < crop[3] else media
    return PdfFrame(left, bottom, right, top, _turned(page), _unit(page) / UNITS_PER_INCH)


def grid_ppi(finest: float) -> float:
    """The resolution of a page's grid, from that of its finest picture (0 where it has none)."""
    within = min(max(finest, COARSEST_GRID_PPI), FINEST_GRID_PPI)
    return float(round(within)) if abs(within - round(within)) <= SNAP_PPI else within


def check_grid(frame: PdfFrame, ppi: float, name: str) -> None:
    """Refuse a page whose grid has more pixels than kitprep takes in.

    Raises
    ------
    PictureTooLarge
        If it has.
    """
    grid = frame.grid_px(ppi)
    if too_many_pixels(*grid):
        raise PictureTooLarge(name, *grid, MAX_MEGAPIXELS)


def _inherited(page: pikepdf.Page, key: str) -> Any:
    """A value of the page or of the nearest page-tree node above it that has one."""
    node: Any = page.obj
    for _ in range(64):  # a tree deeper than this is a loop
        if key in node:
            return node[key]
        if "/Parent" not in node:
            return None
        node = node["/Parent"]
    return None


def _box(page: pikepdf.Page, key: str) -> tuple[float, float, float, float] | None:
    try:
        x0, y0, x1, y1 = (float(side) for side in _inherited(page, key))
    except (TypeError, ValueError):
        return None
    if not all(map(isfinite, (x0, y0, x1, y1))) or x0 == x1 or y0 == y1:
        return None
    return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)


def _turned(page: pikepdf.Page) -> int:
    try:
        degrees = int(_inherited(page, "/Rotate") or 0)
    except (TypeError, ValueError):
        return 0
    return degrees % 360 if degrees % 90 == 0 else 0


def _unit(page: pikepdf.Page) -> float:
    unit = float(page.obj.get("/UserUnit", 1))
    return unit if isfinite(unit) and unit > 0 else 1.0
