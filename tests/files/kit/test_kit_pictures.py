"""Pages that are picture files, of every kind a kit may bring."""

from __future__ import annotations

import io
import struct
import subprocess
import sys
import textwrap
import threading
import zlib
from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image, ImageChops, ImageCms, ImageOps

from kitprep.errors import DamagedPicture, EmptyFile, NotAPicture, PictureTooLarge, UnsupportedPicture
from kitprep.files.kit import (
    Look,
    Original,
    PageOptions,
    find_pages,
    placed_pictures,
    read_raster,
    read_region,
    read_regions,
)
from kitprep.files.kit.colour import Note
from kitprep.pages import PageKind, PagePpi, PixelBox, PpiSource

AnyLook = Callable[..., Look]


def pixels(picture: Image.Image) -> np.ndarray:
    return np.asarray(picture)


def reference(path: Path) -> np.ndarray:
    """RGB levels of a file as Pillow reads it."""
    with Image.open(path) as picture:
        return np.asarray(picture.convert("RGB"))


def apart(first: np.ndarray, second: np.ndarray) -> int:
    """The largest difference between two arrays of levels."""
    return int(np.abs(first.astype(int) - second.astype(int)).max())


# ------------------------------------------------------------------------ JPEG


@pytest.mark.parametrize("options", [{}, {"progressive": True}, {"subsampling": 0}, {"optimize": True}])
def test_a_jpeg_looks_as_pillow_decodes_it(
    tmp_path: Path, photo: Image.Image, look_at: AnyLook, options: dict[str, object]
) -> None:
    path = tmp_path / "p.jpg"
    photo.save(path, quality=92, dpi=(300, 300), **options)
    look = look_at(path)
    assert np.array_equal(look.raster.pixels, reference(path))
    assert look.page.size_px == (300, 400)
    assert look.page.ppi == PagePpi(300, 300, PpiSource.FILE)
    assert look.page.kind is PageKind.PICTURE
    assert not look.page.has_alpha


@pytest.mark.parametrize(
    ("target", "shape"),
    [(300, (400, 300)), (150, (200, 150)), (75, (100, 75)), (100, (200, 150))],
)
def test_a_jpeg_is_reduced_while_it_is_decoded(
    tmp_path: Path, photo: Image.Image, look_at: AnyLook, target: float, shape: tuple[int, int]
) -> None:
    path = tmp_path / "p.jpg"
    photo.save(path, quality=92, dpi=(300, 300))
    raster = look_at(path, target_ppi=target).raster
    assert raster.pixels.shape[:2] == shape
    assert raster.page_px == (300, 400)
    smaller = pixels(photo.resize((shape[1], shape[0]), Image.Resampling.BOX))
    assert np.abs(raster.pixels.astype(int) - smaller).mean() < 3


def test_a_jpeg_is_reduced_further_than_its_decoder_goes(
    tmp_path: Path, photo: Image.Image, look_at: AnyLook
) -> None:
    path = tmp_path / "p.jpg"
    photo.crop((0, 0, 288, 400)).save(path, quality=92, dpi=(300, 300))
    reduced = look_at(path, target_ppi=300 / 16).raster.pixels
    smaller = pixels(photo.crop((0, 0, 288, 400)).resize((18, 25), Image.Resampling.BOX))
    assert reduced.shape == smaller.shape
    assert np.abs(reduced.astype(int) - smaller).mean() < 3


@pytest.mark.parametrize("target", [150, 75, 60, 20])
@pytest.mark.parametrize(
    ("name", "mode"), [("p.jpg", "RGB"), ("p.jpg", "L"), ("p.png", "RGB"), ("p.png", "RGBA")]
)
def test_a_reduced_page_spans_the_whole_page(
    tmp_path: Path, look_at: AnyLook, name: str, mode: str, target: float
) -> None:
    """A page of a size that nothing divides: an edge near its far corner is where the raster's scale says."""
    picture = Image.new(mode, (1201, 907), "white")
    picture.paste("black", (0, 0, 1130, 820))
    picture.save(tmp_path / name, dpi=(300, 300), **({"quality": 98} if name == "p.jpg" else {}))
    raster = look_at(tmp_path / name, target_ppi=target).raster
    across, down = raster.scale
    assert across >= 300 / target * 0.5
    dark = 1 - raster.pixels[:, :, 0] / 255
    assert dark[2].sum() * across == pytest.approx(1130, abs=0.75)
    assert dark[:, 2].sum() * down == pytest.approx(820, abs=0.75)


