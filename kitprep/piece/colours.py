"""Reads the colours that people name for an edge."""

from __future__ import annotations

import re

from kitprep.errors import BadOption

Colour = tuple[int, int, int]
"""sRGB, 0 to 255."""

NAMED: dict[str, Colour] = {
    "white": (255, 255, 255),
    "cream": (251, 244, 228),
    "kraft": (197, 160, 117),
    "grey": (128, 128, 128),
    "black": (0, 0, 0),
}
"""White and black as sRGB has them; the papers by eye."""


def read_colour(option: str, text: str) -> Colour:
    """A colour as people write it: a name, or six hexadecimal digits.

    Raises
    ------
    BadOption
        If it is neither.

    Examples
    --------
    >>> read_colour("border", "#fbf4e4")
    (251, 244, 228)
    """
    plain = text.strip().lower()
    if plain in NAMED:
        return NAMED[plain]
    if re.fullmatch(r"#?[0-9a-f]{6}", plain):
        number = int(plain.removeprefix("#"), 16)
        return number >> 16, number >> 8 & 255, number & 255
    raise BadOption(option, text, f"one of {', '.join(NAMED)}, or six digits such as #fbf4e4")


def colour_text(colour: Colour) -> str:
    """A colour as `read_colour` reads it."""
    return next((name for name, known in NAMED.items() if known == colour), f"#{bytes(colour).hex()}")
