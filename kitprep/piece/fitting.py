"""Fits an element to a wanted size: which of its pixels land where on the finished piece.

A rectangular element is straightened by the map itself: the corners of its outline, which may lean, go
to the corners of an upright rectangle. A cut-out keeps its upright box and is never turned, so that its
own pixels can be used as they are. Nothing is resampled here.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from kitprep.errors import BadOption, BadSize
from kitprep.lengths import ZERO, Length, Size, WantedSize, inches
from kitprep.pages import Affine, Element, Outline, PagePpi
from kitprep.piece.wanted import Border, Fit, WantedPiece

LARGEST_SIDE = inches(48)  # the longest paper a desktop or wide-format printer is likely to hold
STRAIGHT_WITHIN_PX = 0.75  # corners that lean less than this are an upright box, read with a rounding error
DEFAULT_OUTPUT_PPI = 300.0  # just over crisp; the usual resolution of print pictures, no published source


@dataclass(frozen=True, slots=True)
class Fitting:
    """Which part of an element lies on the finished size, and how.

    Parameters
    ----------
    trim : Size
        The finished size.
    to_piece : Affine
        From page pixels to piece coordinates (PDF points from the top left of the trim).
    reach : tuple of float
        (left, top, right, bottom) in piece coordinates: how far the whole element reaches. Contains the
        trim; goes beyond it where the element was cropped.
    shown_px : tuple of float
        Width and height in straightened pixels of what lies on the trim.
    distortion : float
        0 where the proportions are kept; 0.02 where one direction is enlarged 2 % more than the other.
    cropped : tuple of float
        (left, top, right, bottom) as shares of the element: what of it lies on the trim.
    border : Border or None
        What lies around the picture within the trim.
    """

    trim: Size
    to_piece: Affine
    reach: tuple[float, float, float, float]
    shown_px: tuple[float, float]
    distortion: float
    cropped: tuple[float, float, float, float]
    border: Border | None = None

    @property
    def picture(self) -> Size:
        """The size of the picture: the trim without its border."""
        return self.trim if self.border is None else self.trim.grown(-self.border.width)

    @property
    def ppi(self) -> tuple[float, float]:
        """Picture pixels per printed inch, across and down."""
        return self.shown_px[0] / self.picture.width.inches, self.shown_px[1] / self.picture.height.inches


GuessFocus = Callable[[tuple[float, float]], tuple[float, float]]
"""Gives the focus for a crop of so much of the element, as shares across and down."""


def fit_element(
    element: Element, ppi: PagePpi, wanted: WantedPiece, guess_focus: GuessFocus | None = None
) -> Fitting:
    """Fit an element to the size wanted of it.

    Parameters
    ----------
    element : Element
    ppi : PagePpi
        Of its page; gives the element's natural proportions.
    wanted : WantedPiece
        Its size, fit and focus. Where only a width or a height is wanted, proportions are kept whatever
        the fit.
    guess_focus : callable or None
        Asked for the focus where none is wanted and the element is cropped; None for the middle.

    Returns
    -------
    Fitting

    Raises
    ------
    BadSize
        If a side is over 48 in.
    BadOption
        If the focus lies outside the picture, or a border is wanted around a rectangle.
    """
    _refuse_the_impossible(wanted, element)
    origin, across, down = _frame(element)
    width_px, height_px = math.hypot(*across), math.hypot(*down)
    natural = (Fraction(width_px) / Fraction(ppi.x), Fraction(height_px) / Fraction(ppi.y))
    picture = _trim(natural, wanted.size, wanted.fit)
    proportion = natural[0] / natural[1]
    covers = wanted.fit is Fit.COVER and wanted.size.width is not None and wanted.size.height is not None
    share = _crop_share(proportion, picture) if covers else (Fraction(1), Fraction(1))
    focus = wanted.focus
    if focus is None and guess_focus is not None and min(share) < 1:
        focus = guess_focus((float(share[0]), float(share[1])))
    cropped = _crop(share, focus)
    around = wanted.border.width if wanted.border else ZERO
    on_piece = _unit_to_piece(cropped, picture).then(Affine(1.0, 0.0, 0.0, 1.0, around.points, around.points))
    (left, top), (right, bottom) = (on_piece(*corner) for corner in ((0, 0), (1, 1)))
    return Fitting(
        trim=picture.grown(around),
        to_piece=_to_unit(origin, across, down).then(on_piece),
        reach=(left, top, right, bottom),
        shown_px=(float(share[0]) * width_px, float(share[1]) * height_px),
        distortion=_distortion(natural, share, picture),
        cropped=cropped,
        border=wanted.border,
    )


def output_pixels(fitting: Fitting, ppi: float | None = None) -> tuple[tuple[int, int], tuple[float, float]]:
    """How many pixels a picture file of a fitted element gets, and the resolution it records.

    Without a wish, the picture keeps the pixels it has and is only shrunk where that is more than 300
    pixels per inch; a resolution that is asked for is made, also by enlarging.

    Parameters
    ----------
    fitting : Fitting
    ppi : float or None
        Pixels per inch asked for; None for the rule above.

    Returns
    -------
    size_px : tuple of int
        Width and height of the trim, at least 1 each.
    resolution : tuple of float
        Pixels per inch across and down at which those pixels are exactly the trim.
    """
    inches_wide, inches_high = fitting.trim.width.inches, fitting.trim.height.inches
    across, down = inches_wide * fitting.ppi[0], inches_high * fitting.ppi[1]
    if ppi is not None or max(fitting.ppi) > DEFAULT_OUTPUT_PPI:
        target = ppi if ppi is not None else DEFAULT_OUTPUT_PPI
        across = inches_wide * (target if ppi is not None else min(target, fitting.ppi[0]))
        down = inches_high * (target if ppi is not None else min(target, fitting.ppi[1]))
    size_px = max(round(across), 1), max(round(down), 1)
    return size_px, (size_px[0] / inches_wide, size_px[1] / inches_high)


def _refuse_the_impossible(wanted: WantedPiece, element: Element) -> None:
    if wanted.border is not None and element.rectangular:
        width = wanted.border.width.text(wanted.size.unit)
        raise BadOption("border", width, "one to a cut-out only: a rectangle has a mat below it instead")
    if any(side is not None and side > LARGEST_SIDE for side in (wanted.size.width, wanted.size.height)):
        raise BadSize(wanted.size.text(), f"is over {LARGEST_SIDE.text(wanted.size.unit)}")
    if wanted.focus is not None and not all(0 <= share <= 1 for share in wanted.focus):
        given = ", ".join(f"{share:g}" for share in wanted.focus)
        raise BadOption("focus", given, "two shares of the picture from 0 to 1, such as 0.5, 0.4")


_Vector = tuple[float, float]


def _frame(element: Element) -> tuple[_Vector, _Vector, _Vector]:
    """The element's top left corner and its top and left edges, in page pixels.

    Four corners that are not quite a parallelogram give the nearest one by least squares: opposite edges
    are averaged, about the common middle.
    """
    corners = element.outline if element.rectangular else element.box.corners
    if len(corners) != 4:
        corners = _leaning_box(corners, element.angle_deg)
    if _is_upright(corners):
        corners = _upright(corners)
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = corners
    across = ((x1 - x0 + x2 - x3) / 2, (y1 - y0 + y2 - y3) / 2)
    down = ((x3 - x0 + x2 - x1) / 2, (y3 - y0 + y2 - y1) / 2)
    middle = ((x0 + x1 + x2 + x3) / 4, (y0 + y1 + y2 + y3) / 4)
    origin = (middle[0] - (across[0] + down[0]) / 2, middle[1] - (across[1] + down[1]) / 2)
    return origin, across, down


def _is_upright(corners: Outline) -> bool:
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = corners
    lean = max(abs(y1 - y0), abs(y2 - y3), abs(x3 - x0), abs(x2 - x1))
    return lean < STRAIGHT_WITHIN_PX and x1 > x0 and y3 > y0


def _upright(corners: Outline) -> Outline:
    xs, ys = sorted(x for x, _ in corners), sorted(y for _, y in corners)
    left, right, top, bottom = (sum(pair) / 2 for pair in (xs[:2], xs[2:], ys[:2], ys[2:]))
    return ((left, top), (right, top), (right, bottom), (left, bottom))


def _leaning_box(outline: Outline, angle_deg: float) -> Outline:
    """The rectangle that leans by an angle and just holds an outline."""
    cos, sin = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    turned = [(x * cos + y * sin, y * cos - x * sin) for x, y in outline]
    left, right = min(x for x, _ in turned), max(x for x, _ in turned)
    top, bottom = min(y for _, y in turned), max(y for _, y in turned)
    box = ((left, top), (right, top), (right, bottom), (left, bottom))
    return tuple((x * cos - y * sin, x * sin + y * cos) for x, y in box)


def _trim(natural: tuple[Fraction, Fraction], size: WantedSize, fit: Fit) -> Size:
    width, height = size.width, size.height
    proportion = natural[0] / natural[1]
    if width is None or height is None:
        assert width is not None or height is not None
        if width is None and height is not None:
            return Size(_at_least_one(height.emu * proportion), height)
        assert width is not None
        return Size(width, _at_least_one(width.emu / proportion))
    if fit is not Fit.INSIDE:
        return Size(width, height)
    if width / height > proportion:
        return Size(_at_least_one(math.floor(height.emu * proportion)), height)
    return Size(width, _at_least_one(math.floor(width.emu / proportion)))


def _at_least_one(emu: Fraction | int) -> Length:
    return Length(max(round(emu), 1))


def _crop_share(proportion: Fraction, trim: Size) -> tuple[Fraction, Fraction]:
    wanted = trim.proportion
    return (wanted / proportion, Fraction(1)) if wanted < proportion else (Fraction(1), proportion / wanted)


def _crop(
    share: tuple[Fraction, Fraction], focus: tuple[float, float] | None
) -> tuple[float, float, float, float]:
    """The crop around the focus, moved as little as needed to lie within the element."""
    (wide, high), (x, y) = share, focus or (0.5, 0.5)
    left = min(max(Fraction(x) - wide / 2, Fraction(0)), 1 - wide)
    top = min(max(Fraction(y) - high / 2, Fraction(0)), 1 - high)
    return float(left), float(top), float(left + wide), float(top + high)


def _to_unit(origin: _Vector, across: _Vector, down: _Vector) -> Affine:
    return Affine(across[0], across[1], down[0], down[1], origin[0], origin[1]).inverse


def _unit_to_piece(cropped: tuple[float, float, float, float], trim: Size) -> Affine:
    left, top, right, bottom = cropped
    across, down = trim.width.points / (right - left), trim.height.points / (bottom - top)
    return Affine(across, 0.0, 0.0, down, -left * across, -top * down)


def _distortion(natural: tuple[Fraction, Fraction], share: tuple[Fraction, Fraction], trim: Size) -> float:
    across = trim.width.emu / (natural[0] * share[0])
    down = trim.height.emu / (natural[1] * share[1])
    ratio = float(max(across, down) / min(across, down)) - 1
    return ratio if ratio > 1e-4 else 0.0  # less than a pixel on the largest page: rounding, no distortion
