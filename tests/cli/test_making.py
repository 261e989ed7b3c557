"""``check``, ``resize``, ``sheet``, ``card`` and ``printer``: words, codes, JSON, files."""

from __future__ import annotations

import os
from pathlib import Path

import pikepdf
import pytest
from PIL import Image

from tests.cli.conftest import Run

MAKELIST = """
title = "Supper"
margin = "1/4 in"
bleed = "1/16 in"

[[piece]]
label = "paper"
element = "p01-01"
size = "4 x 3"

[[piece]]
label = "tag"
element = "dusk-row/p01-02"
size = "1 1/2 in wide"
copies = 4

[[piece]]
label = "card base"
size = "8 1/2 x 5 1/2"
score = ["4 1/4"]
turn = false
"""


@pytest.fixture
def makelist(kit: Path, tmp_path: Path) -> Path:
    path = tmp_path / "supper.toml"
    path.write_text(MAKELIST, encoding="utf-8")
    return path


def test_check_gives_ppi_grade_and_largest_sizes(kit: Path, run: Run) -> None:
    checked = run("check", "p01-01", "--size", "6 in wide", "--json").json[0]
    assert checked["ppi"] == pytest.approx(200, abs=1)
    assert set(checked["largest"]) == {"crisp", "fine", "soft"}
    # The whole formula: pixels / (1 / (2 d tan(1/120 deg))) with d = 18 in for "fine".
    if checked["detail"] is None:
        assert checked["grade"] == "fine"
        assert checked["largest"]["fine"][0] == pytest.approx(1200 / 190.99, abs=0.02)


def test_strict_ends_with_5_where_a_piece_prints_blurry(kit: Path, run: Run) -> None:
    ran = run("check", "p01-03", "--size", "3 in wide", "--strict")
    assert ran.code == 5
    assert "blurry" in ran.out
    assert "fine" in ran.err
    assert run("check", "p01-03", "--size", "3 in wide").code == 0


def test_strict_passes_over_cautions_that_nothing_can_mend(kit: Path, run: Run) -> None:
    assert run("check", "p01-01", "--size", "1 in wide", "--strict").code == 0


def test_a_kit_is_checked_whole_by_its_name(kit: Path, run: Run) -> None:
    assert [one["id"] for one in run("check", "dusk-row", "--json").json] == [
        f"dusk-row/p01-{number:02d}" for number in range(1, 5)
    ]


def test_a_size_by_name_is_taken_and_a_slip_is_offered_the_nearest(kit: Path, run: Run) -> None:
    assert run("check", "p01-01", "--size", "A2 panel", "--json").json[0]["size"] == [4, 5.25]
    ran = run("check", "p01-01", "--size", "A2 pannel")
    assert ran.code == 2
    assert "A2 panel (4 x 5 1/4 in)" in ran.err


def test_several_elements_are_drawn_at_their_largest_fine_size_on_a_ruler_grid(
    kit: Path, run: Run, tmp_path: Path
) -> None:
    board = tmp_path / "board.png"
    checked = run("check", "dusk-row", "--picture", str(board), "--json").json
    with Image.open(board) as picture:
        across = picture.width / picture.info["dpi"][0]
    assert across > max(one["largest"]["fine"][0] for one in checked)
    assert run("check", "dusk-row", "--picture", str(board)).code == 3  # it is there
    assert run("check", "dusk-row", "--picture", str(board), "--overwrite").code == 0
    assert run("check", "dusk-row", "--picture", str(tmp_path / "board.txt")).code == 2


def test_one_element_is_drawn_beside_what_its_pixels_carry_at_true_print_scale(
    kit: Path, run: Run, tmp_path: Path
) -> None:
    evidence = tmp_path / "evidence.png"
    assert run("check", "p01-01", "--size", "4 in wide", "--picture", str(evidence)).code == 0
    pdf = tmp_path / "evidence.pdf"
    assert run("check", "p01-01", "--size", "4 in wide", "--picture", str(pdf)).code == 2
    assert not pdf.exists()
    with Image.open(evidence) as picture:
        assert round(picture.info["dpi"][0]) == 300
        assert picture.width > 2 * 2 * 300  # two prints of two inches side by side


