"""Pages of a PDF: placed pictures taken out as they are, everything else rendered.

pikepdf's and MuPDF's objects stay in the thread that made them, so every look opens the file again; that is
cheap beside a decode. A PDF page knows its printed size, so what a person gives of resolution is not for it.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import combinations
from math import ceil
from pathlib import Path
from typing import TYPE_CHECKING

from kitprep.errors import CannotRead, DamagedPdf, LockedFile, TooManyPages
from kitprep.files.kit.colour import Note, to_srgb
from kitprep.files.kit.decoding import inverted
from kitprep.files.kit.laying import blank, box_of, lay, reduction_of
from kitprep.files.kit.limits import MAX_PAGES
from kitprep.files.kit.orientation import orientation_of
from kitprep.files.kit.pdf_content import Placement, placed_on
from kitprep.files.kit.pdf_geometry import COARSEST_GRID_PPI, PdfFrame, check_grid, frame_of, grid_ppi
from kitprep.files.kit.pdf_pictures import NotPlain
from kitprep.files.kit.pdf_render import rendering
from kitprep.files.kit.pdf_streams import MAX_UNPACKED_BYTES, UnpacksTooFar
from kitprep.files.kit.pictures import cropped, pixels_of
from kitprep.files.kit.placed import PlacedPicture
from kitprep.files.kit.source import Look, Original, reduction_for
from kitprep.pages import IDENTITY, Affine, KnownBox, Page, PageKind, PagePpi, PixelBox, PpiSource, Raster

if TYPE_CHECKING:
    import numpy as np
    import pikepdf
    from numpy.typing import NDArray
    from PIL.Image import Image

# What qpdf finds wrong goes to whoever listens to the log, and not, for want of one, to the terminal.
logging.getLogger("pikepdf").addHandler(logging.NullHandler())

COVERS_PAGE = 0.9  # a picture over this share of the page is its background, not a thing on it
APART_PX = 2  # pictures nearer than this may be tiles of one
MOST_APART = 300  # more pictures are tiles or a texture
SAME_PPI = 0.5  # a picture this near to the grid's resolution is as fine as the grid


@dataclass(frozen=True, slots=True)
class PdfPage:
    """A `PageSource`: one page of a PDF."""

    file: str
    frame: int
    path: Path
    password: str | None = field(repr=False)

    def look(self, number: int, target_ppi: float) -> Look:
        """Take the page's pictures out, or render it; see `PageSource.look`."""
        with _opened(self.path, self.file, self.password) as document:
            frame, placements = _read(document, self.file, self.frame)
            if placements:
                return self._look_at_placed(number, target_ppi, frame, placements)
        return self._look_at_rendered(number, target_ppi, frame)

    def _look_at_placed(
        self, number: int, target_ppi: float, frame: PdfFrame, placements: Sequence[Placement]
    ) -> Look:
        finest = max(placement.ppi(frame.unit_in) for placement in placements)
        page = self._page(number, frame, finest, PageKind.PLACED)
        canvas, notes = _whole(page, frame, placements, target_ppi)
        boxes = _boxes_apart(page, frame, placements)
        return Look(page, Raster(pixels_of(canvas), page.size_px), boxes, None, (*notes, *_coarse(finest)))

    def _look_at_rendered(self, number: int, target_ppi: float, frame: PdfFrame) -> Look:
        with rendering(self.path, self.file, self.frame, self.password) as drawing:
            finest = drawing.finest_ppi()
            page = self._page(number, frame, finest, PageKind.RENDERED)
            size = _reduced(page.size_px, reduction_for(page.ppi.x, target_ppi))
            pixels = drawing.pixels(size, PixelBox(0, 0, *size))
            known = drawing.known_boxes(page.size_px, page.size_px[0] / size[0])
            notes = (Note.RENDERED_WITH_FAULTS,) if drawing.has_faults() else ()
        return Look(page, Raster(pixels, page.size_px), known, None, (*notes, *_coarse(finest)))

    def _page(self, number: int, frame: PdfFrame, finest: float, kind: PageKind) -> Page:
        ppi = grid_ppi(finest)
        check_grid(frame, ppi, self.file)
        return Page(
            number, self.file, self.frame, frame.grid_px(ppi), PagePpi(ppi, ppi, PpiSource.FILE), kind, False
        )


