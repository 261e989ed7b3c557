"""Routes for bringing a kit in: its files are sent one by one, then imported as a long work."""

from __future__ import annotations

import errno
from pathlib import PurePosixPath
from shutil import rmtree

from starlette.concurrency import run_in_threadpool
from starlette.requests import ClientDisconnect, Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from kitprep import answers, wording
from kitprep.answers import Json
from kitprep.errors import BadOption, CannotWrite
from kitprep.jobs.arriving import why_not_stored
from kitprep.jobs.importing import ImportOptions, ImportReport, import_kit
from kitprep.papers import find_paper
from kitprep.worktable import given, words
from kitprep.worktable.statuses import BROKEN_OFF
from kitprep.worktable.table import Asked, answering, table_of
from kitprep.worktable.works import Work


def begin_upload(asked: Asked) -> Json:
    """A place for the files of one kit."""
    return {"upload": asked.table.uploads.begin().name}


async def take_file(request: Request) -> Response:
    """Take one file in, at its path within the folder that was dropped."""
    path = _within(request.path_params["path"])
    try:
        with table_of(request).uploads.arriving(request.path_params["upload"], path) as write:
            async for chunk in request.stream():
                await run_in_threadpool(write, chunk)
    except ClientDisconnect:
        return Response(status_code=BROKEN_OFF)
    except OSError as error:
        raise _cannot_take(PurePosixPath(path).name, error) from error
    return JSONResponse({"file": path})


def import_upload(asked: Asked) -> Json:
    """Begin to import the files that were sent."""
    table, sent = asked.table, asked.given
    options = _options(sent)
    upload = table.uploads.take(given.text(sent, "upload"))

    def job(work: Work) -> Json:
        try:
            sources = sorted(upload.files.iterdir())
            report = import_kit(sources, options=options, shelf=table.shelf, progress=work)
        except BaseException:
            table.uploads.give_back(upload)
            raise
        rmtree(upload.folder, ignore_errors=True)
        return _imported(report)

    return table.works.begin(job).answer()


def _imported(report: ImportReport) -> Json:
    return {
        **answers.imported(report),
        "changes": wording.listed(report.changed) or "nothing was changed",
        "warnings": [words.warning(finding) for finding in report.findings],
    }


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


def _within(text: str) -> str:
    """The path, in its shortest form; two that lead to one file are one."""
    path = str(PurePosixPath(text))
    if why := why_not_stored(text if text.startswith("/") else path):
        raise CannotWrite(text, why, "rename it and drop it again")
    return path


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
