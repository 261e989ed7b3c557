"""Files with random damage: whatever happens, the fault is one that a person can act on."""

from __future__ import annotations

import io
import random
from collections.abc import Callable
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile

import pytest
from PIL import Image
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from kitprep.errors import KitprepError, UnusableFile
from kitprep.files.kit import Original, find_pages, placed_pictures, read_region, unpack
from kitprep.pages import PixelBox

ROUNDS = 40


def picture(kind: str, **options: object) -> bytes:
    exif = Image.Exif()
    exif[0x0112], exif[0x011A], exif[0x011B] = 6, 300.0, 300.0
    buffer = io.BytesIO()
    noise = random.Random(5).randbytes(60 * 40 * 3)
    Image.frombytes("RGB", (60, 40), noise).save(buffer, kind, exif=exif, **options)
    return buffer.getvalue()


def pdf() -> bytes:
    buffer = io.BytesIO()
    canvas = Canvas(buffer, pagesize=(100, 100), pageCompression=0)
    for words in ("", "night harvest"):
        canvas.drawImage(ImageReader(io.BytesIO(picture("JPEG"))), 10, 10, 60, 40)
        if words:
            canvas.drawString(10, 80, words)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def zipped() -> bytes:
    buffer = io.BytesIO()
    with ZipFile(buffer, "w", ZIP_DEFLATED) as archive:
        archive.writestr("pages/p1.jpg", picture("JPEG"))
        archive.writestr("terms.txt", "For your own cards.")
    return buffer.getvalue()


def damaged(content: bytes, rng: random.Random) -> bytes:
    raw = bytearray(content)
    for _ in range(rng.randint(1, 4)):
        at = rng.randrange(len(raw) if rng.random() < 0.5 else min(len(raw), 400))
        how = rng.random()
        if how < 0.6:
            raw[at] = rng.randrange(256)
        elif how < 0.8:
            del raw[at : at + rng.randint(1, 30)]
        else:
            raw[at:at] = rng.randbytes(rng.randint(1, 9))
    return bytes(raw)


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("p.jpg", picture("JPEG", dpi=(300, 300))),
        ("q.jpg", picture("JPEG", progressive=True)),
        ("p.png", picture("PNG", dpi=(300, 300))),
        ("p.tif", picture("TIFF")),
        ("p.webp", picture("WEBP")),
        ("p.pdf", pdf()),
    ],
)
def test_a_damaged_page_is_read_or_refused(
    tmp_path: Path, original: Callable[[Path], Original], name: str, content: bytes
) -> None:
    rng = random.Random(name)
    refused = read = 0
    for number in range(ROUNDS):
        path = tmp_path / f"{number}-{name}"
        path.write_bytes(damaged(content, rng))
        found = find_pages([original(path)])
        refused += len(found.problems)
        for source in found.pages:
            try:
                look = source.look(1, 150)
                read_region(path, look.page, PixelBox(0, 0, 1, 1))
                for placed in placed_pictures(path, look.page):
                    placed.read(PixelBox(0, 0, 1, 1))
                read += 1
            except UnusableFile:
                refused += 1
    assert refused
    assert read or name == "p.png"  # a PNG has a checksum on every part


def test_a_damaged_zip_is_unpacked_or_refused(tmp_path: Path) -> None:
    rng = random.Random(3)
    refused = 0
    for number in range(ROUNDS):
        path = tmp_path / f"{number}.zip"
        path.write_bytes(damaged(zipped(), rng))
        into = tmp_path / f"{number}"
        into.mkdir()
        try:
            unpack([path], into)
        except KitprepError:
            refused += 1
    assert refused
