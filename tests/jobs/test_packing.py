"""Pieces on papers: margins, the strip at the foot, blanks."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from kitprep.errors import BadOption
from kitprep.files.shelf import Shelf
from kitprep.jobs.packing import DEFAULT_MARGINS, MadeSheets, PackOptions, pack_papers
from kitprep.jobs.planning import PlanOptions, plan_pieces
from kitprep.lengths import ZERO, Box, Size, WantedSize, inches
from kitprep.pack.packing import CutMode
from kitprep.papers import A4, LETTER, NO_MARGINS, Margins, Paper
from kitprep.piece.wanted import WantedPiece


def blank(
    width: str, height: str, copies: int = 1, paper: Paper | None = None, label: str = ""
) -> WantedPiece:
    size = WantedSize(inches(width), inches(height))
    return WantedPiece("", size, copies=copies, paper=paper, label=label)


def packed(
    tmp_path: Path, *pieces: WantedPiece, margins: Margins | None = None, fill: tuple[str, ...] = ()
) -> tuple[MadeSheets, ...]:
    planned = plan_pieces(Shelf(tmp_path), pieces, PlanOptions(ZERO))
    return pack_papers(planned, PackOptions(LETTER, margins, ZERO, CutMode.TRIMMER, fill=fill))


def test_a_paper_of_blanks_alone_has_no_margins(tmp_path: Path) -> None:
    (made,) = packed(tmp_path, blank("8 1/2", "5 1/2", copies=2))
    assert made.margins == NO_MARGINS
    assert len(made.packing.sheets) == 1
    assert made.share_used(made.packing.sheets[0]) == 1


def test_margins_that_were_asked_for_hold_for_blanks_too(tmp_path: Path) -> None:
    (made,) = packed(tmp_path, blank("4", "5", copies=2), margins=DEFAULT_MARGINS)
    assert made.margins == DEFAULT_MARGINS
    for place in made.packing.sheets[0].placements:
        assert place.box.left >= inches("1/4")
        assert place.box.bottom <= inches("10 3/4")


def test_a_blank_as_wide_as_the_paper_is_cut_from_a_sheet_of_its_own(tmp_path: Path) -> None:
    shared, whole = packed(
        tmp_path, blank("3", "3"), blank("8 1/2", "11", label="base"), margins=DEFAULT_MARGINS
    )
    assert (shared.margins, whole.margins) == (DEFAULT_MARGINS, NO_MARGINS)
    assert whole.pieces == (1,)


def test_each_paper_has_its_own_sheets_numbered_through(tmp_path: Path) -> None:
    made = packed(tmp_path, blank("3", "3"), blank("5", "5", paper=A4))
    assert [(batch.paper.name, batch.sheets[0].number, batch.sheets[0].total) for batch in made] == [
        ("letter", 1, 2),
        ("A4", 2, 2),
    ]


def test_the_strip_for_check_lines_never_costs_a_sheet(tmp_path: Path) -> None:
    """Two by two of 3 x 5 1/4 in fill the height of letter within its margins, but not its width."""
    (made,) = packed(tmp_path, blank("3", "5 1/4", copies=4), margins=DEFAULT_MARGINS)
    assert len(made.packing.sheets) == 1
    assert made.packing.proved
    assert all(sheet.has_check_lines for sheet in made.sheets)


def test_every_sheet_with_margins_has_its_check_lines(tmp_path: Path) -> None:
    (made,) = packed(tmp_path, blank("4", "5", copies=9), margins=DEFAULT_MARGINS)
    assert all(sheet.has_check_lines for sheet in made.sheets)


def test_a_piece_to_fill_with_that_is_not_on_the_list_is_refused_by_name(tmp_path: Path) -> None:
    with pytest.raises(BadOption, match="moon"):
        packed(tmp_path, blank("3", "3"), fill=("moon",))


def test_pieces_for_one_thing_are_kept_on_one_sheet(tmp_path: Path) -> None:
    pieces = [
        replace(blank("8", "5", copies=2, label=f"half of {name}"), together=name) for name in ("moon", "bee")
    ]
    (made,) = packed(tmp_path, *pieces)
    on_sheets = [{place.item for place in sheet.placements} for sheet in made.packing.sheets]
    assert on_sheets == [{0}, {1}] or on_sheets == [{1}, {0}]
    assert made.packing.apart == ()


def test_a_trimmer_of_no_length_is_refused_and_not_taken_for_the_usual_one(tmp_path: Path) -> None:
    planned = plan_pieces(Shelf(tmp_path), [blank("3", "3")], PlanOptions(ZERO))
    with pytest.raises(BadOption, match="trimmer length cannot be '0 in'"):
        pack_papers(planned, PackOptions(LETTER, None, ZERO, CutMode.TRIMMER, trimmer=ZERO))


def test_only_a_left_over_of_an_eighth_of_the_paper_is_told_beside_the_number_of_sheets(
    tmp_path: Path,
) -> None:
    (made,) = packed(tmp_path, blank("8", "3"))
    kept = made.packing.sheets[0].left_over
    assert kept is not None
    assert kept.size == Size(inches("8 1/2"), inches("8"))
    assert made.is_worth_telling(kept)
    assert not made.is_worth_telling(Box(ZERO, ZERO, inches("8 1/2"), inches("1 5/16")))
