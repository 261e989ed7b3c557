"""How a page's resolution is known; sizes by ISO 216, ANSI/ASME Y14.1 and the 25.4 mm inch."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitprep.files.kit.resolution import GivenResolution, page_ppi
from kitprep.lengths import Size, inches, mm
from kitprep.pages import PagePpi, PpiSource
from kitprep.papers import A4, LETTER

NOTHING_GIVEN = GivenResolution()
LETTER_300 = (2550, 3300)


def known(size_px: tuple[int, int], *stated: tuple[float, float]) -> PagePpi:
    return page_ppi(size_px, stated, NOTHING_GIVEN)


def test_a_stated_resolution_is_taken() -> None:
    assert known((1700, 2200), (200.0, 200.0)) == PagePpi(200, 200, PpiSource.FILE)


@pytest.mark.parametrize("default", [72.0, 96.0])
def test_72_and_96_on_a_large_page_are_not_believed(default: float) -> None:
    assert known(LETTER_300, (default, default)) == PagePpi(300, 300, PpiSource.PAGE_SIZE)


@pytest.mark.parametrize(("default", "size_px"), [(72.0, (612, 792)), (96.0, (816, 1056))])
def test_72_and_96_that_make_a_small_page_are_believed(default: float, size_px: tuple[int, int]) -> None:
    ppi = known(size_px, (default, default))
    assert ppi == PagePpi(default, default, PpiSource.FILE)


def test_pixels_per_metre_snap_to_the_whole_number_they_stand_for() -> None:
    per_metre = 11811 * 0.0254
    assert known(LETTER_300, (per_metre, per_metre)) == PagePpi(300, 300, PpiSource.FILE)


def test_a_resolution_that_is_no_rounding_of_a_whole_one_stays() -> None:
    assert known((2000, 1000), (299.72, 299.72)).x == 299.72


def test_across_and_down_may_differ() -> None:
    assert known((2400, 1800), (300.0, 200.0)) == PagePpi(300, 200, PpiSource.FILE)


@pytest.mark.parametrize(
    "odd", [(0.0, 0.0), (1.0, 1.0), (float("nan"), 300.0), (300.0, 9000.0), (5000.0, 5000.0)]
)
def test_a_resolution_that_cannot_be_is_not_believed(odd: tuple[float, float]) -> None:
    assert known((1000, 617), odd) == PagePpi(300, 300, PpiSource.ASSUMED)


def test_the_first_sane_statement_counts() -> None:
    assert known(LETTER_300, (72.0, 72.0), (150.0, 150.0)) == PagePpi(150, 150, PpiSource.FILE)


@pytest.mark.parametrize(
    ("size_px", "ppi"),
    [
        ((2550, 3300), 300),
        ((3300, 2550), 300),
        ((5100, 6600), 600),
        ((1700, 2200), 200),
        ((3600, 3600), 300),
        ((2480, 3508), pytest.approx(300, abs=0.05)),
        ((3508, 2480), pytest.approx(300, abs=0.05)),
    ],
)
def test_the_proportions_of_letter_a4_and_12_in_tell_the_resolution(
    size_px: tuple[int, int], ppi: float
) -> None:
    found = known(size_px)
    assert (found.x, found.source) == (ppi, PpiSource.PAGE_SIZE)
    assert found.x == found.y


@pytest.mark.parametrize("size_px", [(2550, 3350), (1000, 1000), (2400, 3300), (600, 776)])
def test_other_proportions_or_too_few_pixels_leave_the_resolution_assumed(size_px: tuple[int, int]) -> None:
    assert known(size_px) == PagePpi(300, 300, PpiSource.ASSUMED)


def test_what_a_person_gives_goes_before_what_the_file_says() -> None:
    given_ppi = page_ppi(LETTER_300, [(300.0, 300.0)], GivenResolution(ppi=240.0))
    assert given_ppi == PagePpi(240, 240, PpiSource.GIVEN)


def test_a_given_page_size_counts_either_way_up() -> None:
    landscape = page_ppi((2200, 1700), [(72.0, 72.0)], GivenResolution(page_size=LETTER.size))
    assert landscape == PagePpi(200, 200, PpiSource.GIVEN)


def test_a_given_page_size_of_other_proportions_keeps_pixels_square() -> None:
    ppi = page_ppi((1000, 1000), [], GivenResolution(page_size=Size(inches(4), inches(1))))
    assert ppi.x == ppi.y == 500  # the area of the page: a million pixels on four square inches


def test_a_given_ppi_goes_before_a_given_page_size() -> None:
    assert page_ppi((100, 100), [], GivenResolution(A4.size, 123.0)).x == 123.0


@given(st.integers(100, 30_000), st.integers(100, 30_000), st.floats(0, 1e6), st.floats(0, 1e6))
def test_every_page_gets_a_resolution_that_can_be(
    width: int, height: int, across: float, down: float
) -> None:
    ppi = page_ppi((width, height), [(across, down)], GivenResolution())
    assert 36 <= ppi.x <= 2400
    assert 36 <= ppi.y <= 2400


def test_a4_given_in_millimetres_makes_the_page_a4() -> None:
    ppi = page_ppi((2480, 3508), [], GivenResolution(page_size=Size(mm(210), mm(297))))
    assert abs(2480 / ppi.x - 210 / 25.4) < 0.002
    assert abs(3508 / ppi.y - 297 / 25.4) < 0.002
