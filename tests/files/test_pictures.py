"""Pictures at their physical size, and contact sheets."""

import base64
import itertools
import re
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import numpy as np
import pymupdf
import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image, ImageCms
from skimage import data as photographs

from kitprep.errors import BadOption, MissingFile, OutputExists
from kitprep.files.kit import Original, find_pages
from kitprep.files.pictures import ContactCard, write_contact_sheet, write_picture
from kitprep.files.pictures.board import MARGIN, Board, fraction_runs, many_boards, one_board
from kitprep.files.pictures.board_png import MOST_PX
from kitprep.files.pictures.lettering import text_width
from kitprep.lengths import Length, Size, Unit, inches, mm
from kitprep.pages import Kind, PpiSource

Pixels = NDArray[np.uint8]


def cut_out() -> Pixels:
    """A photograph cut to a disc, its outside transparent and of a colour that must not show."""
    photo = photographs.astronaut()[:200, :200]
    rows, cols = np.mgrid[:200, :200]
    inside = (rows - 99.5) ** 2 + (cols - 99.5) ** 2 < 95**2
    pixels = np.dstack([photo, np.where(inside, 255, 0).astype(np.uint8)])
    pixels[~inside, :3] = (255, 0, 255)
    return pixels


# ------------------------------------------------------------- write_picture


def test_a_png_keeps_every_pixel_its_alpha_its_size_and_its_colours(tmp_path: Path) -> None:
    pixels = cut_out()
    write_picture(pixels, (300.0, 150.0), tmp_path / "a.png")
    with Image.open(tmp_path / "a.png") as picture:
        assert np.array_equal(np.asarray(picture), pixels)
        assert picture.info["dpi"] == pytest.approx((300, 150), abs=0.02)  # whole pixels to the metre
        profile = ImageCms.ImageCmsProfile(BytesIO(picture.info["icc_profile"]))
    assert "sRGB" in ImageCms.getProfileName(profile)


def test_a_png_records_whole_pixels_to_the_metre(tmp_path: Path) -> None:
    """PNG, third edition, 11.3.4.3: pHYs holds pixels per unit and unit 1, the metre; 300 / 0.0254 = 11811."""
    write_picture(cut_out(), (300.0, 300.0), tmp_path / "a.png")
    content = (tmp_path / "a.png").read_bytes()
    at = content.index(b"pHYs") + 4
    assert content[at : at + 9] == (11811).to_bytes(4) * 2 + b"\x01"


def test_a_tiff_keeps_every_pixel_and_its_size(tmp_path: Path) -> None:
    pixels = cut_out()
    write_picture(pixels, (287.5, 287.5), tmp_path / "a.tif")
    with Image.open(tmp_path / "a.tif") as picture:
        assert np.array_equal(np.asarray(picture), pixels)
        assert picture.info["dpi"] == pytest.approx((287.5, 287.5))
        assert picture.info["icc_profile"]


def test_a_jpeg_is_white_where_the_picture_is_transparent(tmp_path: Path) -> None:
    write_picture(cut_out(), (300.0, 300.0), tmp_path / "a.jpg")
    with Image.open(tmp_path / "a.jpg") as picture:
        assert picture.info["jfif_density"] == (300, 300)
        assert picture.info["jfif_unit"] == 1
        assert picture.info["icc_profile"]
        assert {part[1:3] for part in picture.layer} == {(1, 1)}  # no component sampled less: 4:4:4
        assert min(picture.getpixel((2, 2))) > 250
        inside = np.asarray(picture)[60:140, 60:140].astype(int)
    assert np.abs(inside - cut_out()[60:140, 60:140, :3]).mean() < 3


