"""How many sheets are needed at least.

Dual feasible functions stretch lengths so that what fits together still fits, and what cannot lie
together counts for more. With one function for widths and one for heights, the stretched areas of all
claims over the stretched area of a room is a lower bound (Fekete and Schepers, "New classes of fast lower
bounds for bin packing problems", Math. Programming 91, 2001). A claim that may turn counts with the
smaller of its two stretched areas, so the bound holds whichever way each one lies (the form of Boschetti
and Mingozzi, "The two-dimensional finite bin packing problem, part II", 4OR 1, 2003).
Martello and Vigo's L2 (Management Science 44, 1998) is the pair (large, plain) and (large, large).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from math import ceil

Stretch = tuple[int, Callable[[int], int]]
"""What the whole length becomes, and what a part of it becomes."""

Claim = tuple[int, int, bool, int]
"""Width, height, whether it may turn, copies."""

_ROUNDS = 4
_KEPT_PAIRS = 4  # of every round
_MIXING_STEPS = 80
_MEASURES = 12  # stretched areas looked at when sheets are settled one by one
_MOST_STRETCHES = 400  # keeps the bound in the range of milliseconds for hundreds of sizes,
_MOST_STRETCHED = 120_000  # and this in that of tenths of a second for thousands


def least_sheets(rects: Sequence[Claim], width: int, height: int) -> int:
    """A number of sheets that no packing can do without.

    Parameters
    ----------
    rects : sequence of (width, height, turns, copies)
        The claims; each fits the room in one of its allowed ways.
    width, height : int
        The room.
    """
    if not rects:
        return 0
    pairs = _good_pairs(rects, width, height)
    values = list(pairs.values())
    best = max(_worth(value, rects) for value in values)
    if any(rect[2] for rect in rects):
        best = max(best, _mixed(values, rects))
    return max(1, ceil(best))


def measures(rects: Sequence[Claim], width: int, height: int) -> list[tuple[int, tuple[int, ...]]]:
    """Areas, plain first and then stretched, that no sheet can hold more of than its own.

    Parameters
    ----------
    rects, width, height
        As in `least_sheets`.

    Returns
    -------
    list of (whole, counts)
        What the room is worth, and the least that a claim of each kind counts for.
    """
    plain = (width * height, tuple(rect[0] * rect[1] for rect in rects))
    values = sorted(
        _good_pairs(rects, width, height).values(), key=lambda value: _worth(value, rects), reverse=True
    )
    return [plain] + [(whole, tuple(map(min, lying, turned))) for whole, lying, turned in values[:_MEASURES]]


_Table = tuple[int, list[int], list[int]]
"""A stretched whole, and for every claim its stretched width and height."""
_Values = tuple[int, list[int], list[int]]
"""A room's stretched area, and for every claim its stretched area as it lies and turned."""


