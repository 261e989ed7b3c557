"""Builders of real files for the tests of files/kit."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from skimage import data

from kitprep.files.kit import Look, Original, PageOptions, find_pages

AnyLook = Callable[..., Look]


@pytest.fixture(scope="session")
def photo() -> Image.Image:
    """A photograph, 300 x 400 px, RGB (scikit-image's bundled astronaut)."""
    return Image.fromarray(data.astronaut()[:400, 100:400])


@pytest.fixture(scope="session")
def smooth() -> Image.Image:
    """Gentle colours, 200 x 120 px, that JPEG keeps within a few levels."""
    across, down = np.meshgrid(np.linspace(0, 1, 200), np.linspace(0, 1, 120))
    pixels = np.stack([60 + 150 * across, 200 - 120 * down, 90 + 80 * across * down], axis=2)
    return Image.fromarray(pixels.round().astype(np.uint8))


@pytest.fixture
def original() -> Callable[[Path], Original]:
    """A file as an original."""

    def make(path: Path) -> Original:
        content = path.read_bytes()
        return Original(path.name, path, hashlib.sha256(content).hexdigest(), len(content))

    return make


@pytest.fixture
def look_at(original: Callable[[Path], Original]) -> AnyLook:
    """The first look at a page of a file; at full scale unless a resolution is given."""

    def look(path: Path, frame: int = 0, target_ppi: float = 1e6, **options: object) -> Look:
        found = find_pages([original(path)], PageOptions(**options))  # type: ignore[arg-type]
        if found.problems:
            raise found.problems[0]
        return found.pages[frame].look(1, target_ppi)

    return look
