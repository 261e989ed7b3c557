"""How many pixels a page has per inch, and how that is known.

In this order: what a person gives; what the file states, where that is sane; what follows from the
proportions of a well-known page; else 300 is assumed, and said to be.

Programs write 72 or 96 where they know nothing, so a stated resolution below 100 is believed only where
the page it makes is no larger than a kit page. These bounds are common practice, no published source.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import isfinite, sqrt

from kitprep.lengths import Size
from kitprep.pages import PagePpi, PpiSource
from kitprep.papers import A4, LETTER, SQUARE_12

ASSUMED_PPI = 300.0
SANE_PPI = (36.0, 2_400.0)
DEFAULT_LIKE_PPI = 100.0  # 72 and 96, which programs write unasked, lie below
LARGEST_PAGE_IN = 48.0  # a poster
LARGEST_DEFAULT_LIKE_PAGE_IN = 12.0  # the longest side of the pages that kits come on
SNAP_PPI = 0.05  # 11811 pixels per metre mean 300 per inch, not 299.9994

KNOWN_PAGES = (LETTER, A4, SQUARE_12)
PROPORTION_TOLERANCE = 0.005  # letter and A4 differ by 0.09
DEDUCED_PPI = (72.0, 1_200.0)  # a page with a known paper's proportions, even if it is a coarse one
DEDUCED_SQUARE_PPI = 150.0  # small squares are more often single pieces than coarse 12 x 12 in papers


@dataclass(frozen=True, slots=True)
class GivenResolution:
    """What a person says of the pages; `ppi` goes before `page_size`.

    Parameters
    ----------
    page_size : Size or None
        The printed size of every page, either way up.
    ppi : float or None
        Pixels per inch of every page.
    """

    page_size: Size | None = None
    ppi: float | None = None


def page_ppi(
    size_px: tuple[int, int], stated: Iterable[tuple[float, float]], given: GivenResolution
) -> PagePpi:
    """The resolution of a page.

    Parameters
    ----------
    size_px : tuple of int
        Width and height, upright.
    stated : iterable of tuple of float
        What the file states, in pixels per inch across and down the upright page, best source first.
    given : GivenResolution
        What a person gives; it goes before everything else.

    Examples
    --------
    >>> page_ppi((2550, 3300), [(72.0, 72.0)], GivenResolution())
    PagePpi(x=300.0, y=300.0, source=<PpiSource.PAGE_SIZE: 'page size'>)
    """
    if given.ppi is not None:
        return PagePpi(given.ppi, given.ppi, PpiSource.GIVEN)
    if given.page_size is not None:
        ppi = _ppi_on(size_px, given.page_size)
        return PagePpi(ppi, ppi, PpiSource.GIVEN)
    for across, down in stated:
        if _is_sane(size_px, across, down):
            return PagePpi(_snapped(across), _snapped(down), PpiSource.FILE)
    for paper in KNOWN_PAGES:
        ppi = _ppi_on(size_px, paper.size)
        least = DEDUCED_SQUARE_PPI if paper is SQUARE_12 else DEDUCED_PPI[0]
        if _has_proportions(size_px, paper.size) and least <= ppi <= DEDUCED_PPI[1]:
            return PagePpi(ppi, ppi, PpiSource.PAGE_SIZE)
    return PagePpi(ASSUMED_PPI, ASSUMED_PPI, PpiSource.ASSUMED)


def _is_sane(size_px: tuple[int, int], across: float, down: float) -> bool:
    if not (isfinite(across) and isfinite(down)) or min(across, down) < SANE_PPI[0]:
        return False
    if max(across, down) > SANE_PPI[1] or max(across, down) > 2 * min(across, down):
        return False
    longest_in = max(size_px[0] / across, size_px[1] / down)
    default_like = min(across, down) < DEFAULT_LIKE_PPI
    return longest_in <= (LARGEST_DEFAULT_LIKE_PAGE_IN if default_like else LARGEST_PAGE_IN)


def _snapped(ppi: float) -> float:
    return float(round(ppi)) if abs(ppi - round(ppi)) <= SNAP_PPI else ppi


def _either_way_up(size_px: tuple[int, int], size: Size) -> tuple[float, float]:
    short, long = sorted((size.width.inches, size.height.inches))
    return (short, long) if size_px[0] <= size_px[1] else (long, short)


def _has_proportions(size_px: tuple[int, int], size: Size) -> bool:
    width_in, height_in = _either_way_up(size_px, size)
    return abs(size_px[0] / size_px[1] / (width_in / height_in) - 1) <= PROPORTION_TOLERANCE


def _ppi_on(size_px: tuple[int, int], size: Size) -> float:
    """Pixels per inch when the page has the area of `size`: one figure, so that its pixels stay square."""
    width_in, height_in = _either_way_up(size_px, size)
    return _snapped(round(sqrt(size_px[0] / width_in * size_px[1] / height_in), 2))
