"""Writing sheets: from JPEG pages beside img2pdf, from PNG pages beside decoding and deflating, many at once;
and how true to the plan every kind of sheet is, by two renderers.

All files are flushed to disk and moved into place, as every file of kitprep is.
"""

from __future__ import annotations

import re
import resource
import subprocess
import sys
import time
import zlib
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from kitprep.files.kit.placed import PlacedPicture
from kitprep.files.pdf import write_sheets
from kitprep.files.pdf.streams import pack
from kitprep.files.replace import write_bytes
from kitprep.lengths import Box, Length, Size, inches
from kitprep.pack import PackedSheet, Placement
from kitprep.pages import IDENTITY, Affine, PixelBox
from kitprep.papers import SQUARE_12, Margins
from kitprep.piece.artwork import Artwork, Patch
from kitprep.sheet import Sheet, SheetItem, lay_out

PAGE_PX = (2550, 3300)
PAGES, PIECES_PER_PAGE = 4, 5
TRIM, BLEED = Size(inches("2 1/8"), inches("2 3/4")), inches("1/16")
ROUNDS = 9
MANY_COPIES = (17, 34, 67)
MANY_PIECES = 60
JOB_COPIES = (9, 17, 35)
"""Of each of 60 pieces of the demo kit: some 50, 100 and 200 letter sheets."""
JOB_ELEMENTS = (
    *("p01-01", "p01-02", "p01-03", "p02-01", "p02-02", "p02-03", "p02-06", "p02-07"),
    *("p02-11", "p03-04", "p03-06", "p03-09", "p03-11", "p04-05", "p04-01"),
)
DEMO_PAGES = Path(__file__).resolve().parents[2] / "demo_kit" / "pages"


def run(report: Callable[[str], None]) -> None:
    """Measure and report times, their ratios, sizes, growth, and how true every kind of sheet is."""
    _jpeg_pages(report)
    _png_pages(report)
    _many_sheets(report)
    _whole_jobs(report)
    _truth(report)


def _jpeg_pages(report: Callable[[str], None]) -> None:
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
    report(
        f"sheet of {len(sheet.pieces)} pieces from {PAGES} JPEG pages: {times[0] * 1000:.1f} ms, "
        f"img2pdf with the same pages {times[1] * 1000:.1f} ms, ratio {times[0] / times[1]:.2f} (aim 2)"
    )
    _report_size(report, size, sum(map(len, jpegs)), _crops_packed([_decoded(page) for page in jpegs]))


def _png_pages(report: Callable[[str], None]) -> None:
    pngs = [_png_page(seed) for seed in range(PAGES)]
    sheet = _sheet()
    with TemporaryDirectory() as folder:
        ours = Path(folder, "sheet.pdf")

        def write_ours() -> None:
            pictures = {f"kit/p{n:02}": (_plain_picture(page, n),) for n, page in enumerate(pngs, 1)}
            write_sheets([sheet], pictures.__getitem__, ours, title="t", overwrite=True)

        def floor() -> None:
            for page in pngs:
                pixels = _decoded(page)
                for box in _used_boxes():
                    zlib.compress(np.ascontiguousarray(pixels[box]).tobytes())

        times = _best_of((write_ours, floor))
        size = ours.stat().st_size
    report(
        f"the same from PNG pages: {times[0] * 1000:.0f} ms, decoding them and deflating the used pixels "
        f"once {times[1] * 1000:.0f} ms, ratio {times[0] / times[1]:.2f} (aim 1.2)"
    )
    _report_size(report, size, sum(map(len, pngs)), _crops_packed([_decoded(page) for page in pngs]))


def _report_size(report: Callable[[str], None], size: int, pages: int, crops: int) -> None:
    least = min(pages, crops)
    report(
        f"its file: {size / 1000:.0f} kB; the used pages {pages / 1000:.0f} kB, the used crops deflated "
        f"{crops / 1000:.0f} kB; aim at most {(1.05 * least + 30_000) / 1000:.0f} kB"
    )


def _many_sheets(report: Callable[[str], None]) -> None:
    """A make-list of 60 pieces, ever more copies of each, each made by a process of its own."""
    with TemporaryDirectory() as folder:
        for seed in range(PAGES):
            Path(folder, f"{seed}.jpg").write_bytes(_jpeg_page(seed))
        _growing(report, "laid out and written", "write", Path(folder), MANY_COPIES)


def _whole_jobs(report: Callable[[str], None]) -> None:
    """The same for the whole job on the demo kit: measured, prepared, packed, laid out, written."""
    from kitprep import import_kit

    with TemporaryDirectory() as folder:
        import_kit([DEMO_PAGES], shelf=Path(folder, "shelf"))
        _growing(report, "from make-list to PDF, the whole job", "job", Path(folder), JOB_COPIES)


def _growing(
    report: Callable[[str], None], what: str, how: str, folder: Path, every: tuple[int, ...]
) -> None:
    """So many copies of each piece, each made by a process of its own, in its processor's time."""
    before: tuple[int, float, int] | None = None
    for copies in every:
        told = subprocess.run(
            [sys.executable, __file__, how, str(folder), str(copies)],
            check=True,
            capture_output=True,
            text=True,
        ).stdout.split()
        sheets, seconds, size, peak = int(told[0]), float(told[1]), int(told[2]), int(told[3])
        growth = ""
        if before is not None:
            growth = (
                f"; {sheets / before[0]:.2f} times the sheets: {seconds / before[1]:.2f} times the time, "
                f"{size / before[2]:.2f} times the size"
            )
        report(
            f"{sheets} sheets: {what} in {seconds:.2f} s of a processor, {size / 1000:.0f} kB, "
            f"peak memory {peak / 1000:.0f} MB (aim 300){growth}"
        )
        before = sheets, seconds, size


