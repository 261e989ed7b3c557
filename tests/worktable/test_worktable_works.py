"""Long works begun from several threads, and the letting go of finished ones."""

from __future__ import annotations

import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from shutil import rmtree

import pytest

from kitprep.errors import NoSuchWork
from kitprep.worktable.table import Table
from kitprep.worktable.works import KEPT, Works


def test_a_folder_that_cannot_be_removed_does_not_stop_the_next_work(tmp_path: Path) -> None:
    works = Works(tmp_path)
    first = works.begin(lambda _: {})
    first.outcome.result()
    rmtree(first.folder)
    for _ in range(KEPT + 1):
        works.begin(lambda _: {}).outcome.result()
    works.close()
    with pytest.raises(NoSuchWork):
        works.find(first.name)


def test_works_are_begun_from_many_threads_at_once(tmp_path: Path) -> None:
    works = Works(tmp_path)
    before = sys.getswitchinterval()
    sys.setswitchinterval(1e-6)
    try:
        with ThreadPoolExecutor(8) as threads:
            for begun in [threads.submit(works.begin, lambda _: {}) for _ in range(600)]:
                begun.result()
    finally:
        sys.setswitchinterval(before)
        works.close()


def test_another_usual_shelf_has_another_mark(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    marks = []
    for name in ("one", "two"):
        monkeypatch.setenv("KITPREP_SHELF", str(tmp_path / name))
        (tmp_path / f"table {name}").mkdir()
        table = Table(None, tmp_path / f"table {name}")
        marks.append(table.mark)
        table.works.close()
    assert marks[0] != marks[1]
    (tmp_path / "table").mkdir()
    named = Table(tmp_path / "two", tmp_path / "table")
    named.works.close()
    assert named.mark == marks[1]
