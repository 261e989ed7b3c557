"""What is truly on a composed page, and its JSON.

A mask is stored as run lengths: row by row within the element's box, how many pixels are not of the element,
then how many are, and so on by turns.
"""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, fields
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

Box = tuple[int, int, int, int]
Polygon = list[list[float]]

LEAST_HOLE_PX = 150  # area; smaller openings are specks


@dataclass(frozen=True)
class Truth:
    """One thing that a person would cut out.

    Attributes
    ----------
    box : tuple of int
        Left, top, right, bottom, half-open: the pixels it covers by half or more.
    kind : str
        A word of `kitprep.pages.Kind`; empty where people would not agree.
    rectangular : bool
        Whether it is a rectangle, perhaps leaning.
    angle_deg : float
        Its lean, clockwise.
    outlines, holes : list of polygons
        The four corners of a rectangle; else through the middles of its outermost pixels. Several outlines
        where it is made of separate parts.
    runs : list of int
        Its mask within its box, as run lengths.
    parts : bool
        Whether it is made of separate parts.
    wanted : bool
        False for a page title or a maker's line.
    cluster : int
        Things that overlap share a number; -1 for all others.
    """

    box: Box
    kind: str
    rectangular: bool
    angle_deg: float
    outlines: list[Polygon]
    holes: list[Polygon]
    runs: list[int]
    parts: bool = False
    wanted: bool = True
    cluster: int = -1

    @property
    def mask(self) -> NDArray[np.bool_]:
        """Its pixels within its box."""
        left, top, right, bottom = self.box
        turns = np.arange(len(self.runs)) % 2 == 1
        return np.repeat(turns, self.runs).reshape(bottom - top, right - left)


@dataclass(frozen=True)
class PageTruth:
    """A page, its family, its size in pixels and what is on it."""

    family: str
    seed: int
    file: str
    size_px: tuple[int, int]
    elements: tuple[Truth, ...]


def traced(mask: NDArray[Any], left: int, top: int, **facts: Any) -> Truth:
    """The truth of a mask (more than 0 where the element is) that begins at a place on the page."""
    rows, cols = np.flatnonzero(mask.any(1)), np.flatnonzero(mask.any(0))
    x, y, right, bottom = int(cols[0]), int(rows[0]), int(cols[-1]) + 1, int(rows[-1]) + 1
    inside = np.ascontiguousarray(mask[y:bottom, x:right] > 0)
    outlines, holes = _contours(inside.astype(np.uint8), left + x, top + y)
    facts.setdefault("outlines", outlines)
    facts.setdefault("holes", holes)
    return Truth(box=(left + x, top + y, left + right, top + bottom), runs=run_lengths(inside), **facts)


def run_lengths(mask: NDArray[np.bool_]) -> list[int]:
    """The run lengths of a mask, beginning with those that are not of it (perhaps none)."""
    flat = np.concatenate([[False], mask.ravel()])
    turns = np.flatnonzero(flat[1:] != flat[:-1])
    return np.diff(np.concatenate([[0], turns, [mask.size]])).tolist()


def united(elements: list[Truth]) -> Truth:
    """Several things as one."""
    boxes = np.array([element.box for element in elements])
    left, top, right, bottom = (int(v) for v in (*boxes[:, :2].min(0), *boxes[:, 2:].max(0)))
    mask = np.zeros((bottom - top, right - left), np.uint8)
    for element in elements:
        x0, y0, x1, y1 = element.box
        mask[y0 - top : y1 - top, x0 - left : x1 - left] |= element.mask
    return traced(mask, left, top, kind="", rectangular=False, angle_deg=0.0)


def write_truth(page: PageTruth, path: Path) -> None:
    """Write a page's truth as JSON."""
    path.write_text(json.dumps(asdict(page), separators=(",", ":")), encoding="utf-8")


def read_truth(path: Path) -> PageTruth:
    """Read it back."""
    stored = json.loads(path.read_text(encoding="utf-8"))
    names = {fact.name for fact in fields(Truth)}
    elements = tuple(
        Truth(**{name: value for name, value in one.items() if name in names} | {"box": tuple(one["box"])})
        for one in stored.pop("elements")
    )
    stored["size_px"] = tuple(stored["size_px"])
    return PageTruth(elements=elements, **stored)


def _contours(mask: NDArray[np.uint8], left: int, top: int) -> tuple[list[Polygon], list[Polygon]]:
    contours, tree = cv2.findContours(mask, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_SIMPLE)
    outlines, holes = [], []
    for contour, links in zip(contours, tree[0], strict=True):
        points = (contour[:, 0] + (left + 0.5, top + 0.5)).tolist()
        if links[3] < 0:
            outlines.append(points)
        elif cv2.contourArea(contour) >= LEAST_HOLE_PX:
            holes.append(points)
    return outlines, holes
