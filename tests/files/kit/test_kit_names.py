"""Names of files in a kit."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitprep.files.kit.names import is_junk, kit_name, natural_order, safe_name, why_unsafe


@pytest.mark.parametrize(
    "name",
    ["__MACOSX/pages/._p1.jpg", ".DS_Store", "pages/.ds_store", "Thumbs.db", "a/desktop.ini", "._p1.png"],
)
def test_what_computers_leave_behind_is_junk(name: str) -> None:
    assert is_junk(name)


@pytest.mark.parametrize("name", ["pages/p1.jpg", "Read me.txt", "thumbs/p1.jpg", "my.DS_Store.png"])
def test_what_a_maker_puts_in_is_not_junk(name: str) -> None:
    assert not is_junk(name)


@pytest.mark.parametrize(
    ("name", "word"),
    [
        ("../p1.jpg", "out of its folder"),
        ("pages/../../p1.jpg", "out of its folder"),
        ("/etc/p1.jpg", "absolute"),
        ("C:/p1.jpg", "drive"),
        ("c:p1.jpg", "drive"),
        ("pages\\p1.jpg", "backslash"),
        ("..\\p1.jpg", "backslash"),
        ("p1.jpg\0.txt", "zero byte"),
    ],
)
def test_a_name_that_leads_elsewhere_is_unsafe_and_says_why(name: str, word: str) -> None:
    assert word in (why_unsafe(name) or "")


@pytest.mark.parametrize("name", ["p1.jpg", "a/b/p..1.jpg", "...", "Größe ½.png"])
def test_an_ordinary_name_is_safe(name: str) -> None:
    assert why_unsafe(name) is None


@given(st.text(min_size=1, max_size=40))
def test_a_safe_name_can_be_stored_anywhere(name: str) -> None:
    for part in safe_name(name).split("/"):
        assert not set(part) & set('<>:"|?*\0\n')
        assert not part.endswith((" ", "."))
        assert part.split(".")[0].lower() not in {"con", "nul", "aux", "com1"}
    safe_name(name).encode("utf-8")


def test_pages_sort_by_their_numbers() -> None:
    names = ["p10.jpg", "p2.jpg", "P1.jpg", "extra/p1.jpg", "p2b.jpg"]
    assert sorted(names, key=natural_order) == ["P1.jpg", "p2.jpg", "p2b.jpg", "p10.jpg", "extra/p1.jpg"]


@given(st.lists(st.text(max_size=12), max_size=6))
def test_any_names_can_be_sorted(names: list[str]) -> None:
    assert len(sorted(names, key=natural_order)) == len(names)


@pytest.mark.parametrize(
    ("file_name", "name"),
    [
        ("lantern_orchard", "Lantern Orchard"),
        ("Lantern-Orchard-Copy 2", "Lantern Orchard"),
        ("LanternOrchard", "Lantern Orchard"),
        ("QPR lantern orchard (3)", "QPR Lantern Orchard"),
        ("___", "___"),
        ("lantern\udce9_orchard", "Lantern Orchard"),
        ("\udce9", "_"),
    ],
)
def test_a_kit_gets_a_name_for_people(file_name: str, name: str) -> None:
    assert kit_name(file_name) == name
