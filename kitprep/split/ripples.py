"""Taking away what clings to a region's edge but is not it: ripples of JPEG, stains of the page.

Both are weak beside the element itself. A ripple is narrower than anything a person would cut; a stain
makes the outline longer without making the element larger.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.split.regions import Region
from kitprep.split.working import Working

NARROW = 0.03  # in; what an opening of this radius takes away is a ripple if it is weak
BESIDE = 0.065  # in; how far off the element's own strength is looked for
FAR = 0.09  # in; how far off a ripple's edge may be
WEAK = 0.35  # of that strength
HIGHER = (1.5, 2.2, 3.3)  # times the page's threshold
MOST_LOST = 0.12  # of the area, when a stain is taken away
MOST_LOST_WITHIN = 0.04  # of the area, of what does not stick out
STICKS_OUT = 0.025  # in
SHORTER = 0.94  # of the outline's length; less is gained by chance


def without_ripples(region: Region, distance: NDArray[Any], threshold: float, page: Working) -> Region:
    """A solid region without the ripples and stains at its edge.

    Parameters
    ----------
    region : Region
        In working pixels.
    distance : ndarray
        uint8, shape (rows, cols) of the page.
    threshold : float
        That made the region.
    page : Working
        For its resolution.
    """
    if region.is_part or min(region.width, region.height) < page.px(4 * NARROW):
        return region
    inside = distance[region.top : region.bottom, region.left : region.right]
    mask = _without_stains(region.mask, inside, threshold, page)
    mask = _without_narrow(mask, inside, page)
    return _trimmed(region, mask)


def is_ripple(region: Region, distance: NDArray[Any], page: Working) -> bool:
    """Whether a small region is weak beside something strong."""
    if not region.is_part:
        return False
    reach = max(2, round(page.px(FAR)))
    inside = distance[region.top : region.bottom, region.left : region.right]
    top, left = max(0, region.top - reach), max(0, region.left - reach)
    nearby = distance[top : region.bottom + reach, left : region.right + reach]
    return int(inside.max()) < WEAK * int(nearby.max())


def _without_stains(
    mask: NDArray[Any], inside: NDArray[Any], threshold: float, page: Working
) -> NDArray[Any]:
    whole = _largest_contour(mask)
    area, length, best = cv2.contourArea(whole), cv2.arcLength(whole, True), None
    for times in HIGHER:
        higher = cv2.bitwise_and(cv2.threshold(inside, threshold * times, 255, cv2.THRESH_BINARY)[1], mask)
        higher = cv2.morphologyEx(higher, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
        if not cv2.countNonZero(higher):
            break
        smaller = _largest_contour(higher)
        if cv2.contourArea(smaller) < (1 - MOST_LOST) * area:
            break
        shorter = cv2.arcLength(smaller, True)
        if shorter >= SHORTER * length or not _protruded(whole, smaller, page):
            continue
        if _lost_within(mask, smaller) <= MOST_LOST_WITHIN * area:
            best, length = smaller, shorter
    if best is None:
        return mask
    return cv2.drawContours(np.zeros_like(mask), [best], -1, 255, cv2.FILLED)


def _protruded(whole: NDArray[Any], smaller: NDArray[Any], page: Working) -> bool:
    """Whether what is lost stuck out somewhere, so that it is no row of teeth and no border."""
    off = [abs(a - b) for a, b in zip(_sides(whole), _sides(smaller), strict=True)]
    return max(off) >= page.px(STICKS_OUT) and min(off) < 0.4 * max(off)


def _lost_within(mask: NDArray[Any], smaller: NDArray[Any]) -> float:
    """Pixels lost although they do not stick out, such as the pale edge of a stamp all round."""
    left, top, right, bottom = _sides(smaller)
    return cv2.countNonZero(mask[top:bottom, left:right]) - float(cv2.contourArea(smaller))


def _sides(contour: NDArray[Any]) -> tuple[int, int, int, int]:
    left, top, width, height = cv2.boundingRect(contour)
    return left, top, left + width, top + height


def _largest_contour(mask: NDArray[Any]) -> NDArray[Any]:
    contours, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    return max(contours, key=cv2.contourArea)


def _without_narrow(mask: NDArray[Any], inside: NDArray[Any], page: Working) -> NDArray[Any]:
    core = _opened(mask, max(2, round(page.px(NARROW))))
    if 2 * cv2.countNonZero(core) < cv2.countNonZero(mask):
        return mask
    reach = 2 * max(2, round(page.px(BESIDE))) + 1
    strength = cv2.dilate(cv2.bitwise_and(inside, core), np.ones((reach, reach), np.uint8))
    weak = cv2.compare(inside, cv2.convertScaleAbs(strength, alpha=WEAK), cv2.CMP_LT)
    narrow = cv2.subtract(mask, core)
    return _largest(cv2.subtract(mask, cv2.bitwise_and(narrow, weak)))


def _opened(mask: NDArray[Any], reach: int) -> NDArray[Any]:
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * reach + 1, 2 * reach + 1))
    framed = cv2.copyMakeBorder(mask, reach, reach, reach, reach, cv2.BORDER_CONSTANT, value=0)
    return np.ascontiguousarray(cv2.morphologyEx(framed, cv2.MORPH_OPEN, disc)[reach:-reach, reach:-reach])


def _largest(mask: NDArray[Any]) -> NDArray[Any]:
    contours, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    if len(contours) < 2:
        return mask
    largest = max(contours, key=cv2.contourArea)
    return cv2.drawContours(np.zeros_like(mask), [largest], -1, 255, cv2.FILLED)


def _trimmed(region: Region, mask: NDArray[Any]) -> Region:
    left, top, width, height = cv2.boundingRect(mask)
    if (width, height) == (region.width, region.height) or not width:
        return replace(region, mask=mask) if width else region
    left, top = left + region.left, top + region.top
    x, y = left - region.left, top - region.top
    kept = np.ascontiguousarray(mask[y : y + height, x : x + width])
    return replace(region, left=left, top=top, right=left + width, bottom=top + height, mask=kept)