def test_a_grey_jpeg_stays_grey_for_the_sheet(tmp_path: Path, photo: Image.Image, look_at: AnyLook) -> None:
    path = tmp_path / "p.jpg"
    photo.convert("L").save(path)
    look = look_at(path)
    assert look.raster.pixels.shape == (400, 300, 3)
    (placed,) = placed_pictures(path, look.page)
    assert placed.mode == "L"
    part = placed.read(PixelBox(10, 20, 15, 40))
    assert part.shape == (20, 5, 1)
    assert np.array_equal(part[:, :, 0], reference(path)[20:40, 10:15, 0])


def ink(smooth: Image.Image) -> Image.Image:
    """A CMYK picture, 255 for full ink."""
    red, green, blue = (ImageChops.invert(band) for band in smooth.split())
    return Image.merge("CMYK", (red, green, blue, Image.new("L", smooth.size, 40)))


def without_adobe_marker(jpeg: bytes) -> bytes:
    start = jpeg.index(b"\xff\xee")
    (length,) = struct.unpack_from(">H", jpeg, start + 2)
    return jpeg[:start] + jpeg[start + 2 + length :]


def plainly_mixed(cmyk: np.ndarray) -> np.ndarray:
    """sRGB levels of ink amounts, by (1 - ink)(1 - black)."""
    shares = cmyk.astype(float) / 255
    return 255 * (1 - shares[:, :, :3]) * (1 - shares[:, :, 3:])


def as_jpeg(picture: Image.Image, **options: object) -> bytes:
    buffer = io.BytesIO()
    picture.save(buffer, "JPEG", quality=98, subsampling=0, **options)
    return buffer.getvalue()


def test_a_cmyk_jpeg_with_an_adobe_marker_is_stored_inverted(
    tmp_path: Path, smooth: Image.Image, look_at: AnyLook
) -> None:
    path = tmp_path / "p.jpg"
    path.write_bytes(as_jpeg(ink(smooth)))
    look = look_at(path)
    assert apart(look.raster.pixels, plainly_mixed(pixels(ink(smooth)))) <= 6
    assert Note.CMYK_WITHOUT_PROFILE in look.notes
    (placed,) = placed_pictures(path, look.page)
    assert (placed.mode, placed.inverted, placed.jpeg) == ("CMYK", True, path.read_bytes())
    stored = placed.read(PixelBox(0, 0, *smooth.size))
    assert apart(stored, 255 - pixels(ink(smooth))) <= 6


def test_a_cmyk_jpeg_without_the_marker_is_stored_as_it_is(
    tmp_path: Path, smooth: Image.Image, look_at: AnyLook
) -> None:
    path = tmp_path / "p.jpg"
    path.write_bytes(without_adobe_marker(as_jpeg(ImageChops.invert(ink(smooth)))))
    look = look_at(path)
    assert apart(look.raster.pixels, plainly_mixed(pixels(ink(smooth)))) <= 6
    (placed,) = placed_pictures(path, look.page)
    assert (placed.mode, placed.inverted) == ("CMYK", False)
    assert apart(placed.read(PixelBox(0, 0, *smooth.size)), pixels(ink(smooth))) <= 6


def ycck_jpeg(cmyk: Image.Image) -> bytes:
    """A YCCK JPEG with an Adobe marker.

    By Adobe's technical note 5116 (section 18), YCCK is the YCbCr of R = 255 - C and so on, with K as it is.
    Pillow cannot write one, so four planes go in as CMYK, whose planes it inverts, and the marker's transform
    is set from 0 to 2. Adobe stores inverted ink, which is what R, G, B then are.
    """
    stored = ImageChops.invert(cmyk)  # Adobe's 255 for no ink
    red, green, blue, black = stored.split()
    # The transform gives C = 255 - R; what is stored for C is 255 - C, so R is C.
    luma, blueness, redness = (
        Image.merge("RGB", [ImageChops.invert(band) for band in (red, green, blue)]).convert("YCbCr").split()
    )
    planes = Image.merge("CMYK", (luma, blueness, redness, black))
    jpeg = bytearray(as_jpeg(ImageChops.invert(planes)))
    marker = jpeg.index(b"Adobe")
    assert jpeg[marker + 11] == 0
    jpeg[marker + 11] = 2
    return bytes(jpeg)


def test_a_ycck_jpeg_has_the_colours_of_its_cmyk(
    tmp_path: Path, smooth: Image.Image, look_at: AnyLook
) -> None:
    path = tmp_path / "p.jpg"
    path.write_bytes(ycck_jpeg(ink(smooth)))
    look = look_at(path)
    assert apart(look.raster.pixels, plainly_mixed(pixels(ink(smooth)))) <= 8
    (placed,) = placed_pictures(path, look.page)
    assert (placed.mode, placed.inverted) == ("CMYK", True)


