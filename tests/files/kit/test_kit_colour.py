"""Colour: profiles by littleCMS, PNG's gAMA and cHRM by the W3C specification."""

from __future__ import annotations

import io
import struct
from collections.abc import Callable
from pathlib import Path
from zlib import crc32

import numpy as np
import pytest
from PIL import Image, ImageChops, ImageCms

from kitprep.files.kit import Look, Note, placed_pictures
from kitprep.files.kit.colour import profile_fits, to_srgb
from kitprep.files.kit.png_colour import profile_of_png
from kitprep.pages import PixelBox

AnyLook = Callable[..., Look]
SRGB_PROFILE = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
# Adobe RGB (1998) Color Image Encoding, section 4.3: white, red, green, blue; gamma 2.19921875.
ADOBE_RGB_XY = (0.3127, 0.3290, 0.64, 0.33, 0.21, 0.71, 0.15, 0.06)
ADOBE_RGB_GAMMA = 1 / 2.19921875


def wide_profile() -> bytes:
    profile = profile_of_png(ADOBE_RGB_GAMMA, ADOBE_RGB_XY, grey=False)
    assert profile is not None
    return profile


def ink_profile() -> bytes:
    """A small CMYK profile: a table of two points a side, from ink to Lab (ICC.1:2010, 10.9, lut8Type)."""
    nodes = b""
    for number in range(16):
        cyan, magenta, yellow, black = (number >> bit & 1 for bit in (3, 2, 1, 0))
        lightness = 250 * (1 - 0.3 * cyan) * (1 - 0.4 * magenta) * (1 - 0.1 * yellow) * (1 - 0.9 * black)
        a = 128 + (1 - black) * (60 * magenta - 30 * cyan)
        b = 128 + (1 - black) * (70 * yellow - 40 * cyan)
        nodes += bytes(map(round, (lightness, a, b)))
    identity = struct.pack(">9i", 65536, 0, 0, 0, 65536, 0, 0, 0, 65536)
    ramp = bytes(range(256))
    table = b"mft1\0\0\0\0" + bytes([4, 3, 2, 0]) + identity + ramp * 4 + nodes + ramp * 3
    text = b"mluc\0\0\0\0" + struct.pack(">II4sII", 1, 12, b"enUS", 6, 28) + "ink".encode("utf-16-be")
    white = b"XYZ \0\0\0\0" + struct.pack(">3i", 63190, 65536, 54061)
    tags = {b"desc": text, b"cprt": text, b"wtpt": white, b"A2B0": table, b"A2B1": table}
    at = 132 + 12 * len(tags)
    index, body = struct.pack(">I", len(tags)), b""
    for name, content in tags.items():
        index += name + struct.pack(">II", at + len(body), len(content))
        body += content + bytes(-len(content) % 4)
    head = struct.pack(
        ">I4sI4s4s4s12s4s", at + len(body), b"", 0x04200000, b"prtr", b"CMYK", b"Lab ", b"", b"acsp"
    )
    return head.ljust(68, b"\0") + struct.pack(">3i", 63190, 65536, 54061).ljust(60, b"\0") + index + body


def by_littlecms(picture: Image.Image, icc: bytes, mode: str) -> np.ndarray:
    """Straight from ImageCms: relative colorimetric with black point compensation, to sRGB."""
    transform = ImageCms.buildTransform(
        ImageCms.ImageCmsProfile(io.BytesIO(icc)),
        ImageCms.createProfile("sRGB"),
        mode,
        "RGB",
        ImageCms.Intent.RELATIVE_COLORIMETRIC,
        ImageCms.Flags.BLACKPOINTCOMPENSATION | (ImageCms.Flags.NOOPTIMIZE if mode == "L" else 0),
    )
    result = ImageCms.applyTransform(picture, transform)
    assert result is not None
    return np.asarray(result)


