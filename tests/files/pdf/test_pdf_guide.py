"""The written cut guide."""

from __future__ import annotations

from functools import cache

import pikepdf
import pymupdf
import pytest
from drawn_sheets import QUARTER, two_by_two

from kitprep.files.pdf import write_guide
from kitprep.lengths import ZERO, Size, Unit, inches
from kitprep.pack import CutMode, PackItem, pack
from kitprep.papers import A4, LETTER
from kitprep.sheet import Sheet, SheetItem, check_strip, lay_out


@cache
def _many(paper=LETTER) -> list[Sheet]:
    items = [PackItem(f"seed label {n}", Size(inches(1), inches("3/4")), 8, ZERO, True) for n in range(5)]
    packing = pack(items, paper, check_strip(paper, QUARTER), gap=inches("1/8"), mode=CutMode.TRIMMER)
    return [
        lay_out(
            sheet, [SheetItem(item.name) for item in items], paper=paper, margins=QUARTER, number=1, total=1
        )
        for sheet in packing.sheets
    ]


def _words(pdf) -> str:
    with pymupdf.open(pdf) as document:
        return "\n".join(page.get_text() for page in document)


def test_the_guide_has_every_cut_with_its_fence_and_a_caution(tmp_path):
    sheets = _many()
    write_guide(sheets, tmp_path / "guide.pdf", title="Harvest supper card", credit="Quillmoss")
    words = _words(tmp_path / "guide.pdf")
    assert "Harvest supper card" in words
    assert "manual first" in words
    assert "children" in words
    for cut in sheets[0].cuts:
        assert f"\n{cut.number}\n" in words
        assert f"{cut.fence.mm:.0f}"[:2] in words


def test_no_word_of_the_guide_lies_outside_its_margins(tmp_path):
    write_guide(_many(), tmp_path / "guide.pdf", title="Harvest supper card")
    with pymupdf.open(tmp_path / "guide.pdf") as document:
        assert len(document) > 1
        for page in document:
            inside = pymupdf.Rect(36, 36, page.rect.x1 - 36, page.rect.y1 - 36)
            assert all(inside.contains(pymupdf.Rect(word[:4])) for word in page.get_text("words"))


def test_no_two_words_of_the_guide_s_tables_overlap(tmp_path):
    write_guide([two_by_two(LETTER, ZERO, trimmer=True)], tmp_path / "guide.pdf", title="Harvest supper card")
    with pymupdf.open(tmp_path / "guide.pdf") as document:
        found = [word[:4] for word in document[0].get_text("words")]
        words = [pymupdf.Rect(x0 + 0.2, y0 + 3, x1 - 0.2, y1 - 3) for x0, y0, x1, y1 in found]
    clashes = [(a, b) for i, a in enumerate(words) for b in words[:i] if a.intersects(b)]
    assert not clashes


@pytest.mark.parametrize(("unit", "paper"), [(Unit.INCH, LETTER), (Unit.MM, A4)])
def test_the_guide_speaks_the_unit_it_is_given_on_the_paper_of_that_unit(unit, paper, tmp_path):
    write_guide([two_by_two(A4, ZERO, trimmer=True)], tmp_path / "guide.pdf", unit=unit)
    with pikepdf.open(tmp_path / "guide.pdf") as pdf:
        assert float(pdf.pages[0].MediaBox[2]) == pytest.approx(paper.size.width.points, abs=1e-5)
    assert "in\n" if unit is Unit.INCH else "mm\n" in _words(tmp_path / "guide.pdf")


def test_a_guide_for_scissors_shows_the_pieces_and_no_cuts(tmp_path):
    write_guide([two_by_two(A4, ZERO, trimmer=False)], tmp_path / "guide.pdf")
    words = _words(tmp_path / "guide.pdf")
    assert "picker's tag" in words
    assert "in this order" not in words


def test_equal_guides_have_equal_bytes(tmp_path):
    for name in ("one.pdf", "two.pdf"):
        write_guide(_many(), tmp_path / name, title="t", credit="c")
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()
