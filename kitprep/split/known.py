"""What a page's file knows of where things lie, brought together with what was found in its pixels.

A picture's box is the element's box, whatever the pixels say. A picture that fills its box is a rectangle; a
cut-out has its outline from its own cover. Of lines and fills the file knows less: `kitprep.split.drawn`.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kitprep.pages import Element, KnownBox, PagePpi, PixelBox, Raster
from kitprep.split.appearance import looks_of
from kitprep.split.covers import ScaledPage, element_of, is_thing, working_box
from kitprep.split.drawn import with_drawing
from kitprep.split.kinds import judge_kind
from kitprep.split.placed import area, fills_page, lies_on, overlaps_any, placed_elements, uppermost
from kitprep.split.regions import Region
from kitprep.split.sheets import is_pattern
from kitprep.split.traced import rectangle_of
from kitprep.split.working import Working

HOLDS = 0.5  # of a thing's box; pictures that take less of it are drawn upon it
MOST_DRAWINGS = 100  # more are a texture, or lettering


def with_known(
    found: Sequence[Element], known: Sequence[KnownBox], raster: Raster, ppi: PagePpi, working: Working
) -> list[Element]:
    """The elements of a page, from what was found and what its file knows.

    Parameters
    ----------
    found : sequence of Element
        From the pixels.
    known : sequence of KnownBox
        From the file, in any order.
    raster : Raster
        The page.
    ppi : PagePpi
        Of the page at full scale.
    working : Working
        The same page at the working scale.
    """
    page = ScaledPage(raster, ppi, working)
    placed = _placed(found, known, page)
    boxes = [element.box for element in placed]
    kept = [element for element in found if not overlaps_any(element.box, boxes)]
    drawings = [box for box in _drawings(known, page) if not overlaps_any(box, boxes)]
    for box in drawings if len(drawings) <= MOST_DRAWINGS else ():
        kept = with_drawing(kept, box, page)
    return kept + placed


def _placed(found: Sequence[Element], known: Sequence[KnownBox], page: ScaledPage) -> list[Element]:
    pictures = [one.box for one in known if not one.is_drawing and one.cover is None]
    boxes = placed_elements(pictures, page.raster, page.working)
    elements = [_rectangle(box, page) for box in boxes if is_thing(box, page)]
    for one in known:
        if one.cover is not None and is_thing(one.box, page) and not fills_page(one.box, page.raster):
            traced = element_of(one.cover, one.box, page)
            elements += [traced] if traced is not None else []
    elements = [elements[index] for index in uppermost([element.box for element in elements])]
    boxes = [element.box for element in elements]
    if is_pattern([_region(box, page) for box in boxes], page.working):
        return []
    holders = [one.box for one in found if _holds_pictures(one.box, boxes, page)]
    return [one for one in elements if not any(lies_on(one.box, holder) for holder in holders)]


def _region(box: PixelBox, page: ScaledPage) -> Region:
    at = working_box(box, page)
    mask = np.full((at.height, at.width), 255, np.uint8)
    return Region(at.left, at.top, at.right, at.bottom, mask)


def _holds_pictures(box: PixelBox, placed: Sequence[PixelBox], page: ScaledPage) -> bool:
    """Whether placed pictures are but a part of something found; on what fills the page, several lie."""
    if fills_page(box, page.raster):
        return len(placed) < 2
    return sum(area(one) for one in placed if lies_on(one, box)) < HOLDS * area(box)


def _rectangle(box: PixelBox, page: ScaledPage) -> Element:
    region = _region(box, page)
    corners = PixelBox(region.left, region.top, region.right, region.bottom).corners
    traced = rectangle_of(np.array(corners), page.working.lab.shape[:2])
    looks = looks_of(region, traced, page.working, page.working.ppi)
    return Element(0, box, box.corners, 0.0, judge_kind(looks), True)


def _drawings(known: Sequence[KnownBox], page: ScaledPage) -> list[PixelBox]:
    boxes = [one.box.clipped(page.whole) for one in known if one.is_drawing]
    return [box for box in boxes if is_thing(box, page) and not fills_page(box, page.raster)]
