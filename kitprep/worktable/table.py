"""What one worktable holds while it is open, and how its routes answer."""

from __future__ import annotations

import json
import os
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from kitprep.answers import Json
from kitprep.errors import BrokenRequest
from kitprep.jobs.shelves import shelf_in_use
from kitprep.jobs.thumbnails import Thumbnails
from kitprep.jobs.trying import SizeTrials
from kitprep.worktable.uploads import Uploads
from kitprep.worktable.works import Works

MOST_BYTES = 4 * 1024 * 1024  # of a request that is not a file of a kit; a make-list may be as long


class Table:
    """One open worktable.

    Parameters
    ----------
    shelf : Path or None
        The shelf's folder; None for the usual one.
    folder : Path
        A folder of its own for uploads and finished files; removed when the worktable closes.
    """

    def __init__(self, shelf: Path | None, folder: Path) -> None:
        self.shelf = shelf
        self.thumbnails = Thumbnails(shelf)
        self.trials = SizeTrials(shelf)
        (folder / "uploads").mkdir()
        self.uploads = Uploads(folder / "uploads")
        (folder / "works").mkdir()
        self.works = Works(folder / "works")

    @property
    def mark(self) -> str:
        """A short text that is another for another shelf: the page keeps a list for each."""
        return sha256(os.fsencode(shelf_in_use(self.shelf))).hexdigest()[:12]


@dataclass(frozen=True, slots=True)
class Asked:
    """A request as a route sees it: the worktable, names in the address, and what was sent."""

    table: Table
    named: dict[str, str]
    query: dict[str, str]
    given: Json


def table_of(request: Request) -> Table:
    """The worktable that a request is for."""
    table: Table = request.app.state.table
    return table


def answering(answer: Callable[[Asked], Json | Response]) -> Callable[[Request], Awaitable[Response]]:
    """A route that reads JSON, lets `answer` work in a thread, and sends what it gives."""

    async def route(request: Request) -> Response:
        given = await _read_json(request)
        asked = Asked(table_of(request), dict(request.path_params), dict(request.query_params), given)
        made = await run_in_threadpool(answer, asked)
        return made if isinstance(made, Response) else JSONResponse(made)

    return route


async def _read_json(request: Request) -> Json:
    content = bytearray()
    async for chunk in request.stream():
        content += chunk
        if len(content) > MOST_BYTES:
            raise BrokenRequest("the request is too long")
    if not content:
        return {}
    try:
        given = json.loads(content)
    except ValueError:
        raise BrokenRequest("the request is no JSON") from None
    if not isinstance(given, dict):
        raise BrokenRequest("the request is no JSON object")
    return given
