"""What of a page is background, judged from its rim in CIE Lab.

Only the rim is trusted: pale pixels of elements inside the page would draw the background towards them
and eat white borders. The background is one colour where the rim is plain, else a surface of second
order through the medians of blocks of the rim, which follows a gradient or a vignette.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from kitprep.split.working import Working

RIM = 0.09  # in; what a page of cut-outs keeps free all round
BLOCK = 0.35  # in; long enough that a speck does not shift its median
LEAST_SHARE_UNEVEN = 0.85  # the same where the rim is no single colour, so that less is proof
SURE_SHARE_UNEVEN = 0.93  # from here on it is background even if what lies on it has soft edges
SURE_SHARE_ROUGH = 0.99  # the same where it is rough, so that much of a picture would be near it
ROUGH_FROM = 12.0  # levels of threshold; more is a texture that anybody sees
FADES_FROM = 50.0  # levels from the lightest to the darkest part of a ground; more is a printed picture
SIDE = 48  # pixels of the small picture of an uneven ground
SMOOTH_SHARE = 0.9  # of the rim; less of it near a surface means that no surface fits
FOLLOWED, FOLLOWED_AT = 0.25, 3  # in; working px: how far round and how finely the ground is followed
EVERY = 5  # rim pixel is looked at
PLAIN_SPREAD = 3.0  # levels of OpenCV's Lab: block medians that differ less are one colour
LEAST_SHARE = 0.5  # of the rim; below this the rim is not background at all
NEAR = 14.0  # levels; rim pixels further from the model are not background
NEAR_UNEVEN = 24.0  # the same where it is a surface, which a real ground follows only roughly
LEAST_THRESHOLD, MOST_THRESHOLD = 3.0, 30.0  # levels
UNEVEN_FROM = 3.9  # levels of threshold; the noise of JPEG alone stays under it
CHROMA_WEIGHT = 2.0  # 8-bit Lab has 2.55 levels to a unit of L and one to a unit of a and b


@dataclass(frozen=True, slots=True, eq=False)
class Background:
    """The background of a page and how far each pixel is from it.

    Parameters
    ----------
    distance : ndarray
        uint8, shape (rows, cols): the greatest of the differences in L, 2a and 2b.
    threshold : float
        Pixels further than this are not background; from the noise of the rim.
    share : float
        How much of the rim agrees with the background, 0 to 1.
    ground : ndarray
        float32, shape (1, 1, 3) where the background is one colour, else a small picture of it, in Lab.
    """

    distance: NDArray[Any]
    threshold: float
    share: float
    ground: NDArray[Any]

    @property
    def is_flat(self) -> bool:
        """Whether the background is one colour."""
        return self.ground.shape[:2] == (1, 1)

    @property
    def is_clear(self) -> bool:
        """Whether the rim is background rather than the picture of a page-filling paper."""
        return self.share >= (LEAST_SHARE if self.is_flat else LEAST_SHARE_UNEVEN)

    @property
    def is_sure(self) -> bool:
        """Whether it is background whatever is found on it, and no soft picture that fades to its rim."""
        return self.is_flat or self.share >= (SURE_SHARE_ROUGH if self.is_rough else SURE_SHARE_UNEVEN)

    @property
    def is_rough(self) -> bool:
        """Whether it is a texture that anybody sees, kraft or a faint print."""
        return not self.is_flat and self.threshold >= ROUGH_FROM

    @property
    def is_printed(self) -> bool:
        """Whether it is a paper in its own right, and no empty page, if nothing lies on it."""
        fades = np.ptp(self.ground.reshape(-1, 3), axis=0) * (1.0, CHROMA_WEIGHT, CHROMA_WEIGHT)
        return self.is_rough or bool(fades.max() >= FADES_FROM)

    @property
    def is_uneven(self) -> bool:
        """Whether the page has texture, a gradient or strong noise."""
        return self.threshold > UNEVEN_FROM or not self.is_flat


def find_background(page: Working, given: tuple[int, int, int] | None = None) -> Background:
    """Find the background of a page.

    Parameters
    ----------
    page : Working
        The page.
    given : tuple of int, optional
        The background's sRGB colour where a person has named it; the noise is still measured.
    """
    where, colours = _rim(page)
    model = _constant(_lab(given)) if given is not None else _fit(where, colours, page)
    flat = not model[:, 1:].any()
    off = _distances(colours, model[:, 0] if flat else _basis(where, page) @ model.T)
    near = off < (NEAR if flat else NEAR_UNEVEN)
    share = 1.0 if given is not None else float(near.mean())
    threshold = _over(float(np.percentile(off[near], 99.5)) if near.any() else NEAR)
    ground = _picture_of(model)
    rough = not flat and float((off < NEAR).mean()) < SMOOTH_SHARE and share >= LEAST_SHARE_UNEVEN
    if rough:
        ground, threshold = _followed(page, ground, threshold)
    return Background(_distance_image(page, ground), threshold, share, ground)


def background_at(ground: NDArray[Any], across: NDArray[Any], down: NDArray[Any]) -> NDArray[Any]:
    """The background's Lab at places given as shares of the page; float32, of their shape and 3."""
    rows, cols = ground.shape[:2]
    x = np.asarray(across * cols - 0.5, np.float32)
    y = np.asarray(down * rows - 0.5, np.float32)
    return np.asarray(cv2.remap(ground, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE))


