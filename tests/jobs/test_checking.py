"""Checks by the caches of kits: measured once, and told where that cannot be."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from kitprep import check_elements, import_kit
from kitprep.jobs.checking import Checked
from kitprep.jobs.findings import MeasuredAnew, NotKept
from kitprep.jobs.importing import ImportOptions
from kitprep.jobs.trying import SizeTrials
from kitprep.lengths import WantedSize, inches
from kitprep.piece.wanted import WantedPiece

CACHE = Path("kits") / "dusk" / "cache"


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    """A shelf with a kit of two grainy papers on one page."""
    page = Image.new("RGB", (1700, 1100), "white")
    grain = np.random.default_rng(3).integers(40, 200, (700, 600, 3), dtype=np.uint8)
    for left in (150, 950):
        page.paste(Image.fromarray(grain), (left, 200))
    page.save(tmp_path / "page.png", dpi=(300, 300))
    import_kit([tmp_path / "page.png"], options=ImportOptions(name="Dusk"), shelf=tmp_path / "shelf")
    return tmp_path / "shelf"


def answers(checked: tuple[Checked, ...]) -> list[object]:
    return [(one.id, one.detail) for one in checked]


def test_a_damaged_cache_is_told_once_and_mended(shelf: Path) -> None:
    first = check_elements(["dusk"], shelf=shelf)
    assert len(first) == 2
    (shelf / CACHE / "measured.json").write_bytes(b"{ torn")
    second = check_elements(["dusk"], shelf=shelf)
    assert [finding for one in second for finding in one.findings] == [MeasuredAnew("dusk")]
    assert answers(second) == answers(first)
    assert all(not one.findings for one in check_elements(["dusk"], shelf=shelf))


def test_a_cache_that_cannot_be_written_is_told_once_and_the_check_answers(shelf: Path) -> None:
    first = check_elements(["dusk"], shelf=shelf)
    shutil.rmtree(shelf / CACHE)
    (shelf / CACHE).write_bytes(b"a file where the folder should be")
    second = check_elements(["dusk"], shelf=shelf)
    (finding,) = [finding for one in second for finding in one.findings]
    assert isinstance(finding, NotKept)
    assert (finding.about, Path(finding.path).parts[-1]) == ("dusk", "cache")
    assert answers(second) == answers(first)


def test_trying_sizes_tells_a_damaged_cache_once(shelf: Path) -> None:
    first = check_elements(["dusk"], shelf=shelf)[0]
    (shelf / CACHE / "measured.json").write_bytes(b"{ torn")
    trials = SizeTrials(shelf)
    wanted = WantedPiece(first.id, WantedSize(inches("1"), None))
    assert trials.grade(wanted).findings == (MeasuredAnew("dusk"),)
    assert trials.grade(wanted).findings == ()


def test_a_crop_asked_for_later_finds_its_focus_though_detail_was_measured_before(shelf: Path) -> None:
    whole = check_elements(["dusk"], shelf=shelf)
    wide = WantedSize(inches("2"), inches("1"))
    late = check_elements(["dusk"], wide, shelf=shelf)
    (shelf / CACHE / "measured.json").unlink()
    assert [one.fitting for one in late] == [
        one.fitting for one in check_elements(["dusk"], wide, shelf=shelf)
    ]
    assert [one.detail.detail for one in late] == [one.detail.detail for one in whole]
