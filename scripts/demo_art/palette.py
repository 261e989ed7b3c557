"""The colours of the kit: a night orchard by lantern light.

Colours are RGB triples from 0 to 1. All pages draw from this one list so that they belong together.
"""

from __future__ import annotations

Colour = tuple[float, float, float]


def colour(code: str) -> Colour:
    """Read a colour written as six hexadecimal digits.

    Parameters
    ----------
    code
        Such as ``"1d2440"``.
    """
    red, green, blue = (int(code[at : at + 2], 16) / 255 for at in (0, 2, 4))
    return red, green, blue


def mixed(first: Colour, second: Colour, share: float) -> Colour:
    """Mix two colours.

    Parameters
    ----------
    first, second
        The colours.
    share
        How much of the second, from 0 to 1.
    """
    red, green, blue = (a + (b - a) * share for a, b in zip(first, second, strict=True))
    return red, green, blue


MIDNIGHT = colour("1b2342")
DUSK = colour("3c4a6e")
MIST = colour("8c99ad")
INK = colour("1c2029")
MOSS = colour("66733b")
DEEP_MOSS = colour("333f2a")
SAGE = colour("a3a878")
QUINCE = colour("cda349")
AMBER = colour("eba63c")
GLOW = colour("fbe3a2")
RUSSET = colour("9d4a2c")
DEEP_RUSSET = colour("5f2a1e")
BLUSH = colour("c9744a")
BARK = colour("6b4a34")
STRAW = colour("d9bb7c")
CREAM = colour("f2e8d1")
IVORY = colour("f8f2e4")
KRAFT = colour("d3b78c")
TIN = colour("7d8791")
DAMSON = colour("563450")