def distance_from(lab: NDArray[Any], level: NDArray[Any]) -> NDArray[Any]:
    """Distance of 8-bit Lab, shape (rows, cols, 3), from one colour; uint8, shape (rows, cols)."""
    there = np.append(np.floor(np.clip(level + 0.5, 0, 255)), 0.0)
    return _greatest(cv2.absdiff(lab, there.astype(np.float64)))


def _greatest(off: NDArray[Any]) -> NDArray[Any]:
    light, first, second = cv2.split(off)
    chroma = cv2.max(first, second)
    return cv2.max(light, cv2.add(chroma, chroma))


def _over(noise: float) -> float:
    return min(max(noise * 1.15 + 1.0, LEAST_THRESHOLD), MOST_THRESHOLD)


def _picture_of(model: NDArray[Any]) -> NDArray[Any]:
    """The polynomial as a small picture; one pixel where it is one colour."""
    if not model[:, 1:].any():
        return np.asarray(model[:, 0].reshape(1, 1, 3), np.float32)
    y, x = np.mgrid[0:SIDE, 0:SIDE]
    return np.asarray(_terms((x + 0.5) / SIDE * 2 - 1, (y + 0.5) / SIDE * 2 - 1) @ model.T, np.float32)


def _followed(page: Working, ground: NDArray[Any], threshold: float) -> tuple[NDArray[Any], float]:
    """The ground followed into the page, where no surface fits its rim: the mean of what lies near it."""
    by = 1 / FOLLOWED_AT
    small = np.asarray(cv2.resize(page.lab, None, fx=by, fy=by, interpolation=cv2.INTER_AREA), np.float32)
    rows, cols = small.shape[:2]
    reach = 2 * max(2, round(page.px(FOLLOWED) * by)) + 1
    surface: NDArray[Any] = np.asarray(cv2.resize(ground, (cols, rows), interpolation=cv2.INTER_LINEAR))
    off = np.zeros((rows, cols), np.float32)
    near = np.zeros((rows, cols), bool)
    for limit in (threshold, threshold, threshold, 0.7 * threshold):
        off = np.asarray(_distances(small.reshape(-1, 3), surface.reshape(-1, 3)).reshape(rows, cols))
        near = off < limit
        weight = cv2.erode(near.astype(np.float32), np.ones((3, 3), np.uint8)) + 1e-4
        total = cv2.blur(weight, (reach, reach))
        followed = cv2.blur(small * weight[..., None], (reach, reach)) / total[..., None]
        sure = np.clip(total * 8, 0, 1)[..., None]
        surface = np.asarray(followed * sure + surface * (1 - sure))
    noise = float(np.percentile(off[near], 97)) if near.any() else threshold
    return np.asarray(surface, np.float32), min(_over(noise), threshold)


def _rim(page: Working) -> tuple[NDArray[Any], NDArray[Any]]:
    wide = max(3, round(page.px(RIM)))
    down, inwards = np.divmod(np.arange(0, page.rows * wide, EVERY), wide)
    below, across = np.divmod(np.arange(0, page.cols * wide, EVERY), page.cols)
    y = np.concatenate([down, down, below, page.rows - 1 - below])
    x = np.concatenate([inwards, page.cols - 1 - inwards, across, across])
    return np.stack([x, y], 1), page.lab[y, x].astype(np.float32)


