"""The printer's test page, measured by two renderers, and the correction that comes of it."""

from __future__ import annotations

import pikepdf
import pymupdf
import pytest
from measure import Engine, line_offset_mm, rendered_darkness

from kitprep.files.pdf import write_test_page
from kitprep.files.shelf import Printer, Readings
from kitprep.jobs.printing import correction_for
from kitprep.lengths import EMU_PER_POINT, Length, Size, inches, mm
from kitprep.papers import A4, LETTER, Margins, find_paper
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


def test_the_ladder_of_greys_has_eleven_even_steps(tmp_path):
    write_test_page("kitchen", LETTER, tmp_path / "t.pdf")
    with pymupdf.open(tmp_path / "t.pdf") as document:
        fills = [drawing["fill"] for drawing in document[0].get_drawings() if drawing.get("fill")]
    greys = [round(fill[0] * 100) for fill in fills]
    assert greys == list(range(100, -1, -10))


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
