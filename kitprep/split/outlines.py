"""Outlines of elements: four exact corners for a rectangle, a simplified contour for a cut-out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from kitprep.split.cut_outs import openings_of_rectangle, trace_cut_out
from kitprep.split.rectangles import trace_held, trace_rectangles
from kitprep.split.regions import Region
from kitprep.split.surroundings import Surroundings
from kitprep.split.traced import Traced

BESIDE = 0.08  # in; what reaches so far beyond a rectangle is no ripple of its edge


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
    traced = trace_rectangles(free, around, to_raster)
    rectangles = {
        id(region): replace(one, holes=openings_of_rectangle(one, around))
        for region, one in zip(free, traced, strict=True)
        if one is not None
    }
    return [
        trace_held(region, around, to_raster)
        if any(region.held)
        else rectangles.get(id(region)) or trace_cut_out(region, around, to_raster)
        for region in regions
    ]


def with_all_parts(
    regions: Sequence[Region],
    outlines: Sequence[Traced],
    around: Surroundings,
    to_raster: tuple[float, float],
) -> list[Traced]:
    """Outlines that leave no part out, for regions whose parts a person said are one; parameters as `trace`.

    A rectangle is found for the main part of a region whatever lies beside it; where something does, the
    outline goes round all of it.
    """
    slack = BESIDE * around.px_per_inch
    return [
        trace_cut_out(region, around, to_raster)
        if region.parts > 1 and traced.rectangular and _reach_beyond(region, traced, to_raster) > slack
        else traced
        for region, traced in zip(regions, outlines, strict=True)
    ]


def _reach_beyond(region: Region, traced: Traced, to_raster: tuple[float, float]) -> float:
    """How far a region reaches beyond its outline's box, in raster px."""
    left, top, right, bottom = traced.box
    across, down = to_raster
    return max(
        left - region.left * across,
        top - region.top * down,
        region.right * across - right,
        region.bottom * down - bottom,
    )
