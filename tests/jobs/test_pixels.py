"""What is held of pages while their pieces are checked and prepared."""

from __future__ import annotations

import sys
import tracemalloc
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from kitprep import import_kit
from kitprep.errors import NoSuchElement
from kitprep.files.makelist import piece_from_text
from kitprep.files.shelf import Shelf
from kitprep.jobs.importing import ImportOptions
from kitprep.jobs.pixels import BYTES_HELD, PageReader
from kitprep.jobs.planning import PlanOptions, plan_pieces
from kitprep.lengths import ZERO, inches

PAGES, SIDE = 5, 2000
"""Each page has 12 million bytes: two may be held, and never all five."""


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Shelf:
    """A kit of five pages, each one element."""
    folder = tmp_path_factory.mktemp("pages")
    for number in range(PAGES):
        page = Image.effect_noise((SIDE, SIDE), 20 + 5 * number).convert("RGB")
        page.save(folder / f"{number}.png", dpi=(300, 300), compress_level=1)
    import_kit([folder], options=ImportOptions(name="Dusk Row", whole=True), shelf=folder / "shelf")
    return Shelf(folder / "shelf")


def test_pages_beyond_the_limit_are_let_go_of(shelf: Shelf) -> None:
    kit = shelf.kit("dusk-row")
    reader = PageReader(shelf)
    tracemalloc.start()
    try:
        for page in kit.pages:
            reader.read(kit, page, page.box)
        held, _ = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert SIDE * SIDE * 3 <= held < BYTES_HELD + 2_000_000


def test_elements_of_one_page_share_its_pixels(shelf: Shelf) -> None:
    kit = shelf.kit("dusk-row")
    reader = PageReader(shelf)
    first, other = (reader.read(kit, page, page.box) for page in kit.pages[:2])
    assert np.shares_memory(first, reader.read(kit, kit.pages[0], kit.pages[0].box))
    assert not np.shares_memory(first, other)


class _Reads:
    """Counts how often Python opens each of a kit's originals."""

    def __init__(self) -> None:
        self.counting = False
        self.files: list[str] = []
        sys.addaudithook(self._heard)

    def _heard(self, event: str, words: tuple[object, ...]) -> None:
        if self.counting and event == "open" and "originals" in str(words[0]):
            self.files.append(Path(str(words[0])).name)


def test_pieces_that_take_turns_between_pages_read_each_page_in_one_go(shelf: Shelf) -> None:
    """Measured and made ready together: a page is not gone back to once another was opened."""
    texts = [f"p0{page}-01, {size} in wide, 1" for size in (1, 2) for page in range(1, PAGES + 1)]
    wanted = [piece_from_text(text) for text in texts]
    reads = _Reads()
    reads.counting = True
    planned = plan_pieces(shelf, wanted, PlanOptions(inches("1/8")))
    reads.counting = False
    assert [piece.wanted for piece in planned.pieces] == wanted
    turns = [name for at, name in enumerate(reads.files) if at == 0 or reads.files[at - 1] != name]
    assert len(set(turns)) == PAGES
    assert len(turns) == PAGES


class _Told:
    """Remembers what was started."""

    def __init__(self) -> None:
        self.started: list[str] = []

    def start(self, doing: str, steps: int) -> None:  # noqa: ARG002
        self.started.append(doing)

    def step(self, done: str) -> None: ...

    def finish(self) -> None: ...


def test_a_back_that_is_not_there_is_told_before_any_picture_is_read(shelf: Shelf) -> None:
    told = _Told()
    options = PlanOptions(ZERO, back="dusk-row/p01-77")
    with pytest.raises(NoSuchElement, match="p01-77"):
        plan_pieces(shelf, [piece_from_text("p01-01, 1 in wide, 1")], options, told)
    assert told.started == []
