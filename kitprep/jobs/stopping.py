"""Ctrl-C while pieces are placed ends the looking, not the job: the best placing so far is used."""

from __future__ import annotations

import signal
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType


class Patience:
    """How long is looked for fewer sheets.

    Parameters
    ----------
    seconds : float or None
        The longest time; None for as long as the effort lasts.
    """

    def __init__(self, seconds: float | None) -> None:
        self.stopped = False
        self._seconds = seconds
        self._end: float | None = None

    def start(self) -> None:
        """Begin anew, for the next paper."""
        self._end = None if self._seconds is None else time.monotonic() + self._seconds

    def is_over(self) -> bool:
        """Whether to come to an end now."""
        return self.stopped or (self._end is not None and time.monotonic() >= self._end)


@contextmanager
def until_interrupted(seconds: float | None) -> Iterator[Patience]:
    """A patience that the first Ctrl-C ends; a second one stops the job as ever.

    Only in the main thread, which alone is told of Ctrl-C; elsewhere time alone counts.
    """
    patience = Patience(seconds)
    if threading.current_thread() is not threading.main_thread():
        yield patience
        return
    before = signal.getsignal(signal.SIGINT)

    def stop(_number: int, _frame: FrameType | None) -> None:
        patience.stopped = True
        signal.signal(signal.SIGINT, before)

    signal.signal(signal.SIGINT, stop)
    try:
        yield patience
    finally:
        signal.signal(signal.SIGINT, before)
