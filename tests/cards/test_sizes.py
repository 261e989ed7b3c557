"""Sizes by name, against lists that are open to all."""

from __future__ import annotations

import pytest

from kitprep.cards import CARDS, NAMED_SIZES, find_size
from kitprep.errors import AmbiguousSize, BadSize, UnknownSize
from kitprep.files.makelist import parse_makelist, piece_from_text
from kitprep.lengths import Unit, WantedSize, inches, mm, read_wanted_size


@pytest.mark.parametrize(
    ("name", "size"),
    [
        ("A2 front", "4 1/4 x 5 1/2 in"),
        ("a2 base", "8 1/2 x 5 1/2 in"),
        ("A2 panel", "4 x 5 1/4 in"),
        # Envelope lists of the stationery trade (A2 4 3/8 x 5 3/4, A6 4 3/4 x 6 1/2, A7 5 1/4 x 7 1/4).
        ("A2 envelope", "4 3/8 x 5 3/4 in"),
        ("A6 envelope", "4 3/4 x 6 1/2 in"),
        ("A7  Envelope", "5 1/4 x 7 1/4 in"),
        # ISO 269, as encyclopedias list it.
        ("DL envelope", "110 x 220 mm"),
        ("C6", "114 x 162 mm"),
        ("C7/C6 envelope", "81 x 162 mm"),
        ("B6 envelope landscape", "176 x 125 mm"),
        # A published chart of shipping tags: number 5 is 2.375 x 4.75 in, number 8 is 3.125 x 6.25 in.
        ("tag 5", "2 3/8 x 4 3/4 in"),
        ("tag #8", "3 1/8 x 6 1/4 in"),
        ("trading card", "2 1/2 x 3 1/2 in"),
        ("journaling card landscape", "4 x 3 in"),
        ("A4", "210 x 297 mm"),
        ("letter", "8 1/2 x 11 in"),
        ("A6 ISO front", "105 x 148 mm"),
    ],
)
def test_a_name_has_the_size_that_published_lists_give_it(name, size):
    assert find_size(name).text() == size


@pytest.mark.parametrize("text", ["3 in wide", "80 mm tall", "4 3/4 x 2 3/4", "4¾ x 2¾ in"])
def test_a_size_in_figures_is_read_as_ever(text):
    assert find_size(text) == read_wanted_size(text)
    assert find_size("12 x 8", Unit.CM) == WantedSize(mm(120), mm(80), Unit.CM)


def test_a_tag_is_twice_as_tall_as_wide():
    # The published chart keeps that proportion for every number.
    for named in NAMED_SIZES:
        if named.name.startswith("tag "):
            assert named.size.height == 2 * named.size.width


def test_every_card_has_a_front_a_base_and_a_panel_that_leaves_an_eighth_around():
    for card in CARDS:
        front, panel = find_size(f"{card.name} front"), find_size(f"{card.name} panel")
        assert front.width is not None
        assert panel.width is not None
        assert front.width - panel.width == 2 * inches("1/8")


def test_no_two_sizes_have_one_name():
    names = [" ".join(named.name.lower().split()) for named in NAMED_SIZES]
    assert len(set(names)) == len(names)


@pytest.mark.parametrize(
    ("slip", "meant"),
    [
        ("A2 frunt", "A2 front"),
        ("tradng card", "trading card"),
        ("C6 envelop", "C6 envelope"),
        ("tagg 5", "tag 5"),
    ],
)
def test_a_slip_of_the_pen_is_offered_the_nearest_names_with_their_sizes(slip, meant):
    with pytest.raises(UnknownSize, match="neither a size nor the name of one") as caught:
        find_size(slip)
    assert any(near.startswith(f"{meant} (") for near in caught.value.near)


def test_a_word_that_is_like_no_name_is_told_how_a_size_is_written():
    with pytest.raises(UnknownSize, match="write it like"):
        find_size("qqqqqqqq")


@pytest.mark.parametrize(
    ("text", "one"), [("A2", "A2 front"), ("A6 front", "A6 ISO front"), ("tag", "tag 1")]
)
def test_a_name_of_several_sizes_is_asked_about(text, one):
    with pytest.raises(AmbiguousSize, match=one):
        find_size(text)


@pytest.mark.parametrize("text", ["0 in wide", "-3 in wide", "4 x", "3"])
def test_what_begins_as_a_size_is_refused_as_a_size(text):
    with pytest.raises(BadSize):
        find_size(text)


def test_names_serve_in_make_lists_and_on_the_command_line():
    listed = parse_makelist('[[piece]]\nelement = "p01-01"\nsize = "A2 panel"\n')
    assert listed.pieces[0].size.text() == "4 x 5 1/4 in"
    assert piece_from_text("p01-01, trading card, 9").size.text() == "2 1/2 x 3 1/2 in"
