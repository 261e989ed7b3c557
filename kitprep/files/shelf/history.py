"""What a page's elements were before each correction, so that it can be taken back.

Each correction leaves one small file in the kit's `history` folder: the page's block as it stood, in the
notation of `kit.toml`. Its name carries the time, so the last one over all kits is the last by name.
"""

from __future__ import annotations

import re
import time
from pathlib import Path

from kitprep.errors import ShelfDamaged
from kitprep.files.replace import write_bytes
from kitprep.files.shelf.kitfile import FORMAT, kit_text, read_kit
from kitprep.pages import Kit, Page

_KEPT = 200  # corrections to one kit that can be taken back; a few kilobytes each
_NAME = re.compile(r"(\d{20})-p\d+\.toml$")


def record(kit_folder: Path, page: Page) -> Path:
    """Keep a page as it is before a correction; give the file it is kept in.

    Raises
    ------
    CannotWrite
        If it cannot be written.
    """
    folder = kit_folder / "history"
    folder.mkdir(exist_ok=True)
    kept = entries(kit_folder)
    latest = _moment(kept[-1]) if kept else 0
    moment = max(time.time_ns(), latest + 1)  # a clock set back must not shuffle the order
    path = folder / f"{moment:020d}-{page.name}.toml"
    write_bytes(path, kit_text(Kit("", f"before a correction, format {FORMAT}", "", "", (page,))).encode())
    for old in kept[: max(0, len(kept) + 1 - _KEPT)]:
        old.unlink()
    return path


def entries(kit_folder: Path) -> list[Path]:
    """The files of every correction of a kit, oldest first."""
    return sorted(path for path in (kit_folder / "history").glob("*.toml") if _NAME.match(path.name))


def read_entry(path: Path) -> Page:
    """The page as it was.

    Raises
    ------
    ShelfDamaged
        If the file cannot be read.
    """
    kit = read_kit(path, "")
    if len(kit.pages) != 1:
        raise ShelfDamaged(str(path), "it should hold one page")
    return kit.pages[0]


def _moment(path: Path) -> int:
    match = _NAME.match(path.name)
    assert match is not None
    return int(match.group(1))
