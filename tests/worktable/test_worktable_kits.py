"""Looking at kits and mending what was found, through a real server on a real shelf."""

from __future__ import annotations

from io import BytesIO

from httpx import Client
from PIL import Image

CARD, TAG, ROUND = (f"orchard-scraps/p01-{number:02d}" for number in (1, 2, 3))


def ids(worktable: Client, **query: str) -> list[str]:
    return [element["id"] for element in worktable.get("/api/elements", params=query).json()["elements"]]


def test_a_kit_is_told_with_its_maker_its_terms_and_its_pages(standing_worktable: Client) -> None:
    (listed,) = standing_worktable.get("/api/kits").json()["kits"]
    assert (listed["kit"], listed["maker"], listed["pages"], listed["elements"]) == (
        "orchard-scraps", "Quillmoss Paper Room", 1, 3
    )  # fmt: skip
    whole = standing_worktable.get("/api/kits/orchard-scraps").json()
    assert whole["terms"].startswith("For your own cards.")
    assert whole["pages"][0]["size_px"] == [850, 1100]
    assert [element["id"] for element in whole["pages"][0]["elements"]] == [CARD, TAG, ROUND]


def test_elements_are_found_by_the_words_and_the_kind_they_were_given(worktable: Client) -> None:
    sent = {"id": ROUND, "kind": "figure", "words": "green apple, harvest"}
    assert worktable.post("/api/describe", json=sent).status_code == 200
    assert ids(worktable) == [CARD, TAG, ROUND]
    assert ids(worktable, words="APPLE har") == [ROUND]
    assert ids(worktable, kind="figure") == [ROUND]
    assert ids(worktable, words="apple", kind="card") == []
    assert ids(worktable, kit="orchard-scraps", words="quillmoss") == [CARD, TAG, ROUND]


def test_an_elements_picture_has_its_proportions_and_nothing_beyond_its_outline(
    standing_worktable: Client,
) -> None:
    answer = standing_worktable.get(f"/api/pictures/{ROUND.replace('/', '/elements/')}?v=1")
    assert answer.headers["content-type"] == "image/webp"
    assert "immutable" in answer.headers["cache-control"]
    picture = Image.open(BytesIO(answer.content)).convert("RGBA")
    assert abs(picture.width - picture.height) <= 2
    assert picture.getpixel((1, 1))[3] == 0  # type: ignore[index]
    red, green, blue, alpha = picture.getpixel((picture.width // 2, picture.height // 2))  # type: ignore[misc]
    assert (alpha, green > red, green > blue) == (255, True, True)


def test_a_pages_picture_is_the_whole_page_and_small_where_that_is_asked(standing_worktable: Client) -> None:
    whole = Image.open(BytesIO(standing_worktable.get("/api/pictures/orchard-scraps/pages/p01").content))
    small = Image.open(
        BytesIO(standing_worktable.get("/api/pictures/orchard-scraps/pages/p01?small").content)
    )
    assert max(small.size) <= 340 < max(whole.size)
    for picture in (whole, small):
        assert abs(picture.width / picture.height - 8.5 / 11) < 0.01


def test_a_box_that_was_drawn_becomes_an_element_at_the_nearest_edges(worktable: Client) -> None:
    sent = {"page": "orchard-scraps/p01", "box_px": [97, 98, 303, 402], "snap": True}
    answer = worktable.post("/api/crop", json=sent).json()
    (added,) = answer["changes"][0]["added"]
    assert all(abs(got - true) <= 1 for got, true in zip(added["box_px"], (100, 100, 300, 400), strict=True))
    assert "is added" in answer["text"]


def test_a_box_that_was_typed_is_measured_from_the_pages_corner(worktable: Client) -> None:
    sides = {"left": "1 in", "top": "1 in", "width": "2 in", "height": "76.2 mm"}
    answer = worktable.post("/api/crop", json={"page": "orchard-scraps/p01", "snap": False, **sides}).json()
    assert answer["changes"][0]["added"][0]["box_px"] == [100, 100, 300, 400]


def test_a_box_beyond_the_page_is_refused(standing_worktable: Client) -> None:
    sent = {"page": "orchard-scraps/p01", "box_px": [800, 0, 900, 100]}
    answer = standing_worktable.post("/api/crop", json=sent)
    assert (answer.status_code, answer.json()["error"]["cause"]) == (400, "OutsidePage")


def test_joining_dropping_and_dividing_can_each_be_taken_back(worktable: Client) -> None:
    for what, sent, left in (
        ("join", {"ids": [CARD, TAG]}, 2),
        ("drop", {"ids": [CARD, ROUND]}, 1),
        ("divide", {"id": CARD, "at": "1 in", "level": True}, 4),
    ):
        assert worktable.post(f"/api/{what}", json=sent).status_code == 200, what
        assert len(ids(worktable)) == left
        assert worktable.post("/api/undo", json={"kit": "orchard-scraps"}).status_code == 200
        assert ids(worktable) == [CARD, TAG, ROUND]


def test_a_level_line_divides_an_element_into_an_upper_and_a_lower_part(worktable: Client) -> None:
    answer = worktable.post("/api/divide", json={"id": CARD, "at": "1 in", "level": True}).json()
    upper, lower = (element["box_px"] for element in answer["changes"][0]["added"])
    assert (upper, lower) == ([100, 100, 300, 200], [100, 200, 300, 400])


def test_a_page_is_split_again_with_a_hint_and_taken_back(worktable: Client) -> None:
    empty = {"gap": "", "rows": "", "columns": "", "whole": False}
    same = worktable.post("/api/split", json={"page": "orchard-scraps/p01", **empty}).json()
    assert "nothing is changed" in same["text"]
    answer = worktable.post("/api/split", json={"page": "orchard-scraps/p01", "rows": "2", "columns": " 3 "})
    assert answer.status_code == 200
    assert len(ids(worktable)) == 6
    assert worktable.post("/api/undo", json={"kit": "orchard-scraps"}).status_code == 200
    assert ids(worktable) == [CARD, TAG, ROUND]


def test_a_hint_that_cannot_be_is_refused_and_nothing_changes(worktable: Client) -> None:
    for hints, cause in (({"rows": "0"}, "BadOption"), ({"rows": "2", "whole": True}, "CannotCombine")):
        answer = worktable.post("/api/split", json={"page": "orchard-scraps/p01", **hints})
        assert (answer.status_code, answer.json()["error"]["cause"]) == (400, cause)
    assert ids(worktable) == [CARD, TAG, ROUND]
