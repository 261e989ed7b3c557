"""Four angles that stand at the corners of a rectangle, leaning or not, are one thing: they frame a label.

An angle is told from a letter by where its ink lies: towards one corner of its box, which at all four must be
the corner that is away from the middle of the rectangle.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import cv2
import numpy as np

from kitprep.split.regions import Region, join_regions
from kitprep.split.working import Working

FILL, LARGE_FILL = 0.6, 0.4  # of its box; an angle fills less; the same of one too large to be a part
LEAST_PULL = 0.08  # of its box's half diagonal, by which an angle's ink lies off the middle
OUTWARDS = 0.5  # cosine; the ink lies away from the middle of all four
ALIKE = 0.7  # of the larger area of any two
SLACK, LEAST_SLACK = 0.04, 2.0  # in, working px; how far four corners may be from a rectangle's
APART = 1.3  # times the size of a mark, the shorter side of the rectangle
MOST_MARKS = 40  # more things of this shape are a pattern or a text


@dataclass(frozen=True, slots=True, eq=False)
class _Mark:
    index: int
    area: int
    size: float
    x: float
    y: float
    pull: complex


def join_corner_marks(regions: Sequence[Region], page: Working) -> list[Region]:
    """The regions with each four corner marks joined.

    Parameters
    ----------
    regions : sequence of Region
        Connected regions.
    page : Working
        For its resolution.
    """
    marks = [mark for index, region in enumerate(regions) if (mark := _mark(index, region)) is not None]
    if not 4 <= len(marks) <= MOST_MARKS:
        return list(regions)
    slack = max(LEAST_SLACK, page.px(SLACK))
    opposite = [(one, other) for one, other in combinations(marks, 2) if _may_be_opposite(one, other)]
    joined: set[int] = set()
    kept = []
    for (a, c), (b, d) in combinations(opposite, 2):
        four = {a.index, b.index, c.index, d.index}
        if len(four) == 4 and not joined & four and _frame(a, b, c, d, slack):
            joined |= four
            kept.append(join_regions([regions[index] for index in sorted(four)]))
    return [*(region for index, region in enumerate(regions) if index not in joined), *kept]


def _mark(index: int, region: Region) -> _Mark | None:
    if region.fill >= (FILL if region.is_part else LARGE_FILL):
        return None
    moments = cv2.moments(region.mask, binaryImage=True)
    middle = complex((region.width - 1) / 2, (region.height - 1) / 2)
    pull = complex(moments["m10"], moments["m01"]) / moments["m00"] - middle
    size = float(np.hypot(region.width, region.height))
    if abs(pull) < LEAST_PULL * size / 2:
        return None
    at = complex(region.left, region.top) + middle
    return _Mark(index, int(moments["m00"]), size, at.real, at.imag, pull / abs(pull))


def _may_be_opposite(one: _Mark, other: _Mark) -> bool:
    """Whether two marks pull away from each other and are of one size."""
    between = complex(other.x - one.x, other.y - one.y)
    if abs(between) < APART * max(one.size, other.size) or not _alike(one, other):
        return False
    towards = between / abs(between)
    return _cosine(one.pull, -towards) > OUTWARDS and _cosine(other.pull, towards) > OUTWARDS


def _frame(a: _Mark, b: _Mark, c: _Mark, d: _Mark, slack: float) -> bool:
    """Whether a, b, c, d stand at the corners of a rectangle of which a and c, b and d are opposite."""
    if abs((a.x + c.x) - (b.x + d.x)) > 2 * slack or abs((a.y + c.y) - (b.y + d.y)) > 2 * slack:
        return False
    one, other = np.hypot(a.x - c.x, a.y - c.y), np.hypot(b.x - d.x, b.y - d.y)
    shorter = min(np.hypot(a.x - b.x, a.y - b.y), np.hypot(a.x - d.x, a.y - d.y))
    return bool(abs(one - other) <= 2 * slack and shorter >= APART * a.size * 0.7 and _alike(a, b))


def _alike(one: _Mark, other: _Mark) -> bool:
    return min(one.area, other.area) >= ALIKE * max(one.area, other.area)


def _cosine(one: complex, other: complex) -> float:
    return one.real * other.real + one.imag * other.imag
