"""Measures written sheets of every kind against their plan: what a ruler and a loupe would find.

Used by `tests/files/pdf/test_every_sheet_is_true.py`, which holds the figures to their limits, and by
``scripts/bench.py sheet``, which prints them. A kind is a paper, a bleed, a way of cutting, a printer's
correction and an edge to turn it over for its backs. Distances are in millimetres.

What a printer does to a page is undone by its own rule: it prints x at scale x + offset, so a line that is
to come out at x has to stand at (x - offset) / scale in the file.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from drawn_sheets import crop, dark_page, lively_page, plain_picture, two_by_two
from measure import (
    MM_PER_INCH,
    Engine,
    box_px,
    has_ink,
    line_offset_mm,
    psnr_db,
    rendered,
    rendered_darkness,
    spot_mm,
)

from kitprep.files.pdf import NO_CORRECTION, PrinterCorrection, write_sheets
from kitprep.files.shelf import Printer, Readings
from kitprep.jobs.printing import correction_for
from kitprep.lengths import ZERO, Box, Length, Size, inches, mm
from kitprep.pack import PackedSheet, Placement
from kitprep.papers import A4, LETTER, SQUARE_12, Flip, Margins, Paper
from kitprep.sheet import Line, LineKind, Sheet, SheetItem, lay_out, measuring_frame

PPI = 600
NEAR_MM = 0.05
LEAST_PSNR_DB = 45.0
PIECE = Size(inches(2), inches("1 1/2"))
SPOTS_IN = ((0.5, 0.36), (1.0, 0.75), (1.5, 1.14), (0.5, 1.14), (1.5, 0.36))
"""On the piece, at whole pixels, alike from both sides: each has its mirror image among them."""
SPOT_PPI = 300


def _uneven_printer() -> Printer:
    """A printer 1 % narrow and 1 % tall, 1.3 mm to the right and 0.6 mm too high."""
    frame = measuring_frame(LETTER)
    read = Readings(inches("5.94"), inches("9.09"), frame.left + mm("0.5"), frame.top - mm("0.9"))
    return Printer("uneven", Margins.even(inches("1/4"))).measured(frame, read)


UNEVEN = _uneven_printer()


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of sheet."""

    paper: Paper
    bleed: Length
    trimmer: bool
    printer: Printer | None = None
    flip: Flip | None = None

    def __str__(self) -> str:
        return ", ".join(
            (
                self.paper.name,
                f"{self.bleed.text()} bleed",
                "trimmer" if self.trimmer else "scissors",
                *(["corrected"] if self.printer else []),
                *([f"back over the {self.flip.value} edge"] if self.flip else []),
            )
        )

    @property
    def correction(self) -> PrinterCorrection:
        """What its printer needs."""
        return correction_for(self.printer) if self.printer else NO_CORRECTION

    def in_file(self, length: Length, *, across: bool) -> Length:
        """Where in the file something has to stand for its printer to print it at `length`."""
        if self.printer is None:
            return length
        scale = self.printer.scale_x if across else self.printer.scale_y
        offset = self.printer.offset_x if across else self.printer.offset_y
        return Length(round((length - offset).emu / scale))

    def line_in_file(self, line: Line) -> Line:
        """A line of the plan as it has to stand in the file."""
        xs = (self.in_file(x, across=True) for x in (line.x0, line.x1))
        ys = (self.in_file(y, across=False) for y in (line.y0, line.y1))
        (x0, x1), (y0, y1) = xs, ys
        return replace(line, x0=x0, y0=y0, x1=x1, y1=y1)

    def box_in_file(self, box: Box) -> Box:
        """A box of the plan as it has to stand in the file."""
        return Box(
            self.in_file(box.left, across=True),
            self.in_file(box.top, across=False),
            self.in_file(box.right, across=True),
            self.in_file(box.bottom, across=False),
        )


