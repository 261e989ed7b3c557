"""How much of its old page a cut-out keeps at its edge, laid on pure red.

Compositions with known truth: a lobed figure of plain colours on papers of several colours, drawn with
exact coverage, plain and coded as JPEG. Figures are the CIEDE2000 by which a pixel of the edge ring is nearer
to the page's colour than its true colour is at the same opacity: the most of all pixels, and the share of pixels
over the aim.
"""

from __future__ import annotations

import io
import math
from collections.abc import Callable

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image
from skimage.color import deltaE_ciede2000, rgb2lab

from kitprep.lengths import ZERO, Length, WantedSize, inches
from kitprep.pages import Element, Kind, Page, PageKind, PagePpi, PixelBox, PpiSource
from kitprep.piece import make_artwork
from kitprep.piece.fitting import fit_element
from kitprep.piece.wanted import WantedPiece

AIM = 3.0
RED = np.array([255.0, 0.0, 0.0])
SIZE_PX = 500
FINER = 8
PAGES = {
    "white": (255, 255, 255),
    "cream": (246, 238, 220),
    "grey": (190, 190, 195),
    "green": (150, 180, 140),
}
FIGURES = {"brick": (170.0, 60.0, 40.0), "navy": (20.0, 30.0, 80.0), "ochre": (200.0, 150.0, 60.0)}
OUTLINE = tuple(
    (250 + (170 + 30 * math.cos(6 * t)) * math.cos(t), 250 + (170 + 30 * math.cos(6 * t)) * math.sin(t))
    for t in np.linspace(0, 2 * math.pi, 400, endpoint=False)
)

Floats = NDArray[np.float64]


def run(report: Callable[[str], None]) -> None:
    """Measure and report fringes with and without bleed, on clean and on JPEG pages."""
    for kind, quality in (
        ("clean pages", None),
        ("JPEG pages, quality 90", 90),
        ("JPEG pages, quality 75", 75),
    ):
        for bleed in (ZERO, inches("1/16")):
            found = np.concatenate(
                [
                    _nearer(colour, paper, quality, bleed)
                    for colour in FIGURES.values()
                    for paper in PAGES.values()
                ]
            )
            report(
                f"{kind}, {'no bleed' if not bleed else 'bleed 1/16 in'}: worst {found.max():.1f} (aim {AIM:g}), "
                f"over the aim {np.mean(found > AIM):.2%} of {found.size} pixels of edge"
            )


def _nearer(colour: tuple[float, ...], paper: tuple[int, ...], quality: int | None, bleed: Length) -> Floats:
    """By how much each pixel of the ring is nearer to the page than the truth is."""
    truth = np.full((SIZE_PX, SIZE_PX, 3), colour)
    opacity = _opacity()[..., None]
    page = np.rint(truth * opacity + np.array(paper, float) * (1 - opacity)).astype(np.uint8)
    if quality is not None:
        file = io.BytesIO()
        Image.fromarray(page).save(file, "JPEG", quality=quality)
        page = np.asarray(Image.open(file).convert("RGB"))
    got = _cut_out(page, bleed)
    share = got[..., 3:] / 255
    seen, meant = got[..., :3] * share + RED * (1 - share), truth * share + RED * (1 - share)
    ring = cv2.dilate((opacity[..., 0] > 0).astype(np.uint8), np.ones((3, 3))) > 0
    ring &= cv2.erode((opacity[..., 0] == 1).astype(np.uint8), np.ones((9, 9))) == 0
    return _apart(meant, paper)[ring] - _apart(seen, paper)[ring]


def _opacity() -> Floats:
    fine = np.zeros((SIZE_PX * FINER, SIZE_PX * FINER), np.uint8)
    points = np.rint((np.array(OUTLINE) * FINER - 0.5) * 16).astype(np.int32)
    cv2.fillPoly(fine, [points], 1, shift=4)
    return fine.reshape(SIZE_PX, FINER, SIZE_PX, FINER).mean(axis=(1, 3))


def _cut_out(page: NDArray[np.uint8], bleed: Length) -> Floats:
    xs, ys = zip(*OUTLINE, strict=True)
    box = PixelBox(math.floor(min(xs)), math.floor(min(ys)), math.ceil(max(xs)), math.ceil(max(ys)))
    ppi = PagePpi(300.0, 300.0, PpiSource.GIVEN)
    element = Element(1, box, OUTLINE, 0.0, Kind.FIGURE, False)
    size = element.size(ppi)
    fitting = fit_element(element, ppi, WantedPiece("kit/p01-01", WantedSize(size.width, size.height)))
    whole = Page(1, "page.png", 0, (SIZE_PX, SIZE_PX), ppi, PageKind.PICTURE, False)
    read = lambda box: page[box.top : box.bottom, box.left : box.right]  # noqa: E731
    made = make_artwork(element, whole, "kit/p01", fitting, bleed, read).made
    assert made is not None
    left, top = (round(edge) for edge in fitting.to_piece.inverse(*made.place[:2]))
    full = np.zeros((SIZE_PX, SIZE_PX, 4))
    full[top : top + made.pixels.shape[0], left : left + made.pixels.shape[1]] = made.pixels
    return full


def _apart(colours: Floats, paper: tuple[int, ...]) -> Floats:
    other = np.broadcast_to(np.array(paper, float), colours.shape)
    return np.asarray(deltaE_ciede2000(rgb2lab(colours / 255), rgb2lab(other / 255)))
