"""Will it print sharp? Resolution of a piece at its printed size, and how much of it is real.

`kitprep.detail.grades` answers from sizes alone and needs no pixels. `measure_detail` looks at pixels and
says how much of their resolution carries detail; it needs numpy and OpenCV, so it is loaded when it is
first asked for here, not when a sibling module is imported.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from kitprep.detail.measuring import measure_detail

__all__ = ["measure_detail"]


def __getattr__(name: str) -> Any:
    if name == "measure_detail":
        from kitprep.detail.measuring import measure_detail

        return measure_detail
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
