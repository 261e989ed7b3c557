"""What was measured of a kit is kept, and a cache that cannot be used is said to be so."""

from __future__ import annotations

from pathlib import Path

import pytest

from kitprep.errors import CannotWrite
from kitprep.files.measured import Measured, MeasuredUnreadable, read_measured, write_measured

KNOWN = {
    "moth": Measured(0.5123, ((0.25, 0.75), (1.0,))),
    "lantern": Measured(None, None),
    "ledger": Measured(1.0, None),
}


def test_what_was_kept_is_read_again(tmp_path: Path) -> None:
    write_measured(tmp_path, KNOWN)
    assert read_measured(tmp_path) == KNOWN


def test_nothing_is_known_where_nothing_was_kept(tmp_path: Path) -> None:
    assert read_measured(tmp_path) == {}


@pytest.mark.parametrize(
    "kept",
    [b"", b"{", b"[]", b'{"moth": 1}', b'{"moth": [7, [1], [1]]}', b'{"moth": [0.5, [1]]}', b"\xff\xfe\x00",
     b'{"moth": ["sharp"]}', b'{"moth": [0.5, ["a"], [1]]}'],
)  # fmt: skip
def test_a_damaged_cache_is_told_from_an_empty_one(tmp_path: Path, kept: bytes) -> None:
    (tmp_path / "measured.json").write_bytes(kept)
    with pytest.raises(MeasuredUnreadable):
        read_measured(tmp_path)


def test_a_place_that_cannot_be_written_to_is_told(tmp_path: Path) -> None:
    (tmp_path / "measured.json").mkdir()
    with pytest.raises(CannotWrite):
        write_measured(tmp_path, KNOWN)