@pytest.mark.parametrize("name", ["p.jpg", "p.png", "p.tif", "p.webp"])
def test_a_picture_with_a_profile_has_the_colours_that_littlecms_gives_it(
    tmp_path: Path, photo: Image.Image, look_at: AnyLook, name: str
) -> None:
    path = tmp_path / name
    icc = wide_profile()
    photo.save(path, icc_profile=icc, **({"lossless": True} if name == "p.webp" else {}))
    with Image.open(path) as stored:
        stored.load()
        wanted = by_littlecms(stored, icc, "RGB")
        assert np.abs(wanted.astype(int) - np.asarray(stored)).max() > 20  # the profile matters
    look = look_at(path)
    assert np.array_equal(look.raster.pixels, wanted)
    assert (look.icc, look.notes) == (icc, ())
    (placed,) = placed_pictures(path, look.page)
    assert placed.icc == icc
    with Image.open(path) as stored:
        assert np.array_equal(placed.read(look.page.box), np.asarray(stored))  # untouched by the profile


def test_a_cmyk_picture_is_converted_through_its_profile(
    tmp_path: Path, smooth: Image.Image, look_at: AnyLook
) -> None:
    icc = ink_profile()
    inks = [ImageChops.invert(band) for band in smooth.split()]
    cmyk = Image.merge("CMYK", [*inks, Image.new("L", smooth.size, 30)])
    cmyk.save(tmp_path / "p.tif", icc_profile=icc)
    cmyk.save(tmp_path / "p.jpg", icc_profile=icc, quality=95)
    look = look_at(tmp_path / "p.tif")
    assert np.array_equal(look.raster.pixels, by_littlecms(cmyk, icc, "CMYK"))
    assert (look.icc, look.notes) == (icc, ())
    with Image.open(tmp_path / "p.jpg") as stored:
        stored.load()
        assert np.array_equal(look_at(tmp_path / "p.jpg").raster.pixels, by_littlecms(stored, icc, "CMYK"))


def test_a_grey_picture_is_converted_through_its_profile(tmp_path: Path, look_at: AnyLook) -> None:
    icc = profile_of_png(1.0, None, grey=True)
    assert icc is not None
    ramp = Image.linear_gradient("L")
    ramp.save(tmp_path / "p.jpg", icc_profile=icc, quality=100)
    with Image.open(tmp_path / "p.jpg") as stored:
        stored.load()
        assert np.array_equal(look_at(tmp_path / "p.jpg").raster.pixels, by_littlecms(stored, icc, "L"))


def test_the_darkest_ink_of_a_profile_is_shown_black() -> None:
    """Black point compensation: a display whose black gives 4 % of its light still spans all of the screen."""
    linear = profile_of_png(1.0, None, grey=False)
    assert linear is not None
    straight = b"para\0\0\0\0\0\0\0\0" + struct.pack(">i", 65536)
    raised = b"curv\0\0\0\0" + struct.pack(">IHH", 2, round(0.04 * 65535), 65535)
    icc = linear.replace(straight, raised)
    assert icc != linear
    ramp = Image.linear_gradient("L").convert("RGB")
    found = np.asarray(to_srgb(ramp, icc)[0])
    assert (found[0].max(), found[-1].min()) == (0, 255)
    assert np.array_equal(found, by_littlecms(ramp, icc, "RGB"))


def test_a_profile_that_is_srgb_changes_no_level(photo: Image.Image) -> None:
    assert np.array_equal(np.asarray(to_srgb(photo, SRGB_PROFILE)[0]), np.asarray(photo))


def test_alpha_goes_through_a_profile_untouched(photo: Image.Image) -> None:
    veil = Image.linear_gradient("L").resize(photo.size)
    picture = photo.copy()
    picture.putalpha(veil)
    found, notes = to_srgb(picture, wide_profile())
    assert notes == ()
    assert np.array_equal(np.asarray(found)[:, :, 3], np.asarray(veil))
    assert np.array_equal(np.asarray(found)[:, :, :3], by_littlecms(photo, wide_profile(), "RGB"))


