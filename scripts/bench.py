"""Figures, as ratios against a floor measured in the same run: ``python3 scripts/bench.py [NAME ...]``.

Each module in `scripts/benches` is one bench with a function ``run(report)``; without names all are run.
Absolute times depend on the machine and what else it does, so a figure to quote is a median of ratios.
"""

from __future__ import annotations

import importlib
import subprocess
import sys
from pathlib import Path

from environment import CHECKS, ROOT, ready

FOLDER = Path(__file__).resolve().parent / "benches"


def names() -> list[str]:
    """Every bench there is."""
    return sorted(path.stem for path in FOLDER.glob("*.py") if not path.stem.startswith("_"))


def main() -> int:
    """Run the benches asked for; 0 if each ran to its end."""
    python = ready(CHECKS)
    if Path(sys.prefix) != ROOT / ".venv":
        return subprocess.run([python, __file__, *sys.argv[1:]], check=False).returncode
    sys.path.insert(0, str(FOLDER.parent))
    wanted = sys.argv[1:] or names()
    unknown = [name for name in wanted if name not in names()]
    if unknown:
        print(f"There is no bench {', '.join(unknown)}; there are {', '.join(names())}.")
        return 2
    for name in wanted:
        print(f"\n== {name}", flush=True)
        importlib.import_module(f"benches.{name}").run(lambda line: print(line, flush=True))
    return 0


if __name__ == "__main__":
    sys.exit(main())
