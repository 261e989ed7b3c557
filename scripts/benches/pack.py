"""Figures of the packer, beside rectpack and beside published tables.

Sheets, share proved least, times and cuts on the jobs of `tests/data/packing`, and on the classic
instances there (classes 1 to 10 of Berkey and Wang, Martello and Vigo; sources in that folder's README).
Of the classic instances one in ten is taken, or one in so many as `CLASSIC_EVERY` says in the environment;
1 takes all 500 both ways (some fifteen minutes) and prints the published table beside them.
"""

from __future__ import annotations

import json
import os
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from statistics import median

ROOT = Path(__file__).resolve().parent.parent.parent
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from pack.packing_judge import DATA, Case, cases, faults  # noqa: E402
from pack.rectpack_reference import GUILLOTINE, MAXIMAL_RECTANGLES, fewest_sheets  # noqa: E402

from kitprep.lengths import ZERO, Length, Size, inches  # noqa: E402
from kitprep.pack import CutMode, Packing, PackItem, pack  # noqa: E402
from kitprep.papers import LETTER, NO_MARGINS, Margins, Paper  # noqa: E402

Report = Callable[[str], None]


@dataclass(frozen=True)
class _Run:
    case: Case
    packing: Packing
    seconds: float


def run(report: Report) -> None:
    """Print all figures."""
    every = int(os.environ.get("CLASSIC_EVERY", "10"))
    for file in ("jobs.json", "jobs_letter_a4.json"):
        _jobs(file, report)
    _thousand(report)
    for turns in (True, False):
        _classic(turns, every, report)


def _packed(case: Case, mode: CutMode) -> _Run:
    started = time.process_time()
    packing = pack(case.items, case.paper, case.margins, gap=case.gap, mode=mode)
    seconds = time.process_time() - started
    found = faults(packing, case, mode)
    if found:
        raise AssertionError(f"{case.name}: {found}")
    return _Run(case, packing, seconds)


def _jobs(file: str, report: Report) -> None:
    report(f"{file}, all judged without a fault")
    for mode, methods in ((CutMode.TRIMMER, GUILLOTINE), (CutMode.SCISSORS, MAXIMAL_RECTANGLES)):
        runs = [_packed(case, mode) for case in cases(file)]
        references = [fewest_sheets(run.case, methods) for run in runs]
        needed = [len(run.packing.sheets) for run in runs]
        worse = sum(ours > theirs for ours, theirs in zip(needed, references, strict=True))
        report(
            f"  {mode.value}: {sum(needed)} sheets, at least {sum(run.packing.bound for run in runs)}; "
            f"best of {len(methods)} rectpack methods in 4 orders {sum(references)}, fewer on {worse} jobs"
        )
        _times(runs, report)
        if mode is CutMode.TRIMMER:
            _cutting(runs, report)


def _thousand(report: Report) -> None:
    """A thousand pieces of twenty sizes; to be placed in under 5 s."""
    items = tuple(
        PackItem(
            f"piece {number}",
            Size(sixteenth * (16 + 5 * number), sixteenth * (12 + 3 * number)),
            50,
            bleed,
            True,
        )
        for sixteenth, bleed in [(inches("1/16"), inches("1/16"))]
        for number in range(20)
    )
    case = Case("a thousand pieces", items, LETTER, Margins.even(inches("1/4")), ZERO)
    for mode in CutMode:
        run = _packed(case, mode)
        report(
            f"1000 pieces of 20 sizes, {mode.value}: {len(run.packing.sheets)} sheets, at least {run.packing.bound}, "
            f"CPU {run.seconds:.2f} s"
        )


def _times(runs: Sequence[_Run], report: Report) -> None:
    seconds = sorted(run.seconds for run in runs)
    proved = sum(run.packing.proved for run in runs)
    report(
        f"    proved least on {proved} of {len(runs)}; CPU median {median(seconds):.3f} s, "
        f"95th percentile {seconds[int(0.95 * len(seconds))]:.2f} s, longest {seconds[-1]:.2f} s"
    )


def _cutting(runs: Sequence[_Run], report: Report) -> None:
    per_piece: dict[str, list[float]] = {"with bleed or gap": [], "without": []}
    settings, moves = [], []
    for run in runs:
        spaced = bool(run.case.gap) or any(item.bleed for item in run.case.items)
        cuts = sum(len(sheet.cuts) for sheet in run.packing.sheets)
        pieces = sum(item.copies for item in run.case.items)
        per_piece["with bleed or gap" if spaced else "without"].append(cuts / pieces)
        for sheet in run.packing.sheets:
            fences = [cut.fence for cut in sheet.cuts]
            settings.append(len(set(fences)))
            moves.append(1 + sum(one != other for one, other in pairwise(fences)))
    words = [f"{median(values):.2f} {name}" for name, values in per_piece.items() if values]
    report(f"  cuts a piece, median job: {', '.join(words)}")
    report(
        f"  fence settings a sheet: median {median(settings)}, mean {sum(settings) / len(settings):.1f}, "
        f"most {max(settings)}; the fence is set {sum(moves) / len(moves):.1f} times a sheet"
    )


def _classic(turns: bool, every: int, report: Report) -> None:
    needed: Counter[int] = Counter()
    known: Counter[int] = Counter()
    runs = []
    for number, instance in enumerate(_instances()):
        if number % every == 0:
            done = _classic_run(instance, turns)
            runs.append(done)
            needed[instance["class"]] += len(done.packing.sheets)
            known[instance["class"]] += instance["best_turning" if turns else "best_fixed"]
    way = "with quarter turns" if turns else "without turns"
    report(
        f"bwmv.json {way}: {len(runs)} instances, {sum(needed.values())} sheets, least known {sum(known.values())}"
    )
    _times(runs, report)
    published = _published(turns) if every == 1 else {}
    names = list(published)
    report("    class  kitprep  least known  " + "  ".join(names))
    for number in sorted(needed):
        row = "  ".join(f"{published[name].get(number, 0):>{len(name)}}" for name in names)
        report(f"    {number:>5}  {needed[number]:>7}  {known[number]:>11}  {row}")


def _instances() -> Iterator[dict]:
    yield from json.loads((DATA / "bwmv.json").read_text(encoding="utf-8"))


def _classic_run(instance: dict, turns: bool) -> _Run:
    items = tuple(
        PackItem(f"{width} x {height}", Size(Length(width), Length(height)), 1, ZERO, turns)
        for width, height in instance["items"]
    )
    paper = Paper("bin", Size(*map(Length, instance["bin"])))
    return _packed(Case(f"class {instance['class']}", items, paper, NO_MARGINS, ZERO), CutMode.TRIMMER)


def _published(turns: bool) -> dict[str, dict[int, int]]:
    """Sums by class for every method of the published table."""
    data = json.loads((DATA / "published.json").read_text(encoding="utf-8"))
    table = data["gardeyn_wauters_2022"]["tables"]["2BP|R|G" if turns else "2BP|O|G"]
    return {
        method: {int(number): sums["All"] for number, sums in parts["classes"].items()}
        for method, parts in table.items()
    }
