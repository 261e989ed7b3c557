"""Routes for bringing a kit in: its files are sent one by one, then imported as a long work."""

from __future__ import annotations

import errno
from pathlib import Path, PurePosixPath
from secrets import token_urlsafe
from shutil import rmtree

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from kitprep import answers
from kitprep.answers import Json
from kitprep.errors import BadOption, BrokenRequest, CannotWrite, NoSuchWork, TooMuchToImport
from kitprep.jobs.importing import ImportOptions, import_kit
from kitprep.papers import find_paper
from kitprep.worktable import given, words
from kitprep.worktable.table import Asked, Table, answering, table_of
from kitprep.worktable.works import Work

MOST_BYTES = 2 * 1024**3  # of one kit, as importing has it
MOST_FILES = 2_000  # likewise


def begin_upload(asked: Asked) -> Json:
    """A place for the files of one kit; those of an earlier one that was never brought in are let go."""
    for earlier in asked.table.uploads.iterdir():
        rmtree(earlier, ignore_errors=True)
    name = token_urlsafe(9)
    (asked.table.uploads / name).mkdir()
    return {"upload": name}


async def take_file(request: Request) -> Response:
    """Take one file in, at its path within the folder that was dropped."""
    folder = _upload(table_of(request), request.path_params["upload"])
    path = _inside(folder, request.path_params["path"])
    room, files = await run_in_threadpool(_room, folder)
    if files >= MOST_FILES:
        raise TooMuchToImport("what was dropped", f"over {MOST_FILES} files")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("xb") as file:
            async for chunk in request.stream():
                room -= len(chunk)
                if room < 0:
                    raise TooMuchToImport("what was dropped", "over 2 GiB")
                await run_in_threadpool(file.write, chunk)
    except OSError as error:
        raise _cannot_take(path.name, error) from error
    return JSONResponse({"file": request.path_params["path"]})


def import_upload(asked: Asked) -> Json:
    """Begin to import the files that were sent."""
    table, sent = asked.table, asked.given
    folder = _upload(table, given.text(sent, "upload"))
    options = _options(sent)

    def job(work: Work) -> Json:
        report = import_kit(sorted(folder.iterdir()), options=options, shelf=table.shelf, progress=work)
        rmtree(folder, ignore_errors=True)
        return {
            **answers.imported(report),
            "warnings": [words.warning(finding) for finding in report.findings],
        }

    return table.works.begin(job).answer()


def _options(sent: Json) -> ImportOptions:
    page_size, ppi = given.text(sent, "page_size", ""), given.text(sent, "ppi", "")
    return ImportOptions(
        name=given.text(sent, "name", ""),
        maker=given.text(sent, "maker", ""),
        terms=given.text(sent, "terms", ""),
        page_size=find_paper(page_size).size if page_size else None,
        ppi=_ppi(ppi) if ppi else None,
        whole=given.flag(sent, "whole", False),
        password=given.text(sent, "password", "") or None,
    )


def _ppi(text: str) -> float:
    try:
        ppi = float(text)
    except ValueError:
        ppi = 0.0
    if not 1 <= ppi <= 4800:
        raise BadOption("pixels per inch", text, "a number from 1 to 4800")
    return ppi


def _upload(table: Table, name: str) -> Path:
    folder = table.uploads / name
    if folder.parent != table.uploads or not folder.is_dir() or name in (".", "..", ""):
        raise NoSuchWork("files of that kit")
    return folder


def _inside(folder: Path, text: str) -> Path:
    path = PurePosixPath(text)
    if path.is_absolute() or not path.parts or ".." in path.parts or "\\" in text or "\0" in text:
        raise BrokenRequest(f"'{text}' is no path within a folder")
    return folder.joinpath(*path.parts)


def _room(folder: Path) -> tuple[int, int]:
    sizes = [path.stat().st_size for path in folder.rglob("*") if path.is_file()]
    return MOST_BYTES - sum(sizes), len(sizes)


def _cannot_take(name: str, error: OSError) -> CannotWrite:
    full = error.errno == errno.ENOSPC
    why = (error.strerror or str(error)).lower()
    return CannotWrite(
        name, why, "make room on this machine's disk" if full else "rename it and drop it again"
    )


ROUTES = [
    Route("/api/uploads", answering(begin_upload), methods=["POST"]),
    Route("/api/uploads/{upload}/{path:path}", take_file, methods=["PUT"]),
    Route("/api/imports", answering(import_upload), methods=["POST"]),
]
