"""The worktable answers this machine's own page and nobody else."""

from __future__ import annotations

import pytest
from httpx import Client


@pytest.mark.parametrize("host", ["orchard.example", "orchard.example:80", "127.0.0.1", "127.0.0.1:1", ""])
def test_a_request_that_names_another_host_is_refused(standing_worktable: Client, host: str) -> None:
    assert standing_worktable.get("/api/kits", headers={"Host": host}).status_code == 403


@pytest.mark.parametrize(
    "origin", ["http://orchard.example", "null", "https://127.0.0.1", "http://127.0.0.1:1"]
)
def test_a_change_asked_for_by_another_origin_is_refused(standing_worktable: Client, origin: str) -> None:
    sent = {"ids": ["orchard-scraps/p01-01"]}
    assert standing_worktable.post("/api/drop", json=sent, headers={"Origin": origin}).status_code == 403
    assert len(standing_worktable.get("/api/elements").json()["elements"]) == 3


def test_a_change_without_an_origin_is_refused(worktable: Client) -> None:
    del worktable.headers["Origin"]
    assert worktable.post("/api/undo", json={"kit": "orchard-scraps"}).status_code == 403
    assert worktable.put("/api/uploads/a/b.png", content=b"").status_code == 403


def test_another_origin_is_never_told_that_it_may_read(standing_worktable: Client) -> None:
    foreign = {"Origin": "http://orchard.example", "Access-Control-Request-Method": "POST"}
    asked = [
        standing_worktable.options("/api/kits", headers=foreign),
        standing_worktable.get("/api/kits", headers=foreign),
    ]
    assert asked[0].status_code == 403
    for answer in asked:
        assert not [name for name in answer.headers if name.startswith("access-control")]


def test_this_machine_may_be_called_localhost(standing_worktable: Client) -> None:
    host = f"localhost:{standing_worktable.base_url.port}"
    headers = {"Host": host, "Origin": f"http://{host}"}
    assert standing_worktable.get("/api/kits", headers=headers).status_code == 200
    assert (
        standing_worktable.post("/api/undo", json={"kit": "orchard-scraps"}, headers=headers).status_code
        == 400
    )


def test_the_page_may_load_nothing_but_its_own(standing_worktable: Client) -> None:
    answer = standing_worktable.get("/")
    policy = answer.headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "http" not in policy
    assert "://" not in answer.text
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["cross-origin-resource-policy"] == "same-origin"
