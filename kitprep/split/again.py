"""A page split again: ids stay with their things, and what a person corrected is kept.

How much two things share is measured between their outlines, drawn small. Coordinates are page pixels, as
in `kitprep.pages`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.pages import Element, Gone, Outline, Page, PixelBox

SAME_THING = 0.5  # of two outlines' union is shared: one thing, seen differently
AS_IT_WAS = 0.9  # the same of a thing that is found again with its own edge
DROPPED = 0.75  # the same of what was dropped, perhaps for holding half of something right
MOSTLY = 0.6  # of a thing lies in another, or is made up of others
MOST_GONE = 400  # things of a page remembered that were not dropped, the latest
DRAWN_PX = 256  # longer side of the small drawing on which outlines are compared


@dataclass(frozen=True, slots=True)
class Again:
    """What a page's elements are after it was split again.

    Parameters
    ----------
    elements : tuple of Element
        In order of number. Those by hand are as they were; one that was found before keeps its number, words
        and whatever else a person may have said.
    gone : tuple of Gone
        What is off the list.
    held_back : tuple of Element
        What was found and gave way to a correction by hand, numbered 0.
    """

    elements: tuple[Element, ...]
    gone: tuple[Gone, ...]
    held_back: tuple[Element, ...] = ()


def settle(page: Page, found: Sequence[Element], *, said: bool = False) -> Again:
    """Bring what was found anew together with what a page has.

    Parameters
    ----------
    page : Page
        As it is.
    found : sequence of Element
        In reading order; their numbers do not matter.
    said : bool
        Whether a person said what is there, a grid or one whole paper. All of it comes then, also where
        something of that place was dropped; only what a person made stands for the same thing.
    """
    by_hand = [element for element in page.elements if element.by_hand]
    others = [element for element in page.elements if not element.by_hand]
    hands = _Hands(
        tuple(_Shape.of(element.outline) for element in by_hand),
        tuple(_Shape.of(gone.outline) for gone in page.gone if gone.dropped),
    )
    shapes = [_Shape.of(element.outline) for element in found]
    there = {element.number for element in page.elements}
    back = [gone for gone in page.gone if (said or not gone.dropped) and gone.number not in there]
    names = _names(shapes, [*others, *back], len(others))
    new: list[Element] = []
    held: list[Element] = []
    number = page.next_number
    for index, (element, shape) in enumerate(zip(found, shapes, strict=True)):
        old = names.get(index)
        if hands.made(shape) if said else hands.hold_back(shape, old if old in others else None):
            held.append(replace(element, number=0))
        elif isinstance(old, Element):
            new.append(replace(element, number=old.number, words=old.words))
        elif old is not None:
            new.append(replace(element, number=old.number))
        else:
            new.append(replace(element, number=number))
            number += 1
    elements = sorted([*by_hand, *new], key=lambda element: element.number)
    return Again(tuple(elements), _gone_after(page, elements), tuple(held))


def _gone_after(page: Page, elements: Sequence[Element]) -> tuple[Gone, ...]:
    """What is off the list, without what came back to it."""
    there = {element.number for element in elements}
    went = [Gone(one.number, one.outline, dropped=False) for one in page.elements if one.number not in there]
    gone = [one for one in (*page.gone, *went) if one.number not in there]
    kept = [one for one in gone if not one.dropped][-MOST_GONE:]
    return tuple(one for one in gone if one.dropped or one in kept)


def likeness_of(one: Outline, other: Outline) -> float:
    """What two outlines share, over what they cover together: 0 to 1."""
    return _likeness(_Shape.of(one), _Shape.of(other))


def _names(
    shapes: Sequence[_Shape], known: Sequence[Element | Gone], on_list: int
) -> dict[int, Element | Gone]:
    """Which thing that a page has or had each found one is, by its index.

    What is on the list, the first `on_list`, goes before what is off it, and the latest before the older; of
    several the best likeness.
    """
    there = [_Shape.of(one.outline) for one in known]
    likeness = sorted(
        (
            (at >= on_list, -shared, -at, index)
            for index, shape in enumerate(shapes)
            for at, old in enumerate(there)
            if (shared := _likeness(shape, old)) >= SAME_THING
        )
    )
    names: dict[int, Element | Gone] = {}
    taken: set[int] = set()
    for _, _, at, index in likeness:
        if known[-at].number not in taken and index not in names:
            names[index] = known[-at]
            taken.add(known[-at].number)
    return names


@dataclass(frozen=True, slots=True)
class _Shape:
    """An outline with its box."""

    outline: Outline
    box: PixelBox

    @classmethod
    def of(cls, outline: Outline) -> _Shape:
        """The shape of an outline."""
        across, down = zip(*outline, strict=True)
        return cls(
            outline,
            PixelBox(int(min(across)), int(min(down)), int(np.ceil(max(across))), int(np.ceil(max(down)))),
        )

    def meets(self, other: _Shape) -> bool:
        """Whether the boxes share any pixel."""
        shared = self.box.clipped(other.box)
        return shared.width > 0 and shared.height > 0


@dataclass(frozen=True, slots=True)
class _Hands:
    """What a person made on a page and what a person dropped from it."""

    by_hand: tuple[_Shape, ...]
    dropped: tuple[_Shape, ...]

    def made(self, shape: _Shape) -> bool:
        """Whether a person made the same thing."""
        return any(_likeness(shape, made) >= SAME_THING for made in self.by_hand)

    def hold_back(self, shape: _Shape, old: Element | None) -> bool:
        """Whether something that was found gives way: it was dropped, made by hand, or made into others."""
        if any(_likeness(shape, gone) >= DROPPED for gone in self.dropped):
            return True
        if old is not None and _likeness(shape, _Shape.of(old.outline)) >= AS_IT_WAS:
            return False  # it stands on the list beside what was made by hand, and a person left it there
        if self.made(shape):
            return True
        made = [one for one in self.by_hand if one.meets(shape)]
        gone = [one for one in self.dropped if _share_within(one, [shape]) >= MOSTLY]
        return _share_within(shape, [*made, *gone]) >= (MOSTLY if made else AS_IT_WAS)


def _likeness(one: _Shape, other: _Shape) -> float:
    if not one.meets(other):
        return 0.0
    (left, top), (right, bottom) = (
        (min(one.box.left, other.box.left), min(one.box.top, other.box.top)),
        (max(one.box.right, other.box.right), max(one.box.bottom, other.box.bottom)),
    )
    box = PixelBox(left, top, right, bottom)
    first, second = _drawn([one], box), _drawn([other], box)
    together = cv2.countNonZero(cv2.bitwise_or(first, second))
    return cv2.countNonZero(cv2.bitwise_and(first, second)) / max(together, 1)


def _share_within(one: _Shape, others: Sequence[_Shape]) -> float:
    near = [other for other in others if one.meets(other)]
    if not near:
        return 0.0
    first, second = _drawn([one], one.box), _drawn(near, one.box)
    return cv2.countNonZero(cv2.bitwise_and(first, second)) / max(cv2.countNonZero(first), 1)


def _drawn(shapes: Sequence[_Shape], box: PixelBox) -> NDArray[Any]:
    """Shapes filled on a small canvas that holds a box: uint8 0 or 255."""
    scale = DRAWN_PX / max(box.width, box.height, 1)
    size = (max(1, round(box.height * scale)), max(1, round(box.width * scale)))
    canvas = np.zeros(size, np.uint8)
    for shape in shapes:
        # cv2 puts the middle of a pixel at whole numbers, outlines put its corner there.
        points = (np.array(shape.outline) - (box.left, box.top)) * scale - 0.5
        cv2.fillPoly(canvas, [np.round(points).astype(np.int32)], (255,))
    return canvas