def pdf_pages(original: Original, password: str | None) -> tuple[PdfPage, ...]:
    """The pages of a PDF.

    Raises
    ------
    LockedFile
        If it needs a password, or another one.
    DamagedPdf
        If it is damaged beyond repair or has no pages.
    TooManyPages
        If it has more than a kit can.
    """
    with _opened(original.path, original.name, password) as document:
        count = len(document.pages)
    if count == 0:
        raise DamagedPdf(original.name, "it has no pages")
    if count > MAX_PAGES:
        raise TooManyPages(original.name, MAX_PAGES)
    return tuple(PdfPage(original.name, frame, original.path, password) for frame in range(count))


def pdf_raster(path: Path, page: Page, target_ppi: float, password: str | None) -> Raster:
    """The page in sRGB at about `target_ppi`; see `read_raster`."""
    if page.kind is PageKind.RENDERED:
        size = _reduced(page.size_px, reduction_for(page.ppi.x, target_ppi))
        with rendering(path, page.file, page.frame, password) as drawing:
            return Raster(drawing.pixels(size, PixelBox(0, 0, *size)), page.size_px)
    with _placed(path, page, password) as (frame, placements):
        canvas, _ = _whole(page, frame, placements, target_ppi)
        return Raster(pixels_of(canvas), page.size_px)


def pdf_regions(
    path: Path, page: Page, boxes: Sequence[PixelBox], password: str | None
) -> Iterator[NDArray[np.uint8]]:
    """Boxes of the page in sRGB at full scale; see `read_region`."""
    if page.kind is PageKind.RENDERED:
        for box in boxes:
            yield _rendered(path, page, box, password)
        return
    with _placed(path, page, password) as (frame, placements):
        around = PixelBox(
            min(box.left for box in boxes),
            min(box.top for box in boxes),
            max(box.right for box in boxes),
            max(box.bottom for box in boxes),
        )
        canvas = _part(page, frame, placements, around)
        for box in boxes:
            yield pixels_of(cropped(canvas, _seen_from(box, around)))


def pdf_placed_pictures(path: Path, page: Page, password: str | None) -> tuple[PlacedPicture, ...]:
    """The pictures that make up the page, in the order they are painted; see `placed_pictures`."""
    if page.kind is PageKind.RENDERED:
        return (_rendered_picture(path, page, password),)
    with _placed(path, page, password) as (frame, placements):
        to_page = frame.to_page(page.ppi.x)
        return tuple(
            PlacedPicture(
                key=placement.picture.key,
                size_px=placement.picture.size_px,
                matrix=placement.to_page(to_page),
                mode=placement.picture.mode,
                inverted=placement.picture.inverted,
                has_alpha=False,
                icc=placement.picture.icc,
                jpeg=placement.picture.jpeg,
                read=_Reader(path, page, password, index),
            )
            for index, placement in enumerate(placements)
        )


class _Reader:
    """Reads boxes of one placed picture; decodes it for each."""

    def __init__(self, path: Path, page: Page, password: str | None, index: int) -> None:
        self._path, self._page, self._password, self._index = path, page, password, index

    def __call__(self, box: PixelBox) -> NDArray[np.uint8]:
        with _placed(self._path, self._page, self._password) as (_, placements):
            stored = placements[self._index].picture
            found = stored.decode(self._page.file)
        return pixels_of(cropped(inverted(found) if stored.inverted else found, box))


def _rendered_picture(path: Path, page: Page, password: str | None) -> PlacedPicture:
    import hashlib

    with path.open("rb") as file:
        digest = hashlib.file_digest(file, "sha256").hexdigest()
    return PlacedPicture(
        key=f"{digest}-{page.frame}",
        size_px=page.size_px,
        matrix=IDENTITY,
        mode="RGB",
        inverted=False,
        has_alpha=False,
        icc=None,
        jpeg=None,
        read=lambda box: _rendered(path, page, box, password),
    )


def _rendered(path: Path, page: Page, box: PixelBox, password: str | None) -> NDArray[np.uint8]:
    with rendering(path, page.file, page.frame, password) as drawing:
        return drawing.pixels(page.size_px, box)


@contextmanager
def _opened(path: Path, name: str, password: str | None) -> Iterator[pikepdf.Pdf]:
    import pikepdf

    try:
        document = pikepdf.open(path, password=password or "", suppress_warnings=True)
    except pikepdf.PasswordError as fault:
        raise LockedFile(name) from fault
    except (pikepdf.PdfError, RuntimeError) as fault:  # RuntimeError: what qpdf did not expect of a file
        raise DamagedPdf(name, "it is damaged beyond repair") from fault
    except OSError as fault:
        raise CannotRead(name, fault.strerror or str(fault)) from fault
    with document:
        try:
            yield document
        except pikepdf.PdfError as fault:
            raise DamagedPdf(name, "parts of it cannot be read") from fault


