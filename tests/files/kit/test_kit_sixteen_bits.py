"""Pages of sixteen bits, written by scikit-image's tifffile, by OpenCV or by the PNG specification."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest
import tifffile
from files.kit.conftest import AnyLook
from files.kit.test_kit_pictures import png
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from kitprep.errors import UnsupportedPicture
from kitprep.files.kit import read_full, read_region
from kitprep.files.kit.sixteen_bits import to_eight_bits
from kitprep.pages import PixelBox

RNG = np.random.default_rng(16)
FINE = RNG.integers(0, 65536, (40, 30, 4), dtype=np.uint16)
EXIF_ORIENTATIONS = range(1, 9)


@given(st.integers(0, 65535))
def test_eight_bits_are_the_nearest_share_of_full_scale(value: int) -> None:
    assert to_eight_bits(np.array([value], np.uint16))[0] == round(value * 255 / 65535)


@pytest.mark.parametrize("colour_type", [0, 2, 4, 6])
@pytest.mark.parametrize("interlaced", [False, True])
def test_a_png_of_16_bits_is_read_in_full(
    tmp_path: Path, look_at: AnyLook, colour_type: int, interlaced: bool
) -> None:
    samples = FINE[..., : {0: 1, 2: 3, 4: 2, 6: 4}[colour_type]]
    path = tmp_path / "p.png"
    path.write_bytes(png(samples, colour_type, 16, interlaced=interlaced))
    page = look_at(path).page
    full = read_full(path, page)
    assert full is not None
    assert full.grey == (colour_type in (0, 4))
    wanted = samples if colour_type in (2, 6) else np.dstack([samples[..., :1]] * 3 + [samples[..., 1:]])
    assert np.array_equal(full.read(page.box), wanted)
    assert np.array_equal(full.read(PixelBox(3, 5, 20, 31)), wanted[5:31, 3:20])


@pytest.mark.parametrize("compression", [None, "deflate"])
@pytest.mark.parametrize("order", ["<", ">"])
@pytest.mark.parametrize("extra", [None, "unassalpha", "unspecified"])
def test_a_tiff_of_16_bits_is_read_in_full(
    tmp_path: Path, look_at: AnyLook, compression: str | None, order: str, extra: str | None
) -> None:
    samples = FINE if extra else FINE[..., :3]
    path = tmp_path / "p.tif"
    tifffile.imwrite(
        path,
        samples,
        photometric="rgb",
        compression=compression,
        byteorder=order,
        extrasamples=[extra] if extra else None,
    )
    page = look_at(path).page
    full = read_full(path, page)
    assert full is not None
    assert np.array_equal(full.read(page.box), samples if extra == "unassalpha" else samples[..., :3])


def test_colours_stored_multiplied_by_their_opacity_come_back_as_they_were(
    tmp_path: Path, look_at: AnyLook
) -> None:
    colours, alpha = FINE[..., :3], np.maximum(FINE[..., 3:], 20_000)
    stored = np.rint(colours * (alpha / 65535)).astype(np.uint16)
    path = tmp_path / "p.tif"
    tifffile.imwrite(path, np.dstack([stored, alpha]), photometric="rgb", extrasamples=["assocalpha"])
    page = look_at(path).page
    full = read_full(path, page)
    assert full is not None
    assert np.abs(full.read(page.box)[..., :3].astype(int) - colours).max() <= 2


@pytest.mark.parametrize("photometric", ["minisblack", "miniswhite"])
def test_grey_of_16_bits_counts_light_whatever_the_file_counts(
    tmp_path: Path, look_at: AnyLook, photometric: str
) -> None:
    stored = FINE[..., 0] if photometric == "minisblack" else 65535 - FINE[..., 0]
    path = tmp_path / "p.tif"
    tifffile.imwrite(path, stored, photometric=photometric)
    page = look_at(path).page
    full = read_full(path, page)
    assert full is not None and full.grey
    assert np.array_equal(full.read(page.box)[..., 1], FINE[..., 0])
    assert np.array_equal(read_region(path, page, page.box)[..., 1], np.rint(FINE[..., 0] / 257))


def test_the_second_picture_of_a_tiff_is_read_in_full(tmp_path: Path, look_at: AnyLook) -> None:
    path = tmp_path / "p.tif"
    with tifffile.TiffWriter(path) as writer:
        writer.write(FINE[..., :3], photometric="rgb")
        writer.write(FINE[::-1, :, :3], photometric="rgb")
    page = look_at(path, frame=1).page
    full = read_full(path, page)
    assert full is not None
    assert np.array_equal(full.read(page.box), FINE[::-1, :, :3])


@pytest.mark.parametrize("orientation", EXIF_ORIENTATIONS)
@pytest.mark.parametrize("ending", ["png", "tif"])
def test_all_bits_stand_upright_as_the_eight_do(
    tmp_path: Path, look_at: AnyLook, orientation: int, ending: str
) -> None:
    path = tmp_path / f"p.{ending}"
    if ending == "tif":
        tifffile.imwrite(path, FINE[..., :3], photometric="rgb", extratags=[(274, "H", 1, orientation, True)])
    else:
        exif = Image.Exif()
        exif[274] = orientation
        content = png(FINE[..., :3], 2, 16, _exif_chunk(exif.tobytes()))
        path.write_bytes(content)
    page = look_at(path).page
    full = read_full(path, page)
    assert full is not None
    eight = read_region(path, page, page.box)
    assert np.array_equal(np.rint(full.read(page.box) / 257).astype(np.uint8), eight)
    assert eight.shape[:2] == ((40, 30) if orientation < 5 else (30, 40))


def _exif_chunk(content: bytes) -> bytes:
    from files.kit.test_kit_pictures import chunk

    return chunk(b"eXIf", content.removeprefix(b"Exif\0\0"))


def test_a_page_of_eight_bits_has_no_more(tmp_path: Path, photo: Image.Image, look_at: AnyLook) -> None:
    path = tmp_path / "p.png"
    photo.save(path)
    assert read_full(path, look_at(path).page) is None


def test_opencv_and_pillow_that_do_not_agree_are_not_believed(tmp_path: Path, look_at: AnyLook) -> None:
    """OpenCV mixes up the planes of a TIFF that stores its colours apart."""
    path = tmp_path / "p.tif"
    planes = FINE[..., :3].transpose(2, 0, 1)
    tifffile.imwrite(path, planes, photometric="rgb", planarconfig="separate", compression="deflate")
    wrong = cv2.imread(str(path), cv2.IMREAD_UNCHANGED)
    assert wrong is None or not np.array_equal(wrong[..., ::-1], FINE[..., :3])
    page = look_at(path).page
    assert read_full(path, page) is None
    assert np.abs(read_region(path, page, page.box).astype(int) - FINE[..., :3] / 257).max() < 1


def test_planes_of_sixteen_bits_without_compression_are_refused(tmp_path: Path, look_at: AnyLook) -> None:
    path = tmp_path / "p.tif"
    tifffile.imwrite(path, FINE[..., :3].transpose(2, 0, 1), photometric="rgb", planarconfig="separate")
    with pytest.raises(UnsupportedPicture, match=r"p\.tif"):
        look_at(path)