@pytest.mark.parametrize("number", range(1, 9))
def test_a_jpeg_stands_upright_by_its_exif(
    tmp_path: Path, photo: Image.Image, look_at: AnyLook, number: int
) -> None:
    path = tmp_path / "p.jpg"
    exif = Image.Exif()
    exif[0x0112] = number
    exif[0x011A], exif[0x011B], exif[0x0128] = 240.0, 200.0, 2
    photo.save(path, exif=exif, quality=95)
    with Image.open(path) as stored_picture:
        upright = ImageOps.exif_transpose(stored_picture)
    look = look_at(path)
    assert np.array_equal(look.raster.pixels, pixels(upright))
    assert look.page.size_px == upright.size
    across_down = (240, 200) if number < 5 else (200, 240)
    assert (look.page.ppi.x, look.page.ppi.y) == across_down
    box = PixelBox(30, 50, 130, 90)
    assert np.array_equal(read_region(path, look.page, box), pixels(upright)[50:90, 30:130])
    (placed,) = placed_pictures(path, look.page)
    stored = placed.read(PixelBox(0, 0, 300, 400))
    x, y = placed.matrix(200.5, 100.5)
    assert np.array_equal(look.raster.pixels[int(y), int(x)], stored[100, 200])


@pytest.mark.parametrize(
    ("density", "unit", "ppi"), [((200, 200), 1, 200), ((118, 118), 2, 299.72), ((1, 1), 0, 300)]
)
def test_jfif_density_counts_per_inch_or_per_centimetre(
    tmp_path: Path, photo: Image.Image, look_at: AnyLook, density: tuple[int, int], unit: int, ppi: float
) -> None:
    jpeg = bytearray(as_jpeg(photo))
    start = jpeg.index(b"JFIF\0")
    struct.pack_into(">BHH", jpeg, start + 7, unit, *density)
    (tmp_path / "p.jpg").write_bytes(jpeg)
    found = look_at(tmp_path / "p.jpg").page.ppi
    assert found.x == pytest.approx(ppi)
    assert found.source is (PpiSource.FILE if unit else PpiSource.ASSUMED)


@pytest.mark.parametrize(("unit", "ppi"), [(2, 150.0), (3, 381.0)])
def test_exif_resolution_counts_per_inch_or_per_centimetre(
    tmp_path: Path, photo: Image.Image, look_at: AnyLook, unit: int, ppi: float
) -> None:
    exif = Image.Exif()
    exif[0x011A], exif[0x011B], exif[0x0128] = 150.0, 150.0, unit
    photo.save(tmp_path / "p.jpg", exif=exif)
    assert look_at(tmp_path / "p.jpg").page.ppi == PagePpi(ppi, ppi, PpiSource.FILE)


def test_exif_that_makes_no_sense_counts_as_none(
    tmp_path: Path, photo: Image.Image, look_at: AnyLook
) -> None:
    """Pillow would warn of it, and warnings are errors here."""
    for number, noise in enumerate(
        [b"Exif\0\0II*\0\xff\xff\xff\x7f", b"Exif\0\0MM\0*\0\0\0\x08\0\x09abc", b"Exif\0\0"]
    ):
        path = tmp_path / f"{number}.jpg"
        photo.save(path, exif=noise)
        assert look_at(path).page.size_px == photo.size


def test_the_further_pictures_of_a_camera_jpeg_are_no_pages(
    tmp_path: Path, photo: Image.Image, original: Callable[[Path], Original]
) -> None:
    path = tmp_path / "p.jpg"
    photo.save(path, "MPO", save_all=True, append_images=[photo.convert("L").convert("RGB")])
    found = find_pages([original(path)])
    assert [(page.file, page.frame) for page in found.pages] == [("p.jpg", 0)]
    assert np.array_equal(found.pages[0].look(1, 1e6).raster.pixels, reference(path))


# ------------------------------------------------------------------------- PNG

SAMPLES = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}  # by colour type (W3C PNG, table 11.1)
ADAM7 = ((0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4), (0, 2, 2, 4), (1, 0, 2, 2), (0, 1, 1, 2))


def chunk(name: bytes, content: bytes) -> bytes:
    return struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))


def png(samples: np.ndarray, colour_type: int, bits: int, *extra: bytes, interlaced: bool = False) -> bytes:
    """A PNG written by the W3C specification; samples of shape (rows, cols, count)."""
    rows, columns, count = samples.shape
    assert count == SAMPLES[colour_type]
    passes = ADAM7 if interlaced else ((0, 0, 1, 1),)
    packed = b"".join(_pass(samples[top::down, left::across], bits) for left, top, across, down in passes)
    header = struct.pack(">IIBBBBB", columns, rows, bits, colour_type, 0, 0, int(interlaced))
    body = chunk(b"IHDR", header) + b"".join(extra) + chunk(b"IDAT", zlib.compress(packed))
    return b"\x89PNG\r\n\x1a\n" + body + chunk(b"IEND", b"")


