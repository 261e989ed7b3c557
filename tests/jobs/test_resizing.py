"""Sixteen bits from picture file to picture file, read back with tifffile and OpenCV."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest
import tifffile
from files.kit.test_kit_colour import wide_profile
from PIL import Image

from kitprep.jobs.importing import ImportOptions, import_kit
from kitprep.jobs.resizing import resize_element
from kitprep.lengths import Unit, WantedSize, inches
from kitprep.piece.wanted import Border

WIDE, HIGH = 600, 450
SIZE = WantedSize(inches(1), None)  # a half


def ramp(channels: int) -> np.ndarray:
    """Slow slopes, so that a level of 8 bits spans many of 16."""
    across, down = np.meshgrid(np.linspace(0.2, 0.5, WIDE), np.linspace(0.3, 0.6, HIGH))
    planes = [across, down, (across + down) / 2, np.full(across.shape, 1.0)][:channels]
    return np.rint(np.dstack(planes) * 65535).astype(np.uint16)


def read_back(path: Path) -> np.ndarray:
    pixels = cv2.imread(str(path), cv2.IMREAD_UNCHANGED)
    assert pixels is not None
    return pixels if pixels.ndim == 2 else pixels[..., [2, 1, 0, 3][: pixels.shape[2]]]


def put_on_shelf(path: Path, shelf: Path) -> None:
    import_kit([path], options=ImportOptions(name="Deep", whole=True, ppi=300.0), shelf=shelf)


def write(path: Path, pixels: np.ndarray, icc: bytes | None = None) -> None:
    if path.suffix == ".png":
        assert icc is None
        assert cv2.imwrite(
            str(path), pixels[..., [2, 1, 0, 3][: pixels.shape[2]]] if pixels.ndim == 3 else pixels
        )
        return
    tifffile.imwrite(
        path,
        pixels,
        photometric="rgb" if pixels.ndim == 3 else "minisblack",
        extrasamples=["unassalpha"] if pixels.ndim == 3 and pixels.shape[2] == 4 else None,
        iccprofile=icc,
    )


@pytest.mark.parametrize("source", ["png", "tif"])
@pytest.mark.parametrize("ending", ["png", "tif"])
@pytest.mark.parametrize("kind", ["rgb", "grey", "rgba"])
def test_sixteen_bits_come_out_as_sixteen(tmp_path: Path, source: str, ending: str, kind: str) -> None:
    pixels = ramp({"rgb": 3, "grey": 1, "rgba": 4}[kind])
    if kind == "rgba":
        pixels[:, : WIDE // 2, 3] = 30_001
    if kind == "grey":
        pixels = pixels[..., 0]
    write(tmp_path / f"page.{source}", pixels)
    put_on_shelf(tmp_path / f"page.{source}", tmp_path / "shelf")
    out = tmp_path / f"small.{ending}"
    done = resize_element("deep/p01-01", SIZE, out, shelf=tmp_path / "shelf")
    small = read_back(out)
    assert done.bits == 16
    assert small.dtype == np.uint16
    assert small.shape[:2] == (225, 300)
    # OpenCV's mean of two by two, over code values: on so slow a slope the same to a few levels of 65 536.
    wanted = cv2.resize(pixels, (300, 225), interpolation=cv2.INTER_AREA)
    inner = (slice(8, -8), slice(8, 130))
    assert np.abs(small[inner].astype(int) - wanted[inner]).max() <= 3
    assert len(np.unique(small[..., 0] if small.ndim == 3 else small)) > 256
    with Image.open(out) as picture:
        assert picture.info["dpi"] == pytest.approx((300, 300), abs=0.02)


@pytest.mark.parametrize("ending", ["png", "tif"])
def test_the_profile_of_sixteen_bits_is_kept_and_its_own_light_summed(tmp_path: Path, ending: str) -> None:
    board = np.repeat(
        (np.indices((HIGH, WIDE)).sum(axis=0) % 2 * 65535).astype(np.uint16)[..., None], 3, axis=2
    )
    write(tmp_path / "page.tif", board, wide_profile())
    put_on_shelf(tmp_path / "page.tif", tmp_path / "shelf")
    out = tmp_path / f"small.{ending}"
    resize_element("deep/p01-01", SIZE, out, shelf=tmp_path / "shelf")
    with Image.open(out) as picture:
        assert picture.info["icc_profile"] == wide_profile()
    # Half of the light is the code 0.5 ** (1 / 2.2) by the profile's gamma of 563 / 256 (Adobe RGB, 1998).
    assert np.abs(read_back(out)[8:-8, 8:-8] / 65535 - 0.5 ** (256 / 563)).max() < 0.001


def test_a_cut_out_of_sixteen_bits_keeps_them_with_its_bleed_and_border(tmp_path: Path) -> None:
    page = np.full((HIGH, WIDE, 3), 65535, np.uint16)
    rows, cols = np.mgrid[:HIGH, :WIDE]
    disc = np.hypot(rows - 225, cols - 300) < 180
    page[disc] = (ramp(3) // 2)[disc]
    write(tmp_path / "page.png", page)
    import_kit(
        [tmp_path / "page.png"], options=ImportOptions(name="Deep", ppi=300.0), shelf=tmp_path / "shelf"
    )
    plain, edged = tmp_path / "plain.png", tmp_path / "edged.png"
    own = WantedSize(inches("6/5"), None, Unit.INCH)
    resize_element("deep/p01-01", own, plain, bleed=inches("1/16"), shelf=tmp_path / "shelf")
    resize_element("deep/p01-01", own, edged, border=Border(inches("1/8")), shelf=tmp_path / "shelf")
    bled, lined = read_back(plain), read_back(edged)
    middle = bled[bled.shape[0] // 2, bled.shape[1] // 2 - 50 : bled.shape[1] // 2 + 50, 0]
    assert bled.dtype == lined.dtype == np.uint16
    assert len(np.unique(middle)) > 40  # 22 levels of 8 bits
    bleed = bled[bled.shape[0] // 2, 8:14]
    assert (bleed[:, 3] == 65535).all() and bleed[:, :3].max() < 30_000
    assert (lined[lined.shape[0] // 2, 10] == 65535).all()


def test_a_jpeg_of_a_page_of_sixteen_bits_has_eight_and_says_so(tmp_path: Path) -> None:
    write(tmp_path / "page.png", ramp(3))
    put_on_shelf(tmp_path / "page.png", tmp_path / "shelf")
    done = resize_element("deep/p01-01", SIZE, tmp_path / "small.jpg", shelf=tmp_path / "shelf")
    assert done.bits == 8
    with Image.open(tmp_path / "small.jpg") as picture:
        assert picture.mode == "RGB"


def test_a_coloured_border_around_grey_of_sixteen_bits_is_coloured(tmp_path: Path) -> None:
    page = np.full((HIGH, WIDE), 65535, np.uint16)
    rows, cols = np.mgrid[:HIGH, :WIDE]
    page[np.hypot(rows - 225, cols - 300) < 150] = 20_011
    write(tmp_path / "page.png", page)
    import_kit(
        [tmp_path / "page.png"], options=ImportOptions(name="Deep", ppi=300.0), shelf=tmp_path / "shelf"
    )
    out = tmp_path / "edged.png"
    border = Border(inches("1/8"), (200, 30, 40))
    resize_element("deep/p01-01", WantedSize(inches(1), None), out, border=border, shelf=tmp_path / "shelf")
    edged = read_back(out)
    assert (edged[edged.shape[0] // 2, 10] == np.array([200, 30, 40, 255]) * 257).all()
    assert (edged[edged.shape[0] // 2, edged.shape[1] // 2, :3] == 20_011).all()
