"""Which pixels of which picture a set of sheets needs, and where each is drawn.

A picture's JPEG goes in whole, once, unless the parts that are used, packed without loss, are smaller;
then only those parts go in, each once for all copies. Either way the pixels are the bought ones.

Page pixels, piece points and paper lengths have y down; the matrices made here end in PDF points with
the origin at the lower left (ISO 32000-1, 8.3.2.3).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import reduce
from math import ceil, floor
from typing import TYPE_CHECKING, Literal

from kitprep.files.kit.placed import PlacedPicture
from kitprep.files.pdf.streams import CHANNELS, ImageStreams
from kitprep.pages import Affine, PixelBox
from kitprep.piece.artwork import Artwork, MadePicture
from kitprep.sheet import Sheet, SheetPiece

if TYPE_CHECKING:
    import numpy as np
    import pikepdf
    from numpy.typing import NDArray

Rectangle = tuple[float, float, float, float]
"""Left, top, right, bottom in whatever unit is said."""

_SAME_PT = 1e-6
_SEAM_PX = 0.25  # reflections reach that far under the picture; more would show
_LEANING = 1e-4  # a slope over which a box's side is no longer along the seam
_GLANCE = 16  # pixels: a picture with hue shows it in one of so many rows and columns, most often
_SPARE_PX = 2  # around a crop, for viewers that look at neighbouring pixels when they scale
# A lossless byte count per channel pixel from the JPEG's own bytes per channel pixel, fitted by eye to
# photographs at qualities 80 to 98: 0.3 + 1.1 x, within a third. What is packed is compared with the
# JPEG once more, so a wrong guess costs time or some bytes, never pixels.
_LOSSLESS_BASE, _LOSSLESS_SLOPE = 0.3, 1.1


@dataclass(frozen=True, slots=True, eq=False)
class Drawing:
    """A picture's pixels drawn once on one sheet.

    Parameters
    ----------
    source : PlacedPicture or MadePicture
        Whose pixels.
    box : PixelBox
        Which of its own pixels show.
    matrix : Affine
        From its own pixels to PDF points on the sheet.
    clip : tuple of float or None
        (left, bottom, right, top) in PDF points; None where all of it shows.
    """

    source: PlacedPicture | MadePicture
    box: PixelBox
    matrix: Affine
    clip: Rectangle | None


def drawings(sheet: Sheet, pictures: Callable[[str], tuple[PlacedPicture, ...]]) -> Iterator[Drawing]:
    """Everything a sheet shows of pictures, first below."""
    height = sheet.paper.size.height.points
    for piece in sheet.pieces:
        if piece.artwork is None:
            continue
        to_sheet = placed(piece).then(Affine(1, 0, 0, -1, 0, height))
        if piece.artwork.made is not None:
            yield _made(piece.artwork.made, to_sheet)
        else:
            yield from _patches(piece.artwork, to_sheet, pictures(piece.artwork.page))


def placed(piece: SheetPiece) -> Affine:
    """From piece points to points on the paper, y down, turned clockwise by the piece's quarters."""
    trim = piece.trim
    left, top, right, bottom = (side.points for side in (trim.left, trim.top, trim.right, trim.bottom))
    return (
        Affine(1, 0, 0, 1, left, top),
        Affine(0, 1, -1, 0, right, top),
        Affine(-1, 0, 0, -1, right, bottom),
        Affine(0, -1, 1, 0, left, bottom),
    )[piece.quarters]