def kinds() -> Iterator[Kind]:
    """Every kind: papers, bleeds, ways of cutting, each also corrected, and with backs."""
    for paper in (LETTER, A4, SQUARE_12):
        for bleed in (ZERO, inches("1/8")):
            for trimmer in (True, False):
                yield Kind(paper, bleed, trimmer)
            yield Kind(paper, bleed, True, UNEVEN)
        for flip in Flip:
            yield Kind(paper, inches("1/8"), True, flip=flip)
    yield Kind(LETTER.landscape, inches("1/8"), False, flip=Flip.LONG)
    yield Kind(LETTER, inches("1/8"), True, UNEVEN, Flip.LONG)


@dataclass(frozen=True, slots=True)
class Truth:
    """What was measured of one kind by one engine; the worst of each.

    Parameters
    ----------
    marks_mm : float
        Cut marks, ticks and registration marks beside their places.
    trim_corners_mm : float
        Corners of the trims, where the marks carried on cross.
    check_lines_mm : float
        The check lines' lengths, as the printer prints them, against 1 in and 25 mm.
    pictures_mm : float
        Spots of pictures beside their places.
    back_mm : float or None
        Spots and marks of the back, seen through the paper, beside those of the front.
    clean_margins, clean_bleeds : bool
        No ink where the printer cannot reach; no mark or word on a piece or its bleed.
    """

    marks_mm: float
    trim_corners_mm: float
    check_lines_mm: float
    pictures_mm: float
    back_mm: float | None
    clean_margins: bool
    clean_bleeds: bool

    @property
    def is_true(self) -> bool:
        """Whether all of it is within 0.05 mm and clean."""
        worst = (self.marks_mm, self.trim_corners_mm, self.check_lines_mm, self.pictures_mm, self.back_mm)
        return max(value or 0.0 for value in worst) < NEAR_MM and self.clean_margins and self.clean_bleeds

    def text(self) -> str:
        """In one line."""
        back = "" if self.back_mm is None else f", front to back {self.back_mm:.3f}"
        clean = "clean" if self.clean_margins and self.clean_bleeds else "INK WHERE NONE MAY BE"
        return (
            f"marks {self.marks_mm:.3f}, trim corners {self.trim_corners_mm:.3f}, "
            f"check lines {self.check_lines_mm:.3f}, pictures {self.pictures_mm:.3f}{back} mm; {clean}"
        )


def measure(kind: Kind, engine: Engine, folder: Path, ppi: int = PPI) -> Truth:
    """Write a sheet of a kind twice, plain and with pictures, render both and measure."""
    plain = two_by_two(kind.paper, kind.bleed, trimmer=kind.trimmer, flip=kind.flip)
    dark = _written(plain, kind, engine, folder, ppi, 0)
    strokes = [line for line in plain.lines if line.kind in (LineKind.CUT_MARK, LineKind.THROUGH_CUT)]
    return Truth(
        marks_mm=max(abs(line_offset_mm(dark, ppi, kind.line_in_file(line))) for line in strokes),
        trim_corners_mm=_trim_corners_mm(plain, kind, dark, ppi),
        check_lines_mm=_check_lines_mm(plain, kind, dark, ppi),
        **_pictures(kind, engine, folder, ppi),
        clean_margins=not any(has_ink(dark, ppi, kind.box_in_file(box)) for box in _margins(kind.paper)),
        clean_bleeds=not any(has_ink(dark, ppi, kind.box_in_file(piece.bleed_box)) for piece in plain.pieces),
    )


