"""The stages of a split as pictures, to learn from what it saw.

Each stage is drawn by one function from what that stage handed on, at the scale at which the page is looked
at. The colours of regions are those of M. Okabe and K. Ito, Color Universal Design (2008), which people who
do not tell red from green tell apart too (values from memory, not checked).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.pages import Element, KnownBox, PagePpi, PixelBox, Raster
from kitprep.split.background import Background
from kitprep.split.order import reading_order
from kitprep.split.regions import Region
from kitprep.split.splitting import NO_HINTS, Split, SplitHints, split_page
from kitprep.split.watching import Watcher
from kitprep.split.working import Working

Colour = tuple[int, int, int]
PALETTE: tuple[Colour, ...] = (
    (0, 114, 178),
    (230, 159, 0),
    (0, 158, 115),
    (204, 121, 167),
    (86, 180, 233),
    (213, 94, 0),
    (240, 228, 66),
)
PART: Colour = (58, 50, 43)  # a letter, a dot, a leaf
SQUARE = 8  # px of the chequered ground that stands for background
CHEQUERS: tuple[Colour, Colour] = ((247, 242, 232), (226, 217, 200))
PALED = 0.62  # of the way to the ground's colour where the page itself is not the point
COVER = 0.72  # of a region's colour over the page


@dataclass(frozen=True, slots=True, eq=False)
class EdgeColours:
    """Colours of outlines: rectangles, cut-outs, what was made by hand."""

    rectangle: Colour
    cut_out: Colour
    by_hand: Colour


@dataclass(frozen=True, slots=True, eq=False)
class Explained:
    """What the stages of a split handed on.

    Parameters
    ----------
    page : ndarray
        uint8, shape (rows, cols, 3), sRGB: the page at the scale at which it is looked at.
    something : ndarray or None
        uint8, shape (rows, cols), above 0 where there is something; None where the page has no background.
    colour : tuple of int or None
        The background's colour; None where it is transparent, no single colour, or there is none.
    transparent : bool
        Whether transparency says what is background.
    threshold : float
        Levels of colour; what is further from the background is something.
    regions : tuple of Region or None
        What hangs together; None where nothing had to be looked for.
    groups : tuple of Region
        What belongs together.
    """

    page: NDArray[np.uint8]
    something: NDArray[Any] | None
    colour: Colour | None
    transparent: bool
    threshold: float
    regions: tuple[Region, ...] | None
    groups: tuple[Region, ...]

    @property
    def background_share(self) -> float:
        """How much of the page is background, 0 to 1."""
        return 0.0 if self.something is None else 1 - cv2.countNonZero(self.something) / self.something.size


class _Notes(Watcher):
    """Writes down what each stage hands on."""

    def __init__(self) -> None:
        self.seen: tuple[Working, Background | None, float, NDArray[Any] | None] | None = None
        self.found: tuple[Region, ...] | None = None
        self.joined: tuple[Region, ...] = ()

    def background(
        self, page: Working, background: Background | None, threshold: float, mask: NDArray[Any], fills: bool
    ) -> None:
        self.seen = (page, background, threshold, None if fills else mask)

    def regions(self, found: Sequence[Region]) -> None:
        self.found = tuple(found)

    def groups(self, found: Sequence[Region]) -> None:
        self.joined = tuple(found)

    def explained(self) -> Explained:
        """All of it."""
        assert self.seen is not None
        page, background, threshold, mask = self.seen
        rgb = np.asarray(cv2.cvtColor(page.lab, cv2.COLOR_LAB2RGB), np.uint8)
        transparent = background is None and page.opaque is not None
        return Explained(
            _over_chequers(rgb, page.opaque) if page.opaque is not None else rgb,
            mask,
            _colour_of(background) if background is not None and mask is not None else None,
            transparent,
            threshold,
            self.found,
            self.joined,
        )


def explained_split(
    raster: Raster, ppi: PagePpi, hints: SplitHints = NO_HINTS, known_boxes: Sequence[KnownBox] = ()
) -> tuple[Split, Explained]:
    """Split a page and keep what each stage handed on; parameters as `split_page`."""
    notes = _Notes()
    split = split_page(raster, ppi, hints, known_boxes, notes)
    return split, notes.explained()


def draw_background(explained: Explained) -> NDArray[np.uint8]:
    """The page with chequers where it is background: uint8, shape (rows, cols, 3)."""
    if explained.something is None:
        return explained.page
    return _over_chequers(explained.page, explained.something)


def draw_regions(explained: Explained) -> NDArray[np.uint8]:
    """What hangs together, solid things in colours and small parts dark, over the paled page."""
    picture = paled(explained.page)
    solid = 0
    for region in _in_order(explained.regions or ()):
        _cover(picture, region, PART if region.is_part else PALETTE[solid % len(PALETTE)])
        solid += not region.is_part
    return picture


def draw_groups(explained: Explained) -> NDArray[np.uint8]:
    """What belongs together, each group in one colour within a line around it, over the paled page."""
    picture = paled(explained.page)
    for index, region in enumerate(_in_order(explained.groups)):
        colour = PALETTE[index % len(PALETTE)]
        _cover(picture, region, colour)
        contours, _ = cv2.findContours(region.mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
        around = cv2.convexHull(np.concatenate(contours)) if region.parts > 1 else np.concatenate(contours)
        lines = [around] if region.parts > 1 else list(contours)
        corner = np.array([region.left, region.top])
        shifted = [line + corner for line in lines]
        cv2.polylines(picture, shifted, True, _darker(colour), 2, cv2.LINE_AA)
    return picture


def draw_edges(
    page: NDArray[np.uint8], elements: Sequence[Element], page_px: tuple[int, int], colours: EdgeColours
) -> NDArray[np.uint8]:
    """The outlines and openings of elements over the slightly paled page.

    Parameters
    ----------
    page : ndarray
        uint8, shape (rows, cols, 3), sRGB, at any scale.
    elements : sequence of Element
        In page pixels.
    page_px : tuple of int
        Width and height of the page at full scale.
    colours : EdgeColours
        What is drawn in which.
    """
    picture = paled(page, 0.25)
    scale = np.array([picture.shape[1] / page_px[0], picture.shape[0] / page_px[1]])
    for element in elements:
        colour = colours.rectangle if element.rectangular else colours.cut_out
        colour = colours.by_hand if element.by_hand else colour
        for outline in (element.outline, *element.holes):
            points = np.round(np.array(outline) * scale * 16 - 8).astype(np.int32)
            cv2.polylines(picture, [points], True, (255, 255, 255), 5, cv2.LINE_AA, shift=4)
            cv2.polylines(picture, [points], True, colour, 2, cv2.LINE_AA, shift=4)
    return picture


def paled(page: NDArray[np.uint8], by: float = PALED) -> NDArray[np.uint8]:
    """A page on its way to the chequers' light colour, for other things to be seen upon."""
    ground = np.full_like(page, CHEQUERS[0])
    return np.asarray(cv2.addWeighted(page, 1 - by, ground, by, 0), np.uint8)


