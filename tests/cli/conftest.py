"""Runs commands as a person types them, on a shelf with a small kit drawn here."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageDraw

from kitprep.cli.main import main


@dataclass(frozen=True)
class Ran:
    """What one command did."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        return json.loads(self.out)


Run = Callable[..., Ran]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run `kitprep` in this process."""

    def ran(*words: str) -> Ran:
        monkeypatch.setattr("sys.argv", ["kitprep", *words])
        capsys.readouterr()
        try:
            code = main()
        except SystemExit as stop:
            code = int(stop.code or 0)
        shown = capsys.readouterr()
        return Ran(code, shown.out, shown.err)

    return ran


def draw_kit_page(path: Path, ppi: float | None = 300) -> Path:
    """A letter page with a noisy paper, a tag and two stamps, far apart on white."""
    page = Image.new("RGB", (2550, 3300), "white")
    texture = Image.effect_noise((1200, 1500), 40).convert("RGB")
    page.paste(texture, (150, 150))
    draw = ImageDraw.Draw(page)
    draw.rectangle((1600, 150, 2199, 1049), fill="#8a5a2b")
    draw.rectangle((1600, 1300, 1899, 1659), fill="#274a78")
    draw.rectangle((2050, 1300, 2349, 1659), fill="#2f6b3c")
    if ppi is None:
        page.save(path, quality=92)
    else:
        page.save(path, dpi=(ppi, ppi), quality=92)
    return path


@pytest.fixture
def shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty shelf that commands use."""
    place = tmp_path / "shelf"
    monkeypatch.setenv("KITPREP_SHELF", str(place))
    monkeypatch.chdir(tmp_path)
    return place


@pytest.fixture
def kit(shelf: Path, run: Run, tmp_path: Path) -> Path:
    """The shelf with one kit of one page on it."""
    folder = tmp_path / "Dusk Row"
    folder.mkdir()
    draw_kit_page(folder / "page-1.jpg")
    (folder / "terms of use.txt").write_text("For your own cards.", encoding="utf-8")
    assert run("import", str(folder), "--maker", "Quillmoss Paper Room").code == 0
    return shelf
