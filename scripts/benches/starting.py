"""CPU time of the quick commands, against starting Python alone."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Callable

ROUNDS = 9


def run(report: Callable[[str], None]) -> None:
    """Print CPU seconds, user and system, as medians."""
    with tempfile.TemporaryDirectory() as shelf:
        floor = _cpu([sys.executable, "-c", "pass"], shelf)
        report(f"python -c pass:  {floor:.3f} s of CPU, median of {ROUNDS}")
        for words in (["--help"], ["kits"]):
            took = _cpu([sys.executable, "-m", "kitprep", *words], shelf)
            report(
                f"kitprep {words[0]:8s} {took:.3f} s of CPU, {took / floor:.1f} x that (aim: under 0.25 s)"
            )


def _cpu(command: list[str], shelf: str) -> float:
    environment = {**os.environ, "KITPREP_SHELF": shelf}
    times = []
    for _ in range(ROUNDS):
        before = os.times()
        subprocess.run(command, env=environment, stdout=subprocess.DEVNULL, check=True)
        after = os.times()
        spent = (after.children_user - before.children_user) + (
            after.children_system - before.children_system
        )
        times.append(spent)
    return statistics.median(times)
