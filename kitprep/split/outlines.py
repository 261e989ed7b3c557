"""Outlines of elements: four exact corners for a rectangle, a simplified contour for a cut-out."""

from __future__ import annotations

from collections.abc import Sequence

from kitprep.split.cut_outs import trace_cut_out
from kitprep.split.rectangles import trace_held, trace_rectangles
from kitprep.split.regions import Region
from kitprep.split.surroundings import Surroundings
from kitprep.split.traced import Traced


def trace(regions: Sequence[Region], around: Surroundings, to_raster: tuple[float, float]) -> list[Traced]:
    """The exact outlines of regions.

    Parameters
    ----------
    regions : sequence of Region
        In working pixels.
    around : Surroundings
        The raster.
    to_raster : tuple of float
        Raster pixels per working pixel, across and down.
    """
    free = [region for region in regions if not region.is_part and not any(region.held)]
    rectangles = dict(zip(map(id, free), trace_rectangles(free, around, to_raster), strict=True))
    return [
        trace_held(region, around, to_raster)
        if any(region.held)
        else rectangles.get(id(region)) or trace_cut_out(region, around, to_raster)
        for region in regions
    ]
