"""Who looks on while a page is split: nobody as a rule, else whoever is to explain it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from numpy.typing import NDArray

from kitprep.split.background import Background
from kitprep.split.regions import Region
from kitprep.split.working import Working


class Watcher:
    """Is told of each stage as it is done; this one takes no notice."""

    def background(
        self, page: Working, background: Background | None, threshold: float, mask: NDArray[Any], fills: bool
    ) -> None:
        """What is background.

        Parameters
        ----------
        page : Working
            The page at the scale at which it is looked at.
        background : Background or None
            None where transparency says what it is.
        threshold : float
            What is further from it is not background.
        mask : ndarray
            uint8, shape (rows, cols): above 0 where there is something.
        fills : bool
            Whether the page has no background, so that the mask tells nothing.
        """

    def regions(self, found: Sequence[Region]) -> None:
        """What hangs together."""

    def groups(self, found: Sequence[Region]) -> None:
        """What belongs together and is large enough to cut out."""


NOBODY = Watcher()