def test_what_was_measured_once_is_known_and_a_page_that_is_gone_is_still_missed(
    kit: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = run("check", "dusk-row", "--json").json
    shelf = Path(os.environ["KITPREP_SHELF"])
    assert (shelf / "kits" / "dusk-row" / "cache" / "measured.json").exists()
    assert run("check", "dusk-row", "--json").json == first
    for original in (shelf / "kits" / "dusk-row" / "originals").iterdir():
        original.chmod(0o600)
        original.unlink()
    ran = run("check", "dusk-row")
    assert ran.code == 3
    assert ran.err.count(".\n") >= 1


def test_a_border_widens_the_piece_and_a_rectangle_has_none(kit: Path, run: Run, tmp_path: Path) -> None:
    out = str(tmp_path / "tag.png")
    ran = run("resize", "p01-01", "--size", "2 in wide", "--border", "1/8 in", "-o", out)
    assert ran.code == 2
    assert "cut-out only" in ran.err


def test_more_pixels_than_a_page_may_have_are_refused_before_they_are_made(
    kit: Path, run: Run, tmp_path: Path
) -> None:
    ran = run("resize", "p01-01", "--size", "48 in wide", "--ppi", "2400", "-o", str(tmp_path / "huge.png"))
    assert ran.code == 2
    assert "or less for 48 x" in ran.err


def test_check_takes_a_whole_make_list(makelist: Path, run: Run) -> None:
    ids = [one["id"] for one in run("check", str(makelist), "--json").json]
    assert ids == ["dusk-row/p01-01", "dusk-row/p01-02"]


@pytest.mark.parametrize("size", ["0 in wide", "-1 in wide", "60 in wide", "wide"])
def test_a_size_that_cannot_be_ends_with_2(kit: Path, run: Run, size: str) -> None:
    assert run("check", "p01-01", "--size", size).code == 2


def test_resize_writes_the_size_and_its_resolution(kit: Path, run: Run, tmp_path: Path) -> None:
    out = tmp_path / "tag.png"
    done = run("resize", "p01-02", "--size", "1 in wide", "-o", str(out), "--json").json
    with Image.open(out) as picture:
        assert list(picture.size) == done["size_px"]
        assert picture.info["dpi"] == pytest.approx(done["ppi"], abs=0.02)
        assert picture.width / picture.info["dpi"][0] == pytest.approx(1, abs=1e-3)
    assert run("resize", "p01-02", "--size", "1 in wide", "-o", str(out)).code == 3
    assert run("resize", "p01-02", "--size", "1 in wide", "-o", str(out), "--overwrite").code == 0
    assert run("resize", "p01-02", "--size", "1 in wide", "-o", str(tmp_path / "tag.gif")).code == 2


def test_more_pixels_than_there_are_is_made_when_asked_and_said(kit: Path, run: Run, tmp_path: Path) -> None:
    ran = run(
        "resize", "p01-03", "--size", "2 in wide", "--ppi", "300", "-o", str(tmp_path / "s.png"), "--json"
    )
    assert ran.json["size_px"][0] == 600
    assert "upscaled" in [warning["code"] for warning in ran.json["warnings"]]


def test_sheet_writes_pdf_preview_and_guide(makelist: Path, run: Run, tmp_path: Path) -> None:
    names = ("s.pdf", "s.png", "g.pdf")
    pdf, png, guide = (tmp_path / name for name in names)
    ran = run("sheet", str(makelist), "-o", str(pdf), "--preview", str(png), "--guide", str(guide), "--json")
    assert ran.code == 0
    answer = ran.json
    assert answer["pdf"] == str(pdf)
    assert [piece["copies"] for piece in answer["pieces"]] == [1, 4, 1]
    placed = [place["piece"] for sheet in answer["sheets"] for place in sheet["placements"]]
    assert sorted(placed) == [0, 1, 1, 1, 1, 2]
    with pikepdf.open(pdf) as opened:
        assert len(opened.pages) == len(answer["sheets"])
        assert opened.Root.ViewerPreferences.PrintScaling == pikepdf.Name("/None")
    with Image.open(png) as preview:
        assert min(preview.size) > 300
    with pikepdf.open(guide) as opened:
        assert len(opened.pages) >= 1


def test_a_base_as_wide_as_the_paper_gets_a_sheet_without_margins(
    makelist: Path, run: Run, tmp_path: Path
) -> None:
    answer = run("sheet", str(makelist), "-o", str(tmp_path / "s.pdf"), "--json").json
    plan = next(sheet for sheet in answer["sheets"] if sheet["placements"][0]["label"] == "card base")
    assert plan["margin"] == [0, 0, 0, 0]
    box = plan["placements"][0]["box"]
    assert sorted((box[2] - box[0], box[3] - box[1])) == [5.5, 8.5]


def test_two_card_bases_come_from_one_letter_sheet(shelf: Path, run: Run, tmp_path: Path) -> None:
    """Common practice: an A2 base is 8 1/2 x 5 1/2 in, two from a letter sheet."""
    answer = run("sheet", "--piece", "blank, 8 1/2 x 5 1/2, 2", "-o", str(tmp_path / "s.pdf"), "--json").json
    assert (len(answer["sheets"]), answer["proved"], answer["sheets"][0]["used"]) == (1, True, 1)


def test_pieces_on_the_command_line_stay_inside_the_margins_and_apart(
    kit: Path, run: Run, tmp_path: Path
) -> None:
    words = ("--piece", "p01-03, 1 in wide, 20", "--bleed", "1/8 in", "--margin", "3/8 in", "--json")
    answer = run("sheet", *words, "-o", str(tmp_path / "s.pdf")).json
    sheet = answer["sheets"][0]
    left, top, right, bottom = sheet["margin"]
    width, height = sheet["paper"]["size"]
    assert (left, width, height) == (0.375, 8.5, 11)
    boxes = [place["box"] for place in sheet["placements"]]
    assert len(boxes) == 20
    for box in boxes:
        assert box[0] >= left + 0.125 and box[1] >= top + 0.125
        assert box[2] <= width - right - 0.125 and box[3] <= height - bottom - 0.125
    for index, one in enumerate(boxes):
        for other in boxes[index + 1 :]:
            apart = max(one[0] - other[2], other[0] - one[2], one[1] - other[3], other[1] - one[3])
            assert apart >= 0.25 - 1e-6


def test_strict_fails_on_a_soft_piece_and_not_on_cautions(kit: Path, run: Run, tmp_path: Path) -> None:
    soft = ("sheet", "--piece", "p01-03, 3 in wide, 1", "-o", str(tmp_path / "a.pdf"), "--strict")
    assert run(*soft).code == 5
    assert (tmp_path / "a.pdf").exists()


@pytest.mark.parametrize(
    "words,code,said",
    [
        (("--piece", "p01-01, 20 x 20, 1"), 2, "letter"),
        (("--piece", "p01-09, 1 x 1, 1"), 4, "p01-09"),
        (("--piece", "p01-01, 1 x 1, 0"), 2, "copies of 'p01-01' in --piece cannot be '0'"),
        (("--piece", "p01-01, 1 x 1, 1", "--margin", "5 in"), 2, "margins"),
        (("--piece", "p01-01, 1 x 1, 1", "--paper", "napkin"), 2, "napkin"),
        (("--piece", "p01-01, 1 x 1, 1", "--printer", "attic"), 4, "attic"),
        (("--piece", "p01-01, 1 x 1, 1", "--cut", "teeth"), 2, "trimmer"),
        (("--piece", "p01-01, 1 x 1, 1", "--fill", "moon"), 2, "moon"),
        ((), 2, "make-list"),
    ],
)
def test_what_cannot_be_made_is_said_in_one_sentence_and_writes_nothing(
    kit: Path, run: Run, tmp_path: Path, words: tuple[str, ...], code: int, said: str
) -> None:
    out = tmp_path / "s.pdf"
    ran = run("sheet", *words, "-o", str(out))
    assert ran.code == code
    assert said in ran.err
    assert ran.err.count("\n") == 1
    assert not out.exists()


def test_a_mistake_in_a_make_list_names_its_line(makelist: Path, run: Run) -> None:
    makelist.write_text(MAKELIST.replace("copies = 4", "copys = 4"), encoding="utf-8")
    ran = run("sheet", str(makelist))
    assert ran.code == 3
    line = MAKELIST.split("\n").index("copies = 4") + 1
    assert f"line {line}" in ran.err
    assert "copies" in ran.err


def test_an_output_that_exists_is_kept(kit: Path, run: Run, tmp_path: Path) -> None:
    out = tmp_path / "s.pdf"
    out.write_bytes(b"mine")
    ran = run("sheet", "--piece", "p01-01, 1 x 1, 1", "-o", str(out))
    assert (ran.code, out.read_bytes()) == (3, b"mine")


def test_an_original_altered_on_disk_is_refused(kit: Path, run: Run, tmp_path: Path) -> None:
    original = kit / "kits" / "dusk-row" / "originals" / "page-1.jpg"
    original.chmod(0o644)
    content = bytearray(original.read_bytes())
    content[-100] ^= 1
    original.write_bytes(content)
    ran = run("sheet", "--piece", "p01-01, 1 x 1, 1", "-o", str(tmp_path / "s.pdf"))
    assert ran.code == 3
    assert "page-1.jpg" in ran.err


def test_filling_adds_copies_of_the_piece_named(kit: Path, run: Run, tmp_path: Path) -> None:
    words = ("sheet", "--piece", "p01-01, 4 x 5, 1", "--piece", "p01-03, 1 x 1, 1", "--fill", "p01-03")
    answer = run(*words, "-o", str(tmp_path / "s.pdf"), "--json").json
    placed = [place["piece"] for sheet in answer["sheets"] for place in sheet["placements"]]
    assert len(answer["sheets"]) == 1
    assert placed.count(0) == 1
    assert placed.count(1) > 10


def test_card_writes_a_make_list_that_makes_sheets(shelf: Path, run: Run, tmp_path: Path) -> None:
    out = tmp_path / "card.toml"
    plan = run("card", "A2", "--mats", "2", "-o", str(out), "--json").json
    assert (plan["front"], plan["base"], plan["scores"][0]["at"]) == ([4.25, 5.5], [8.5, 5.5], 4.25)
    assert run("sheet", str(out), "-o", str(tmp_path / "s.pdf")).code == 0
    assert run("card", "napkin").code == 2
    assert run("card", "A2", "--mats", "9").code == 2


def test_a_printer_lends_its_margins_and_its_correction(kit: Path, run: Run, tmp_path: Path) -> None:
    run("printer", "add", "kitchen", "--margin", "1/2, 1/4, 1/4, 1/4 in")
    asked = ("printer", "measured", "kitchen", "--width", "5.94 in", "--height", "9 in")
    assert run(*asked).code == 2  # there is no page yet that it could be a reading of
    assert run("printer", "test", "kitchen", "-o", str(tmp_path / "test.pdf")).code == 0
    assert run(*asked, "--left", "1.25 in").code == 0
    known = run("printer", "list", "--json").json[0]
    assert (known["margin"], known["scale"]) == ([0.5, 0.25, 0.25, 0.25], [0.99, 1])
    assert known["offset"] == [0.0125, 0]
    words = (
        "sheet",
        "--piece",
        "p01-01, 1 x 1, 1",
        "--printer",
        "kitchen",
        "-o",
        str(tmp_path / "s.pdf"),
        "--json",
    )
    assert run(*words).json["sheets"][0]["margin"] == [0.5, 0.25, 0.25, 0.25]
    assert run(*words, "--margin", "1/4 in", "--overwrite").code == 2
    assert run("printer", "measured", "attic", "--width", "6", "--height", "9").code == 4
    assert run("printer", "measured", "kitchen", "--width", "5.7", "--height", "9").code == 2
    assert run("printer", "add", "kitchen", "--margin", "20 in").code == 2
    assert run("printer", "remove", "kitchen").code == 0
    assert run("printer", "list", "--json").json == []


@pytest.mark.parametrize("element", ["dusk-row/p01-77", "nokit/p01-01"])
def test_an_element_that_does_not_exist_is_named_with_its_line(
    makelist: Path, run: Run, element: str
) -> None:
    makelist.write_text(MAKELIST.replace("dusk-row/p01-02", element), encoding="utf-8")
    ran = run("sheet", str(makelist))
    line = MAKELIST.split("\n").index('element = "dusk-row/p01-02"') + 1
    assert ran.code == 4
    assert f"supper.toml, line {line}: " in ran.err
    assert run("check", str(makelist)).code == 4


@pytest.mark.parametrize(
    "words,code",
    [
        (("-o", "s.txt"), 2),
        (("-o", "nowhere/s.pdf"), 3),
        (("-o", "s.pdf", "--preview", "s.jpg"), 2),
        (("-o", "s.pdf", "--preview", "nowhere/s.png"), 3),
        (("-o", "s.pdf", "--guide", "s.pdf"), 2),
    ],
)
def test_no_file_is_written_where_one_of_them_could_not_be(
    kit: Path, run: Run, tmp_path: Path, words: tuple[str, ...], code: int
) -> None:
    before = set(tmp_path.iterdir())
    assert run("sheet", "--piece", "p01-02, 1 in wide, 1", *words).code == code
    assert set(tmp_path.iterdir()) == before


def test_a_size_too_small_to_cut_is_refused(kit: Path, run: Run) -> None:
    assert run("sheet", "--piece", "p01-02, 0.005 in wide, 3").code == 2


def test_what_finds_no_room_on_a_sheet_is_said(kit: Path, run: Run, tmp_path: Path) -> None:
    words = ("sheet", "--piece", "p01-01, 8 x 10 1/2, 1", "--margin", "1/4 in", "--bleed", "0", "--json")
    answer = run(*words, "-o", str(tmp_path / "s.pdf"))
    assert answer.code == 0
    assert "no-room" in [warning["code"] for warning in answer.json["warnings"]]
