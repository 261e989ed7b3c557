"""Reading TOML so that every complaint can name its line, and writing single values of it.

The standard library reads TOML 1.0 but tells no line numbers except for faults of syntax;
`line_of` finds the line of a key afterwards, when there is something to complain about.
"""

from __future__ import annotations

import difflib
import json
import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

KeyPath = tuple[str | int, ...]
"""Where a value stands: keys, and places in arrays of tables from 0, such as ``("piece", 1, "size")``."""


class TomlFault(Exception):
    """Something in a TOML text that cannot be used; each reader words it as its own error.

    Parameters
    ----------
    line : int
        Counted from 1; 0 where no one line is at fault.
    what : str
        What is wrong there.
    next_step : str
        What to write instead.
    """

    def __init__(self, line: int, what: str, next_step: str) -> None:
        super().__init__(line, what, next_step)
        self.line = line
        self.what = what
        self.next_step = next_step


def parse_toml(text: str) -> Fields:
    """Read a TOML text.

    Raises
    ------
    TomlFault
        If its syntax is wrong, naming the line.
    """
    try:
        return Fields(tomllib.loads(text), (), text)
    except tomllib.TOMLDecodeError as error:
        line = _fault_line(str(error), text)
        what = re.sub(r"\s*\(at .*\)$", "", str(error)).rstrip(".")
        raise TomlFault(line, f"this is not TOML ({what.lower()})", "mend that line") from None


@dataclass(frozen=True, slots=True)
class Fields:
    """A table of a TOML text whose values are asked for by key and type.

    Every method raises `TomlFault`, with the line, where the value is missing or of another type.
    """

    table: Mapping[str, Any]
    path: KeyPath
    source: str

    def line(self, key: str | None = None) -> int:
        """The line of a key, or of the table where the key is absent or not given."""
        if key is not None and key in self.table:
            return line_of(self.source, (*self.path, key))
        return line_of(self.source, self.path)

    def fault(self, key: str | None, what: str, next_step: str) -> TomlFault:
        """A complaint about a key."""
        return TomlFault(self.line(key), what, next_step)

    def only(self, known: Sequence[str]) -> None:
        """Refuse keys that are not known, offering the nearest that is."""
        for key in self.table:
            if key not in known:
                near = difflib.get_close_matches(key, known, n=1)
                offer = f"did you mean {near[0]}" if near else f"use {', '.join(known)}"
                raise self.fault(key, f"'{key}' is not a key kitprep knows here", offer)

    def text(self, key: str, default: str | None = None) -> str:
        """A text."""
        return str(self._value(key, str, "a text in quotes", default))

    def whole(self, key: str, default: int | None = None) -> int:
        """A whole number."""
        return int(self._value(key, int, "a whole number", default))

    def number(self, key: str, default: float | None = None) -> float:
        """A number, whole or not."""
        value = self._value(key, (int, float), "a number", default)
        if not abs(value) < float("inf"):
            raise self.fault(key, f"{key} must be a number", "give an ordinary number")
        return float(value)

    def flag(self, key: str, default: bool | None = None) -> bool:
        """``true`` or ``false``."""
        return bool(self._value(key, bool, "true or false", default))

    def tables(self, key: str) -> tuple[Fields, ...]:
        """An array of tables; empty where there is none."""
        rows = self._value(key, list, f"written as [[{key}]]", [])
        if not all(isinstance(row, dict) for row in rows):
            raise self.fault(key, f"{key} must be written as [[{key}]]", f"start each with [[{key}]]")
        return tuple(Fields(row, (*self.path, key, index), self.source) for index, row in enumerate(rows))

    def numbers(self, key: str, count: int, default: Sequence[float] | None = None) -> tuple[float, ...]:
        """An array of so many numbers."""
        needed = f"an array of {count} numbers"
        value = self._value(key, list, needed, default)
        plain = all(isinstance(part, int | float) and not isinstance(part, bool) for part in value)
        if len(value) != count or not plain:
            raise self.fault(key, f"{key} must be {needed}", f"write it like {key} = {_sample(count)}")
        return tuple(float(part) for part in value)

    def texts(self, key: str, default: Sequence[str] | None = None) -> tuple[str, ...]:
        """An array of texts."""
        value = self._value(key, list, "an array of texts", default)
        if not all(isinstance(part, str) for part in value):
            raise self.fault(key, f"{key} must be an array of texts", f'write it like {key} = ["one", "two"]')
        return tuple(value)

    def _value(self, key: str, kind: type | tuple[type, ...], needed: str, default: object) -> Any:
        if key not in self.table:
            if default is None:
                raise self.fault(key, f"{key} is missing", f"add it as {needed}")
            return default
        value = self.table[key]
        if not isinstance(value, kind) or (isinstance(value, bool) and kind is not bool):
            raise self.fault(key, f"{key} must be {needed}", f"it is {_spoken(value)} now")
        return value