def _pass(samples: np.ndarray, bits: int) -> bytes:
    if samples.size == 0:
        return b""
    flat = samples.reshape(samples.shape[0], -1)
    if bits == 16:
        lines = [row.astype(">u2").tobytes() for row in flat]
    elif bits == 8:
        lines = [row.astype(np.uint8).tobytes() for row in flat]
    else:
        bit_rows = (flat[:, :, np.newaxis] >> np.arange(bits)[::-1]) & 1
        lines = [np.packbits(row.reshape(-1).astype(np.uint8)).tobytes() for row in bit_rows]
    return b"".join(b"\0" + line for line in lines)


def per_metre(across: int, down: int) -> bytes:
    return chunk(b"pHYs", struct.pack(">IIB", across, down, 1))


@pytest.mark.parametrize("interlaced", [False, True])
def test_a_png_looks_as_it_was_written(
    tmp_path: Path, photo: Image.Image, look_at: AnyLook, interlaced: bool
) -> None:
    path = tmp_path / "p.png"
    path.write_bytes(png(pixels(photo), 2, 8, per_metre(11811, 11811), interlaced=interlaced))
    look = look_at(path)
    assert np.array_equal(look.raster.pixels, pixels(photo))
    assert look.page.ppi == PagePpi(300, 300, PpiSource.FILE)


def test_a_png_of_16_bits_is_rounded_to_eight(tmp_path: Path, photo: Image.Image, look_at: AnyLook) -> None:
    noise = np.random.default_rng(6).integers(-257, 257, pixels(photo).shape)
    fine = np.clip(pixels(photo).astype(np.int64) * 257 + noise, 0, 65535).astype(np.uint16)
    path = tmp_path / "p.png"
    assert cv2.imwrite(str(path), fine[:, :, ::-1])
    assert np.array_equal(look_at(path).raster.pixels, np.rint(fine / 257).astype(np.uint8))


def test_a_grey_png_of_16_bits_is_grey(tmp_path: Path, look_at: AnyLook) -> None:
    ramp = np.linspace(0, 65535, 90 * 70).reshape(70, 90, 1).astype(np.uint16)
    path = tmp_path / "p.png"
    path.write_bytes(png(ramp, 0, 16))
    look = look_at(path)
    eight = np.rint(ramp / 257).astype(np.uint8)
    assert np.array_equal(look.raster.pixels[:, :, 1], eight[:, :, 0])
    (placed,) = placed_pictures(path, look.page)
    assert placed.mode == "L"
    assert np.array_equal(placed.read(PixelBox(0, 0, 90, 70)), eight)


@pytest.mark.parametrize("bits", [1, 2, 4, 8])
def test_a_png_with_a_palette_has_the_colours_of_the_palette(
    tmp_path: Path, look_at: AnyLook, bits: int
) -> None:
    rng = np.random.default_rng(3)
    numbers = rng.integers(0, 2**bits, (37, 53, 1))
    palette = rng.integers(0, 256, (2**bits, 3), np.uint8)
    path = tmp_path / "p.png"
    path.write_bytes(png(numbers, 3, bits, chunk(b"PLTE", palette.tobytes())))
    look = look_at(path)
    assert np.array_equal(look.raster.pixels, palette[numbers[:, :, 0]])
    (placed,) = placed_pictures(path, look.page)
    assert np.array_equal(placed.read(PixelBox(3, 4, 20, 30)), palette[numbers[4:30, 3:20, 0]])


def test_a_palette_with_transparency_gives_alpha(tmp_path: Path, look_at: AnyLook) -> None:
    numbers = np.indices((20, 30)).sum(axis=0)[:, :, np.newaxis] % 3
    palette = np.array([[200, 10, 10], [10, 200, 10], [10, 10, 200]], np.uint8)
    path = tmp_path / "p.png"
    path.write_bytes(
        png(numbers, 3, 8, chunk(b"PLTE", palette.tobytes()), chunk(b"tRNS", bytes([255, 0, 128])))
    )
    look = look_at(path)
    assert look.page.has_alpha
    wanted = np.concatenate([palette, [[255], [0], [128]]], axis=1)[numbers[:, :, 0]]
    assert np.array_equal(look.raster.pixels, wanted)
    assert np.array_equal(read_region(path, look.page, look.page.box), wanted)
    (placed,) = placed_pictures(path, look.page)
    assert (placed.mode, placed.has_alpha) == ("RGB", True)
    assert np.array_equal(placed.read(PixelBox(0, 0, 30, 20)), wanted)


