"""Writing a sheet of 20 pieces from four JPEG pages, beside img2pdf embedding the same four pages.

Both files are flushed to disk and moved into place, as every file of kitprep is.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from kitprep.files.kit.placed import PlacedPicture
from kitprep.files.pdf import write_sheets
from kitprep.files.replace import write_bytes
from kitprep.lengths import Box, Size, inches
from kitprep.pack import PackedSheet, Placement
from kitprep.pages import IDENTITY, Affine, PixelBox
from kitprep.papers import SQUARE_12, Margins
from kitprep.piece.artwork import Artwork, Patch
from kitprep.sheet import Sheet, SheetItem, lay_out

PAGE_PX = (2550, 3300)
PAGES, PIECES_PER_PAGE = 4, 5
TRIM, BLEED = Size(inches("2 1/8"), inches("2 3/4")), inches("1/16")
ROUNDS = 9


def run(report: Callable[[str], None]) -> None:
    """Measure and report times, their ratio, and sizes."""
    import img2pdf

    jpegs = [_jpeg_page(seed) for seed in range(PAGES)]
    pictures = {f"kit/p{number:02}": (_picture(content, number),) for number, content in enumerate(jpegs, 1)}
    sheet = _sheet()
    with TemporaryDirectory() as folder:
        ours, theirs = Path(folder, "sheet.pdf"), Path(folder, "img2pdf.pdf")

        def write_ours() -> None:
            write_sheets([sheet], pictures.__getitem__, ours, title="t", overwrite=True)

        def write_theirs() -> None:
            write_bytes(theirs, img2pdf.convert(jpegs), overwrite=True)

        times = _best_of((write_ours, write_theirs))
        size = ours.stat().st_size
    used = sum(map(len, jpegs))
    report(
        f"sheet of {len(sheet.pieces)} pieces from {PAGES} JPEG pages: {times[0] * 1000:.1f} ms, "
        f"img2pdf with the same pages {times[1] * 1000:.1f} ms, ratio {times[0] / times[1]:.2f} (aim 2)"
    )
    report(
        f"its file: {size / 1000:.0f} kB, the used pages {used / 1000:.0f} kB, "
        f"{(size - used) / 1000:.0f} kB more (aim: at most 5 % and 30 kB)"
    )


def _best_of(tasks: tuple[Callable[[], None], ...]) -> list[float]:
    """The shortest time of each task, run in turns so that a busy machine slows all alike."""
    times: list[list[float]] = [[] for _ in tasks]
    for _ in range(ROUNDS):
        for task, taken in zip(tasks, times, strict=True):
            start = time.perf_counter()
            task()
            taken.append(time.perf_counter() - start)
    return [min(taken) for taken in times]


def _jpeg_page(seed: int) -> bytes:
    """A letter page at 300 PPI of soft colours with a paper's grain."""
    width, height = PAGE_PX
    rows, columns = np.mgrid[0:height, 0:width].astype(np.float32)
    waves = np.stack([np.sin(columns / 190 + seed), np.cos(rows / 230), np.sin((rows + columns) / 310)], -1)
    grain = np.random.default_rng(seed).normal(0, 5, (height, width, 1)).astype(np.float32)
    pixels = (128 + 80 * waves + grain).clip(0, 255).astype(np.uint8)
    content = BytesIO()
    Image.fromarray(pixels).save(content, "JPEG", quality=90)
    return content.getvalue()


def _picture(content: bytes, number: int) -> PlacedPicture:
    def read(box: PixelBox) -> NDArray[np.uint8]:
        pixels = np.asarray(Image.open(BytesIO(content)))
        return pixels[box.top : box.bottom, box.left : box.right]

    return PlacedPicture(f"page {number}", PAGE_PX, IDENTITY, "RGB", False, False, None, content, read)


def _sheet() -> Sheet:
    """Twenty different crops, five of each page, in rows of five on 12 x 12 in."""
    items, places = [], []
    for page in range(PAGES):
        for column in range(PIECES_PER_PAGE):
            corner = inches("3/8") + inches("2 1/4") * column, inches("3/8") + inches("2 7/8") * page
            places.append(Placement(len(items), Box.at(*corner, TRIM), BLEED, False))
            items.append(SheetItem(f"tag {len(items) + 1}", artwork=_crop(page + 1, column)))
    margins = Margins.even(inches("1/4"))
    packed = PackedSheet(tuple(places), ())
    return lay_out(packed, items, paper=SQUARE_12, margins=margins, number=1, total=1)


def _crop(page: int, column: int) -> Artwork:
    scale, reach = 72 / 300, BLEED.points
    left, top = 100 + 420 * column, 100 + 500 * column
    matrix = Affine(scale, 0, 0, scale, -left * scale, -top * scale)
    clip = (-reach, -reach, TRIM.width.points + reach, TRIM.height.points + reach)
    return Artwork(TRIM, BLEED, f"kit/p{page:02}", (Patch(matrix, clip),))
