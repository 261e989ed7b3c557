"""What ``sheet`` writes beside one PDF: backs, a file for each paper, cut lines, pictures of pages."""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree

import pikepdf
import pytest
from PIL import Image

from tests.cli.conftest import Run

TWO_PAPERS = """
title = "Supper"
back = "p01-02"
flip = "short"
misregistration = "1/8 in"

[[piece]]
label = "paper"
element = "p01-01"
size = "3 x 2"

[[piece]]
label = "plain"
element = "p01-03"
size = "1 in wide"
back = "none"

[[piece]]
label = "tag"
element = "p01-02"
size = "40 mm wide"
paper = "A4"
back = "p01-01"
"""


@pytest.fixture
def two_papers(kit: Path, tmp_path: Path) -> Path:
    path = tmp_path / "two.toml"
    path.write_text(TWO_PAPERS, encoding="utf-8")
    return path


def test_each_paper_has_a_pdf_of_its_own_with_backs_after_fronts(
    two_papers: Path, run: Run, tmp_path: Path
) -> None:
    answer = run("sheet", str(two_papers), "-o", str(tmp_path / "s.pdf"), "--json").json
    assert [Path(pdf["file"]).name for pdf in answer["pdfs"]] == ["s-letter.pdf", "s-a4.pdf"]
    assert not (tmp_path / "s.pdf").exists()
    assert [(sheet["page"], sheet["back_page"]) for sheet in answer["sheets"]] == [(1, 2), (1, 2)]
    sizes = [(612, 792), (595.2756, 841.8898)]
    for pdf, size in zip(answer["pdfs"], sizes, strict=True):
        with pikepdf.open(pdf["file"]) as opened:
            assert opened.Root.ViewerPreferences.Duplex == pikepdf.Name("/DuplexFlipShortEdge")
            for page in opened.pages:
                assert [float(side) for side in page.MediaBox[2:]] == pytest.approx(size, abs=1e-3)
    assert [piece["back"] for piece in answer["pieces"]] == ["dusk-row/p01-02", None, "dusk-row/p01-01"]


def test_a_piece_with_a_back_has_bleed_for_the_printer_s_misregistration_too(
    two_papers: Path, run: Run, tmp_path: Path
) -> None:
    answer = run("sheet", str(two_papers), "-o", str(tmp_path / "s.pdf"), "--json").json
    bleeds = {place["label"]: place["bleed"] for place in answer["sheets"][0]["placements"]}
    assert bleeds == {"paper": 0.1875, "plain": 0.0625}  # 1/16 and 1/8 in; 1/16 in alone


def test_one_back_for_all_is_asked_for_on_the_command_line(kit: Path, run: Run, tmp_path: Path) -> None:
    words = ("--piece", "p01-01, 3 x 2, 1", "--back", "p01-02", "--flip", "long")
    answer = run("sheet", *words, "-o", str(tmp_path / "s.pdf"), "--json").json
    assert answer["pieces"][0]["back"] == "dusk-row/p01-02"
    with pikepdf.open(tmp_path / "s.pdf") as pdf:
        assert len(pdf.pages) == 2
        assert pdf.Root.ViewerPreferences.Duplex == pikepdf.Name("/DuplexFlipLongEdge")
    assert run("sheet", *words, "--flip", "wide", "-o", str(tmp_path / "t.pdf")).code == 2
    assert run("sheet", *words, "--back", "p01-99", "-o", str(tmp_path / "t.pdf")).code == 4


def test_margins_of_a_sheet_with_backs_hold_for_both_sides(kit: Path, run: Run, tmp_path: Path) -> None:
    words = ("--piece", "p01-01, 3 x 2, 1", "--back", "p01-02", "--margin", "1/8, 1/4, 3/8, 1/2 in")
    for flip, margin in (("long", [0.375, 0.25, 0.375, 0.5]), ("short", [0.125, 0.5, 0.375, 0.5])):
        out = str(tmp_path / f"{flip}.pdf")
        assert run("sheet", *words, "--flip", flip, "-o", out, "--json").json["sheets"][0]["margin"] == margin


def test_a_blank_with_a_back_is_refused_with_its_line(kit: Path, run: Run, tmp_path: Path) -> None:
    (tmp_path / "b.toml").write_text('[[piece]]\nsize = "3 x 2"\nback = "p01-01"\n', encoding="utf-8")
    ran = run("sheet", str(tmp_path / "b.toml"), "-o", str(tmp_path / "s.pdf"))
    assert ran.code == 3
    assert "line 3: a blank has no back; make the back its element" in ran.err


def test_cut_lines_and_pictures_of_pages_are_numbered_by_sheet(
    two_papers: Path, run: Run, tmp_path: Path
) -> None:
    words = ("--cut-lines", str(tmp_path / "c.svg"), "--page-previews", str(tmp_path / "p.png"))
    answer = run("sheet", str(two_papers), *words, "--preview-ppi", "50", "-o", "s.pdf", "--json").json
    assert [Path(path).name for path in answer["cut_lines"]] == ["c-1.svg", "c-2.svg"]
    names = ["p-1.png", "p-1-back.png", "p-2.png", "p-2-back.png"]
    assert [Path(path).name for path in answer["page_previews"]] == names
    with Image.open(tmp_path / "p-1.png") as page:
        assert page.size == (425, 550)
    root = ElementTree.parse(tmp_path / "c-2.svg").getroot()
    assert (root.get("width"), root.get("height")) == ("210mm", "297mm")


