"""The demo kit's files agree with its truth.json, and are what a shop would sell: letter pages at 300 ppi."""

from __future__ import annotations

import itertools
import json
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pikepdf
import pytest
from PIL import Image

KIT = Path(__file__).resolve().parent.parent / "demo_kit"
TRUTH: dict[str, Any] = json.loads((KIT / "truth.json").read_text(encoding="utf-8"))
PAGES: list[dict[str, Any]] = TRUTH["pages"]
ELEMENTS: list[tuple[dict[str, Any], dict[str, Any]]] = [
    (page, e) for page in PAGES for e in page["elements"]
]
KINDS = {"paper", "card", "tag", "stamp", "label", "strip", "figure", "words", "other"}
LEAST_GAP = 18  # 0.06 in at 300 ppi
SHARING_AN_EDGE = {("p01-02", "p01-04")}


def _picture(page: dict[str, Any]) -> Image.Image:
    return Image.open(KIT / "pages" / page["file"])


@pytest.mark.parametrize("page", PAGES[1:], ids=lambda page: page["file"])
def test_a_picture_page_is_letter_size_at_the_resolution_it_records(page: dict[str, Any]) -> None:
    with _picture(page) as picture:
        assert list(picture.size) == page["size_px"] == [2550, 3300]
        assert picture.info["dpi"] == pytest.approx((300, 300), abs=0.01)


def test_the_jpeg_pages_record_whole_dots_per_inch() -> None:
    for page in PAGES[1:3]:
        with _picture(page) as picture:
            assert picture.format == "JPEG"
            assert (picture.info["jfif_unit"], picture.info["jfif_density"]) == (1, (300, 300))


def test_the_paper_page_is_a_letter_page_of_placed_pictures_at_300_ppi() -> None:
    with pikepdf.open(KIT / "pages" / PAGES[0]["file"]) as pdf:
        (page,) = pdf.pages
        assert [float(v) for v in page.mediabox] == [0, 0, 612, 792]
        placed = _placed_boxes(page)
    assert placed == [element["box_px"] for element in PAGES[0]["elements"]]


def _placed_boxes(page: pikepdf.Page) -> list[list[int]]:
    """Boxes of the pictures in page pixels, from their matrices; fails on any other drawing."""
    boxes, matrix = [], None
    for operands, operator in pikepdf.parse_content_stream(page):
        word = str(operator)
        assert word in {"q", "cm", "Do", "Q"}, f"the page also draws with {word}"
        if word == "cm":
            matrix = [float(v) for v in operands]
        if word == "Do":
            assert matrix is not None
            picture = page.resources.XObject[str(operands[0])]
            assert picture.Filter == pikepdf.Name.DCTDecode
            width, _, _, height, x, y = matrix
            assert (int(picture.Width) * 72 / width, int(picture.Height) * 72 / height) == pytest.approx(
                (300, 300)
            )
            to_px = 300 / 72
            box = [x * to_px, (792 - y - height) * to_px, (x + width) * to_px, (792 - y) * to_px]
            boxes.append([round(v) for v in box])
    return boxes


def test_the_figure_page_is_transparent_outside_every_box_and_soft_at_its_edges() -> None:
    with _picture(PAGES[3]) as picture:
        assert picture.mode == "RGBA"
        alpha = np.asarray(picture)[..., 3].copy()
    for element in PAGES[3]["elements"]:
        x0, y0, x1, y1 = element["box_px"]
        inside = alpha[y0:y1, x0:x1]
        assert (inside == 255).mean() > 0.1, element["id"]
        assert ((inside > 10) & (inside < 245)).any(), element["id"]
        alpha[y0 - 3 : y1 + 3, x0 - 3 : x1 + 3] = 0
    assert not alpha.any()


@pytest.mark.parametrize("page,element", ELEMENTS, ids=lambda value: value.get("id", ""))
def test_an_element_lies_on_its_page_and_its_box_holds_its_outline(
    page: dict[str, Any], element: dict[str, Any]
) -> None:
    x0, y0, x1, y1 = element["box_px"]
    assert 0 <= x0 < x1 <= page["size_px"][0] and 0 <= y0 < y1 <= page["size_px"][1]
    outline = np.array(element["outline_px"])
    assert len(outline) >= 4
    low, high = outline.min(axis=0), outline.max(axis=0)
    # A bee's legs may stand off its longest outline; everything else is as wide as its outline.
    slack = 30 if element["name"].startswith("bee") else 1.03
    assert np.all(low >= np.array([x0, y0]) - 0.03) and np.all(low <= np.array([x0, y0]) + slack)
    assert np.all(high <= np.array([x1, y1]) + 0.03) and np.all(high >= np.array([x1, y1]) - slack)
    assert element["kind"] in KINDS


