"""`kit.toml`: everything the shelf knows of one kit, as text a person can read, mend and merge.

One key to a line and one element to a block, so that two people's corrections merge line by line.
Outlines are written as ``x,y x,y ...`` in page pixels, the notation of the ``points`` attribute of SVG
(W3C, SVG 1.1, 9.7.1), in hundredths of a pixel: at 300 pixels per inch that is less than a thousandth
of a millimetre.
"""

from __future__ import annotations

import re
from enum import Enum
from itertools import chain
from pathlib import Path
from typing import TypeVar

from kitprep.errors import ShelfDamaged, ShelfTooNew
from kitprep.files.tomltext import (
    Fields,
    TomlFault,
    key_lines,
    parse_toml,
    toml_lines,
    toml_number,
    toml_text,
)
from kitprep.pages import (
    Element,
    Gone,
    Kind,
    Kit,
    Original,
    Outline,
    Page,
    PageKind,
    PagePpi,
    PixelBox,
    PpiSource,
)

FORMAT = 1  # keys and blocks may be added under it: a kitprep that does not know them reads past them
_INTRO = "# A kit on a kitprep shelf. Pixels count from the page's top left corner, x right, y down.\n"
_WRAP = 104  # columns of an outline, within what an editor shows on one line
_LINE = re.compile(rf"\S.{{0,{_WRAP - 1}}}(?= |$)")
_NEEDLESS_DECIMALS = re.compile(r"\.?0+(?=[, ])")
_Choice = TypeVar("_Choice", bound=Enum)


# ------------------------------------------------------------------ writing


def kit_text(kit: Kit) -> str:
    """The whole text of a kit's `kit.toml`."""
    head = [
        _INTRO + f"format = {FORMAT}",
        f"name = {toml_text(kit.name)}",
        f"maker = {toml_text(kit.maker)}",
        f"source = {toml_text(kit.source)}",
        f"imported = {toml_text(kit.imported)}",
        f"terms_file = {toml_text(kit.terms_file)}",
        *([f"password = {toml_text(kit.password)}"] if kit.password else []),
        f"terms = {toml_lines(kit.terms) if chr(10) in kit.terms else toml_text(kit.terms)}",
    ]
    originals = ["\n" + _original_text(original) for original in kit.originals]
    pages = ["\n" + page_text(page).rstrip("\n") for page in kit.pages]
    return "\n".join([*head, *originals, *pages]) + "\n"


def page_text(page: Page) -> str:
    """The block of one page with its elements."""
    lines = [
        "[[page]]",
        f"number = {page.number}",
        f"file = {toml_text(page.file)}",
        f"frame = {page.frame}",
        f"size_px = [{page.size_px[0]}, {page.size_px[1]}]",
        f"ppi = [{toml_number(page.ppi.x, 6)}, {toml_number(page.ppi.y, 6)}]",
        f"ppi_from = {toml_text(page.ppi.source.value)}",
        f"kind = {toml_text(page.kind.value)}",
        f"has_alpha = {_flag(page.has_alpha)}",
        f"numbers_used = {page.next_number - 1}",
    ]
    elements = ["\n" + _element_text(element) for element in page.elements]
    gone = ["\n" + _gone_text(one) for one in page.gone]
    return "\n".join([*lines, *elements, *gone]) + "\n"


def with_page_replaced(text: str, index: int, page: Page) -> str:
    """A kit's text with the block of its page at `index` rewritten and all else kept, comments too."""
    mine = ("page", index)
    places = list(key_lines(text))
    start = next(line for path, line in places if path == mine) - 1
    lines = text.split("\n")
    later = (line - 1 for path, line in places if line > start and path[:2] != mine)
    end = next(later, len(lines))
    while end < len(lines) and lines[end - 1].lstrip()[:1] in ("", "#"):
        end -= 1  # a comment above the next block belongs to that one
    return "\n".join([*lines[:start], page_text(page).rstrip("\n"), *(lines[end:] or [""])])


def _original_text(original: Original) -> str:
    return "\n".join(
        [
            "[[original]]",
            f"file = {toml_text(original.file)}",
            f"sha256 = {toml_text(original.sha256)}",
            f"bytes = {original.length}",
        ]
    )


def _element_text(element: Element) -> str:
    box = element.box
    lines = [
        "[[page.element]]",
        f"number = {element.number}",
        f"kind = {toml_text(element.kind.value)}",
        f"words = [{', '.join(map(toml_text, element.words))}]",
        f"box_px = [{box.left}, {box.top}, {box.right}, {box.bottom}]",
        f"angle_deg = {toml_number(element.angle_deg, 4)}",
        f"rectangular = {_flag(element.rectangular)}",
        f"outline_px = {_outline_text(element.outline)}",
        *([_holes_text(element.holes)] if element.holes else []),
        f"confidence = {toml_number(element.confidence, 3)}",
        f"by_hand = {_flag(element.by_hand)}",
        f"unwanted = {_flag(element.unwanted)}",
    ]
    return "\n".join(lines)


def _gone_text(gone: Gone) -> str:
    lines = [
        "[[page.gone]]",
        f"number = {gone.number}",
        f"dropped = {_flag(gone.dropped)}",
        f"outline_px = {_outline_text(gone.outline)}",
    ]
    return "\n".join(lines)


def _holes_text(holes: tuple[Outline, ...]) -> str:
    return "holes_px = [\n" + "".join(f"{_outline_text(hole)},\n" for hole in holes) + "]"


