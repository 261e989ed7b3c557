"""A page into its elements: the stages in order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.lengths import Length
from kitprep.pages import Element, KnownBox, Outline, PagePpi, PixelBox, Raster
from kitprep.split.appearance import confidence_of, looks_of
from kitprep.split.background import Background, find_background
from kitprep.split.covers import LEAST_ELEMENT, LEAST_SIDE
from kitprep.split.grids import grid_regions
from kitprep.split.groups import group_regions
from kitprep.split.gutters import divide_at_gutters
from kitprep.split.kinds import is_unwanted, judge_kind
from kitprep.split.known import with_known
from kitprep.split.order import reading_order
from kitprep.split.outlines import trace, with_all_parts
from kitprep.split.regions import (
    MOST_REGIONS,
    RAISE,
    Region,
    filled,
    find_regions,
    foreground,
    threshold_over_specks,
    without_specks,
)
from kitprep.split.ripples import is_ripple, without_ripples
from kitprep.split.seams import divide_at_seams
from kitprep.split.sheets import fills_page, is_lattice, is_pattern, is_ruled, is_written
from kitprep.split.softness import (
    has_shadows,
    have_edges,
    may_have_shadows,
    shadow_like,
    slopes,
    soft_falls,
    without_shadows,
    without_unevenness,
)
from kitprep.split.surroundings import Surroundings
from kitprep.split.traced import Traced
from kitprep.split.watching import NOBODY, Watcher
from kitprep.split.working import Working, look_at

LITTLE = 0.01  # of a page; so little on a rough ground may be spots of its own
SLACK = 6.0  # page px by which what lies within a rectangle may stick out


@dataclass(frozen=True, slots=True)
class SplitHints:
    """What a person knows of a page that the split cannot see.

    Parameters
    ----------
    gap : Length, optional
        Whatever lies nearer than this is one thing.
    background : tuple of int, optional
        The background's colour, sRGB 0 to 255.
    whole : bool
        Whether the page is one paper.
    rows, columns : int, optional
        A grid of exactly so many elements; one of the two alone means one of the other.
    """

    gap: Length | None = None
    background: tuple[int, int, int] | None = None
    whole: bool = False
    rows: int | None = None
    columns: int | None = None


class SplitNote(Enum):
    """A finding about a page as a whole."""

    NOTHING_FOUND = "nothing found"
    """The page is all background."""
    TEXTURE_IS_ONE_PAPER = "texture is one paper"
    """Taken as one paper: over a thousand regions, motifs that run off the page on several sides or cover it
    evenly, lines right across it, a page of writing."""


@dataclass(frozen=True, slots=True)
class Split:
    """What was found on a page.

    Parameters
    ----------
    elements : tuple of Element
        In reading order, numbered from 1.
    notes : tuple of SplitNote
        What is to be said about the page.
    """

    elements: tuple[Element, ...]
    notes: tuple[SplitNote, ...] = ()


NO_HINTS = SplitHints()


def split_page(
    raster: Raster,
    ppi: PagePpi,
    hints: SplitHints = NO_HINTS,
    known_boxes: Sequence[KnownBox] = (),
    watch: Watcher = NOBODY,
) -> Split:
    """Find the elements of a page.

    Parameters
    ----------
    raster : Raster
        The page, perhaps reduced: 100 to 150 pixels per inch are enough.
    ppi : PagePpi
        Of the page at full scale.
    hints : SplitHints
        What a person knows.
    known_boxes : sequence of KnownBox
        Where the page's file says that pictures and drawings lie.
    watch : Watcher
        Told of each stage.
    """
    page = look_at(raster, ppi)
    across, down = raster.scale
    raster_ppi = ((ppi.x / across) * (ppi.y / down)) ** 0.5
    ground = _ground(page, hints)
    watch.background(page, ground.background, ground.threshold, ground.mask, ground.filled)
    regions, notes = _regions(page, ground, hints, watch)
    watch.groups(regions)
    around = Surroundings(raster.pixels, ground.background, raster_ppi, ground.shadowed, ground.roughness)
    outlines = trace(regions, around, page.to_raster)
    if hints.gap is not None:
        outlines = with_all_parts(regions, outlines, around, page.to_raster)
    found = [
        _element(region, traced, around, raster, page, ground)
        for region, traced in zip(regions, outlines, strict=True)
    ]
    if not (hints.rows or hints.columns):
        found = _without_enclosed(found)
    if known_boxes and not (hints.whole or hints.rows or hints.columns):
        seen, found = found, with_known(found, known_boxes, raster, ppi, page)
        if found != seen:
            notes = [] if found else [SplitNote.NOTHING_FOUND]
    order = reading_order([element.box for element in found])
    numbered = tuple(replace(found[index], number=number) for number, index in enumerate(order, 1))
    return Split(numbered, tuple(notes))


# ------------------------------------------------------------ what is background


@dataclass(frozen=True, slots=True, eq=False)
class _Ground:
    """What of a page is background and what is not."""

    background: Background | None
    distance: NDArray[Any]
    threshold: float
    mask: NDArray[Any]
    shadowed: bool = False
    filled: bool = False
    roughness: float = 0.0


def _ground(page: Working, hints: SplitHints) -> _Ground:
    if page.opaque is not None:
        return _Ground(None, page.opaque, 127.0, page.opaque)
    background = find_background(page, hints.background)
    distance = background.distance
    if hints.whole or not background.is_clear:
        return _Ground(background, distance, background.threshold, distance, filled=True)
    if hints.background is not None:
        return _Ground(background, distance, background.threshold, _within_rim(page, background))
    threshold = threshold_over_specks(distance, background.threshold, page)
    mask = foreground(distance, threshold, page)
    roughness, speckless = threshold, None
    if threshold > background.threshold:
        speckless = without_specks(distance, background.threshold, mask, page)
    if speckless is None:
        background = replace(background, threshold=threshold)
    else:
        mask, threshold = speckless, min(threshold, RAISE * background.threshold)
    slope, shade = slopes(page), shadow_like(page, background)
    soft = soft_falls(slope, shade, background)
    even = mask
    if background.is_uneven or may_have_shadows(filled(mask), soft):
        even = without_unevenness(mask, slope, background)
    if background.is_uneven:
        mask = even
    if fills_page(mask):
        return _Ground(background, distance, threshold, mask, filled=True)
    shadowed = even is not mask or background.is_uneven
    shadowed = shadowed and has_shadows(filled(even), soft, background)
    if shadowed:
        mask = without_shadows(even, page, background, shade)
    return _Ground(background, distance, threshold, mask, shadowed, roughness=roughness)


def _within_rim(page: Working, background: Background) -> NDArray[Any]:
    """What is not background, without what runs along the page's rim on three sides or more."""
    mask = foreground(background.distance, background.threshold, page)
    labels = cv2.connectedComponents(mask, connectivity=8, ltype=cv2.CV_32S)[1]
    sides = [set(np.unique(side)) for side in (labels[0], labels[-1], labels[:, 0], labels[:, -1])]
    for label in set().union(*sides) - {0}:
        if sum(label in side for side in sides) >= 3:
            mask[labels == label] = 0
    return mask