def test_a_single_sheet_keeps_the_names_as_they_were_given(kit: Path, run: Run, tmp_path: Path) -> None:
    words = ("--cut-lines", str(tmp_path / "c.svg"), "--page-previews", str(tmp_path / "p.png"))
    assert run("sheet", "--piece", "p01-01, 3 x 2, 1", *words, "-o", str(tmp_path / "s.pdf")).code == 0
    assert {"c.svg", "p.png", "s.pdf"} <= {path.name for path in tmp_path.iterdir()}


@pytest.mark.parametrize(
    "words", [("--cut-lines", "c.txt"), ("--page-previews", "p.jpg"), ("--preview-ppi", "5000")]
)
def test_outputs_that_cannot_be_are_refused_before_any_work(
    kit: Path, run: Run, words: tuple[str, str]
) -> None:
    ran = run("sheet", "--piece", "p01-01, 3 x 2, 1", *words, "-o", "s.pdf")
    assert ran.code == 2
    assert words[0] in ran.err
    assert not Path("s.pdf").exists()


def test_where_one_output_of_many_is_in_the_way_none_is_written(
    two_papers: Path, run: Run, tmp_path: Path
) -> None:
    (tmp_path / "c-2.svg").write_text("mine", encoding="utf-8")
    before = sorted(path.name for path in tmp_path.iterdir())
    ran = run("sheet", str(two_papers), "--cut-lines", str(tmp_path / "c.svg"), "-o", str(tmp_path / "s.pdf"))
    assert ran.code == 3
    assert "c-2.svg" in ran.err
    assert sorted(path.name for path in tmp_path.iterdir()) == before


def test_an_original_that_was_altered_on_disk_is_refused_and_nothing_is_written(
    kit: Path, run: Run, tmp_path: Path
) -> None:
    """One byte of the picture's own data, so that its size and date tell nothing."""
    (original,) = (kit / "kits" / "dusk-row" / "originals").rglob("*.jpg")
    original.chmod(0o644)
    content = bytearray(original.read_bytes())
    content[len(content) // 2] ^= 1
    original.write_bytes(content)
    ran = run("sheet", "--piece", "p01-01, 3 x 2, 1", "-o", str(tmp_path / "s.pdf"))
    assert ran.code == 3
    assert "page-1.jpg" in ran.err
    assert not (tmp_path / "s.pdf").exists()


def _all_outputs(folder: Path) -> dict[str, Path]:
    return {
        "-o": folder / "s.pdf",
        "--preview": folder / "all.png",
        "--page-previews": folder / "page.png",
        "--guide": folder / "guide.pdf",
        "--cut-lines": folder / "cut.svg",
    }


@pytest.mark.skipif(sys.platform == "win32", reason="limits of a process are of POSIX")
@pytest.mark.parametrize("most", [200, 8_000, 40_000, 100_000])
def test_where_the_system_cuts_a_file_short_the_output_is_named_and_none_appears(
    most: int, kit: Path, run: Run, tmp_path: Path
) -> None:
    """No file may be longer than `most` bytes; which of the outputs that stops depends on it."""
    import resource

    folder = tmp_path / "out"
    folder.mkdir()
    outputs = _all_outputs(folder)
    words = [str(word) for pair in outputs.items() for word in pair]
    run("check", "p01-01")  # measured before, so that only outputs are written
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (most, hard))
    try:
        ran = run("sheet", "--piece", "p01-01, 3 x 2, 2", *words)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert ran.code == 3, ran.err
    assert any(f"'{path}' cannot be written" in ran.err for path in outputs.values())
    assert list(folder.iterdir()) == []


@pytest.fixture
def small_disk() -> Iterator[Path]:
    """A disk of 256 kB of its own."""
    with tempfile.TemporaryDirectory() as name:
        made = ["mount", "-t", "tmpfs", "-o", "size=256k", "tmpfs", name]
        if shutil.which("mount") is None or subprocess.run(made, capture_output=True).returncode:
            pytest.skip("only a superuser who may mount a disk can fill one up")
        try:
            yield Path(name)
        finally:
            subprocess.run(["umount", name], check=True)


def test_a_disk_that_fills_up_is_named_and_what_was_there_stays(
    kit: Path, run: Run, small_disk: Path
) -> None:
    outputs = _all_outputs(small_disk)
    outputs["-o"].write_bytes(b"mine")
    words = [str(word) for pair in outputs.items() for word in pair]
    ran = run("sheet", "--piece", "p01-01, 3 x 2, 2", "--overwrite", *words)
    assert ran.code == 3, ran.err
    assert "no space left" in ran.err
    assert ".kitprep" not in ran.err
    assert [path.name for path in small_disk.iterdir()] == ["s.pdf"]
    assert outputs["-o"].read_bytes() == b"mine"


def test_letters_go_on_from_paper_to_paper(two_papers: Path, run: Run, tmp_path: Path) -> None:
    import pymupdf

    run("sheet", str(two_papers), "-o", str(tmp_path / "s.pdf"))
    words = ""
    for name in ("s-letter.pdf", "s-a4.pdf"):
        with pymupdf.open(tmp_path / name) as document:
            words += document[0].get_text()
    assert all(label in words for label in ("A  paper", "B  plain", "C  tag"))
