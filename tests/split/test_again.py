"""A page split again: ids stay with their things, and hand corrections are neither lost nor overwritten."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitprep.pages import Element, Gone, Kind, Page, PageKind, PagePpi, PixelBox, PpiSource
from kitprep.split.again import likeness_of, settle

PPI = PagePpi(300.0, 300.0, PpiSource.GIVEN)


def element(number: int, left: int, top: int, right: int, bottom: int, **more: object) -> Element:
    box = PixelBox(left, top, right, bottom)
    return replace(Element(number, box, box.corners, 0.0, Kind.CARD, True), **more)  # type: ignore[arg-type]


def page(*elements: Element, gone: tuple[Gone, ...] = (), used: int = 0) -> Page:
    return Page(
        1,
        "p.png",
        0,
        (3000, 3000),
        PPI,
        PageKind.PICTURE,
        False,
        elements,
        numbers_used=used,
        gone=gone,
    )


def numbers(elements: tuple[Element, ...]) -> list[int]:
    return [one.number for one in elements]


ONE, TWO, THREE = element(1, 0, 0, 400, 400), element(2, 500, 0, 900, 400), element(3, 1000, 0, 1400, 400)


def test_a_thing_found_again_keeps_its_number_and_words_and_takes_its_new_edge() -> None:
    seen = element(9, 505, 5, 905, 395)
    again = settle(page(ONE, replace(TWO, words=("moth",)), THREE), [ONE, seen, THREE])
    assert numbers(again.elements) == [1, 2, 3]
    assert again.elements[1].box == seen.box
    assert again.elements[1].words == ("moth",)


def test_of_two_that_look_like_one_thing_the_better_keeps_its_number() -> None:
    worse, better = element(0, 0, 0, 400, 215), element(0, 0, 0, 400, 390)
    again = settle(page(ONE), [worse, better])
    assert {one.number: one.box for one in again.elements} == {1: better.box, 2: worse.box}


def test_a_number_that_was_ever_used_never_comes_back() -> None:
    again = settle(page(ONE, used=7), [ONE, element(0, 500, 500, 900, 900)])
    assert numbers(again.elements) == [1, 8]


def test_what_is_not_found_again_goes() -> None:
    assert numbers(settle(page(ONE, TWO), [TWO]).elements) == [2]


def test_what_was_made_by_hand_stays_to_the_pixel_and_holds_back_the_same_thing() -> None:
    made = element(4, 490, 0, 910, 400, by_hand=True, words=("moth",), kind=Kind.FIGURE)
    again = settle(page(ONE, made), [ONE, TWO])
    assert again.elements == (ONE, made)
    assert [one.box for one in again.held_back] == [TWO.box]


def test_what_lies_mostly_within_something_made_by_hand_is_held_back() -> None:
    joined = element(4, 0, 0, 900, 400, by_hand=True)
    again = settle(page(joined), [ONE, TWO, THREE])
    assert [one.box for one in again.elements] == [joined.box, THREE.box]


def test_a_thing_that_was_divided_does_not_come_back_whole() -> None:
    halves = (element(4, 0, 0, 200, 400, by_hand=True), element(5, 200, 0, 400, 400, by_hand=True))
    assert settle(page(*halves), [ONE]).elements == halves


def test_a_divided_thing_does_not_come_back_when_one_half_was_dropped() -> None:
    half = element(4, 0, 0, 160, 400, by_hand=True)
    off = Gone(5, element(5, 160, 0, 400, 400).outline, dropped=True)
    assert settle(page(half, gone=(off,)), [ONE]).elements == (half,)


def test_a_thing_whose_halves_were_both_dropped_does_not_come_back() -> None:
    halves = (
        Gone(4, element(4, 0, 0, 200, 400).outline, dropped=True),
        Gone(5, element(5, 200, 0, 400, 400).outline, dropped=True),
    )
    assert settle(page(gone=halves, used=5), [ONE]).elements == ()


def test_a_paper_comes_though_a_little_was_taken_out_of_it_by_hand() -> None:
    taken = element(4, 100, 100, 200, 200, by_hand=True)
    assert numbers(settle(page(taken), [ONE]).elements) == [4, 5]


def test_what_stood_beside_something_made_by_hand_and_is_found_as_it_was_stays() -> None:
    around = element(4, 0, 0, 900, 900, by_hand=True)
    assert settle(page(TWO, around), [TWO]).elements == (TWO, around)


def test_what_was_dropped_does_not_come_back() -> None:
    off = Gone(2, TWO.outline, dropped=True)
    again = settle(page(ONE, gone=(off,)), [ONE, element(0, 510, 4, 900, 396)])
    assert again.elements == (ONE,)
    assert again.gone == (off,)
    assert len(again.held_back) == 1


def test_what_was_dropped_does_not_come_back_a_little_larger() -> None:
    off = Gone(2, TWO.outline, dropped=True)
    assert settle(page(ONE, gone=(off,)), [ONE, element(0, 500, 0, 980, 400)]).elements == (ONE,)


def test_half_of_what_was_dropped_may_come() -> None:
    both = Gone(4, element(4, 500, 0, 1400, 400).outline, dropped=True)
    assert numbers(settle(page(ONE, gone=(both,), used=4), [ONE, TWO, THREE]).elements) == [1, 5, 6]


def test_all_of_what_a_person_said_comes_but_for_what_was_made_by_hand() -> None:
    made, off = element(4, 490, 0, 910, 400, by_hand=True), Gone(3, THREE.outline, dropped=True)
    again = settle(page(made, gone=(off,)), [ONE, TWO, THREE], said=True)
    assert {one.number: one.box for one in again.elements} == {3: THREE.box, 4: made.box, 5: ONE.box}
    assert again.gone == ()


def test_what_was_not_found_in_between_has_its_number_again_when_it_is() -> None:
    before = page(ONE, TWO, THREE)
    between = settle(before, [element(0, 0, 0, 1400, 400)])
    assert numbers(between.elements) == [4]
    then = replace(before, elements=between.elements, gone=between.gone, numbers_used=4)
    again = settle(then, [ONE, TWO, THREE])
    assert again.elements == (ONE, TWO, THREE)
    assert [one.number for one in again.gone] == [4]


def test_what_is_off_the_list_never_takes_a_name_from_what_is_on_it() -> None:
    shifted = element(7, 20, 0, 420, 400)
    again = settle(page(shifted, gone=(Gone(1, ONE.outline, dropped=False),)), [ONE])
    assert numbers(again.elements) == [7]


@given(st.integers(1, 900), st.integers(1, 900), st.integers(0, 900), st.integers(0, 900))
def test_likeness_is_intersection_over_union(width: int, height: int, right: int, down: int) -> None:
    one, other = element(1, 0, 0, 1000, 1000), element(2, right, down, right + width, down + height)
    shared = max(0, min(1000, right + width) - right) * max(0, min(1000, down + height) - down)
    union = 1000 * 1000 + width * height - shared
    assert likeness_of(one.outline, other.outline) == pytest.approx(shared / union, abs=0.02)


def test_outlines_whose_boxes_alone_meet_are_not_alike() -> None:
    upper = ((0.0, 0.0), (900.0, 0.0), (0.0, 900.0))
    lower = ((910.0, 20.0), (910.0, 910.0), (20.0, 910.0))
    assert likeness_of(upper, lower) < 0.02
