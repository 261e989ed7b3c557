"""Makes a piece's artwork: the page's own pixels where they serve, made ones where they must be.

A rectangular element is shown by the page itself, through matrices. Pixels are made in two cases only: a
cut-out, whose soft edge and bleed do not exist on the page, and a picture of more than 720 pixels per
inch at its printed size, which is reduced to 600.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from kitprep.lengths import Length
from kitprep.pages import Element, Outline, Page, PixelBox, Point
from kitprep.piece.artwork import Artwork, BleedSource, MadePicture
from kitprep.piece.bordering import border_reach_px, bordered
from kitprep.piece.edges import Read, soft_edges
from kitprep.piece.fitting import Fitting
from kitprep.piece.growing import coverage, grow
from kitprep.piece.mirroring import mirrored_patches
from kitprep.piece.opacity import Samples
from kitprep.piece.rendering import render_piece
from kitprep.piece.resampling import resize
from kitprep.piece.shape import Shape

MOST_PPI = 720.0  # no printer resolves more: the native grid of inkjets, common practice, no published source
REDUCED_PPI = 600.0
NO_INSETS = (0.0, 0.0, 0.0, 0.0)
THINNEST_CUT_IN = 1 / 32  # what scissors follow at all, by hand; no source
AROUND_PX = 9  # beyond the bleed: enough of the page to tell its colour


def make_artwork(
    element: Element,
    page: Page,
    page_id: str,
    fitting: Fitting,
    bleed: Length,
    read: Read,
    keep_all_pixels: bool = False,
) -> Artwork:
    """The picture of a piece, on its trim and its bleed.

    Parameters
    ----------
    element : Element
    page : Page
        The page that it is on.
    page_id : str
        Such as ``lantern-orchard/p02``.
    fitting : Fitting
        From `fit_element` for this element.
    bleed : Length
        Picture beyond the trim or the outline; zero for none.
    read : callable
        Reads a box that lies on the page: uint8, shape (rows, cols, 3) sRGB, or (rows, cols, 4) with
        straight alpha; or uint16, and then so is what is made. A rectangle is read only beside its edges,
        and only where bleed is wanted.
    keep_all_pixels : bool
        Keep more than 720 pixels per inch.

    Returns
    -------
    Artwork
    """
    if element.rectangular:
        artwork = _rectangle(page, page_id, fitting, bleed, read)
    else:
        artwork = _cut_out(element, page, page_id, fitting, bleed, read)
    too_fine = max(fitting.ppi) > MOST_PPI and not keep_all_pixels
    return _reduced(artwork, fitting, read) if too_fine else artwork


def _rectangle(page: Page, page_id: str, fitting: Fitting, bleed: Length, read: Read) -> Artwork:
    insets = soft_edges(fitting, bleed, page.box, read) if bleed else NO_INSETS
    patches, sources = mirrored_patches(fitting, bleed, insets, page.has_alpha)
    return Artwork(fitting.trim, bleed, page_id, patches, sources=sources)


def _cut_out(
    element: Element, page: Page, page_id: str, fitting: Fitting, bleed: Length, read: Read
) -> Artwork:
    bleed_px = max(bleed.pixels(ppi) for ppi in fitting.ppi)
    border = fitting.border
    border_px = max(border.width.pixels(ppi) for ppi in fitting.ppi) if border else 0.0
    outline = _clipped(element.outline, _picture_on_page(fitting))
    past = border_reach_px(border_px, bleed_px) if border else bleed_px
    box = _box_around(outline).grown(math.ceil(past) + AROUND_PX)
    pixels = _padded(read(box.clipped(page.box)), box, page.box)
    whole, part, *holes = (_moved(polygon, box) for polygon in (element.outline, outline, *element.holes))
    size_px = (box.width, box.height)
    shape = Shape(coverage([whole], size_px), coverage([part], size_px), coverage(holes, size_px))
    made = grow(pixels, shape, 0.0 if border else bleed_px, min(fitting.ppi) * THINNEST_CUT_IN)
    if border:
        made, edge = bordered(made, shape.kept, border_px, bleed_px, border.colour)
        outline = tuple((x + box.left, y + box.top) for x, y in edge)
    made, box = _trimmed(made, box)
    place = (*fitting.to_piece(box.left, box.top), *fitting.to_piece(box.right, box.bottom))
    return Artwork(
        trim=fitting.trim,
        bleed=bleed,
        page=page_id,
        patches=(),
        made=MadePicture(made, place),
        outline=tuple(fitting.to_piece(*point) for point in outline),
        sources=frozenset({BleedSource.GROWN if bleed and not border else BleedSource.NONE}),
    )


def _reduced(artwork: Artwork, fitting: Fitting, read: Read) -> Artwork:
    """The same artwork as made pixels of at most 600 pixels per inch."""
    ppi_x, ppi_y = (min(ppi, REDUCED_PPI) for ppi in fitting.ppi)
    if artwork.made is None:
        whole = artwork.trim.grown(artwork.bleed)
        size_px = max(round(whole.width.pixels(ppi_x)), 1), max(round(whole.height.pixels(ppi_y)), 1)
        past = artwork.bleed.points
        place = (-past, -past, artwork.trim.width.points + past, artwork.trim.height.points + past)
        pixels = render_piece(artwork, size_px, read)
    else:
        place = artwork.made.place
        wide, high = (place[2] - place[0]) / 72, (place[3] - place[1]) / 72
        pixels = resize(artwork.made.pixels, (max(round(wide * ppi_x), 1), max(round(high * ppi_y), 1)))
    return replace(artwork, patches=(), made=MadePicture(pixels, place))


def _picture_on_page(fitting: Fitting) -> tuple[float, float, float, float]:
    to_page = fitting.to_piece.inverse
    around = fitting.border.width.points if fitting.border else 0.0
    left, top = to_page(around, around)
    right, bottom = to_page(fitting.trim.width.points - around, fitting.trim.height.points - around)
    return left, top, right, bottom


def _clipped(outline: Outline, to: tuple[float, float, float, float]) -> Outline:
    """The part of a polygon in a box (Sutherland and Hodgman 1974); unchanged where it lies within."""
    left, top, right, bottom = to
    for axis, edge, sign in ((0, left, 1), (0, right, -1), (1, top, 1), (1, bottom, -1)):
        if any(sign * (point[axis] - edge) < -1e-6 for point in outline):
            outline = _clipped_at(outline, axis, edge, sign)
    return outline


def _clipped_at(outline: Outline, axis: int, edge: float, sign: int) -> Outline:
    kept: list[Point] = []
    for before, point in zip((outline[-1], *outline[:-1]), outline, strict=True):
        was_in, is_in = (sign * (end[axis] - edge) >= 0 for end in (before, point))
        if was_in != is_in:
            share = (edge - before[axis]) / (point[axis] - before[axis])
            kept.append(
                (before[0] + share * (point[0] - before[0]), before[1] + share * (point[1] - before[1]))
            )
        if is_in:
            kept.append(point)
    return tuple(kept)


def _box_around(outline: Outline) -> PixelBox:
    xs, ys = [x for x, _ in outline], [y for _, y in outline]
    return PixelBox(math.floor(min(xs)), math.floor(min(ys)), math.ceil(max(xs)), math.ceil(max(ys)))


def _moved(polygon: Outline, box: PixelBox) -> Outline:
    return tuple((x - box.left, y - box.top) for x, y in polygon)


def _padded(pixels: NDArray[Samples], box: PixelBox, page: PixelBox) -> NDArray[Samples]:
    """Pixels of a box of which only the part on the page was read; beyond, the page's edge is repeated."""
    seen = box.clipped(page)
    rows = (seen.top - box.top, box.bottom - seen.bottom)
    cols = (seen.left - box.left, box.right - seen.right)
    return np.pad(pixels, (rows, cols, (0, 0)), mode="edge")


def _trimmed(pixels: NDArray[Samples], box: PixelBox) -> tuple[NDArray[Samples], PixelBox]:
    """Without the clear rows and columns around it."""
    seen = pixels[..., 3] > 0
    rows, cols = np.flatnonzero(seen.any(axis=1)), np.flatnonzero(seen.any(axis=0))
    if not len(rows):
        return pixels, box
    top, bottom, left, right = int(rows[0]), int(rows[-1]) + 1, int(cols[0]), int(cols[-1]) + 1
    inner = PixelBox(box.left + left, box.top + top, box.left + right, box.top + bottom)
    return np.ascontiguousarray(pixels[top:bottom, left:right]), inner