def test_one_colour_of_a_png_may_be_transparent(tmp_path: Path, look_at: AnyLook) -> None:
    colours = np.array([[255, 255, 255], [9, 8, 7]], np.uint8)[np.eye(12, 10, dtype=int)]
    path = tmp_path / "p.png"
    path.write_bytes(png(colours, 2, 8, chunk(b"tRNS", struct.pack(">3H", 9, 8, 7))))
    assert np.array_equal(look_at(path).raster.pixels[:, :, 3], 255 * (colours[:, :, 0] == 255))
    path.write_bytes(png(colours[:, :, :1], 0, 8, chunk(b"tRNS", struct.pack(">H", 9))))
    look = look_at(path)
    assert np.array_equal(look.raster.pixels[:, :, 3], 255 * (colours[:, :, 0] == 255))
    (placed,) = placed_pictures(path, look.page)
    assert (placed.mode, placed.read(PixelBox(0, 0, 10, 12)).shape) == ("L", (12, 10, 2))


@pytest.mark.parametrize("colour_type", [4, 6])
@pytest.mark.parametrize("bits", [8, 16])
def test_alpha_is_kept_straight(tmp_path: Path, look_at: AnyLook, colour_type: int, bits: int) -> None:
    rng = np.random.default_rng(4)
    samples = rng.integers(0, 2**bits, (33, 21, SAMPLES[colour_type]))
    path = tmp_path / "p.png"
    path.write_bytes(png(samples, colour_type, bits))
    look = look_at(path)
    levels = samples if bits == 8 else np.rint(samples / 257).astype(np.uint8)
    colours = np.repeat(levels[:, :, :1], 3, axis=2) if colour_type == 4 else levels[:, :, :3]
    assert look.page.has_alpha
    assert np.array_equal(look.raster.pixels, np.concatenate([colours, levels[:, :, -1:]], axis=2))
    (placed,) = placed_pictures(path, look.page)
    assert placed.mode == ("L" if colour_type == 4 else "RGB")
    assert np.array_equal(placed.read(PixelBox(0, 0, 21, 33)), levels)


def test_a_page_that_is_opaque_everywhere_has_no_alpha(
    tmp_path: Path, photo: Image.Image, look_at: AnyLook
) -> None:
    path = tmp_path / "p.png"
    photo.convert("RGBA").save(path)
    look = look_at(path)
    assert not look.page.has_alpha
    assert np.array_equal(look.raster.pixels, pixels(photo))
    assert read_region(path, look.page, PixelBox(0, 0, 9, 9)).shape == (9, 9, 3)
    (placed,) = placed_pictures(path, look.page)
    assert placed.read(PixelBox(0, 0, 9, 9)).shape == (9, 9, 3)


def test_reducing_lets_no_colour_out_of_transparent_pixels(tmp_path: Path, look_at: AnyLook) -> None:
    """Red beside transparent green: averaged as straight alpha the edge would turn brown."""
    picture = np.zeros((40, 40, 4), np.uint8)
    picture[:, :21] = (250, 0, 0, 255)
    picture[:, 21:] = (0, 250, 0, 0)
    path = tmp_path / "p.png"
    Image.fromarray(picture).save(path, dpi=(300, 300))
    reduced = look_at(path, target_ppi=150).raster.pixels
    assert reduced.shape == (20, 20, 4)
    assert reduced[5, 10].tolist() == [pytest.approx(250, abs=2), 0, 0, pytest.approx(128, abs=1)]


def test_a_png_without_its_end_mark_still_has_all_its_pixels(
    tmp_path: Path, photo: Image.Image, look_at: AnyLook
) -> None:
    path = tmp_path / "p.png"
    path.write_bytes(png(pixels(photo), 2, 8)[:-12])
    assert np.array_equal(look_at(path).raster.pixels, pixels(photo))


# ------------------------------------------------------------------ TIFF and WebP


def test_each_page_of_a_tiff_is_a_page(
    tmp_path: Path, photo: Image.Image, original: Callable[[Path], Original]
) -> None:
    pages = [photo, ImageOps.mirror(photo), photo.convert("L")]
    path = tmp_path / "p.tif"
    photo.save(path, save_all=True, append_images=pages[1:], compression="tiff_lzw", dpi=(300, 300))
    found = find_pages([original(path)])
    assert [page.frame for page in found.pages] == [0, 1, 2]
    for source, page in zip(found.pages, pages, strict=True):
        look = source.look(1, 1e6)
        assert np.array_equal(look.raster.pixels, pixels(page.convert("RGB")))
        assert look.page.ppi == PagePpi(300, 300, PpiSource.FILE)
        box = PixelBox(5, 6, 70, 80)
        assert np.array_equal(read_region(path, look.page, box), pixels(page.convert("RGB"))[6:80, 5:70])
    keys = {placed_pictures(path, source.look(1, 1e6).page)[0].key for source in found.pages}
    assert len(keys) == 3


