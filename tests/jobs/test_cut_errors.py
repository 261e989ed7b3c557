"""A knife that slips by the bleed shows no page white: cut 1/16 in off, out of the rendered sheet."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from measure import Engine, rendered
from piece.drawn_pages import circle, laid_on, opacity_of, texture
from PIL import Image

from kitprep import SheetFiles, SheetOptions, crop_element, find_elements, import_kit, make_sheets
from kitprep.jobs.importing import ImportOptions
from kitprep.jobs.values import CutMode, PixelBox
from kitprep.piece.growing import coverage
from kitprep.sheet.cut_lines import cut_lines

PPI = 300
SLIP_PX = PPI / 16 - 1.5  # a sixteenth, less the soft outer edge of the picture as it is rendered
WHITE = 225  # the drawn picture stays below 190; the page and the paper are 250 and more
FLOWER = tuple(
    (
        500 + (150 + 26 * math.cos(7 * turn)) * math.cos(turn),
        1400 + (150 + 26 * math.cos(7 * turn)) * math.sin(turn),
    )
    for turn in np.linspace(0, 2 * math.pi, 300, endpoint=False)
)
LEAN = math.radians(1.2)


def leaning(left: float, top: float, width: float, height: float) -> tuple[tuple[float, float], ...]:
    turn = [(x * math.cos(LEAN) - y * math.sin(LEAN), x * math.sin(LEAN) + y * math.cos(LEAN))
            for x, y in ((0, 0), (width, 0), (width, height), (0, height))]  # fmt: skip
    return tuple((left + x, top + y) for x, y in turn)


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A kit of one page: a card, one that leans, a disc and a flower, mottled and dark on white."""
    folder = tmp_path_factory.mktemp("slip")
    size = (1500, 1800)
    shapes = [
        ((150, 150), (950, 150), (950, 650), (150, 650)),
        leaning(200, 760, 700, 320),
        circle(1200, 400, 180),
        FLOWER,
    ]
    opacity = opacity_of([(shape, 1) for shape in shapes], size)
    Image.fromarray(laid_on(texture(*size), opacity, (255, 255, 255))).save(
        folder / "page.png", dpi=(PPI, PPI)
    )
    import_kit([folder / "page.png"], options=ImportOptions(name="Slip"), shelf=folder / "shelf")
    crop_element("slip/p01", PixelBox(400, 300, 700, 500), shelf=folder / "shelf")
    return folder / "shelf"


def slips() -> list[tuple[float, float]]:
    turns = [k * math.pi / 4 for k in range(8)]
    return [(SLIP_PX * math.cos(turn), SLIP_PX * math.sin(turn)) for turn in turns]


@pytest.mark.parametrize("size", ["own", "1.5 in wide", "1 1/8 x 1 3/8"])
@pytest.mark.parametrize("cut", list(CutMode))
def test_cut_a_sixteenth_off_in_eight_directions_no_piece_of_the_sheet_shows_white(
    shelf: Path, tmp_path: Path, size: str, cut: CutMode
) -> None:
    found = find_elements(shelf=shelf)
    assert len(found) == 5
    report = make_sheets(
        [f"{one.id}, {one.size.text() if size == 'own' else size}, 2" for one in found],
        SheetFiles(tmp_path / "sheet.pdf"),
        SheetOptions(cut=cut),
        shelf=shelf,
    )
    sheets = [sheet for made in report.papers for sheet in made.sheets]
    lines = [(number, line) for number, sheet in enumerate(sheets) for line in cut_lines(sheet)]
    assert len(lines) == 10
    for engine in Engine:
        pages = [rendered(tmp_path / "sheet.pdf", PPI, engine, page) for page in range(len(sheets))]
        for number, line in lines:
            outline = [(x.pixels(PPI), y.pixels(PPI)) for x, y in line.contour]
            for across, down in slips():
                cut_out = within(pages[number], [(x + across, y + down) for x, y in outline])
                assert len(cut_out) > 1000
                assert cut_out.min(axis=1).max() < WHITE, (line.name, engine, across, down)


def within(page: np.ndarray, outline: list[tuple[float, float]]) -> np.ndarray:
    """The pixels of a page that lie wholly within an outline on it; shape (pixels, 3)."""
    left, top = (math.floor(min(side)) - 1 for side in zip(*outline, strict=True))
    right, bottom = (math.ceil(max(side)) + 1 for side in zip(*outline, strict=True))
    assert min(left, top) >= 0
    near = tuple((x - left, y - top) for x, y in outline)
    return page[top:bottom, left:right][coverage([near], (right - left, bottom - top)) > 0.999]
