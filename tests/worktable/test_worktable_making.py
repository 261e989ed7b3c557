"""The list of what to make: grades, its file, its sheets."""

from __future__ import annotations

import math
import tomllib
from io import BytesIO
from typing import Any

import pypdfium2
import pytest
from httpx import Client
from PIL import Image
from worktable.worktable_fixtures import Finish

CARD, TAG, ROUND = (f"orchard-scraps/p01-{number:02d}" for number in (1, 2, 3))


def check(worktable: Client, *pieces: dict[str, Any], unit: str = "in") -> list[dict[str, Any]]:
    answer = worktable.post("/api/check", json={"unit": unit, "piece": pieces})
    assert answer.status_code == 200, answer.text
    return list(answer.json()["pieces"])


def test_each_piece_is_graded_by_what_an_eye_resolves(standing_worktable: Client) -> None:
    # One arcminute at 18 in, arm's length: fine is 1 / (18 tan(1/60 degree)) = 191 pixels per inch or more.
    fine_ppi = 1 / (18 * math.tan(math.radians(1 / 60)))
    small, large = check(
        standing_worktable, {"element": CARD, "size": "1/2 in wide"}, {"element": CARD, "size": "2 in wide"}
    )
    assert (small["grade"], round(small["ppi"])) == ("crisp", 400)
    assert (large["grade"], round(large["ppi"])) == ("blurry", 100)
    share = large["detail"] or 1.0
    assert large["largest"]["fine"][0] == pytest.approx(200 * share / fine_ppi, rel=1e-3)
    assert "blurry" in large["sentence"]
    assert f"up to {large['fine_up_to'].partition(' x ')[0]} in it is fine" in large["sentence"]
    assert small["sentence"] == f"Fine up to {small['fine_up_to']}."


def test_a_piece_that_cannot_be_leaves_the_others_their_grades(standing_worktable: Client) -> None:
    wrong_size, unknown, fine, blank, half_blank = check(
        standing_worktable,
        {"element": CARD, "size": "large"},
        {"element": "orchard-scraps/p01-99", "size": "1 in wide"},
        {"element": TAG, "size": "8 mm wide"},
        {"label": "base", "size": "5 x 7", "score": ["2 1/2"]},
        {"label": "base", "size": "5 in wide"},
    )
    assert (wrong_size["error"]["key"], wrong_size["error"]["cause"]) == ("size", "BadEntry")
    assert unknown["error"]["cause"] == "NoSuchElement"
    assert fine["grade"] == "crisp"
    assert blank == {"id": None, "printed": "5 x 7 in"}
    assert half_blank["error"]["key"] == "size"


def test_a_list_is_saved_as_the_file_that_loads_as_the_same_list(standing_worktable: Client) -> None:
    mine = {
        "title": "Supper", "unit": "mm", "paper": "A4", "margin": ["3", "3", "3", "12.5 mm"], "cut": "scissors",
        "piece": [
            {"element": CARD, "size": "40 mm wide", "copies": 3, "focus": [0.5, 0.25], "turn": False},
            {"label": "base \"folded\"", "size": "210 x 148", "copies": 1, "score": ["105"]},
        ],
    }  # fmt: skip
    saved = standing_worktable.post("/api/makelist/write", json=mine)
    assert tomllib.loads(saved.text)["piece"][1]["score"] == ["105 mm"]
    loaded = standing_worktable.post(
        "/api/makelist/read", json={"name": "supper.toml", "text": saved.text}
    ).json()["list"]
    again = standing_worktable.post("/api/makelist/write", json=loaded)
    assert again.text == saved.text
    assert loaded["piece"][0] | mine["piece"][0] == loaded["piece"][0]  # type: ignore[index, operator]


@pytest.mark.parametrize(
    ("key", "value", "piece"),
    [
        ("paper", "lettre", None), ("margin", "wide", None), ("cut", "teeth", None), ("printer", 3, None),
        ("copies", 0, 1), ("copies", "many", 1), ("fit", "squeeze", 1), ("score", ["9"], 1), ("size", {}, 1),
    ],
)  # fmt: skip
def test_what_is_wrong_in_a_list_is_told_with_its_key_and_piece(
    standing_worktable: Client, key: str, value: object, piece: int | None
) -> None:
    pieces: list[dict[str, object]] = [
        {"element": TAG, "size": "1 in wide"},
        {"label": "base", "size": "5 x 7"},
    ]
    mine: dict[str, object] = {"title": "a\nb", "piece": pieces}
    (mine if piece is None else pieces[piece])[key] = value
    answer = standing_worktable.post("/api/sheets", json=mine)
    assert answer.status_code == 400
    assert (answer.json()["error"]["key"], answer.json()["error"]["piece"]) == (key, piece)


