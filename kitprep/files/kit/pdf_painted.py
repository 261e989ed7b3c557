"""What a rendered PDF page paints, thing by thing, and where: MuPDF tells it while it draws.

Coordinates are points of the upright page, y down from its top left corner, as MuPDF has them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from math import hypot
from typing import Any

from kitprep.files.kit.mupdf import mupdf_module
from kitprep.files.kit.orientation import orientation_of
from kitprep.pages import Affine

Rectangle = tuple[float, float, float, float]
"""Left, top, right, bottom."""

MOST_CALLS = 20_000  # a page that draws more is a texture or a map, and would take long to follow
SAME_PLACE = 1e-3  # points; a mask lies where its picture does
FAINT = 0.5  # what is painted fainter than this does not make a rectangle of its own
_EVERYWHERE: Rectangle = (-1e9, -1e9, 1e9, 1e9)
_CALLS = (
    "fill_path", "stroke_path", "fill_text", "stroke_text", "fill_shade", "fill_image", "fill_image_mask",
    "clip_path", "clip_stroke_path", "clip_text", "clip_stroke_text", "clip_image_mask", "pop_clip",
    "begin_mask", "end_mask", "begin_tile", "end_tile",
)  # fmt: skip


class Paint(Enum):
    """What was painted."""

    PICTURE = "picture"
    """An opaque picture that stands straight, cut by nothing but rectangles."""
    CUT_OUT = "cut-out"
    """A picture that stands straight, with a mask of its own."""
    DRAWING = "drawing"
    """Lines, fills, and pictures of any other kind."""
    TEXT = "text"


@dataclass(frozen=True, slots=True, eq=False)
class Painted:
    """One thing painted.

    Parameters
    ----------
    paint : Paint
        What it is.
    box : tuple of float
        Where it can be seen, the cuts around it heeded. That of curves may be too large.
    matrix : Affine or None
        Of a picture: from the unit square, y down, to the page.
    mask : pymupdf.mupdf.FzImage or None
        Of a cut-out; good while its document is open.
    """

    paint: Paint
    box: Rectangle
    matrix: Affine | None = None
    mask: Any = None


def painted_by(listed: Any) -> tuple[Painted, ...] | None:
    """What a display list paints, in that order; None where it is too much to follow.

    Parameters
    ----------
    listed : pymupdf.DisplayList
        Of a page; good while its document is open.
    """
    mupdf = mupdf_module().mupdf
    cookie = mupdf.FzCookie()
    watching = _Watching(cookie.m_internal)
    device = _device(watching)
    everywhere = mupdf.FzRect(mupdf.FzRect.Fixed_INFINITE)
    mupdf.fz_run_display_list(listed.this, device, mupdf.FzMatrix(), everywhere, cookie)
    mupdf.fz_close_device(device)
    if watching.fault is not None:
        raise watching.fault
    return None if watching.is_lost else tuple(watching.painted)


def _device(watching: _Watching) -> Any:
    """A device of MuPDF's that passes its calls on."""
    methods = {name: _passing(watching, getattr(watching, name)) for name in _CALLS}
    device = type("WatchedDevice", (mupdf_module().mupdf.FzDevice2,), methods)()
    for name in _CALLS:
        getattr(device, f"use_virtual_{name}")()
    return device


def _passing(watching: _Watching, method: Callable[..., int | None]) -> Callable[..., int | None]:
    def call(_device: Any, _context: Any, *arguments: Any) -> int | None:
        if not watching.goes_on():
            return 0
        try:
            return method(*arguments)
        except Exception as fault:  # noqa: BLE001  MuPDF would print it to the terminal and go on
            watching.stop(fault)
            return 0

    return call


@dataclass(frozen=True, slots=True, eq=False)
class _Cut:
    """What a clip leaves to be seen, with all the clips around it."""

    box: Rectangle = _EVERYWHERE
    straight: bool = True
    mask: Any = None
    matrix: Affine | None = None
    masks: int = 0


