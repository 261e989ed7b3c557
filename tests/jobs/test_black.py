"""Black line art stays black only: read from the objects of the sheet's PDF."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pikepdf
import pytest
from files.kit.test_kit_colour import profile_of_png
from PIL import Image, ImageDraw

from kitprep import SheetFiles, import_kit, make_sheets
from kitprep.jobs.importing import ImportOptions


def line_art() -> Image.Image:
    """A ring and a cross of black lines on white, each to be found as a cut-out, 900 x 600 px."""
    page = Image.new("L", (900, 600), 255)
    draw = ImageDraw.Draw(page)
    draw.ellipse((60, 120, 420, 480), outline=0, width=30)
    draw.line((540, 160, 840, 440), fill=0, width=30)
    draw.line((840, 160, 540, 440), fill=0, width=30)
    return page


def in_mode(mode: str) -> Image.Image:
    if mode == "CMYK":
        none = Image.new("L", (900, 600), 0)
        return Image.merge("CMYK", (none, none, none, line_art().point(lambda value: 255 - value)))
    return line_art().convert(mode)


def spaces(pdf: Path) -> dict[str, int]:
    """The colour spaces of a PDF's pictures, soft masks left out, and how many have each."""
    found: dict[str, int] = {}
    with pikepdf.open(pdf) as opened:
        images = [
            thing
            for thing in opened.objects
            if isinstance(thing, pikepdf.Stream) and thing.get("/Subtype") == pikepdf.Name("/Image")
        ]
        masks = {image.SMask.objgen for image in images if "/SMask" in image}
        for image in images:
            if image.objgen not in masks:
                space = image.ColorSpace
                name = str(space) if isinstance(space, pikepdf.Name) else f"ICC of {int(space[1].N)}"
                found[name] = found.get(name, 0) + 1
                if name == "/DeviceCMYK":
                    samples = np.frombuffer(image.read_bytes(), np.uint8).reshape(-1, 4)
                    assert samples[:, :3].max() == 0
                    assert samples[:, 3].max() == 255
    return found


@pytest.mark.parametrize("whole", [True, False], ids=["whole page", "cut-outs"])
@pytest.mark.parametrize(
    ("mode", "ending"),
    [("1", "png"), ("1", "tif"), ("L", "png"), ("L", "jpg"), ("RGB", "png"), ("CMYK", "tif")],
)
def test_a_page_of_black_lines_is_printed_with_black_alone(
    tmp_path: Path, mode: str, ending: str, whole: bool
) -> None:
    in_mode(mode).save(tmp_path / f"page.{ending}", dpi=(300, 300))
    shelf = tmp_path / "shelf"
    kit = import_kit(
        [tmp_path / f"page.{ending}"], options=ImportOptions(name="Lines", whole=whole), shelf=shelf
    )
    elements = kit.kit.pages[0].elements
    assert whole == (len(elements) == 1)
    made = [f"lines/p01-{element.number:02d}, 1 1/2 in wide, 1" for element in elements]
    make_sheets(made, SheetFiles(tmp_path / "sheet.pdf"), shelf=shelf)
    wanted = "/DeviceCMYK" if mode == "CMYK" and whole else "/DeviceGray"
    assert spaces(tmp_path / "sheet.pdf") == {wanted: len(elements)}


def test_a_grey_page_keeps_its_grey_profile(tmp_path: Path) -> None:
    icc = profile_of_png(1.0, None, grey=True)
    assert icc is not None
    line_art().save(tmp_path / "page.tif", dpi=(300, 300), icc_profile=icc)
    import_kit(
        [tmp_path / "page.tif"], options=ImportOptions(name="Lines", whole=True), shelf=tmp_path / "shelf"
    )
    make_sheets(["lines/p01-01, 2 in wide, 1"], SheetFiles(tmp_path / "sheet.pdf"), shelf=tmp_path / "shelf")
    assert spaces(tmp_path / "sheet.pdf") == {"ICC of 1": 1}


def test_more_pixels_than_a_printer_resolves_are_reduced_to_black_alone(tmp_path: Path) -> None:
    in_mode("1").save(tmp_path / "page.png", dpi=(1200, 1200))
    import_kit(
        [tmp_path / "page.png"], options=ImportOptions(name="Lines", whole=True), shelf=tmp_path / "shelf"
    )
    make_sheets(
        ["lines/p01-01, 3/4 in wide, 1"], SheetFiles(tmp_path / "sheet.pdf"), shelf=tmp_path / "shelf"
    )
    assert spaces(tmp_path / "sheet.pdf") == {"/DeviceGray": 1}


def test_a_picture_of_colours_keeps_them(tmp_path: Path) -> None:
    page = in_mode("RGB")
    page.putpixel((451, 7), (200, 30, 40))
    page.save(tmp_path / "page.png", dpi=(300, 300))
    import_kit(
        [tmp_path / "page.png"], options=ImportOptions(name="Lines", whole=True), shelf=tmp_path / "shelf"
    )
    make_sheets(["lines/p01-01, 2 in wide, 1"], SheetFiles(tmp_path / "sheet.pdf"), shelf=tmp_path / "shelf")
    assert spaces(tmp_path / "sheet.pdf") == {"/DeviceRGB": 1}
