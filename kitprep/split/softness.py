"""Taking away what has no sharp edge against the background: unevenness of the page, and soft shadows.

An element begins with a step; a cloud in a textured page, a vignette and a drop shadow begin with a
slope. What can be reached from the background by slopes alone is not part of an element. Shadows are
steep slopes, as steep as the faint edge of a white border, so they are only taken away on pages that
have them.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.split.background import Background
from kitprep.split.regions import Region, filled
from kitprep.split.working import Working

UNEVEN = 40.0  # levels; further from the background than this is no unevenness
GENTLE = 3.0  # levels over three pixels; the least slope that counts as a step
EDGE = 30.0  # levels over three pixels; half of an outline has more where a thing begins
OVER_ROUGHNESS = 1.6  # times the threshold of the ground; a step on a rough ground is more
SHADOW_STEP = 34.0  # levels over three pixels; the steepest slope of a shadow
SHADOW_FALL = -0.25  # levels per pixel that a shadow darkens inwards at least
DEEP_SHADE, SHADOW_RISE = 45.0, 1.5  # levels; unless it is this deep, where it may be flat but for noise
STEEPER = 1.8  # times as steep as it mostly is at its rim a shadow may be further in
LEAST_STEEP, MOST_STEEP = 8.0, 26.0  # levels per pixel
DARKEST_SHADOW = 0.42  # of the background's lightness
LIGHTEST_SHADOW = 0.985  # the same; above, it is the background itself or paper as white
SHADOW_CHROMA = 7.0  # levels of a and b that a shadow may differ from the darkened background
SHADOW_DEPTH = 0.36  # in; how far a shadow reaches out
STRIP, AROUND_STRIP = 128, 12  # rows worked on together, and even more of them above and below
RIM_DEPTHS = (1, 3)  # working px inwards; teeth are soft at the first and flat at the second
FALLS_TO = 0.85  # of its distance from the background a pixel further out in a shadow has at most
# Of all outlines; a page with less soft rim has no shadows, though pale teeth reach 0.14. What is uneven hides
# much of a shadow's rim; where nothing throws one, it was at most 0.03 of 60 such pages.
SHADOWED_SHARE, SHADOWED_SHARE_UNEVEN = 0.2, 0.06


def slopes(page: Working) -> NDArray[Any]:
    """How much the colour changes within three pixels: uint8, shape (rows, cols)."""
    smooth = cv2.GaussianBlur(page.lab, (3, 3), 0)
    change = cv2.morphologyEx(smooth, cv2.MORPH_GRADIENT, np.ones((3, 3), np.uint8))
    light, first, second = cv2.split(change)
    chroma = cv2.max(first, second)
    return cv2.max(light, cv2.add(chroma, chroma))


def have_edges(regions: Sequence[Region], page: Working, background: Background) -> bool:
    """Whether most regions begin at a step, as things laid on a page do and parts of a photograph do not.

    On a rough ground a step is what stands out from the ground's own roughness.
    """
    slope, square = slopes(page), np.ones((3, 3), np.uint8)
    steps = []
    for region in regions:
        framed = cv2.copyMakeBorder(region.mask, 2, 2, 2, 2, cv2.BORDER_CONSTANT, value=0)
        rim = cv2.morphologyEx(framed, cv2.MORPH_GRADIENT, square)[2:-2, 2:-2]
        steps.append(np.median(slope[region.top : region.bottom, region.left : region.right][rim > 0]))
    return bool(steps) and float(np.median(steps)) >= max(EDGE, OVER_ROUGHNESS * background.threshold)


def without_unevenness(mask: NDArray[Any], slope: NDArray[Any], background: Background) -> NDArray[Any]:
    """The mask without what slopes gently into the background."""
    quiet = slope[cv2.erode(255 - mask, np.ones((5, 5), np.uint8)) > 0]
    usual = float(np.percentile(quiet[::7], 99.5)) if quiet.size > 700 else 0.0
    gentle = max(GENTLE, min(1.15 * usual, 14.0))
    passable = cv2.bitwise_and(cv2.inRange(slope, 0, gentle), cv2.inRange(background.distance, 0, UNEVEN))
    return _unreached(mask, passable)


def soft_falls(slope: NDArray[Any], shade: NDArray[Any], background: Background) -> NDArray[Any]:
    """Where the background darkens gradually, as it does in a shadow: uint8 0 or 255.

    Parameters
    ----------
    slope : ndarray
        From `slopes`.
    shade : ndarray
        From `shadow_like`.
    background : Background
        Of the page.
    """
    further_out = cv2.erode(background.distance, np.ones((3, 3), np.uint8))
    falling = cv2.compare(further_out, cv2.convertScaleAbs(background.distance, alpha=FALLS_TO), cv2.CMP_LT)
    soft = cv2.inRange(slope, GENTLE, SHADOW_STEP)
    return cv2.bitwise_and(cv2.bitwise_and(soft, falling, dst=soft), shade, dst=soft)


def has_shadows(mask: NDArray[Any], soft: NDArray[Any], background: Background) -> bool:
    """Whether much of the outlines of a page is a soft, grey rim; `soft` is from `soft_falls`."""
    least = SHADOWED_SHARE_UNEVEN if background.is_uneven else SHADOWED_SHARE
    return _soft_rim_share(mask, soft) > least


def may_have_shadows(mask: NDArray[Any], soft: NDArray[Any]) -> bool:
    """Whether it is worth looking closer: the same without the unevenness of the page taken away."""
    return _soft_rim_share(mask, soft) > SHADOWED_SHARE / 4


def _soft_rim_share(mask: NDArray[Any], soft: NDArray[Any]) -> float:
    """The share of outlines that darken gradually over five pixels, as only a shadow does."""
    square = np.ones((3, 3), np.uint8)
    shares = []
    for depth in RIM_DEPTHS:
        outer = cv2.erode(mask, square, iterations=depth)
        rim = cv2.subtract(outer, cv2.erode(outer, square))
        shares.append(cv2.countNonZero(cv2.bitwise_and(soft, rim)) / max(cv2.countNonZero(rim), 1))
    return min(shares)


def without_shadows(
    mask: NDArray[Any], page: Working, background: Background, shade: NDArray[Any]
) -> NDArray[Any]:
    """The mask without soft shadows around its regions; `shade` is from `shadow_like`.

    Inwards a shadow only ever darkens, and gradually. Where it grows lighter, or darkens at a step, an
    element begins.
    """
    whole = filled(mask)
    depth = cv2.distanceTransform(whole, cv2.DIST_L2, 5)
    darkening = _inward_change(page, depth)
    steepest = min(max(STEEPER * _usual_fall(darkening, depth, shade), LEAST_STEEP), MOST_STEEP)
    flat = cv2.bitwise_and(
        cv2.inRange(darkening, -steepest, SHADOW_RISE), cv2.inRange(background.distance, DEEP_SHADE, 255)
    )
    falling = cv2.inRange(darkening, -steepest, SHADOW_FALL)
    passable = cv2.bitwise_and(shade, cv2.bitwise_or(flat, falling))
    passable = cv2.bitwise_and(passable, cv2.inRange(depth, 0.0, page.px(SHADOW_DEPTH)))
    return _unreached(whole, passable)


def _usual_fall(darkening: NDArray[Any], depth: NDArray[Any], shade: NDArray[Any]) -> float:
    """How steeply what may be a shadow falls at its rim, in levels per pixel; 0 where nothing does."""
    rim = cv2.bitwise_and(cv2.inRange(depth, 0.5, 3.5), shade)
    falls = darkening[rim > 0]
    falls = falls[falls < 0]
    return float(-np.percentile(falls, 25)) if falls.size else 0.0


def _inward_change(page: Working, depth: NDArray[Any]) -> NDArray[Any]:
    """Levels of lightness gained per pixel going away from the background; float32.

    Made a strip at a time, each with more rows around it than the filters reach: getting memory for whole
    pages of floats takes longer than the sums.
    """
    light = cv2.GaussianBlur(cv2.extractChannel(page.lab, 0), (3, 3), 0)
    gained = np.empty_like(depth)
    for top in range(0, page.rows, STRIP):
        low, bottom = max(0, top - AROUND_STRIP), min(page.rows, top + STRIP)
        high = min(page.rows, bottom + AROUND_STRIP)
        across, down = _inwards(depth[low:high])
        for step, way in ((across, (1, 0)), (down, (0, 1))):
            cv2.multiply(cv2.Sobel(light[low:high], cv2.CV_32F, *way, ksize=3, scale=1 / 8), step, dst=step)
        cv2.add(across[top - low : bottom - low], down[top - low : bottom - low], dst=gained[top:bottom])
    return gained


def _inwards(depth: NDArray[Any]) -> tuple[NDArray[Any], NDArray[Any]]:
    """Steps across and down of one pixel away from the background; float32, of the shape of `depth`.

    Which way that is changes slowly, so it is told on every second pixel.
    """
    half = cv2.resize(depth, None, fx=0.5, fy=0.5, interpolation=cv2.INTER_AREA)
    smooth = cv2.GaussianBlur(half, (5, 5), 0.75)
    across, down = (cv2.Sobel(smooth, cv2.CV_32F, *way, ksize=3, scale=1 / 16) for way in ((1, 0), (0, 1)))
    steep = cv2.magnitude(across, down)
    np.maximum(steep, 0.2, out=steep)
    across, down = cv2.divide(across, steep, dst=across), cv2.divide(down, steep, dst=down)
    size = depth.shape[1], depth.shape[0]
    return cv2.resize(across, size), cv2.resize(down, size)


def may_be_shade(lab: NDArray[Any], ground: NDArray[Any]) -> NDArray[Any]:
    """Where colours may be those of a ground in shade, and not the lit ground itself; bool.

    Parameters
    ----------
    lab : ndarray
        float32, shape (..., 3), Lab as OpenCV scales it.
    ground : ndarray
        float32, of a shape that goes with it.
    """
    scale = lab[..., 0] / np.maximum(ground[..., 0], 1.0)
    off = np.abs(lab[..., 1:] - 128 - (ground[..., 1:] - 128) * scale[..., None]).max(axis=-1)
    return np.asarray((scale >= DARKEST_SHADOW) & (scale <= LIGHTEST_SHADOW) & (off <= SHADOW_CHROMA))


def shadow_like(page: Working, background: Background) -> NDArray[Any]:
    """Where a pixel could be the background in shade or in light: uint8 0 or 255."""
    return shade_of(page.lab, background.ground.mean(axis=(0, 1), dtype=np.float64), lightest=1.0)


def shade_of(lab: NDArray[Any], ground: NDArray[Any], lightest: float = LIGHTEST_SHADOW) -> NDArray[Any]:
    """Where 8-bit Lab may be one colour in shade: uint8 0 or 255, without the last axis.

    Shade multiplies the background's light; in Lab that scales a and b about as the lightness.
    """
    light, first, second = cv2.split(lab)
    scale = np.arange(256) / max(float(ground[0]), 1.0)
    shade = np.where((scale >= DARKEST_SHADOW) & (scale <= lightest), 255, 0).astype(np.uint8)
    like = cv2.LUT(light, shade)
    for channel, neutral in ((first, float(ground[1])), (second, float(ground[2]))):
        expected = np.clip(128 + (neutral - 128) * scale + 0.5, 0, 255).astype(np.uint8)
        off = cv2.absdiff(channel, cv2.LUT(light, expected))
        like = cv2.bitwise_and(like, cv2.inRange(off, 0, SHADOW_CHROMA))
    return like


def _unreached(mask: NDArray[Any], passable: NDArray[Any]) -> NDArray[Any]:
    """The mask less what can be reached from the page's rim by passable pixels, three abreast."""
    square = np.ones((3, 3), np.uint8)
    barred = cv2.dilate(cv2.subtract(mask, passable), square)
    reached = cv2.bitwise_and(cv2.dilate(cv2.bitwise_not(filled(barred)), square), passable)
    return cv2.subtract(mask, reached)
