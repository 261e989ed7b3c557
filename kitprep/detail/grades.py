"""Grades a piece by its resolution at the printed size, and says how large it may be for each grade.

The thresholds are what an eye can resolve. Normal vision (20/20, 6/6, decimal 1.0) tells two details
apart that are one minute of arc apart: Snellen's letters subtend five minutes and their strokes one, and
ISO 8596 states acuity as one over the gap of a Landolt ring in minutes of arc. (Read in descriptions of
both that are open to all; the text of ISO 8596 itself was not at hand.) Seen from `d` inches, one minute
is 2 d tan(1/120 degree) inches wide, and a pixel of that width is just not seen:

    ppi = 1 / (2 d tan(1/120 degree))

The three distances (12 in: in the hand; 18 in: arm's length; 24 in: across a table) are kitprep's choice.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from types import MappingProxyType

from kitprep.errors import BadOption
from kitprep.lengths import EMU_PER_INCH, Length, Size, Unit, inches, mm

CRISP_DISTANCE_IN = 12.0
FINE_DISTANCE_IN = 18.0
SOFT_DISTANCE_IN = 24.0


class Grade(Enum):
    """The word a person reads; the value is that word. Listed from best to worst."""

    CRISP = "crisp"
    FINE = "fine"
    SOFT = "soft"
    BLURRY = "blurry"


def ppi_for_distance(distance_in: float) -> float:
    """The resolution at which one pixel is one minute of arc wide.

    Parameters
    ----------
    distance_in : float
        From the eye to the paper, in inches.

    Returns
    -------
    float
        Pixels per inch.

    Examples
    --------
    >>> [round(ppi_for_distance(d)) for d in (12, 18, 24)]
    [286, 191, 143]
    """
    return 1 / (2 * distance_in * math.tan(math.radians(1 / 120)))


@dataclass(frozen=True, slots=True)
class Thresholds:
    """The least resolution of each grade, in pixels per inch; below `soft` is blurry.

    Raises
    ------
    BadOption
        If they do not fall from crisp to soft, or one is not above zero.
    """

    crisp: float = ppi_for_distance(CRISP_DISTANCE_IN)
    fine: float = ppi_for_distance(FINE_DISTANCE_IN)
    soft: float = ppi_for_distance(SOFT_DISTANCE_IN)

    def __post_init__(self) -> None:
        if not self.crisp > self.fine > self.soft > 0:
            given = f"{self.crisp:g}, {self.fine:g}, {self.soft:g}"
            raise BadOption("thresholds", given, "three falling numbers of pixels per inch above zero")

    @property
    def least(self) -> Mapping[Grade, float]:
        """The least resolution of each grade that has one, best first."""
        return {Grade.CRISP: self.crisp, Grade.FINE: self.fine, Grade.SOFT: self.soft}

    def grade(self, ppi: float) -> Grade:
        """The grade of a resolution in pixels per inch."""
        return next((grade for grade, least in self.least.items() if ppi >= least), Grade.BLURRY)


ONE_ARCMINUTE = Thresholds()
"""The thresholds of the formula above, to its full precision."""


@dataclass(frozen=True, slots=True)
class Detail:
    """What is known of a piece's sharpness at a printed size.

    Parameters
    ----------
    printed : Size
        The finished size that was asked about.
    ppi : float
        Picture pixels per printed inch, in the direction that has fewer.
    ppi_x, ppi_y : float
        The same across and down; they differ where the picture is stretched.
    detail : float or None
        The share of that resolution that is real, 0 to 1; None where it cannot be told.
    detail_ppi : float or None
        `ppi` times `detail`.
    grade : Grade
        By `detail_ppi` where that is known, else by `ppi`.
    largest : mapping of Grade to Size
        For crisp, fine and soft: the largest size of the same proportions that still has that grade, exact
        to the EMU. `rounded_down` makes it a size that people can measure.
    """

    printed: Size
    ppi: float
    ppi_x: float
    ppi_y: float
    detail: float | None
    detail_ppi: float | None
    grade: Grade
    largest: Mapping[Grade, Size]


def check(
    straight_px: tuple[float, float],
    printed: Size,
    shown_px: tuple[float, float] | None = None,
    detail: float | None = None,
    thresholds: Thresholds = ONE_ARCMINUTE,
) -> Detail:
    """Grade a piece at a printed size.

    Parameters
    ----------
    straight_px : tuple of float
        Width and height of the whole element in pixels, once straight.
    printed : Size
        The finished size.
    shown_px : tuple of float or None
        The part of those pixels that lies on the finished size, where some are cropped; None for all.
    detail : float or None
        The measured share of real resolution, above 0 to 1; None where it was not or cannot be told.
    thresholds : Thresholds
        The least resolution of each grade.

    Returns
    -------
    Detail
    """
    across, down = shown_px or straight_px
    ppi_x, ppi_y = _ppi(across, printed.width), _ppi(down, printed.height)
    share = Fraction(1) if detail is None else Fraction(detail)
    lesser = min(ppi_x, ppi_y)
    largest = {grade: _scaled_down(printed, lesser * share / Fraction(least))
               for grade, least in thresholds.least.items()}  # fmt: skip
    return Detail(
        printed=printed,
        ppi=float(lesser),
        ppi_x=float(ppi_x),
        ppi_y=float(ppi_y),
        detail=detail,
        detail_ppi=None if detail is None else float(lesser * share),
        grade=thresholds.grade(float(lesser * share)),
        largest=MappingProxyType(largest),
    )


def largest_size(
    pixels: tuple[float, float],
    least_ppi: float,
    proportions: Size | None = None,
    detail: float | None = None,
) -> Size:
    """The largest size that a picture can be printed at with a resolution.

    Parameters
    ----------
    pixels : tuple of float
        Width and height that the picture has.
    least_ppi : float
        Pixels per inch that must be reached in both directions.
    proportions : Size or None
        A shape to be covered by the picture: what sticks out is cropped and does not count. None for the
        picture's own proportions.
    detail : float or None
        The share of real resolution; None counts every pixel.

    Returns
    -------
    Size
        Exact, rounded down to whole EMU.

    Examples
    --------
    >>> largest_size((900, 1500), 300).text()
    '3 x 5 in'
    >>> largest_size((900, 1500), 300, proportions=Size(inches(2), inches(2))).text()
    '3 x 3 in'
    """
    share = Fraction(1) if detail is None else Fraction(detail)
    across, down = (Fraction(side) * EMU_PER_INCH * share / Fraction(least_ppi) for side in pixels)
    if proportions is None:
        return Size(Length(math.floor(across)), Length(math.floor(down)))
    return _scaled_down(proportions, min(across / proportions.width.emu, down / proportions.height.emu))


def rounded_down(size: Size, unit: Unit = Unit.INCH) -> Size:
    """A size as a person can measure it: both sides down to the sixteenth of an inch or the millimetre.

    A side smaller than that is left as it is.

    Examples
    --------
    >>> rounded_down(Size(inches("1.49"), inches("2.01"))).text()
    '1 7/16 x 2 in'
    """
    step = inches("1/16") if unit is Unit.INCH else mm(1)
    width, height = (
        Length(side.emu - side.emu % step.emu) if side > step else side for side in (size.width, size.height)
    )
    return Size(width, height)


def _ppi(pixels: float, length: Length) -> Fraction:
    return Fraction(pixels) * EMU_PER_INCH / length.emu


def _scaled_down(size: Size, by: Fraction) -> Size:
    return Size(Length(math.floor(size.width.emu * by)), Length(math.floor(size.height.emu * by)))
