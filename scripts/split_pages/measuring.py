"""Runs kitprep on a composed page as an import does, and takes its time against one full decode.

The floor of a picture page is one full decode by Pillow; a PDF has none, so its floor is one rendering by MuPDF
at 300 PPI, and no target is set for it.
"""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import cv2
import pymupdf
from PIL import Image

from .reading import look_and_split
from .scoring import PageScore, score_page, with_clusters_as_one
from .truth import PageTruth, read_truth

ROUNDS = 3
PPI = 300
PEAK = """
import sys
from pathlib import Path
sys.path[:0] = sys.argv[2:]
from split_pages.reading import look_and_split
look_and_split(Path(sys.argv[1]))
lines = Path("/proc/self/status").read_text().splitlines()
print(next(line.split()[1] for line in lines if line.startswith("VmHWM")))
"""


@dataclass(frozen=True)
class Measured:
    """A page and its figures.

    Attributes
    ----------
    truth : PageTruth
        What is on it.
    score : PageScore
        How well it came apart.
    clustered : PageScore or None
        The same with things that overlap counted as one; None where nothing does.
    """

    truth: PageTruth
    score: PageScore
    clustered: PageScore | None


def measure(path: Path) -> Measured:
    """Measure one page.

    Parameters
    ----------
    path : Path
        Its truth, beside the page itself.
    """
    cv2.setNumThreads(1)
    truth = read_truth(path)
    page = path.with_name(truth.file)
    look, elements = look_and_split(page)
    scale = truth.size_px[0] / look.page.size_px[0], truth.size_px[1] / look.page.size_px[1]
    score = score_page(truth.elements, elements, scale)
    clustered = None
    if any(element.cluster >= 0 for element in truth.elements):
        clustered = score_page(with_clusters_as_one(truth.elements), elements, scale)
    return Measured(truth, score, clustered)


def cpu_ratio(page: Path) -> float:
    """CPU time of reading a page reduced and splitting it, to that of the floor, taken by turns.

    Only right while nothing else runs: memory that is fought over slows one of the two more than the other.
    """
    cv2.setNumThreads(1)
    look_and_split(page)
    rounds = [(_cpu_s(lambda: _floor(page)), _cpu_s(lambda: look_and_split(page))) for _ in range(ROUNDS)]
    floors, tooks = zip(*rounds, strict=True)
    return min(tooks) / min(floors)


def peak_mb(page: Path) -> float:
    """The most memory that one page takes in a process of its own, libraries included (Linux only)."""
    scripts = Path(__file__).resolve().parent.parent
    command = [sys.executable, "-c", PEAK, str(page), str(scripts), str(scripts.parent)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    return int(done.stdout.split()[-1]) / 1024


def _floor(page: Path) -> None:
    if page.suffix == ".pdf":
        with pymupdf.open(page) as document:
            document[0].get_pixmap(dpi=PPI)
    else:
        with Image.open(page) as picture:
            picture.load()


def _cpu_s(work: Callable[[], object]) -> float:
    started = time.process_time()
    work()
    return time.process_time() - started
