"""What a kit, a page of it, and an element on that page are.

Page pixels have their origin at the page's top left corner, x to the right, y down, on the page as it
stands upright (after any EXIF orientation or /Rotate). A box is half-open: its right column and bottom
row are the first ones outside. Outlines are polygons in the same pixels; the point (0, 0) is the corner
of the first pixel, not its middle.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum
from typing import TYPE_CHECKING

from kitprep.lengths import Size, from_pixels

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

UNSURE = 0.6
"""A confidence below this is shown as such: about where a person would look twice (by eye)."""

Point = tuple[float, float]
Outline = tuple[Point, ...]
"""A closed polygon in page pixels, clockwise on the screen; the last point joins the first."""


class PpiSource(Enum):
    """Where a page's resolution comes from."""

    FILE = "file"
    PAGE_SIZE = "page size"
    GIVEN = "given"
    ASSUMED = "assumed"


@dataclass(frozen=True, slots=True)
class PagePpi:
    """Pixels per inch of a page across and down, and how they are known."""

    x: float
    y: float
    source: PpiSource


@dataclass(frozen=True, slots=True)
class PixelBox:
    """A half-open rectangle of page pixels."""

    left: int
    top: int
    right: int
    bottom: int

    @property
    def width(self) -> int:
        """Columns."""
        return self.right - self.left

    @property
    def height(self) -> int:
        """Rows."""
        return self.bottom - self.top

    @property
    def corners(self) -> Outline:
        """The four corners, clockwise from the top left."""
        left, top, right, bottom = float(self.left), float(self.top), float(self.right), float(self.bottom)
        return ((left, top), (right, top), (right, bottom), (left, bottom))

    def contains(self, other: PixelBox) -> bool:
        """Whether `other` lies within this box, edges included."""
        return (
            self.left <= other.left
            and self.top <= other.top
            and other.right <= self.right
            and other.bottom <= self.bottom
        )

    def grown(self, by: int) -> PixelBox:
        """The box with `by` pixels added on every side."""
        return PixelBox(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def clipped(self, to: PixelBox) -> PixelBox:
        """The part of the box that lies in `to`; of no area where they do not meet."""
        left, top = min(max(self.left, to.left), to.right), min(max(self.top, to.top), to.bottom)
        return PixelBox(
            left, top, max(min(self.right, to.right), left), max(min(self.bottom, to.bottom), top)
        )


class Kind(Enum):
    """What an element is."""

    PAPER = "paper"
    CARD = "card"
    TAG = "tag"
    STAMP = "stamp"
    LABEL = "label"
    STRIP = "strip"
    FIGURE = "figure"
    WORDS = "words"
    OTHER = "other"


@dataclass(frozen=True, slots=True)
class Element:
    """One thing on a page that a person would cut out.

    Parameters
    ----------
    number : int
        Counted on its page from 1, in reading order.
    box : PixelBox
        The upright box around the outline.
    outline : Outline
        The edge. A rectangular element has four corners, from the one that is top left when the
        element stands straight, clockwise.
    angle_deg : float
        How far the element leans clockwise on the page; turning it back by this makes it straight.
    kind : Kind
        What it is.
    rectangular : bool
        Whether it is a (leaning) rectangle; else it is a cut-out that keeps its own edge.
    holes : tuple of Outline
        Openings inside the outline.
    confidence : float
        0 to 1: how sure the split is of this element.
    words : tuple of str
        Words a person added to find it by.
    by_hand : bool
        Whether a person made or corrected it.
    unwanted : bool
        Whether it is likely not wanted, such as a maker's line at the foot of a page.
    """

    number: int
    box: PixelBox
    outline: Outline
    angle_deg: float
    kind: Kind
    rectangular: bool
    holes: tuple[Outline, ...] = ()
    confidence: float = 1.0
    words: tuple[str, ...] = ()
    by_hand: bool = False
    unwanted: bool = False

    @property
    def straight_size_px(self) -> tuple[float, float]:
        """Width and height in pixels once the element stands straight."""
        if not self.rectangular:
            return float(self.box.width), float(self.box.height)
        (x0, y0), (x1, y1), (x2, y2), (x3, y3) = self.outline
        across = (_distance(x0, y0, x1, y1) + _distance(x3, y3, x2, y2)) / 2
        down = (_distance(x0, y0, x3, y3) + _distance(x1, y1, x2, y2)) / 2
        return across, down

    def size(self, ppi: PagePpi) -> Size:
        """The printed size at the page's own resolution, once straight."""
        across, down = self.straight_size_px
        return Size(from_pixels(across, ppi.x), from_pixels(down, ppi.y))


def _distance(x0: float, y0: float, x1: float, y1: float) -> float:
    return float(((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5)


@dataclass(frozen=True, slots=True)
class Gone:
    """What was once on a page's list, remembered for when the page is split again.

    Parameters
    ----------
    number : int
        The number it had; the same thing has it again if it comes back.
    outline : Outline
        Its edge.
    dropped : bool
        Whether a person dropped it, so that it is not to come back.
    """

    number: int
    outline: Outline
    dropped: bool


class PageKind(Enum):
    """How a page's pixels are had from its original."""

    PICTURE = "picture"
    """One picture file, or one frame of it."""
    PLACED = "placed pictures"
    """A PDF page of placed pictures, whose own pixels are used."""
    RENDERED = "rendered"
    """A PDF page that also has drawings or text, rendered whole."""


@dataclass(frozen=True, slots=True)
class Page:
    """One page of a kit.

    Parameters
    ----------
    number : int
        Counted in the kit from 1.
    file : str
        The original it comes from, as a path inside the kit's originals with forward slashes.
    frame : int
        Which page or frame of that file, from 0.
    size_px : tuple of int
        Width and height in pixels, upright.
    ppi : PagePpi
        Its resolution.
    kind : PageKind
        How its pixels are had.
    has_alpha : bool
        Whether it is transparent in places.
    elements : tuple of Element
        What was found on it.
    numbers_used : int
        The highest element number ever given on it, so that the number of an element that is gone
        never comes back for another.
    gone : tuple of Gone
        What was once on its list.
    """

    number: int
    file: str
    frame: int
    size_px: tuple[int, int]
    ppi: PagePpi
    kind: PageKind
    has_alpha: bool
    elements: tuple[Element, ...] = ()
    numbers_used: int = 0
    gone: tuple[Gone, ...] = ()

    @property
    def name(self) -> str:
        """As people write it: ``p01``."""
        return f"p{self.number:02d}"

    @property
    def size(self) -> Size:
        """Its printed size at its own resolution."""
        return Size(from_pixels(self.size_px[0], self.ppi.x), from_pixels(self.size_px[1], self.ppi.y))

    @property
    def box(self) -> PixelBox:
        """All of its pixels."""
        return PixelBox(0, 0, *self.size_px)

    @property
    def next_number(self) -> int:
        """The number for a new element on it."""
        return max([self.numbers_used, *(element.number for element in self.elements)]) + 1


@dataclass(frozen=True, slots=True)
class Original:
    """One file as it was bought.

    Parameters
    ----------
    file : str
        Its path inside the kit's originals, with forward slashes.
    sha256 : str
        Its SHA-256 digest (FIPS 180-4) in lower-case hexadecimal.
    length : int
        How many bytes.
    """

    file: str
    sha256: str
    length: int


@dataclass(frozen=True, slots=True)
class Kit:
    """What was bought: pages from one maker under one set of terms.

    Parameters
    ----------
    slug : str
        Its name in ids and folders: lower case letters, digits and hyphens.
    name : str
        Its name for people.
    maker : str
        Who made it; empty where not recorded.
    terms : str
        The terms of use, whole; empty where not recorded.
    pages : tuple of Page
        In order.
    source : str
        The name of what was imported, such as ``lantern-orchard.zip``.
    imported : str
        When, as ISO 8601 text with its offset from UTC.
    terms_file : str
        The original that the terms were read from; empty where they were given otherwise.
    originals : tuple of Original
        Every file that was bought, in order of path.
    password : str
        What opens its locked PDFs, kept so that their pages can be read again later; empty where none is.
    """

    slug: str
    name: str
    maker: str
    terms: str
    pages: tuple[Page, ...]
    source: str = ""
    imported: str = ""
    terms_file: str = ""
    originals: tuple[Original, ...] = ()
    password: str = ""


@dataclass(frozen=True, slots=True)
class KnownBox:
    """Where a page's file says that something lies.

    Parameters
    ----------
    box : PixelBox
        On the page. Exact, but for that of a drawing, which may be too large where lines are curved.
    is_drawing : bool
        Whether lines and fills lie here, of which the file does not say that they are one thing.
    cover : ndarray or None
        Of a cut-out: how opaque it is, uint8, shape (rows, cols), stretched over the box. A picture without
        fills its box.
    """

    box: PixelBox
    is_drawing: bool = False
    cover: NDArray[np.uint8] | None = field(default=None, compare=False, repr=False)


@dataclass(frozen=True, slots=True, eq=False)
class Raster:
    """Pixels of a whole page, perhaps reduced, for looking and measuring.

    Parameters
    ----------
    pixels : ndarray
        uint8, shape (rows, cols, 3) sRGB, or (rows, cols, 4) sRGB with straight alpha.
    page_px : tuple of int
        Width and height of the page at full scale.
    """

    pixels: NDArray[np.uint8]
    page_px: tuple[int, int]

    @property
    def scale(self) -> tuple[float, float]:
        """Page pixels per raster pixel, across and down (1.0 at full scale)."""
        rows, cols = self.pixels.shape[:2]
        return self.page_px[0] / cols, self.page_px[1] / rows


@dataclass(frozen=True, slots=True)
class Affine:
    """A map of points: x' = a x + c y + e, y' = b x + d y + f (the order of PDF, ISO 32000-1, 8.3.3)."""

    a: float
    b: float
    c: float
    d: float
    e: float
    f: float

    def __call__(self, x: float, y: float) -> Point:
        return self.a * x + self.c * y + self.e, self.b * x + self.d * y + self.f

    def then(self, after: Affine) -> Affine:
        """The map that does this one first, then `after`."""
        return Affine(
            after.a * self.a + after.c * self.b,
            after.b * self.a + after.d * self.b,
            after.a * self.c + after.c * self.d,
            after.b * self.c + after.d * self.d,
            after.a * self.e + after.c * self.f + after.e,
            after.b * self.e + after.d * self.f + after.f,
        )

    @property
    def inverse(self) -> Affine:
        """The map back."""
        det = self.a * self.d - self.b * self.c
        a, b, c, d = self.d / det, -self.b / det, -self.c / det, self.a / det
        return Affine(a, b, c, d, -(a * self.e + c * self.f), -(b * self.e + d * self.f))


IDENTITY = Affine(1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