# ------------------------------------------------------------------- lines

_KEY_PART = re.compile(r"""\s*(?:"((?:[^"\\]|\\.)*)"|'([^']*)'|([A-Za-z0-9_-]+))\s*""")
_TOKEN = re.compile(
    r'"""(?:[^\\]|\\.)*?"{3,5}|\'\'\'.*?\'{3,5}|"(?:[^"\\\n]|\\.)*"|\'[^\'\n]*\'|#[^\n]*|[\[\]{}\n]',
    re.DOTALL,
)


def line_of(text: str, path: KeyPath) -> int:
    """The line of a key or table, from 1; of the nearest table around it where it has none; else 0."""
    lines = dict(key_lines(text))
    while path:
        if path in lines:
            return lines[path]
        path = path[:-1]
    return 0


def key_lines(text: str) -> Iterator[tuple[KeyPath, int]]:
    """Every table header and key of a text that is sound TOML, with its line from 1."""
    counts: dict[KeyPath, int] = {}
    here: KeyPath = ()
    position, counted, line = 0, 0, 1
    while (position := _statement(text, position)) < len(text):
        line += text.count("\n", counted, position)
        counted = position
        if text[position] == "[":
            end = text.find("\n", position)
            end = len(text) if end < 0 else end
            repeated = text.startswith("[[", position)
            here = _header(_keys(text, position + (2 if repeated else 1))[0], repeated, counts)
            yield here, line
            position = end
        else:
            keys, position = _keys(text, position)
            yield (*here, *keys), line
            position = _value_end(text, position)


def _statement(text: str, position: int) -> int:
    while position < len(text):
        if text[position] == "#":
            end = text.find("\n", position)
            position = len(text) if end < 0 else end
        elif text[position].isspace() or text[position] == "\ufeff":
            position += 1
        else:
            break
    return position


def _keys(text: str, position: int) -> tuple[list[str], int]:
    keys: list[str] = []
    while match := _KEY_PART.match(text, position):
        basic, literal, bare = match.groups()
        decoded = None if basic is None else tomllib.loads(f'key = "{basic}"')["key"]
        keys.append(next(key for key in (decoded, literal, bare) if key is not None))
        position = match.end()
        if not text.startswith(".", position):
            break
        position += 1
    return keys, position


def _header(keys: list[str], repeated: bool, counts: dict[KeyPath, int]) -> KeyPath:
    path: KeyPath = ()
    for key in keys[:-1]:
        path = (*path, key)
        path = (*path, counts[path] - 1) if path in counts else path
    path = (*path, keys[-1])
    if not repeated:
        return path
    counts[path] = counts.get(path, 0) + 1
    return (*path, counts[path] - 1)


def _value_end(text: str, position: int) -> int:
    depth = 0
    for token in _TOKEN.finditer(text, position):
        mark = token.group()
        if mark in "[{":
            depth += 1
        elif mark in "]}":
            depth -= 1
        elif mark == "\n" and depth == 0:
            return token.start()
    return len(text)


def _fault_line(message: str, text: str) -> int:
    match = re.search(r"at line (\d+)", message)
    return int(match.group(1)) if match else text.rstrip("\n").count("\n") + 1


# ------------------------------------------------------------------ writing

_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")


def toml_text(text: str) -> str:
    """A text as a TOML basic string on one line."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def toml_lines(text: str) -> str:
    """A text of several lines as a TOML multi-line string that stays readable."""
    text = text.replace("\\", "\\\\").replace('"""', '""\\"')
    text = _CONTROL.sub(lambda match: f"\\u{ord(match.group()):04x}", text)
    return '"""\n' + (text[:-1] + '\\"' if text.endswith('"') else text) + '"""'


def toml_number(number: float, places: int) -> str:
    """A number in at most so many decimals, whole where it is whole."""
    text = f"{number:.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


def _sample(count: int) -> str:
    return "[" + ", ".join(["0.5"] * count) + "]"


def _spoken(value: object) -> str:
    names = {str: "a text", bool: "true or false", int: "a whole number", float: "a number"}
    names |= {list: "an array", dict: "a table"}
    return names.get(type(value), "something else")
