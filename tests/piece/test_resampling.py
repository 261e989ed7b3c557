from __future__ import annotations

import numpy as np
import pytest
from skimage import data, transform
from skimage.metrics import structural_similarity

from kitprep.pages import Affine
from kitprep.piece.resampling import resize, straighten

BUNDLED = ("astronaut", "camera", "chelsea", "coffee", "coins", "rocket", "moon", "page", "text", "brick",
           "grass", "gravel", "cell", "immunohistochemistry", "colorwheel", "retina")  # fmt: skip


def bundled(name):
    """One of scikit-image's own pictures, its sides even."""
    pixels = getattr(data, name)()
    pixels = pixels[: pixels.shape[0] // 2 * 2, : pixels.shape[1] // 2 * 2]
    return np.ascontiguousarray(pixels[..., :3] if pixels.ndim == 3 else pixels)


def light_of(code):
    """sRGB undone, written from IEC 61966-2-1 apart from kitprep's tables."""
    code = code / 255
    return np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)


def code_of(light):
    light = np.clip(light, 0, 1)
    return np.rint(np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055) * 255)


def similarity(one, other):
    channel = {"channel_axis": 2} if one.ndim == 3 else {}
    return structural_similarity(one.astype(np.uint8), other.astype(np.uint8), **channel)


def halved_by_scikit_image(pixels, in_light):
    shape = (pixels.shape[0] // 2, pixels.shape[1] // 2, *pixels.shape[2:])
    if in_light:
        return code_of(transform.resize(light_of(pixels), shape, anti_aliasing=True))
    return np.rint(transform.resize(pixels, shape, anti_aliasing=True, preserve_range=True))


@pytest.mark.parametrize("name", BUNDLED)
@pytest.mark.parametrize("in_light", [True, False], ids=["in light", "over code values"])
def test_halving_any_bundled_picture_is_as_scikit_image_does_it_with_an_ssim_over_0_99(name, in_light):
    pixels = bundled(name)
    halved = resize(pixels, (pixels.shape[1] // 2, pixels.shape[0] // 2))
    assert similarity(halved, halved_by_scikit_image(pixels, in_light)) > 0.99


def test_halving_points_of_light_is_as_scikit_image_does_it_in_light():
    # Over code values scikit-image dims lone stars: its own two answers differ by more than 0.01 here.
    pixels = bundled("hubble_deep_field")
    halved = resize(pixels, (pixels.shape[1] // 2, pixels.shape[0] // 2))
    assert similarity(halved, halved_by_scikit_image(pixels, True)) > 0.99


@pytest.mark.parametrize("name", BUNDLED)
def test_halving_any_bundled_picture_keeps_the_mean_light_with_an_ssim_over_0_99(name):
    pixels = bundled(name)
    mean = transform.downscale_local_mean(light_of(pixels), (2, 2, 1)[: pixels.ndim])
    halved = resize(pixels, (pixels.shape[1] // 2, pixels.shape[0] // 2))
    assert similarity(halved, code_of(mean)) > 0.99


def test_the_same_count_gives_the_same_pixels():
    pixels = bundled("chelsea")
    assert (resize(pixels, pixels.shape[1::-1]) == pixels).all()
    assert (resize(pixels, (100, 50), (20, 30, 120, 80)) == pixels[30:80, 20:120]).all()


def test_half_of_the_light_of_a_chequerboard_is_kept():
    board = (np.indices((64, 64)).sum(axis=0) % 2 * 255).astype(np.uint8)
    assert (resize(board, (32, 32))[4:-4, 4:-4] == 188).all()  # sRGB of half the light, IEC 61966-2-1


@pytest.mark.parametrize("factor", [0.27, 0.5, 0.9, 1.6, 3.0])
def test_a_plain_picture_stays_plain_at_any_factor(factor):
    plain = np.full((60, 80, 3), (12, 130, 250), np.uint8)
    assert (resize(plain, (round(80 * factor), round(60 * factor))) == plain[0, 0]).all()


def test_what_is_hidden_under_clear_pixels_never_shows():
    pixels = np.zeros((64, 64, 4), np.uint8)
    pixels[..., :3] = (0, 255, 0)
    pixels[16:48, 16:48] = (200, 30, 30, 255)
    for size in ((21, 21), (150, 150)):
        new = resize(pixels, size)
        seen = new[new[..., 3] > 8]
        assert np.abs(seen[:, :3].astype(int) - (200, 30, 30)).max() <= 3


def test_sixteen_bits_stay_sixteen_bits_and_agree_with_eight():
    pixels = bundled("camera")
    fine = resize(pixels.astype(np.uint16) * 257, (100, 100))
    assert fine.dtype == np.uint16
    assert np.abs(fine / 257 - resize(pixels, (100, 100))).max() <= 0.6


def test_a_part_that_cuts_through_pixels_starts_where_it_says():
    ramp = np.tile(np.arange(0, 250, 2, dtype=np.uint8), (20, 1))
    moved = resize(ramp, (100, 20), (10.5, 0, 110.5, 20)).astype(float)
    assert np.abs(moved[5, 5:-5] - (np.arange(10, 110)[5:-5] * 2 + 1)).max() <= 1


@pytest.mark.parametrize("name", ["coffee", "astronaut", "chelsea", "rocket"])
@pytest.mark.parametrize("order", [1, 3], ids=["bilinear", "bicubic"])
def test_enlarging_comes_nearer_the_original_than_scikit_image_s_kernels(name, order):
    original = bundled(name)[:300, :300]
    small = resize(original, (150, 150))
    ours = resize(small, (300, 300)).astype(float)
    theirs = np.clip(transform.resize(small, original.shape, order=order, preserve_range=True), 0, 255)
    assert np.square(ours - original).mean() < np.square(theirs - original).mean()


@pytest.mark.parametrize("channels", [(), (3,), (4,)])
def test_straightening_turns_about_the_corner_of_the_first_pixel(channels):
    pixels = np.zeros((40, 50, *channels), np.uint8)
    pixels[10:20, 5:15] = 200
    quarter = Affine(0, 1, -1, 0, 50, 0)  # upright (x, y) comes from (50 - y, x)
    turned = straighten(pixels, quarter, (40, 50))
    assert (turned == np.rot90(pixels, 1)).all()
