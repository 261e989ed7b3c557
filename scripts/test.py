"""Run every check of the project: ``python3 scripts/test.py``.

Makes its own environment the first time. Runs the linter, the formatter in checking mode, the type
checker and the tests, each to its end, and ends with a plain statement. Words after the command go to
pytest alone, for one test while working: ``python3 scripts/test.py tests/pack -k turn``.
"""

from __future__ import annotations

import subprocess
import sys
import time

from environment import CHECKS, ROOT, ready

CODE = ("kitprep", "tests", "scripts")


def main() -> int:
    """Run the checks; 0 if all passed."""
    started = time.monotonic()
    python = ready(CHECKS)
    chosen = sys.argv[1:]
    checks = {
        "ruff check": [python, "-m", "ruff", "check", *CODE],
        "ruff format": [python, "-m", "ruff", "format", "--check", *CODE],
        "mypy --strict": [python, "-m", "mypy"],
    }
    if chosen:
        checks = {}
    checks["pytest"] = [python, "-m", "pytest", *(chosen or ["-n", "2", "--dist", "worksteal"])]
    failed = []
    for name, command in checks.items():
        print(f"\n== {name}", flush=True)
        if subprocess.run(command, cwd=ROOT, check=False).returncode != 0:
            failed.append(name)
    took = f"{time.monotonic() - started:.0f} s"
    if failed:
        print(f"\nNot all checks passed ({took}): {', '.join(failed)} failed.")
        return 1
    print(f"\nAll checks passed ({took}): {', '.join(checks)}.")
    return 0


if __name__ == "__main__":
    sys.exit(main())
