"""Where the shelf is."""

from __future__ import annotations

import os
from pathlib import Path

VARIABLE = "KITPREP_SHELF"


def shelf_folder(given: Path | None) -> Path:
    """The folder given, else the one that `KITPREP_SHELF` names, else `kitprep` in the user's documents."""
    if given is not None:
        return given.expanduser().absolute()
    if named := os.environ.get(VARIABLE):
        return Path(named).expanduser().absolute()
    import platformdirs

    return platformdirs.user_documents_path() / "kitprep"
