"""Every finding has a code and a sentence that names what it is about."""

from __future__ import annotations

import dataclasses

import pytest

from kitprep import wording
from kitprep.detail.grades import Grade
from kitprep.errors import NotAPicture
from kitprep.files.kit.colour import Note
from kitprep.jobs import findings
from kitprep.jobs.findings import Finding, PrintsSoft
from kitprep.lengths import Size, Unit, WantedSize, inches

SAMPLE_FIELDS = {
    "error": NotAPicture("moth.txt"),
    "note": Note.CMYK_WITHOUT_PROFILE,
    "ppi": 300.0,
    "factor": 2.0,
    "percent": 12.0,
    "path": "cache/measured.json",
    "why": "there is no space left",
    "margin": inches("1/16"),
    "unit": Unit.INCH,
    "sheet": 1,
    "folds": ("card base",),
    "unlabelled": (),
    "cuts": 3,
    "check_lines": True,
    "names": ("stamp, moth", "stamp, bee"),
    "name": "beekeeper",
    "pages": ("p01", "p02"),
    "every": False,
    "wanted": WantedSize(inches("2"), inches("3")),
    "together": "supper card",
    "paper": "letter",
    "sheets": 3,
    "bound": 2,
    "registration": True,
    "size": Size(inches("2"), inches("3")),
    "grade": Grade.SOFT,
    "page_ppi": 300.0,
    "real_ppi": None,
    "page_real_ppi": None,
    "largest_fine": Size(inches("1.49"), inches("2.26")),
}


def kinds() -> list[type[Finding]]:
    found = [
        value for value in vars(findings).values() if isinstance(value, type) and issubclass(value, Finding)
    ]
    return [kind for kind in found if kind is not Finding]


def sample(kind: type[Finding]) -> Finding:
    fields = {
        field.name: SAMPLE_FIELDS[field.name] for field in dataclasses.fields(kind) if field.name != "about"
    }
    return kind("lantern-orchard/p02-07", **fields)


@pytest.mark.parametrize("kind", kinds())
def test_a_finding_has_a_short_code_and_a_whole_sentence(kind: type[Finding]) -> None:
    finding = sample(kind)
    assert 2 <= len(wording.code(finding)) <= 15
    assert wording.sentence(finding).endswith(".")


def test_the_codes_of_the_agreement_are_kept() -> None:
    codes = {wording.code(sample(kind)) for kind in kinds()} | {"blurry"}
    agreed = {
        "soft",
        "blurry",
        "upscaled",
        "assumed-ppi",
        "no-bleed-source",
        "low-margin",
        "terms",
        "reproduction",
    }
    assert agreed <= codes


def test_a_soft_piece_is_named_with_size_grade_and_the_largest_size_that_is_fine() -> None:
    text = wording.sentence(sample(PrintsSoft))
    assert "beekeeper" in text
    assert "2 x 3 in" in text
    assert "soft" in text
    assert "1 7/16 x 2 1/4 in" in text


def test_a_picture_that_holds_less_than_its_page_says_is_told_so() -> None:
    soft = dataclasses.replace(sample(PrintsSoft), real_ppi=93.0, page_real_ppi=140.0)
    text = wording.sentence(soft)
    assert "the page says 300 pixels per inch, but the picture holds about 140" in text
    assert "enlarged" not in text


def test_a_size_asked_for_as_a_width_is_answered_with_a_width() -> None:
    soft = dataclasses.replace(
        sample(PrintsSoft), wanted=WantedSize(inches("3"), None), real_ppi=93.0, page_real_ppi=140.0
    )
    assert wording.sentence(soft) == (
        "beekeeper: the page says 300 pixels per inch, but the picture holds about 140: "
        "at 3 in wide it will look soft; up to 1 7/16 in it is fine."
    )


def test_long_lists_are_cut_short() -> None:
    assert wording.listed(["a"]) == "a"
    assert wording.listed(["a", "b", "c"]) == "a, b and c"
    assert wording.listed("abcdefghij", most=4) == "a, b, c and 7 more"
