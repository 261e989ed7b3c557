"""``split``: a page tried again with a hint, what stays, what is said, what is refused."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tests.cli.conftest import Run, draw_kit_page
from tests.cli.test_kits import locked_pdf

KIT_TOML = Path("kits") / "dusk-row" / "kit.toml"


def ids(run: Run) -> list[str]:
    return [element["id"].rpartition("/")[2] for element in run("elements", "--json").json]


def test_without_a_hint_nothing_is_changed_and_nothing_can_be_taken_back(kit: Path, run: Run) -> None:
    before = (kit / KIT_TOML).read_bytes()
    ran = run("split", "p01")
    assert (ran.code, "nothing is changed" in ran.out) == (0, True)
    assert (kit / KIT_TOML).read_bytes() == before
    assert run("undo").code == 2


def test_a_gap_joins_what_lies_nearer_and_undo_brings_both_back(kit: Path, run: Run) -> None:
    answer = run("split", "p01", "--gap", "0.6 in", "--json").json
    assert [element["id"] for element in answer["added"]] == ["dusk-row/p01-05"]
    assert answer["removed"] == ["dusk-row/p01-03", "dusk-row/p01-04"]
    assert ids(run) == ["p01-01", "p01-02", "p01-05"]
    undone = run("undo")
    assert "p01-03 and p01-04 are there again; p01-05 is gone" in undone.out
    assert ids(run) == ["p01-01", "p01-02", "p01-03", "p01-04"]


def test_what_came_back_after_another_try_has_its_number_again(kit: Path, run: Run) -> None:
    run("split", "p01", "--gap", "0.6 in")
    run("split", "p01")
    assert ids(run) == ["p01-01", "p01-02", "p01-03", "p01-04"]


@pytest.mark.parametrize(("rows", "columns"), [(2, 3), (1, 4), (7, 1)])
def test_a_grid_gives_exactly_so_many(kit: Path, run: Run, rows: int, columns: int) -> None:
    run("split", "p01", "--rows", str(rows), "--columns", str(columns))
    assert len(ids(run)) == rows * columns


def test_a_page_can_be_kept_whole(kit: Path, run: Run) -> None:
    answer = run("split", "p01", "--whole", "--json").json
    assert [element["box_px"] for element in answer["added"]] == [[0, 0, 2550, 3300]]
    assert answer["added"][0]["kind"] == "paper"
    assert len(ids(run)) == 1


def test_a_background_is_named_by_its_colour_or_a_place_that_has_it(kit: Path, run: Run) -> None:
    by_colour = run("split", "p01", "--background", "#8a5a2b", "--json").json
    run("undo")
    by_place = run("split", "p01", "--background", "6 in, 1 in", "--json").json
    assert by_colour["added"] == by_place["added"]
    assert "dusk-row/p01-02" in by_place["removed"]


def test_hand_corrections_are_neither_lost_nor_overwritten(kit: Path, run: Run) -> None:
    run("drop", "p01-04")
    run("describe", "p01-02", "--kind", "tag", "--words", "row twelve")
    cropped = run("crop", "p01", "--box", "300,2000,500,500px", "--exactly", "--json").json["added"][0]
    joined = run("join", "p01-01", "p01-03", "--json").json["added"][0]
    kept = run("elements", "--json").json
    for hint in ([], ["--gap", "0.6 in"], ["--background", "#ffffff"]):
        ran = run("split", "p01", *hint)
        assert run("elements", "--json").json == kept, ran.out
    assert "3 corrections by hand are kept" in ran.out
    assert {cropped["id"], joined["id"], "dusk-row/p01-02"} == {element["id"] for element in kept}


def test_a_grid_comes_complete_beside_what_was_made_by_hand_elsewhere(kit: Path, run: Run) -> None:
    run("drop", "p01-04")
    run("crop", "p01", "--box", "300,2000,500,500px", "--exactly")
    answer = run("split", "p01", "--rows", "1", "--columns", "2", "--json").json
    assert (answer["elements"], answer["by_hand"]) == (3, 1)


def test_undo_brings_a_dropped_element_back_and_splitting_leaves_it(kit: Path, run: Run) -> None:
    run("drop", "p01-04")
    assert "dropped = true" in (kit / KIT_TOML).read_text()
    run("split", "p01")
    assert "p01-04" not in ids(run)
    run("undo")
    assert "p01-04" in ids(run)
    assert "dropped" not in (kit / KIT_TOML).read_text()
    run("split", "p01")
    assert "p01-04" in ids(run)


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["p07"], 4, "p07"),
        (["p01", "--rows", "0"], 2, "--rows"),
        (["p01", "--columns", "-3"], 2, "--columns"),
        (["p01", "--rows", "5000"], 2, "too small to cut out; ask for at most"),
        (["p01", "--gap=-1 in"], 2, "--gap"),
        (["p01", "--gap", "wide"], 2, "is not a length"),
        (["p01", "--background", "mauve"], 2, "--background"),
        (["p01", "--background", "9 in, 1 in"], 2, "keep within"),
        (["p01", "--whole", "--rows", "2"], 2, "--whole alone"),
        (["p01", "--gap", "1 in", "--rows", "2"], 2, "leave --gap out"),
        (["p01", "--explain", "stages.jpg"], 2, "--explain"),
        (["p01", "--gap", "0.6 in", "--picture", "change.pdf"], 2, "--picture"),
        (["p01", "--gap", "0.6 in", "--picture", "nowhere/change.png"], 3, "nowhere"),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence_and_nothing_changes(
    kit: Path, run: Run, words: list[str], code: int, said: str
) -> None:
    before = (kit / KIT_TOML).read_bytes()
    ran = run("split", *words)
    assert (ran.code, ran.out) == (code, "")
    assert said in ran.err
    assert len(ran.err.strip().splitlines()) == 1
    assert (kit / KIT_TOML).read_bytes() == before
    assert run("undo").code == 2


def test_a_page_that_is_all_background_says_so(shelf: Path, run: Run, tmp_path: Path) -> None:
    Image.new("RGB", (850, 1100), "#f4efe4").save(tmp_path / "plain.png", dpi=(100, 100))
    run("import", str(tmp_path / "plain.png"))
    ran = run("split", "p01", "--json")
    assert ran.code == 0
    assert [warning["code"] for warning in ran.json["warnings"]] == ["nothing-found"]
    assert "No element stands out on plain/p01" in ran.err


def test_a_texture_of_over_a_thousand_regions_is_one_paper_and_said_to_be(
    shelf: Path, run: Run, tmp_path: Path
) -> None:
    picture = np.full((1650, 1275, 3), 245, np.uint8)
    for top in range(40, 1600, 36):
        for left in range(40, 1220, 36):
            picture[top : top + 14, left : left + 14] = (60, 90, 70)
    Image.fromarray(picture).save(tmp_path / "dots.png", dpi=(150, 150))
    run("import", str(tmp_path / "dots.png"))
    answer = run("split", "p01", "--background", "#f5f5f5", "--json").json
    assert answer["elements"] == 1
    assert [warning["code"] for warning in answer["warnings"]] == ["texture"]


def test_a_locked_pdf_is_split_again_with_the_password_that_was_kept(
    shelf: Path, run: Run, tmp_path: Path
) -> None:
    path = locked_pdf(tmp_path / "locked.pdf", draw_kit_page(tmp_path / "moths.jpg"))
    run("import", str(path), "--password", "orchard")
    before = ids(run)
    ran = run("split", "p01")
    assert (ran.code, "nothing is changed" in ran.out) == (0, True)
    assert ids(run) == before


def test_a_page_whose_original_is_not_what_was_bought_is_refused(kit: Path, run: Run) -> None:
    original = kit / "kits" / "dusk-row" / "originals" / "page-1.jpg"
    original.chmod(0o644)
    content = bytearray(original.read_bytes())
    content[-400] ^= 0xFF
    original.write_bytes(content)
    assert run("split", "p01", "--whole").code == 3
    assert run("crop", "p01", "--box", "300,2000,500,500px").code == 3


def test_a_page_is_split_from_its_original_not_from_the_pictures_of_the_cache(kit: Path, run: Run) -> None:
    cached = kit / "kits" / "dusk-row" / "cache" / "p01.jpg"
    Image.new("RGB", (1275, 1650), "white").save(cached)
    assert "nothing is changed" in run("split", "p01").out


def accented(picture: Image.Image) -> int:
    """How many pixels have the accent colour of outlines, `#a8562f`."""
    return int((np.abs(np.asarray(picture, int) - (0xA8, 0x56, 0x2F)).max(axis=2) < 24).sum())


@pytest.mark.parametrize(
    ("words", "is_before", "is_after"),
    [
        (["drop", "p01-03"], True, False),
        (["crop", "p01", "--box", "300,2000,500,500px", "--exactly"], False, True),
        (["join", "p01-03", "p01-04"], True, True),
        (["divide", "p01-02", "--at", "1 in"], True, True),
        (["describe", "p01-02", "--kind", "tag"], True, True),
        (["split", "p01", "--gap", "0.6 in"], True, True),
    ],
)
def test_a_picture_outlines_what_went_before_and_what_came_after(
    kit: Path, run: Run, tmp_path: Path, words: list[str], is_before: bool, is_after: bool
) -> None:
    ran = run(*words, "--picture", "change.png")
    assert (ran.code, "Picture: change.png" in ran.out) == (0, True)
    picture = Image.open(tmp_path / "change.png").convert("RGB")
    assert max(picture.size) < 1500
    panels = _panels(picture)
    assert [accented(panel) > 300 for panel in panels] == [is_before, is_after]


def test_a_picture_is_not_replaced_unasked_and_the_correction_then_not_made(
    kit: Path, run: Run, tmp_path: Path
) -> None:
    (tmp_path / "change.png").write_bytes(b"mine")
    assert run("drop", "p01-03", "--picture", "change.png").code == 3
    assert "p01-03" in ids(run)
    assert (tmp_path / "change.png").read_bytes() == b"mine"
    assert run("drop", "p01-03", "--picture", "change.png", "--overwrite").code == 0
    assert run("undo", "--picture", "change.png", "--overwrite").code == 0
    before, after = _panels(Image.open(tmp_path / "change.png").convert("RGB"))
    assert accented(before) < 100 < accented(after)


def test_explain_draws_four_stages_side_by_side(kit: Path, run: Run, tmp_path: Path) -> None:
    assert run("split", "p01", "--explain", "stages.png").code == 0
    picture = np.asarray(Image.open(tmp_path / "stages.png").convert("RGB"), int)
    assert picture.shape[1] > 3 * picture.shape[0] / 2
    quarters = np.array_split(picture[250:], 4, axis=1)
    chequers = [int((np.abs(part - (226, 217, 200)).max(axis=2) < 3).sum()) for part in quarters]
    assert chequers[0] > 50_000 > 5_000 > max(chequers[1:])
    brown = [accented(Image.fromarray(part.astype(np.uint8))) for part in quarters]
    assert brown[3] > 2_000 > max(brown[:2])


def _panels(picture: Image.Image) -> list[Image.Image]:
    """The two pictures within their thin frames, left to right or top to bottom."""
    framed = np.abs(np.asarray(picture, int) - (0xD9, 0xCF, 0xBD)).max(axis=2) < 3
    rows = [row for row in range(picture.height) if framed[row].sum() > 0.25 * picture.width]
    columns = [column for column in range(picture.width) if framed[:, column].sum() > 0.25 * picture.height]
    if len(rows) == 2:
        top, bottom = rows
        (a, b, c, d) = columns
        return [picture.crop((a, top, b, bottom)), picture.crop((c, top, d, bottom))]
    (a, b, c, d), (left, right) = rows, columns
    return [picture.crop((left, a, right, b)), picture.crop((left, c, right, d))]


def test_help_names_every_hint(kit: Path, run: Run) -> None:
    shown = re.sub(r"\s+", " ", run("split", "--help").out)
    for option in ("--gap", "--background", "--whole", "--rows", "--columns", "--explain", "--picture"):
        assert option in shown
