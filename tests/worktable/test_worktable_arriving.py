"""Bringing a kit in through the page."""

from __future__ import annotations

import socket
import time
from pathlib import Path
from zipfile import ZipFile

import pytest
from httpx import Client
from worktable.worktable_fixtures import Finish

from kitprep.jobs.arriving import why_not_stored


def upload(client: Client, files: dict[str, bytes]) -> str:
    name = str(client.post("/api/uploads").json()["upload"])
    for path, content in files.items():
        answer = client.put(f"/api/uploads/{name}/{path}", content=content)
        assert answer.status_code == 200, answer.text
    return name


def contents(folder: Path) -> dict[str, bytes]:
    return {f"{folder.name}/{path.name}": path.read_bytes() for path in folder.iterdir()}


def test_a_folder_that_is_dropped_becomes_a_kit_with_its_terms(
    empty_worktable: Client, bought: Path, finish: Finish
) -> None:
    sent = {"upload": upload(empty_worktable, contents(bought)), "maker": "Quillmoss Paper Room"}
    report = finish(empty_worktable, empty_worktable.post("/api/imports", json=sent))
    assert (report["state"], report["answer"]["kit"], report["answer"]["terms"]) == (
        "done",
        "orchard-scraps",
        True,
    )
    assert len(report["answer"]["pages"][0]["elements"]) == 3
    assert empty_worktable.post("/api/imports", json=sent).status_code == 404  # nothing of it is kept twice
    (kit,) = empty_worktable.get("/api/kits").json()["kits"]
    assert (kit["maker"], kit["elements"]) == ("Quillmoss Paper Room", 3)


def test_a_zip_without_terms_is_brought_in_and_says_so(
    empty_worktable: Client, bought: Path, tmp_path: Path, finish: Finish
) -> None:
    with ZipFile(tmp_path / "lantern.zip", "w") as archive:
        archive.write(bought / "page 1.png", "page 1.png")
    name = upload(empty_worktable, {"lantern.zip": (tmp_path / "lantern.zip").read_bytes()})
    report = finish(
        empty_worktable, empty_worktable.post("/api/imports", json={"upload": name, "name": "Lantern"})
    )
    assert report["answer"]["name"] == "Lantern"
    (warning,) = [one for one in report["answer"]["warnings"] if one["code"] == "terms"]
    assert "not recorded" in warning["text"]


def test_the_same_files_again_are_the_same_kit(worktable: Client, bought: Path, finish: Finish) -> None:
    sent = {"upload": upload(worktable, contents(bought))}
    assert finish(worktable, worktable.post("/api/imports", json=sent))["answer"]["known"] is True


def test_what_is_said_anew_of_a_known_kit_is_kept_and_told(
    worktable: Client, bought: Path, finish: Finish
) -> None:
    def again(**said: str) -> str:
        sent = {"upload": upload(worktable, contents(bought)), **said}
        return str(finish(worktable, worktable.post("/api/imports", json=sent))["answer"]["changes"])

    assert again() == "nothing was changed"
    assert (
        again(maker="Lantern Press", terms="Ask first.")
        == "its maker is changed and its terms of use are changed"
    )
    assert again(page_size="12 x 12 in") == "its resolution is changed"
    whole = worktable.get("/api/kits/orchard-scraps").json()
    assert (whole["maker"], whole["terms"]) == ("Lantern Press", "Ask first.")
    assert whole["pages"][0]["ppi"] != [100, 100]


def test_a_kit_is_brought_in_though_another_is_begun_meanwhile(
    empty_worktable: Client, bought: Path, finish: Finish
) -> None:
    sent = {"upload": upload(empty_worktable, contents(bought))}
    other = upload(empty_worktable, {"a.png": b"x"})
    begun = empty_worktable.post("/api/imports", json=sent)
    upload(empty_worktable, {})
    assert finish(empty_worktable, begun)["state"] == "done"
    assert empty_worktable.put(f"/api/uploads/{other}/b.png", content=b"x").status_code == 200


