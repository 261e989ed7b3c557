"""Holds the rooms to their order: a room may import only from rows above its own."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parent.parent / "kitprep"
ROWS = [
    ["errors"],
    ["lengths"],
    ["papers"],
    ["pages"],
    ["split", "detail", "piece", "cards", "pack"],
    ["sheet"],
    ["files"],
    ["jobs"],
    ["wording"],
    ["answers"],
    ["worktable"],
    ["cli"],
]
ROW = {room: number for number, rooms in enumerate(ROWS) for room in rooms}
PURE = {room for rooms in ROWS[:6] for room in rooms}
DOORS = {"cli", "worktable"}
OPEN_TO_DOORS = {"errors", "lengths", "papers", "jobs", "wording", "answers", "worktable"}
IMPURE_MODULES = {
    "os", "pathlib", "io", "zipfile", "pikepdf", "pymupdf", "fitz", "reportlab", "starlette", "uvicorn",
    "typer", "rich", "time", "datetime", "random", "logging", "tempfile", "shutil", "subprocess", "sqlite3",
    "threading",
}  # fmt: skip
ARRAYS = {"numpy", "cv2"}
ROOMS_WITH_ARRAYS = {"pages", "split", "detail", "piece", "files", "jobs"}
FILES = sorted(path for path in PACKAGE.rglob("*.py"))
ENTRANCES = {"__init__", "__main__"}


def room_of(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imported_modules(path: Path) -> set[str]:
    """Full dotted names of what a file imports, wherever in the file."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.level:
            names.update(f"kitprep.{room_of(path)}.{alias.name}" for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module == "kitprep":
            names.update(f"kitprep.{alias.name}" for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            names.add(node.module)
    return names


def rooms_imported(path: Path) -> set[str]:
    return {name.split(".")[1] for name in imported_modules(path) if name.startswith("kitprep.")}


def inner_files() -> list[Path]:
    return [path for path in FILES if room_of(path) not in ENTRANCES]


@pytest.mark.parametrize("path", inner_files(), ids=lambda path: str(path.relative_to(PACKAGE)))
def test_a_room_imports_only_from_rows_above(path: Path) -> None:
    room = room_of(path)
    wrong = {other for other in rooms_imported(path) - {room} if ROW[other] >= ROW[room]}
    assert not wrong


def test_every_room_has_its_row() -> None:
    assert {room_of(path) for path in FILES} - ENTRANCES == set(ROW)


def test_the_doors_know_only_jobs_words_and_plain_values() -> None:
    for path in FILES:
        if room_of(path) in DOORS:
            assert rooms_imported(path) - {room_of(path)} <= OPEN_TO_DOORS, path.name


def test_pure_rooms_import_no_files_no_clock_and_no_chance() -> None:
    for path in FILES:
        if room_of(path) in PURE:
            wrong = {name.split(".")[0] for name in imported_modules(path)} & IMPURE_MODULES
            assert not wrong, f"{path.name}: {wrong}"


def test_arrays_stay_in_the_rooms_of_pixels() -> None:
    for path in FILES:
        if room_of(path) not in ROOMS_WITH_ARRAYS:
            assert not {name.split(".")[0] for name in imported_modules(path)} & ARRAYS, path.name
