"""Reading order: rows from the top, within a row from the left, as a person counts."""

from __future__ import annotations

from collections.abc import Sequence

from kitprep.pages import PixelBox

SAME_ROW = 0.5  # of the lower of two boxes: how much they must share in height to stand in one row


def reading_order(boxes: Sequence[PixelBox]) -> list[int]:
    """Indices of boxes in reading order.

    Parameters
    ----------
    boxes : sequence of PixelBox
        In any order.

    Returns
    -------
    list of int
        Boxes whose heights overlap by half of the lower one stand in one row, whatever the jitter of
        their tops; a tall box stands in the row in which it begins.
    """
    waiting = sorted(range(len(boxes)), key=lambda index: (boxes[index].top, boxes[index].left))
    ordered: list[int] = []
    while waiting:
        row = _first_row(waiting, boxes)
        ordered += sorted(row, key=lambda index: (boxes[index].left, boxes[index].top))
        waiting = [index for index in waiting if index not in row]
    return ordered


def _first_row(waiting: list[int], boxes: Sequence[PixelBox]) -> list[int]:
    first = boxes[waiting[0]]
    top, bottom = first.top, first.bottom
    row = [waiting[0]]
    for index in waiting[1:]:
        box = boxes[index]
        shared = min(bottom, box.bottom) - max(top, box.top)
        if shared < SAME_ROW * min(bottom - top, box.height):
            continue
        if any(_stands_under(box, boxes[other]) for other in row):
            continue
        row.append(index)
        bottom = min(bottom, box.bottom) if box.height < (bottom - top) else bottom
    return row


def _stands_under(lower: PixelBox, upper: PixelBox) -> bool:
    shared = min(lower.right, upper.right) - max(lower.left, upper.left)
    return shared > 0.3 * min(lower.width, upper.width) and lower.top >= upper.top + 0.6 * upper.height
