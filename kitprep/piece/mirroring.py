"""Carries a rectangular piece past its trim without touching a pixel.

Where the crop lies inside a larger element, the bleed is what really surrounds it. At the element's own
edge the picture is reflected, by drawing the same page pixels through a mirroring matrix. The mirror
stands a little inside the edge, so that pixels which the page's colour has got into are never shown: they
are covered by the reflection, and the picture is neither moved nor scaled for it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from kitprep.lengths import Length
from kitprep.pages import Affine
from kitprep.piece.artwork import BleedSource, Patch
from kitprep.piece.fitting import Fitting

Insets = tuple[float, float, float, float]
"""How far inside its left, top, right and bottom edge an element is clean, in straightened pixels."""

LARGEST_INSET_SHARE = 0.25  # of the element's side; a thinner rest could not stand for the whole
SEAM_OVERLAP_PT = 0.05  # reflections reach under the picture by this, against hairlines in previews


@dataclass(frozen=True, slots=True)
class _Stretch:
    """A stretch of one axis in piece coordinates and the reflection x = sign y + shift that fills it."""

    start: float
    stop: float
    sign: int
    shift: float

    @property
    def is_own(self) -> bool:
        """Whether it is the picture itself, not a reflection."""
        return self.sign == 1 and self.shift == 0


def mirrored_patches(
    fitting: Fitting, bleed: Length, insets: Insets, transparent: bool
) -> tuple[tuple[Patch, ...], frozenset[BleedSource]]:
    """The patches of a rectangular piece: reflections first, the picture itself last.

    Parameters
    ----------
    fitting : Fitting
    bleed : Length
        Zero gives the picture alone.
    insets : tuple of float
        Where the mirrors stand, see `Insets`.
    transparent : bool
        Whether the page has alpha. Only an opaque page gets an underlay: the picture enlarged to fill the
        bleed, so that a viewer that blends the seams of the reflections never blends in paper white.

    Returns
    -------
    patches : tuple of Patch
    sources : frozenset of BleedSource
    """
    wide, high, past = fitting.trim.width.points, fitting.trim.height.points, bleed.points
    if not bleed:
        return (Patch(fitting.to_piece, (0.0, 0.0, wide, high)),), frozenset({BleedSource.NONE})
    left, top, right, bottom = clean_reach(fitting, insets)
    across, down = _stretches(-past, wide + past, left, right), _stretches(-past, high + past, top, bottom)
    pairs = [(column, row) for column in across for row in down]
    pairs.sort(key=lambda pair: pair[0].is_own + pair[1].is_own)
    patches = [_patch(fitting.to_piece, column, row) for column, row in pairs]
    if len(pairs) > 1 and not transparent:
        patches.insert(0, _underlay(fitting, past))
    return tuple(patches), _sources(fitting, past, (left, top, right, bottom))


def clean_reach(fitting: Fitting, insets: Insets) -> tuple[float, float, float, float]:
    """(left, top, right, bottom) in piece coordinates between which the element's own pixels are clean."""
    point_x = fitting.trim.width.points / fitting.shown_px[0]
    point_y = fitting.trim.height.points / fitting.shown_px[1]
    left, top, right, bottom = fitting.reach
    most_x, most_y = (right - left) * LARGEST_INSET_SHARE, (bottom - top) * LARGEST_INSET_SHARE
    return (
        left + min(insets[0] * point_x, most_x),
        top + min(insets[1] * point_y, most_y),
        right - min(insets[2] * point_x, most_x),
        bottom - min(insets[3] * point_y, most_y),
    )


def _stretches(start: float, stop: float, low: float, high: float) -> list[_Stretch]:
    """Cover `start` to `stop` with the picture, which is clean from `low` to `high`, and its reflections."""
    length = high - low
    first, last = math.floor((start - low) / length), math.ceil((stop - low) / length) - 1
    found = []
    for turn in range(first, last + 1):
        sign, shift = (1, turn * length) if turn % 2 == 0 else (-1, 2 * low + (turn + 1) * length)
        found.append(_Stretch(max(start, low + turn * length), min(stop, low + (turn + 1) * length),
                              sign, float(shift)))  # fmt: skip
    return [stretch for stretch in found if stretch.stop > stretch.start]


def _patch(to_piece: Affine, column: _Stretch, row: _Stretch) -> Patch:
    reflected = Affine(float(column.sign), 0.0, 0.0, float(row.sign), column.shift, row.shift)
    spare_x, spare_y = (0.0 if stretch.is_own else SEAM_OVERLAP_PT for stretch in (column, row))
    clip = (column.start - spare_x, row.start - spare_y, column.stop + spare_x, row.stop + spare_y)
    return Patch(to_piece if column.is_own and row.is_own else to_piece.then(reflected), clip)


def _underlay(fitting: Fitting, past: float) -> Patch:
    wide, high = fitting.trim.width.points, fitting.trim.height.points
    grow_x, grow_y = (wide + 2 * past) / wide, (high + 2 * past) / high
    grown = Affine(grow_x, 0.0, 0.0, grow_y, -past, -past)
    return Patch(fitting.to_piece.then(grown), (-past, -past, wide + past, high + past))


def _sources(
    fitting: Fitting, past: float, clean: tuple[float, float, float, float]
) -> frozenset[BleedSource]:
    wide, high = fitting.trim.width.points, fitting.trim.height.points
    beyond = (-clean[0], -clean[1], clean[2] - wide, clean[3] - high)
    sources = {BleedSource.SURROUNDINGS for reach in beyond if reach > 0}
    return frozenset(sources | {BleedSource.MIRROR for reach in beyond if reach < past})
