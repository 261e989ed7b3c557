"""Importing a four-page kit of 300 PPI JPEG pages, against decoding its pages once with Pillow."""

from __future__ import annotations

import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from PIL import Image

ROOT = Path(__file__).resolve().parent.parent.parent
ROUNDS = 7
PAGES = 4
MANY_PAGES = 24
MEMORY = """
import resource, sys
from pathlib import Path
from kitprep import import_kit
import_kit([Path(sys.argv[1])], shelf=Path(sys.argv[2]))
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""


def run(report: Callable[[str], None]) -> None:
    """Print the ratio of times, and the peak memory for few and many pages."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        kit = _kit(folder / "kit", PAGES)
        _times(kit, folder, report)
        if sys.platform == "linux":
            for count in (PAGES, MANY_PAGES):
                peak = _peak_mb(_kit(folder / f"kit-{count}", count), folder / f"shelf-{count}")
                report(f"peak memory of an import of {count} pages: {peak:.0f} MB (aim: under 300)")


def _times(kit: Path, folder: Path, report: Callable[[str], None]) -> None:
    from kitprep import import_kit

    pages = sorted(kit.iterdir())
    ratios, imports, floors = [], [], []
    for number in range(ROUNDS + 1):
        floor = _timed(lambda: [_decode(page) for page in pages])
        shelf = folder / f"shelf-{number}"
        took = _timed(lambda shelf=shelf: import_kit([kit], shelf=shelf))
        if number:  # the first round loads the libraries
            ratios.append(took / floor)
            imports.append(took)
            floors.append(floor)
    report(f"import of {len(pages)} JPEG pages, {ROUNDS} rounds, wall time:")
    report(f"  decoding each once in full, one after the other: {statistics.median(floors) * 1000:.0f} ms")
    report(f"  import (unpack, hash, read, split, keep):        {statistics.median(imports) * 1000:.0f} ms")
    report(
        f"  ratio: median {statistics.median(ratios):.2f}, {min(ratios):.2f} to {max(ratios):.2f} (aim: at most 1.5)"
    )


def _kit(folder: Path, count: int) -> Path:
    """Pages of the demo kit as JPEG; each turned or mirrored, so that no two files are the same."""
    folder.mkdir()
    sources = sorted((ROOT / "demo_kit" / "pages").glob("*.jpg"))
    turns = [
        None,
        Image.Transpose.FLIP_LEFT_RIGHT,
        Image.Transpose.ROTATE_180,
        Image.Transpose.FLIP_TOP_BOTTOM,
    ]
    for number in range(count):
        source, turn = sources[number % len(sources)], turns[number // len(sources) % len(turns)]
        with Image.open(source) as page:
            picture = page if turn is None else page.transpose(turn)
            quality = 92 - number // (len(sources) * len(turns))
            picture.save(folder / f"page-{number + 1:02d}.jpg", quality=quality, dpi=(300, 300))
    return folder


def _decode(path: Path) -> None:
    with Image.open(path) as page:
        page.load()


def _timed(work: Callable[[], object]) -> float:
    started = time.perf_counter()
    work()
    return time.perf_counter() - started


def _peak_mb(kit: Path, shelf: Path) -> float:
    done = subprocess.run(
        [sys.executable, "-c", MEMORY, str(kit), str(shelf)], capture_output=True, text=True, check=True
    )
    shutil.rmtree(shelf, ignore_errors=True)
    return int(done.stdout.split()[-1]) / 1024
