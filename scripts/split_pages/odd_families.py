"""Families outside the targets: things that overlap, a page that leans as a whole, things that run off the page."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from . import grounds
from .composing import ComposedPage, bounds_of
from .families import PPI, place_apart, scatter
from .pieces import SOLID, Piece, bordered, card, label, photograph, stamp
from .studio import Studio

OVERLAPPING = (photograph, card, stamp, bordered, label)
LEAST_LEAN_DEG, MOST_LEAN_DEG = 0.5, 3.0


def overlapping(studio: Studio) -> ComposedPage:
    """Clusters of two to four things over one another, and some that lie alone.

    A thing's truth is its own whole edge, though another may lie on it; things of one cluster share a number,
    so that a cluster can also be counted as one.
    """
    page = ComposedPage.on(grounds.plain(grounds.page_px(studio), grounds.light(studio)))
    for cluster in range(studio.whole(1, 4)):
        side = studio.rng.uniform(1.2, 2) * PPI
        place = page.free_place(studio.rng, 2.2 * side, 2.2 * side, 60)
        if place is not None:
            _pile_up(studio, page, place, side, cluster)
    scatter(studio, page, SOLID, len(page.truths) + studio.whole(2, 6))
    return page


def _pile_up(
    studio: Studio, page: ComposedPage, place: tuple[float, float], side: float, cluster: int
) -> None:
    for number in range(studio.whole(2, 5)):
        piece = studio.one_of(*OVERLAPPING)(studio, int(side), int(side * studio.rng.uniform(0.8, 1)))
        shift = (number % 2) * side * 0.72, (number // 2) * side * 0.72
        page.lay(piece, place[0] + shift[0], place[1] + shift[1], studio.lean_deg(0.5), cluster=cluster)


def leaning_page(studio: Studio) -> ComposedPage:
    """A scan: everything leans alike, in uneven light, with grain."""
    lean = float(studio.rng.uniform(LEAST_LEAN_DEG, MOST_LEAN_DEG)) * studio.one_of(-1, 1)
    size_px = grounds.page_px(studio)
    page = ComposedPage.on(grounds.plain(size_px, grounds.white(studio)))
    if studio.chance(0.5):
        for _ in range(studio.whole(20, 50)):
            width, height = (int(v) for v in studio.rng.uniform(0.9, 3, 2) * PPI)
            place_apart(studio, page, studio.one_of(*SOLID)(studio, width, height), 30, lean)
    else:
        _leaning_rows(studio, page, lean)
    _scan(studio, page)
    return page


def _leaning_rows(studio: Studio, page: ComposedPage, lean_deg: float) -> None:
    maker, gutter = studio.one_of(*OVERLAPPING), studio.one_of(12, 30, 45)
    across, down = studio.whole(3, 6), studio.whole(3, 7)
    rim = 240
    width = (page.width - 2 * rim + gutter) // across - gutter
    height = (page.height - 2 * rim + gutter) // down - gutter
    turn = np.radians(lean_deg)
    spin = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    middle = np.array([page.width, page.height]) / 2
    for row in range(down):
        for col in range(across):
            straight = np.array(
                [rim + col * (width + gutter) + width / 2, rim + row * (height + gutter) + height / 2]
            )
            _lay_around(page, maker(studio, width, height), spin @ (straight - middle) + middle, lean_deg)


def _lay_around(page: ComposedPage, piece: Piece, middle: NDArray[Any], lean_deg: float) -> None:
    rows, cols = piece.rgba.shape[:2]
    turn = np.radians(abs(lean_deg))
    bounds = np.array([cols * np.cos(turn) + rows * np.sin(turn), rows * np.cos(turn) + cols * np.sin(turn)])
    left, top = (middle - bounds / 2).tolist()
    page.lay(piece, left, top, lean_deg)


def _scan(studio: Studio, page: ComposedPage) -> None:
    x, y = np.linspace(0, 1, page.width)[None, :], np.linspace(0, 1, page.height)[:, None]
    fall = studio.rng.uniform(0.02, 0.1) * (x * studio.rng.uniform(0, 1) + y * studio.rng.uniform(0, 1))
    page.pixels *= (1 - fall)[..., None].astype(np.float32)
    page.pixels += studio.rng.standard_normal(page.pixels.shape, np.float32) * np.float32(
        studio.rng.uniform(1, 3)
    )


def off_the_page(studio: Studio) -> ComposedPage:
    """One to three things that the page's edge cuts, whose truth is what shows, among others."""
    page = ComposedPage.on(grounds.plain(grounds.page_px(studio), grounds.light(studio)))
    for side in studio.rng.permutation(4)[: studio.whole(1, 4)]:
        width, height = (int(v) for v in studio.rng.uniform(1.2, 3, 2) * PPI)
        piece = studio.one_of(*SOLID[:-1])(studio, width, height)
        lean = studio.lean_deg(0.3)
        across, down = bounds_of(piece, lean)
        x, y = (
            studio.rng.uniform(60, page.width - across - 60),
            studio.rng.uniform(60, page.height - down - 60),
        )
        out = studio.rng.uniform(0.15, 0.5)
        x, y = ((-out * across, y), (x, -out * down), (page.width - (1 - out) * across, y),
                (x, page.height - (1 - out) * down))[side]  # fmt: skip
        if page.lay(piece, x, y, lean):
            page.take(x, y, across, down)
    scatter(studio, page, SOLID, len(page.truths) + studio.whole(3, 8))
    return page
