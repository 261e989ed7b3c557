"""Numbers that look mixed and are the same every time, on every machine and every Python.

A linear congruential generator with Knuth's MMIX constants (The Art of Computer Programming, volume 2,
3rd edition, section 3.3.4, table 1, line 26), of which the upper 31 bits are used.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import TypeVar

T = TypeVar("T")

_MULTIPLIER = 6_364_136_223_846_793_005
_INCREMENT = 1_442_695_040_888_963_407
_MASK = (1 << 64) - 1
_MOST_PAIRS = 2_000


class Mixing:
    """A sequence of mixed numbers.

    Parameters
    ----------
    start : int
        Equal starts give equal sequences.
    """

    LIMIT = 2_147_483_648
    """Every number is below this."""

    def __init__(self, start: int) -> None:
        self._state = start & _MASK

    def bits(self) -> int:
        """The next number, 0 or more and below 2**31."""
        self._state = (self._state * _MULTIPLIER + _INCREMENT) & _MASK
        return self._state >> 33

    def share(self) -> float:
        """The next number as a share, 0 or more and below 1."""
        return self.bits() / self.LIMIT

    def choose(self, among: Sequence[T]) -> T:
        """One of several."""
        return among[self.bits() % len(among)]

    def some(self, count: int, below: int) -> list[int]:
        """Different numbers below a limit, `count` of them, in mixed order."""
        left = list(range(below))
        for index in range(count):
            other = index + self.bits() % (below - index)
            left[index], left[other] = left[other], left[index]
        return left[:count]

    def pairs(self, among: Sequence[T]) -> Iterator[tuple[T, T]]:
        """Pairs in mixed order: every pair once or, where there are very many, some of them."""
        count = len(among)
        if count * (count - 1) // 2 > _MOST_PAIRS:
            for _ in range(_MOST_PAIRS):
                one, other = sorted(self.some(2, count))
                yield among[one], among[other]
            return
        left = list(combinations(among, 2))
        while left:
            yield left.pop(self.bits() % len(left))
