"""An element from what a page's file says of how opaque it is.

The cover is traced on a grid of its own, finer than the working one, so that the raster does not matter.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.pages import Element, Outline, PagePpi, PixelBox, Raster
from kitprep.split.appearance import confidence_of, looks_of
from kitprep.split.kinds import is_unwanted, judge_kind
from kitprep.split.outlines import trace
from kitprep.split.regions import Region, find_regions, join_regions
from kitprep.split.surroundings import Surroundings
from kitprep.split.traced import Traced
from kitprep.split.working import SOLID_ALPHA, Working

LEAST_ELEMENT, LEAST_SIDE = 0.14, 0.03  # in; smaller things and mere lines are not cut out
FINER = 2  # px of a cover's own grid to a working px
PAD = 8  # working px around a cover, so that its edge is an edge
CONTRAST = 3.0  # over the threshold: as clear as can be, for the file says it


@dataclass(frozen=True, slots=True, eq=False)
class ScaledPage:
    """A page at its scales.

    Parameters
    ----------
    raster : Raster
        The page.
    ppi : PagePpi
        Of the page at full scale.
    working : Working
        The same page at the working scale.
    """

    raster: Raster
    ppi: PagePpi
    working: Working

    @property
    def whole(self) -> PixelBox:
        """The page's own box."""
        return PixelBox(0, 0, *self.raster.page_px)


def is_thing(box: PixelBox, page: ScaledPage) -> bool:
    """Whether a box is large enough for something to cut out."""
    short, long = sorted((box.width / page.ppi.x, box.height / page.ppi.y))
    return long >= LEAST_ELEMENT and short >= LEAST_SIDE


def element_of(cover: NDArray[Any], box: PixelBox, page: ScaledPage) -> Element | None:
    """The element that a cover shows; None where it is a letter or leaf of something larger.

    Parameters
    ----------
    cover : ndarray
        uint8, shape (rows, cols), 255 where it is opaque; stretched over the box.
    box : PixelBox
        The element's.
    page : ScaledPage
        Where it lies.
    """
    at = working_box(box, page)
    ink = cv2.resize(cover, (at.width, at.height), interpolation=cv2.INTER_AREA)
    ink = cv2.threshold(ink, SOLID_ALPHA - 1, 255, cv2.THRESH_BINARY)[1]
    regions = find_regions(ink, page.working)
    if not regions or all(region.is_part for region in regions):
        return None
    region = join_regions(regions)
    traced, fine = _traced(region, cover, at, page)
    scale = np.array([box.width, box.height]) / (FINER * at.width, FINER * at.height)

    def on_page(points: NDArray[Any]) -> Outline:
        moved = (points - FINER * PAD) * scale + (box.left, box.top)
        kept = moved.clip((box.left, box.top), (box.right, box.bottom)).round(2)
        return tuple((x, y) for x, y in kept.tolist())

    looks = looks_of(_moved(region, at.left, at.top), traced, page.working, fine)
    kind = judge_kind(looks)
    upright = traced.rectangular and traced.angle_deg == 0
    return Element(
        number=0,
        box=box,
        outline=box.corners if upright else on_page(traced.points),
        angle_deg=round(traced.angle_deg, 3),
        kind=kind,
        rectangular=traced.rectangular,
        holes=tuple(on_page(hole) for hole in traced.holes),
        confidence=confidence_of(region, traced, CONTRAST),
        unwanted=is_unwanted(kind, looks),
    )


def _traced(region: Region, cover: NDArray[Any], at: PixelBox, page: ScaledPage) -> tuple[Traced, float]:
    """The outline of a region of a cover, and the pixels per inch it is in, with a pad around the cover."""
    size = FINER * at.width, FINER * at.height
    smaller = cover.shape[1] > size[0] or cover.shape[0] > size[1]
    way = cv2.INTER_AREA if smaller else cv2.INTER_LINEAR
    pad = FINER * PAD
    canvas = np.zeros((size[1] + 2 * pad, size[0] + 2 * pad, 4), np.uint8)
    canvas[pad:-pad, pad:-pad, 3] = cv2.resize(cover, size, interpolation=way)
    fine = FINER * page.working.ppi
    around = Surroundings(canvas, None, fine)
    return trace([_moved(region, PAD, PAD)], around, (float(FINER), float(FINER)))[0], fine


def _moved(region: Region, across: int, down: int) -> Region:
    return replace(
        region,
        left=region.left + across,
        top=region.top + down,
        right=region.right + across,
        bottom=region.bottom + down,
    )


def working_box(box: PixelBox, page: ScaledPage) -> PixelBox:
    """The box in working pixels; at least one each way."""
    across, down = page.raster.page_px[0] / page.working.cols, page.raster.page_px[1] / page.working.rows
    left, top = round(box.left / across), round(box.top / down)
    right, bottom = max(left + 1, round(box.right / across)), max(top + 1, round(box.bottom / down))
    return PixelBox(left, top, right, bottom).clipped(PixelBox(0, 0, page.working.cols, page.working.rows))
