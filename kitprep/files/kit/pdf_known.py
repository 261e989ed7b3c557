"""What on a rendered PDF page is one thing for certain, from what the page paints.

A picture by itself is one thing, with all that is painted within it; so are lines and fills that touch or
overlap, as far as a box can say. What touches a picture without lying within it makes that uncertain, and
two pictures that touch may be one: such are left to the pixels. What covers the page is its background.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil
from typing import TYPE_CHECKING, Any

from kitprep.files.kit.laying import box_of
from kitprep.files.kit.limits import too_many_pixels
from kitprep.files.kit.mupdf import mupdf_module
from kitprep.files.kit.orientation import orientation_of, stood_upright
from kitprep.files.kit.pdf_painted import Paint, Painted, Rectangle
from kitprep.pages import Affine, KnownBox, PixelBox

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

GROUND = 0.8  # of the page's area; what covers more is what things lie on
NEAR = 1.0  # page px: things nearer than this touch
ON_IT = 0.8  # of a line of text that lies on a thing; a font's own box is larger than its letters
MOST_THINGS = 2_000  # more are a texture
MOST_MASK_PIXELS = 100_000_000  # of all cut-outs of a page
VISIBLE, SOLID = 128, 250  # levels of a mask
LEAST_SOLID = 0.5  # of what can be seen; less is a shadow or a veil


@dataclass(frozen=True, slots=True, eq=False)
class _Thing:
    """Something painted, in page pixels."""

    paint: Paint
    box: Rectangle
    cover: NDArray[np.uint8] | None = None


def known_boxes(
    painted: Sequence[Painted], to_page: Affine, page_px: tuple[int, int], per_raster_px: float
) -> tuple[KnownBox, ...]:
    """The boxes of what is known, in the order in which they were begun.

    Parameters
    ----------
    painted : sequence of Painted
        What the page paints.
    to_page : Affine
        From MuPDF's points to page pixels.
    page_px : tuple of int
        Width and height of the page.
    per_raster_px : float
        Page pixels to a pixel of the raster, for which covers need be no finer.
    """
    page = (0.0, 0.0, float(page_px[0]), float(page_px[1]))
    shown = [(one, _shared(_moved(one.box, to_page), page)) for one in painted]
    shown = [(one, box) for one, box in shown if box[0] < box[2] and box[1] < box[3]]
    on_ground = [(one, box) for one, box in shown if _area(box) <= GROUND * _area(page)]
    if len(on_ground) > MOST_THINGS:
        return ()
    masks = _Masks(to_page, per_raster_px)
    things = [thing for one, box in on_ground if (thing := masks.thing(one, box)) is not None]
    known = [known for group in _groups(things) if (known := _known(group)) is not None]
    # One thing on a ground that fills the page may be part of a paper; several lie on it.
    return () if len(known) < 2 and len(on_ground) < len(shown) else tuple(known)


class _Masks:
    """Decodes the masks of cut-outs, within a limit for the page."""

    def __init__(self, to_page: Affine, per_raster_px: float) -> None:
        self._to_page, self._per_raster_px = to_page, per_raster_px
        self._left = MOST_MASK_PIXELS

    def thing(self, painted: Painted, box: Rectangle) -> _Thing | None:
        """What was painted, in page pixels; None where it is too faint to be seen as a thing."""
        if painted.paint is not Paint.CUT_OUT or painted.matrix is None:
            return _Thing(painted.paint, box)
        size = painted.mask.w(), painted.mask.h()
        self._left -= size[0] * size[1]
        if self._left < 0 or too_many_pixels(*size):
            return _Thing(Paint.DRAWING, box)
        place = Affine(1 / size[0], 0, 0, 1 / size[1], 0, 0).then(painted.matrix).then(self._to_page)
        return _cut_out(_levels(painted.mask), place, box, self._per_raster_px)


def _levels(mask: Any) -> NDArray[np.uint8]:
    """The mask's own pixels, 255 where it is opaque: uint8, shape (rows, cols)."""
    import numpy as np

    drawn = mupdf_module().Pixmap("raw", mask.fz_get_unscaled_pixmap_from_image())
    rows = np.frombuffer(drawn.samples, np.uint8).reshape(drawn.height, drawn.stride)
    return rows[:, : drawn.width * drawn.n : drawn.n]


