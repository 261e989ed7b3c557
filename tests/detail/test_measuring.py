"""On scikit-image's and scikit-learn's bundled pictures, reduced so that they are truly sharp."""

from __future__ import annotations

import functools
import io

import cv2
import numpy as np
import pytest
from PIL import Image
from skimage import data
from sklearn.datasets import load_sample_image

from kitprep.detail import measure_detail
from kitprep.detail.doubled import noise_of

NAMES = ("astronaut", "camera", "coffee", "china.jpg", "flower.jpg")
SOFT = 0.625


@functools.cache
def sharp(name):
    pixels = load_sample_image(name) if name.endswith("jpg") else getattr(data, name)()
    pixels = np.dstack([pixels] * 3) if pixels.ndim == 2 else pixels
    picture = Image.fromarray(np.ascontiguousarray(pixels[..., :3]))
    return np.asarray(picture.resize((picture.width // 2, picture.height // 2), Image.Resampling.LANCZOS))


def enlarged(pixels, factor, kernel=Image.Resampling.BICUBIC):
    picture = Image.fromarray(pixels)
    return np.asarray(picture.resize((round(picture.width * factor), round(picture.height * factor)), kernel))


def as_jpeg(pixels, quality):
    file = io.BytesIO()
    Image.fromarray(pixels).save(file, "JPEG", quality=quality)
    return np.asarray(Image.open(file).convert("RGB"))


def cut_out_on_white(pixels):
    rows, cols = pixels.shape[:2]
    mask = np.zeros((rows, cols), np.uint8)
    cv2.ellipse(mask, (cols // 2, rows // 2), (cols * 2 // 5, rows * 2 // 5), 0, 0, 360, 255, -1, cv2.LINE_AA)
    share = mask[..., None] / 255
    return np.rint(pixels * share + 255 * (1 - share)).astype(np.uint8), mask > 127


def captioned(pixels):
    pixels = pixels.copy()
    rows, cols = pixels.shape[:2]
    cv2.rectangle(pixels, (0, rows - 70), (cols, rows), (250, 246, 235), -1)
    for line in range(3):
        place = (8, rows - 50 + 20 * line)
        cv2.putText(pixels, "Gathered by lantern light, row 7", place, cv2.FONT_HERSHEY_COMPLEX, 0.5, (30, 20, 20), 1,
                    cv2.LINE_AA)  # fmt: skip
    return pixels


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("quality", [None, 80], ids=["plain", "jpeg"])
def test_a_sharp_picture_is_not_called_soft(name, quality):
    pixels = sharp(name) if quality is None else as_jpeg(sharp(name), quality)
    assert measure_detail(pixels) > SOFT


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("factor", [2, 3])
@pytest.mark.parametrize(
    "kernel", [Image.Resampling.NEAREST, Image.Resampling.BILINEAR, Image.Resampling.LANCZOS]
)
def test_a_picture_enlarged_twice_or_more_is_called_soft(name, factor, kernel):
    assert measure_detail(enlarged(sharp(name), factor, kernel)) <= SOFT


def test_the_factor_of_an_enlargement_is_within_a_quarter_in_nine_of_ten():
    kernels = (
        Image.Resampling.NEAREST,
        Image.Resampling.BILINEAR,
        Image.Resampling.BICUBIC,
        Image.Resampling.LANCZOS,
    )
    errors = [
        abs(1 / measure_detail(enlarged(sharp(name), factor, kernel)) / factor - 1)
        for name in NAMES for factor in (2, 3, 4) for kernel in kernels
    ]  # fmt: skip
    assert np.mean(np.array(errors) <= 0.25) >= 0.9


def test_a_sharp_subject_before_a_blurred_ground_is_not_called_soft():
    ground = cv2.GaussianBlur(enlarged(sharp("coffee"), 3), (0, 0), 6)
    subject = sharp("astronaut")[:160, :160]
    ground[100:260, 200:360] = subject
    edge = np.zeros(ground.shape[:2], np.uint8)
    cv2.circle(edge, (280, 180), 78, 255, -1, cv2.LINE_AA)
    share = cv2.GaussianBlur(edge, (0, 0), 2)[..., None] / 255
    blurred = cv2.GaussianBlur(enlarged(sharp("coffee"), 3), (0, 0), 6)
    assert measure_detail(np.rint(ground * share + blurred * (1 - share)).astype(np.uint8)) > SOFT


@pytest.mark.parametrize("name", NAMES)
def test_a_close_up_with_little_in_focus_is_sharp_and_enlarged_it_is_soft(name):
    pixels = sharp(name)
    rows, cols = pixels.shape[:2]
    focus = np.zeros((rows, cols), np.float32)
    cv2.circle(focus, (cols // 2, rows // 2), 36, 1.0, -1, cv2.LINE_AA)
    share = cv2.GaussianBlur(focus, (0, 0), 4)[..., None]
    close_up = np.rint(pixels * share + cv2.GaussianBlur(pixels, (0, 0), 4) * (1 - share)).astype(np.uint8)
    assert measure_detail(close_up) > SOFT
    assert measure_detail(enlarged(close_up, 2)) <= SOFT


def test_the_straight_edge_of_a_panel_does_not_make_a_soft_picture_sharp():
    soft = enlarged(sharp("coffee"), 2.5).copy()
    soft[-60:] = (250, 246, 235)
    assert measure_detail(soft) <= SOFT


def test_grain_on_an_enlargement_does_not_make_it_sharp():
    soft = enlarged(sharp("flower.jpg"), 4, Image.Resampling.BILINEAR)
    grain = np.random.default_rng(1).normal(0, 3, (*soft.shape[:2], 1))
    assert measure_detail(np.clip(soft + grain, 0, 255).astype(np.uint8)) <= SOFT


@pytest.mark.parametrize("name", NAMES)
def test_the_sharp_outline_of_a_soft_cut_out_does_not_count(name):
    pixels, mask = cut_out_on_white(enlarged(sharp(name), 2.5))
    assert measure_detail(pixels, mask) <= SOFT
    assert measure_detail(np.dstack([pixels, mask.astype(np.uint8) * 255])) <= SOFT


@pytest.mark.parametrize("name", NAMES)
def test_a_sharp_caption_does_not_make_a_soft_picture_sharp(name):
    assert measure_detail(captioned(enlarged(sharp(name), 2.5))) <= SOFT


def test_pixels_repeated_along_one_axis_only_are_found():
    wide = np.repeat(sharp("coffee"), 3, axis=1)
    assert measure_detail(wide) == pytest.approx(1 / 3, abs=0.01)


def test_sharp_line_art_is_sharp():
    page = np.full((400, 600), 250, np.uint8)
    for k in range(40):
        cv2.circle(page, (30 + 14 * k, 40 + (k * 67) % 330), 6 + k % 19, 30, 1 + k % 3, cv2.LINE_AA)
    assert measure_detail(page) > 0.8


@pytest.mark.parametrize(
    "pixels",
    [np.full((300, 300, 3), 128, np.uint8), np.zeros((6, 6, 3), np.uint8), np.zeros((20, 900, 4), np.uint8)],
    ids=["plain", "tiny", "clear"],
)
def test_nothing_to_see_cannot_be_told(pixels):
    assert measure_detail(pixels) is None


def test_a_smooth_gradient_with_grain_cannot_be_told():
    ramp = np.tile(np.linspace(60, 200, 500), (500, 1))
    noisy = ramp + np.random.default_rng(2).normal(0, 4, ramp.shape)
    assert measure_detail(noisy.astype(np.uint8)) is None


def test_a_picture_too_faint_to_judge_cannot_be_told():
    faint = np.rint((sharp("coffee").astype(float) - 128) * 0.06 + 128).astype(np.uint8)
    assert measure_detail(faint) is None


def test_a_mask_that_leaves_nothing_cannot_be_told():
    assert measure_detail(sharp("coffee"), np.zeros(sharp("coffee").shape[:2], bool)) is None


def test_in_a_large_picture_the_busiest_part_is_measured():
    page = np.full((2600, 2000, 3), 240, np.uint8)
    part = sharp("astronaut")
    page[2000 : 2000 + part.shape[0], 1500 : 1500 + part.shape[1]] = part
    assert measure_detail(page) > SOFT


@pytest.mark.parametrize("sigma", [2, 6])
def test_noise_is_measured_to_a_fifth(sigma):
    smooth = cv2.GaussianBlur(sharp("coffee")[..., 1].astype(np.float32), (0, 0), 3)
    noisy = smooth + np.random.default_rng(4).normal(0, sigma, smooth.shape)
    assert noise_of(noisy.astype(np.float32)) == pytest.approx(sigma, rel=0.2)