def _fit(where: NDArray[Any], colours: NDArray[Any], page: Working) -> NDArray[Any]:
    mode = _commonest(colours)
    off = _distances(colours, mode)
    if (off < NEAR).mean() > LEAST_SHARE and _spread_along(where, colours, off < NEAR, page) < PLAIN_SPREAD:
        return _constant(np.median(colours[off < NEAR], axis=0))
    middles, medians = _blocks(where, colours, page)
    return _trimmed_surface(_basis(middles, page), medians)


def _commonest(colours: NDArray[Any]) -> NDArray[Any]:
    bins = (colours / 8).astype(np.int64)
    keys = bins[:, 0] * 1024 + bins[:, 1] * 32 + bins[:, 2]
    inside = colours[keys == np.bincount(keys).argmax()].mean(axis=0)
    return np.asarray(np.median(colours[_distances(colours, inside) < NEAR], axis=0))


def _spread_along(where: NDArray[Any], colours: NDArray[Any], near: NDArray[Any], page: Working) -> float:
    _, medians = _blocks(where[near], colours[near], page)
    low, high = np.percentile(medians, [5, 95], axis=0)
    return float((high - low).max())


def _blocks(where: NDArray[Any], colours: NDArray[Any], page: Working) -> tuple[NDArray[Any], NDArray[Any]]:
    block = max(4.0, page.px(BLOCK))
    cells = (where // block).astype(np.int64)
    keys = cells[:, 1] * 100_000 + cells[:, 0]
    order = np.argsort(keys, kind="stable")
    starts = np.flatnonzero(np.diff(keys[order], prepend=-1))
    sizes = np.diff(starts, append=len(order))
    middles = np.add.reduceat(where[order].astype(np.float64), starts) / sizes[:, None]
    ranked = np.sort(keys[:, None] * 256 + colours.astype(np.int64), axis=0)
    return middles, (ranked[starts + sizes // 2] % 256).astype(np.float64)


def _trimmed_surface(basis: NDArray[Any], medians: NDArray[Any]) -> NDArray[Any]:
    weights = np.ones(len(basis))
    for _ in range(12):
        rooted = np.sqrt(weights)[:, None]
        fit = np.linalg.lstsq(basis * rooted + 0.0, medians * rooted, rcond=None)[0]
        off = _distances(medians, basis @ fit)
        reach = max(4.0, 3.0 * 1.4826 * float(np.median(off)))
        weights = np.clip(1 - (off / reach) ** 2, 0.0, None) ** 2 + 1e-6
    return np.asarray(fit.T, np.float32)


def _constant(lab: NDArray[Any]) -> NDArray[Any]:
    model = np.zeros((3, 6), np.float32)
    model[:, 0] = lab
    return model


def _lab(rgb: tuple[int, int, int]) -> NDArray[Any]:
    return np.asarray(cv2.cvtColor(np.array([[rgb]], np.uint8), cv2.COLOR_RGB2LAB)[0, 0].astype(np.float32))


def _basis(where: NDArray[Any], page: Working) -> NDArray[Any]:
    x = (where[:, 0] + 0.5) / page.cols * 2 - 1
    y = (where[:, 1] + 0.5) / page.rows * 2 - 1
    return _terms(x, y)


def _terms(x: NDArray[Any], y: NDArray[Any]) -> NDArray[Any]:
    return np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=-1)


def _distances(colours: NDArray[Any], model: NDArray[Any]) -> NDArray[Any]:
    off = np.abs(colours - model)
    return np.asarray(np.maximum(off[:, 0], CHROMA_WEIGHT * np.maximum(off[:, 1], off[:, 2])))


def _distance_image(page: Working, ground: NDArray[Any]) -> NDArray[Any]:
    if ground.shape[:2] == (1, 1):
        return distance_from(page.lab, ground[0, 0])
    levels = np.clip(ground + 0.5, 0, 255).astype(np.uint8)
    there = cv2.resize(levels, (page.cols, page.rows), interpolation=cv2.INTER_LINEAR)
    return _greatest(cv2.absdiff(page.lab, there))
