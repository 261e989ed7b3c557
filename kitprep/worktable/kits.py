"""Routes for looking at kits, pages and elements, and for mending what was found on a page."""

from __future__ import annotations

from starlette.responses import Response
from starlette.routing import Route

from kitprep import answers, wording
from kitprep.answers import Json
from kitprep.errors import BrokenRequest
from kitprep.jobs import mending
from kitprep.jobs.finding import Wish, find_elements, list_kits
from kitprep.jobs.resplitting import PageHints, split_again
from kitprep.jobs.values import Kind, PixelBox
from kitprep.jobs.viewing import view_kit
from kitprep.lengths import read_length
from kitprep.worktable import given
from kitprep.worktable.table import Asked, answering

SMALL_PX = 340  # of a page among others: two pixels to each that the screen gives it
# A number is never given to another element of a kit, so a picture's address always means the same picture
# once the moment of import is in it.
_KEEP = {"Cache-Control": "private, max-age=31536000, immutable"}


def kits(asked: Asked) -> Json:
    """All kits of the shelf."""
    return answers.kits(list_kits(shelf=asked.table.shelf))


def kit(asked: Asked) -> Json:
    """One kit with its terms, its pages and their elements."""
    found = view_kit(asked.named["kit"], shelf=asked.table.shelf)
    return {
        "kit": found.slug,
        "name": found.name,
        "maker": found.maker,
        "terms": found.terms,
        "source": found.source,
        "imported": found.imported,
        "pages": [answers.page_answer(found.slug, page) for page in found.pages],
    }


def elements(asked: Asked) -> Json:
    """The elements of one kit or of all, by kind and words."""
    query = asked.query
    wish = Wish(
        words=tuple(query.get("words", "").split()),
        kit=query.get("kit") or None,
        kind=given.choice(dict(query), "kind", Kind) if query.get("kind") else None,
    )
    found = find_elements(wish, shelf=asked.table.shelf)
    listed = answers.elements(found)
    for answer, summary in zip(listed, found, strict=True):
        answer["note"] = wording.sureness(summary.confidence, unwanted=summary.unwanted)
    return {"elements": listed}


def element_picture(asked: Asked) -> Response:
    """A small picture of an element."""
    name = f"{asked.named['kit']}/{asked.named['element']}"
    return _picture(asked, asked.table.thumbnails.element(name))


def page_picture(asked: Asked) -> Response:
    """A picture of a page; small where `small` is in the query."""
    name, small = f"{asked.named['kit']}/{asked.named['page']}", SMALL_PX if "small" in asked.query else None
    return _picture(asked, asked.table.thumbnails.page(name, small))


def crop(asked: Asked) -> Json:
    """Take an element by a box: pixels where it was drawn, lengths where it was typed."""
    page = given.text(asked.given, "page")
    snap = given.flag(asked.given, "snap", True)
    box = _pixel_box(asked.given["box_px"]) if "box_px" in asked.given else _typed_box(asked.given)
    return _mended([mending.crop_element(page, box, snap=snap, shelf=asked.table.shelf)])


def join(asked: Asked) -> Json:
    """Make several elements one."""
    return _mended([mending.join_elements(given.texts(asked.given, "ids"), shelf=asked.table.shelf)])


def divide(asked: Asked) -> Json:
    """Make one element two."""
    line = read_length(given.text(asked.given, "at"))
    level = given.flag(asked.given, "level", False)
    element, shelf = given.text(asked.given, "id"), asked.table.shelf
    if level:
        return _mended([mending.divide_element(element, at_row=line, shelf=shelf)])
    return _mended([mending.divide_element(element, at=line, shelf=shelf)])


def drop(asked: Asked) -> Json:
    """Take elements off their page's list."""
    return _mended(mending.drop_elements(given.texts(asked.given, "ids"), shelf=asked.table.shelf))


def describe(asked: Asked) -> Json:
    """Say what an element is."""
    change = mending.describe_element(
        given.text(asked.given, "id"),
        kind=given.choice(asked.given, "kind", Kind),
        words=given.text(asked.given, "words", "").split(","),
        shelf=asked.table.shelf,
    )
    return _mended([change])


def split(asked: Asked) -> Json:
    """Split a page again with a hint; what is left empty is no hint."""
    sent = asked.given
    gap = given.text(sent, "gap", "")
    hints = PageHints(
        gap=read_length(gap) if gap else None,
        whole=given.flag(sent, "whole", False),
        rows=_counted(sent, "rows"),
        columns=_counted(sent, "columns"),
    )
    done = split_again(given.text(sent, "page"), hints, shelf=asked.table.shelf)
    words = [wording.resplit(done), *(wording.sentence(finding) for finding in done.findings)]
    return {"text": " ".join(words), "changes": [answers.resplit(done)]}


def undo(asked: Asked) -> Json:
    """Take back the last correction of a kit."""
    change = mending.undo(given.text(asked.given, "kit"), shelf=asked.table.shelf)
    return {"text": wording.undone(change), "changes": [answers.mended(change)]}


def _picture(asked: Asked, content: bytes) -> Response:
    return Response(content, media_type="image/webp", headers=_KEEP if "v" in asked.query else None)


def _mended(changes: list[mending.Mended] | tuple[mending.Mended, ...]) -> Json:
    return {
        "text": " ".join(wording.mended(change) for change in changes),
        "changes": [answers.mended(change) for change in changes],
    }


def _counted(sent: Json, key: str) -> int | None:
    return given.whole(sent, key, 1, 1000) if str(sent.get(key, "")).strip() else None


def _pixel_box(numbers: object) -> PixelBox:
    whole = isinstance(numbers, list) and all(type(number) is int for number in numbers)
    if not (isinstance(numbers, list) and whole and len(numbers) == 4):
        raise BrokenRequest("the box has not four whole numbers")
    return PixelBox(*numbers)


def _typed_box(sent: Json) -> mending.LengthBox:
    return mending.LengthBox(
        *(read_length(given.text(sent, side)) for side in ("left", "top", "width", "height"))
    )


ROUTES = [
    Route("/api/kits", answering(kits)),
    Route("/api/kits/{kit}", answering(kit)),
    Route("/api/elements", answering(elements)),
    Route("/api/pictures/{kit}/elements/{element}", answering(element_picture)),
    Route("/api/pictures/{kit}/pages/{page}", answering(page_picture)),
    Route("/api/crop", answering(crop), methods=["POST"]),
    Route("/api/join", answering(join), methods=["POST"]),
    Route("/api/divide", answering(divide), methods=["POST"]),
    Route("/api/drop", answering(drop), methods=["POST"]),
    Route("/api/describe", answering(describe), methods=["POST"]),
    Route("/api/split", answering(split), methods=["POST"]),
    Route("/api/undo", answering(undo), methods=["POST"]),
]