def _good_pairs(rects: Sequence[Claim], width: int, height: int) -> dict[tuple[int, int], _Values]:
    sides = sorted({side for rect in rects for side in rect[:2]})
    most = min(_MOST_STRETCHES, _MOST_STRETCHED // len(rects))
    across = _tables(_stretches(width, sides)[:most], rects)
    down = across if height == width else _tables(_stretches(height, sides)[:most], rects)
    pairs: dict[tuple[int, int], _Values] = {}
    for start in (0, 1):
        for of_means in (False, True):
            _collect(pairs, across, down, rects, start, of_means)
    return pairs


def _tables(stretches: list[Stretch], rects: Sequence[Claim]) -> list[_Table]:
    return [
        (whole, [part(rect[0]) for rect in rects], [part(rect[1]) for rect in rects])
        for whole, part in stretches
    ]


def _collect(
    pairs: dict[tuple[int, int], _Values],
    across: list[_Table],
    down: list[_Table],
    rects: Sequence[Claim],
    start: int,
    of_means: bool,
) -> None:
    """Add good pairs of stretches: one direction's best for the other's, back and forth."""
    fixed = min(start, len(across) - 1)
    for turn in range(_ROUNDS):
        tables = across if turn % 2 else down
        ranked = []
        for index in range(len(tables)):
            key = (index, fixed) if turn % 2 else (fixed, index)
            values = _values(across[key[0]], down[key[1]], rects)
            ranked.append((_mean(values, rects) if of_means else _worth(values, rects), -index, key, values))
        ranked.sort(key=lambda entry: entry[:2], reverse=True)
        pairs.update((key, values) for _, _, key, values in ranked[:_KEPT_PAIRS])
        fixed = -ranked[0][1]


def _values(across: _Table, down: _Table, rects: Sequence[Claim]) -> _Values:
    lying = [wide * high for wide, high in zip(across[1], down[2], strict=True)]
    turned = [
        high * wide if rect[2] else area
        for high, wide, area, rect in zip(across[2], down[1], lying, rects, strict=True)
    ]
    return across[0] * down[0], lying, turned


def _worth(values: _Values, rects: Sequence[Claim]) -> Fraction:
    """The bound of one pair of stretches."""
    whole, lying, turned = values
    total = sum(min(a, b) * rect[3] for a, b, rect in zip(lying, turned, rects, strict=True))
    return Fraction(total, whole)


def _mean(values: _Values, rects: Sequence[Claim]) -> Fraction:
    """What the bound would be if half of all claims were turned; a pair for mixing."""
    whole, lying, turned = values
    return Fraction(
        sum((a + b) * rect[3] for a, b, rect in zip(lying, turned, rects, strict=True)), 2 * whole
    )


def _mixed(pairs: Sequence[_Values], rects: Sequence[Claim]) -> Fraction:
    """The bound of the best weighted mean of pairs found.

    Every pair's inequality holds for the ways in which the claims of a packing lie, so a weighted mean of
    them holds too; a claim then counts with the smaller of its two mean areas, which is more than the
    mean of the smaller ones. Each step adds weight to the pair that is worth most while every claim lies
    in the way that is now the cheaper one.
    """
    shares = [
        ([a * rect[3] / whole for a, rect in zip(lying, rects, strict=True)],
         [b * rect[3] / whole for b, rect in zip(turned, rects, strict=True)])
        for whole, lying, turned in pairs
    ]  # fmt: skip
    weights, best, best_weights = [0] * len(pairs), -1.0, [1] + [0] * (len(pairs) - 1)
    lying, turned = [0.0] * len(rects), [0.0] * len(rects)
    for step in range(1, _MIXING_STEPS + 1):
        cheaper = [a <= b for a, b in zip(lying, turned, strict=True)]
        worths = [
            sum(a if first else b for a, b, first in zip(*share, cheaper, strict=True)) for share in shares
        ]
        chosen = worths.index(max(worths))
        weights[chosen] += 1
        lying = [a + b for a, b in zip(lying, shares[chosen][0], strict=True)]
        turned = [a + b for a, b in zip(turned, shares[chosen][1], strict=True)]
        value = sum(map(min, lying, turned)) / step
        if value > best:
            best, best_weights = value, weights[:]
    return _weighted(pairs, best_weights, rects)


def _weighted(pairs: Sequence[_Values], weights: Sequence[int], rects: Sequence[Claim]) -> Fraction:
    """The bound of a weighted mean, without rounding."""
    total = Fraction(0)
    used = [(weight, pair) for weight, pair in zip(weights, pairs, strict=True) if weight]
    for index, rect in enumerate(rects):
        lying = sum((Fraction(weight * pair[1][index], pair[0]) for weight, pair in used), Fraction(0))
        turned = sum((Fraction(weight * pair[2][index], pair[0]) for weight, pair in used), Fraction(0))
        total += min(lying, turned) * rect[3]
    return total / sum(weights)


def _stretches(whole: int, sides: Sequence[int]) -> list[Stretch]:
    """Dual feasible functions worth trying for one direction, the plain one first."""
    fitting = [side for side in sides if side <= whole]
    edges = sorted({min(side, whole - side) for side in fitting} | {whole // 2})
    edges = [edge for edge in edges if 0 < 2 * edge <= whole]
    stretches: list[Stretch] = [_large(whole, 1), _large(whole, max(whole // 2, 1))]
    stretches += [_large(whole, edge) for edge in edges] + [_counted(whole, edge) for edge in edges]
    stretches += [_rounded(whole, parts) for parts in range(1, 8)]
    return stretches


def _large(whole: int, edge: int) -> Stretch:
    """Parts that leave less than `edge` count as the whole, parts below `edge` as nothing."""

    def part(side: int) -> int:
        if side > whole - edge:
            return whole
        return side if side >= edge else 0

    return whole, part


def _counted(whole: int, edge: int) -> Stretch:
    """Counts how many `edge` fit (f2 of Carlier, Clautiaux, Moukrim, Computers & OR 34, 2007)."""

    def part(side: int) -> int:
        if 2 * side > whole:
            return 2 * (whole // edge - (whole - min(side, whole)) // edge)
        return whole // edge if 2 * side == whole else 2 * (side // edge)

    return 2 * (whole // edge), part


def _rounded(whole: int, parts: int) -> Stretch:
    """Rounds to `parts` steps, exact divisions untouched (u of Fekete and Schepers)."""

    def part(side: int) -> int:
        steps, rest = divmod((parts + 1) * side, whole)
        return side * parts if rest == 0 else steps * whole

    return whole * parts, part