@pytest.mark.parametrize("ppi", [72.4, 301 / 3, 100.04, 127.0, 287.5, 300.0, 599.6, 1200.3])
def test_a_jpeg_is_read_back_at_the_size_it_was_made_for(tmp_path: Path, ppi: float) -> None:
    """By Pillow and MuPDF, and by our own reading."""
    path = tmp_path / "a.jpg"
    write_picture(cut_out(), (ppi, ppi), path)
    with Image.open(path) as picture:
        assert picture.info["dpi"] == pytest.approx((ppi, ppi), rel=0.001)
        resolution = picture.getexif()[0x011A], picture.getexif()[0x011B], picture.getexif()[0x0128]
    assert resolution == pytest.approx((ppi, ppi, 2), rel=1e-6)
    assert abs(pymupdf.Pixmap(str(path)).xres - ppi) < 1  # MuPDF keeps whole numbers
    [found] = find_pages([Original("a.jpg", path, "", 0)]).pages
    page = found.look(1, 300).page
    assert page.ppi.source is PpiSource.FILE
    assert (page.ppi.x, page.ppi.y) == pytest.approx((ppi, ppi), rel=0.001)


def test_a_stretched_jpeg_keeps_both_its_resolutions(tmp_path: Path) -> None:
    write_picture(cut_out(), (300.4, 200.4), tmp_path / "a.jpg")
    with Image.open(tmp_path / "a.jpg") as picture:
        assert picture.info["dpi"] == (300, 200)
        assert float(picture.getexif()[0x011B]) == pytest.approx(200.4)


def test_an_opaque_picture_has_no_alpha(tmp_path: Path) -> None:
    write_picture(photographs.astronaut(), (300.0, 300.0), tmp_path / "a.png")
    with Image.open(tmp_path / "a.png") as picture:
        assert picture.mode == "RGB"


def test_other_endings_are_refused_and_leave_nothing(tmp_path: Path) -> None:
    with pytest.raises(BadOption, match=r"\.png, \.tif"):
        write_picture(cut_out(), (300.0, 300.0), tmp_path / "a.gif")
    assert list(tmp_path.iterdir()) == []


def test_a_picture_that_is_there_is_kept_unless_asked(tmp_path: Path) -> None:
    (tmp_path / "a.png").write_bytes(b"old")
    with pytest.raises(OutputExists):
        write_picture(cut_out(), (300.0, 300.0), tmp_path / "a.png")
    write_picture(cut_out(), (300.0, 300.0), tmp_path / "a.png", overwrite=True)
    with pytest.raises(MissingFile):
        write_picture(cut_out(), (300.0, 300.0), tmp_path / "none" / "a.png")


# ------------------------------------------------------------ contact sheets


def card(
    page: int, number: int, width: str = "2", height: str = "3", thumbnail: Pixels | None = None
) -> ContactCard:
    name = f"p{page:02d}-{number:02d}"
    picture = cut_out() if thumbnail is None else thumbnail
    return ContactCard(
        f"lantern-orchard/{name}", name, Size(inches(width), inches(height)), Kind.TAG, picture
    )


def cards() -> list[ContactCard]:
    wide = np.full((20, 200, 3), (40, 90, 60), np.uint8)
    pages = [card(page, number) for page in (1, 2) for number in range(1, 6)]
    return [*pages, card(2, 6, "8", "1/2", wide), card(2, 7, "1/4", "1/4")]


def write(path: Path, these: list[ContactCard]) -> None:
    write_contact_sheet(
        these, title="Lantern Orchard", subtitle="Quillmoss Paper Room · terms recorded", path=path
    )


TINY = np.full((1, 1, 4), 255, np.uint8)
sides = st.integers(20_000, 20 * 914_400).map(Length)
many_cards = st.lists(st.tuples(st.integers(1, 4), sides, sides), min_size=1, max_size=40).map(
    lambda rows: [
        ContactCard(
            f"k/p{page:02d}-{n:02d}",
            f"p{page:02d}-{n:02d}",
            Size(w, h),
            Kind.FIGURE,
            TINY,
            n / 40,
            n % 9 == 0,
        )
        for n, (page, w, h) in enumerate(sorted(rows, key=lambda row: row[0]), 1)
    ]
)


def check(board: Board) -> None:
    places = [(s.left, s.top, s.left + s.width, s.top + s.height) for s in board.spots]
    for left, top, right, bottom in places:
        assert left >= MARGIN - 0.01
        assert right <= board.width - MARGIN + 0.01
        assert top >= MARGIN - 0.01
        assert bottom <= board.height
    for one, other in itertools.combinations(places, 2):
        apart = one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
        assert apart


