"""Draws the demo kit "Lantern Orchard" into demo_kit/: four letter pages at 300 pixels per inch, and their truth.

    python scripts/make_demo_kit.py            draws everything (about a minute)
    python scripts/make_demo_kit.py --page 3   draws one page only
    python scripts/make_demo_kit.py --check    draws everything again elsewhere and compares it byte for byte

The same library versions on the same kind of processor give the same bytes: every random choice is seeded, and no
file holds a date or a random id.
"""

from __future__ import annotations

import argparse
import filecmp
import io
import json
import sys
import tempfile
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pikepdf
from PIL import Image

sys.path.insert(0, str(Path(__file__).resolve().parent))

from demo_art.curves import rectangle
from demo_art.elements import PAGE_HEIGHT, PAGE_WIDTH, PPI, Page, as_bytes
from demo_art.figures_page import draw_figures_page
from demo_art.papers_page import PlacedPaper, draw_papers
from demo_art.strips_page import draw_strips_page
from demo_art.tags_page import draw_tags_page

KIT_FOLDER = Path(__file__).resolve().parent.parent / "demo_kit"
FILES = {
    1: "lantern-orchard-1-papers.pdf",
    2: "lantern-orchard-2-tags-and-stamps.jpg",
    3: "lantern-orchard-3-labels-and-strips.jpg",
    4: "lantern-orchard-4-figures.png",
}
PAPER_QUALITY = 90
JPEG_QUALITY = 91
POINTS = 72  # PDF user units to the inch (ISO 32000-1, 8.3.2.3)

TRUTH_NOTES = [
    "box_px is half-open, x0 y0 x1 y1; outline_px is the drawn edge, in page pixels, x right and y down.",
    "rectangular: a straight rectangle is the trim, though its drawn edge is perforated, torn or worn.",
    "angle_deg is the clockwise lean on the page; unwanted marks print that nobody would cut out.",
]


def jpeg_bytes(rgb: np.ndarray, quality: int) -> bytes:
    """Encode a picture as JPEG at 300 pixels per inch.

    Parameters
    ----------
    rgb
        uint8, shape (rows, columns, 3).
    quality
        JPEG quality as Pillow counts it.
    """
    out = io.BytesIO()
    Image.fromarray(rgb).save(out, "JPEG", quality=quality, optimize=True, dpi=(PPI, PPI))
    return out.getvalue()


def write_papers_pdf(papers: list[PlacedPaper], target: Path) -> None:
    """Write a letter page that shows each paper's JPEG bytes, placed by a matrix and nothing else."""
    pdf = pikepdf.new()
    pictures, drawing = pikepdf.Dictionary(), []
    for number, paper in enumerate(papers, 1):
        rows, columns = paper.rgb.shape[:2]
        stream = pikepdf.Stream(pdf, jpeg_bytes(as_bytes(paper.rgb), PAPER_QUALITY))
        stream.stream_dict = pikepdf.Dictionary(
            Type=pikepdf.Name.XObject, Subtype=pikepdf.Name.Image, Width=columns, Height=rows,
            ColorSpace=pikepdf.Name.DeviceRGB, BitsPerComponent=8, Filter=pikepdf.Name.DCTDecode,
        )  # fmt: skip
        pictures[f"/Paper{number}"] = pdf.make_indirect(stream)
        scale = POINTS / PPI
        left, bottom = paper.x * scale, (PAGE_HEIGHT - paper.y - rows) * scale
        place = f"{columns * scale:g} 0 0 {rows * scale:g} {left:g} {bottom:g}"
        drawing.append(f"q {place} cm /Paper{number} Do Q")
    page = pdf.add_blank_page(page_size=(PAGE_WIDTH * POINTS / PPI, PAGE_HEIGHT * POINTS / PPI))
    page.Resources = pikepdf.Dictionary(XObject=pictures)
    page.Contents = pdf.make_stream("\n".join(drawing).encode())
    pdf.docinfo["/Title"] = "Lantern Orchard, 1 of 4: papers"
    pdf.docinfo["/Author"] = "Quillmoss Paper Room"
    pdf.save(target, deterministic_id=True, compress_streams=False)