def picture_psnr_db(engine: Engine, folder: Path) -> tuple[float, float]:
    """A 600 PPI picture, upright and turned, rendered at 600 PPI against its own pixels, above each other.

    The picture is soft, as what an engine does to single hard pixels is its own affair.
    """
    size = Size(inches(1), inches("1 1/2"))
    pixels = lively_page((600, 900), grain=0)
    item = SheetItem("tag", "kit/p01-01", crop(size, ZERO, 0, 0, ppi=PPI))
    places = (
        Placement(0, Box.at(inches(1), inches(1), size), ZERO, False),
        Placement(0, Box.at(inches(3), inches(1), size.turned), ZERO, True),
    )
    even = Margins.even(inches("1/4"))
    sheet = lay_out(PackedSheet(places, ()), [item], paper=LETTER, margins=even, number=1, total=1)
    pdf = folder / "picture.pdf"
    write_sheets([sheet], lambda _: (plain_picture(pixels),), pdf, overwrite=True)
    shown = rendered(pdf, PPI, engine)
    upright, turned = shown[600:1500, 600:1200], shown[600:1200, 1800:2700]
    inner = (slice(1, -1), slice(1, -1))
    return (
        psnr_db(upright[inner], pixels[inner]),
        psnr_db(turned[inner], np.rot90(pixels, -1)[inner]),
    )


def _written(sheet: Sheet, kind: Kind, engine: Engine, folder: Path, ppi: int, page: int) -> np.ndarray:
    pdf = folder / "truth.pdf"
    spots = [(round(x * SPOT_PPI) + 60, round(y * SPOT_PPI) + 60) for x, y in SPOTS_IN]
    picture = plain_picture(dark_page((720, 570), spots))
    if page == 0:
        write_sheets([sheet], lambda _: (picture,), pdf, overwrite=True, correction=kind.correction)
    return rendered_darkness(pdf, ppi, engine, page)


def _trim_corners_mm(sheet: Sheet, kind: Kind, dark: np.ndarray, ppi: int) -> float:
    """Each side of a trim found from the marks in line with it at both its ends."""
    worst = 0.0
    for piece in sheet.pieces:
        offsets = {"x": [0.0], "y": [0.0]}
        for line in (line for line in sheet.lines if line.kind is LineKind.CUT_MARK):
            if line.x0 == line.x1 and line.x0 in (piece.trim.left, piece.trim.right):
                offsets["x"].append(line_offset_mm(dark, ppi, kind.line_in_file(line)))
            if line.y0 == line.y1 and line.y0 in (piece.trim.top, piece.trim.bottom):
                offsets["y"].append(line_offset_mm(dark, ppi, kind.line_in_file(line)))
        assert min(map(len, offsets.values())) > 4  # two sides with a mark at each end, at least
        worst = max(worst, float(np.hypot(*(max(map(abs, found)) for found in offsets.values()))))
    return worst


def _check_lines_mm(sheet: Sheet, kind: Kind, dark: np.ndarray, ppi: int) -> float:
    worst = 0.0
    level = [line for line in sheet.lines if line.kind is LineKind.CHECK and line.y0 == line.y1]
    for line, length in zip(level, (25.4, 25.0), strict=True):
        ends = []
        for x in (line.x0, line.x1):
            tick = kind.line_in_file(replace(line, x0=x, x1=x, y0=line.y0 - mm(2), y1=line.y0 - mm(1)))
            ends.append(tick.x0.mm + line_offset_mm(dark, ppi, tick))
        scale = float(kind.printer.scale_x) if kind.printer else 1.0
        worst = max(worst, abs((ends[1] - ends[0]) * scale - length))
    return worst


def _pictures(kind: Kind, engine: Engine, folder: Path, ppi: int) -> dict[str, float | None]:
    art = crop(PIECE, kind.bleed, 60, 60, ppi=SPOT_PPI)
    sheet = two_by_two(
        kind.paper,
        kind.bleed,
        trimmer=kind.trimmer,
        artwork=art,
        back=art if kind.flip else None,
        flip=kind.flip,
    )
    dark = _written(sheet, kind, engine, folder, ppi, 0)
    front = _spots(sheet, kind, dark, ppi)
    pictures = max(float(np.abs(found - planned).max()) for planned, found in front)
    if sheet.back is None:
        return {"pictures_mm": pictures, "back_mm": None}
    behind = _written(sheet, kind, engine, folder, ppi, 1)
    return {"pictures_mm": pictures, "back_mm": _back_mm(sheet, kind, front, dark, behind, ppi)}


