"""The wheel that `pip install .` builds holds everything kitprep needs when it runs."""

from __future__ import annotations

import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import kitprep

ROOT = Path(__file__).resolve().parent.parent


def test_the_wheel_carries_code_fonts_page_and_licence(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--no-build-isolation"]
    subprocess.run([*command, "--wheel-dir", tmp_path, ROOT], check=True, capture_output=True)
    (wheel,) = tmp_path.glob("kitprep-*.whl")
    names = set(zipfile.ZipFile(wheel).namelist())
    package = {path.relative_to(ROOT).as_posix() for path in (ROOT / "kitprep").rglob("*") if path.is_file()}
    wanted = {name for name in package if "__pycache__" not in name}
    assert wanted <= names
    assert any(name.endswith("licenses/LICENSE") for name in names)


def test_every_public_name_can_be_had() -> None:
    for name in kitprep.__all__:
        assert getattr(kitprep, name) is not None
    assert sorted(kitprep.__all__) == kitprep.__all__


def test_the_locks_hold_every_package_that_the_project_names() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    runtime = (ROOT / "requirements.lock").read_text(encoding="utf-8")
    checks = (ROOT / "requirements-dev.lock").read_text(encoding="utf-8")
    for requirement in project["project"]["dependencies"]:
        name = requirement.split(">")[0]
        assert f"\n{name}==" in f"\n{runtime}"
        assert f"\n{name}==" in f"\n{checks}"
    for requirement in project["dependency-groups"]["dev"]:
        assert f"\n{requirement.split('>')[0]}==" in f"\n{checks}"


def test_both_locks_name_the_same_versions() -> None:
    def versions(file: str) -> set[str]:
        lines = (ROOT / file).read_text(encoding="utf-8").splitlines()
        return {
            line.split(" ;")[0].rstrip(" \\") for line in lines if "==" in line and not line.startswith(" ")
        }

    assert versions("requirements.lock") <= versions("requirements-dev.lock")
