"""Finds through cuts that free every trim, and puts them in an order a person can follow.

The part in hand is first squared up: a side with waste along it is cut off where the outermost trim ends.
That cut is needed sooner or later, and made early it serves every trim along that side. Then the part is
divided between two trims that no other trim bridges, which takes one cut, or two where they stand apart.
Which way to divide is chosen for the fewest cuts in all, by trying the ways and remembering the parts.

A rest that is divided again the same way stays on the same level, so that rows are all cut before any row
is taken up; and of the cuts that can be made next, one that needs no new fence setting comes first.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from kitprep.errors import TrimmerTooShort
from kitprep.lengths import Box, Length, Unit
from kitprep.pack.packing import Axis, Cut, Edge

Rect = tuple[int, int, int, int]
"""Left, top, right, bottom in EMU."""
Names = Mapping[Rect, str]
"""What the piece of a trim is called."""

LEFT_OVER = "left-over, to keep"
"""What the first cut takes off where that is worth keeping."""
_TRY_ALL_LINES = 12  # trims in a part up to which every place to divide is tried, not the first alone
_WEIGH_BOTH_WAYS = 120  # trims in a part up to which rows and columns are weighed against each other
_IMPOSSIBLE = 1_000_000
_NOWHERE: Rect = (0, 0, 0, 0)  # a part that stands for one that cannot be cut


@dataclass
class _Part:
    """What is in hand: a rectangle of paper with trims on it."""

    box: Rect
    trims: list[Rect]
    label: str
    level: int = 0
    axis: Axis | None = None  # how the group was divided that this part is a run of
    first: int = 1  # number of its first strip in that group
    group: str = ""


@dataclass
class _Choice:
    """A cut that could be next, and the sides with trims that it leaves."""

    axis: Axis
    at: int
    sides: list[tuple[Rect, list[Rect]]]


@dataclass
class _Stroke:
    """A cut, and the parts with trims that it leaves."""

    part: _Part
    axis: Axis
    at: int
    falls: str
    leaves: list[_Part] = field(default_factory=list)
    against: Edge = Edge.LEFT
    fence: int = 0


def cut_sheet(
    sheet: Box, names: Names, longest: Length, unit: Unit, left_over: Box | None = None
) -> tuple[Cut, ...]:
    """The cuts of one sheet, in order.

    Parameters
    ----------
    sheet : Box
        The whole paper.
    names : mapping of Rect to str
        The trims to be freed, between which through cuts must exist, and what their pieces are called.
    longest : Length
        The longest cut that can be made.
    unit : Unit
        What lengths are spoken of in.
    left_over : Box or None
        A strip along a whole side of the paper that is worth keeping; it comes off first, whole.

    Raises
    ------
    TrimmerTooShort
        If a cut would have to be longer.
    """
    root = (sheet.left.emu, sheet.top.emu, sheet.right.emu, sheet.bottom.emu)
    first = None if left_over is None else (root, 3 if left_over.width == sheet.width else 2)
    plan = _Plan(longest.emu, first)
    trims = sorted(names)
    if plan.cost(root, trims) >= _IMPOSSIBLE:
        raise TrimmerTooShort(_first_blocked(sheet, unit), longest.text(unit))
    strokes = plan.strokes(_Part(root, trims, "whole sheet"), names)
    if left_over is not None and first is not None and strokes[0].at == _around(trims)[first[1]]:
        strokes[0].falls = LEFT_OVER
    _set_fence(strokes)
    return tuple(_cut(number, stroke) for number, stroke in enumerate(_in_order(strokes), 1))


def cut_trouble(sheet: Rect, trims: Sequence[Rect], longest: int, enough: int) -> tuple[int, int]:
    """How many cuts a sheet takes, and how many fence settings.

    Parameters
    ----------
    sheet : Rect
        The whole paper.
    trims : sequence of Rect
        What is to be freed.
    longest : int
        The longest cut that can be made, in EMU.
    enough : int
        Where more cuts than this are needed, settings are not counted.
    """
    plan = _Plan(longest)
    cost = plan.cost(sheet, list(trims))
    if cost > enough or cost >= _IMPOSSIBLE:
        return cost, 0
    strokes = plan.strokes(_Part(sheet, list(trims), ""), dict.fromkeys(trims, ""))
    _set_fence(strokes)
    return cost, len({stroke.fence for stroke in strokes})


class _Plan:
    """The fewest cuts for every part met, remembered by the part's box."""

    def __init__(self, longest: int, first: tuple[Rect, int] | None = None) -> None:
        self.longest, self.first = longest, first
        self.known = {_NOWHERE: (_IMPOSSIBLE, Axis.X, 0)}

    def cost(self, box: Rect, trims: list[Rect]) -> int:
        """How many cuts a part takes; `_IMPOSSIBLE` or more where the trimmer is too short."""
        waiting, choices = [(box, trims)], {}
        while waiting:
            part, held = waiting[-1]
            if part not in choices:
                choices[part] = self._choices(part, held)
            missing = [side for choice in choices[part] for side in choice.sides if side[0] not in self.known]
            if missing and part not in self.known:
                waiting += missing
                continue
            waiting.pop()
            self.known[part] = self._best(part, choices[part])
        return self.known[box][0]

    def _best(self, box: Rect, choices: Sequence[_Choice]) -> tuple[int, Axis, int]:
        """Cost, axis and place of the best next cut; no cut for a part that is a trim."""
        if not choices:
            return 0, Axis.X, box[0]
        costs = [1 + sum(self.known[side][0] for side, _ in choice.sides) for choice in choices]
        least = costs.index(min(costs))
        return costs[least], choices[least].axis, choices[least].at

    def _choices(self, box: Rect, trims: list[Rect]) -> list[_Choice]:
        """The next cuts worth weighing."""
        ready = self._square_up(box, trims)
        if ready is not None:
            axis, at, rest = ready
            return [_Choice(axis, at, [(rest, trims)])]
        if len(trims) == 1 and _around(trims) == box:
            return []
        lines = [
            (axis, _lines(trims, axis))
            for axis in (Axis.Y, Axis.X)
            if self._length(box, axis) <= self.longest
        ]
        if len(trims) > _WEIGH_BOTH_WAYS:
            lines = sorted((way for way in lines if way[1]), key=lambda way: len(way[1]))[:1]
        shown = None if len(trims) <= _TRY_ALL_LINES else 1
        choices = [
            _Choice(axis, at, _divided(box, trims, axis, at))
            for axis, places in lines
            for at in places[:shown]
        ]
        return choices or [_Choice(Axis.X, box[0], [(_NOWHERE, [])])]

    def _square_up(self, box: Rect, trims: list[Rect]) -> tuple[Axis, int, Rect] | None:
        """The next side to cut off, the longest stroke first, and what then remains."""
        around = _around(trims)
        sides = [1, 3, 0, 2] if box[2] - box[0] >= box[3] - box[1] else [0, 2, 1, 3]
        if self.first is not None and box == self.first[0]:
            sides.insert(0, self.first[1])
        for side in sides:
            axis = Axis.X if side % 2 == 0 else Axis.Y
            if around[side] != box[side] and self._length(box, axis) <= self.longest:
                rest = (*box[:side], around[side], *box[side + 1 :])
                return axis, around[side], (rest[0], rest[1], rest[2], rest[3])
        return None

    @staticmethod
    def _length(box: Rect, axis: Axis) -> int:
        return box[3] - box[1] if axis is Axis.X else box[2] - box[0]

    def strokes(self, part: _Part, names: Names) -> list[_Stroke]:
        """All cuts of a part, each before those of the parts that it leaves."""
        strokes, waiting = [], [part]
        while waiting:
            part = waiting.pop()
            cost, axis, at = self.known[part.box]
            if cost:
                stroke = _Stroke(part, axis, at, "waste")
                stroke.leaves = _leave(part, axis, at, names)
                if len(stroke.leaves) == 2:
                    stroke.falls = stroke.leaves[0].label
                strokes.append(stroke)
                waiting += stroke.leaves
        return strokes