def test_sheets_are_made_with_their_pictures_their_pdf_and_their_guide(
    worktable: Client, finish: Finish
) -> None:
    mine = {
        "title": "Supper",
        "paper": "letter",
        "piece": [{"element": CARD, "size": "2 in wide", "copies": 4}],
    }
    report = finish(worktable, worktable.post("/api/sheets", json=mine))
    assert report["state"] == "done", report
    made = report["answer"]
    assert (len(made["sheets"]), made["bound"], made["proved"]) == (1, 1, True)
    assert len(made["sheets"][0]["placements"]) == 4
    assert "no fewer are possible" in made["lines"][0]
    assert any(warning["code"] == "blurry" for warning in made["warnings"])
    picture = Image.open(BytesIO(worktable.get(made["sheets"][0]["picture"]).content))
    assert picture.size == (935, 1210)  # 8 1/2 x 11 in at 110 pixels per inch
    assert len(picture.convert("RGB").getcolors(picture.width * picture.height) or []) > 100
    answer = worktable.get(made["pdf"], params={"as": "supper.pdf"})
    assert 'filename="supper.pdf"' in answer.headers["content-disposition"]
    for content in (answer.content, worktable.get(made["guide"]).content):
        with pypdfium2.PdfDocument(content) as document:
            assert len(document) >= 1
            assert document[0].get_size() == (612.0, 792.0)


def test_a_piece_too_large_for_its_paper_is_named(standing_worktable: Client, finish: Finish) -> None:
    mine = {"piece": [{"element": CARD, "label": "moon", "size": "9 x 12"}]}
    report = finish(standing_worktable, standing_worktable.post("/api/sheets", json=mine))
    assert (report["state"], report["error"]["cause"], report["error"]["name"]) == (
        "failed",
        "WontFit",
        "moon",
    )


def test_a_list_without_a_piece_is_refused_in_the_words_of_the_page(
    standing_worktable: Client, finish: Finish
) -> None:
    report = finish(
        standing_worktable, standing_worktable.post("/api/sheets", json={"title": "Supper", "piece": []})
    )
    assert report["error"]["cause"] == "NothingToPrint"
    assert "on the list first" in report["error"]["text"]


def test_only_the_files_of_a_work_are_given(worktable: Client, finish: Finish) -> None:
    report = finish(
        worktable, worktable.post("/api/sheets", json={"piece": [{"label": "a", "size": "5 x 7"}]})
    )
    at = f"/api/works/{report['work']}/files"
    assert worktable.get(f"{at}/sheets.pdf").status_code == 200
    for name in ("none.pdf", "%2E%2E", "..%2Fsheets.pdf", "x%2F..%2Fsheets.pdf"):
        assert worktable.get(f"{at}/{name}").status_code == 404, name


def test_a_folded_card_comes_as_pieces_with_its_fold_line(standing_worktable: Client) -> None:
    sent = {"card": "A2", "style": "half", "edge": "side", "mats": "1", "copies": "2"}
    pieces = standing_worktable.post("/api/card", json=sent).json()["list"]["piece"]
    # An A2 card is 4 1/4 x 5 1/2 in from a base of 8 1/2 x 5 1/2 in; common practice, no published source.
    assert (pieces[0]["size"], pieces[0]["score"], pieces[0]["copies"]) == (
        "8 1/2 x 5 1/2 in",
        ["4 1/4 in"],
        2,
    )
    assert standing_worktable.post("/api/card", json=sent | {"copies": "no"}).status_code == 400


def test_a_margin_is_kept_for_a_printer_by_name(worktable: Client) -> None:
    sent = {"name": "kitchen", "margin": ["1/8 in", "1/8 in", "1/8 in", "1/2 in"]}
    assert worktable.post("/api/printers", json=sent).json()["name"] == "kitchen"
    (printer,) = worktable.get("/api/printers").json()["printers"]
    assert (printer["name"], printer["margin"]) == ("kitchen", [0.125, 0.125, 0.125, 0.5])
    assert worktable.post("/api/printers", json={"name": "", "margin": "1/4 in"}).status_code == 400
    assert worktable.post("/api/printers", json={"name": "den", "margin": "-1"}).status_code == 400