class ImageObjects:
    """The image objects of one PDF, each made once.

    Parameters
    ----------
    pdf : pikepdf.Pdf
        The file.
    everything : sequence of Drawing
        All that will be drawn in it, so that whole or part can be chosen for each picture.
    """

    def __init__(self, pdf: pikepdf.Pdf, everything: Sequence[Drawing]) -> None:
        self._streams = ImageStreams(pdf)
        self._crops = _crops(everything)
        self._whole: dict[str, bool] = {}
        self._parts: dict[str, dict[PixelBox, pikepdf.Object]] = {}
        self._made: dict[tuple[object, ...], pikepdf.Object] = {}

    @property
    def identity(self) -> bytes:
        """What tells the pictures made so far from others, without looking at their pixels again."""
        parts = [(key, tuple(boxes)) for key, boxes in self._parts.items()]
        return repr((parts, list(self._made))).encode()

    def image(self, drawing: Drawing) -> tuple[pikepdf.Object, Affine]:
        """The object that shows a drawing, and the matrix from its unit square to PDF points."""
        source = drawing.source
        if isinstance(source, MadePicture):
            rows, columns = source.pixels.shape[:2]
            image = self._once(_made_key(source), lambda: self._pack_made(source))
            return image, _unit(PixelBox(0, 0, columns, rows)).then(drawing.matrix)
        if self._goes_whole(source):
            image = self._once((source.key,), lambda: self._whole_jpeg(source))
            return image, _unit(PixelBox(0, 0, *source.size_px)).then(drawing.matrix)
        crop = next(box for box in self._crops[source.key] if box.contains(drawing.box))
        return self._packed(source)[crop], _unit(crop).then(drawing.matrix)

    def _once(self, key: tuple[object, ...], make: Callable[[], pikepdf.Object]) -> pikepdf.Object:
        if key not in self._made:
            self._made[key] = make()
        return self._made[key]

    def _goes_whole(self, picture: PlacedPicture) -> bool:
        if picture.jpeg is None:
            return False
        if picture.key not in self._whole:
            self._whole[picture.key] = self._choose(picture, len(picture.jpeg))
        return self._whole[picture.key]

    def _choose(self, picture: PlacedPicture, jpeg_bytes: int) -> bool:
        """Whether the whole JPEG is no larger than its used parts packed without loss."""
        crops = self._crops[picture.key]
        channels = CHANNELS[picture.mode]
        used = sum(box.width * box.height for box in crops) * channels
        density = jpeg_bytes / (picture.size_px[0] * picture.size_px[1] * channels)
        if used * (_LOSSLESS_BASE + _LOSSLESS_SLOPE * density) >= jpeg_bytes:
            return True
        packed = self._packed(picture).values()
        return sum(int(image.stream_dict.Length) for image in packed) >= jpeg_bytes

    def _whole_jpeg(self, picture: PlacedPicture) -> pikepdf.Object:
        assert picture.jpeg is not None
        return self._streams.jpeg(
            picture.jpeg, picture.size_px, picture.mode, picture.icc, inverted=picture.inverted
        )

    def _packed(self, picture: PlacedPicture) -> dict[PixelBox, pikepdf.Object]:
        """All used parts of a picture without loss; it is decoded once for all of them."""
        if picture.key not in self._parts:
            crops = self._crops[picture.key]
            whole = reduce(_around, crops)
            pixels = picture.read(whole)
            parts = [_part(pixels, box, whole) for box in crops]
            parts, mode = _without_hue(parts, picture.mode) if picture.icc is None else (parts, picture.mode)
            images = self._streams.pixels(
                parts,
                mode,
                picture.icc,
                has_alpha=picture.has_alpha,
                inverted=picture.inverted,
            )
            self._parts[picture.key] = dict(zip(crops, images, strict=True))
        return self._parts[picture.key]

    def _pack_made(self, made: MadePicture) -> pikepdf.Object:
        has_alpha = made.pixels.shape[2] == 4
        pixels = made.pixels.astype("uint8", casting="safe", copy=False)  # sheets are made of eight bits
        parts, mode = _without_hue([pixels], "RGB")
        return self._streams.pixels(parts, mode, None, has_alpha=has_alpha, inverted=False)[0]


def _patches(artwork: Artwork, to_sheet: Affine, pictures: tuple[PlacedPicture, ...]) -> Iterator[Drawing]:
    for patch in artwork.patches:
        clip = _bounds(to_sheet, patch.clip)
        for picture in pictures:
            to_piece = picture.matrix.then(patch.matrix)
            left, top, right, bottom = _bounds(to_piece.inverse, patch.clip)
            seen = PixelBox(
                floor(left) - _SPARE_PX,
                floor(top) - _SPARE_PX,
                ceil(right) + _SPARE_PX,
                ceil(bottom) + _SPARE_PX,
            ).clipped(_clean(artwork, picture))
            if seen.width and seen.height:
                yield Drawing(picture, seen, to_piece.then(to_sheet), clip)


def _clean(artwork: Artwork, picture: PlacedPicture) -> PixelBox:
    """The pixels that a piece may show of a picture: all but those beyond the seams of its last patch.

    That patch is the picture itself. A side of it that is no side of the bleed is a seam, where a reflection
    hides what lies beyond; a viewer that scales down must not find it either.
    """
    patch, past = artwork.patches[-1], artwork.bleed.points
    whole = (-past, -past, artwork.trim.width.points + past, artwork.trim.height.points + past)
    seams = [abs(side - edge) > _SAME_PT for side, edge in zip(patch.clip, whole, strict=True)]
    back = picture.matrix.then(patch.matrix).inverse
    edges = _bounds(back, patch.clip)
    limits = (0, 0, *picture.size_px)
    sides = [
        _at_seam(edge, outward) if seam else limit
        for edge, seam, limit, outward in zip(
            edges, _turned_with(back, seams), limits, (floor, floor, ceil, ceil), strict=True
        )
    ]
    return PixelBox(*sides).clipped(PixelBox(*limits))


