"""Every command is in README.md, and every command in README.md runs on a copy of the demo kit."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest
from typer.main import get_command

from kitprep.cli.app import app
from kitprep.cli.main import main

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


def commands_in_readme() -> list[list[str]]:
    """The words of each `kitprep` line of the fenced blocks, in order."""
    blocks = re.findall(r"^```\n(.*?)^```", README, flags=re.DOTALL | re.MULTILINE)
    lines = [line for block in blocks for line in block.splitlines() if line.startswith("kitprep ")]
    return [shlex.split(line)[1:] for line in lines]


def known_commands() -> set[str]:
    group = get_command(app)
    return set(group.commands)  # type: ignore[attr-defined]


def test_every_command_is_in_the_readme() -> None:
    shown = {words[0] for words in commands_in_readme()} | set(re.findall(r"`kitprep (\w+)`", README))
    assert known_commands() <= shown


def test_every_command_has_help_with_an_example() -> None:
    for name, command in get_command(app).commands.items():  # type: ignore[attr-defined]
        text = command.help or ""
        assert name == "printer" or f"kitprep {name}" in text, name


def test_every_command_of_the_readme_runs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shutil.copytree(ROOT / "demo_kit", tmp_path / "demo_kit")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("KITPREP_SHELF", str(tmp_path / "shelf"))
    ran = 0
    for words in commands_in_readme():
        monkeypatch.setattr("sys.argv", ["kitprep", *words])
        try:
            code = main()
        except SystemExit as stop:
            code = int(stop.code or 0)
        assert code == 0, f"{' '.join(words)}\n{capsys.readouterr().err}"
        ran += 1
    assert ran > 15
    for name in (
        "supper.pdf",
        "supper.png",
        "cutting.pdf",
        "stamps.pdf",
        "stamps.png",
        "beekeeper.png",
        "joined.png",
        "how.png",
        "nearer.png",
        "card.toml",
    ):
        assert (tmp_path / name).stat().st_size > 0
