"""Connected regions of a page that are not background, holes filled, each with what tells parts from wholes.

A *part* is a region that is all thin strokes or too small to be cut out by itself: a letter, a dot of a
dotted frame, a leaf. Everything else is *solid*.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.split.background import MOST_THRESHOLD
from kitprep.split.working import Working

RIPPLES = 0.06  # in; how far JPEG's ripples reach: one block of 16 pixels at 300 per inch
RIPPLE_HEIGHT = 0.14  # of the strong edge beside them
FAINT_RIPPLE_HEIGHT = 0.02  # the same of what is broad, as the shaded edge of a tag is
BROAD = 0.2  # in; what this square fits into is no ripple, nor a dot with ripples around it
RAISE, RAISED_AT_MOST = 1.3, 5  # times the threshold; how often
MOST_SPECKS = 2e-4  # of a page's pixels
MOST_LEFT_OUT = 2e-3  # the same at the threshold that is not raised
SPECK = 0.022  # in; a region smaller than this both ways is dirt or noise
THIN = 0.10  # in; greatest half-width of a stroke of large lettering
FLAG_FILL = 0.62  # of its box; a small thing that fills less is a part too, such as a triangle
SLIVER = 0.1  # in; narrower things are lines or the edge of something else
SMALL_AREA, SMALL_SIDE = 0.11, 0.8  # sq in, in; a region smaller than this is a part, as a flag of bunting is
LARGEST_LETTER = 0.9  # in
MOST_REGIONS = 1_000  # more are a texture, not things to cut out


@dataclass(frozen=True, slots=True, eq=False)
class Region:
    """A connected region in working pixels.

    Parameters
    ----------
    left, top, right, bottom : int
        Its half-open box.
    mask : ndarray
        uint8 0 or 255, shape (bottom - top, right - left), holes filled.
    parts : int
        How many connected regions it was joined from.
    is_part : bool
        Whether it is a letter, dot or leaf rather than something solid.
    held : tuple of bool
        Top, right, bottom, left: whether that side is a seam to another paper or the page's own edge,
        so that no background lies beyond it.
    """

    left: int
    top: int
    right: int
    bottom: int
    mask: NDArray[Any]
    parts: int = 1
    is_part: bool = False
    held: tuple[bool, bool, bool, bool] = (False, False, False, False)

    @property
    def width(self) -> int:
        """Columns."""
        return self.right - self.left

    @property
    def height(self) -> int:
        """Rows."""
        return self.bottom - self.top

    @property
    def area(self) -> int:
        """Pixels of the mask."""
        return int(cv2.countNonZero(self.mask))

    @property
    def fill(self) -> float:
        """Share of the box that the mask fills."""
        return self.area / (self.width * self.height)


def foreground(distance: NDArray[Any], threshold: float, page: Working) -> NDArray[Any]:
    """Where a page is not background: uint8 0 or 255.

    JPEG leaves ripples around strong edges. Pixels that are weak next to strong ones count only where
    they fill a square of three, as the pale border of a stamp does and ripples do not.
    """
    mask = cv2.threshold(distance, threshold, 255, cv2.THRESH_BINARY)[1]
    firm = cv2.morphologyEx(mask, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    return cv2.bitwise_and(mask, cv2.bitwise_or(_strong(distance, page, RIPPLE_HEIGHT), firm))


def _strong(distance: NDArray[Any], page: Working, height: float) -> NDArray[Any]:
    """Where no ripple of something stronger nearby can be: uint8 0 or 255."""
    reach = 2 * max(2, round(page.px(RIPPLES))) + 1
    nearby = cv2.dilate(distance, np.ones((reach, reach), np.uint8))
    return cv2.compare(distance, cv2.convertScaleAbs(nearby, alpha=height), cv2.CMP_GT)


def threshold_over_specks(distance: NDArray[Any], threshold: float, page: Working) -> float:
    """The threshold, raised until what exceeds it is not strewn with specks of noise."""
    for _ in range(RAISED_AT_MOST):
        mask = cv2.threshold(distance, threshold, 255, cv2.THRESH_BINARY)[1]
        firm = cv2.morphologyEx(mask, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
        specks = cv2.countNonZero(cv2.subtract(mask, cv2.dilate(firm, np.ones((7, 7), np.uint8))))
        if specks < MOST_SPECKS * page.rows * page.cols:
            break
        threshold = min(threshold * RAISE, MOST_THRESHOLD)
    return threshold


def without_specks(
    distance: NDArray[Any], threshold: float, sure: NDArray[Any], page: Working
) -> NDArray[Any] | None:
    """Where a page that is plain but for specks is not background: uint8 0 or 255.

    Parameters
    ----------
    distance : ndarray
        uint8, shape (rows, cols): distance from the background.
    threshold : float
        Of the page's rim, not raised for specks.
    sure : ndarray
        uint8 0 or 255, shape (rows, cols): what exceeds the threshold that was raised.

    Returns
    -------
    ndarray or None
        What exceeds the threshold and holds together with something sure, but for the ripples of JPEG,
        which are narrow and exceed it by little; None where so much else
        exceeds it that the page is not plain.
    """
    low = cv2.threshold(distance, threshold, 255, cv2.THRESH_BINARY)[1]
    low = cv2.morphologyEx(low, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    count, labels = cv2.connectedComponents(low, connectivity=8, ltype=cv2.CV_32S)
    kept = np.zeros(count, np.uint8)
    kept[np.asarray(labels)[::2, ::2][cv2.bitwise_and(sure, low)[::2, ::2] > 0]] = 255
    together = kept.take(np.asarray(labels, np.int32))
    if cv2.countNonZero(cv2.subtract(low, together)) > MOST_LEFT_OUT * page.rows * page.cols:
        return None
    square = np.ones((round(page.px(BROAD)), round(page.px(BROAD))), np.uint8)
    wide = cv2.morphologyEx(filled(together), cv2.MORPH_OPEN, square)
    firm = cv2.threshold(distance, RAISE * threshold, 255, cv2.THRESH_BINARY)[1]
    firm = cv2.morphologyEx(firm, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    wide = cv2.bitwise_and(wide, _strong(distance, page, FAINT_RIPPLE_HEIGHT))
    firm = cv2.bitwise_and(firm, _strong(distance, page, RIPPLE_HEIGHT))
    return cv2.bitwise_or(cv2.bitwise_and(together, cv2.bitwise_or(wide, firm)), sure)


def filled(mask: NDArray[Any]) -> NDArray[Any]:
    """The mask with everything inside an outer edge filled, such as a label's white middle."""
    outer, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    return cv2.drawContours(np.zeros_like(mask), outer, -1, 255, cv2.FILLED)


