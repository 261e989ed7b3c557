"""What was measured of a kit's elements, in the kit's cache: may be deleted at any time and comes back.

An element is known by its edge and its page's original, so that a corrected element is measured anew.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from kitprep.files.replace import write_bytes
from kitprep.pages import Element, Kit, Page

METHOD = 3
"""To be raised when measuring changes, so that what an older kitprep measured is measured anew."""

_NAME = "measured.json"
_STEPS = 10_000  # shares of interest are kept as whole numbers of this


Interest = tuple[tuple[float, ...], tuple[float, ...]]


class MeasuredUnreadable(Exception):
    """What was kept is there and cannot be understood. No person meets it: jobs tell it as a finding."""


@dataclass(frozen=True, slots=True)
class Measured:
    """What the pixels of an element say.

    Parameters
    ----------
    detail : float or None
        The share of its resolution that is real; None where that cannot be told.
    interest : pair of tuples of float, or None
        Where there is something to see, from left to right and from top to bottom: shares of all of it.
        None where nobody asked yet.
    """

    detail: float | None
    interest: Interest | None


def measured_key(kit: Kit, page: Page, element: Element) -> str:
    """What an element is known by."""
    sha256 = next((original.sha256 for original in kit.originals if original.file == page.file), "")
    facts = repr((METHOD, sha256, page.name, page.size_px, element.outline, element.holes))
    return hashlib.sha256(facts.encode("utf-8")).hexdigest()[:24]


def read_measured(cache: Path) -> dict[str, Measured]:
    """What is known by key; nothing where nothing was kept.

    Raises
    ------
    MeasuredUnreadable
        If something was kept and cannot be understood.
    """
    try:
        kept = json.loads((cache / _NAME).read_text("utf-8"))
        return {key: _measured(*facts) for key, facts in kept.items()}
    except FileNotFoundError:
        return {}
    except (OSError, ValueError, TypeError, AttributeError) as error:
        raise MeasuredUnreadable from error


def write_measured(cache: Path, known: Mapping[str, Measured]) -> None:
    """Keep what was measured.

    Raises
    ------
    CannotWrite, MissingFile
        If the cache cannot be written to.
    """
    kept = {
        key: [one.detail, *([round(share * _STEPS) for share in axis] for axis in one.interest or ())]
        for key, one in known.items()
    }
    write_bytes(cache / _NAME, json.dumps(kept, separators=(",", ":")).encode("utf-8"), overwrite=True)


def _measured(detail: float | None, *interest: list[int]) -> Measured:
    if detail is not None and not 0 < detail <= 1:
        raise ValueError(detail)
    if not interest:
        return Measured(detail, None)
    across, down = (tuple(step / _STEPS for step in axis) for axis in interest)
    return Measured(detail, (across, down))
