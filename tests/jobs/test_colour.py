"""Colour end to end: a kit page with a profile of its own looks the same on the sheet and in the preview."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pikepdf
import pytest
from files.kit.test_kit_colour import ink_profile, wide_profile
from PIL import Image, ImageCms
from skimage.color import deltaE_ciede2000, rgb2lab

from kitprep import SheetFiles, import_kit, make_sheets
from kitprep.jobs.importing import ImportOptions

PATCHES = ((200, 40, 60), (40, 180, 70), (50, 70, 200), (220, 180, 60), (128, 128, 128), (90, 40, 120))
SIDE = 150


def page_of(mode: str) -> Image.Image:
    """A paper of six patches, edge to edge."""
    page = Image.new("RGB", (3 * SIDE, 2 * SIDE))
    for number, colour in enumerate(PATCHES):
        page.paste(
            colour, (number % 3 * SIDE, number // 3 * SIDE, (number % 3 + 1) * SIDE, (number // 3 + 1) * SIDE)
        )
    if mode == "CMYK":
        bands = [band.point(lambda value: 255 - value) for band in page.split()]
        return Image.merge("CMYK", [*bands, Image.new("L", page.size, 20)])
    if mode == "LAB":
        lab = ImageCms.profileToProfile(
            page, ImageCms.createProfile("sRGB"), ImageCms.createProfile("LAB"), outputMode="LAB"
        )
        assert lab is not None
        return lab
    return page


def by_littlecms(page: Image.Image, icc: bytes | None) -> np.ndarray:
    """To sRGB straight through ImageCms: relative colorimetric, with black point compensation."""
    source = ImageCms.ImageCmsProfile(io.BytesIO(icc)) if icc else ImageCms.createProfile("LAB")
    flags = ImageCms.Flags.BLACKPOINTCOMPENSATION if icc else ImageCms.Flags.NONE
    shown = ImageCms.profileToProfile(
        page, source, ImageCms.createProfile("sRGB"), ImageCms.Intent(1), outputMode="RGB", flags=flags
    )
    assert shown is not None
    return np.asarray(shown)


@pytest.mark.parametrize(
    ("mode", "icc"),
    [("RGB", wide_profile()), ("CMYK", ink_profile()), ("LAB", None)],
    ids=["wide", "cmyk", "lab"],
)
def test_a_page_with_its_own_colours_looks_the_same_in_the_preview(
    tmp_path: Path, mode: str, icc: bytes | None
) -> None:
    page = page_of(mode)
    page.save(tmp_path / "page.tif", dpi=(300, 300), **({"icc_profile": icc} if icc else {}))
    shelf = tmp_path / "shelf"
    import_kit([tmp_path / "page.tif"], options=ImportOptions(name="Tones", whole=True), shelf=shelf)
    report = make_sheets(
        ["tones/p01-01, 3 x 2, 1", "tones/p01-01, 1 1/2 x 1, 1"],
        SheetFiles(tmp_path / "sheet.pdf", tmp_path / "sheet.png"),
        shelf=shelf,
    )
    wanted = by_littlecms(page, icc)
    sheet = report.papers[0].sheets[0]
    with Image.open(tmp_path / "sheet.png") as preview:
        pixels, ppi = np.asarray(preview.convert("RGB")), preview.info["dpi"][0]
    border = (pixels.shape[1] - sheet.paper.size.width.pixels(ppi)) / 2
    place = next(piece for piece in sheet.pieces if max(piece.trim.width, piece.trim.height).inches > 2)
    for number in range(6):
        across, down = (number % 3 + 0.5) / 3, (number // 3 + 0.5) / 2
        if place.turned:
            across, down = 1 - down, across
        x = border + place.trim.left.pixels(ppi) + across * place.trim.width.pixels(ppi)
        y = border + place.trim.top.pixels(ppi) + down * place.trim.height.pixels(ppi)
        seen = pixels[round(y), round(x)]
        true = wanted[(number // 3) * SIDE + SIDE // 2, (number % 3) * SIDE + SIDE // 2]
        assert deltaE_ciede2000(rgb2lab(seen / 255), rgb2lab(true / 255)) < 1, (number, seen, true)
    if icc:
        with pikepdf.open(tmp_path / "sheet.pdf") as pdf:
            kept = [
                one.read_bytes() for one in pdf.objects if isinstance(one, pikepdf.Stream) and "/N" in one
            ]
        assert kept.count(icc) == 1
