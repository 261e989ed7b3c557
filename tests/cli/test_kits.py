"""``import``, ``kits`` and ``elements``: words, codes, JSON."""

from __future__ import annotations

import hashlib
import io
import zipfile
from pathlib import Path

import pikepdf
import pytest
from PIL import Image

from tests.cli.conftest import Run, draw_kit_page


def test_import_answers_with_the_json_of_the_agreement(shelf: Path, run: Run, tmp_path: Path) -> None:
    answer = run("import", str(draw_kit_page(tmp_path / "moths.jpg")), "--maker", "Quillmoss", "--json").json
    assert (answer["kit"], answer["name"], answer["maker"]) == ("moths", "Moths", "Quillmoss")
    page = answer["pages"][0]
    assert (page["page"], page["file"], page["size_px"]) == ("p01", "moths.jpg", [2550, 3300])
    assert (page["ppi"], page["ppi_from"]) == ([300, 300], "file")
    element = page["elements"][0]
    assert set(element) >= {"id", "box_px", "angle_deg", "outline_px", "kind", "size", "words"}
    assert element["id"] == "moths/p01-01"
    assert element["size"] == pytest.approx([4, 5], abs=0.02)


def test_import_finds_what_was_drawn_within_two_pixels(shelf: Path, run: Run, tmp_path: Path) -> None:
    answer = run("import", str(draw_kit_page(tmp_path / "moths.jpg")), "--json").json
    boxes = [element["box_px"] for element in answer["pages"][0]["elements"]]
    drawn = [
        [150, 150, 1350, 1650],
        [1600, 150, 2200, 1050],
        [1600, 1300, 1900, 1660],
        [2050, 1300, 2350, 1660],
    ]
    assert len(boxes) == len(drawn)
    for found, true in zip(boxes, drawn, strict=True):
        assert max(abs(a - b) for a, b in zip(found, true, strict=True)) <= 2


def test_terms_in_the_kit_are_kept_and_their_absence_is_said(kit: Path, run: Run, tmp_path: Path) -> None:
    assert run("kits", "--json").json["kits"][0]["terms"] is True
    other = run("import", str(draw_kit_page(tmp_path / "no-terms.jpg", 299)))
    assert other.code == 0
    assert "terms of use" in other.err.lower()
    assert "not recorded" in other.out


def test_originals_are_kept_byte_for_byte(shelf: Path, run: Run, tmp_path: Path) -> None:
    source = draw_kit_page(tmp_path / "moths.jpg")
    run("import", str(source))
    kept = shelf / "kits" / "moths" / "originals" / "moths.jpg"
    assert hashlib.sha256(kept.read_bytes()).digest() == hashlib.sha256(source.read_bytes()).digest()


def test_importing_the_same_bytes_again_changes_nothing(kit: Path, run: Run, tmp_path: Path) -> None:
    again = run("import", str(tmp_path / "Dusk Row"), "--json").json
    assert again["known"] is True
    assert len(run("kits", "--json").json["kits"]) == 1


