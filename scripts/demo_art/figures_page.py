"""Page 4: cut-out figures on nothing, with soft edges."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np

from .beekeeper import beekeeper
from .curves import Frame, Points, smooth
from .elements import PAGE_HEIGHT, PAGE_WIDTH, Page
from .engraving import Plate
from .fruit import apple, laden_branch, leaf, pear, twig
from .lantern import lantern
from .noise import Field
from .orchard_things import basket, ladder, skep
from .paper import Picture
from .winged import CINDER_MOTH, GHOST_MOTH, bee, moth

COLOUR_STEP = 4 / 255  # fewer different colours keep the lossless file small; the lines hide the steps
FINE = 4  # edges are traced on a grid this much finer than the page


@dataclass(frozen=True)
class Figure:
    """A figure to draw: its name, tile and drawing."""

    name: str
    width: int
    height: int
    draw: Callable[[Plate], None]


def _apple_with_leaf(plate: Plate) -> None:
    leaf(plate, Frame(plate.width * 0.53, plate.height * 0.27, 190, -22), pitch=4.4)
    apple(plate, Frame(plate.width * 0.46, plate.height * 0.62, 390))


def _pear_with_leaf(plate: Plate) -> None:
    leaf(plate, Frame(plate.width * 0.48, plate.height * 0.15, 180, -10), pitch=4.4)
    pear(plate, Frame(plate.width * 0.44, plate.height * 0.585, 430))


def _sprig(plate: Plate) -> None:
    stem = smooth([(70, 330), (190, 300), (310, 262), (420, 240)])
    for x, y, length, direction, curl in (
        (130, 316, 180, -66, 0.14), (235, 288, 190, -72, 0.14), (335, 256, 180, -62, 0.14), (160, 308, 170, 34, -0.12),
        (275, 274, 180, 28, -0.12), (415, 242, 200, -20, 0.12),
    ):  # fmt: skip
        leaf(plate, Frame(x, y, length, direction), curl=curl, pitch=4.2)
    twig(plate, stem, [13, 9, 7, 5])


ROWS: list[list[Figure]] = [
    [
        Figure("storm lantern", 640, 1100, lambda p: lantern(p, Frame(320, 545, 1040))),
        Figure("pear branch", 1500, 1100, lambda p: laden_branch(p, Frame(780, 540, 640))),
        Figure("orchard ladder", 620, 1100, lambda p: ladder(p, Frame(310, 550, 1040))),
    ],
    [
        Figure("harvest basket", 900, 800, lambda p: basket(p, Frame(430, 420, 700))),
        Figure("beekeeper", 380, 580, lambda p: beekeeper(p, Frame(215, 290, 520))),
        Figure("eyed moth", 1100, 720, lambda p: moth(p, Frame(550, 375, 640))),
    ],
    [
        Figure("apple", 460, 520, _apple_with_leaf),
        Figure("ghost moth", 760, 520, lambda p: moth(p, Frame(380, 260, 440), GHOST_MOTH, 4.0)),
        Figure("straw hive", 520, 520, lambda p: skep(p, Frame(260, 275, 460))),
        Figure("pear", 420, 560, _pear_with_leaf),
    ],
    [
        Figure("bee, flying up", 320, 280, lambda p: bee(p, Frame(160, 140, 230))),
        Figure("cinder moth", 580, 380, lambda p: moth(p, Frame(290, 200, 330, 4), CINDER_MOTH, 3.8)),
        Figure("bee, flying right", 300, 320, lambda p: bee(p, Frame(140, 160, 210, 62))),
        Figure("leaf sprig", 640, 460, _sprig),
        Figure("bee, flying left", 300, 300, lambda p: bee(p, Frame(150, 150, 190, -48))),
    ],
]


def traced(alpha: Field) -> tuple[Points, list[Points]]:
    """Follow the edge of a cut-out where its cover is one half.

    Parameters
    ----------
    alpha
        Cover, shape (rows, columns).

    Returns
    -------
    tuple
        The longest outline, and all outlines, in pixels.
    """
    large = cv2.resize(alpha, None, fx=FINE, fy=FINE, interpolation=cv2.INTER_LINEAR)
    found, _ = cv2.findContours((large > 0.5).astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    shapes = [(cv2.approxPolyDP(c, 1.3, True)[:, 0] + 0.5) / FINE for c in found if cv2.contourArea(c) > 40]
    shapes.sort(key=lambda shape: -cv2.contourArea(shape.astype(np.float32)))
    return shapes[0], shapes


def draw_figures_page() -> Page:
    """Draw page 4.

    Returns
    -------
    Page
        The page with its alpha.
    """
    page = Page(
        4, np.zeros((PAGE_HEIGHT, PAGE_WIDTH, 3), np.float32), np.zeros((PAGE_HEIGHT, PAGE_WIDTH), np.float32)
    )
    pulled = [
        [_pulled(figure, 400 + 20 * r + c) for c, figure in enumerate(row)] for r, row in enumerate(ROWS)
    ]
    tall = [max(tile.shape[0] for tile in row) for row in pulled]
    gap = (PAGE_HEIGHT - sum(tall)) / (len(tall) + 1)
    top = gap
    for row, figures, high in zip(pulled, ROWS, tall, strict=True):
        _lay_row(page, row, figures, top + high / 2)
        top += high + gap
    return page


def _pulled(figure: Figure, seed: int) -> Picture:
    plate = Plate(figure.width, figure.height, seed)
    figure.draw(plate)
    tile = plate.printed(unevenness=0.08, step=COLOUR_STEP)
    there = np.argwhere(tile[..., 3] > 0.004)
    (y0, x0), (y1, x1) = there.min(axis=0), there.max(axis=0) + 1
    if y0 == 0 or x0 == 0 or y1 == figure.height or x1 == figure.width:
        raise ValueError(f"{figure.name} touches the edge of its tile; give it a larger one")
    return tile[y0:y1, x0:x1]


def _lay_row(page: Page, tiles: list[Picture], figures: list[Figure], middle: float) -> None:
    assert page.alpha is not None
    gap = (PAGE_WIDTH - sum(tile.shape[1] for tile in tiles)) / (len(tiles) + 1)
    left = gap
    for tile, figure in zip(tiles, figures, strict=True):
        rows, columns = tile.shape[:2]
        x, y = round(left), round(middle - rows / 2)
        page.rgb[y : y + rows, x : x + columns] = tile[..., :3]
        page.alpha[y : y + rows, x : x + columns] = tile[..., 3]
        outline, every = traced(tile[..., 3])
        place = np.array([x, y])
        page.note(figure.name, "figure", outline + place, rectangular=False)
        low = np.min([shape.min(axis=0) for shape in every], axis=0) + place
        high = np.max([shape.max(axis=0) for shape in every], axis=0) + place
        page.elements[-1]["box_px"] = [*(int(v) for v in np.floor(low)), *(int(v) for v in np.ceil(high))]
        left += columns + gap