def _around(trims: Sequence[Rect]) -> Rect:
    lefts, tops, rights, bottoms = zip(*trims, strict=True)
    return min(lefts), min(tops), max(rights), max(bottoms)


def _strips(trims: Sequence[Rect], axis: Axis) -> list[tuple[int, int, list[Rect]]]:
    """Runs of trims that lines of an axis can part: start, end, trims."""
    low, high = (0, 2) if axis is Axis.X else (1, 3)
    strips: list[tuple[int, int, list[Rect]]] = []
    for trim in sorted(trims, key=lambda trim: trim[low]):
        if strips and trim[low] < strips[-1][1]:
            start, end, held = strips[-1]
            strips[-1] = (start, max(end, trim[high]), [*held, trim])
        else:
            strips.append((trim[low], trim[high], [trim]))
    return strips


def _lines(trims: Sequence[Rect], axis: Axis) -> list[int]:
    """Where a part can be divided: at the near edge of the strip that follows."""
    return [start for start, _, _ in _strips(trims, axis)[1:]]


def _divided(box: Rect, trims: Sequence[Rect], axis: Axis, at: int) -> list[tuple[Rect, list[Rect]]]:
    """The two sides of a cut, each with its trims; a side without trims is left out."""
    low = 0 if axis is Axis.X else 1
    near = [trim for trim in trims if trim[low] < at]
    far = [trim for trim in trims if trim[low] >= at]
    if axis is Axis.X:
        boxes = ((box[0], box[1], at, box[3]), (at, box[1], box[2], box[3]))
    else:
        boxes = ((box[0], box[1], box[2], at), (box[0], at, box[2], box[3]))
    return [(side, held) for side, held in zip(boxes, (near, far), strict=True) if held]