def papers_truth(papers: list[PlacedPaper]) -> Page:
    """Note where the papers of page 1 lie."""
    page = Page(1, np.zeros((1, 1, 3), np.float32))
    for paper in papers:
        rows, columns = paper.rgb.shape[:2]
        page.note(paper.name, "paper", rectangle(paper.x, paper.y, paper.x + columns, paper.y + rows))
    return page


def draw_page(number: int, folder: Path) -> Page:
    """Draw one page of the kit and write its file.

    Parameters
    ----------
    number
        From 1 to 4.
    folder
        Where the file goes.

    Returns
    -------
    Page
        The page with the truth of its elements.
    """
    target = folder / FILES[number]
    if number == 1:
        papers = draw_papers()
        write_papers_pdf(papers, target)
        return papers_truth(papers)
    if number == 4:
        page = draw_figures_page()
        assert page.alpha is not None
        pixels = np.dstack([as_bytes(page.rgb), as_bytes(page.alpha)])
        pixels[pixels[..., 3] == 0] = 0
        Image.fromarray(pixels).save(target, "PNG", compress_level=9, dpi=(PPI, PPI))
        return page
    page = draw_tags_page() if number == 2 else draw_strips_page()
    target.write_bytes(jpeg_bytes(as_bytes(page.rgb), JPEG_QUALITY))
    return page


def truth_of(page: Page) -> dict[str, Any]:
    """Give one page's entry for truth.json."""
    return {
        "file": FILES[page.number],
        "size_px": [PAGE_WIDTH, PAGE_HEIGHT],
        "ppi": [PPI, PPI],
        "elements": page.elements,
    }


def write_truth(pages: list[Page], target: Path) -> None:
    """Write truth.json, one element on a line so that changes can be read."""
    parts = []
    for page in pages:
        entry = truth_of(page)
        lines = ",\n".join("      " + json.dumps(element) for element in entry.pop("elements"))
        parts.append("    " + json.dumps(entry)[:-1] + ', "elements": [\n' + lines + "\n    ]}")
    notes = json.dumps(TRUTH_NOTES)
    head = (
        f'{{"kit": "Lantern Orchard", "maker": "Quillmoss Paper Room",\n  "notes": {notes},\n  "pages": [\n'
    )
    target.write_text(head + ",\n".join(parts) + "\n  ]}\n", encoding="utf-8")


def check(numbers: list[int]) -> bool:
    """Draw pages again in a folder of their own and compare them with the kept ones."""
    same = True
    with tempfile.TemporaryDirectory() as kept:
        for number in numbers:
            draw_page(number, Path(kept))
            equal = filecmp.cmp(
                Path(kept) / FILES[number], KIT_FOLDER / "pages" / FILES[number], shallow=False
            )
            print(f"{FILES[number]}: {'same bytes' if equal else 'DIFFERENT'}")
            same = same and equal
    return same


def main() -> int:
    """Draw or check the kit as the command line says."""
    parser = argparse.ArgumentParser(description="Draw the demo kit Lantern Orchard.")
    parser.add_argument(
        "--page", type=int, choices=sorted(FILES), help="only this page (truth.json is left alone)"
    )
    parser.add_argument("--check", action="store_true", help="draw again and compare, writing nothing")
    wanted = parser.parse_args()
    numbers = [wanted.page] if wanted.page else sorted(FILES)
    cv2.setNumThreads(2)
    if wanted.check:
        return 0 if check(numbers) else 1
    folder = KIT_FOLDER / "pages"
    folder.mkdir(parents=True, exist_ok=True)
    pages = []
    for number in numbers:
        pages.append(draw_page(number, folder))
        size = (folder / FILES[number]).stat().st_size
        print(f"{FILES[number]}: {len(pages[-1].elements)} elements, {size / 1e6:.2f} MB")
    if not wanted.page:
        write_truth(pages, KIT_FOLDER / "truth.json")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
