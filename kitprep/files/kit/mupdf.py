"""The one way to MuPDF.

MuPDF keeps one context for the whole program, which two threads must not use at once: every use is under one
lock, held while a document is open. It writes its messages to the terminal unless its own switch turns that
off, which there is only one of; here they are gathered instead, for each document apart.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

_ALONE = threading.Lock()


@contextmanager
def opened_by_mupdf(path: Path) -> Iterator[Any]:
    """A PDF as a pymupdf.Document, which is this thread's alone until it is closed.

    What MuPDF raises passes through; `damage_by_mupdf` tells what that is.
    """
    pymupdf = mupdf_module()
    with _ALONE:
        pymupdf.TOOLS.mupdf_display_errors(False)
        pymupdf.TOOLS.mupdf_display_warnings(False)
        pymupdf.TOOLS.reset_mupdf_warnings()
        try:
            with pymupdf.open(path, filetype="pdf") as document:
                yield document
        finally:
            pymupdf.TOOLS.store_shrink(100)  # else it keeps up to 256 MB of decoded pictures


def mupdf_module() -> Any:
    """The module, which has no type annotations of its own."""
    import pymupdf

    return pymupdf


def damage_by_mupdf() -> tuple[type[Exception], ...]:
    """What MuPDF raises for a damaged document; only to be caught around calls of MuPDF's own."""
    pymupdf = mupdf_module()
    return (pymupdf.mupdf.FzErrorBase, pymupdf.FileDataError, IndexError, RuntimeError)
