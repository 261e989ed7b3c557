"""Composes labelled kit pages to measure the split on: pages as files, and beside each its truth as JSON.

    python scripts/make_split_pages.py PAGES --clip-art DIR --photographs DIR [DIR ...]

The art is by others and does not come with the project (DEVELOPERS.md says where to get it). A page is the
same each time, given the same art and library versions. Pages whose number leaves 3 when divided by 4 are kept
for the last look and not tuned on. ``python scripts/bench.py split`` scores kitprep on the pages.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path

import cv2
from PIL import Image

sys.path.insert(0, str(Path(__file__).resolve().parent))
sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from split_pages.art import WHERE_CLIP_ART, WHERE_PHOTOGRAPHS, Art, ArtMissing, gather
from split_pages.making import NAMES, make_page, seeds, write_page
from split_pages.overlays import overlay, sheet

TUNING, LAST_LOOK = 21, 7
PROCESSES = 2
ON_A_SHEET, COLUMNS = 12, 6


def main() -> int:
    """Make the pages asked for; 0 if all were made."""
    asked = _parser().parse_args()
    try:
        art = gather(asked.clip_art, asked.photographs)
    except ArtMissing as missing:
        print(missing)
        return 2
    asked.pages.mkdir(parents=True, exist_ok=True)
    wanted = [(family, seed) for family in asked.family for seed in seeds(asked.tuning, asked.last_look)]
    with ProcessPoolExecutor(asked.processes, initializer=_one_thread) as pool:
        for name in pool.map(partial(_make, art, asked.pages), wanted):
            print(name, flush=True)
    if asked.look:
        _draw_sheets(art, asked.family, asked.tuning, asked.look)
    return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(description="Composes labelled kit pages to measure the split on.")
    parser.add_argument("pages", type=Path, help="the folder to write them into")
    parser.add_argument("--clip-art", type=Path, required=True, help=WHERE_CLIP_ART)
    parser.add_argument("--photographs", type=Path, nargs="+", required=True, help=WHERE_PHOTOGRAPHS)
    parser.add_argument("--family", nargs="+", choices=NAMES, default=NAMES, help="only these families")
    parser.add_argument("--tuning", type=int, default=TUNING, help="pages of each family to tune on")
    parser.add_argument(
        "--last-look", type=int, default=LAST_LOOK, help="pages of each family not to tune on"
    )
    parser.add_argument("--processes", type=int, default=min(PROCESSES, os.cpu_count() or 1))
    parser.add_argument(
        "--look", type=Path, help="a folder for a picture of each family with its truth drawn in"
    )
    return parser


def _one_thread() -> None:
    cv2.setNumThreads(1)


def _make(art: Art, folder: Path, wanted: tuple[str, int]) -> str:
    page = make_page(*wanted, art)
    write_page(page, folder)
    return page.truth.file


def _draw_sheets(art: Art, families: Sequence[str], tuning: int, folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for family in families:
        drawn: list[Image.Image] = []
        for seed in seeds(min(tuning, ON_A_SHEET), 0):
            page = make_page(family, seed, art)
            width = page.truth.size_px[0]
            drawn.append(overlay(page.preview, page.truth.elements, width, (), width, page.truth.file))
        sheet(drawn, COLUMNS).save(folder / f"{family}.png")


if __name__ == "__main__":
    sys.exit(main())