def _leave(part: _Part, axis: Axis, at: int, names: Names) -> list[_Part]:
    """The parts that a cut leaves, named by their place."""
    sides = _divided(part.box, part.trims, axis, at)
    if len(sides) == 1:
        box, _ = sides[0]
        return [_Part(box, part.trims, part.label, part.level, part.axis, part.first, part.group)]
    same = part.axis is axis
    group = part.group if same else ("" if part.label == "whole sheet" else part.label + ", ")
    first, level = (part.first, part.level) if same else (1, part.level + 1)
    leaves = []
    for box, held in sides:
        count = len(_strips(held, axis))
        label = group + _run("column" if axis is Axis.X else "row", first, count)
        if len(held) == 1:
            label += f": {names[held[0]]}"
        leaves.append(_Part(box, held, label, level, axis, first, group))
        first += count
    return leaves


def _run(word: str, first: int, count: int) -> str:
    return f"{word} {first}" if count == 1 else f"{word}s {first} to {first + count - 1}"


def _set_fence(strokes: Sequence[_Stroke]) -> None:
    """Give every cut its fence setting, few different ones in all."""
    choices = [_settings(stroke) for stroke in strokes]
    open_cuts = set(range(len(strokes)))
    while open_cuts:
        uses = Counter(setting for index in sorted(open_cuts) for setting in set(choices[index]))
        setting = max(uses, key=lambda setting: (uses[setting], setting))
        for index in sorted(open_cuts):
            if setting in choices[index]:
                strokes[index].fence, strokes[index].against = setting, choices[index][setting]
                open_cuts.discard(index)


def _settings(stroke: _Stroke) -> dict[int, Edge]:
    left, top, right, bottom = stroke.part.box
    if stroke.axis is Axis.X:
        return {right - stroke.at: Edge.RIGHT} | {stroke.at - left: Edge.LEFT}
    return {bottom - stroke.at: Edge.BOTTOM} | {stroke.at - top: Edge.TOP}


def _in_order(strokes: Sequence[_Stroke]) -> list[_Stroke]:
    """No new fence setting while the old one serves, then outer levels, then settings not needed again."""
    by_box = {stroke.part.box: stroke for stroke in strokes}
    ready, ordered, setting = [strokes[0]] if strokes else [], [], -1
    to_come = Counter(stroke.fence for stroke in strokes[1:])  # cuts that cannot be made yet
    while ready:
        chosen = min(ready, key=lambda stroke: _haste(stroke, setting, to_come))
        ready.remove(chosen)
        ordered.append(chosen)
        setting = chosen.fence
        freed = [by_box[part.box] for part in chosen.leaves if part.box in by_box]
        to_come.subtract(stroke.fence for stroke in freed)
        ready += freed
    return ordered


def _haste(stroke: _Stroke, setting: int, to_come: Mapping[int, int]) -> tuple[bool, int, bool, int, Rect]:
    """What can be made next comes by this: least first."""
    moves_fence = stroke.fence != setting
    comes_again = to_come.get(stroke.fence, 0) > 0
    return moves_fence, stroke.part.level, comes_again, -stroke.fence, stroke.part.box


def _cut(number: int, stroke: _Stroke) -> Cut:
    left, top, right, bottom = map(Length, stroke.part.box)
    start, end = (top, bottom) if stroke.axis is Axis.X else (left, right)
    return Cut(
        number,
        stroke.axis,
        Length(stroke.at),
        start,
        end,
        stroke.part.label,
        Box(left, top, right, bottom),
        stroke.against,
        Length(stroke.fence),
        stroke.falls,
    )


def _first_blocked(sheet: Box, unit: Unit) -> str:
    way = "down" if sheet.height >= sheet.width else "across"
    return f"a cut {way} the sheet of {sheet.size.text(unit)}"
