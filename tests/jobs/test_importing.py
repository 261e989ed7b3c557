"""The demo kit, imported, against the truth about what was drawn."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from kitprep import import_kit
from kitprep.files.shelf import Shelf
from kitprep.pages import Element, Kit

KIT = Path(__file__).resolve().parents[2] / "demo_kit"
TRUTH: list[dict[str, Any]] = json.loads((KIT / "truth.json").read_text(encoding="utf-8"))["pages"]


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("shelf")


@pytest.fixture(scope="module")
def kit(shelf: Path) -> Kit:
    return import_kit([KIT / "pages"], shelf=shelf).kit


def test_the_kit_that_is_reported_is_the_one_that_stands_on_the_shelf(kit: Kit, shelf: Path) -> None:
    kept = Shelf(shelf).kit(kit.slug)
    assert kept.pages == kit.pages
    assert kept.originals == kit.originals
    assert kept == kit


def overlap(element: Element, box: list[int]) -> float:
    """Intersection over union of the two boxes."""
    one = (element.box.left, element.box.top, element.box.right, element.box.bottom)
    width = min(one[2], box[2]) - max(one[0], box[0])
    height = min(one[3], box[3]) - max(one[1], box[1])
    common = max(width, 0) * max(height, 0)
    return common / (sum((b[2] - b[0]) * (b[3] - b[1]) for b in (one, box)) - common)


def test_every_element_that_was_drawn_is_found_once_and_in_the_order_of_reading(kit: Kit) -> None:
    for page, true in zip(kit.pages, TRUTH, strict=True):
        assert len(page.elements) == len(true["elements"]), page.name
        for element, drawn in zip(page.elements, true["elements"], strict=True):
            assert overlap(element, drawn["box_px"]) >= 0.9, drawn["id"]


def test_nine_of_ten_kinds_are_what_was_drawn_and_every_stamp_is_a_stamp(kit: Kit) -> None:
    pairs = [
        (element.kind.value, drawn["kind"])
        for page, true in zip(kit.pages, TRUTH, strict=True)
        for element, drawn in zip(page.elements, true["elements"], strict=True)
    ]
    assert sum(found == drawn for found, drawn in pairs) >= 0.9 * len(pairs)
    assert all(found == drawn for found, drawn in pairs if "stamp" in (found, drawn))


def test_a_makers_line_is_kept_as_words_that_are_likely_not_wanted(kit: Kit) -> None:
    unwanted = [
        (page.name, e.number, e.kind.value) for page in kit.pages for e in page.elements if e.unwanted
    ]
    assert unwanted == [("p02", 18, "words"), ("p03", 13, "words")]