def find_regions(ink: NDArray[Any], page: Working) -> list[Region]:
    """The connected regions of a mask with their holes filled, without specks.

    Parameters
    ----------
    ink : ndarray
        uint8 0 or 255, shape (rows, cols): what is not background.
    page : Working
        For its resolution.
    """
    outer, _ = cv2.findContours(ink, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    speck = page.px(SPECK)
    found = []
    for contour in reversed(outer):
        left, top, width, height = cv2.boundingRect(contour)
        if max(width, height) <= speck:
            continue
        cut = filled_contour(contour, left, top, width, height)
        if cv2.countNonZero(cut) < 0.3 * speck * speck:
            continue
        small = _is_part(cv2.bitwise_and(ink[top : top + height, left : left + width], cut), page)
        found.append(Region(left, top, left + width, top + height, cut, is_part=small))
    return found


def filled_contour(contour: NDArray[Any], left: int, top: int, width: int, height: int) -> NDArray[Any]:
    """What a contour encloses, itself included: uint8 0 or 255, shape (height, width)."""
    cut = np.zeros((height, width), np.uint8)
    return cv2.drawContours(cut, [contour], 0, 255, cv2.FILLED, offset=(-left, -top))


def join_regions(regions: Sequence[Region]) -> Region:
    """One region of several."""
    if len(regions) == 1:
        return regions[0]
    left, top = min(region.left for region in regions), min(region.top for region in regions)
    right, bottom = max(region.right for region in regions), max(region.bottom for region in regions)
    mask = np.zeros((bottom - top, right - left), np.uint8)
    for region in regions:
        part = mask[region.top - top : region.bottom - top, region.left - left : region.right - left]
        cv2.max(part, region.mask, part)
    parts = sum(region.parts for region in regions)
    return Region(left, top, right, bottom, mask, parts, all(region.is_part for region in regions))


def _is_part(mask: NDArray[Any], page: Working) -> bool:
    rows, cols = mask.shape
    if cv2.countNonZero(mask) < SMALL_AREA * page.ppi**2 and max(rows, cols) < page.px(SMALL_SIDE):
        return True
    if min(rows, cols) < page.px(SLIVER):
        return True
    if max(rows, cols) < page.px(SMALL_SIDE) and cv2.countNonZero(mask) < FLAG_FILL * rows * cols:
        return True
    if max(rows, cols) > page.px(LARGEST_LETTER):
        return False
    framed = cv2.copyMakeBorder(mask, 1, 1, 1, 1, cv2.BORDER_CONSTANT, value=0)
    return float(cv2.distanceTransform(framed, cv2.DIST_L2, 3).max()) < page.px(THIN)
