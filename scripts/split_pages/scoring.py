"""How well what was found on a page agrees with what is there.

Boxes are matched one to one so that as many pairs as can be reach the asked intersection over union (a linear
assignment, as scipy solves it), and among those the best. Titles and makers' lines are no elements: neither
they nor what was found of them count, but how many were found as words and marked as not wanted is told apart.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linear_sum_assignment

from kitprep.pages import Element

from .shapes import filled
from .truth import Truth, united

LOOSE, TIGHT = 0.75, 0.9
MOSTLY = 0.7  # share of a thing's area that makes it part of another
AS_WORDS = 0.5  # intersection over union at which something found is a title

Boxes = NDArray[np.float64]
"""Shape (count, 4): left, top, right, bottom."""


@dataclass(frozen=True)
class PageScore:
    """One page's figures.

    Attributes
    ----------
    there, found, loose, tight : int
        Elements there, elements found, pairs at each of the two overlaps.
    edges_px : list of float
        Distances of the four edges of each loose pair, at 300 PPI.
    angles_deg : list of float
        Errors of the lean of each rectangle found as one.
    masks : list of float
        Intersection over union of the filled outlines of each loose pair, but for things of separate parts.
    rectangles : list of bool
        For each loose pair that is a rectangle, whether it was found as one.
    kinds : list of bool
        For each loose pair with a kind that people agree on, whether it was found.
    split, merged, missed, false : int
        Elements that came in pieces; found things that hold several elements; elements that were neither
        found nor split nor merged; found things that are nothing.
    titles, titles_known : int
        Titles and makers' lines there, and those found as unwanted words.
    """

    there: int
    found: int
    loose: int
    tight: int
    edges_px: list[float] = field(default_factory=list)
    angles_deg: list[float] = field(default_factory=list)
    masks: list[float] = field(default_factory=list)
    rectangles: list[bool] = field(default_factory=list)
    kinds: list[bool] = field(default_factory=list)
    split: int = 0
    merged: int = 0
    missed: int = 0
    false: int = 0
    titles: int = 0
    titles_known: int = 0

    @property
    def all_right(self) -> bool:
        """Whether every element was found tightly and nothing else."""
        return self.there == self.found == self.tight


def score_page(truths: Sequence[Truth], elements: Sequence[Element], scale: tuple[float, float]) -> PageScore:
    """Score what was found on a page.

    Parameters
    ----------
    truths : sequence of Truth
        What is there, titles included.
    elements : sequence of Element
        What was found.
    scale : tuple of float
        Pixels of the composed page to one of the page that was split, across and down: other than 1 only for
        a PDF page that was read at another resolution than it was composed in.
    """
    titles = [truth for truth in truths if not truth.wanted]
    wanted = [truth for truth in truths if truth.wanted]
    known, rest = _without_titles(titles, list(elements), scale)
    there, found = _true_boxes(wanted), _found_boxes(rest, scale)
    overlaps = overlaps_of(there, found)
    pairs = matched(overlaps, LOOSE)
    split, merged, missed, false = _wrong(there, found, pairs)
    score = PageScore(
        len(wanted), len(rest), len(pairs), len(matched(overlaps, TIGHT)),
        split=split, merged=merged, missed=missed, false=false, titles=len(titles), titles_known=known,
    )  # fmt: skip
    for true, one in pairs:
        _add_pair(score, wanted[true], rest[one], np.abs(there[true] - found[one]), scale)
    return score


def with_clusters_as_one(truths: Sequence[Truth]) -> list[Truth]:
    """Things that overlap as one thing each, the others as they are."""
    numbers = sorted({truth.cluster for truth in truths} - {-1})
    alone = [truth for truth in truths if truth.cluster == -1]
    return alone + [united([truth for truth in truths if truth.cluster == number]) for number in numbers]


def overlaps_of(there: Boxes, found: Boxes) -> NDArray[np.float64]:
    """Intersection over union of each box with each other, shape (there, found)."""
    shared = _shared_areas(there, found)
    return shared / np.maximum(_areas(there)[:, None] + _areas(found)[None, :] - shared, 1e-9)


def matched(overlaps: NDArray[np.float64], least: float) -> list[tuple[int, int]]:
    """The pairs of an optimum matching that reach an overlap."""
    if not overlaps.size:
        return []
    # A pair that reaches it outweighs any number of better fits elsewhere.
    worth = np.where(overlaps >= least, len(overlaps) + overlaps, 0.0)
    rows, cols = linear_sum_assignment(worth, maximize=True)
    return [(int(row), int(col)) for row, col in zip(rows, cols, strict=True) if overlaps[row, col] >= least]


def _without_titles(
    titles: Sequence[Truth], elements: list[Element], scale: tuple[float, float]
) -> tuple[int, list[Element]]:
    there, found = _true_boxes(titles), _found_boxes(elements, scale)
    pairs = matched(overlaps_of(there, found), AS_WORDS)
    known = sum(elements[number].unwanted for _, number in pairs)
    of_titles = (_shared_areas(there, found) >= MOSTLY * _areas(found)[None, :]).any(0)
    of_titles[[number for _, number in pairs]] = True
    return known, [element for number, element in enumerate(elements) if not of_titles[number]]


def _true_boxes(truths: Sequence[Truth]) -> Boxes:
    return np.array([truth.box for truth in truths], float).reshape(-1, 4)


def _found_boxes(elements: Sequence[Element], scale: tuple[float, float]) -> Boxes:
    boxes = [(one.box.left, one.box.top, one.box.right, one.box.bottom) for one in elements]
    return np.array(boxes, float).reshape(-1, 4) * (*scale, *scale)


def _areas(boxes: Boxes) -> NDArray[np.float64]:
    return (boxes[:, 2] - boxes[:, 0]) * (boxes[:, 3] - boxes[:, 1])


def _shared_areas(there: Boxes, found: Boxes) -> NDArray[np.float64]:
    corner = np.maximum(there[:, None, :2], found[None, :, :2])
    end = np.minimum(there[:, None, 2:], found[None, :, 2:])
    return np.maximum(end - corner, 0).prod(2)


def _wrong(there: Boxes, found: Boxes, pairs: Sequence[tuple[int, int]]) -> tuple[int, int, int, int]:
    """Split, merged, missed and false, among what was not matched."""
    lost = np.setdiff1d(np.arange(len(there)), [true for true, _ in pairs])
    spare = np.setdiff1d(np.arange(len(found)), [one for _, one in pairs])
    shared = _shared_areas(there[lost], found[spare])
    within_true = shared >= MOSTLY * _areas(found[spare])[None, :]
    within_found = shared >= MOSTLY * _areas(there[lost])[:, None]
    is_split, is_merged = within_true.sum(1) >= 2, within_found.sum(0) >= 2
    in_merged = within_found[:, is_merged].any(1)
    in_split = within_true[is_split].any(0)
    missed = int((~is_split & ~in_merged).sum())
    false = int((~is_merged & ~in_split).sum())
    return int(is_split.sum()), int(is_merged.sum()), missed, false


def _add_pair(
    score: PageScore, truth: Truth, element: Element, edges: NDArray[Any], scale: tuple[float, float]
) -> None:
    score.edges_px.extend(edges.tolist())
    if truth.kind:
        score.kinds.append(truth.kind == element.kind.value)
    if truth.rectangular:
        score.rectangles.append(element.rectangular)
        if element.rectangular:
            score.angles_deg.append(abs(truth.angle_deg - element.angle_deg))
    if not truth.parts:
        score.masks.append(_mask_overlap(truth, element, scale))


def _mask_overlap(truth: Truth, element: Element, scale: tuple[float, float]) -> float:
    points = np.array(element.outline) * scale
    left, top = np.floor(np.minimum(points.min(0), truth.box[:2])).astype(int)
    right, bottom = np.ceil(np.maximum(points.max(0), truth.box[2:])).astype(int)
    outline, *holes = (np.array(edge) * scale - (left, top) for edge in (element.outline, *element.holes))
    found = filled(right - left, bottom - top, [outline], holes) >= 128
    true = np.zeros(found.shape, bool)
    x0, y0, x1, y1 = truth.box
    true[y0 - top : y1 - top, x0 - left : x1 - left] = truth.mask
    return float((true & found).sum() / (true | found).sum())
