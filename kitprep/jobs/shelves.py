"""Tells which shelf is in use."""

from __future__ import annotations

from pathlib import Path


def shelf_in_use(shelf: Path | None) -> Path:
    """The shelf's folder as an absolute path; for None the usual one, wherever that is set to be."""
    from kitprep.files.shelf import shelf_folder

    return shelf_folder(shelf)
