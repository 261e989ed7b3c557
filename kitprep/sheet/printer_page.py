"""What a printer's test page is measured by: a frame of known size, and rulers at the paper's edges."""

from __future__ import annotations

from dataclasses import dataclass

from kitprep.lengths import Box, Length, Size, Unit, inches, mm
from kitprep.papers import Paper

FRAMES = {Unit.INCH: Size(inches(6), inches(9)), Unit.MM: Size(mm(150), mm(250))}
"""Long, so that a ruler's reading to 1/64 in or 1/2 mm tells a quarter of a percent."""
_ROOM = {Unit.INCH: inches(1), Unit.MM: mm(20)}
"""Least distance of the frame from the paper's edges: the rulers stand there."""
_WHOLE = {Unit.INCH: inches("1/2"), Unit.MM: mm(10)}
"""A smaller paper gets the largest frame of such whole steps that leaves this room."""
_STEP = {Unit.INCH: inches("1/16"), Unit.MM: mm(1)}
_NUMBERED = {Unit.INCH: 4, Unit.MM: 5}
_MIDDLING = {Unit.INCH: 2, Unit.MM: 5}


@dataclass(frozen=True, slots=True)
class RulerLine:
    """One line of an edge ruler.

    Parameters
    ----------
    away : Length
        From the paper's edge, which it runs along.
    rank : int
        2 for a numbered line, 1 for a longer, 0 for a short one.
    number : str
        The distance as written beside it; empty for none.
    """

    away: Length
    rank: int
    number: str


def unit_of_page(paper: Paper) -> Unit:
    """Inches or millimetres, as the paper is spoken of."""
    return Unit.INCH if paper.unit is Unit.INCH else Unit.MM


def measuring_frame(paper: Paper) -> Box:
    """The frame on the test page of a paper: 6 x 9 in or 150 x 250 mm in its middle where that has room."""
    unit, size = unit_of_page(paper), paper.size
    wanted = FRAMES[unit] if size.height >= size.width else FRAMES[unit].turned
    frame = Size(
        _side(wanted.width, size.width, unit),
        _side(wanted.height, size.height, unit),
    )
    left, top = (size.width - frame.width).emu // 2, (size.height - frame.height).emu // 2
    return Box.at(Length(left), Length(top), frame)


def edge_ruler(paper: Paper) -> tuple[RulerLine, ...]:
    """The lines of the ruler at each edge, from the edge inward."""
    unit = unit_of_page(paper)
    frame = measuring_frame(paper)
    reach = min(frame.left, frame.top) - _STEP[unit]
    lines = []
    for count in range(reach.emu // _STEP[unit].emu + 1):
        away = _STEP[unit] * count
        numbered = count % _NUMBERED[unit] == 0
        rank = 2 if numbered else int(count % _MIDDLING[unit] == 0)
        lines.append(RulerLine(away, rank, away.number(unit) if numbered and count else ""))
    return tuple(lines)


def _side(wanted: Length, paper: Length, unit: Unit) -> Length:
    most = paper - 2 * _ROOM[unit]
    if wanted <= most:
        return wanted
    return _WHOLE[unit] * max(1, most.emu // _WHOLE[unit].emu)
