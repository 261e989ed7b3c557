"""A fold line and a quarter turn follow the picture: read off the rendered sheet."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from measure import Engine, rendered
from PIL import Image, ImageDraw

from kitprep import SheetFiles, import_kit, make_sheets
from kitprep.jobs.importing import ImportOptions

PPI = 300
LINE_AT, BLUE_FROM = 2.0, 5.0
"""Inches from the picture's left edge: where a dark line is drawn, and where its blue end begins."""


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    """A picture of 6 by 2 in, orange, with a dark line a third of the way across and a blue right end."""
    picture = Image.new("RGB", (1800, 600), (230, 150, 60))
    draw = ImageDraw.Draw(picture)
    draw.rectangle((597, 0, 602, 599), fill=(20, 20, 20))
    draw.rectangle((1500, 0, 1799, 599), fill=(60, 90, 200))
    picture.save(tmp_path / "panel.png", dpi=(PPI, PPI))
    import_kit(
        [tmp_path / "panel.png"], options=ImportOptions(name="Folds", whole=True), shelf=tmp_path / "shelf"
    )
    return tmp_path / "shelf"


def rows_of(seen: np.ndarray) -> float:
    """Where the middle of what is seen lies, from the top."""
    assert seen.any()
    return float(np.flatnonzero(seen.any(axis=1)).mean()) + 0.5


@pytest.mark.parametrize(
    ("paper", "may_turn", "turned"),
    [("3 x 8 in", "true", True), ("8 x 4 in", "true", False), ("8 x 8 in", "false", False)],
)
@pytest.mark.parametrize("size", [6.0, 4.5])
@pytest.mark.parametrize("engine", list(Engine))
def test_a_fold_is_ticked_at_its_place_in_the_picture_however_the_piece_is_turned(
    shelf: Path, tmp_path: Path, paper: str, may_turn: str, turned: bool, size: float, engine: Engine
) -> None:
    """The picture shrinks with its size, and so does the place of the line; a score is asked for there."""
    line_at = LINE_AT * size / 6
    makelist = tmp_path / "list.toml"
    makelist.write_text(
        f'title = "Folds"\nunit = "in"\npaper = "{paper}"\nbleed = "1/16 in"\n'
        f'[[piece]]\nelement = "folds/p01-01"\nsize = "{size} in wide"\nscore = ["{line_at} in"]\nturn = {may_turn}\n'
    )
    report = make_sheets(makelist, SheetFiles(tmp_path / "sheet.pdf"), shelf=shelf)
    piece = report.papers[0].sheets[0].pieces[0]
    assert piece.turned == turned
    page = rendered(tmp_path / "sheet.pdf", PPI, engine, 0)
    trim = piece.trim
    sides = (side.pixels(PPI) for side in (trim.left, trim.top, trim.right, trim.bottom))
    left, top, right, bottom = (round(side) for side in sides)
    if not turned:  # look at the sheet so that the fold always runs across
        page = page.swapaxes(0, 1)
        left, top, right, bottom = top, left, bottom, right
    inside = page[top:bottom, left + 5 : right - 5].astype(int)
    drawn = top + rows_of((inside.max(axis=2) < 90).mean(axis=1, keepdims=True) > 0.9)
    inner = slice(round(drawn) - 150, round(drawn) + 150)  # clear of the corners' marks and of the label
    ticks = [page[inner, left - 75 : left - 20], page[inner, right + 20 : right + 75]]
    found = [inner.start + rows_of(part.max(axis=2) < 128) for part in ticks if part.size]
    assert len(found) == 2
    assert found == pytest.approx([drawn, drawn], abs=1.5)
    blue = top + rows_of(((inside[..., 2] > 150) & (inside[..., 0] < 120)).mean(axis=1, keepdims=True) > 0.9)
    assert abs(blue - drawn) == pytest.approx((5.5 - LINE_AT) * size / 6 * PPI, abs=3)