def _outline_text(outline: Outline) -> str:
    # One format and one substitution for all points: an outline may have a thousand.
    decimals = "%.2f,%.2f " * len(outline) % tuple(chain.from_iterable(outline))
    points = _NEEDLESS_DECIMALS.sub("", decimals).replace("-0,", "0,").replace("-0 ", "0 ").rstrip()
    if len(points) <= _WRAP:
        return f"'{points}'"
    return "'''\n" + "\n".join(_LINE.findall(points)) + "'''"


def _flag(value: bool) -> str:
    return "true" if value else "false"


# ------------------------------------------------------------------ reading


def read_kit(path: Path, slug: str) -> Kit:
    """The kit of a `kit.toml`.

    Raises
    ------
    ShelfDamaged
        If the file is not there, cannot be read, or a value in it cannot be; names the line.
    ShelfTooNew
        If a newer kitprep wrote it.
    """
    try:
        return parse_kit(path.read_text("utf-8"), slug, str(path))
    except TomlFault as fault:
        where = f"line {fault.line}: {fault.what}" if fault.line else fault.what
        raise ShelfDamaged(str(path), where) from None
    except UnicodeDecodeError:
        raise ShelfDamaged(str(path), "it is not text in UTF-8") from None
    except OSError as error:
        raise ShelfDamaged(str(path), (error.strerror or str(error)).lower()) from error


def parse_kit(text: str, slug: str, path: str) -> Kit:
    """The kit of the text of a `kit.toml`; `path` is for errors only."""
    top = parse_toml(text)
    if top.whole("format") > FORMAT:
        raise ShelfTooNew(path, top.whole("format"), FORMAT)
    pages = tuple(_page(fields) for fields in top.tables("page"))
    _once(top.tables("page"), [page.number for page in pages])
    return Kit(
        slug=slug,
        name=top.text("name"),
        maker=top.text("maker", ""),
        terms=top.text("terms", ""),
        pages=pages,
        source=top.text("source", ""),
        imported=top.text("imported", ""),
        terms_file=top.text("terms_file", ""),
        password=top.text("password", ""),
        originals=tuple(
            Original(fields.text("file"), fields.text("sha256"), fields.whole("bytes"))
            for fields in top.tables("original")
        ),
    )


def _page(fields: Fields) -> Page:
    width, height = (round(side) for side in fields.numbers("size_px", 2))
    across, down = fields.numbers("ppi", 2)
    if min(width, height) < 1 or min(across, down) <= 0:
        raise fields.fault("size_px", "the page has no size", "give its width and height above zero")
    tables = fields.tables("element")
    elements = tuple(_element(table) for table in tables)
    _once(tables, [element.number for element in elements])
    return Page(
        number=_counted(fields, "number"),
        file=fields.text("file"),
        frame=fields.whole("frame", 0),
        size_px=(width, height),
        ppi=PagePpi(across, down, _choice(fields, "ppi_from", PpiSource)),
        kind=_choice(fields, "kind", PageKind),
        has_alpha=fields.flag("has_alpha", False),
        elements=elements,
        numbers_used=fields.whole("numbers_used", 0),
        gone=tuple(_gone(table) for table in fields.tables("gone")),
    )


def _gone(fields: Fields) -> Gone:
    outline = _outline(fields, "outline_px", fields.text("outline_px"))
    return Gone(_counted(fields, "number"), outline, fields.flag("dropped", False))


def _element(fields: Fields) -> Element:
    left, top, right, bottom = (round(side) for side in fields.numbers("box_px", 4))
    if left >= right or top >= bottom:
        raise fields.fault("box_px", "the box has no size", "give [left, top, right, bottom]")
    return Element(
        number=_counted(fields, "number"),
        box=PixelBox(left, top, right, bottom),
        outline=_outline(fields, "outline_px", fields.text("outline_px")),
        angle_deg=fields.number("angle_deg", 0.0),
        kind=_choice(fields, "kind", Kind),
        rectangular=fields.flag("rectangular"),
        holes=tuple(_outline(fields, "holes_px", hole) for hole in fields.texts("holes_px", ())),
        confidence=fields.number("confidence", 1.0),
        words=fields.texts("words", ()),
        by_hand=fields.flag("by_hand", False),
        unwanted=fields.flag("unwanted", False),
    )


def _counted(fields: Fields, key: str) -> int:
    number = fields.whole(key)
    if number < 1:
        raise fields.fault(key, f"{key} must be 1 or more", "count from 1")
    return number


def _once(tables: tuple[Fields, ...], numbers: list[int]) -> None:
    seen: set[int] = set()
    for fields, number in zip(tables, numbers, strict=True):
        if number in seen:
            raise fields.fault("number", f"number {number} stands there twice", "give each its own number")
        seen.add(number)


def _choice(fields: Fields, key: str, choices: type[_Choice]) -> _Choice:
    text = fields.text(key)
    for choice in choices:
        if choice.value == text:
            return choice
    known = ", ".join(str(choice.value) for choice in choices)
    raise fields.fault(key, f"{key} cannot be '{text}'", f"use one of {known}")


def _outline(fields: Fields, key: str, text: str) -> Outline:
    pairs = text.split()
    try:
        if not all(pair.count(",") == 1 for pair in pairs):
            raise ValueError
        numbers = map(float, ",".join(pairs).split(",") if pairs else ())
        points = tuple(zip(numbers, numbers, strict=True))
    except ValueError:
        raise fields.fault(key, f"{key} is not a list of x,y points", "write it like 10,10 90,10") from None
    if len(points) < 3:
        raise fields.fault(key, f"{key} has fewer than three points", "give at least three")
    return points
