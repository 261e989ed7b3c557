"""Outlines of elements: four exact corners for a rectangle, a simplified contour for a cut-out."""

from __future__ import annotations

from kitprep.split.cut_outs import trace_cut_out
from kitprep.split.rectangles import trace_held, trace_rectangle
from kitprep.split.regions import Region
from kitprep.split.surroundings import Surroundings
from kitprep.split.traced import Traced


def trace(region: Region, around: Surroundings, to_raster: tuple[float, float]) -> Traced:
    """The exact outline of a region.

    Parameters
    ----------
    region : Region
        In working pixels.
    around : Surroundings
        The raster.
    to_raster : tuple of float
        Raster pixels per working pixel, across and down.
    """
    if any(region.held):
        return trace_held(region, around, to_raster)
    if not region.is_part:
        rectangle = trace_rectangle(region, around, to_raster)
        if rectangle is not None:
            return rectangle
    return trace_cut_out(region, around, to_raster)