def test_one_bad_page_is_named_and_the_good_ones_come_in(shelf: Path, run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "mixed"
    folder.mkdir()
    draw_kit_page(folder / "b.jpg")
    whole = (folder / "b.jpg").read_bytes()
    (folder / "a.jpg").write_bytes(whole[: len(whole) // 2])
    ran = run("import", str(folder), "--json")
    assert ran.code == 5
    assert [page["file"] for page in ran.json["pages"]] == ["b.jpg"]
    assert ran.json["pages"][0]["page"] == "p01"
    assert "a.jpg" in ran.err
    assert [warning["code"] for warning in ran.json["warnings"]].count("bad-page") == 1


def test_an_assumed_resolution_is_said(shelf: Path, run: Run, tmp_path: Path) -> None:
    Image.effect_noise((1000, 430), 60).save(tmp_path / "odd.png")
    ran = run("import", str(tmp_path / "odd.png"), "--whole", "--json")
    assert ran.json["pages"][0]["ppi_from"] == "assumed"
    assert ran.json["pages"][0]["warnings"][0]["code"] == "assumed-ppi"
    assert "assumed" in ran.err


def test_whole_keeps_a_page_as_one_element(shelf: Path, run: Run, tmp_path: Path) -> None:
    page = run("import", str(draw_kit_page(tmp_path / "moths.jpg")), "--whole", "--json").json["pages"][0]
    assert [element["box_px"] for element in page["elements"]] == [[0, 0, 2550, 3300]]


@pytest.mark.parametrize(
    "name,content",
    [
        ("empty.jpg", b""),
        ("letter.jpg", b"Dear orchard keeper,"),
        ("broken.pdf", b"%PDF-1.7 and nothing more"),
        ("broken.zip", b"PK\x03\x04 and nothing more"),
    ],
)
def test_a_file_that_cannot_be_used_ends_with_3_and_leaves_no_kit(
    shelf: Path, run: Run, tmp_path: Path, name: str, content: bytes
) -> None:
    (tmp_path / name).write_bytes(content)
    ran = run("import", str(tmp_path / name))
    assert ran.code == 3
    assert name in ran.err
    assert ran.err.count("\n") == 1
    assert run("kits", "--json").json["kits"] == []


def test_a_zip_that_climbs_out_is_refused_whole(shelf: Path, run: Run, tmp_path: Path) -> None:
    path = tmp_path / "kit.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("../escaped.txt", "out")
    ran = run("import", str(path))
    assert ran.code == 3
    assert not (tmp_path / "escaped.txt").exists()
    assert not (shelf / "escaped.txt").exists()


def test_a_missing_file_ends_with_3(shelf: Path, run: Run) -> None:
    ran = run("import", "nowhere.zip")
    assert (ran.code, "nowhere.zip" in ran.err) == (3, True)


def test_elements_are_found_by_kind_width_and_crispness(kit: Path, run: Run) -> None:
    everything = run("elements", "--json").json
    assert len(everything) == 4
    wide = run("elements", "--wider-than", "1 1/2 in", "--json").json
    assert [element["id"] for element in wide] == ["dusk-row/p01-01", "dusk-row/p01-02"]
    crisp = run("elements", "--crisp-at", "3 in wide", "--json").json
    assert [element["id"] for element in crisp] == ["dusk-row/p01-01"]
    assert run("elements", "--kind", "nonsense").code == 2
    assert run("elements", "--kit", "nonsense").code == 4


def test_a_described_element_is_found_by_its_words(kit: Path, run: Run) -> None:
    run("describe", "p01-03", "--kind", "stamp", "--words", "Lantern Blue, night")
    found = run("elements", "lantern", "--json").json
    assert [(element["id"], element["kind"]) for element in found] == [("dusk-row/p01-03", "stamp")]


@pytest.mark.parametrize("ending", [".png", ".pdf", ".html"])
def test_the_contact_sheet_comes_in_three_forms_and_is_not_replaced_unasked(
    kit: Path, run: Run, tmp_path: Path, ending: str
) -> None:
    out = tmp_path / f"contact{ending}"
    assert run("elements", "--picture", str(out)).code == 0
    assert out.stat().st_size > 1000
    assert run("elements", "--picture", str(out)).code == 3
    assert run("elements", "--picture", str(tmp_path / "contact.bmp")).code == 2


def locked_pdf(path: Path, page: Path) -> Path:
    """A PDF of one placed picture that opens with the password `orchard`."""
    import img2pdf

    with pikepdf.open(io.BytesIO(img2pdf.convert(str(page)))) as pdf:
        pdf.save(path, encryption=pikepdf.Encryption(owner="owner", user="orchard"))
    return path


def test_a_locked_pdf_needs_its_password_and_prints_later_without_being_asked(
    shelf: Path, run: Run, tmp_path: Path
) -> None:
    path = locked_pdf(tmp_path / "locked.pdf", draw_kit_page(tmp_path / "moths.jpg"))
    without = run("import", str(path))
    assert (without.code, "--password" in without.err) == (3, True)
    assert run("import", str(path), "--password", "wrong").code == 3
    assert run("import", str(path), "--password", "orchard").code == 0
    out = tmp_path / "s.pdf"
    assert run("sheet", "--piece", "p01-02, 1 in wide, 1", "-o", str(out)).code == 0
    assert out.exists()


def test_the_password_is_asked_for_where_somebody_can_answer(shelf: Path, tmp_path: Path) -> None:
    from kitprep import import_kit

    path = locked_pdf(tmp_path / "locked.pdf", draw_kit_page(tmp_path / "moths.jpg"))
    asked: list[str] = []

    def answer(name: str) -> str:
        asked.append(name)
        return "orchard"

    report = import_kit([path], shelf=shelf, ask_password=answer)
    assert (asked, len(report.kit.pages)) == (["locked.pdf"], 1)


def test_what_is_said_when_importing_again_is_kept(kit: Path, run: Run, tmp_path: Path) -> None:
    folder = str(tmp_path / "Dusk Row")
    again = run(
        "import", folder, "--maker", "Thornless Press", "--terms", "For gifts.", "--ppi", "200", "--json"
    ).json
    assert (again["known"], again["maker"], again["kit"]) == (True, "Thornless Press", "dusk-row")
    assert (again["pages"][0]["ppi"], again["pages"][0]["ppi_from"]) == ([200, 200], "given")
    assert again["pages"][0]["elements"][0]["size"] == pytest.approx([6, 7.5], abs=0.03)
    assert run("import", folder, "--whole", "--json").json["pages"][0]["elements"][0]["box_px"] == [
        0,
        0,
        2550,
        3300,
    ]
    assert run("undo").code == 0
    assert len(run("elements", "--json").json) == 4


def test_importing_again_puts_back_an_original_that_was_lost_or_altered(
    kit: Path, run: Run, tmp_path: Path
) -> None:
    original = kit / "kits" / "dusk-row" / "originals" / "page-1.jpg"
    original.chmod(0o644)
    original.write_bytes(b"gone")
    refused = run("resize", "p01-02", "--size", "1 in wide", "-o", str(tmp_path / "a.png"))
    assert (refused.code, "import the kit again" in refused.err) == (3, True)
    assert "page-1.jpg is put back" in run("import", str(tmp_path / "Dusk Row")).out
    assert run("resize", "p01-02", "--size", "1 in wide", "-o", str(tmp_path / "a.png")).code == 0


def test_a_contact_sheet_that_cannot_be_written_is_refused_before_the_import(
    shelf: Path, run: Run, tmp_path: Path
) -> None:
    source = str(draw_kit_page(tmp_path / "moths.jpg"))
    assert run("import", source, "--picture", "contact.gif").code == 2
    assert run("import", source, "--picture", "nowhere/contact.png").code == 3
    assert run("kits", "--json").json["kits"] == []


def test_a_page_locked_at_first_comes_in_with_its_password_later(
    shelf: Path, run: Run, tmp_path: Path
) -> None:
    folder = tmp_path / "mixed"
    folder.mkdir()
    draw_kit_page(folder / "a.jpg")
    locked_pdf(folder / "b.pdf", draw_kit_page(tmp_path / "moths.jpg"))
    first = run("import", str(folder), "--json")
    assert (first.code, [page["page"] for page in first.json["pages"]]) == (5, ["p01"])
    later = run("import", str(folder), "--password", "orchard", "--json")
    assert (later.code, [page["page"] for page in later.json["pages"]]) == (0, ["p01", "p02"])
    assert run("resize", "p02-02", "--size", "1 in wide", "-o", str(tmp_path / "a.png")).code == 0


def test_terms_longer_than_any_file_name_are_taken_as_they_are(shelf: Path, run: Run, tmp_path: Path) -> None:
    source = str(draw_kit_page(tmp_path / "moths.jpg"))
    assert run("import", source, "--terms", "For your own cards. " * 30, "--json").json["terms"] is True
