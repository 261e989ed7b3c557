"""Terms of use among a kit's files."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from kitprep.files.kit import Original
from kitprep.files.kit.terms import MAX_TERMS_BYTES, find_terms, suggests_terms

TERMS = "Make and sell cards; don’t share the files."


@pytest.mark.parametrize(
    "name",
    ["Terms of use.txt", "TermsOfUse.txt", "TOU.txt", "a/licence.md", "LICENSE", "copyright-notice.TXT"],
)
def test_a_text_file_named_for_terms_is_taken_for_them(name: str) -> None:
    assert suggests_terms(name)


@pytest.mark.parametrize(
    "name", ["Read me.txt", "terms.jpg", "touring map.txt", "illegally.txt", "determined.txt"]
)
def test_other_files_are_not(name: str) -> None:
    assert not suggests_terms(name)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_terms_are_read_whatever_their_encoding(
    encoding: str, tmp_path: Path, original: Callable[[Path], Original]
) -> None:
    path = tmp_path / "Terms.txt"
    path.write_bytes(f"{TERMS}\n".encode(encoding))
    assert find_terms([original(path)]) == (TERMS, "Terms.txt")


def test_terms_in_several_files_come_under_their_names(
    tmp_path: Path, original: Callable[[Path], Original]
) -> None:
    for name, words in (("licence home.txt", "Home use."), ("licence shop.txt", "Shop use.")):
        (tmp_path / name).write_text(words)
    files = [original(tmp_path / "licence home.txt"), original(tmp_path / "licence shop.txt")]
    text, file = find_terms(files)
    assert text == "licence home.txt\n\nHome use.\n\nlicence shop.txt\n\nShop use."
    assert file == "licence home.txt"


def test_no_terms_are_two_empty_texts(tmp_path: Path, original: Callable[[Path], Original]) -> None:
    (tmp_path / "terms.txt").write_text(" \n")
    (tmp_path / "licence.txt").write_bytes(b"x" * (MAX_TERMS_BYTES + 1))
    assert find_terms([original(tmp_path / "terms.txt"), original(tmp_path / "licence.txt")]) == ("", "")