class _Watching:
    """Gathers what is painted from the calls that MuPDF makes of a device."""

    def __init__(self, cookie: Any) -> None:
        self.painted: list[Painted] = []
        self.calls = 0
        self.fault: Exception | None = None
        self._cookie = cookie
        self._cuts = [_Cut()]
        self._masks: list[Rectangle] = []  # of soft masks being drawn, which nobody sees

    def stop(self, fault: Exception) -> None:
        """Heed no more calls, for a fault."""
        self.fault = fault
        self._cookie.abort = 1

    @property
    def is_lost(self) -> bool:
        """Whether there was too much to follow."""
        return self.calls > MOST_CALLS

    def goes_on(self) -> bool:
        """Count a call; whether it is still to be heeded."""
        self.calls += 1
        if self.is_lost:
            self._cookie.abort = 1
        return self.fault is None and not self.is_lost

    def fill_path(self, path: Any, _even_odd: int, matrix: Any, *_: Any) -> None:
        self._add(Paint.DRAWING, _bound(path, matrix))

    def stroke_path(self, path: Any, stroke: Any, matrix: Any, *_: Any) -> None:
        self._add(Paint.DRAWING, _bound_of_line(path, stroke, matrix))

    def fill_text(self, text: Any, matrix: Any, *_: Any) -> None:
        self._add(Paint.TEXT, _plain(mupdf_module().mupdf.ll_fz_bound_text(text, None, matrix)))

    def stroke_text(self, text: Any, stroke: Any, matrix: Any, *_: Any) -> None:
        self._add(Paint.TEXT, _plain(mupdf_module().mupdf.ll_fz_bound_text(text, stroke, matrix)))

    def fill_shade(self, shade: Any, matrix: Any, *_: Any) -> None:
        self._add(Paint.DRAWING, _plain(mupdf_module().mupdf.ll_fz_bound_shade(shade, matrix)))

    def fill_image(self, image: Any, matrix: Any, alpha: float, *_: Any) -> None:
        place, cut = _affine(matrix), self._cuts[-1]
        kind = Paint.DRAWING
        if orientation_of(place) is not None and not image.use_colorkey and alpha > FAINT:
            if cut.straight and not cut.masks:
                kind = Paint.PICTURE
            elif cut.straight and cut.masks == 1 and _same_place(cut.matrix, place):
                kind = Paint.CUT_OUT
        self._add(kind, _around(place), place, cut.mask if kind is Paint.CUT_OUT else None)

    def fill_image_mask(self, _image: Any, matrix: Any, *_: Any) -> None:
        self._add(Paint.DRAWING, _around(_affine(matrix)))

    def clip_path(self, path: Any, _even_odd: int, matrix: Any, *_: Any) -> None:
        straight = bool(mupdf_module().mupdf.ll_fz_path_is_rect(path, matrix))
        self._cut(_bound(path, matrix), straight)

    def clip_stroke_path(self, path: Any, stroke: Any, matrix: Any, *_: Any) -> None:
        self._cut(_bound_of_line(path, stroke, matrix), False)

    def clip_text(self, text: Any, matrix: Any, *_: Any) -> None:
        self._cut(_plain(mupdf_module().mupdf.ll_fz_bound_text(text, None, matrix)), False)

    def clip_stroke_text(self, text: Any, stroke: Any, matrix: Any, *_: Any) -> None:
        self._cut(_plain(mupdf_module().mupdf.ll_fz_bound_text(text, stroke, matrix)), False)

    def clip_image_mask(self, image: Any, matrix: Any, *_: Any) -> None:
        mupdf = mupdf_module().mupdf
        around, place = self._cuts[-1], _affine(matrix)
        mask = mupdf.FzImage(mupdf.ll_fz_keep_image(image))
        box = _shared(around.box, _around(place))
        self._cuts.append(_Cut(box, around.straight, mask, place, around.masks + 1))

    def pop_clip(self) -> None:
        if len(self._cuts) > 1:
            self._cuts.pop()

    def begin_mask(self, area: Any, *_: Any) -> None:
        self._masks.append(_plain(area))

    def end_mask(self, *_: Any) -> None:
        self._cut(self._masks.pop() if self._masks else _EVERYWHERE, False)

    def begin_tile(self, *_: Any) -> int:
        self._add(Paint.DRAWING, _EVERYWHERE)
        return 1  # MuPDF's way to be told that the tile is known, so that it does not draw it

    def end_tile(self) -> None:
        """Nothing is drawn until here."""

    def _cut(self, box: Rectangle, straight: bool) -> None:
        around = self._cuts[-1]
        self._cuts.append(
            _Cut(
                _shared(around.box, box),
                around.straight and straight,
                around.mask,
                around.matrix,
                around.masks,
            )
        )

    def _add(self, paint: Paint, box: Rectangle, matrix: Affine | None = None, mask: Any = None) -> None:
        seen = _shared(box, self._cuts[-1].box)
        if not self._masks and seen[0] < seen[2] and seen[1] < seen[3]:
            self.painted.append(Painted(paint, seen, matrix, mask))


def _bound(path: Any, matrix: Any) -> Rectangle:
    return _plain(mupdf_module().mupdf.ll_fz_bound_path(path, None, matrix))


def _bound_of_line(path: Any, stroke: Any, matrix: Any) -> Rectangle:
    """The box of a line drawn along a path; MuPDF's own allows for the longest corner there could be."""
    left, top, right, bottom = _bound(path, matrix)
    across = 0.5 * stroke.linewidth * hypot(matrix.a, matrix.c)
    down = 0.5 * stroke.linewidth * hypot(matrix.b, matrix.d)
    return left - across, top - down, right + across, bottom + down


def _plain(box: Any) -> Rectangle:
    return float(box.x0), float(box.y0), float(box.x1), float(box.y1)


def _affine(matrix: Any) -> Affine:
    return Affine(*(float(getattr(matrix, name)) for name in "abcdef"))


def _around(matrix: Affine) -> Rectangle:
    across, down = zip(*(matrix(x, y) for x, y in ((0, 0), (1, 0), (1, 1), (0, 1))), strict=True)
    return min(across), min(down), max(across), max(down)


def _same_place(one: Affine | None, other: Affine) -> bool:
    if one is None:
        return False
    return all(abs(getattr(one, name) - getattr(other, name)) <= SAME_PLACE for name in "abcdef")


def _shared(one: Rectangle, other: Rectangle) -> Rectangle:
    return (
        max(one[0], other[0]),
        max(one[1], other[1]),
        min(one[2], other[2]),
        min(one[3], other[3]),
    )
