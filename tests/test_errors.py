"""Every error has an exit code, and says what is wrong and what to do."""

from __future__ import annotations

import inspect

import pytest

from kitprep import errors
from kitprep.cli.exits import EXIT_CODES, exit_code
from kitprep.errors import KitprepError

FAMILIES = (errors.WrongUse, errors.UnusableFile, errors.NotFound, errors.ShelfProblem)
SAMPLES: dict[type, object] = {str: "p02-07", int: 3, bool: True}


def causes() -> list[type[KitprepError]]:
    """Every class that can be raised: all but the base and its families."""
    found = [
        value for value in vars(errors).values() if inspect.isclass(value) and issubclass(value, KitprepError)
    ]
    return [cause for cause in found if cause is not KitprepError and cause not in FAMILIES]


def sample(cause: type[KitprepError]) -> KitprepError:
    """One error of a class, from its own signature."""
    given: dict[str, object] = {}
    for name, parameter in inspect.signature(cause).parameters.items():
        kind = str(parameter.annotation)
        if "Sequence" in kind:
            given[name] = ["orchard", "lantern"]
        else:
            given[name] = 3 if kind.startswith("int") else ("" if kind == "None" else "p02-07")
    return cause(**given)  # type: ignore[arg-type]


@pytest.mark.parametrize("cause", causes())
def test_an_error_belongs_to_exactly_one_family_with_an_exit_code(cause: type[KitprepError]) -> None:
    assert sum(issubclass(cause, family) for family in FAMILIES) == 1
    assert exit_code(sample(cause)) in {2, 3, 4, 6}


@pytest.mark.parametrize("cause", causes())
def test_an_error_is_one_sentence_that_says_what_to_do(cause: type[KitprepError]) -> None:
    text = str(sample(cause))
    what, separator, next_step = text.partition("; ")
    assert separator
    assert what.strip()
    assert next_step.strip(" .")
    assert "\n" not in text
    assert text.endswith(".")
    assert not text.endswith("..")


def test_the_exit_codes_are_those_of_the_agreement() -> None:
    assert {
        errors.WrongUse: 2,
        errors.UnusableFile: 3,
        errors.NotFound: 4,
        errors.ShelfProblem: 6,
    } == EXIT_CODES


def test_every_cause_is_raised_somewhere() -> None:
    from pathlib import Path

    package = Path(errors.__file__).parent
    code = "\n".join(path.read_text("utf-8") for path in package.rglob("*.py") if path.name != "errors.py")
    unused = [cause.__name__ for cause in causes() if f"{cause.__name__}(" not in code]
    assert unused == []
