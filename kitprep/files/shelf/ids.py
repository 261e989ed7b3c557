"""Which page or element a person means: an id in full, or any tail of it that only one has.

``lantern-orchard/p02-07``, ``orchard/p02-07``, ``p02-07`` and ``p2-7`` can all mean the same element.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Sequence

from kitprep.errors import AmbiguousId, NoSuchElement, NoSuchKit, NoSuchPage

_MOST_SHOWN = 6  # ids in one sentence before it stops helping
_ELEMENT = re.compile(r"(?:(?P<kit>.+)/)?p?(?P<page>\d+)-(?P<number>\d+)$")
_PAGE = re.compile(r"(?:(?P<kit>.+)/)?p?(?P<page>\d+)$")


def resolve_element(text: str, kits: Sequence[str], pages: Sequence[str], elements: Sequence[str]) -> str:
    """The full id of the element meant.

    Parameters
    ----------
    text : str
        As written.
    kits, pages, elements : sequence of str
        Every slug and every full id on the shelf.

    Raises
    ------
    NoSuchKit, NoSuchPage, NoSuchElement
        If there is none; the last with the nearest ids.
    AmbiguousId
        If several elements end so.
    """
    wanted = _spelled_out(text)
    found = _ending_in(wanted, elements)
    if len(found) == 1:
        return found[0]
    if found:
        raise AmbiguousId(text, _few(found))
    _check_kit_and_page(text, wanted, kits, pages)
    pool = [name for name in elements if "/" not in wanted or name.startswith(wanted.split("/")[0] + "/")]
    near = difflib.get_close_matches(wanted, pool, n=3, cutoff=0.5)
    tails = {name.split("/")[1]: name for name in pool}
    near = near or [tails[tail] for tail in difflib.get_close_matches(wanted, list(tails), n=3, cutoff=0.5)]
    raise NoSuchElement(text, near)


def resolve_page(text: str, kits: Sequence[str], pages: Sequence[str]) -> str:
    """The full id of the page meant; errors as `resolve_element`."""
    match = _PAGE.match(text.strip().lower())
    wanted = text.strip().lower()
    if match:
        wanted = f"{match['kit']}/" if match["kit"] else ""
        wanted += f"p{int(match['page']):02d}"
    found = _ending_in(wanted, pages)
    if len(found) == 1:
        return found[0]
    if found:
        raise AmbiguousId(text, _few(found))
    kit = wanted.partition("/")[0] if "/" in wanted else (kits[0] if len(kits) == 1 else "")
    if kit not in kits:
        raise NoSuchKit(kit or text, _few(kits))
    raise NoSuchPage(
        wanted.rpartition("/")[2], kit, [p.split("/")[1] for p in pages if p.startswith(f"{kit}/")]
    )


def _spelled_out(text: str) -> str:
    plain = text.strip().lower()
    match = _ELEMENT.match(plain)
    if match is None:
        return plain
    kit = f"{match['kit']}/" if match["kit"] else ""
    return f"{kit}p{int(match['page']):02d}-{int(match['number']):02d}"


def _ending_in(wanted: str, ids: Sequence[str]) -> list[str]:
    if wanted in ids:
        return [wanted]
    return [name for name in ids if wanted and name.endswith((f"/{wanted}", f"-{wanted}"))]


def _check_kit_and_page(text: str, wanted: str, kits: Sequence[str], pages: Sequence[str]) -> None:
    kit, slash, rest = wanted.rpartition("/")
    if not slash:
        return
    meant = [name for name in kits if name == kit or name.endswith(f"-{kit}")]
    if not meant:
        near = difflib.get_close_matches(kit, kits, n=3)
        raise NoSuchKit(kit or text, _few(near or kits))
    page = rest.partition("-")[0]
    numbers = [name.split("/")[1] for name in pages if name.startswith(f"{meant[0]}/")]
    if len(meant) == 1 and _ELEMENT.match(rest) and page not in numbers:
        raise NoSuchPage(page, meant[0], numbers)


def _few(names: Sequence[str]) -> list[str]:
    more = len(names) - _MOST_SHOWN
    return list(names) if more <= 0 else [*names[:_MOST_SHOWN], f"{more} more"]
