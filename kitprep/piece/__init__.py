"""From an element and a wanted size to the picture that is placed on a sheet.

`wanted` and `artwork` are the nouns, `fitting` says which pixels land where. `make_artwork` carries the
picture past the trim, `render_piece` makes a picture file's pixels. Those two need numpy and OpenCV, so
they are loaded when they are first asked for here, not when a sibling module is imported.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from kitprep.piece.making import make_artwork
    from kitprep.piece.rendering import render_piece

__all__ = ["make_artwork", "render_piece"]


def __getattr__(name: str) -> Any:
    if name == "make_artwork":
        from kitprep.piece.making import make_artwork

        return make_artwork
    if name == "render_piece":
        from kitprep.piece.rendering import render_piece

        return render_piece
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
