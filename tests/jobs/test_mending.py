"""Corrections by hand, also by two at once."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from cli.conftest import draw_kit_page

from kitprep import PixelBox, crop_element, drop_elements, find_elements, import_kit


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    import_kit([draw_kit_page(tmp_path / "moths.jpg")], shelf=tmp_path / "shelf")
    return tmp_path / "shelf"


def ids(shelf: Path) -> set[str]:
    return {summary.id.rpartition("/")[2] for summary in find_elements(shelf=shelf)}


def test_two_who_drop_at_once_lose_nothing_of_each_other(shelf: Path) -> None:
    with ThreadPoolExecutor(2) as pool:
        list(pool.map(lambda name: drop_elements([name], shelf=shelf), ["p01-03", "p01-04"]))
    assert ids(shelf) == {"p01-01", "p01-02"}


def test_two_who_crop_at_once_get_numbers_of_their_own(shelf: Path) -> None:
    boxes = [PixelBox(10, 2000, 400, 2400), PixelBox(500, 2000, 900, 2400)]
    with ThreadPoolExecutor(2) as pool:
        made = list(pool.map(lambda box: crop_element("p01", box, snap=False, shelf=shelf), boxes))
    assert {change.added[0].number for change in made} == {5, 6}
    assert {"p01-05", "p01-06"} <= ids(shelf)
