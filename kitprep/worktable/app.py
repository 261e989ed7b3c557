"""The worktable as a web application: its page, its routes, and what it answers when something is wrong."""

from __future__ import annotations

from collections.abc import AsyncIterator, Collection
from contextlib import asynccontextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from kitprep import wording
from kitprep.answers import Json, size
from kitprep.errors import KitprepError
from kitprep.jobs.cards import known_cards
from kitprep.jobs.values import CutMode, Fit, FoldStyle, Kind
from kitprep.papers import SHEET_PAPERS
from kitprep.worktable import arriving, kits, making, words
from kitprep.worktable.guards import Guard
from kitprep.worktable.statuses import OUR_FAULT, status
from kitprep.worktable.table import Asked, Table, answering

STATIC = Path(__file__).parent / "static"
FONTS = Path(__file__).parent.parent / "fonts"


def create_app(shelf: Path | None, hosts: Collection[str]) -> Starlette:
    """The worktable of a shelf.

    Parameters
    ----------
    shelf : Path or None
        The shelf's folder; None for the usual one.
    hosts : collection of str
        The names with port by which it may be asked for.
    """

    @asynccontextmanager
    async def open_table(app: Starlette) -> AsyncIterator[None]:
        with TemporaryDirectory(prefix="kitprep-", ignore_cleanup_errors=True) as folder:
            table = Table(shelf, Path(folder))
            app.state.table = table
            try:
                yield
            finally:
                table.works.close()

    routes = [
        Route("/", _page),
        Route("/api/about", answering(about)),
        *kits.ROUTES,
        *arriving.ROUTES,
        *making.ROUTES,
        Mount("/static", StaticFiles(directory=STATIC)),
        Mount("/fonts", StaticFiles(directory=FONTS)),
    ]
    return Starlette(
        routes=routes,
        middleware=[Middleware(Guard, hosts=hosts)],
        exception_handlers={KitprepError: _problem, HTTPException: _no_route, Exception: _fault},
        lifespan=open_table,
    )


def about(asked: Asked) -> Json:
    """What the page offers to choose from, and the words it must not forget."""
    return {
        "shelf": asked.table.mark,
        "papers": [{"name": paper.name, "size": size(paper.size)} for paper in SHEET_PAPERS],
        "kinds": [kind.value for kind in Kind],
        "fits": [fit.value for fit in Fit],
        "cuts": [cut.value for cut in CutMode],
        "cards": [
            {"name": known.name, "front": known.front.text(known.unit), "unit": known.unit.value}
            for known in known_cards()
        ],
        "folds": [style.value for style in FoldStyle],
        "print_advice": wording.PRINT_ADVICE,
        "blade_caution": wording.BLADE_CAUTION,
    }


async def _page(_: Request) -> Response:
    return FileResponse(STATIC / "worktable.html")


async def _problem(_: Request, error: Exception) -> Response:
    assert isinstance(error, KitprepError)
    return JSONResponse({"error": words.error(error)}, status(error))


async def _no_route(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    text = f"The worktable has nothing at {request.url.path}; load the page again."
    return JSONResponse({"error": {"text": text, "cause": "NoRoute"}}, error.status_code)


async def _fault(_: Request, error: Exception) -> Response:
    return JSONResponse({"error": words.fault(error)}, OUR_FAULT)
