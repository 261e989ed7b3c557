"""``crop``, ``join``, ``divide``, ``drop``, ``describe``, ``undo``: words, codes, what is left."""

from __future__ import annotations

from pathlib import Path

from PIL import Image

from tests.cli.conftest import Run, draw_kit_page


def ids(run: Run) -> list[str]:
    return [element["id"].rpartition("/")[2] for element in run("elements", "--json").json]


def test_crop_takes_a_box_to_the_nearest_true_edge(kit: Path, run: Run) -> None:
    added = run("crop", "p01", "--box", "1590,160,610,880px", "--json").json["added"][0]
    assert max(abs(a - b) for a, b in zip(added["box_px"], [1600, 150, 2200, 1050], strict=True)) <= 2
    assert added["id"] == "dusk-row/p01-05"


def test_crop_takes_the_box_exactly_where_asked(kit: Path, run: Run) -> None:
    added = run("crop", "p01", "--box", "1 in, 1 in, 2 in, 1 1/2 in", "--exactly", "--json").json["added"][0]
    assert added["box_px"] == [300, 300, 900, 750]
    assert added["size"] == [2, 1.5]


def test_a_box_outside_the_page_is_refused_and_nothing_changes(kit: Path, run: Run) -> None:
    before = ids(run)
    ran = run("crop", "p01", "--box", "8 in, 1 in, 2 in, 1 in")
    assert ran.code == 2
    assert "page" in ran.err
    assert ids(run) == before


def test_join_makes_one_of_two_and_undo_brings_both_back(kit: Path, run: Run) -> None:
    before = ids(run)
    joined = run("join", "p01-03", "p01-04", "--json").json
    assert joined["removed"] == ["dusk-row/p01-03", "dusk-row/p01-04"]
    assert joined["added"][0]["id"] == "dusk-row/p01-05"
    assert "p01-03" not in ids(run)
    assert run("undo").code == 0
    assert ids(run) == before


def test_a_number_that_is_gone_never_comes_back_for_another(kit: Path, run: Run) -> None:
    run("drop", "p01-04")
    added = run("crop", "p01", "--box", "300,300,300,300px", "--exactly", "--json").json["added"][0]
    assert added["id"] == "dusk-row/p01-05"


def test_divide_makes_two_at_the_line(kit: Path, run: Run) -> None:
    left, right = run("divide", "p01-01", "--at", "1 in", "--json").json["added"]
    assert abs(left["size"][0] - 1) < 0.01
    assert abs(right["size"][0] - 3) < 0.02
    assert run("divide", "p01-02", "--at", "5 in").code == 2
    assert run("divide", "p01-02").code == 2


def test_join_needs_two_and_an_unknown_id_ends_with_4(kit: Path, run: Run) -> None:
    assert run("join", "p01-01").code == 2
    ran = run("drop", "p01-09")
    assert ran.code == 4
    assert "p01-0" in ran.err


def test_undo_without_a_correction_says_so(kit: Path, run: Run) -> None:
    assert run("undo").code == 2


def test_elements_of_two_pages_are_not_joined_and_nothing_changes(
    shelf: Path, run: Run, tmp_path: Path
) -> None:
    folder = tmp_path / "Two Pages"
    folder.mkdir()
    for number in (1, 2):
        draw_kit_page(folder / f"page-{number}.jpg")
    run("import", str(folder))
    before = ids(run)
    ran = run("join", "p01-03", "p02-03")
    assert (ran.code, "lie on 2 pages" in ran.err) == (2, True)
    assert ids(run) == before
    assert run("undo").code == 2


def test_crop_takes_edges_from_the_original_not_from_the_pictures_of_the_cache(kit: Path, run: Run) -> None:
    Image.new("RGB", (1275, 1650), "white").save(kit / "kits" / "dusk-row" / "cache" / "p01.jpg")
    added = run("crop", "p01", "--box", "1590,160,610,880px", "--json").json["added"][0]
    assert added["box_px"] == [1600, 150, 2200, 1050]