def test_the_thumbnail_in_a_tiff_is_no_page(
    tmp_path: Path, photo: Image.Image, original: Callable[[Path], Original]
) -> None:
    path = tmp_path / "p.tif"
    small = photo.resize((30, 40))
    small.encoderinfo = {"tiffinfo": {254: 1}}  # NewSubfileType: a reduced copy of another page
    photo.save(path, save_all=True, append_images=[small, photo])
    with Image.open(path) as check:
        check.seek(1)
        assert check.size == (30, 40)
        assert check.tag_v2[254] == 1
    assert [page.frame for page in find_pages([original(path)]).pages] == [0, 2]


@pytest.mark.parametrize("compression", ["raw", "tiff_lzw", "tiff_adobe_deflate", "packbits"])
def test_a_cmyk_tiff_is_full_ink_at_255(
    tmp_path: Path, smooth: Image.Image, look_at: AnyLook, compression: str
) -> None:
    path = tmp_path / "p.tif"
    ink(smooth).save(path, compression=compression)
    look = look_at(path)
    assert apart(look.raster.pixels, plainly_mixed(pixels(ink(smooth)))) <= 1
    (placed,) = placed_pictures(path, look.page)
    assert (placed.mode, placed.inverted, placed.jpeg) == ("CMYK", False, None)
    assert np.array_equal(placed.read(PixelBox(0, 0, *smooth.size)), pixels(ink(smooth)))


@pytest.mark.parametrize("number", range(1, 9))
def test_a_tiff_stands_upright_by_its_tag(
    tmp_path: Path, photo: Image.Image, look_at: AnyLook, number: int
) -> None:
    path = tmp_path / "p.tif"
    photo.save(path, tiffinfo={274: number}, dpi=(240, 200))
    reference = photo.copy()
    reference.getexif()[0x0112] = number
    look = look_at(path)
    assert np.array_equal(look.raster.pixels, pixels(ImageOps.exif_transpose(reference)))
    assert (look.page.ppi.x, look.page.ppi.y) == ((240, 200) if number < 5 else (200, 240))
    (placed,) = placed_pictures(path, look.page)
    assert placed.size_px == look.page.size_px
    assert np.array_equal(placed.read(look.page.box), look.raster.pixels)


def test_a_lab_tiff_has_the_colours_that_littlecms_gives_it(
    tmp_path: Path, smooth: Image.Image, look_at: AnyLook
) -> None:
    to_lab = ImageCms.buildTransform(
        ImageCms.createProfile("sRGB"), ImageCms.createProfile("LAB"), "RGB", "LAB", ImageCms.Intent(1)
    )
    path = tmp_path / "p.tif"
    lab = ImageCms.applyTransform(smooth, to_lab)
    assert lab.mode == "LAB"
    lab.save(path)
    look = look_at(path)
    back = ImageCms.buildTransform(
        ImageCms.createProfile("LAB"), ImageCms.createProfile("sRGB"), "LAB", "RGB", ImageCms.Intent(1)
    )
    assert np.array_equal(look.raster.pixels, pixels(ImageCms.applyTransform(lab, back)))
    assert np.abs(look.raster.pixels.astype(int) - pixels(smooth)).mean() < 1
    (placed,) = placed_pictures(path, look.page)
    assert np.array_equal(placed.read(look.page.box), look.raster.pixels)


def test_a_tiff_of_one_bit_is_black_and_white(tmp_path: Path, photo: Image.Image, look_at: AnyLook) -> None:
    path = tmp_path / "p.tif"
    photo.convert("1").save(path, compression="group4")
    assert np.array_equal(look_at(path).raster.pixels, pixels(photo.convert("1").convert("RGB")))


def test_a_picture_of_floating_point_numbers_is_refused_by_name(
    tmp_path: Path, photo: Image.Image, look_at: AnyLook
) -> None:
    path = tmp_path / "p.tif"
    photo.convert("F").save(path)
    with pytest.raises(UnsupportedPicture, match=r"p\.tif is a picture of floating-point numbers"):
        look_at(path)