Spot = tuple[np.ndarray, np.ndarray]
"""Planned and found place on the paper, (x, y) in millimetres, as the printer prints it."""


def _spots(sheet: Sheet, kind: Kind, dark: np.ndarray, ppi: int) -> list[Spot]:
    """The spots of all pieces."""
    spots = []
    for piece in sheet.pieces:
        for across, down in SPOTS_IN:
            right, below = inches(str(across)), inches(str(down))
            x, y = _on_paper(piece, right, below)
            off = spot_mm(
                dark, ppi, kind.in_file(x, across=True), kind.in_file(y, across=False), round(0.04 * ppi)
            )
            scale = (
                np.array([float(kind.printer.scale_x), float(kind.printer.scale_y)]) if kind.printer else 1.0
            )
            planned = np.array([x.mm, y.mm])
            spots.append((planned, planned + np.array(off) * scale))
    return spots


def _on_paper(piece, right: Length, down: Length) -> tuple[Length, Length]:
    """Written apart from the package: where a point of a piece lies, by its quarters clockwise."""
    trim = piece.trim
    return {
        0: (trim.left + right, trim.top + down),
        1: (trim.right - down, trim.top + right),
        2: (trim.right - right, trim.bottom - down),
        3: (trim.left + down, trim.bottom - right),
    }[piece.quarters]


def _back_mm(
    sheet: Sheet, kind: Kind, front: list[Spot], dark: np.ndarray, behind: np.ndarray, ppi: int
) -> float:
    """The back, seen through the paper, beside the front: each of its spots beside the nearest, and marks."""
    size = np.array([sheet.paper.size.width.mm, sheet.paper.size.height.mm])
    upright = bool(size[1] >= size[0])
    mirrored = 0 if upright is (kind.flip is Flip.LONG) else 1
    there = np.array([found for _, found in front])
    worst = 0.0
    assert sheet.back is not None
    back = _spots(sheet.back, kind, behind, ppi)
    assert len(back) == len(front)
    for _, found in back:
        seen = found.copy()
        seen[mirrored] = size[mirrored] - seen[mirrored]
        worst = max(worst, float(np.abs(there - seen).max(axis=1).min()))
    crosses = [_crosses(side, kind, picture, ppi) for side, picture in ((sheet, dark), (sheet.back, behind))]
    for place in crosses[1]:
        place[mirrored] = size[mirrored] - place[mirrored]
        worst = max(worst, min(float(np.abs(place - other).max()) for other in crosses[0]))
    assert len(crosses[1]) == 2
    return worst


def _crosses(sheet: Sheet, kind: Kind, dark: np.ndarray, ppi: int) -> list[np.ndarray]:
    """The middles of a side's registration marks, by their arms, as the printer prints them."""
    long = [
        line
        for line in sheet.lines
        if line.kind is LineKind.REGISTRATION and (line.x1 - line.x0) + (line.y1 - line.y0) == inches("1/4")
    ]
    found = []
    for level, upright in zip(long[::2], long[1::2], strict=True):
        arms = [kind.line_in_file(line) for line in (upright, level)]
        off = [line_offset_mm(dark, ppi, arm) for arm in arms]
        scale = [float(kind.printer.scale_x), float(kind.printer.scale_y)] if kind.printer else [1.0, 1.0]
        found.append(np.array([upright.x0.mm + off[0] * scale[0], level.y0.mm + off[1] * scale[1]]))
    return found


def _margins(paper: Paper) -> tuple[Box, ...]:
    size, margin = paper.size, inches("1/4")
    return (
        Box(ZERO, ZERO, size.width, margin),
        Box(ZERO, size.height - margin, size.width, size.height),
        Box(ZERO, ZERO, margin, size.height),
        Box(size.width - margin, ZERO, size.width, size.height),
    )


__all__ = ["LEAST_PSNR_DB", "MM_PER_INCH", "PPI", "Kind", "Truth", "box_px", "kinds", "measure"]