@pytest.mark.parametrize("icc", [b"", b"nonsense", SRGB_PROFILE[:150], b"\0" * 200])
def test_a_profile_that_cannot_be_used_is_said_and_not_followed(photo: Image.Image, icc: bytes) -> None:
    found, notes = to_srgb(photo, icc)
    assert notes == (Note.PROFILE_UNUSABLE,)
    assert np.array_equal(np.asarray(found), np.asarray(photo))


def test_an_rgb_profile_on_a_cmyk_picture_is_not_followed(smooth: Image.Image) -> None:
    _, notes = to_srgb(smooth.convert("CMYK"), SRGB_PROFILE)
    assert notes == (Note.PROFILE_UNUSABLE, Note.CMYK_WITHOUT_PROFILE)


def test_a_grey_picture_may_have_an_rgb_profile(tmp_path: Path, photo: Image.Image, look_at: AnyLook) -> None:
    path = tmp_path / "p.jpg"
    photo.convert("L").save(path, icc_profile=wide_profile())
    with Image.open(path) as stored:
        wanted = by_littlecms(stored.convert("RGB"), wide_profile(), "RGB")
    look = look_at(path)
    assert np.array_equal(look.raster.pixels, wanted)
    assert look.notes == ()
    (placed,) = placed_pictures(path, look.page)
    assert (placed.mode, placed.icc) == ("L", None)  # a PDF takes a profile of as many colours only


def test_a_profile_is_for_the_colours_its_header_names() -> None:
    assert profile_fits(SRGB_PROFILE, "RGB")
    assert not profile_fits(SRGB_PROFILE, "CMYK")
    assert profile_fits(ink_profile(), "CMYK")
    assert not profile_fits(None, "RGB")


# ---------------------------------------------------------------- gAMA and cHRM


def srgb_encoded(light: np.ndarray) -> np.ndarray:
    """IEC 61966-2-1: levels of 255 from linear light."""
    curve = np.where(light <= 0.0031308, 12.92 * light, 1.055 * np.maximum(light, 1e-9) ** (1 / 2.4) - 0.055)
    return 255 * curve


def png_chunks(path: Path, picture: Image.Image, gamma: float | None, xy: tuple[float, ...] | None) -> None:
    """Pillow's PNG with gAMA and cHRM put in before the pixels."""
    buffer = io.BytesIO()
    picture.save(buffer, "PNG")
    extra = b""
    for name, values in ((b"gAMA", (gamma,)), (b"cHRM", xy)):
        if values is not None and values[0] is not None:
            body = struct.pack(f">{len(values)}I", *(round(value * 100_000) for value in values))
            extra += struct.pack(">I", len(body)) + name + body + struct.pack(">I", crc32(name + body))
    raw = buffer.getvalue()
    path.write_bytes(raw[:33] + extra + raw[33:])


@pytest.mark.parametrize("mode", ["RGB", "L"])
@pytest.mark.parametrize("gamma", [1.0, 0.6, 0.3])
def test_gama_is_honoured(tmp_path: Path, look_at: AnyLook, mode: str, gamma: float) -> None:
    path = tmp_path / "p.png"
    ramp = Image.linear_gradient("L").convert(mode)
    png_chunks(path, ramp, gamma, None)
    light = (np.asarray(ramp.convert("RGB")) / 255.0) ** (1 / gamma)
    found = look_at(path).raster.pixels
    assert np.abs(found - srgb_encoded(light)).max() <= 1.5