@contextmanager
def _placed(path: Path, page: Page, password: str | None) -> Iterator[tuple[PdfFrame, tuple[Placement, ...]]]:
    with _opened(path, page.file, password) as document:
        frame, placements = _read(document, page.file, page.frame)
        if not placements:
            raise DamagedPdf(page.file, f"page {page.frame + 1} is not what was imported")
        yield frame, placements


def _read(document: pikepdf.Pdf, name: str, number: int) -> tuple[PdfFrame, tuple[Placement, ...]]:
    """A page's frame, and its pictures if it is nothing but pictures; `number` is from 0."""
    page = document.pages[number]
    frame = frame_of(page, name, number + 1)
    try:
        return frame, placed_on(page, frame)
    except NotPlain:
        return frame, ()
    except UnpacksTooFar as fault:
        limit = f"{MAX_UNPACKED_BYTES // 1024**2} MiB"
        raise DamagedPdf(name, f"part of page {number + 1} unpacks to over {limit}") from fault


def _seen_from(box: PixelBox, around: PixelBox) -> PixelBox:
    left, top = around.left, around.top
    return PixelBox(box.left - left, box.top - top, box.right - left, box.bottom - top)


def _reduced(size_px: tuple[int, int], reduction: int) -> tuple[int, int]:
    return ceil(size_px[0] / reduction), ceil(size_px[1] / reduction)


def _whole(
    page: Page, frame: PdfFrame, placements: Sequence[Placement], target_ppi: float
) -> tuple[Image, tuple[Note, ...]]:
    """The page at about `target_ppi`."""
    columns, rows = _reduced(page.size_px, reduction_for(page.ppi.x, target_ppi))
    scale = Affine(columns / page.size_px[0], 0, 0, rows / page.size_px[1], 0, 0)
    return _composed(page.file, placements, frame.to_page(page.ppi.x).then(scale), (columns, rows))


def _part(page: Page, frame: PdfFrame, placements: Sequence[Placement], box: PixelBox) -> Image:
    """A box of the page at full scale."""
    moved = Affine(1, 0, 0, 1, -box.left, -box.top)
    to_canvas = frame.to_page(page.ppi.x).then(moved)
    return _composed(page.file, placements, to_canvas, (box.width, box.height))[0]


def _composed(
    name: str, placements: Sequence[Placement], to_canvas: Affine, size: tuple[int, int]
) -> tuple[Image, tuple[Note, ...]]:
    """A canvas of a size with the pictures laid on white in sRGB, given the map from user space."""
    canvas, notes = blank(*size), set[Note]()
    for placement in placements:
        picture = placement.picture
        own_to_canvas = placement.to_page(to_canvas)
        seen = box_of(picture.size_px, own_to_canvas).clipped(PixelBox(0, 0, *size))
        if seen.width < 1 or seen.height < 1:
            continue
        pixels, found = to_srgb(picture.decode(name, reduction_of(own_to_canvas)), picture.icc)
        notes.update(found)
        grown = Affine(picture.size_px[0] / pixels.width, 0, 0, picture.size_px[1] / pixels.height, 0, 0)
        lay(canvas, pixels, grown.then(own_to_canvas))
    return canvas, tuple(sorted(notes, key=lambda note: note.name))


def _boxes_apart(page: Page, frame: PdfFrame, placements: Sequence[Placement]) -> tuple[KnownBox, ...]:
    """The boxes of the pictures that stand straight and apart from others, where there are several."""
    to_page = frame.to_page(page.ppi.x)
    boxes, straight = list[PixelBox](), list[bool]()
    for placement in placements:
        matrix = placement.to_page(to_page)
        box = box_of(placement.picture.size_px, matrix).clipped(page.box)
        if box.width * box.height <= COVERS_PAGE * page.box.width * page.box.height:
            boxes.append(box)
            straight.append(orientation_of(matrix) is not None)
    if len(boxes) > MOST_APART:
        return ()
    touching = {
        at
        for (one, first), (other, second) in combinations(enumerate(boxes), 2)
        if _touch(first, second)
        for at in (one, other)
    }
    apart = [box for at, box in enumerate(boxes) if straight[at] and at not in touching]
    return tuple(map(KnownBox, apart)) if len(apart) > 1 else ()


def _touch(first: PixelBox, second: PixelBox) -> bool:
    shared = first.grown(APART_PX).clipped(second)
    return shared.width > 0 and shared.height > 0


def _coarse(finest: float) -> tuple[Note, ...]:
    return (Note.COARSE_PICTURES,) if 0 < finest < COARSEST_GRID_PPI - SAME_PPI else ()
