"""The pixel grid over a PDF page (ISO 32000-1, 7.7.3.3 and 14.11.2)."""

from __future__ import annotations

import pikepdf
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pikepdf import Array, Dictionary, Name

from kitprep.errors import DamagedPdf
from kitprep.files.kit.pdf_geometry import PdfFrame, frame_of, grid_ppi

SIDES = st.floats(1, 5000)
CORNERS = st.floats(-5000, 5000)


@given(CORNERS, CORNERS, SIDES, SIDES, st.sampled_from([0, 90, 180, 270]), st.floats(0.1, 5))
def test_the_visible_page_fills_the_grid(
    left: float, bottom: float, width: float, height: float, turned: int, unit: float
) -> None:
    frame = PdfFrame(left, bottom, left + width, bottom + height, turned, unit / 72)
    to_page = frame.to_page(300)
    corners = [
        (left, bottom),
        (left + width, bottom),
        (left + width, bottom + height),
        (left, bottom + height),
    ]
    across, down = zip(*(to_page(x, y) for x, y in corners), strict=True)
    width_in, height_in = frame.size_in
    assert min(across) == pytest.approx(0, abs=1e-6 * (1 + abs(left) + abs(bottom)) * unit)
    assert max(across) == pytest.approx(width_in * 300, rel=1e-6, abs=1e-2)
    assert max(down) == pytest.approx(height_in * 300, rel=1e-6, abs=1e-2)
    assert abs(frame.grid_px(300)[0] - width_in * 300) <= max(0.5, 1 - width_in * 300)


@pytest.mark.parametrize(
    ("turned", "corner"), [(0, (10, 50)), (90, (10, 20)), (180, (40, 20)), (270, (40, 50))]
)
def test_turning_is_clockwise(turned: int, corner: tuple[float, float]) -> None:
    """Which corner of the page (left, bottom, right, top: 10, 20, 40, 50) comes to lie top left."""
    frame = PdfFrame(10, 20, 40, 50, turned, 1 / 72)
    assert frame.to_page(72)(*corner) == pytest.approx((0, 0))


@pytest.mark.parametrize(
    ("finest", "ppi"),
    [(0, 300), (150, 300), (299.96, 300), (400.01, 400), (400.1, 400.1), (444.4, 444.4), (1200, 600)],
)
def test_the_grid_is_at_least_300_and_at_most_600(finest: float, ppi: float) -> None:
    assert grid_ppi(finest) == ppi


def framed(**keys: object) -> PdfFrame:
    with pikepdf.new() as document:
        page = Dictionary(Type=Name.Page, MediaBox=Array([0, 0, 100, 200]))
        for key, value in keys.items():
            page[f"/{key}"] = value
        document.pages.append(pikepdf.Page(document.make_indirect(page)))
        return frame_of(document.pages[0], "pages.pdf", 1)


@pytest.mark.parametrize(
    ("crop", "seen"),
    [
        ([10, 20, 50, 60], (10, 20, 50, 60)),
        ([50, 60, 10, 20], (10, 20, 50, 60)),
        ([-10, 20, 500, 600], (0, 20, 100, 200)),
        ([300, 300, 400, 400], (0, 0, 100, 200)),
        ([10, 20, 10, 60], (0, 0, 100, 200)),
        ([1, 2, 3], (0, 0, 100, 200)),
    ],
)
def test_the_crop_box_counts_as_far_as_it_lies_on_the_media(
    crop: list[float], seen: tuple[float, ...]
) -> None:
    frame = framed(CropBox=Array(crop))
    assert (frame.left, frame.bottom, frame.right, frame.top) == seen


@pytest.mark.parametrize(("rotate", "turned"), [(90, 90), (-90, 270), (720, 0), (45, 0)])
def test_turning_comes_in_quarters(rotate: int, turned: int) -> None:
    assert framed(Rotate=rotate).turned == turned


@pytest.mark.parametrize("box", [[0, 0, 0, 0], ["a", "b", "c", "d"]])
def test_a_media_box_that_makes_no_sense_is_damage(box: list[object]) -> None:
    with pytest.raises(DamagedPdf, match=r"pages\.pdf .*page 1 has no size"):
        framed(MediaBox=Array([pikepdf.Name(f"/{side}") if isinstance(side, str) else side for side in box]))


@pytest.mark.parametrize("unit", [Name.Large, Array([1]), Dictionary(A=1)])
def test_a_page_whose_unit_is_no_number_is_damaged(unit: pikepdf.Object) -> None:
    with pikepdf.new() as document:
        document.add_blank_page()
        page = document.pages[0]
        page.obj.UserUnit = unit
        with pytest.raises(DamagedPdf, match="page 1"):
            frame_of(page, "p.pdf", 1)