def test_chrm_is_honoured(tmp_path: Path, smooth: Image.Image, look_at: AnyLook) -> None:
    """Adobe RGB to sRGB by the matrices of the two standards, both of white D65: no adaptation needed."""
    path = tmp_path / "p.png"
    png_chunks(path, smooth, ADOBE_RGB_GAMMA, ADOBE_RGB_XY)
    to_xyz = np.array([[0.57667, 0.18556, 0.18823], [0.29734, 0.62736, 0.07529], [0.02703, 0.07069, 0.99134]])
    from_xyz = np.array([[3.2406, -1.5372, -0.4986], [-0.9689, 1.8758, 0.0415], [0.0557, -0.2040, 1.0570]])
    light = (np.asarray(smooth) / 255.0) ** (1 / ADOBE_RGB_GAMMA)
    wanted = srgb_encoded(np.clip(light @ to_xyz.T @ from_xyz.T, 0, 1))
    found = look_at(path).raster.pixels
    assert np.abs(found - wanted).max() <= 2
    assert np.abs(found.astype(int) - np.asarray(smooth)).max() > 10


def test_the_usual_gama_changes_nothing(tmp_path: Path, photo: Image.Image, look_at: AnyLook) -> None:
    path = tmp_path / "p.png"
    png_chunks(path, photo, 0.45455, (0.3127, 0.3290, 0.64, 0.33, 0.30, 0.60, 0.15, 0.06))
    look = look_at(path)
    assert np.array_equal(look.raster.pixels, np.asarray(photo))
    assert look.icc is None


def test_a_png_that_says_it_is_srgb_goes_before_gama(
    tmp_path: Path, photo: Image.Image, look_at: AnyLook
) -> None:
    path = tmp_path / "p.png"
    png_chunks(path, photo, 1.0, None)
    raw = path.read_bytes()
    srgb = struct.pack(">I", 1) + b"sRGB\0" + struct.pack(">I", crc32(b"sRGB\0"))
    path.write_bytes(raw[:33] + srgb + raw[33:])
    assert np.array_equal(look_at(path).raster.pixels, np.asarray(photo))


def test_a_profile_goes_before_gama(tmp_path: Path, photo: Image.Image, look_at: AnyLook) -> None:
    path = tmp_path / "p.png"
    buffer = io.BytesIO()
    photo.save(buffer, "PNG", icc_profile=SRGB_PROFILE)
    with Image.open(buffer) as with_profile:
        png_chunks(path, photo, 1.0, None)
        with_profile.save(path, icc_profile=SRGB_PROFILE)
    raw = path.read_bytes()
    body = struct.pack(">I", 100_000)
    gama = struct.pack(">I", 4) + b"gAMA" + body + struct.pack(">I", crc32(b"gAMA" + body))
    path.write_bytes(raw[:33] + gama + raw[33:])
    look = look_at(path)
    assert look.icc == SRGB_PROFILE
    assert np.array_equal(look.raster.pixels, np.asarray(photo))


def test_what_gama_stands_for_goes_to_the_sheet_as_a_profile(
    tmp_path: Path, photo: Image.Image, look_at: AnyLook
) -> None:
    path = tmp_path / "p.png"
    png_chunks(path, photo, 1.0, None)
    look = look_at(path)
    (placed,) = placed_pictures(path, look.page)
    assert placed.icc is not None
    assert np.array_equal(look.raster.pixels, by_littlecms(photo, placed.icc, "RGB"))
    assert np.array_equal(placed.read(PixelBox(0, 0, *photo.size)), np.asarray(photo))


@pytest.mark.parametrize("gamma", [None, 0.0, 100.0])
def test_a_gama_that_cannot_be_is_not_followed(gamma: float | None) -> None:
    assert profile_of_png(gamma, ADOBE_RGB_XY, grey=False) is None


def test_chromaticities_that_cannot_be_are_not_followed() -> None:
    assert profile_of_png(1.0, (0.3, 0.3, 0.3, 0.3, 0.3, 0.3, 0.3, 0.3), grey=False) is None
    assert profile_of_png(1.0, (0.3127, 0.329, 0.64, 0.0, 0.3, 0.6, 0.15, 0.06), grey=False) is None
