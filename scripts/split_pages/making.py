"""One page of a family, by its number, written with its truth."""

from __future__ import annotations

import io
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import Image

from . import families, odd_families, paper_families
from .art import Art, Pixels
from .composing import ComposedPage
from .families import Family
from .pdf_family import pdf, pdf_bytes
from .studio import Studio
from .truth import PageTruth, write_truth

PPI = 300
QUALITIES = (75, 96)
LAST_LOOK, OF = 3, 4
"""A page is kept for the last look if its number leaves this when divided by that."""

JUDGED: dict[str, Family] = {
    "scattered": families.scattered,
    "rows": families.rows,
    "tinted": families.tinted,
    "shared": paper_families.shared_edges,
    "shadows": families.shadows,
    "parts": families.parts,
    "transparent": families.transparent,
    "whole": paper_families.whole_page,
    "dark": families.dark,
}
APART: dict[str, Family] = {
    "mixed": families.mixed,
    "overlapping": odd_families.overlapping,
    "leaning": odd_families.leaning_page,
    "off-page": odd_families.off_the_page,
}
PDF = "pdf"
JUDGED_NAMES = (*JUDGED, PDF)
"""The kinds of pages that the targets speak of."""
NAMES = (*JUDGED_NAMES, *APART)


@dataclass(frozen=True)
class MadePage:
    """A page, ready to be written."""

    truth: PageTruth
    content: bytes
    preview: Pixels


def is_last_look(seed: int) -> bool:
    """Whether a page is not to be tuned on."""
    return seed % OF == LAST_LOOK


def seeds(tuning: int, last_look: int) -> Iterator[int]:
    """So many numbers of pages to tune on, and so many of pages for the last look, in order."""
    left, seed = {False: tuning, True: last_look}, 0
    while any(left.values()):
        if left[is_last_look(seed)] > 0:
            left[is_last_look(seed)] -= 1
            yield seed
        seed += 1


def make_page(family: str, seed: int, art: Art) -> MadePage:
    """Compose one page; the same each time.

    Parameters
    ----------
    family : str
        One of `NAMES`.
    seed : int
        Its number in the family.
    art : Art
        What it is made of.
    """
    studio = Studio(np.random.default_rng([seed, zlib.crc32(family.encode())]), art)
    if family == PDF:
        page = pdf(studio)
        content, composed, ending = pdf_bytes(page), page.composed, "pdf"
    else:
        composed = (JUDGED | APART)[family](studio)
        ending = "jpg" if composed.alpha is None else "png"
        content = _picture_bytes(composed, studio)
    name = f"{family}-{seed:03d}.{ending}"
    truth = PageTruth(family, seed, name, (composed.width, composed.height), tuple(composed.truths))
    return MadePage(truth, content, _as_bytes(composed))


def write_page(page: MadePage, folder: Path) -> None:
    """Write a page, and its truth beside it."""
    (folder / page.truth.file).write_bytes(page.content)
    write_truth(page.truth, (folder / page.truth.file).with_suffix(".json"))


def _as_bytes(page: ComposedPage) -> Pixels:
    rgb = np.clip(page.pixels + 0.5, 0, 255).astype(np.uint8)
    if page.alpha is None:
        return rgb
    return np.dstack([rgb, (page.alpha * 255 + 0.5).astype(np.uint8)])


def _picture_bytes(page: ComposedPage, studio: Studio) -> bytes:
    file, picture = io.BytesIO(), Image.fromarray(_as_bytes(page))
    if page.alpha is not None:
        picture.save(file, "PNG", dpi=(PPI, PPI), compress_level=3)
    else:
        quality, subsampling = studio.whole(*QUALITIES), studio.one_of(0, 2)
        picture.save(file, "JPEG", quality=quality, subsampling=subsampling, dpi=(PPI, PPI))
    return file.getvalue()
