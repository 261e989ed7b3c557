"""What was measured of a kit's elements, in the kit's cache: may be deleted at any time and comes back.

An element is known by its edge and its page's original, so that a corrected element is measured anew.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from kitprep.errors import CannotWrite
from kitprep.files.replace import write_bytes
from kitprep.pages import Element, Kit, Page

METHOD = 2
"""To be raised when measuring changes, so that what an older kitprep measured is measured anew."""

_NAME = "measured.json"
_STEPS = 10_000  # shares of interest are kept as whole numbers of this


@dataclass(frozen=True, slots=True)
class Measured:
    """What the pixels of an element say.

    Parameters
    ----------
    detail : float or None
        The share of its resolution that is real; None where that cannot be told.
    across, down : tuple of float
        Where there is something to see, from left to right and from top to bottom: shares of all of it.
    """

    detail: float | None
    across: tuple[float, ...]
    down: tuple[float, ...]


def measured_key(kit: Kit, page: Page, element: Element) -> str:
    """What an element is known by."""
    sha256 = next((original.sha256 for original in kit.originals if original.file == page.file), "")
    facts = repr((METHOD, sha256, page.name, page.size_px, element.outline, element.holes))
    return hashlib.sha256(facts.encode("utf-8")).hexdigest()[:24]


def read_measured(cache: Path) -> dict[str, Measured]:
    """What is known by key; nothing where the file is not there or cannot be read."""
    try:
        kept = json.loads((cache / _NAME).read_text("utf-8"))
        return {
            key: Measured(detail, _shares(across), _shares(down))
            for key, (detail, across, down) in kept.items()
        }
    except (OSError, ValueError, TypeError, AttributeError):
        return {}


def write_measured(cache: Path, known: Mapping[str, Measured]) -> None:
    """Keep what was measured; a shelf that cannot be written to is measured anew each time."""
    kept = {
        key: [
            one.detail,
            [round(share * _STEPS) for share in one.across],
            [round(share * _STEPS) for share in one.down],
        ]
        for key, one in known.items()
    }
    try:
        write_bytes(cache / _NAME, json.dumps(kept, separators=(",", ":")).encode("utf-8"), overwrite=True)
    except CannotWrite:
        return


def _shares(steps: list[int]) -> tuple[float, ...]:
    return tuple(step / _STEPS for step in steps)