def _truth(report: Callable[[str], None]) -> None:
    sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "tests"))
    from measure import Engine
    from sheet_truth import PPI, kinds, measure, picture_psnr_db

    report(f"truth at {PPI} pixels per inch, the worst of each sheet (aim 0.05 mm)")
    with TemporaryDirectory() as folder:
        for engine in Engine:
            upright, turned = picture_psnr_db(engine, Path(folder))
            report(
                f"{engine.value}: a picture against its own pixels {upright:.1f} dB, turned {turned:.1f} dB "
                "(aim 45)"
            )
        for kind in kinds():
            for engine in Engine:
                report(f"{kind}; {engine.value}: {measure(kind, engine, Path(folder)).text()}")


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


def _png_page(seed: int) -> bytes:
    content = BytesIO()
    Image.open(BytesIO(_jpeg_page(seed))).save(content, "PNG")
    return content.getvalue()


def _decoded(content: bytes) -> NDArray[np.uint8]:
    return np.asarray(Image.open(BytesIO(content)))


def _used_boxes() -> list[tuple[slice, slice]]:
    """The pixels of a page that its five pieces show."""
    reach = round(BLEED.pixels(300))
    wide, tall = round(TRIM.width.pixels(300)), round(TRIM.height.pixels(300))
    corners = [(100 + 420 * column, 100 + 500 * column) for column in range(PIECES_PER_PAGE)]
    return [
        (slice(top - reach, top + tall + reach), slice(left - reach, left + wide + reach))
        for left, top in corners
    ]


def _crops_packed(pages: list[NDArray[np.uint8]]) -> int:
    return sum(len(pack(np.ascontiguousarray(page[box]))) for page in pages for box in _used_boxes())


def _plain_picture(content: bytes, number: int) -> PlacedPicture:
    """A page of which only pixels can be had, decoded at the first asking."""
    kept: list[NDArray[np.uint8]] = []

    def read(box: PixelBox) -> NDArray[np.uint8]:
        if not kept:
            kept.append(_decoded(content))
        return kept[0][box.top : box.bottom, box.left : box.right]

    return PlacedPicture(f"page {number}", PAGE_PX, IDENTITY, "RGB", False, False, None, None, read)


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


def _write_many(folder: Path, copies: int) -> None:
    """Lay out and write 60 pieces, so many copies of each; tell sheets, seconds, bytes and peak kilobytes."""
    jpegs = [Path(folder, f"{seed}.jpg").read_bytes() for seed in range(PAGES)]
    pictures = {f"kit/p{number:02}": (_picture(content, number),) for number, content in enumerate(jpegs, 1)}
    margins = Margins.even(inches("1/4"))
    items = [
        SheetItem(f"tag {number}", artwork=_crop(number % PAGES + 1, number % PIECES_PER_PAGE))
        for number in range(MANY_PIECES)
    ]
    corners = [(column, row) for row in range(4) for column in range(5)]
    start = time.process_time()
    order = [item for item in range(MANY_PIECES) for _ in range(copies)]
    total = -(-len(order) // len(corners))
    sheets = []
    for number in range(total):
        part = order[number * len(corners) : (number + 1) * len(corners)]
        places = tuple(
            Placement(item, Box.at(_at(column, "2 1/4"), _at(row, "2 7/8"), TRIM), BLEED, False)
            for item, (column, row) in zip(part, corners, strict=False)
        )
        packed = PackedSheet(places, ())
        sheets.append(
            lay_out(packed, items, paper=SQUARE_12, margins=margins, number=number + 1, total=total)
        )
    write_sheets(sheets, pictures.__getitem__, folder / "many.pdf", title="t", overwrite=True)
    seconds = time.process_time() - start
    print(total, seconds, (folder / "many.pdf").stat().st_size, _peak_kilobytes())


def _make_many(folder: Path, copies: int) -> None:
    """Make the sheets of 60 pieces of the demo kit, 15 elements in four sizes; tell as `_write_many`."""
    from kitprep import SheetFiles, SheetOptions, make_sheets

    pieces = [
        f"{JOB_ELEMENTS[number % len(JOB_ELEMENTS)]}, {2 + number // len(JOB_ELEMENTS) * 0.25} in wide, {copies}"
        for number in range(MANY_PIECES)
    ]
    start = time.process_time()
    pdf = folder / "job.pdf"
    made = make_sheets(pieces, SheetFiles(pdf, overwrite=True), SheetOptions(), shelf=folder / "shelf")
    print(made.count, time.process_time() - start, pdf.stat().st_size, _peak_kilobytes())


def _peak_kilobytes() -> int:
    """The most memory this process had at once; `getrusage` would count what its parent had as well."""
    status = Path("/proc/self/status")
    if status.exists():
        return int(re.search(r"VmHWM:\s+(\d+) kB", status.read_text())[1])  # type: ignore[index]
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss


def _at(count: int, step: str) -> Length:
    return inches("3/8") + inches(step) * count


if __name__ == "__main__":
    {"write": _write_many, "job": _make_many}[sys.argv[1]](Path(sys.argv[2]), int(sys.argv[3]))