def _turned_with(back: Affine, seams: Sequence[bool]) -> tuple[bool, bool, bool, bool]:
    """Which sides of the pixels' box the seams (left, top, right, bottom of the piece) are.

    A leaning element's seam runs across pixels, so it is none of the box's sides.
    """
    found = [False] * 4
    for seam, (x, y) in zip(seams, ((-1, 0), (0, -1), (1, 0), (0, 1)), strict=True):
        right, down = back.a * x + back.c * y, back.b * x + back.d * y
        if seam and min(abs(right), abs(down)) < _LEANING * max(abs(right), abs(down)):
            side = (2 if right > 0 else 0) if abs(right) > abs(down) else (3 if down > 0 else 1)
            found[side] = True
    return found[0], found[1], found[2], found[3]


def _at_seam(edge: float, outward: Callable[[float], int]) -> int:
    """The whole pixel at a seam, where it runs there; else the one that it runs through."""
    nearest = round(edge)
    return nearest if abs(edge - nearest) <= _SEAM_PX else outward(edge)


def _made(made: MadePicture, to_sheet: Affine) -> Drawing:
    rows, columns = made.pixels.shape[:2]
    left, top, right, bottom = made.place
    to_piece = Affine((right - left) / columns, 0, 0, (bottom - top) / rows, left, top)
    return Drawing(made, PixelBox(0, 0, columns, rows), to_piece.then(to_sheet), None)


def _without_hue(
    parts: list[NDArray[np.uint8]], mode: Literal["L", "RGB", "CMYK"]
) -> tuple[list[NDArray[np.uint8]], Literal["L", "RGB", "CMYK"]]:
    """Pixels that are grey all over as grey: a printer then uses black alone, and no mix of its colours."""
    if mode != "RGB" or not all(_is_neutral(part[::_GLANCE, ::_GLANCE]) for part in parts):
        return parts, mode
    return ([part[..., 2:] for part in parts], "L") if all(map(_is_neutral, parts)) else (parts, mode)


def _is_neutral(part: NDArray[np.uint8]) -> bool:
    return bool((part[..., 0] == part[..., 1]).all() and (part[..., 1] == part[..., 2]).all())


def _made_key(made: MadePicture) -> tuple[object, ...]:
    from hashlib import sha256

    return made.pixels.shape, sha256(made.pixels.tobytes()).digest()


def _unit(box: PixelBox) -> Affine:
    """From the unit square an image fills (ISO 32000-1, 8.9.4) to the pixels of a box, y down."""
    return Affine(box.width, 0, 0, -box.height, box.left, box.bottom)


def _bounds(through: Affine, box: Rectangle) -> Rectangle:
    left, top, right, bottom = box
    corners = [through(x, y) for x in (left, right) for y in (top, bottom)]
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    return min(xs), min(ys), max(xs), max(ys)


def _crops(everything: Sequence[Drawing]) -> dict[str, list[PixelBox]]:
    """For each picture the parts that are used, joined where two together are no larger than apart."""
    needed: dict[str, dict[PixelBox, None]] = {}
    for drawing in everything:
        if isinstance(drawing.source, PlacedPicture):
            needed.setdefault(drawing.source.key, {})[drawing.box] = None
    return {key: _joined(list(boxes)) for key, boxes in needed.items()}


def _joined(boxes: list[PixelBox]) -> list[PixelBox]:
    joined: list[PixelBox] = []
    for box in sorted(boxes, key=lambda box: -box.width * box.height):
        grew = True
        while grew:
            grew = False
            for other in joined:
                both = _around(box, other)
                if _area(both) <= _area(box) + _area(other):
                    joined.remove(other)
                    box, grew = both, True
                    break
        joined.append(box)
    return joined


def _part(pixels: NDArray[np.uint8], box: PixelBox, of: PixelBox) -> NDArray[np.uint8]:
    return pixels[box.top - of.top : box.bottom - of.top, box.left - of.left : box.right - of.left]


def _around(one: PixelBox, other: PixelBox) -> PixelBox:
    return PixelBox(
        min(one.left, other.left),
        min(one.top, other.top),
        max(one.right, other.right),
        max(one.bottom, other.bottom),
    )


def _area(box: PixelBox) -> int:
    return box.width * box.height