@pytest.mark.parametrize("mode", ["RGB", "RGBA"])
def test_a_lossless_webp_looks_as_it_was_written(
    tmp_path: Path, photo: Image.Image, look_at: AnyLook, mode: str
) -> None:
    picture = photo.convert(mode)
    if mode == "RGBA":
        picture.putalpha(Image.linear_gradient("L").resize(photo.size))
    exif = Image.Exif()
    exif[0x011A], exif[0x011B], exif[0x0128] = 200.0, 200.0, 2
    path = tmp_path / "p.webp"
    picture.save(path, lossless=True, exact=True, exif=exif)
    look = look_at(path)
    assert np.array_equal(look.raster.pixels, pixels(picture))
    assert look.page.ppi == PagePpi(200, 200, PpiSource.FILE)


# -------------------------------------------------------------------- bad pictures


def saved(picture: Image.Image, kind: str, **options: object) -> bytes:
    buffer = io.BytesIO()
    picture.save(buffer, kind, **options)
    return buffer.getvalue()


@pytest.mark.parametrize("share", [0.02, 0.3, 0.6, 0.95])
@pytest.mark.parametrize(
    ("kind", "options"),
    [
        ("JPEG", {}),
        ("JPEG", {"progressive": True}),
        ("PNG", {}),
        ("TIFF", {}),
        ("TIFF", {"compression": "tiff_lzw"}),
        ("WEBP", {}),
    ],
)
@pytest.mark.parametrize("target", [1e6, 150])
def test_a_picture_cut_short_is_damaged(
    tmp_path: Path,
    photo: Image.Image,
    look_at: AnyLook,
    kind: str,
    options: dict[str, object],
    share: float,
    target: float,
) -> None:
    content = saved(photo, kind, dpi=(300, 300), **options)
    path = tmp_path / f"p.{kind.lower()}"
    path.write_bytes(content[: int(len(content) * share)])
    with pytest.raises(DamagedPicture, match=f"p.{kind.lower()} is damaged"):
        look_at(path, target_ppi=target)


def test_a_png_with_a_byte_changed_is_damaged(tmp_path: Path, photo: Image.Image, look_at: AnyLook) -> None:
    content = bytearray(saved(photo, "PNG"))
    content[len(content) // 2] ^= 0x55
    path = tmp_path / "p.png"
    path.write_bytes(content)
    with pytest.raises(DamagedPicture):
        look_at(path)


def huge_png(columns: int, rows: int) -> bytes:
    header = struct.pack(">IIBBBBB", columns, rows, 8, 2, 0, 0, 0)
    body = chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(bytes(100)))
    return b"\x89PNG\r\n\x1a\n" + body + chunk(b"IEND", b"")


def test_a_picture_over_250_megapixels_is_refused_by_its_header(tmp_path: Path, look_at: AnyLook) -> None:
    path = tmp_path / "p.png"
    path.write_bytes(huge_png(20_000, 12_501))
    with pytest.raises(PictureTooLarge, match="20000 x 12501 pixels, over the limit of 250 megapixels"):
        look_at(path)


def test_a_picture_that_pillow_would_call_a_bomb_is_opened(
    tmp_path: Path, original: Callable[[Path], Original]
) -> None:
    """200 megapixels: Image.open would raise; the header is fine, and only the pixels turn out missing."""
    path = tmp_path / "p.png"
    path.write_bytes(huge_png(20_000, 10_000))
    found = find_pages([original(path)])
    assert (len(found.pages), found.problems) == (1, ())


def test_a_tiff_of_100_megapixels_comes_in_without_a_warning(tmp_path: Path, look_at: AnyLook) -> None:
    path = tmp_path / "p.tif"
    Image.new("1", (10_000, 10_000), 1).save(path, compression="group4", dpi=(600, 600))
    look = look_at(path, target_ppi=75)
    assert look.raster.pixels.shape == (1250, 1250, 3)
    (placed,) = placed_pictures(path, look.page)
    assert placed.read(PixelBox(0, 0, 9_900, 9_900)).shape == (9_900, 9_900, 1)


def test_an_original_that_was_swapped_for_another_size_is_refused(
    tmp_path: Path, photo: Image.Image, look_at: AnyLook
) -> None:
    path = tmp_path / "p.png"
    photo.save(path)
    page = look_at(path).page
    photo.resize((30, 40)).save(path)
    with pytest.raises(DamagedPicture, match="not the picture that was imported"):
        read_region(path, page, PixelBox(0, 0, 5, 5))
    path.write_bytes(b"no picture at all")
    with pytest.raises(NotAPicture):
        read_region(path, page, PixelBox(0, 0, 5, 5))