# ------------------------------------------------------------------- the regions


def _regions(
    page: Working, ground: _Ground, hints: SplitHints, watch: Watcher
) -> tuple[list[Region], list[SplitNote]]:
    if hints.whole:
        return [_whole_page(page)], []
    if hints.rows or hints.columns:
        return grid_regions(ground.mask, page, hints.rows or 1, hints.columns or 1), []
    if ground.filled:
        return divide_at_seams(_whole_page(page), page), []
    found = find_regions(ground.mask, page)
    watch.regions(found)
    if len(found) > MOST_REGIONS or is_ruled(found, page) or is_lattice(found, page):
        return [_whole_page(page)], [SplitNote.TEXTURE_IS_ONE_PAPER]
    pieces = [part for region in found for part in _divided(region, ground, page)]
    groups = group_regions(pieces, page, hints.gap.inches if hints.gap else None)
    kept = [group for group in groups if _is_large_enough(group, page)]
    if is_pattern(kept, page) or is_written(kept, page):
        return [_whole_page(page)], [SplitNote.TEXTURE_IS_ONE_PAPER]
    if ground.background is not None and _is_picture(kept, ground.background, page):
        return [_whole_page(page)], []
    return kept, [] if kept else [SplitNote.NOTHING_FOUND]


def _is_picture(kept: Sequence[Region], background: Background, page: Working) -> bool:
    """Whether what was taken for the background is a soft or faint picture, and the page one paper."""
    if not kept:
        return background.is_printed or not background.is_sure
    if background.is_sure and not background.is_rough:
        return False
    covered = sum(region.area for region in kept) / (page.rows * page.cols)
    return (not background.is_sure or covered < LITTLE) and not have_edges(kept, page, background)


