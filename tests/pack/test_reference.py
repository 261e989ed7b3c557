"""Packings beside those of rectpack, and bounds beside the least known numbers of published instances."""

from __future__ import annotations

import json

import pytest
from pack.packing_judge import DATA, Case, cases, faults
from pack.rectpack_reference import GUILLOTINE, MAXIMAL_RECTANGLES, fewest_sheets

from kitprep.pack import CutMode, pack
from kitprep.pack.bounds import least_sheets

JOBS = list(cases("jobs.json")) + list(cases("jobs_letter_a4.json"))[5::20]
EFFORT = 0.05
"""A twentieth of the usual search, so that all jobs can be done in a few seconds; more can only do better."""


@pytest.mark.parametrize("case", JOBS, ids=lambda case: case.name)
def test_the_trimmer_needs_no_more_sheets_than_rectpack(case: Case) -> None:
    packing = pack(case.items, case.paper, case.margins, gap=case.gap, mode=CutMode.TRIMMER, effort=EFFORT)
    assert faults(packing, case, CutMode.TRIMMER) == []
    assert len(packing.sheets) <= fewest_sheets(case, GUILLOTINE)


@pytest.mark.parametrize("case", JOBS, ids=lambda case: case.name)
def test_scissors_need_no_more_sheets_than_rectpack(case: Case) -> None:
    packing = pack(case.items, case.paper, case.margins, gap=case.gap, mode=CutMode.SCISSORS, effort=EFFORT)
    assert faults(packing, case, CutMode.SCISSORS) == []
    assert len(packing.sheets) <= fewest_sheets(case, MAXIMAL_RECTANGLES)


@pytest.mark.parametrize("turns", [True, False])
def test_no_bound_is_above_what_is_known_to_do(turns: bool) -> None:
    # Least known numbers of bins, with turns and without; see tests/data/packing/README.md.
    known = "best_turning" if turns else "best_fixed"
    for instance in json.loads((DATA / "bwmv.json").read_text(encoding="utf-8"))[::7]:
        rects = [(width, height, turns, 1) for width, height in instance["items"]]
        assert least_sheets(rects, *instance["bin"]) <= instance[known]