@settings(max_examples=40)
@given(many_cards)
def test_every_element_stands_once_on_the_board_in_order_and_overlaps_none(these: list[ContactCard]) -> None:
    board = one_board(these, 1000.0, text_width)
    assert [spot.card.id for spot in board.spots] == [one.id for one in these]
    check(board)


@settings(max_examples=40)
@given(many_cards)
def test_boards_of_one_size_carry_every_element_once(these: list[ContactCard]) -> None:
    boards = many_boards(these, 900.0, 1165.0, text_width)
    assert [spot.card.id for board in boards for spot in board.spots] == [one.id for one in these]
    assert [board.first for board in boards] == [True] + [False] * (len(boards) - 1)
    for board in boards:
        assert board.height == 1165.0
        check(board)


@given(many_cards)
@settings(max_examples=20)
def test_elements_keep_their_proportions(these: list[ContactCard]) -> None:
    for spot in one_board(these, 1000.0, text_width).spots:
        true = spot.card.size.width / spot.card.size.height
        if min(spot.width, spot.height) > 5:
            assert spot.width / spot.height == pytest.approx(float(true), rel=1e-6)


def test_the_png_shows_each_element_where_the_board_says(tmp_path: Path) -> None:
    colours = [(200, 30, 30), (30, 160, 40), (40, 60, 190), (200, 180, 20)]
    these = [card(1, n, thumbnail=np.full((90, 60, 3), c, np.uint8)) for n, c in enumerate(colours, 1)]
    write(tmp_path / "a.png", these)
    board = one_board(these, 1000.0, text_width)
    with Image.open(tmp_path / "a.png") as picture:
        for spot, colour in zip(board.spots, colours, strict=True):
            assert (
                picture.getpixel((round(spot.middle * 2), round((spot.top + spot.height / 2) * 2))) == colour
            )
        assert picture.getpixel((3, 3)) == (0xF7, 0xF2, 0xE8)


def test_the_colour_behind_a_cut_out_never_shows(tmp_path: Path) -> None:
    write(tmp_path / "a.png", [card(1, 1)])
    with Image.open(tmp_path / "a.png") as picture:
        pixels = np.asarray(picture).astype(int)
    magenta = (pixels[..., 0] - pixels[..., 1] > 90) & (pixels[..., 2] - pixels[..., 1] > 90)
    assert not magenta.any()


def test_an_element_that_is_likely_not_wanted_is_pale_and_remarked_on(tmp_path: Path) -> None:
    black = np.zeros((50, 50, 3), np.uint8)
    pale = replace(card(1, 1, thumbnail=black), unwanted=True)
    write(tmp_path / "a.png", [pale])
    with Image.open(tmp_path / "a.png") as picture:
        spot = one_board([pale], 1000.0, text_width).spots[0]
        middle = picture.getpixel((round(spot.middle * 2), round((spot.top + spot.height / 2) * 2)))
    assert min(middle) > 90
    assert pale.note == "likely not wanted"
    assert replace(card(1, 1), confidence=0.2).note == "look at its edge"
    assert card(1, 1).note == ""


def test_three_hundred_elements_stay_within_what_viewers_open(tmp_path: Path) -> None:
    these = [card(page, n, thumbnail=TINY) for page in range(1, 16) for n in range(1, 21)]
    write(tmp_path / "a.png", these)
    with Image.open(tmp_path / "a.png") as picture:
        assert max(picture.size) <= MOST_PX
        assert picture.height <= 3.5 * picture.width


def test_the_pdf_has_letter_pages_and_every_label_as_text(tmp_path: Path) -> None:
    these = [card(page, n) for page in range(1, 5) for n in range(1, 9)]
    write(tmp_path / "a.pdf", these)
    pdf = pypdfium2.PdfDocument(tmp_path / "a.pdf")
    try:
        assert len(pdf) > 1
        assert {page.get_size() for page in pdf} == {(612.0, 792.0)}
        text = "".join(page.get_textpage().get_text_range() for page in pdf)
    finally:
        pdf.close()
    for one in these:
        assert text.count(one.label) == 1
    assert "Lantern Orchard" in text
    assert f"1 of {len(pdf_pages(tmp_path / 'a.pdf'))}" in text


