"""Cut and fold lines as SVG 1.1: read by an XML parser and drawn by a renderer that we did not write.

The grammar that every file is held to is written here from the W3C's SVG 1.1, second edition: as much of its
document type as these files use, with what it allows in each element. The W3C's own is not in the repository;
it is used beside where Debian's package w3c-sgml-lib is installed, or where ``SVG_DTD`` names its svg11.dtd.
"""

from __future__ import annotations

import os
import re
from io import StringIO
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pymupdf
import pytest
from drawn_sheets import QUARTER, two_by_two
from lxml import etree

from kitprep.errors import OutputExists
from kitprep.files.svg import write_cut_lines
from kitprep.lengths import ZERO, Box, Length, Size, inches, mm
from kitprep.pack import PackedSheet, Placement
from kitprep.papers import A4, LETTER
from kitprep.piece.artwork import Artwork
from kitprep.sheet import Sheet, SheetItem, lay_out

SVG = "{http://www.w3.org/2000/svg}"
TRIANGLE = ((0.0, 144.0), (72.0, 0.0), (144.0, 144.0))


# Elements and attributes: svg 5.1, g 5.2, title 5.4, path 8.2; painting attributes 11.3 and 11.4; the document
# type in appendix A (numbers but those of chapter 8 from memory, not checked). `d` is required; ids are of the
# type ID, so that each may stand in a file only once.
GRAMMAR = """
<!ELEMENT svg (title | g | path)*>
<!ATTLIST svg xmlns CDATA #FIXED "http://www.w3.org/2000/svg" version CDATA #FIXED "1.1"
              width CDATA #REQUIRED height CDATA #REQUIRED viewBox CDATA #REQUIRED>
<!ELEMENT g (title | g | path)*>
<!ATTLIST g id ID #IMPLIED fill CDATA #IMPLIED stroke CDATA #IMPLIED stroke-width CDATA #IMPLIED
            stroke-dasharray CDATA #IMPLIED>
<!ELEMENT path (title)*>
<!ATTLIST path id ID #IMPLIED d CDATA #REQUIRED>
<!ELEMENT title (#PCDATA)>
"""
NUMBER = r"-?\d+(\.\d+)?"
PATH_DATA = re.compile(rf"M {NUMBER} {NUMBER}( L {NUMBER} {NUMBER})+( Z)?")
"""What these files use of the grammar for path data, 8.3.9."""
W3C_DTD = Path(
    os.environ.get("SVG_DTD", "/usr/share/xml/w3c-sgml-lib/schema/dtd/REC-SVG11-20110816/svg11.dtd")
)


def _sheets() -> dict[str, Sheet]:
    return {
        "rectangles with folds": two_by_two(LETTER, ZERO, trimmer=True, scores=(inches("1/2"),)),
        "rectangles": two_by_two(A4, inches("1/8"), trimmer=False),
        "a cut-out": _triangle(turned=True),
    }


def _triangle(*, turned: bool) -> Sheet:
    size = Size(inches(2), inches(2))
    art = Artwork(size, ZERO, "page", (), outline=TRIANGLE)
    place = Placement(0, Box.at(inches(3), inches(4), size), ZERO, turned)
    item = SheetItem("a & <b>", artwork=art)
    return lay_out(PackedSheet((place,), ()), [item], paper=LETTER, margins=QUARTER, number=1, total=1)


def _groups(path: Path) -> dict[str, list[list[tuple[float, float]]]]:
    root = ElementTree.parse(path).getroot()
    return {
        group.get("id", ""): [
            [(float(x), float(y)) for x, y in re.findall(r"[ML] (\S+) (\S+)", line.get("d", ""))]
            for line in group.findall(f"{SVG}path")
        ]
        for group in root.findall(f"{SVG}g")
    }


@pytest.mark.parametrize("paper", [LETTER, A4], ids=lambda paper: paper.name)
def test_it_is_as_large_as_its_paper_in_millimetres(paper, tmp_path):
    write_cut_lines(two_by_two(paper, ZERO, trimmer=True), tmp_path / "a.svg")
    root = ElementTree.parse(tmp_path / "a.svg").getroot()
    wide, tall = paper.size.width.mm, paper.size.height.mm
    assert (root.tag, root.get("version")) == (f"{SVG}svg", "1.1")
    assert [root.get("width"), root.get("height")] == [f"{wide:g}mm", f"{tall:g}mm"]
    assert root.get("viewBox") == f"0 0 {wide:g} {tall:g}"


