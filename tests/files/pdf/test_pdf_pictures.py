"""Pictures in the PDF: the bought bytes and pixels, each stored once, never encoded again."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import numpy as np
import pikepdf
import pymupdf
import pytest
from drawn_sheets import QUARTER, crop, jpeg_bytes, jpeg_picture, lively_page, plain_picture, two_by_two
from measure import Engine, rendered
from PIL import Image, ImageCms

from kitprep.files.kit.placed import PlacedPicture
from kitprep.files.pdf import write_page_preview, write_sheets
from kitprep.lengths import ZERO, Box, Size, inches
from kitprep.pack import PackedSheet, Placement
from kitprep.pages import Affine, PixelBox
from kitprep.papers import LETTER
from kitprep.piece.artwork import Artwork, MadePicture, Patch
from kitprep.sheet import Sheet, SheetItem, lay_out

BIG = Size(inches("2 3/4"), inches("3 3/4"))  # most of a page of 900 x 1200 px
SMALL = Size(inches("1/2"), inches("1/2"))


def _sheet(*artworks: Artwork, copies: int = 1) -> Sheet:
    """Artworks side by side with their copies below them."""
    places = []
    for item, artwork in enumerate(artworks):
        for row in range(copies):
            corner = inches("1/2") + inches(3) * item, inches("1/2") + inches(4) * row
            places.append(Placement(item, Box.at(*corner, artwork.trim), artwork.bleed, False))
    items = [SheetItem(f"piece {number}", "kit/p01-01", art) for number, art in enumerate(artworks)]
    return lay_out(PackedSheet(tuple(places), ()), items, paper=LETTER, margins=QUARTER, number=1, total=1)


def _written(folder: Path, sheets: list[Sheet], **pages: PlacedPicture) -> pikepdf.Pdf:
    pdf = folder / "sheet.pdf"
    write_sheets(sheets, lambda page: (pages[page],), pdf, overwrite=True)
    return pikepdf.open(pdf)


def _images(pdf: pikepdf.Pdf) -> list[pikepdf.Object]:
    return [
        thing
        for thing in pdf.objects
        if isinstance(thing, pikepdf.Stream) and thing.get("/Subtype") == pikepdf.Name("/Image")
    ]


def _extracted(pdf: pikepdf.Pdf, number: int = 0) -> np.ndarray:
    """An image's samples as pymupdf decodes them, without colour conversion."""
    with pymupdf.open(pdf.filename) as document:
        pixmap = pymupdf.Pixmap(document, _images(pdf)[number].objgen[0])
        return np.frombuffer(pixmap.samples, np.uint8).reshape(pixmap.height, pixmap.width, pixmap.n)


def test_a_jpeg_page_goes_in_once_byte_for_byte_however_often_it_is_drawn(tmp_path):
    content = jpeg_bytes(lively_page())
    artworks = crop(BIG, ZERO, 30, 40), crop(SMALL, inches("1/16"), 300, 300)
    sheet = _sheet(*artworks, copies=2)
    with _written(tmp_path, [sheet, sheet], page=jpeg_picture(content)) as pdf:
        (image,) = _images(pdf)
        assert image.read_raw_bytes() == content
        assert image.Filter == pikepdf.Name("/DCTDecode")
        assert (tmp_path / "sheet.pdf").read_bytes().count(content) == 1


def test_a_small_piece_of_a_large_jpeg_goes_in_as_its_decoded_pixels_bit_for_bit(tmp_path):
    content = jpeg_bytes(lively_page())
    with _written(tmp_path, [_sheet(crop(SMALL, ZERO, 300, 400))], page=jpeg_picture(content)) as pdf:
        (image,) = _images(pdf)
        source = np.asarray(Image.open(BytesIO(content)))[398:552, 298:452]
        assert image.DecodeParms.Predictor == 15
        assert np.array_equal(_extracted(pdf), source)
        assert len(image.read_raw_bytes()) < len(content)


def test_a_grainy_corner_of_a_flat_page_goes_in_as_the_jpeg_which_is_smaller(tmp_path):
    page = np.full((1200, 900, 3), 200, np.uint8)
    page[400:552, 300:452] = np.random.default_rng(1).integers(0, 256, (152, 152, 3), dtype=np.uint8)
    content = jpeg_bytes(page, quality=80)
    with _written(tmp_path, [_sheet(crop(SMALL, ZERO, 300, 400))], page=jpeg_picture(content)) as pdf:
        (image,) = _images(pdf)
        assert image.read_raw_bytes() == content
        assert len(content) < 152 * 152 * 3


@pytest.mark.parametrize("side", ["1/2", "1", "1 1/2", "2", "2 1/2"])
def test_never_more_goes_in_than_the_whole_jpeg(side, tmp_path):
    heavy = jpeg_bytes(lively_page(), quality=100)
    art = crop(Size(inches(side), inches(side)), ZERO, 100, 100)
    with _written(tmp_path, [_sheet(art)], page=jpeg_picture(heavy)) as pdf:
        assert len(_images(pdf)[0].read_raw_bytes()) <= len(heavy)


