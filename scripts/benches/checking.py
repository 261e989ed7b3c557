"""Checking a kit of 60 elements beside decoding its pages once, and drawing what was found.

The first check measures every element; later ones take what was measured from the kit's cache. Four letter
pages at 300 pixels per inch, JPEG, of bundled photographs on white; CPU time of one process, each figure
but the first check's the least of a few rounds; of decoding and the first check, the time on the clock too.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from PIL import Image
from skimage import data

from kitprep import Checked, check_elements, draw_check, import_kit
from kitprep.jobs.importing import ImportOptions

PAGES = 4
ACROSS, DOWN = 3, 5
PAGE_PX = (2550, 3300)
PICTURES = ("astronaut", "coffee", "chelsea", "rocket", "immunohistochemistry", "camera", "brick", "coins")
ROUNDS = 3
AIM = 1.5


def run(report: Callable[[str], None]) -> None:
    """Measure and report the ratio."""
    with tempfile.TemporaryDirectory() as text:
        folder = Path(text)
        pages = [_write(folder, number) for number in range(PAGES)]
        import_kit(pages, options=ImportOptions(name="Sixty"), shelf=folder / "shelf")
        decode, waited = min(_times(lambda: _decode(pages)) for _ in range(ROUNDS))
        found: list[tuple[Checked, ...]] = []

        def check() -> None:
            found.append(check_elements(["sixty"], shelf=folder / "shelf"))

        first, waited_first = _times(check)
        later = min(_seconds(check) for _ in range(ROUNDS))
        draw = _seconds(lambda: draw_check(found[-1], folder / "board.png", shelf=folder / "shelf"))
        report(
            f"grades and largest sizes of {len(found[-1])} elements: {later:.2f} s once they are measured, "
            f"decoding their {PAGES} pages {decode:.2f} s, ratio {later / decode:.2f} (aim {AIM:g}); "
            f"the first check, which measures them, {first:.2f} s, ratio {first / decode:.1f} "
            f"(on the clock {waited_first:.2f} s beside {waited:.2f} s, ratio {waited_first / waited:.1f}); "
            f"the board of them {draw:.2f} s"
        )


def _write(folder: Path, number: int) -> Path:
    page = Image.new("RGB", PAGE_PX, "white")
    for place in range(ACROSS * DOWN):
        pixels = getattr(data, PICTURES[(place + number) % len(PICTURES)])()
        picture = Image.fromarray(pixels).convert("RGB").resize((640, 480), Image.Resampling.LANCZOS)
        page.paste(picture, (140 + place % ACROSS * 800, 140 + place // ACROSS * 620))
    path = folder / f"page-{number}.jpg"
    page.save(path, quality=92, dpi=(300, 300))
    return path


def _decode(pages: list[Path]) -> None:
    for page in pages:
        with Image.open(page) as picture:
            np.asarray(picture.convert("RGB"))


def _seconds(job: Callable[[], object]) -> float:
    return _times(job)[0]


def _times(job: Callable[[], object]) -> tuple[float, float]:
    """Seconds of CPU and on the clock."""
    computed, waited = time.process_time(), time.perf_counter()
    job()
    return time.process_time() - computed, time.perf_counter() - waited
