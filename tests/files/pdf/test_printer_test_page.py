"""The printer's test page, measured by two renderers, and the correction that comes of it."""

from __future__ import annotations

from itertools import combinations

import pikepdf
import pymupdf
import pytest
from measure import Engine, line_offset_mm, rendered_darkness

from kitprep.files.pdf import write_test_page
from kitprep.files.shelf import Printer, Readings
from kitprep.jobs.printing import correction_for
from kitprep.lengths import EMU_PER_POINT, Length, Size, inches, mm
from kitprep.papers import A4, LETTER, SQUARE_12, Margins, find_paper
from kitprep.sheet import Line, LineKind, measuring_frame

NEAR_MM = 0.05
HAIR = Length(EMU_PER_POINT // 4)


def _sides(frame) -> dict[str, Line]:
    """Parts of the frame's sides away from rulers and words."""
    top, low = frame.bottom - mm(30), frame.bottom - mm(10)
    left, right = frame.left + mm(5), frame.left + mm(20)
    return {
        "left": Line(LineKind.CHECK, frame.left, top, frame.left, low, HAIR),
        "right": Line(LineKind.CHECK, frame.right, top, frame.right, low, HAIR),
        "top": Line(LineKind.CHECK, left, frame.top, right, frame.top, HAIR),
        "bottom": Line(LineKind.CHECK, left, frame.bottom, right, frame.bottom, HAIR),
    }


@pytest.mark.parametrize(
    ("paper", "size"),
    [
        (LETTER, Size(inches(6), inches(9))),
        (A4, Size(mm(150), mm(250))),
        (LETTER.landscape, Size(inches(9), inches(6))),
        (find_paper("A5"), Size(mm(100), mm(170))),
    ],
    ids=lambda value: getattr(value, "name", ""),
)
def test_the_frame_stands_in_the_middle_at_its_size(paper, size):
    frame = measuring_frame(paper)
    assert frame.size == size
    assert frame.left + frame.right == paper.size.width
    assert frame.top + frame.bottom == paper.size.height


@pytest.mark.parametrize("engine", Engine, ids=lambda engine: engine.value)
@pytest.mark.parametrize("paper", [LETTER, A4], ids=lambda paper: paper.name)
def test_the_frame_is_printed_where_it_belongs(paper, engine, tmp_path):
    write_test_page("kitchen", paper, tmp_path / "t.pdf")
    dark = rendered_darkness(tmp_path / "t.pdf", 600, engine)
    for line in _sides(measuring_frame(paper)).values():
        assert abs(line_offset_mm(dark, 600, line)) < NEAR_MM


@pytest.mark.parametrize("engine", Engine, ids=lambda engine: engine.value)
def test_what_a_ruler_reads_of_an_uneven_printer_brings_its_frame_back(engine, tmp_path):
    """The printer's rule, x to scale x + offset, is done here to what was found in the corrected file."""
    frame = measuring_frame(LETTER)
    read = Readings(inches("5.9"), inches("9.2"), inches("1.35"), inches("0.95"))
    printer = Printer("kitchen", Margins.even(inches("1/4"))).measured(frame, read)
    write_test_page("kitchen", LETTER, tmp_path / "t.pdf", correction=correction_for(printer))
    dark = rendered_darkness(tmp_path / "t.pdf", 600, engine)
    for side, line in _sides(frame).items():
        upright = side in ("left", "right")
        scale, offset = (5.9 / 6, 1.35 - 1.25 * 5.9 / 6) if upright else (9.2 / 9, 0.95 - 9.2 / 9)
        true = line.x0.inches if upright else line.y0.inches
        sent = inches(f"{(true - offset) / scale:.6f}")
        moved = (
            Line(line.kind, sent, line.y0, sent, line.y1, HAIR)
            if upright
            else Line(line.kind, line.x0, sent, line.x1, sent, HAIR)
        )
        found = sent.inches + line_offset_mm(dark, 600, moved) / 25.4
        assert abs(scale * found + offset - true) * 25.4 < NEAR_MM


def test_the_edge_rulers_start_at_the_very_edge_and_say_how_far_in_they_are(tmp_path):
    write_test_page("kitchen", LETTER, tmp_path / "t.pdf")
    dark = rendered_darkness(tmp_path / "t.pdf", 600, Engine.PYMUPDF)
    middle = dark[:, dark.shape[1] // 2]
    for sixteenths in (1, 4, 8, 12):
        row = sixteenths * 600 / 16
        assert middle[int(row) - 1 : int(row) + 2].max() > 0.3, sixteenths
    with pymupdf.open(tmp_path / "t.pdf") as document:
        words = document[0].get_text()
    assert words.count("¼") >= 4 or words.count("1⁄4") + words.count("¹⁄₄") >= 4


def _fills(page: pymupdf.Page, height: float) -> list[int]:
    """The greys of filled boxes of a height, in hundredths of white."""
    return [
        round(drawing["fill"][0] * 100)
        for drawing in page.get_drawings()
        if drawing.get("fill") and abs(drawing["rect"].height - height) < 0.01
    ]


def test_the_ladder_of_greys_has_eleven_even_steps_and_small_ones_at_both_ends(tmp_path):
    write_test_page("kitchen", LETTER, tmp_path / "t.pdf")
    with pymupdf.open(tmp_path / "t.pdf") as document:
        assert _fills(document[0], 30) == list(range(100, -1, -10))
        assert _fills(document[0], 16) == [99, 98, 97, 96, 95, 94, 1, 2, 3, 4, 5, 6]


PAPERS = [
    LETTER,
    A4,
    LETTER.landscape,
    SQUARE_12,
    *(find_paper(name) for name in ("legal", "A3", "A5", "4 x 6 in")),
]


@pytest.mark.parametrize("paper", PAPERS, ids=lambda paper: paper.name)
@pytest.mark.parametrize("name", ["kitchen", "the large printer under the stairs"])
def test_what_stands_in_the_frame_keeps_clear_of_it_and_of_each_other(paper, name, tmp_path):
    write_test_page(name, paper, tmp_path / "t.pdf")
    frame = measuring_frame(paper)
    inside = pymupdf.Rect(*(side.points for side in (frame.left, frame.top, frame.right, frame.bottom)))
    with pymupdf.open(tmp_path / "t.pdf") as document:
        page = document[0]
        words = [pymupdf.Rect(word[:4]) for word in page.get_text("words")]
        boxes = [drawing["rect"] for drawing in page.get_drawings() if drawing.get("fill")]
    within = [rect for rect in words if inside.intersects(rect)]
    assert len(within) > 20
    room = pymupdf.Rect(inside.x0 + 6, inside.y0 + 6, inside.x1 - 6, inside.y1 - 6)
    for rect in [*within, *boxes]:
        assert room.contains(rect), rect
    for one, other in combinations(within, 2):
        shared = one & other
        assert shared.is_empty or shared.height < 0.4 * min(one.height, other.height), (one, other)


@pytest.mark.parametrize("paper", [LETTER, A4, LETTER.landscape], ids=lambda paper: paper.name)
def test_the_frame_is_filled_to_its_lower_end_with_all_ladders(paper, tmp_path):
    write_test_page("kitchen", paper, tmp_path / "t.pdf")
    frame = measuring_frame(paper)
    with pymupdf.open(tmp_path / "t.pdf") as document:
        page = document[0]
        words = page.get_text()
        lowest = max(rect[3] for rect in page.get_text("words") if rect[3] < frame.bottom.points)
    for part in ("1. Measure the frame", "2. See where", "Fine lines", "Letters", "Greys"):
        assert part in words
    assert frame.bottom.points - lowest < 60


def test_a_page_that_makes_up_for_what_was_measured_asks_for_no_numbers(tmp_path):
    read = Readings(inches("5.9"), inches("9.2"), inches("1.35"), inches("0.95"))
    printer = Printer("kitchen", Margins.even(inches("1/4"))).measured(measuring_frame(LETTER), read)
    write_test_page("kitchen", LETTER, tmp_path / "t.pdf", correction=correction_for(printer))
    with pymupdf.open(tmp_path / "t.pdf") as document:
        words = " ".join(document[0].get_text().split())
    assert "kitprep printer measured" not in words
    assert "not for measuring again" in words
    assert "6 in wide and 9 in high" in words


def test_the_page_names_the_printer_and_the_command_to_type(tmp_path):
    write_test_page("kitchen", A4, tmp_path / "t.pdf")
    with pymupdf.open(tmp_path / "t.pdf") as document:
        words = " ".join(document[0].get_text().split())
    assert "Test page for kitchen" in words
    assert "kitprep printer measured kitchen --width" in words
    assert "150 mm" in words
    assert "250 mm" in words


def test_it_prints_at_true_size_and_is_the_same_each_time(tmp_path):
    for name in ("a.pdf", "b.pdf"):
        write_test_page("kitchen", LETTER, tmp_path / name)
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()
    with pikepdf.open(tmp_path / "a.pdf") as pdf:
        assert pdf.Root.ViewerPreferences.PrintScaling == pikepdf.Name("/None")
        assert pdf.check_pdf_syntax() == []
