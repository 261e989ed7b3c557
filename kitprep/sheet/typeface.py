"""How wide words are in the typeface that ships with kitprep, so that they can be placed without drawing.

Advance widths of Alegreya Sans (SIL Open Font License) in thousandths of the type size, as in the
`hmtx` tables of kitprep/fonts. Figures are the tabular lining ones of the typeface; superscript and
subscript figures stand for its numerators and denominators, so that 3/16 is set as a true fraction.
"""

from __future__ import annotations

import re

from kitprep.lengths import EMU_PER_POINT, Length

ASCENT = 0.905
"""Height above the baseline that no letter exceeds, accents included, as a share of the type size."""
DESCENT = 0.265
"""Depth below the baseline that no letter exceeds, as a share of the type size."""
CAP_HEIGHT = 0.645
"""Height of capitals and figures as a share of the type size."""
WIDEST = 1000
"""Width counted for a letter that the typeface lacks: more than its widest."""

_FRACTION = re.compile(r"(?<![\w/])(\d+)/(\d+)(?![\w/])")
_NUMERATOR = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")
_DENOMINATOR = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")


def points(size: float) -> Length:
    """A length from PDF points, to the nearest EMU."""
    return Length(round(size * EMU_PER_POINT))


def text_width(words: str, size: Length, *, bold: bool = False) -> Length:
    """The width of a line of words, rounded up to the next EMU.

    Parameters
    ----------
    words : str
        The line.
    size : Length
        The type size.
    bold : bool
        Whether it is set in the bold face.
    """
    widths = _BOLD if bold else _REGULAR
    thousandths = sum(widths.get(letter, WIDEST) for letter in words)
    return Length(-(-thousandths * size.emu // 1000))


def with_fractions(words: str) -> str:
    """The words with each plain fraction set as one: ``3 3/16 in`` becomes ``3 ³⁄₁₆ in``."""
    return _FRACTION.sub(
        lambda found: f"{found[1].translate(_NUMERATOR)}⁄{found[2].translate(_DENOMINATOR)}", words
    )


def _by_letter(by_width: dict[int, str]) -> dict[str, int]:
    return {letter: width for width, letters in by_width.items() for letter in letters}


# fmt: off
_REGULAR = _by_letter({
    76: "⁄", 103: " ", 165: " \u00a0", 166: "'′", 167: "ʻʼ‘’", 229: ",.:;·‚‹›", 241: "•", 242: "iìíîïı",
    247: "l", 256: "!¡", 258: "¹₁", 265: "j", 268: "IÌÍÎÏ", 280: "\"", 285: "″", 287: "/\\∕", 288: "([]{}",
    293: "°", 296: "”", 298: "“", 300: "⁷₇", 303: "f", 304: "⁵₅", 306: ")", 307: "-", 308: "³₃", 310: "J",
    314: "|¦", 319: "t", 320: "ª", 323: "r", 331: "?¿", 337: "⁶₆", 338: "⁹₉", 339: "º", 341: "⁸₈",
    349: "²₂", 351: "⁴₄", 360: "„", 370: "s", 374: "*⁰₀", 383: "¢", 385: "cç", 389: "`¨¯´¸ˆ˚˜", 396: "«»",
    412: "z", 416: "L£", 419: "§", 423: "v", 424: "^", 427: "yýÿ", 428: "$", 434: "F", 435: "x¤", 439: "®",
    450: "_", 456: "k", 461: "eèéêë", 462: "aàáâãäå", 472: "S", 475: "0123456789", 476: "–",
    480: "+<=>~¬±×÷−", 481: "¥", 482: "EÈÉÊË", 484: "€", 485: "¶", 487: "g", 489: "ð", 490: "T",
    491: "oòóôõöø", 509: "p", 510: "quùúûü", 513: "þ", 514: "b", 516: "#nñ↑↓", 518: "d", 520: "CPhÇ",
    525: "Þ", 528: "YZÝ", 532: "µ", 537: "B", 547: "K", 555: "R", 564: "Vß", 578: "AÀÁÂÃÄÅ", 581: "…",
    582: "™", 594: "X", 600: "G", 626: "UÙÚÛÜ", 635: "OÒÓÔÕÖØ", 639: "Q", 646: "D", 668: "Ð", 674: "w",
    678: "æ", 683: "N½Ñ", 684: "H", 685: "©¼", 694: "&", 735: "¾", 775: "œ", 789: "M", 800: "m", 807: "Æ",
    824: "%", 825: "@", 851: "Œ", 893: "W", 929: "—",
})
_BOLD = _by_letter({
    104: "⁄", 151: " \u00a0", 205: "'′", 207: "ʻʼ‘’", 229: ",.:;·‚", 244: "‹›", 261: "iìíîïı", 263: "l",
    264: "!¡", 268: "•", 276: "¹₁", 284: "/\\∕", 285: "j", 293: "°", 295: "(I[]{}ÌÍÎÏ", 300: ")", 304: "-",
    307: "|¦", 311: "⁷₇", 317: " ", 320: "⁵₅", 321: "³₃", 329: "f", 335: "J", 338: "t", 340: "?ª¿",
    347: "º", 348: "r", 350: "⁶₆", 351: "⁹₉", 354: "\"", 358: "″", 360: "⁸₈", 361: "²₂", 366: "”",
    367: "⁴₄", 372: "“", 375: "⁰₀", 383: "*¢", 384: "s", 385: "cç", 389: "`¨¯´¸ˆ˚˜", 393: "„", 424: "z",
    428: "«»", 431: "§", 433: "L", 435: "¤", 441: "^", 444: "_", 445: "v", 446: "£®", 447: "yýÿ", 450: "$",
    456: "F", 461: "x–", 467: "€", 472: "eèéêë", 475: "0123456789", 480: "+<=>~¬±×÷−", 481: "aàáâãäå",
    494: "oòóôõöø", 495: "k", 497: "ð", 498: "S", 500: "g", 503: "T", 509: "EÈÉÊË", 517: "CÇ", 518: "p",
    519: "q", 522: "u¶ùúûüþ", 523: "b", 526: "d¥", 529: "nñ", 532: "↑↓", 533: "h", 541: "µ", 547: "Z",
    549: "#", 553: "P", 558: "YÝ", 561: "Þ", 579: "B", 584: "K", 587: "V", 590: "R™", 598: "G",
    600: "AÀÁÂÃÄÅ", 608: "ß", 623: "X", 630: "…", 638: "UÙÚÛÜ", 643: "OÒÓÔÕÖØ", 649: "Q", 655: "D",
    680: "Ð", 687: "©", 694: "æ", 695: "NÑ", 696: "H", 698: "w", 711: "&", 741: "½", 747: "¼", 770: "œ",
    792: "¾", 797: "M", 807: "m", 822: "Æ", 844: "@", 854: "%", 869: "Œ", 889: "—", 903: "W",
})
# fmt: on