def pdf_pages(path: Path) -> list[Image.Image]:
    pdf = pypdfium2.PdfDocument(path)
    try:
        return [page.render(scale=2).to_pil() for page in pdf]
    finally:
        pdf.close()


def test_the_pdf_shows_each_element_where_the_board_says(tmp_path: Path) -> None:
    colours = [(200, 30, 30), (30, 160, 40), (40, 60, 190)]
    these = [card(1, n, thumbnail=np.full((90, 60, 3), c, np.uint8)) for n, c in enumerate(colours, 1)]
    write(tmp_path / "a.pdf", these)
    board = one_board(these, 900.0, text_width)
    picture = pdf_pages(tmp_path / "a.pdf")[0]
    scale = picture.width / 900
    for spot, colour in zip(board.spots, colours, strict=True):
        seen = picture.getpixel((round(spot.middle * scale), round((spot.top + spot.height / 2) * scale)))
        assert max(abs(a - b) for a, b in zip(seen, colour, strict=True)) <= 6


def test_the_web_page_needs_nothing_beside_it_and_says_what_each_element_is(tmp_path: Path) -> None:
    write(tmp_path / "a.html", cards())
    text = (tmp_path / "a.html").read_text("utf-8")
    assert not re.search(r"(src|href)=\"(?!data:)", text)
    assert "url(data:" in text
    assert "http" not in re.sub(r"base64,[A-Za-z0-9+/=]+", "", text)
    for one in cards():
        assert f'id="{one.id}"' in text
        assert f'alt="{one.label}, tag, {one.size_text}"' in text
    first = re.search(r"data:image/webp;base64,([A-Za-z0-9+/=]+)", text)
    assert first
    with Image.open(BytesIO(base64.b64decode(first[1]))) as picture:
        assert picture.mode == "RGBA"


def test_names_cannot_put_markup_into_the_web_page(tmp_path: Path) -> None:
    evil = '<script>alert("x")</script>'
    write_contact_sheet([card(1, 1)], title=evil, subtitle=evil, path=tmp_path / "a.html")
    text = (tmp_path / "a.html").read_text("utf-8")
    assert "<script" not in text
    assert "&lt;script&gt;" in text


def test_a_contact_sheet_of_nothing_or_of_another_kind_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadOption, match="some element on the shelf"):
        write(tmp_path / "a.png", [])
    with pytest.raises(BadOption, match=r"\.png, \.pdf, \.html"):
        write(tmp_path / "a.jpg", cards())
    (tmp_path / "a.png").write_bytes(b"old")
    with pytest.raises(OutputExists):
        write(tmp_path / "a.png", cards())
    assert [path.name for path in tmp_path.iterdir()] == ["a.png"]


@pytest.mark.parametrize(
    ("width", "height", "unit", "text"),
    [
        (inches("1.667"), inches("2.9"), Unit.INCH, "1 11/16 × 2 7/8 in"),
        (inches("0.01"), inches(3), Unit.INCH, "1/16 × 3 in"),
        (mm("104.6"), mm("148.4"), Unit.MM, "105 × 148 mm"),
    ],
)
def test_sizes_are_written_as_near_as_a_ruler_is_read(
    width: Length, height: Length, unit: Unit, text: str
) -> None:
    assert replace(card(1, 1), size=Size(width, height), unit=unit).size_text == text


@given(st.integers(0, 99), st.integers(1, 15))
def test_fractions_are_set_small_and_keep_their_figures(whole: int, part: int) -> None:
    runs = fraction_runs(f"{whole} {part}/16 in")
    assert "".join(run for run, _, _ in runs).replace("\u2009", "") == f"{whole}{part}⁄16 in"
    assert [run for run, scale, rise in runs if rise > 0] == [str(part)]
