"""Reading of what the page sends: texts, choices, lists, made into kitprep's own values."""

from __future__ import annotations

from enum import Enum
from typing import TypeVar

from kitprep.answers import Json
from kitprep.errors import BadOption, BrokenRequest

_Choice = TypeVar("_Choice", bound=Enum)


def text(given: Json, key: str, default: str | None = None) -> str:
    """A text.

    Raises
    ------
    BrokenRequest
        If it is missing or none.
    """
    value = given.get(key, default)
    if not isinstance(value, str):
        raise BrokenRequest(f"the request has no text '{key}'")
    return value.strip()


def texts(given: Json, key: str) -> list[str]:
    """A list of texts; errors as `text`."""
    value = given.get(key)
    if not isinstance(value, list) or not all(isinstance(part, str) for part in value):
        raise BrokenRequest(f"the request has no list of texts '{key}'")
    return value


def documents(given: Json, key: str) -> list[Json]:
    """A list of objects; errors as `text`."""
    value = given.get(key)
    if not isinstance(value, list) or not all(isinstance(part, dict) for part in value):
        raise BrokenRequest(f"the request has no list '{key}'")
    return value


def flag(given: Json, key: str, default: bool) -> bool:
    """True or false; errors as `text`."""
    value = given.get(key, default)
    if not isinstance(value, bool):
        raise BrokenRequest(f"'{key}' of the request is neither true nor false")
    return value


def whole(given: Json, key: str, least: int, most: int) -> int:
    """A whole number within bounds, as a number or as it was typed.

    Raises
    ------
    BadOption
        If it is none.
    """
    typed = str(given.get(key, "")).strip()
    if not (typed.isdecimal() and len(typed) < 10 and least <= int(typed) <= most):
        raise BadOption(key, typed, f"a whole number from {least} to {most}")
    return int(typed)


def choice(given: Json, key: str, choices: type[_Choice]) -> _Choice:
    """One of a few words.

    Raises
    ------
    BadOption
        If it is none of them.
    """
    word = text(given, key)
    for one in choices:
        if one.value == word.lower():
            return one
    raise BadOption(key, word, f"one of {', '.join(str(one.value) for one in choices)}")
