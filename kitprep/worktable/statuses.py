"""HTTP statuses: the one table from causes to numbers (RFC 9110, section 15)."""

from __future__ import annotations

from kitprep.errors import KitprepError, NotFound, ShelfProblem, UnusableFile, WrongUse

STATUSES: dict[type[KitprepError], int] = {
    WrongUse: 400,
    UnusableFile: 422,
    NotFound: 404,
    ShelfProblem: 409,
}
REFUSED = 403
BROKEN_OFF = 400  # nobody is left to read it
OUR_FAULT = 500


def status(error: KitprepError) -> int:
    """The status of an error, by the family it belongs to."""
    return next(code for family, code in STATUSES.items() if isinstance(error, family))
