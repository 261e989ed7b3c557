"""The project's own virtual environment, made with the standard library alone.

`ready` makes `.venv` beside the project, installs one lock file into it by hash, and links the project
itself in. What was installed is written to a stamp inside the environment, so that the second time
costs nothing.
"""

from __future__ import annotations

import hashlib
import locale
import os
import shutil
import subprocess
import sys
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
RUNTIME = "requirements.lock"
CHECKS = "requirements-dev.lock"
OLDEST = (3, 11)


def ready(lock: str) -> Path:
    """Make the environment ready and give its Python.

    Parameters
    ----------
    lock : str
        `RUNTIME` for what kitprep itself needs, `CHECKS` for that and the tools of the checks.

    Raises
    ------
    SystemExit
        With one sentence, if this Python is too old or the packages cannot be installed.
    """
    if sys.version_info < OLDEST:
        raise SystemExit(
            f"This needs Python {OLDEST[0]}.{OLDEST[1]} or newer; this one is {sys.version.split()[0]}."
        )
    folder = ROOT / ".venv"
    python = folder / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    stamps = folder / "installed"
    wanted = _fingerprint(ROOT / lock)
    if not _works(python):
        print("Making the environment .venv ...", flush=True)
        shutil.rmtree(folder, ignore_errors=True)
        try:
            venv.create(folder, with_pip=True)
        except (OSError, subprocess.CalledProcessError) as error:
            raise SystemExit(
                f"The environment .venv could not be made ({error}); "
                "on some systems the package python3-venv has to be installed first."
            ) from None
    done = stamps.read_text(encoding="utf-8").split() if stamps.exists() else []
    if wanted not in done:
        print(f"Installing the locked packages of {lock} (once) ...", flush=True)
        _install(python, ROOT / lock)
        # The checks' lock holds every version of the runtime's lock, so it serves for both.
        serves = [wanted, _fingerprint(ROOT / RUNTIME)] if lock == CHECKS else [wanted]
        stamps.write_text("\n".join(serves) + "\n", encoding="utf-8")
    return python


def _fingerprint(lock: Path) -> str:
    return hashlib.sha256(lock.read_bytes() + sys.version.encode()).hexdigest()


def _works(python: Path) -> bool:
    if not python.exists():
        return False
    try:
        probe = subprocess.run([python, "-c", "import pip"], capture_output=True, check=False, timeout=60)
    except (OSError, subprocess.TimeoutExpired):
        return False
    return probe.returncode == 0


def _install(python: Path, lock: Path) -> None:
    command = [python, "-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--no-deps"]
    done = subprocess.run([*command, "--require-hashes", "-r", lock], check=False)
    if done.returncode != 0:
        raise SystemExit(
            f"The packages of {lock.name} could not be installed; check the network and try again."
        )
    where = subprocess.run(
        [python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))"],
        capture_output=True,
        text=True,
        check=True,
    )
    # Python reads path files in the system's encoding before 3.13, in UTF-8 since.
    encoding = "utf-8" if sys.version_info >= (3, 13) else locale.getpreferredencoding(False)
    (Path(where.stdout.strip()) / "kitprep-project.pth").write_text(f"{ROOT}\n", encoding=encoding)