def test_a_box_off_the_page_is_a_fault_of_the_caller(
    tmp_path: Path, photo: Image.Image, look_at: AnyLook
) -> None:
    path = tmp_path / "p.png"
    photo.save(path)
    with pytest.raises(ValueError, match="is not on a picture"):
        read_region(path, look_at(path).page, PixelBox(290, 0, 301, 5))


# ---------------------------------------------------------------- coming back to a page


def test_a_raster_read_later_is_the_one_first_looked_at(
    tmp_path: Path, photo: Image.Image, look_at: AnyLook
) -> None:
    for name, options in (("p.jpg", {"quality": 90}), ("p.png", {})):
        photo.save(tmp_path / name, dpi=(300, 300), **options)
        look = look_at(tmp_path / name, target_ppi=150)
        again = read_raster(tmp_path / name, look.page, 150)
        assert np.array_equal(again.pixels, look.raster.pixels)
        assert again.page_px == look.raster.page_px


def test_several_regions_are_those_read_one_by_one(
    tmp_path: Path, photo: Image.Image, look_at: AnyLook
) -> None:
    path = tmp_path / "p.jpg"
    photo.save(path)
    page = look_at(path).page
    boxes = [PixelBox(0, 0, 10, 10), PixelBox(200, 300, 300, 400), page.box]
    for box, region in zip(boxes, read_regions(path, page, boxes), strict=True):
        assert np.array_equal(region, read_region(path, page, box))


def test_a_jpeg_goes_to_a_sheet_as_its_own_bytes(
    tmp_path: Path, photo: Image.Image, look_at: AnyLook
) -> None:
    path = tmp_path / "p.jpg"
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    photo.save(path, icc_profile=profile)
    (placed,) = placed_pictures(path, look_at(path).page)
    assert placed.jpeg == path.read_bytes()
    assert placed.icc == profile
    assert np.array_equal(placed.read(PixelBox(1, 2, 30, 40)), reference(path)[2:40, 1:30])


def test_looks_from_several_threads_do_not_disturb_each_other(
    tmp_path: Path, photo: Image.Image, original: Callable[[Path], Original]
) -> None:
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    for number in range(8):
        picture = Image.fromarray(np.roll(pixels(photo), number * 20, axis=0))
        picture.save(tmp_path / f"{number}.{('jpg', 'png', 'tif', 'webp')[number % 4]}", icc_profile=profile)
    sources = find_pages([original(path) for path in sorted(tmp_path.iterdir())]).pages
    alone = [source.look(1, 1e6).raster.pixels for source in sources]
    together: dict[int, np.ndarray] = {}

    def look(number: int) -> None:
        together[number] = sources[number].look(1, 1e6).raster.pixels

    for _ in range(3):
        threads = [threading.Thread(target=look, args=(number,)) for number in range(8)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert all(np.array_equal(alone[number], together.pop(number)) for number in range(8))


def test_pillow_is_left_as_it_was_found(tmp_path: Path, photo: Image.Image) -> None:
    """No switch of Pillow's or Python's that goes for the whole program is touched, in a fresh process."""
    photo.save(tmp_path / "p.png")
    program = """
        import sys, warnings
        from pathlib import Path
        from PIL import Image, ImageFile
        from kitprep.files.kit import Original, find_pages
        switches = lambda: (Image.MAX_IMAGE_PIXELS, ImageFile.LOAD_TRUNCATED_IMAGES, list(warnings.filters))
        look = lambda: find_pages([Original("p.png", Path(sys.argv[1]), "", 0)]).pages[0].look(1, 150)
        import numpy, PIL.TiffImagePlugin, PIL.WebPImagePlugin  # which set filters of their own
        before = switches()
        look()
        assert switches() == before
    """
    subprocess.run([sys.executable, "-c", textwrap.dedent(program), str(tmp_path / "p.png")], check=True)


def test_zero_bytes_and_words_called_a_picture_are_told_apart(tmp_path: Path, look_at: AnyLook) -> None:
    (tmp_path / "empty.jpg").write_bytes(b"")
    (tmp_path / "words.jpg").write_text("Thank you for buying this kit!")
    with pytest.raises(EmptyFile, match=r"empty\.jpg is empty"):
        look_at(tmp_path / "empty.jpg")
    with pytest.raises(NotAPicture, match=r"words\.jpg holds no picture"):
        look_at(tmp_path / "words.jpg")


def test_given_options_reach_the_page(tmp_path: Path, photo: Image.Image, look_at: AnyLook) -> None:
    photo.save(tmp_path / "p.png", dpi=(300, 300))
    assert look_at(tmp_path / "p.png", ppi=150.0).page.ppi == PagePpi(150, 150, PpiSource.GIVEN)
    assert PageOptions().ppi is None