def test_cuts_and_folds_are_two_named_groups_with_a_line_for_each_piece(tmp_path):
    sheet = two_by_two(LETTER, ZERO, trimmer=True, scores=(inches("1/2"),))
    write_cut_lines(sheet, tmp_path / "a.svg")
    groups = _groups(tmp_path / "a.svg")
    assert list(groups) == ["cut", "fold"]
    assert len(groups["cut"]) == len(groups["fold"]) == 4
    trim = sheet.pieces[0].trim
    assert groups["cut"][0][0] == pytest.approx((trim.left.mm, trim.top.mm), abs=1e-4)
    assert groups["fold"][0] == [
        pytest.approx(((trim.left + inches("1/2")).mm, y.mm), abs=1e-4) for y in (trim.top, trim.bottom)
    ]
    turned = sheet.pieces[1].trim
    at = (turned.top + inches("1/2")).mm
    assert [y for _, y in groups["fold"][1]] == pytest.approx([at, at], abs=1e-4)


@pytest.mark.parametrize("kind", list(_sheets()))
def test_it_has_nothing_that_svg_1_1_does_not_allow(kind, tmp_path):
    write_cut_lines(_sheets()[kind], tmp_path / "a.svg")
    grammar = etree.DTD(StringIO(GRAMMAR))
    tree = etree.parse(str(tmp_path / "a.svg"))
    assert grammar.validate(tree), grammar.error_log
    lines = list(tree.iter(f"{SVG}path"))
    assert lines
    for line in lines:
        assert PATH_DATA.fullmatch(line.get("d")), line.get("d")


@pytest.mark.skipif(not W3C_DTD.exists(), reason="the W3C's document type is not on this machine")
@pytest.mark.parametrize("kind", list(_sheets()))
def test_it_is_valid_by_the_w3c_s_document_type(kind, tmp_path):
    write_cut_lines(_sheets()[kind], tmp_path / "a.svg")
    valid = etree.DTD(str(W3C_DTD))
    assert valid.validate(etree.parse(str(tmp_path / "a.svg"))), valid.error_log


def test_a_cut_out_is_cut_along_its_outline_upright_and_turned(tmp_path):
    for turned, tip in ((False, (4, 4)), (True, (5, 5))):
        write_cut_lines(_triangle(turned=turned), tmp_path / "a.svg", overwrite=True)
        (line,) = _groups(tmp_path / "a.svg")["cut"]
        assert len(line) == 3
        assert line[1] == pytest.approx((tip[0] * 25.4, tip[1] * 25.4), abs=1e-3)


def test_a_name_with_signs_of_xml_is_kept_as_a_title(tmp_path):
    write_cut_lines(_triangle(turned=False), tmp_path / "a.svg")
    root = ElementTree.parse(tmp_path / "a.svg").getroot()
    assert [title.text for title in root.iter(f"{SVG}title")][1] == "A a & <b>"


def test_a_renderer_draws_the_lines_at_true_size(tmp_path):
    """MuPDF takes the size from the millimetres: 25.4 of them are 72 of its points."""
    sheet = two_by_two(A4, ZERO, trimmer=True)
    write_cut_lines(sheet, tmp_path / "a.svg")
    with pymupdf.open(tmp_path / "a.svg") as document:
        page = document[0]
        assert page.rect.width == pytest.approx(A4.size.width.points, abs=0.1)
        assert page.rect.height == pytest.approx(A4.size.height.points, abs=0.1)
        scale = 600 / 72
        pixmap = page.get_pixmap(matrix=pymupdf.Matrix(scale, scale), alpha=False, colorspace=pymupdf.csGRAY)
    picture = 255 - np.frombuffer(pixmap.samples, np.uint8).reshape(pixmap.height, pixmap.width)
    middle = int((sheet.pieces[0].trim.top + mm(5)).pixels(600))
    row = picture[middle].astype(float)
    for x in (sheet.pieces[0].trim.left, sheet.pieces[0].trim.right):
        at = x.pixels(600)
        around = np.arange(int(at) - 6, int(at) + 7)
        centre = (row[around] * (around + 0.5)).sum() / row[around].sum()
        assert abs(centre - at) / 600 * 25.4 < 0.05


def test_equal_sheets_give_equal_bytes_and_a_file_that_is_there_is_kept(tmp_path):
    sheet = two_by_two(LETTER, Length(0), trimmer=True)
    for name in ("a.svg", "b.svg"):
        write_cut_lines(sheet, tmp_path / name)
    assert (tmp_path / "a.svg").read_bytes() == (tmp_path / "b.svg").read_bytes()
    with pytest.raises(OutputExists):
        write_cut_lines(sheet, tmp_path / "a.svg")
