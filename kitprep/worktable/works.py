"""Long work, done one after the other beside the answering of requests."""

from __future__ import annotations

import sys
import traceback
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import CancelledError, Future, ThreadPoolExecutor
from pathlib import Path
from secrets import token_urlsafe
from shutil import rmtree
from threading import Lock

from kitprep.answers import Json
from kitprep.errors import KitprepError, NoSuchWork
from kitprep.worktable import words

KEPT = 6  # finished works whose answer and files can still be had


class Work:
    """One piece of long work; the job tells it how far it is, the page asks it.

    Parameters
    ----------
    folder : Path
        Where its files go.
    """

    def __init__(self, folder: Path) -> None:
        self.name = token_urlsafe(9)
        self.folder = folder / self.name
        self.outcome: Future[Json] = Future()
        self._doing, self._steps, self._done, self._last = "Waiting for other work", 0, 0, ""

    def start(self, doing: str, steps: int) -> None:
        """A stretch of work begins."""
        self._doing, self._steps, self._done, self._last = doing, steps, 0, ""

    def step(self, done: str) -> None:
        """One step is done."""
        self._done, self._last = self._done + 1, done

    def finish(self) -> None:
        """The stretch is over."""

    def answer(self) -> Json:
        """How far it is, and what came of it once it is over."""
        report: Json = {
            "work": self.name,
            "state": "working",
            "doing": self._doing,
            "steps": self._steps,
            "done": self._done,
            "last": self._last,
        }
        if not self.outcome.done():
            return report
        cause = CancelledError() if self.outcome.cancelled() else self.outcome.exception()
        if cause is None:
            return {**report, "state": "done", "answer": self.outcome.result()}
        told = words.error(cause) if isinstance(cause, KitprepError) else words.fault(cause)
        return {**report, "state": "failed", "error": told}


class Works:
    """All works of one worktable; used from several threads.

    Parameters
    ----------
    folder : Path
        Where their files go.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._works: OrderedDict[str, Work] = OrderedDict()
        self._lock = Lock()
        # One at a time: the shelf takes one writer, and the PDF renderer is not made for threads.
        self._hands = ThreadPoolExecutor(1, "work")

    def begin(self, job: Callable[[Work], Json]) -> Work:
        """Begin a work; `job` is given it to report to."""
        work = Work(self._folder)
        work.folder.mkdir()
        work.outcome = self._hands.submit(job, work)
        work.outcome.add_done_callback(_tell_of_faults)
        with self._lock:
            self._works[work.name] = work
            over = [name for name, other in self._works.items() if other.outcome.done()]
            gone = [self._works.pop(name) for name in over[:-KEPT]]
        for old in gone:
            # Windows keeps a file that somebody reads; it goes with the worktable's own folder.
            rmtree(old.folder, ignore_errors=True)
        return work

    def find(self, name: str) -> Work:
        """A work by its name.

        Raises
        ------
        NoSuchWork
            If there is none, or it is kept no longer.
        """
        with self._lock:
            if name not in self._works:
                raise NoSuchWork("such work")
            return self._works[name]

    def close(self) -> None:
        """Finish what is being done and forget what has not begun."""
        self._hands.shutdown(cancel_futures=True)


def _tell_of_faults(outcome: Future[Json]) -> None:
    cause = None if outcome.cancelled() else outcome.exception()
    if cause is not None and not isinstance(cause, KitprepError):
        sys.stderr.write("".join(traceback.format_exception(cause)))
