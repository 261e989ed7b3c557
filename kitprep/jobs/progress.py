"""How a long job tells how far it is; the doors draw it, the jobs only report."""

from __future__ import annotations

from typing import Protocol


class Progress(Protocol):
    """Told of the steps of one job."""

    def start(self, doing: str, steps: int) -> None:
        """A stretch of work of that many steps begins."""

    def step(self, done: str) -> None:
        """One step of it is done."""

    def finish(self) -> None:
        """The stretch is over."""


class Silent:
    """Tells nobody."""

    def start(self, doing: str, steps: int) -> None:
        """Do nothing."""

    def step(self, done: str) -> None:
        """Do nothing."""

    def finish(self) -> None:
        """Do nothing."""


SILENT = Silent()
