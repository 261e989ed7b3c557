"""The eight orientations, against Pillow's own ImageOps.exif_transpose."""

from __future__ import annotations

import numpy as np
import pytest
from PIL import Image, ImageOps

from kitprep.files.kit.orientation import (
    Orientation,
    orientation_of,
    stood_upright,
    upright_matrix,
    upright_size,
)
from kitprep.pages import Affine

ALL = list(Orientation)
STORED = np.arange(15, dtype=np.uint8).reshape(3, 5)


@pytest.mark.parametrize("orientation", ALL)
def test_a_picture_is_stood_upright_as_pillow_does(orientation: Orientation) -> None:
    picture = Image.fromarray(STORED)
    picture.getexif()[0x0112] = int(orientation)
    reference = ImageOps.exif_transpose(picture)
    ours = stood_upright(Image.fromarray(STORED), orientation)
    assert np.array_equal(np.asarray(ours), np.asarray(reference))
    assert upright_size((5, 3), orientation) == reference.size


@pytest.mark.parametrize("orientation", ALL)
def test_the_matrix_takes_each_stored_pixel_to_where_it_stands(orientation: Orientation) -> None:
    upright = np.asarray(stood_upright(Image.fromarray(STORED), orientation))
    matrix = upright_matrix((5, 3), orientation)
    for row in range(3):
        for column in range(5):
            x, y = matrix(column + 0.5, row + 0.5)
            assert upright[int(y), int(x)] == STORED[row, column]


@pytest.mark.parametrize("orientation", ALL)
def test_a_matrix_along_the_axes_tells_its_orientation(orientation: Orientation) -> None:
    scaled = upright_matrix((5, 3), orientation).then(Affine(7.5, 0, 0, 2.5, -3, 11))
    assert orientation_of(scaled) is orientation


def test_a_leaning_matrix_has_no_orientation() -> None:
    assert orientation_of(Affine(1, 0.01, -0.01, 1, 0, 0)) is None
