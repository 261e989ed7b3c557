"""A shelf with a small kit drawn for the purpose, and a worktable open on it."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from shutil import copytree
from threading import Thread
from typing import Any

import pytest
from httpx import Client, Response
from PIL import Image, ImageDraw
from worktable.worktable_fixtures import Finish

from kitprep.jobs.importing import ImportOptions, import_kit
from kitprep.worktable.app import create_app
from kitprep.worktable.guards import own_hosts
from kitprep.worktable.serving import listening, make_server


def draw_page(path: Path, ppi: int = 100) -> None:
    """A letter page: a russet card of 2 x 3 in, a blue tag of 1 x 1 1/2 in, a green round of 1 1/2 in."""
    page = Image.new("RGB", (int(8.5 * ppi), 11 * ppi), "white")
    pen = ImageDraw.Draw(page)
    boxes = {"#98431d": (1, 1, 3, 4), "#27406e": (4, 1, 5, 2.5)}
    for colour, box in boxes.items():
        pen.rectangle(
            [round(side * ppi) for side in box[:2]] + [round(side * ppi) - 1 for side in box[2:]], colour
        )
        for dot in range(40):  # something to look at, so that sharpness can be measured
            x, y = box[0] + 0.2 + dot * 37 % 60 / 100, box[1] + 0.2 + dot * 53 % 110 / 100
            pen.ellipse([round(x * ppi), round(y * ppi), round(x * ppi) + 4, round(y * ppi) + 4], "#f3e2d4")
    pen.ellipse([round(side * ppi) for side in (1, 6, 2.5, 7.5)], "#3c6e47")
    page.save(path, dpi=(ppi, ppi))


@pytest.fixture(scope="session")
def bought(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder as one would buy it, with its terms."""
    folder = tmp_path_factory.mktemp("bought") / "orchard-scraps"
    folder.mkdir()
    draw_page(folder / "page 1.png")
    (folder / "terms of use.txt").write_text("For your own cards. Quillmoss Paper Room", encoding="utf-8")
    return folder


@pytest.fixture(scope="session")
def stocked(tmp_path_factory: pytest.TempPathFactory, bought: Path) -> Path:
    """A shelf with that kit, which no test changes."""
    folder = tmp_path_factory.mktemp("stocked") / "shelf"
    import_kit([bought], options=ImportOptions(maker="Quillmoss Paper Room"), shelf=folder)
    return folder


@pytest.fixture
def shelf(tmp_path: Path, stocked: Path) -> Path:
    """A shelf of the test's own with that kit."""
    return Path(copytree(stocked, tmp_path / "shelf"))


@contextmanager
def _open(shelf: Path) -> Iterator[Client]:
    """A client that asks a real server as the worktable's own page does."""
    with listening(0) as listener:
        port = listener.getsockname()[1]
        server = make_server(create_app(shelf, own_hosts(port)))
        thread = Thread(target=server.run, kwargs={"sockets": [listener]})
        thread.start()
        address = f"http://127.0.0.1:{port}"
        try:
            with Client(base_url=address, headers={"Origin": address}, timeout=20) as client:
                yield client
        finally:
            server.should_exit = True
            thread.join()


@pytest.fixture(scope="session")
def standing_worktable(stocked: Path) -> Iterator[Client]:
    """For tests that change nothing on the shelf: one for all of them."""
    with _open(stocked) as client:
        yield client


@pytest.fixture
def worktable(shelf: Path) -> Iterator[Client]:
    with _open(shelf) as client:
        yield client


@pytest.fixture
def empty_worktable(tmp_path: Path) -> Iterator[Client]:
    with _open(tmp_path / "empty shelf") as client:
        yield client


@pytest.fixture
def finish() -> Finish:
    """Waits for a long work and gives its last report."""

    def wait(client: Client, begun: Response) -> dict[str, Any]:
        assert begun.status_code == 200, begun.text
        report = begun.json()
        while report["state"] == "working":
            time.sleep(0.02)
            report = client.get(f"/api/works/{report['work']}").json()
        return dict(report)

    return wait
