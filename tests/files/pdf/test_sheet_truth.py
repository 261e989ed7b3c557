"""What is on a written sheet, measured in pixels by two renderers, against where it was planned."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from drawn_sheets import (
    QUARTER,
    crop,
    dark_page,
    jpeg_bytes,
    jpeg_picture,
    lively_page,
    plain_picture,
    two_by_two,
)
from measure import Engine, darkness, line_ends_mm, line_offset_mm, psnr_db, rendered, spot_mm

from kitprep.files.kit.placed import PlacedPicture
from kitprep.files.pdf import write_sheets
from kitprep.lengths import EMU_PER_POINT, ZERO, Box, Length, Size, inches, mm
from kitprep.pack import PackedSheet, Placement
from kitprep.pages import PixelBox
from kitprep.papers import LETTER
from kitprep.sheet import Line, LineKind, Sheet, SheetItem, lay_out

PPI = 300
NEAR_MM = 0.05
SPOTS = [(120 + 150 * column, 110 + 120 * row) for column in range(4) for row in range(4)]


@pytest.fixture(params=Engine, ids=lambda engine: engine.value)
def engine(request: pytest.FixtureRequest) -> Engine:
    return request.param


def _dark(sheet: Sheet, folder: Path, engine: Engine, ppi: int = PPI) -> np.ndarray:
    pdf = folder / "sheet.pdf"
    write_sheets([sheet], lambda _: (), pdf, title="t", overwrite=True)
    return darkness(rendered(pdf, ppi, engine))


def _lone(lines: tuple[Line, ...]) -> list[Line]:
    """Lines whose ends no other line touches."""
    return [
        line
        for line in lines
        if not any(other is not line and line.box.grown(mm("0.6")).overlaps(other.box) for other in lines)
    ]


def test_lone_marks_end_where_they_should(engine, tmp_path):
    sheet = two_by_two(LETTER, inches("1/8"), trimmer=True)
    dark = _dark(sheet, tmp_path, engine)
    ends = [abs(end) for line in _lone(sheet.lines) for end in line_ends_mm(dark, PPI, line)]
    assert len(ends) >= 16
    assert max(ends) < NEAR_MM


def test_cut_marks_point_at_the_corners_of_the_trim(engine, tmp_path):
    """Found in the pixels and carried on, the marks of a piece cross at its trim's corners."""
    sheet = two_by_two(LETTER, inches("1/8"), trimmer=False)
    dark = _dark(sheet, tmp_path, engine)
    trim = sheet.pieces[0].trim
    for x in (trim.left, trim.right):
        start = trim.top - inches("1/8")
        mark = Line(LineKind.CUT_MARK, x, start - inches("3/16"), x, start, Length(EMU_PER_POINT // 4))
        assert abs(line_offset_mm(dark, PPI, mark)) < NEAR_MM
    for y in (trim.top, trim.bottom):
        start = trim.left - inches("1/8")
        mark = Line(LineKind.CUT_MARK, start - inches("3/16"), y, start, y, Length(EMU_PER_POINT // 4))
        assert abs(line_offset_mm(dark, PPI, mark)) < NEAR_MM


def test_pictures_land_where_their_pieces_are_upright_and_turned(engine, tmp_path):
    page = jpeg_picture(jpeg_bytes(dark_page((900, 700), SPOTS)))
    trim, bleed = Size(inches(2), inches("1 1/2")), inches("1/8")
    sheet = two_by_two(LETTER, bleed, trimmer=False, artwork=crop(trim, bleed, 60, 50))
    pdf = tmp_path / "sheet.pdf"
    write_sheets([sheet], lambda _: (page,), pdf)
    dark = darkness(rendered(pdf, PPI, engine))
    seen = 0
    for piece in sheet.pieces:
        for x_px, y_px in SPOTS:
            right, down = Length((x_px - 60) * 3048), Length((y_px - 50) * 3048)  # EMU of 1/300 in
            if not (mm(1) < right < trim.width - mm(1) and mm(1) < down < trim.height - mm(1)):
                continue
            x, y = piece.trim.left + right, piece.trim.top + down
            if piece.turned:
                x, y = piece.trim.right - down, piece.trim.top + right
            off = spot_mm(dark, PPI, x, y, 12)
            assert max(map(abs, off)) < NEAR_MM, (piece.turned, off)
            seen += 1
    assert seen >= 40


def test_pictures_fill_trim_and_bleed_and_nothing_else(engine, tmp_path):
    page = jpeg_picture(jpeg_bytes(dark_page((900, 700), [])))
    trim, bleed = Size(inches(2), inches("1 1/2")), inches("1/8")
    sheet = two_by_two(LETTER, bleed, trimmer=False, artwork=crop(trim, bleed, 60, 50))
    pdf = tmp_path / "sheet.pdf"
    write_sheets([sheet], lambda _: (page,), pdf)
    dark = darkness(rendered(pdf, PPI, engine))
    for piece in sheet.pieces:
        box = piece.bleed_box
        middle = Length((box.top + box.bottom).emu // 2)
        edges = Line(LineKind.OUTLINE, box.left, middle, box.right, middle, mm(1))
        assert (
            max(map(abs, line_ends_mm(dark, PPI, edges))) < 0.1
        )  # a clip edge may be moved to a whole pixel


def _whole_page(picture: PlacedPicture, pdf: Path) -> np.ndarray:
    """Write a page of 600 x 600 px at 300 PPI, 1 in from the sheet's edges; its own pixels."""
    trim = Size(inches(2), inches(2))
    item = SheetItem("tag", "kit/p01-01", crop(trim, ZERO, 0, 0))
    place = Placement(0, Box.at(inches(1), inches(1), trim), ZERO, False)
    sheet = lay_out(PackedSheet((place,), ()), [item], paper=LETTER, margins=QUARTER, number=1, total=1)
    write_sheets([sheet], lambda _: (picture,), pdf)
    return picture.read(PixelBox(0, 0, 600, 600))


def test_a_picture_at_300_ppi_is_rendered_at_300_ppi_as_its_own_pixels(tmp_path):
    pdf = tmp_path / "sheet.pdf"
    source = _whole_page(plain_picture(lively_page((600, 600))), pdf)
    assert np.array_equal(rendered(pdf, PPI, Engine.PYMUPDF)[300:900, 300:900], source)


def test_a_second_engine_that_smooths_shows_the_picture_above_45_db(tmp_path):
    pdf = tmp_path / "sheet.pdf"
    source = _whole_page(jpeg_picture(jpeg_bytes(lively_page((600, 600), grain=0), quality=98)), pdf)
    shown = rendered(pdf, PPI, Engine.PYPDFIUM2)[300:900, 300:900]
    assert psnr_db(shown[1:-1, 1:-1], source[1:-1, 1:-1]) > 45