def _cut_out(levels: NDArray[np.uint8], place: Affine, box: Rectangle, per_raster_px: float) -> _Thing | None:
    """A cut-out within a box of the page, from its mask; None where hardly anything of it is solid."""
    import numpy as np
    from PIL import Image

    orientation = orientation_of(place)
    assert orientation is not None
    upright = stood_upright(Image.fromarray(np.ascontiguousarray(levels)), orientation)
    own = _moved((0, 0, levels.shape[1], levels.shape[0]), place)
    across, down = (own[2] - own[0]) / upright.width, (own[3] - own[1]) / upright.height
    seen = np.asarray(upright)
    first = max(0, round((box[0] - own[0]) / across)), max(0, round((box[1] - own[1]) / down))
    seen = seen[first[1] : round((box[3] - own[1]) / down), first[0] : round((box[2] - own[0]) / across)]
    there = seen >= VISIBLE
    count = np.count_nonzero(there)
    if count == 0 or np.count_nonzero(seen >= SOLID) < LEAST_SOLID * count:
        return None
    columns, rows = np.flatnonzero(there.any(axis=0)), np.flatnonzero(there.any(axis=1))
    left, right, top, bottom = columns[0], columns[-1] + 1, rows[0], rows[-1] + 1
    part = Image.fromarray(np.ascontiguousarray(seen[top:bottom, left:right]))
    x, y = own[0] + first[0] * across, own[1] + first[1] * down
    visible = x + left * across, y + top * down, x + right * across, y + bottom * down
    size = (
        max(1, ceil((visible[2] - visible[0]) / per_raster_px)),
        max(1, ceil((visible[3] - visible[1]) / per_raster_px)),
    )
    return _Thing(Paint.CUT_OUT, visible, np.asarray(part.resize(size, Image.Resampling.BOX)))


def _groups(things: Sequence[_Thing]) -> list[list[_Thing]]:
    """The things, each group those that touch, one through another."""
    import numpy as np

    if not things:
        return []
    left, top, right, bottom = np.array([thing.box for thing in things]).T
    group = np.arange(len(things))
    for at in range(len(things)):
        meets = (left[:at] < right[at] + NEAR) & (right[:at] > left[at] - NEAR)
        meets &= (top[:at] < bottom[at] + NEAR) & (bottom[:at] > top[at] - NEAR)
        met = np.unique(group[:at][meets])
        if len(met):
            group[: at + 1][np.isin(group[: at + 1], met)] = met[0]
            group[at] = met[0]
    gathered: dict[int, list[_Thing]] = {}
    for thing, number in zip(things, group.tolist(), strict=True):
        gathered.setdefault(number, []).append(thing)
    return list(gathered.values())


def _known(group: Sequence[_Thing]) -> KnownBox | None:
    pictures = [thing for thing in group if thing.paint in (Paint.PICTURE, Paint.CUT_OUT)]
    for picture in pictures:
        if all(_lies_on(thing, picture.box) for thing in group):
            return KnownBox(_whole_px(picture.box), cover=picture.cover)
    solid = [thing.box for thing in group if thing.paint is not Paint.TEXT]
    if len(pictures) > 1 or not solid:
        return None
    around = _united(solid)
    beside = [thing.box for thing in group if thing.paint is Paint.TEXT and not _lies_on(thing, around)]
    return KnownBox(_whole_px(_united([around, *beside])), is_drawing=True)


def _lies_on(thing: _Thing, box: Rectangle) -> bool:
    if thing.paint is Paint.TEXT:
        return _area(_shared(thing.box, box)) >= ON_IT * _area(thing.box)
    around = (box[0] - NEAR, box[1] - NEAR, box[2] + NEAR, box[3] + NEAR)
    return _shared(thing.box, around) == thing.box


def _whole_px(box: Rectangle) -> PixelBox:
    return box_of((1, 1), Affine(box[2] - box[0], 0, 0, box[3] - box[1], box[0], box[1]))


def _moved(box: Rectangle, matrix: Affine) -> Rectangle:
    across, down = zip(matrix(box[0], box[1]), matrix(box[2], box[3]), strict=True)
    return min(across), min(down), max(across), max(down)


def _united(boxes: Sequence[Rectangle]) -> Rectangle:
    left, top, right, bottom = zip(*boxes, strict=True)
    return min(left), min(top), max(right), max(bottom)


def _shared(one: Rectangle, other: Rectangle) -> Rectangle:
    return max(one[0], other[0]), max(one[1], other[1]), min(one[2], other[2]), min(one[3], other[3])


def _area(box: Rectangle) -> float:
    return max(0.0, box[2] - box[0]) * max(0.0, box[3] - box[1])
