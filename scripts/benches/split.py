"""How well pages come apart, on pages composed by ``scripts/make_split_pages.py``.

    SPLIT_PAGES=DIR python3 scripts/bench.py split

`SPLIT_PAGES` names the folder of pages. Words in `SPLIT_FAMILIES` leave the other families out. Pages kept for
the last look are scored only with ``LAST_LOOK=1``, and then alone. `SPLIT_FAILURES` names a folder into which
each page with anything wrong is drawn with what is there (blue) and what was found.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from split_pages import figures
from split_pages.making import APART, JUDGED_NAMES, NAMES, is_last_look
from split_pages.measuring import Measured, cpu_ratio, measure, peak_mb
from split_pages.overlays import overlay
from split_pages.reading import look_and_split
from split_pages.scoring import PageScore

PROCESSES = 2
TIMED = 12  # pages of each family
WHERE_PAGES = (
    "Not run: set SPLIT_PAGES to a folder of pages made by scripts/make_split_pages.py; "
    "DEVELOPERS.md says from which art."
)


def run(report: Callable[[str], None]) -> None:
    """Score every page there is, and report by kind and over all."""
    folder, last_look = os.environ.get("SPLIT_PAGES", ""), os.environ.get("LAST_LOOK") == "1"
    paths = _truths(Path(folder), last_look) if folder else []
    if not paths:
        report(WHERE_PAGES)
        return
    with ProcessPoolExecutor(PROCESSES) as pool:
        measured = list(pool.map(measure, paths, chunksize=4))
    report(f"{len(measured)} pages {'of the last look' if last_look else 'to tune on'}")
    _report(report, measured)
    _report_times(report, paths)
    if sys.platform == "linux":
        _report_memory(report, paths)
    if drawn := os.environ.get("SPLIT_FAILURES"):
        _draw_failures(measured, Path(folder), Path(drawn))


def _truths(folder: Path, last_look: bool) -> list[Path]:
    wanted = os.environ.get("SPLIT_FAMILIES", " ".join(NAMES)).split()
    paths = sorted(folder.glob("*.json"))
    return [path for path in paths if _family(path) in wanted and is_last_look(_seed(path)) == last_look]


def _family(page: Path) -> str:
    return page.stem.rsplit("-", 1)[0]


def _seed(page: Path) -> int:
    return int(page.stem.rsplit("-", 1)[1])


def _report(report: Callable[[str], None], measured: Sequence[Measured]) -> None:
    def scores_of(family: str) -> list[PageScore]:
        return [one.score for one in measured if one.truth.family == family]

    judged = {name: scores for name in JUDGED_NAMES if (scores := scores_of(name))}
    report(figures.HEADING)
    for name, scores in judged.items():
        report(figures.line(name, scores, figures.F1_AIMS[name]))
    if judged:
        together = [score for scores in judged.values() for score in scores]
        report(figures.line("all of these", together, figures.ALL_AIM))
    report("no targets for:")
    for name in APART:
        if scores := scores_of(name):
            report(figures.line(name, scores, None))
    if clustered := [one.clustered for one in measured if one.clustered]:
        report(figures.line(" as clusters", clustered, None))
    if judged:
        report("over the kinds with targets:")
        figures.report_targets(report, judged)


def _report_times(report: Callable[[str], None], paths: Sequence[Path]) -> None:
    """The first pages of each family, one after the other."""
    timed: dict[str, list[Path]] = {}
    for path in paths:
        if len(timed.setdefault(_family(path), [])) < TIMED:
            timed[_family(path)].append(_page_of(path))
    ratios = {family: [cpu_ratio(page) for page in pages] for family, pages in timed.items()}
    figures.report_times(report, ratios, {family: pages[0].suffix for family, pages in timed.items()})


def _page_of(truth: Path) -> Path:
    return next(page for page in truth.parent.glob(f"{truth.stem}.*") if page != truth)


def _report_memory(report: Callable[[str], None], paths: Sequence[Path]) -> None:
    """One page of each family, alone in a process."""
    first = {_family(path): path for path in reversed(paths)}
    peaks = [peak_mb(_page_of(path)) for path in first.values()]
    report(
        f"peak memory of a page in a process of its own, {len(peaks)} pages: "
        f"most {max(peaks):.0f} MB (aim {figures.MEMORY_AIM_MB}), median {sorted(peaks)[len(peaks) // 2]:.0f} MB"
    )


def _draw_failures(measured: Sequence[Measured], pages: Path, folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for one in measured:
        if one.score.all_right:
            continue
        look, found = look_and_split(pages / one.truth.file)
        score = one.score
        title = f"{one.truth.file}: {score.tight} of {score.there} right, {score.found} found"
        picture = overlay(
            look.raster.pixels, one.truth.elements, one.truth.size_px[0], found, look.page.size_px[0], title
        )
        picture.save(folder / f"{Path(one.truth.file).stem}.png")
