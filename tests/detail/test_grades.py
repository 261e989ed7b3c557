from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitprep.detail.grades import (
    ONE_ARCMINUTE,
    Grade,
    Thresholds,
    check,
    largest_size,
    ppi_for_distance,
    rounded_down,
)
from kitprep.errors import BadOption
from kitprep.lengths import Length, Size, Unit, inches, mm

pixels = st.floats(1, 20_000)
lengths = st.integers(914_400 // 16, 914_400 * 48).map(Length)
details = st.one_of(st.none(), st.floats(0.05, 1))


@pytest.mark.parametrize(("distance", "ppi"), [(12, 286), (18, 191), (24, 143), (10, 344)])
def test_the_formula_gives_the_table(distance, ppi):
    # 286 and 344: the print thresholds worked out beside the method of the measured check; 20/20 is 1 arcminute.
    assert round(ppi_for_distance(distance)) == ppi


def test_two_forms_of_the_formula_agree_to_four_digits():
    assert ppi_for_distance(12) == pytest.approx(1 / (12 * math.tan(math.radians(1 / 60))), rel=1e-4)


@pytest.mark.parametrize(
    ("ppi", "grade"),
    [(300, Grade.CRISP), (287, Grade.CRISP), (286, Grade.FINE), (191, Grade.FINE), (190, Grade.SOFT),
     (144, Grade.SOFT), (143, Grade.BLURRY), (20, Grade.BLURRY)],
)  # fmt: skip
def test_a_resolution_has_the_grade_of_the_formula_to_its_full_precision(ppi, grade):
    assert check((ppi, ppi), Size(inches(1), inches(1))).grade is grade


def test_the_lesser_direction_of_a_stretched_piece_decides():
    found = check((600, 600), Size(inches(2), inches(4)))
    assert (found.ppi_x, found.ppi_y, found.ppi) == (300, 150, 150)
    assert found.grade is Grade.SOFT


def test_pixels_that_are_cropped_do_not_count():
    printed = Size(inches(1), inches(1))
    assert check((900, 300), printed, shown_px=(300, 300)).ppi == 300
    assert check((900, 300), printed, shown_px=(300, 300)).largest[Grade.CRISP].width < inches("1.05")


def test_detail_lowers_the_grade_and_the_largest_size_and_leaves_ppi():
    printed = Size(inches(3), inches(2))
    plain, half = check((900, 600), printed), check((900, 600), printed, detail=0.5)
    assert (plain.ppi, plain.detail_ppi, plain.grade) == (300, None, Grade.CRISP)
    assert (half.ppi, half.detail_ppi, half.grade) == (300, 150, Grade.SOFT)
    for grade, size in half.largest.items():
        assert abs(2 * size.width.emu - plain.largest[grade].width.emu) <= 2


@given(pixels, pixels, lengths, lengths, details)
def test_at_its_largest_size_a_piece_still_has_the_grade_and_a_little_larger_it_has_not(
    w, h, width, height, detail
):
    found = check((w, h), Size(width, height), detail=detail)
    for grade, size in found.largest.items():
        if min(size.width.emu, size.height.emu) < 1000:
            continue
        order = list(Grade)
        assert order.index(check((w, h), size, detail=detail).grade) <= order.index(grade)
        larger = Size(size.width.scaled(1) + Length(size.width.emu // 500 + 2),
                      size.height + Length(size.height.emu // 500 + 2))  # fmt: skip
        assert order.index(check((w, h), larger, detail=detail).grade) > order.index(grade)
        assert abs(size.width.emu * height.emu - size.height.emu * width.emu) <= max(width.emu, height.emu)


@given(pixels, pixels, lengths, lengths)
def test_the_largest_size_covered_by_a_picture_has_just_the_resolution_asked(w, h, width, height):
    size = largest_size((w, h), 200, proportions=Size(width, height))
    if min(size.width.emu, size.height.emu) < 1000:
        return
    assert min(w / size.width.inches, h / size.height.inches) == pytest.approx(200, rel=1e-3)


def test_a_size_for_people_is_rounded_down_to_what_a_ruler_shows():
    assert rounded_down(Size(inches("3.99"), inches("0.51"))).text() == "3 15/16 x 1/2 in"
    assert rounded_down(Size(mm("99.96"), mm("12.3")), Unit.MM).text(Unit.MM) == "99 x 12 mm"
    assert rounded_down(Size(inches("0.05"), inches(1))).width == inches("0.05")


@pytest.mark.parametrize("values", [(100, 200, 50), (300, 200, 0), (300, 300, 100)])
def test_thresholds_that_do_not_fall_are_refused(values):
    with pytest.raises(BadOption, match="thresholds cannot be"):
        Thresholds(*values)


def test_thresholds_are_a_setting():
    assert (
        check((240, 240), Size(inches(1), inches(1)), thresholds=Thresholds(240, 150, 100)).grade
        is Grade.CRISP
    )
    assert Thresholds() == ONE_ARCMINUTE
