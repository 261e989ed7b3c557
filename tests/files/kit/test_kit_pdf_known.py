"""Where a rendered PDF page says that things lie; PDFium, a second renderer, says where they are seen."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pikepdf
import pypdfium2
import pytest
from pikepdf import Name
from PIL import Image, ImageDraw
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from kitprep.files.kit import Look, pdf_painted
from kitprep.pages import KnownBox, PageKind, PixelBox

AnyLook = Callable[..., Look]
PX = 300 / 72  # page pixels to a point


@pytest.fixture
def canvas(tmp_path: Path) -> Canvas:
    return Canvas(str(tmp_path / "page.pdf"), pagesize=(612, 792), bottomup=0)


@pytest.fixture
def look(look_at: AnyLook, tmp_path: Path) -> Callable[[Canvas], Look]:
    def looked(canvas: Canvas) -> Look:
        canvas.showPage()
        canvas.save()
        look = look_at(tmp_path / "page.pdf", target_ppi=150)
        assert look.page.kind is PageKind.RENDERED
        return look

    return looked


def opaque(canvas: Canvas, left: float, top: float, width: float, height: float) -> None:
    canvas.drawImage(ImageReader(Image.new("RGB", (90, 60), "teal")), left, top, width, height)


def see_through(canvas: Canvas, picture: Image.Image, left: float, top: float) -> None:
    """A picture at 300 pixels per inch; reportlab stores its alpha as a soft mask."""
    canvas.saveState()
    canvas.translate(left, top + picture.height / PX)
    canvas.scale(1, -1)
    canvas.drawImage(ImageReader(picture), 0, 0, picture.width / PX, picture.height / PX, mask="auto")
    canvas.restoreState()


def with_disc(size: int, box: tuple[int, int, int, int], alpha: int = 255) -> Image.Image:
    picture = Image.new("RGBA", (size, size), (200, 30, 60, 0))
    ImageDraw.Draw(picture).ellipse((box[0], box[1], box[2] - 1, box[3] - 1), fill=(200, 30, 60, alpha))
    return picture


def rounded(left: float, top: float, width: float, height: float) -> PixelBox:
    return PixelBox(round(left * PX), round(top * PX), round((left + width) * PX), round((top + height) * PX))


def seen_by_pdfium(path: Path) -> PixelBox:
    """The box of all that is not white, at 300 pixels per inch."""
    with pypdfium2.PdfDocument(path) as document:
        pixels = np.asarray(document[0].render(scale=PX).to_pil().convert("L"))
    rows, columns = np.flatnonzero((pixels < 250).any(axis=1)), np.flatnonzero((pixels < 250).any(axis=0))
    return PixelBox(int(columns[0]), int(rows[0]), int(columns[-1]) + 1, int(rows[-1]) + 1)


def near(one: PixelBox, other: PixelBox, by: int) -> bool:
    return one.grown(by).contains(other) and other.grown(by).contains(one)


def test_a_see_through_picture_is_known_by_what_of_it_is_seen(
    canvas: Canvas, look: Callable[[Canvas], Look], tmp_path: Path
) -> None:
    see_through(canvas, with_disc(600, (100, 150, 400, 550)), 72, 144)
    (known,) = look(canvas).known_boxes
    assert known.box == PixelBox(400, 750, 700, 1150)
    assert near(known.box, seen_by_pdfium(tmp_path / "page.pdf"), 1)


def test_the_cover_of_a_cut_out_stands_as_the_page_does(
    canvas: Canvas, look: Callable[[Canvas], Look]
) -> None:
    picture = with_disc(400, (0, 0, 400, 400))
    picture.paste((0, 0, 0, 0), (0, 0, 200, 200))
    see_through(canvas, picture, 72, 72)
    (known,) = look(canvas).known_boxes
    assert known.cover is not None
    rows, cols = known.cover.shape
    assert (rows, cols) == (200, 200)
    assert known.cover[: rows // 2 - 1, : cols // 2 - 1].max() == 0
    assert known.cover[rows // 4, 3 * cols // 4] == 255
    assert known.cover[3 * rows // 4, cols // 4] == 255


@pytest.mark.parametrize("alpha", [70, 160])
def test_a_shadow_is_no_thing_and_hides_none(
    canvas: Canvas, look: Callable[[Canvas], Look], alpha: int
) -> None:
    see_through(canvas, with_disc(600, (0, 0, 600, 600), alpha), 80, 80)
    opaque(canvas, 72, 72, 150, 150)
    see_through(canvas, with_disc(600, (0, 0, 600, 600)), 300, 300)
    known = look(canvas).known_boxes
    assert [one.box for one in known] == [rounded(72, 72, 150, 150), rounded(300, 300, 144, 144)]


def test_a_clip_cuts_the_box_of_what_it_clips(canvas: Canvas, look: Callable[[Canvas], Look]) -> None:
    canvas.saveState()
    clip = canvas.beginPath()
    clip.rect(90, 120, 60, 80)
    canvas.clipPath(clip, stroke=0)
    opaque(canvas, 72, 72, 200, 200)
    canvas.restoreState()
    assert look(canvas).known_boxes == (KnownBox(rounded(90, 120, 60, 80)),)


def test_a_picture_clipped_round_is_a_drawing_as_large_as_its_clip(
    canvas: Canvas, look: Callable[[Canvas], Look], tmp_path: Path
) -> None:
    canvas.saveState()
    clip = canvas.beginPath()
    clip.circle(172, 172, 60)
    canvas.clipPath(clip, stroke=0)
    opaque(canvas, 72, 72, 200, 200)
    canvas.restoreState()
    (known,) = look(canvas).known_boxes
    assert known.is_drawing
    assert near(known.box, seen_by_pdfium(tmp_path / "page.pdf"), 1)


def test_lines_and_fills_that_touch_are_one_and_others_are_not(
    canvas: Canvas, look: Callable[[Canvas], Look]
) -> None:
    canvas.setFillGray(0.8)
    canvas.rect(72, 72, 100, 60, stroke=0, fill=1)
    canvas.circle(172, 102, 20, stroke=0, fill=1)
    canvas.setLineWidth(4)
    canvas.rect(72, 300, 100, 60, stroke=1, fill=0)
    known = look(canvas).known_boxes
    assert [one.box for one in known] == [rounded(72, 72, 120, 60), rounded(70, 298, 104, 64)]
    assert all(one.is_drawing for one in known)


def test_a_ground_is_no_thing_and_what_lies_on_it_is_known(
    canvas: Canvas, look: Callable[[Canvas], Look]
) -> None:
    canvas.setFillColorRGB(0.95, 0.9, 0.8)
    canvas.rect(0, 0, 612, 792, stroke=0, fill=1)
    opaque(canvas, 72, 72, 150, 100)
    canvas.setFillGray(0.3)
    canvas.rect(300, 300, 100, 60, stroke=0, fill=1)
    known = look(canvas).known_boxes
    assert [one.box for one in known] == [rounded(72, 72, 150, 100), rounded(300, 300, 100, 60)]
    assert [one.is_drawing for one in known] == [False, True]


def test_a_single_thing_on_a_ground_may_be_part_of_a_paper(
    canvas: Canvas, look: Callable[[Canvas], Look]
) -> None:
    canvas.setFillColorRGB(0.95, 0.9, 0.8)
    canvas.rect(0, 0, 612, 792, stroke=0, fill=1)
    opaque(canvas, 72, 72, 150, 100)
    assert look(canvas).known_boxes == ()


def test_what_is_drawn_within_a_picture_goes_with_it(canvas: Canvas, look: Callable[[Canvas], Look]) -> None:
    opaque(canvas, 72, 72, 150, 100)
    canvas.rect(80, 80, 40, 40)
    canvas.drawString(90, 150, "a wording")
    assert look(canvas).known_boxes == (KnownBox(rounded(72, 72, 150, 100)),)


def test_a_picture_that_something_sticks_out_of_is_only_a_drawing(
    canvas: Canvas, look: Callable[[Canvas], Look]
) -> None:
    opaque(canvas, 72, 72, 150, 100)
    canvas.setFillGray(0.3)
    canvas.rect(200, 100, 80, 20, stroke=0, fill=1)
    assert look(canvas).known_boxes == (KnownBox(rounded(72, 72, 208, 100), is_drawing=True),)


def test_words_alone_are_nothing_known(canvas: Canvas, look: Callable[[Canvas], Look]) -> None:
    canvas.drawString(100, 100, "only words")
    assert look(canvas).known_boxes == ()


def test_two_pictures_that_touch_are_left_to_the_pixels(
    canvas: Canvas, look: Callable[[Canvas], Look]
) -> None:
    opaque(canvas, 72, 72, 150, 100)
    opaque(canvas, 222, 72, 150, 100)
    canvas.rect(400, 400, 50, 50)
    (known,) = look(canvas).known_boxes
    assert known.box == rounded(399.5, 399.5, 51, 51)


def test_a_pattern_in_a_shape_is_as_large_as_the_shape(
    canvas: Canvas, look: Callable[[Canvas], Look]
) -> None:
    canvas.saveState()
    clip = canvas.beginPath()
    clip.rect(100, 100, 90, 90)
    canvas.clipPath(clip, stroke=0)
    canvas.linearGradient(0, 0, 612, 792, ((0.9, 0.2, 0.2), (0.2, 0.2, 0.9)))
    canvas.restoreState()
    assert look(canvas).known_boxes == (KnownBox(rounded(100, 100, 90, 90), is_drawing=True),)


def test_a_page_of_more_drawing_than_is_followed_is_left_to_the_pixels(
    canvas: Canvas, look: Callable[[Canvas], Look], monkeypatch: pytest.MonkeyPatch
) -> None:
    for number in range(50):
        canvas.rect(72 + number, 72, 10, 10)
    monkeypatch.setattr(pdf_painted, "MOST_CALLS", 40)
    assert look(canvas).known_boxes == ()


def test_a_page_of_thousands_of_lines_is_left_to_the_pixels(
    canvas: Canvas, look: Callable[[Canvas], Look]
) -> None:
    for number in range(2_100):
        canvas.line(72 + number / 10, 72, 90 + number / 10, 90)
    assert look(canvas).known_boxes == ()


@pytest.mark.parametrize("turned", [90, 180, 270])
def test_a_turned_page_has_its_boxes_turned(
    canvas: Canvas, look: Callable[[Canvas], Look], tmp_path: Path, turned: int
) -> None:
    canvas.setPageRotation(turned)
    see_through(canvas, with_disc(600, (100, 150, 400, 450)), 72, 144)
    (known,) = look(canvas).known_boxes
    assert near(known.box, seen_by_pdfium(tmp_path / "page.pdf"), 1)


def test_what_a_colour_key_leaves_is_only_a_drawing(canvas: Canvas, look: Callable[[Canvas], Look]) -> None:
    picture = Image.new("RGB", (300, 300), (255, 0, 255))
    picture.paste((20, 90, 60), (60, 90, 240, 210))
    canvas.drawImage(ImageReader(picture), 72, 72, 72, 72, mask=[255, 255, 0, 0, 255, 255])
    assert look(canvas).known_boxes == (KnownBox(rounded(72, 72, 72, 72), is_drawing=True),)


def test_a_stencil_leaves_what_it_does_not_mask(canvas: Canvas, look_at: AnyLook, tmp_path: Path) -> None:
    """ISO 32000-1, 8.9.6.3: a sample of 1 in an explicit mask is masked out."""
    path = tmp_path / "page.pdf"
    opaque(canvas, 72, 72, 72, 72)
    canvas.showPage()
    canvas.save()
    stencil = Image.new("1", (300, 300), 1)
    stencil.paste(0, (60, 90, 240, 180))
    with pikepdf.open(path, allow_overwriting_input=True) as document:
        mask = document.make_stream(stencil.tobytes())
        keys = {"Subtype": Name.Image, "ImageMask": True, "Width": 300, "Height": 300, "BitsPerComponent": 1}
        for key, value in keys.items():
            mask[f"/{key}"] = value
        next(iter(document.pages[0].resources.XObject.values())).Mask = mask
        document.save(path)
    (known,) = look_at(path, target_ppi=150).known_boxes
    assert not known.is_drawing
    assert known.cover is not None
    assert near(known.box, seen_by_pdfium(path), 1)


def test_forms_in_forms_are_heeded(canvas: Canvas, look: Callable[[Canvas], Look], tmp_path: Path) -> None:
    canvas.beginForm("inner")
    canvas.rect(0, 0, 40, 30, stroke=0, fill=1)
    canvas.endForm()
    canvas.beginForm("outer")
    canvas.translate(10, 10)
    canvas.doForm("inner")
    canvas.endForm()
    canvas.translate(100, 200)
    canvas.scale(2, 2)
    canvas.doForm("outer")
    (known,) = look(canvas).known_boxes
    assert near(known.box, seen_by_pdfium(tmp_path / "page.pdf"), 1)


def test_a_fault_of_our_own_is_not_swallowed_by_mupdf(
    canvas: Canvas, look: Callable[[Canvas], Look], monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(_: object) -> object:
        raise ZeroDivisionError

    opaque(canvas, 72, 72, 72, 72)
    canvas.rect(300, 300, 50, 50)
    monkeypatch.setattr(pdf_painted, "_affine", fails)
    with pytest.raises(ZeroDivisionError):
        look(canvas)


def test_a_soft_mask_that_cannot_be_decoded_hides_its_picture_as_it_does_on_the_page(
    canvas: Canvas, look_at: AnyLook, tmp_path: Path
) -> None:
    path = tmp_path / "page.pdf"
    opaque(canvas, 72, 72, 72, 72)
    canvas.rect(300, 500, 50, 50, stroke=0, fill=1)
    canvas.showPage()
    canvas.save()
    with pikepdf.open(path, allow_overwriting_input=True) as document:
        mask = document.make_stream(b"no picture at all")
        keys = {"Subtype": Name.Image, "Width": 90, "Height": 60, "BitsPerComponent": 8}
        keys |= {"ColorSpace": Name.DeviceGray, "Filter": Name.DCTDecode}
        for key, value in keys.items():
            mask[f"/{key}"] = value
        next(iter(document.pages[0].resources.XObject.values())).SMask = mask
        document.save(path)
    drawing = rounded(300, 500, 50, 50)
    look = look_at(path, target_ppi=150)
    assert look.known_boxes == (KnownBox(drawing, is_drawing=True),)
    assert (look.raster.pixels[:1000] == 255).all()
