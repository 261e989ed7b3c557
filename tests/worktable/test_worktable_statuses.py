"""Every family of errors has its status, and every error its sentence in the words of the page."""

from __future__ import annotations

from pathlib import Path

import pytest
from httpx import Client
from test_errors import FAMILIES, causes, sample

from kitprep.errors import (
    KitprepError,
    LockedFile,
    NotFound,
    OutputExists,
    PortTaken,
    ShelfProblem,
    UnusableFile,
    WrongUse,
)
from kitprep.jobs.findings import AssumedPpi, BadPage, NothingFound, TermsNotRecorded
from kitprep.worktable import words
from kitprep.worktable.statuses import STATUSES, status

NEVER_ON_THE_PAGE = {
    OutputExists,
    PortTaken,
}  # it writes no files but its own, and shows nothing before it listens


def test_every_family_has_its_own_status() -> None:
    assert {WrongUse: 400, UnusableFile: 422, NotFound: 404, ShelfProblem: 409} == STATUSES
    assert set(STATUSES) == set(FAMILIES)


@pytest.mark.parametrize("cause", [one for one in causes() if one not in NEVER_ON_THE_PAGE])
def test_a_sentence_of_the_page_never_names_the_command_line(cause: type[KitprepError]) -> None:
    error = sample(cause)
    assert status(error) in STATUSES.values()
    text = words.error(error)["text"]
    assert "--" not in text
    assert "'kitprep" not in text
    assert text.casefold().startswith(error.what.casefold())
    assert text.endswith(".")


@pytest.mark.parametrize(
    "finding",
    [
        AssumedPpi("p01", 300.0),
        BadPage("tags.pdf", LockedFile("tags.pdf")),
        NothingFound("p01"),
        TermsNotRecorded("orchard", "Orchard"),
    ],
)
def test_a_warning_of_the_page_never_names_the_command_line(finding: AssumedPpi) -> None:
    text = words.warning(finding)["text"]
    assert "--" not in text
    assert "'kitprep" not in text


def test_a_warning_of_a_kit_calls_it_by_its_name_and_one_of_a_file_that_was_left_out_is_true() -> None:
    terms = words.warning(TermsNotRecorded("page-1", "Orchard by Night"))["text"]
    assert terms.startswith("The terms of use of Orchard by Night are not recorded;")
    left_out = words.warning(BadPage("tags.pdf", LockedFile("tags.pdf")))["text"]
    assert left_out.endswith("; type its password and bring that file in by itself.")


def test_a_locked_file_asks_for_its_password_on_the_page() -> None:
    assert words.error(LockedFile("tags.pdf"))["text"] == (
        "tags.pdf is locked with a password; type its password and bring it in again."
    )


def test_wrong_use_is_answered_with_400(standing_worktable: Client) -> None:
    answer = standing_worktable.post("/api/undo", json={"kit": "orchard-scraps"})
    assert answer.status_code == 400
    assert answer.json()["error"]["cause"] == "NothingToUndo"


def test_a_file_that_cannot_be_used_is_answered_with_422(standing_worktable: Client) -> None:
    answer = standing_worktable.post(
        "/api/makelist/read", json={"name": "supper.toml", "text": "paper = 'letter'\nmargins = 1"}
    )
    assert answer.status_code == 422
    assert "supper.toml, line 2" in answer.json()["error"]["text"]


def test_what_is_not_there_is_answered_with_404(standing_worktable: Client) -> None:
    assert standing_worktable.get("/api/kits/no-such-kit").status_code == 404
    assert standing_worktable.get("/api/pictures/orchard-scraps/elements/p01-99").status_code == 404
    assert standing_worktable.get("/api/works/none").status_code == 404
    assert standing_worktable.get("/nowhere").status_code == 404


def test_a_damaged_shelf_is_answered_with_409(worktable: Client, shelf: Path) -> None:
    (shelf / "kits" / "orchard-scraps" / "kit.toml").write_text("name = ", encoding="utf-8")
    answer = worktable.get("/api/kits/orchard-scraps")
    assert answer.status_code == 409
    assert "damaged" in answer.json()["error"]["text"]
    assert "orchard-scraps" in worktable.get("/api/kits").json()["problems"]


@pytest.mark.parametrize("content", [b"{", b"[]", b'{"kit": 3}', b"\xff"])
def test_a_request_that_is_not_the_pages_own_is_wrong_use(standing_worktable: Client, content: bytes) -> None:
    assert standing_worktable.post("/api/undo", content=content).status_code == 400