@pytest.mark.parametrize("mode", ["L", "RGB", "CMYK"])
def test_a_lossless_page_is_cut_to_its_used_pixels_bit_for_bit(mode, tmp_path):
    pixels = np.asarray(Image.fromarray(lively_page()).convert(mode))
    pixels = pixels.reshape(*pixels.shape[:2], -1)
    picture = plain_picture(pixels, mode=mode)
    with _written(tmp_path, [_sheet(crop(SMALL, inches("1/10"), 300, 400), copies=2)], page=picture) as pdf:
        (image,) = _images(pdf)
        assert np.array_equal(_extracted(pdf), pixels[368:582, 268:482])
        device = {"L": "/DeviceGray", "RGB": "/DeviceRGB", "CMYK": "/DeviceCMYK"}[mode]
        assert image.ColorSpace == pikepdf.Name(device)


def test_soft_alpha_becomes_a_soft_mask_with_the_same_values(tmp_path):
    pixels = np.dstack([lively_page(), np.tile(np.arange(900) // 4 % 256, (1200, 1)).astype(np.uint8)])
    picture = plain_picture(pixels, has_alpha=True)
    with _written(tmp_path, [_sheet(crop(SMALL, ZERO, 300, 400))], page=picture) as pdf:
        colours = next(image for image in _images(pdf) if "/SMask" in image)
        shown = np.asarray(pikepdf.PdfImage(colours).as_pil_image())
        assert np.array_equal(shown, pixels[398:552, 298:452])


def test_an_opaque_part_of_a_transparent_page_has_no_soft_mask(tmp_path):
    pixels = np.dstack([lively_page(), np.full((1200, 900), 255, np.uint8)])
    pixels[:100, :, 3] = 0
    picture = plain_picture(pixels, has_alpha=True)
    with _written(tmp_path, [_sheet(crop(SMALL, ZERO, 300, 400))], page=picture) as pdf:
        assert len(_images(pdf)) == 1
        assert "/SMask" not in _images(pdf)[0]


def test_an_inverted_cmyk_jpeg_says_so_in_its_decode_array(tmp_path):
    """ISO 32000-1, 8.9.5.2: [1 0] turns a component's values over."""
    content = jpeg_bytes(lively_page(), "CMYK")
    with _written(tmp_path, [_sheet(crop(BIG, ZERO, 30, 40))], page=jpeg_picture(content)) as pdf:
        (image,) = _images(pdf)
        assert [int(value) for value in image.Decode] == [1, 0] * 4
        assert image.ColorSpace == pikepdf.Name("/DeviceCMYK")
        assert image.read_raw_bytes() == content


def test_a_colour_profile_goes_in_byte_for_byte_and_once_for_all_that_share_it(tmp_path):
    icc = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes() + b"\0" * 4
    one = jpeg_picture(jpeg_bytes(lively_page()), "one", icc=icc)
    two = plain_picture(lively_page(seed=4), "two", icc=icc)
    sheet = _sheet(crop(BIG, ZERO, 30, 40, "one"), crop(SMALL, ZERO, 300, 400, "two"))
    with _written(tmp_path, [sheet], one=one, two=two) as pdf:
        spaces = {image.ColorSpace.objgen for image in _images(pdf)}
        assert len(_images(pdf)) == 2
        assert len(spaces) == 1
        name, profile = _images(pdf)[0].ColorSpace
        assert name == pikepdf.Name("/ICCBased")
        assert profile.read_bytes() == icc
        assert int(profile.N) == 3


def test_a_profile_for_other_colours_is_left_out(tmp_path):
    icc = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    picture = jpeg_picture(jpeg_bytes(lively_page(), "L"), icc=icc)
    with _written(tmp_path, [_sheet(crop(BIG, ZERO, 30, 40))], page=picture) as pdf:
        assert _images(pdf)[0].ColorSpace == pikepdf.Name("/DeviceGray")


def test_made_pixels_are_stored_once_for_all_copies_with_their_soft_edge(tmp_path):
    pixels = np.dstack([lively_page((120, 90)), np.full((90, 120), 128, np.uint8)])
    artworks = [
        Artwork(SMALL, ZERO, "page", (), MadePicture(pixels.copy(), (-2.0, -2.0, 38.0, 38.0)))
        for _ in range(2)
    ]
    with _written(tmp_path, [_sheet(*artworks, copies=2)]) as pdf:
        assert len(_images(pdf)) == 2  # colours and their mask
        colours = next(image for image in _images(pdf) if "/SMask" in image)
        assert np.array_equal(np.asarray(pikepdf.PdfImage(colours).as_pil_image()), pixels)


def test_only_pictures_that_touch_the_piece_go_in(tmp_path):
    left = plain_picture(lively_page((450, 1200)), "left")
    right = PlacedPicture(
        "right", (450, 1200), Affine(1, 0, 0, 1, 450, 0), "RGB", False, False, None, None, left.read
    )
    pdf = tmp_path / "sheet.pdf"
    sheet = _sheet(crop(SMALL, ZERO, 600, 400))
    write_sheets([sheet], lambda _: (left, right), pdf)
    with pikepdf.open(pdf) as opened:
        assert len(_images(opened)) == 1
        assert np.array_equal(_extracted(opened), left.read(PixelBox(148, 398, 302, 552)))


def test_equal_input_gives_equal_bytes(tmp_path):
    def write(name: str) -> bytes:
        picture = jpeg_picture(jpeg_bytes(lively_page()))
        sheet = two_by_two(LETTER, inches("1/8"), trimmer=True, artwork=crop(SMALL, ZERO, 10, 20))
        made = _sheet(Artwork(SMALL, ZERO, "page", (), MadePicture(lively_page((90, 90)), (0, 0, 36, 36))))
        write_sheets([sheet, made], lambda _: (picture,), tmp_path / name, title="t", credit="c")
        return (tmp_path / name).read_bytes()

    assert write("one.pdf") == write("two.pdf")


def test_the_file_identifier_is_of_the_content_and_both_its_parts_are_alike(tmp_path):
    """ISO 32000-1, 14.4."""
    seen = set()
    for left in (10, 11):
        picture = jpeg_picture(jpeg_bytes(lively_page()))
        with _written(tmp_path, [_sheet(crop(SMALL, ZERO, left, 20))], page=picture) as pdf:
            first, second = (bytes(part) for part in pdf.trailer.ID)
            assert first == second
            assert len(first) == 16
            seen.add(first)
    assert len(seen) == 2


def _dark_page() -> np.ndarray:
    """A dark element on white, 700 x 600 px at (100, 100)."""
    page = np.full((900, 1000, 3), 255, np.uint8)
    page[100:700, 100:800] = 30
    return page


def _mirrored_at_its_edge(inset_px: float = 0) -> Sheet:
    """The element with its bleed mirrored that far inside its left edge."""
    scale, reach = 72 / 300, 9.0
    wide, high, inset = 700 * scale, 600 * scale, inset_px * scale
    own = Affine(scale, 0, 0, scale, -100 * scale, -100 * scale)
    mirror = Affine(-1, 0, 0, 1, 2 * inset, 0)
    patches = (
        Patch(own.then(mirror), (-reach, 0, inset + 0.05, high)),
        Patch(own, (inset, 0, wide, high)),
    )
    size = Size(inches("2 1/3"), inches(2))
    art = Artwork(size, inches("1/8"), "page", patches)
    place = Placement(0, Box.at(inches("1.02"), inches("1.02"), size), inches("1/8"), False)
    return lay_out(
        PackedSheet((place,), ()),
        [SheetItem("tag", artwork=art)],
        paper=LETTER,
        margins=QUARTER,
        number=1,
        total=1,
    )


def _lightest(shown: np.ndarray, ppi: int) -> int:
    """Of the piece with its bleed, its outermost pixels aside."""
    left, right = round((1.02 - 0.125) * ppi) + 2, round((1.02 + 2.3) * ppi) - 2
    return int(shown.max(axis=2)[round(1.2 * ppi) : round(2.8 * ppi), left:right].max())


@pytest.mark.parametrize("engine", Engine, ids=lambda engine: engine.value)
@pytest.mark.parametrize("ppi", [72, 110, 150])
def test_a_viewer_shows_nothing_of_the_page_where_a_reflection_meets_the_picture(engine, ppi, tmp_path):
    """No light line at the seam, however coarse."""
    write_sheets([_mirrored_at_its_edge()], lambda _: (plain_picture(_dark_page()),), tmp_path / "s.pdf")
    assert _lightest(rendered(tmp_path / "s.pdf", ppi, engine), ppi) < 60


@pytest.mark.parametrize("engine", Engine, ids=lambda engine: engine.value)
@pytest.mark.parametrize("ppi", [200, 300, 360, 600])
def test_nor_does_a_whole_jpeg_from_200_pixels_per_inch_on(engine, ppi, tmp_path):
    """Its mirrors stand 1.5 px inside, as `kitprep.piece.edges` has them at least. Coarser, a viewer that
    scales a picture before it clips it averages the page beyond the edge in."""
    picture = jpeg_picture(jpeg_bytes(_dark_page()))
    with _written(tmp_path, [_mirrored_at_its_edge(1.5)], page=picture) as pdf:
        assert [image.Filter for image in _images(pdf)] == ["/DCTDecode"]
    assert _lightest(rendered(tmp_path / "sheet.pdf", ppi, engine), ppi) < 60


@pytest.mark.parametrize("ppi", [40, 60, 85, 96, 110, 150])
def test_nor_do_our_own_previews_however_coarse(ppi, tmp_path):
    picture = jpeg_picture(jpeg_bytes(_dark_page()))
    with _written(tmp_path, [_mirrored_at_its_edge(1.5)], page=picture):
        write_page_preview(tmp_path / "sheet.pdf", tmp_path / "page.png", ppi=ppi)
    with Image.open(tmp_path / "page.png") as shown:
        assert _lightest(np.asarray(shown), ppi) <= 33  # the element is 30; not reduced, 40
