"""Exit codes: the one table from causes to numbers.

0 done; 1 a fault of kitprep itself; 2 wrong use; 3 a file that can't be used; 4 no such kit, page,
element or printer; 5 done, but something was warned of and ``--strict`` asked to fail on it; 6 the shelf
is busy or damaged; 130 stopped by the user (128 + SIGINT, as shells count).
"""

from __future__ import annotations

from kitprep.errors import KitprepError, NotFound, ShelfProblem, UnusableFile, WrongUse

DONE = 0
OUR_FAULT = 1
WARNED = 5
STOPPED = 130
EXIT_CODES: dict[type[KitprepError], int] = {
    WrongUse: 2,
    UnusableFile: 3,
    NotFound: 4,
    ShelfProblem: 6,
}


def exit_code(error: KitprepError) -> int:
    """The exit code of an error, by the family it belongs to."""
    return next(code for family, code in EXIT_CODES.items() if isinstance(error, family))