def _is_large_enough(region: Region, page: Working) -> bool:
    short, long = sorted((region.width, region.height))
    return long >= page.px(LEAST_ELEMENT) and short >= page.px(LEAST_SIDE)


def _divided(region: Region, ground: _Ground, page: Working) -> list[Region]:
    if ground.background is not None and is_ripple(region, ground.distance, page):
        return []
    pieces = divide_at_gutters(region, ground.distance, ground.threshold, page)
    if ground.background is not None:
        pieces = [without_ripples(piece, ground.distance, ground.threshold, page) for piece in pieces]
    return [part for piece in pieces for part in divide_at_seams(piece, page)]


def _whole_page(page: Working) -> Region:
    mask = np.full((page.rows, page.cols), 255, np.uint8)
    return Region(0, 0, page.cols, page.rows, mask, held=(True, True, True, True))


# ------------------------------------------------------------------ the elements


def _element(
    region: Region, traced: Traced, around: Surroundings, raster: Raster, page: Working, ground: _Ground
) -> Element:
    looks = looks_of(region, traced, page, around.px_per_inch)
    box = _page_box(traced, raster)
    upright = traced.rectangular and traced.angle_deg == 0
    kind = judge_kind(looks)
    return Element(
        number=0,
        box=box,
        outline=box.corners if upright else _points(traced.points, raster),
        angle_deg=round(traced.angle_deg, 3),
        kind=kind,
        rectangular=traced.rectangular,
        holes=tuple(_points(hole, raster) for hole in traced.holes),
        confidence=confidence_of(region, traced, _contrast(region, ground)),
        unwanted=is_unwanted(kind, looks),
    )


def _without_enclosed(elements: list[Element]) -> list[Element]:
    """The elements without those that lie within another, whose edge was perhaps found later."""
    if len(elements) < 2:
        return elements
    boxes = np.array([(one.box.left, one.box.top, one.box.right, one.box.bottom) for one in elements])
    inner, outer = boxes[:, None], boxes[None] + (-SLACK, -SLACK, SLACK, SLACK)
    within = (inner[..., :2] >= outer[..., :2]).all(-1) & (inner[..., 2:] <= outer[..., 2:]).all(-1)
    within &= (inner != boxes[None]).any(-1)
    enclosed = {
        int(one) for one, other in np.argwhere(within) if _encloses(elements[other], elements[one].box)
    }
    return [element for index, element in enumerate(elements) if index not in enclosed]


def _encloses(outer: Element, box: PixelBox) -> bool:
    outline = np.array(outer.outline, np.float32)
    return all(cv2.pointPolygonTest(outline, corner, True) >= -SLACK for corner in box.corners)


def _contrast(region: Region, ground: _Ground) -> float:
    if ground.background is None or all(region.held):
        return 3.0
    step = max(1, min(region.width, region.height) // 60)
    inside = ground.distance[region.top : region.bottom : step, region.left : region.right : step]
    mask = region.mask[::step, ::step]
    if not cv2.countNonZero(mask):
        return 0.0
    levels = cv2.calcHist([np.ascontiguousarray(inside)], [0], np.ascontiguousarray(mask), [256], [0, 256])
    faint = np.searchsorted(np.cumsum(levels), 0.25 * levels.sum())
    return float(faint) / ground.threshold


def _page_box(traced: Traced, raster: Raster) -> PixelBox:
    across, down = raster.scale
    width, height = raster.page_px
    left, top, right, bottom = traced.box
    x, y = min(max(0, round(left * across)), width - 1), min(max(0, round(top * down)), height - 1)
    return PixelBox(
        x, y, max(x + 1, min(width, round(right * across))), max(y + 1, min(height, round(bottom * down)))
    )


def _points(points: NDArray[Any], raster: Raster) -> Outline:
    on_page = np.clip(points * raster.scale, 0.0, raster.page_px).round(2)
    return tuple(map(tuple, on_page.tolist()))
