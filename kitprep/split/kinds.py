"""What an element is, judged from its size, proportions, edge, holes and colours.

The sizes are those of paper crafts as commonly sold (common practice, no published source).
"""

from __future__ import annotations

from dataclasses import dataclass

from kitprep.pages import Kind

PAPER_SHARE = 0.22  # of the page; a rectangle this large is a paper
PAPER_AREA = 14.0  # sq in; so is one this large
STRIP_PROPORTION, WORDS_PROPORTION = 8.0, 2.4  # times as long as wide
STRIP_WIDTH = 1.3  # in
LETTERS, LINE_PROPORTION = 5, 1.3  # parts of a wording at least, or its width over its height
STAMP_SIDE = 2.4  # in
PLAIN = 0.62  # of its pixels have one colour: written on, not a picture
FOOTER_HEIGHT = 0.30  # in; a line of small type
FOOTER_ZONE = 0.09  # of the page's height, at its foot or head


@dataclass(frozen=True, slots=True)
class Looks:
    """What is known of an element when its kind is judged.

    Parameters
    ----------
    width, height : float
        Inches, once straight.
    page_share : float
        Its area over the page's.
    rectangular : bool
        Whether it has four straight sides.
    parts : int
        Connected regions it was joined from.
    is_part : bool
        Whether all of those are letters, dots or leaves.
    toothed : bool
        Whether its edge is a row of small teeth.
    boxy : bool
        Whether its hull nearly fills a rectangle.
    rounded : bool
        Whether it is an ellipse or a rectangle with rounded corners.
    angular : bool
        Whether its outline is a few long straight lines.
    punched : bool
        Whether it has a small round hole.
    bordered : bool
        Whether a plain pale border runs round a picture.
    plain_share : float
        Share of its pixels that have its commonest colour.
    top, bottom : float
        Of its box, as shares of the page's height.
    """

    width: float
    height: float
    page_share: float
    rectangular: bool
    parts: int = 1
    is_part: bool = False
    toothed: bool = False
    boxy: bool = False
    rounded: bool = False
    angular: bool = False
    punched: bool = False
    bordered: bool = False
    plain_share: float = 0.0
    top: float = 0.0
    bottom: float = 1.0


def judge_kind(looks: Looks) -> Kind:
    """The kind an element most likely is."""
    if looks.is_part:
        return _parts(looks)
    if looks.rectangular:
        return _rectangle(looks)
    if looks.toothed:
        small = max(looks.width, looks.height) <= STAMP_SIDE
        return Kind.STAMP if looks.boxy and small else Kind.LABEL
    if looks.punched and looks.angular:
        return Kind.TAG
    if looks.rounded:
        return Kind.LABEL
    return Kind.TAG if looks.angular else Kind.FIGURE


def _parts(looks: Looks) -> Kind:
    if looks.parts >= LETTERS or (looks.parts > 1 and looks.width > LINE_PROPORTION * looks.height):
        return Kind.WORDS
    return Kind.OTHER if looks.parts == 1 else Kind.FIGURE


def _rectangle(looks: Looks) -> Kind:
    short, long = sorted((looks.width, looks.height))
    if looks.page_share >= PAPER_SHARE or short * long >= PAPER_AREA:
        return Kind.PAPER
    if short <= STRIP_WIDTH and long >= STRIP_PROPORTION * short:
        return Kind.STRIP
    if short <= STRIP_WIDTH and long >= WORDS_PROPORTION * short:
        return Kind.WORDS if looks.plain_share >= PLAIN and looks.width > looks.height else Kind.STRIP
    if looks.bordered and long <= STAMP_SIDE:
        return Kind.STAMP
    return Kind.CARD if looks.plain_share >= PLAIN or looks.bordered else Kind.LABEL


def is_unwanted(kind: Kind, looks: Looks) -> bool:
    """Whether it is likely a maker's line, a page title or number rather than an element."""
    if kind is not Kind.WORDS or not looks.is_part or looks.height > FOOTER_HEIGHT:
        return False
    return looks.top > 1 - FOOTER_ZONE or looks.bottom < FOOTER_ZONE