def _over_chequers(page: NDArray[np.uint8], something: NDArray[Any]) -> NDArray[np.uint8]:
    rows, cols = page.shape[:2]
    dark = (np.arange(rows)[:, None] // SQUARE + np.arange(cols) // SQUARE) % 2
    chequers = np.array(CHEQUERS, np.uint8)[dark]
    return np.where(something[..., None] > 0, page, chequers)


def _in_order(regions: Sequence[Region]) -> list[Region]:
    """As they are read, so that neighbours get colours of their own."""
    boxes = [PixelBox(region.left, region.top, region.right, region.bottom) for region in regions]
    return [regions[index] for index in reading_order(boxes)]


def _cover(picture: NDArray[np.uint8], region: Region, colour: Colour) -> None:
    part = picture[region.top : region.bottom, region.left : region.right]
    flat = np.full_like(part, colour)
    cv2.copyTo(cv2.addWeighted(part, 1 - COVER, flat, COVER, 0), region.mask, part)


def _darker(colour: Colour) -> Colour:
    red, green, blue = (int(0.6 * level) for level in colour)
    return red, green, blue


def _colour_of(background: Background) -> Colour | None:
    if not background.is_flat:
        return None
    lab = np.clip(np.round(background.ground), 0, 255).astype(np.uint8)
    red, green, blue = cv2.cvtColor(lab, cv2.COLOR_LAB2RGB)[0, 0].tolist()
    return red, green, blue
