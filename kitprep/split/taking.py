"""Elements taken by a box drawn by hand.

Coordinates are page pixels, as in `kitprep.pages`.
"""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np

from kitprep.errors import OutsidePage
from kitprep.pages import UNSURE, Element, Kind, Outline, PagePpi, PixelBox, Raster
from kitprep.split.appearance import colours_of
from kitprep.split.kinds import Looks, judge_kind
from kitprep.split.mending import box_around
from kitprep.split.regions import Region
from kitprep.split.snapping import REACH, snapped
from kitprep.split.splitting import split_page
from kitprep.split.working import look_at

AROUND = 0.15  # in; of the page beyond a box drawn by hand, whose rim is to be free of the thing
LOOKED_AT_PPI = 150.0  # as whole pages are, when what stands there is looked for


def element_from_box(raster: Raster, ppi: PagePpi, box: PixelBox, number: int, snap: bool = True) -> Element:
    """A rectangular element from a box drawn by hand.

    Parameters
    ----------
    raster : Raster
        The page; at full scale where edges are to be met to the pixel.
    ppi : PagePpi
        Of the page at full scale.
    box : PixelBox
        In page pixels.
    number : int
        For the new element.
    snap : bool
        Take the one thing that stands there by itself, all sides of its box within 0.05 in of those drawn,
        with its own outline: leaning, toothed, cut out. Else move each side to the nearest true edge within
        0.05 in, if there is one; where three sides or more lean alike, the element leans.

    Raises
    ------
    OutsidePage
        If the box is empty or reaches beyond the page.
    """
    page = PixelBox(0, 0, *raster.page_px)
    if box.width <= 0 or box.height <= 0 or not page.contains(box):
        asked = f"the box {box.left},{box.top} to {box.right},{box.bottom} px"
        raise OutsidePage(asked, "the page", f"0,0 to {page.right},{page.bottom} px")
    element = _standing_there(raster, ppi, box) if snap else None
    if element is None:
        outline, angle = _taken(raster, ppi, box) if snap else (box.corners, 0.0)
        element = Element(number, box_around(outline), outline, angle, Kind.OTHER, True)
    kind = judge_kind(_looks(element, raster, ppi)) if element.rectangular else element.kind
    return replace(element, number=number, kind=kind, confidence=1.0, by_hand=True, unwanted=False)


def _standing_there(raster: Raster, ppi: PagePpi, box: PixelBox) -> Element | None:
    """The one thing found on the part of the page in and around a box, if its own box is nearly that one."""
    across, down = raster.scale
    rows, cols = raster.pixels.shape[:2]
    x, y = AROUND * ppi.x, AROUND * ppi.y
    left, top = max(0, int((box.left - x) / across)), max(0, int((box.top - y) / down))
    right, bottom = min(cols, round((box.right + x) / across)), min(rows, round((box.bottom + y) / down))
    part = np.ascontiguousarray(raster.pixels[top:bottom, left:right])
    size = max(1, round(part.shape[1] * across)), max(1, round(part.shape[0] * down))
    by = max(1, int(min(ppi.x / across, ppi.y / down) / LOOKED_AT_PPI + 1e-6))
    if by > 1:
        reduced = max(1, part.shape[1] // by), max(1, part.shape[0] // by)
        part = np.asarray(cv2.resize(part, reduced, interpolation=cv2.INTER_AREA), np.uint8)
    found = split_page(Raster(part, size), ppi).elements
    corner = left * across, top * down
    near = [moved for one in found if _is_near((moved := _moved(one, corner)).box, box, ppi)]
    return near[0] if len(near) == 1 and near[0].confidence >= UNSURE else None


def _is_near(one: PixelBox, other: PixelBox, ppi: PagePpi) -> bool:
    return (
        max(abs(one.left - other.left), abs(one.right - other.right)) <= REACH * ppi.x
        and max(abs(one.top - other.top), abs(one.bottom - other.bottom)) <= REACH * ppi.y
    )


def _moved(element: Element, by: tuple[float, float]) -> Element:
    def shifted(outline: Outline) -> Outline:
        return tuple((round(x + by[0], 2), round(y + by[1], 2)) for x, y in outline)

    box, (right, down) = element.box, (round(by[0]), round(by[1]))
    return replace(
        element,
        box=PixelBox(box.left + right, box.top + down, box.right + right, box.bottom + down),
        outline=shifted(element.outline),
        holes=tuple(shifted(hole) for hole in element.holes),
    )


def _taken(raster: Raster, ppi: PagePpi, box: PixelBox) -> tuple[Outline, float]:
    """Corners on the nearest edges, in page pixels, and how far they lean."""
    across, down = raster.scale
    there = PixelBox(
        round(box.left / across), round(box.top / down), round(box.right / across), round(box.bottom / down)
    )
    if there.width < 1 or there.height < 1:
        return box.corners, 0.0
    edges = snapped(raster.pixels, (ppi.x / across, ppi.y / down), there)
    corners = (edges.corners * (across, down)).clip(0, raster.page_px)
    if edges.angle_deg:
        return tuple((round(x, 2), round(y, 2)) for x, y in corners.tolist()), round(edges.angle_deg, 3)
    (left, top), (right, bottom) = corners[0], corners[2]
    sides = zip(
        (top, right, bottom, left), (box.top, box.right, box.bottom, box.left), edges.found, strict=True
    )
    top, right, bottom, left = (round(float(at)) if found else drawn for at, drawn, found in sides)
    if right - left < 1 or bottom - top < 1:
        return box.corners, 0.0
    return PixelBox(left, top, right, bottom).corners, 0.0


def _looks(element: Element, raster: Raster, ppi: PagePpi) -> Looks:
    page = look_at(raster, ppi)
    across, down = raster.page_px[0] / page.cols, raster.page_px[1] / page.rows
    box = element.box
    left, top = min(int(box.left / across), page.cols - 1), min(int(box.top / down), page.rows - 1)
    right, bottom = max(left + 1, round(box.right / across)), max(top + 1, round(box.bottom / down))
    mask = np.full((bottom - top, right - left), 255, np.uint8)
    plain, bordered = colours_of(Region(left, top, right, bottom, mask), page)
    size = element.size(ppi)
    return Looks(
        width=size.width.inches,
        height=size.height.inches,
        page_share=box.width * box.height / (raster.page_px[0] * raster.page_px[1]),
        rectangular=True,
        bordered=bordered,
        plain_share=plain,
    )
