"""What the command line shows: answers on standard output, everything else on standard error."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from rich.console import Console
    from rich.progress import Progress as Bar
    from rich.progress import TaskID

    from kitprep.jobs.findings import Finding

PLAIN_WIDTH = 110
"""Columns of a table that goes to a file or another program, where no window tells a width."""


class Screen:
    """Where one command's answer goes.

    Parameters
    ----------
    as_json : bool
        Whether standard output is to carry one JSON document and nothing else.
    """

    def __init__(self, as_json: bool) -> None:
        self._as_json = as_json

    def say(self, text: str = "") -> None:
        """A line for people."""
        stream = sys.stderr if self._as_json else sys.stdout
        stream.write(f"{text}\n")

    def table(
        self, headings: Sequence[str], rows: Iterable[Sequence[str]], right: Sequence[int] = ()
    ) -> None:
        """A table for people; `right` names the columns that are set flush right."""
        from rich import box
        from rich.table import Table

        drawn = Table(box=box.SIMPLE_HEAD, pad_edge=False, header_style="bold")
        for number, heading in enumerate(headings):
            drawn.add_column(heading, justify="right" if number in right else "left", overflow="fold")
        for row in rows:
            drawn.add_row(*row)
        self._console().print(drawn)

    def note(self, text: str) -> None:
        """A line beside the answer, on standard error."""
        sys.stderr.write(f"! {text}\n")

    def warnings(self, findings: Iterable[Finding]) -> None:
        """What the person should know, a paragraph each."""
        from kitprep import wording

        for finding in findings:
            self.note(wording.sentence(finding))

    def answer(self, document: Any) -> None:
        """The JSON document, where it was asked for."""
        if self._as_json:
            sys.stdout.write(json.dumps(document, indent=1) + "\n")

    def _console(self) -> Console:
        from rich.console import Console

        stream = sys.stderr if self._as_json else sys.stdout
        return Console(
            file=stream, highlight=False, markup=False, width=None if stream.isatty() else PLAIN_WIDTH
        )


class ProgressBar:
    """Draws the steps of a job on standard error where that is a terminal."""

    def __init__(self) -> None:
        self._bar: Bar | None = None
        self._task: TaskID | None = None

    def start(self, doing: str, steps: int) -> None:
        """A stretch of work begins."""
        if not sys.stderr.isatty():
            return
        from rich.console import Console
        from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

        columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
        self._bar = Progress(*columns, console=Console(file=sys.stderr), transient=True)
        self._bar.start()
        self._task = self._bar.add_task(doing, total=steps)

    def step(self, done: str) -> None:
        """One step is done."""
        if self._bar is not None and self._task is not None:
            self._bar.update(self._task, advance=1, description=done)

    def finish(self) -> None:
        """The stretch is over."""
        if self._bar is not None:
            self._bar.stop()
            self._bar = None
