"""Uploads: what is let go, what is counted, what is kept of a file that does not arrive whole."""

from __future__ import annotations

from pathlib import Path

import pytest

from kitprep.errors import BrokenRequest, NoSuchWork, TooMuchToImport
from kitprep.worktable import uploads
from kitprep.worktable.uploads import IDLE_S, Uploads


def test_only_uploads_left_for_hours_are_let_go(tmp_path: Path) -> None:
    now = [0.0]
    kept = Uploads(tmp_path, clock=lambda: now[0])
    left, used, imported = kept.begin(), kept.begin(), kept.begin()
    kept.take(imported.name)
    now[0] = IDLE_S
    with kept.arriving(used.name, "a.png") as write:
        write(b"x")
    now[0] += 1
    kept.begin()
    assert [one.folder.exists() for one in (left, used, imported)] == [False, True, True]
    with pytest.raises(NoSuchWork):
        kept.take(left.name)


def test_an_upload_with_a_file_arriving_is_not_let_go_and_not_imported(tmp_path: Path) -> None:
    now = [0.0]
    kept = Uploads(tmp_path, clock=lambda: now[0])
    one = kept.begin()
    with kept.arriving(one.name, "a.png") as write:
        now[0] = 2 * IDLE_S
        kept.begin()
        write(b"x")
        with pytest.raises(BrokenRequest, match="still arriving"):
            kept.take(one.name)
    assert (kept.take(one.name).files / "a.png").read_bytes() == b"x"


def test_files_that_arrive_side_by_side_share_one_room(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(uploads, "MOST_BYTES", 100)
    kept = Uploads(tmp_path)
    name = kept.begin().name
    with kept.arriving(name, "a.png") as first:
        first(b"x" * 60)
        with pytest.raises(TooMuchToImport), kept.arriving(name, "b.png") as second:
            second(b"x" * 30)
            second(b"x" * 30)
        with kept.arriving(name, "c.png") as third:  # what did not arrive takes no room
            third(b"x" * 40)


def test_a_file_that_takes_anothers_place_takes_its_room(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(uploads, "MOST_BYTES", 100)
    monkeypatch.setattr(uploads, "MOST_FILES", 1)
    kept = Uploads(tmp_path)
    name = kept.begin().name
    for _ in range(4):
        with kept.arriving(name, "a.png") as write:
            write(b"x" * 50)
    with pytest.raises(TooMuchToImport, match="over 1 files"), kept.arriving(name, "b.png"):
        pass


def test_a_file_that_breaks_off_leaves_the_earlier_one_and_no_part(tmp_path: Path) -> None:
    kept = Uploads(tmp_path)
    one = kept.begin()
    with kept.arriving(one.name, "tags/a.png") as write:
        write(b"whole")
    with pytest.raises(ConnectionError), kept.arriving(one.name, "tags/a.png") as write:
        write(b"ha")
        raise ConnectionError
    assert (one.files / "tags" / "a.png").read_bytes() == b"whole"
    assert list(one.parts.iterdir()) == []
