"""Reducing pictures that are transparent in places: against weighted means taken one by one, and Pillow's."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from kitprep.files.kit.averaging import averaged

SEEN = 32  # alpha from which a colour can be told; below, Pillow keeps too few steps of it


def _by_definition(pixels: np.ndarray, by: int) -> np.ndarray:
    """Means of blocks, colours weighed by alpha, as floats."""
    rows, cols = -(-pixels.shape[0] // by), -(-pixels.shape[1] // by)
    means = np.zeros((rows, cols, pixels.shape[2]))
    for row in range(rows):
        for col in range(cols):
            block = pixels[row * by : (row + 1) * by, col * by : (col + 1) * by].astype(float)
            weights = block[..., -1:]
            means[row, col, -1] = weights.mean()
            if weights.sum():
                means[row, col, :-1] = (block[..., :-1] * weights).sum((0, 1)) / weights.sum()
    return means


@given(
    rows=st.integers(1, 23),
    cols=st.integers(1, 23),
    bands=st.sampled_from((2, 4)),
    by=st.integers(1, 7),
    seed=st.integers(0, 2**32 - 1),
)
def test_colours_are_weighed_by_how_much_of_them_is_seen(rows, cols, bands, by, seed):
    by = min(by, rows, cols)
    pixels = np.random.default_rng(seed).integers(0, 256, (rows, cols, bands), dtype=np.uint8)
    pixels[..., -1][pixels[..., -1] < 100] = 0
    pixels[..., -1][pixels[..., -1] > 160] = 255
    found = averaged(Image.fromarray(pixels), by).astype(float)
    expected = _by_definition(pixels, by)
    assert found.shape == expected.shape
    assert np.abs(found[..., -1] - expected[..., -1]).max() <= 1
    told = (expected[..., -1] >= 1) & (expected[..., -1] < 254) | (expected[..., -1] == 255)
    assert np.abs(found - expected)[told].max(initial=0) <= 1


def test_a_hidden_colour_does_not_show_at_an_edge():
    pixels = np.zeros((8, 8, 4), np.uint8)
    pixels[:] = (0, 255, 0, 0)
    pixels[:, :3] = (200, 10, 30, 255)
    found = averaged(Image.fromarray(pixels), 2)
    assert found[:, :2, :3].reshape(-1, 3).tolist() == [[200, 10, 30]] * 8
    assert not found[:, 2:].any()


@pytest.mark.parametrize("by", [2, 3, 4])
def test_a_large_picture_comes_out_as_by_pillow(by):
    rows, cols = np.mgrid[0:903, 0:1201]
    around = np.hypot(rows - 450, cols - 600)
    alpha = np.clip(255 - (around - 300) * 8, 0, 255)
    colours = [rows % 256, cols % 256, (rows + cols) % 256]
    picture = Image.fromarray(np.dstack([*colours, alpha]).astype(np.uint8))
    found, theirs = (np.asarray(one, int) for one in (averaged(picture, by), picture.reduce(by)))
    assert found.shape == theirs.shape
    off = np.abs(found - theirs)
    assert off[..., 3].max() <= 1
    solid = theirs[..., 3] == 255
    assert off[solid].max() <= 1
    assert off[theirs[..., 3] >= SEEN].max() <= 255 // SEEN + 1