def test_ids_count_up_in_reading_order_on_each_page() -> None:
    for number, page in enumerate(PAGES, 1):
        ids = [element["id"] for element in page["elements"]]
        assert ids == [f"p{number:02d}-{at:02d}" for at in range(1, len(ids) + 1)]
        boxes = [element["box_px"] for element in page["elements"]]
        for (_, top, right, bottom), (x0, y0, _, y1) in itertools.pairwise(boxes):
            same_row = min(bottom, y1) - max(top, y0) > 0.4 * min(bottom - top, y1 - y0)
            assert x0 >= right if same_row else y0 > top


def test_elements_keep_a_gap_for_the_blade_unless_they_are_meant_to_share_an_edge() -> None:
    for page in PAGES:
        for one, other in itertools.combinations(page["elements"], 2):
            a, b = one["box_px"], other["box_px"]
            apart = max(b[0] - a[2], a[0] - b[2], b[1] - a[3], a[1] - b[3])
            if (one["id"], other["id"]) in SHARING_AN_EDGE:
                assert apart == 0
            else:
                assert apart >= LEAST_GAP, (one["id"], other["id"])


def test_a_leaning_element_has_a_turned_outline() -> None:
    leaning = [element for _, element in ELEMENTS if element["angle_deg"]]
    assert [element["id"] for element in leaning] == ["p03-03", "p03-05"]
    for element in leaning:
        outline = np.array(element["outline_px"])
        sides = np.diff(outline, axis=0)
        long = sides[np.hypot(*sides.T) > 300]
        lean = np.degrees(np.arctan2(long[:, 1], long[:, 0]))
        assert np.min(np.abs(lean - element["angle_deg"])) < 0.01


def test_a_tinted_page_shows_a_step_at_the_edges_of_its_rectangles() -> None:
    for page in PAGES[1:3]:
        with _picture(page) as picture:
            pixels = np.asarray(picture.convert("RGB")).astype(float)
        for element in page["elements"]:
            if not element["rectangular"] or element["angle_deg"] or element.get("unwanted"):
                continue
            x0, y0, _, y1 = element["box_px"]
            middle = (y0 + y1) // 2
            inside = pixels[middle - 60 : middle + 60, x0 + 10 : x0 + 14].mean(axis=(0, 1))
            outside = pixels[middle - 60 : middle + 60, x0 - 14 : x0 - 6].mean(axis=(0, 1))
            assert np.abs(inside - outside).max() > 8, element["id"]


def test_the_kit_stays_within_twelve_megabytes() -> None:
    assert sum(file.stat().st_size for file in KIT.rglob("*") if file.is_file()) <= 12_000_000


def test_the_kit_says_what_may_be_done_with_it() -> None:
    terms = (KIT / "pages" / "terms.txt").read_text(encoding="utf-8")
    assert "TERMS OF USE" in terms and "Quillmoss Paper Room" in terms
    readme = (KIT / "pages" / "readme.txt").read_text(encoding="utf-8")
    assert all(page["file"] in readme for page in PAGES)


def test_the_make_list_asks_for_elements_that_exist_and_for_one_figure_too_large() -> None:
    wanted = tomllib.loads((KIT / "harvest-supper-card.toml").read_text(encoding="utf-8"))["piece"]
    known = {f"lantern-orchard/{element['id']}": element for _, element in ELEMENTS}
    asked = [piece["element"] for piece in wanted if "element" in piece]
    assert set(asked) <= set(known)
    (figure,) = [piece for piece in wanted if piece.get("label") == "beekeeper"]
    assert figure["size"] == "3 3/4 in tall"
    box = known[figure["element"]]["box_px"]
    # 143 ppi is what the eye resolves at 24 in (one arcminute); less than that is blurry across a table.
    assert (box[3] - box[1]) / 3.75 < 143