def test_a_file_can_be_sent_again_and_the_last_one_is_brought_in(
    empty_worktable: Client, bought: Path, finish: Finish
) -> None:
    name = upload(empty_worktable, {"page.png": b"half"})
    whole = (bought / "page 1.png").read_bytes()
    assert empty_worktable.put(f"/api/uploads/{name}/page.png", content=whole).status_code == 200
    report = finish(empty_worktable, empty_worktable.post("/api/imports", json={"upload": name}))
    assert report["state"] == "done"


def test_a_file_that_was_broken_off_leaves_nothing_and_can_be_sent_again(
    empty_worktable: Client, bought: Path, finish: Finish, capfd: pytest.CaptureFixture[str]
) -> None:
    name = upload(empty_worktable, {})
    at = empty_worktable.base_url
    with socket.create_connection((at.host, at.port or 80)) as line:
        head = f"PUT /api/uploads/{name}/page.png HTTP/1.1\r\nHost: {at.host}:{at.port}\r\n"
        line.sendall(f"{head}Origin: {str(at).rstrip('/')}\r\nContent-Length: 99999\r\n\r\nhalf".encode())
        time.sleep(0.2)
    time.sleep(0.2)
    whole = (bought / "page 1.png").read_bytes()
    answer = empty_worktable.put(f"/api/uploads/{name}/page.png", content=whole)
    assert answer.status_code == 200, answer.text
    report = finish(empty_worktable, empty_worktable.post("/api/imports", json={"upload": name}))
    assert report["state"] == "done"
    assert "Traceback" not in capfd.readouterr().err


def test_a_file_that_is_no_picture_fails_with_its_sentence_and_can_be_tried_again(
    empty_worktable: Client, finish: Finish
) -> None:
    sent = {"upload": upload(empty_worktable, {"page.jpg": b"no picture"})}
    for _ in range(2):
        report = finish(empty_worktable, empty_worktable.post("/api/imports", json=sent))
        assert report["state"] == "failed"
        assert report["error"]["text"].startswith("page.jpg")
    assert empty_worktable.get("/api/kits").json()["kits"] == []


def test_a_page_size_that_is_none_is_refused_before_anything_is_read(worktable: Client, bought: Path) -> None:
    sent = {"upload": upload(worktable, contents(bought)), "page_size": "lettre"}
    answer = worktable.post("/api/imports", json=sent)
    assert (answer.status_code, answer.json()["error"]["cause"]) == (400, "UnknownPaper")


@pytest.mark.parametrize(
    "path",
    ["..%2Fescaped.png", "a/..%2F..%2Fescaped.png", "%2Fescaped.png", "a%5Cb.png", "D:/x.jpg", "D%3Ax.jpg",
     "a.jpg:stream", "con/x.jpg", "a/NUL.png", ".%20./x.jpg", "a%00.png"],
)  # fmt: skip
def test_a_file_cannot_be_put_outside_its_upload_on_any_system(worktable: Client, path: str) -> None:
    name = upload(worktable, {})
    answer = worktable.put(f"/api/uploads/{name}/{path}", content=b"x")
    assert (answer.status_code, answer.json()["error"]["cause"]) == (422, "CannotWrite")
    assert answer.json()["error"]["text"].endswith("; rename it and drop it again.")


def test_a_name_that_only_windows_cannot_store_is_taken_in(worktable: Client) -> None:
    assert why_not_stored("Tags/Which one?.png") is None
    upload(worktable, {"Tags/console (1).png": b"x", "..tags/.hidden.png": b"x"})


@pytest.mark.parametrize("name", ["..", "%2E%2E", "none"])
def test_files_of_an_upload_that_was_not_begun_are_refused(worktable: Client, name: str) -> None:
    assert worktable.put(f"/api/uploads/{name}/a.png", content=b"x").status_code == 404
    assert worktable.post("/api/imports", json={"upload": name}).status_code == 404
