"""What an element looks like, measured for judging its kind and how sure the split is of it."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.split.kinds import Looks
from kitprep.split.openings import SMALL_HOLE
from kitprep.split.regions import Region
from kitprep.split.traced import Traced
from kitprep.split.working import Working

ROUGH = 0.008  # in; a rough edge is not yet a toothed one
TOOTHED = 1.10  # the outline's length over its hull's
TOOTHED_FILL = 0.86  # of the hull; teeth take little away
BOXY = 0.94  # hull over the least rectangle
ELLIPSE = 0.785  # pi / 4: an ellipse over its rectangle
CORNER_CUT = 0.03  # in; what a polygon of few lines may leave out
LONG_LINE = 0.22  # in
ANGULAR = 0.72  # of the outline lies in long lines
SAME = 14  # levels of Lab within which pixels have one colour
PALE = 190  # levels of L: a border that is nearly white
BORDER = (0.02, 0.05)  # in; where a border is looked at, inwards from the edge
MOST_LOOKED_AT = 12_000  # pixels of an element
JOINED, CUT_OUT, FAINT = 0.75, 0.9, 0.6  # confidence of what was joined, of a cut-out, of a faint edge


def looks_of(region: Region, traced: Traced, page: Working, px_per_inch: float) -> Looks:
    """Measure what an element looks like."""
    outline = np.asarray(traced.points, np.float32)
    hull = cv2.convexHull(outline)
    hull_area = max(float(cv2.contourArea(hull)), 1.0)
    least = cv2.minAreaRect(outline)[1]
    hull_fill = float(cv2.contourArea(outline)) / hull_area
    boxy = hull_area / max(least[0] * least[1], 1.0)
    even = cv2.approxPolyDP(outline, ROUGH * px_per_inch, True)
    longer = cv2.arcLength(even, True) / max(cv2.arcLength(hull, True), 1.0)
    plain, bordered = colours_of(region, page)
    width, height = _straight_size(traced)
    return Looks(
        width=width / px_per_inch,
        height=height / px_per_inch,
        page_share=region.area / (page.rows * page.cols),
        rectangular=traced.rectangular,
        parts=region.parts,
        is_part=region.is_part,
        toothed=longer > TOOTHED and hull_fill > TOOTHED_FILL,
        boxy=boxy > BOXY,
        rounded=hull_fill > 0.965 and (abs(boxy - ELLIPSE) < 0.03 or boxy > BOXY),
        angular=hull_fill > 0.94 and _straight_share(outline, px_per_inch) > ANGULAR,
        punched=any(_is_small(hole, px_per_inch) for hole in traced.holes),
        bordered=bordered,
        plain_share=plain,
        top=region.top / page.rows,
        bottom=region.bottom / page.rows,
    )


def confidence_of(region: Region, traced: Traced, contrast: float) -> float:
    """How sure the split is, 0 to 1.

    Parameters
    ----------
    region : Region
        In working pixels.
    traced : Traced
        Its outline.
    contrast : float
        How far the element is from the background in its fainter quarter, over the page's threshold.
    """
    sure = 1.0 if traced.rectangular else CUT_OUT
    if region.parts > 1:
        sure = JOINED
    sure *= 0.5 + 0.5 * traced.sureness
    return round(sure * (FAINT + (1 - FAINT) * min(1.0, contrast / 3.0)), 2)


def _is_small(hole: NDArray[Any], px_per_inch: float) -> bool:
    return float(np.ptp(hole, axis=0).max()) < SMALL_HOLE * px_per_inch


def _straight_size(traced: Traced) -> tuple[float, float]:
    if traced.rectangular:
        a, b, _, d = traced.points
        return float(np.hypot(*(b - a))), float(np.hypot(*(d - a)))
    left, top, right, bottom = traced.box
    return right - left, bottom - top


def _straight_share(outline: NDArray[Any], px_per_inch: float) -> float:
    corners = cv2.approxPolyDP(outline, CORNER_CUT * px_per_inch, True)[:, 0]
    sides = np.hypot(*(np.roll(corners, -1, axis=0) - corners).T)
    return (
        float(sides[sides >= LONG_LINE * px_per_inch].sum() / max(sides.sum(), 1e-6))
        if len(sides) < 13
        else 0.0
    )


def colours_of(region: Region, page: Working) -> tuple[float, bool]:
    """Share of the commonest colour, and whether a plain pale border runs round something else."""
    step = max(1, round((region.width * region.height / MOST_LOOKED_AT) ** 0.5))
    part = page.lab[region.top : region.bottom : step, region.left : region.right : step, 0]
    light, mask = np.ascontiguousarray(part), region.mask[::step, ::step]
    framed = cv2.copyMakeBorder(mask, 1, 1, 1, 1, cv2.BORDER_CONSTANT, value=0)
    depth = cv2.distanceTransform(framed, cv2.DIST_L2, 3)[1:-1, 1:-1] * step
    inner = _levels(light, _above(depth, 2.5))
    if inner.sum() < 50:
        return 1.0, False
    by_eight = inner.reshape(-1, 8).sum(axis=1)
    plain = _share_near(inner, int((by_eight[:-1] + by_eight[1:]).argmax()) * 8 + 8)
    rim = _levels(light, cv2.inRange(depth, page.px(BORDER[0]), page.px(BORDER[1])))
    core = _levels(light, _above(depth, 0.25 * min(region.width, region.height)))
    if rim.sum() < 20 or core.sum() < 20:
        return plain, False
    low, middle, high = np.searchsorted(np.cumsum(rim) / rim.sum(), (0.15, 0.5, 0.85))
    other = 1 - _share_near(core, int(middle))
    return plain, bool(low >= PALE and high - low <= SAME and other > 0.4)


def _above(depth: NDArray[Any], least: float) -> NDArray[Any]:
    return cv2.threshold(depth, least, 255, cv2.THRESH_BINARY)[1].astype(np.uint8)


def _levels(light: NDArray[Any], where: NDArray[Any]) -> NDArray[Any]:
    """How often each level is found where the mask is set; float32, shape (256,)."""
    return np.asarray(cv2.calcHist([light], [0], where, [256], [0, 256]).ravel())


def _share_near(levels: NDArray[Any], level: int) -> float:
    return float(levels[max(0, level - SAME) : level + SAME + 1].sum() / levels.sum())
