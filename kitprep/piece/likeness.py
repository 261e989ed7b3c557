"""A small picture of an element, cut out of its reduced page and set straight, to recognise it by."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.pages import Element, Outline, Raster

SUBPIXEL_BITS = 4  # of cv2's polygon filling: sixteenths of a pixel


def likeness(raster: Raster, element: Element) -> NDArray[np.uint8]:
    """Cut an element out of a reduced page.

    Parameters
    ----------
    raster : Raster
        The whole page, reduced.
    element : Element
        On that page.

    Returns
    -------
    ndarray
        uint8, shape (rows, cols, 4), sRGB with straight alpha, as it stands straight; transparent beyond
        the outline and in its holes. At least one pixel each way.
    """
    sx, sy = raster.scale
    if element.rectangular:
        return _straight_rectangle(raster, element, sx, sy)
    box = element.box
    left, top = int(box.left / sx), int(box.top / sy)
    right, bottom = max(left + 1, round(box.right / sx)), max(top + 1, round(box.bottom / sy))
    cut = raster.pixels[top:bottom, left:right]
    mask = np.zeros(cut.shape[:2], np.uint8)
    _fill(mask, element.outline, (sx, sy), (left, top), 255)
    for hole in element.holes:
        _fill(mask, hole, (sx, sy), (left, top), 0)
    return _with_alpha(cut, mask)


def element_mask(pixels: NDArray[np.uint8], element: Element) -> NDArray[np.bool_]:
    """Which pixels of an element's box are its own.

    Parameters
    ----------
    pixels : ndarray
        uint8, shape (rows, cols, 3 or 4): the pixels of `element.box` at full scale.
    element : Element
        Whose outline and holes are asked for.

    Returns
    -------
    ndarray
        bool, shape (rows, cols); false in holes and where the page is more than half transparent.
    """
    mask = np.zeros(pixels.shape[:2], np.uint8)
    origin = element.box.left, element.box.top
    _fill(mask, element.outline, (1.0, 1.0), origin, 255)
    for hole in element.holes:
        _fill(mask, hole, (1.0, 1.0), origin, 0)
    if pixels.shape[2] == 4:
        mask = np.minimum(mask, pixels[..., 3])
    return np.asarray(mask > 127, np.bool_)


def _straight_rectangle(raster: Raster, element: Element, sx: float, sy: float) -> NDArray[np.uint8]:
    across, down = element.straight_size_px
    width, height = max(1, round(across / sx)), max(1, round(down / sy))
    corners = np.array([(x / sx, y / sy) for x, y in element.outline[:3]], np.float32)
    # cv2 puts the middle of a pixel at whole numbers, outlines put its corner there.
    goal = np.array([(0, 0), (width, 0), (width, height)], np.float32) - 0.5
    matrix = cv2.getAffineTransform(corners - 0.5, goal)
    turned = cv2.warpAffine(
        raster.pixels, matrix, (width, height), flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    )
    return _with_alpha(np.asarray(turned, np.uint8), np.full((height, width), 255, np.uint8))


def _fill(
    mask: NDArray[np.uint8], outline: Outline, scale: tuple[float, float], origin: tuple[int, int], value: int
) -> None:
    unit = 1 << SUBPIXEL_BITS
    points = [
        ((x / scale[0] - origin[0] - 0.5) * unit, (y / scale[1] - origin[1] - 0.5) * unit) for x, y in outline
    ]
    polygon = np.round(points).astype(np.int32)
    cv2.fillPoly(mask, [polygon], (value,), lineType=cv2.LINE_AA, shift=SUBPIXEL_BITS)


def _with_alpha(pixels: NDArray[np.uint8], mask: NDArray[np.uint8]) -> NDArray[np.uint8]:
    alpha = mask if pixels.shape[2] == 3 else np.minimum(mask, pixels[..., 3])
    return np.dstack([pixels[..., :3], alpha])
