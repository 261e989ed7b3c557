"""Pages of a PDF: pictures taken out as they are, or the page rendered; checked by PDFium, a second renderer."""

from __future__ import annotations

import io
import subprocess
import sys
import textwrap
import zlib
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pikepdf
import pypdfium2
import pytest
from pikepdf import Array, Dictionary, Name
from PIL import Image, ImageChops, ImageCms, ImageFilter
from reportlab.pdfgen.canvas import Canvas

from kitprep.errors import DamagedPdf, DamagedPicture, LockedFile, PageTooLarge, PictureTooLarge
from kitprep.files.kit import (
    Look,
    Note,
    Original,
    find_pages,
    placed_pictures,
    read_raster,
    read_region,
    read_regions,
)
from kitprep.pages import KnownBox, PageKind, PagePpi, PixelBox, PpiSource

AnyLook = Callable[..., Look]
LETTER = (0, 0, 612, 792)


@dataclass
class PdfBuilder:
    """Puts a PDF together from raw parts."""

    path: Path
    document: pikepdf.Pdf = field(default_factory=pikepdf.new)

    def jpeg(self, picture: Image.Image, **keys: object) -> pikepdf.Object:
        buffer = io.BytesIO()
        picture.save(buffer, "JPEG", quality=95, subsampling=0)
        return self.image(picture, buffer.getvalue(), Filter=Name.DCTDecode, **keys)

    def flate(self, picture: Image.Image, **keys: object) -> pikepdf.Object:
        return self.image(picture, zlib.compress(picture.tobytes()), Filter=Name.FlateDecode, **keys)

    def image(self, picture: Image.Image, content: bytes, **keys: object) -> pikepdf.Object:
        space = {"L": Name.DeviceGray, "RGB": Name.DeviceRGB, "CMYK": Name.DeviceCMYK}.get(picture.mode)
        stream = self.document.make_stream(content)
        defaults = {
            "Type": Name.XObject,
            "Subtype": Name.Image,
            "Width": picture.width,
            "Height": picture.height,
            "ColorSpace": space,
            "BitsPerComponent": 8,
        }
        for key, value in (defaults | keys).items():
            stream[f"/{key}"] = value
        return stream

    def form(self, content: str, resources: Dictionary, **keys: object) -> pikepdf.Object:
        stream = self.document.make_stream(content.encode())
        defaults = {"Type": Name.XObject, "Subtype": Name.Form, "BBox": Array([0, 0, 1000, 1000])}
        for key, value in (defaults | {"Resources": resources} | keys).items():
            stream[f"/{key}"] = value
        return stream

    def page(
        self,
        content: str,
        pictures: dict[str, pikepdf.Object] | None = None,
        box: tuple[float, ...] = LETTER,
        resources: dict[str, object] | None = None,
        **keys: object,
    ) -> None:
        page = Dictionary(Type=Name.Page, MediaBox=Array(box))
        xobjects = Dictionary({f"/{name}": picture for name, picture in (pictures or {}).items()})
        page.Resources = Dictionary(XObject=xobjects, **(resources or {}))
        page.Contents = self.document.make_stream(content.encode())
        for key, value in keys.items():
            page[f"/{key}"] = value
        self.document.pages.append(pikepdf.Page(self.document.make_indirect(page)))

    def save(self, **options: object) -> Path:
        self.document.save(self.path, **options)
        self.document.close()
        return self.path


@pytest.fixture
def pdf(tmp_path: Path) -> PdfBuilder:
    return PdfBuilder(tmp_path / "pages.pdf")


def by_pdfium(path: Path, like: np.ndarray, number: int = 0, password: str | None = None) -> np.ndarray:
    """A page by PDFium on as many rows and columns as another picture of it, RGB."""
    rows, columns = like.shape[:2]
    document = pypdfium2.PdfDocument(path, password=password)
    bitmap = pypdfium2.PdfBitmap.new_native(columns, rows, pypdfium2.raw.FPDFBitmap_BGR)
    try:
        bitmap.fill_rect((255, 255, 255, 255), 0, 0, columns, rows)
        flags = pypdfium2.raw.FPDF_ANNOT
        pypdfium2.raw.FPDF_RenderPageBitmap(bitmap, document[number], 0, 0, columns, rows, 0, flags)
        return bitmap.to_numpy()[:, :, ::-1].copy()
    finally:
        bitmap.close()
        document.close()


@pytest.fixture(scope="session")
def soft_photo(photo: Image.Image) -> Image.Image:
    """A photograph without fine detail, so that two ways of resampling it agree."""
    return photo.filter(ImageFilter.GaussianBlur(3))


def agree(ours: np.ndarray, theirs: np.ndarray) -> None:
    """The same page but for resampling and a pixel at edges."""
    assert ours.shape == theirs.shape
    apart = np.abs(ours.astype(int) - theirs.astype(int))
    assert apart.mean() < 1.5
    assert np.median(apart) <= 2
    assert (apart.max(axis=2) > 48).mean() < 0.008


def place(name: str, *matrix: float) -> str:
    return f"q {' '.join(f'{value:.6f}' for value in matrix)} cm /{name} Do Q\n"


# ------------------------------------------------------------- pictures taken out


def test_a_page_that_is_one_jpeg_is_that_jpeg(pdf: PdfBuilder, photo: Image.Image, look_at: AnyLook) -> None:
    jpeg = pdf.jpeg(photo)
    pdf.page(place("P", 72, 0, 0, 96, 0, 0), {"P": jpeg}, (0, 0, 72, 96))
    raw = jpeg.read_raw_bytes()
    look = look_at(pdf.save())
    assert look.page.kind is PageKind.PLACED
    assert (look.page.size_px, look.page.ppi) == ((300, 400), PagePpi(300, 300, PpiSource.FILE))
    with Image.open(io.BytesIO(raw)) as alone:
        wanted = np.asarray(alone)
        assert np.array_equal(look.raster.pixels, wanted)
    (placed,) = placed_pictures(pdf.path, look.page)
    assert placed.jpeg == raw
    assert (placed.mode, placed.size_px, placed.icc, placed.has_alpha) == ("RGB", (300, 400), None, False)
    assert [round(value, 9) for value in placed.matrix(300, 400)] == [300, 400]
    assert np.array_equal(placed.read(PixelBox(5, 6, 50, 60)), wanted[6:60, 5:50])
    assert np.array_equal(read_region(pdf.path, look.page, PixelBox(5, 6, 50, 60)), wanted[6:60, 5:50])
    assert look.known_boxes == ()


def test_the_grid_has_the_resolution_of_the_finest_picture(
    pdf: PdfBuilder, photo: Image.Image, look_at: AnyLook
) -> None:
    jpeg = pdf.jpeg(photo)
    sizes = {"coarse": 200.0, "middle": 400.0, "fine": 900.0}
    for ppi in sizes.values():
        width, height = 300 * 72 / ppi, 400 * 72 / ppi
        pdf.page(place("P", width, 0, 0, height, 10, 10), {"P": jpeg}, (0, 0, 144, 144))
    path = pdf.save()
    looks = [look_at(path, frame, 300) for frame in range(3)]
    assert [look.page.ppi.x for look in looks] == [300, pytest.approx(400), 600]
    assert [look.page.size_px for look in looks] == [(600, 600), (800, 800), (1200, 1200)]
    assert [look.notes for look in looks] == [(Note.COARSE_PICTURES,), (), ()]
    for look, ppi in zip(looks, sizes.values(), strict=True):
        (placed,) = placed_pictures(path, look.page)
        (x0, y0), (x1, y1) = placed.matrix(0, 0), placed.matrix(300, 400)
        assert (x1 - x0) / look.page.ppi.x == pytest.approx(300 / ppi)  # its printed inches
        assert (y1 - y0) / look.page.ppi.y == pytest.approx(400 / ppi)


MATRICES = {
    "straight": (144, 0, 0, 192, 30, 40),
    "mirrored": (-144, 0, 0, 192, 230, 40),
    "upside down": (-144, 0, 0, -192, 230, 300),
    "turned left": (0, 144, -192, 0, 260, 50),
    "turned right": (0, -144, 192, 0, 30, 250),
    "turned and mirrored": (0, 144, 192, 0, 40, 60),
    "stretched": (200, 0, 0, 60, 30.3, 40.7),
    "leaning": (120, 50, -60, 150, 90, 60),
    "sheared": (120, 0, 60, 150, 60, 60),
    "half off the page": (144, 0, 0, 192, -60, 200),
}


@pytest.mark.parametrize("target", [300, 150])
@pytest.mark.parametrize("name", MATRICES)
@pytest.mark.parametrize("kind", ["jpeg", "flate"])
def test_a_placed_picture_lies_where_pdfium_draws_it(
    pdf: PdfBuilder, soft_photo: Image.Image, look_at: AnyLook, name: str, kind: str, target: int
) -> None:
    """A lantern-lit half of the picture is dark and the other light, so that turning wrongly shows."""
    picture = pdf.jpeg(soft_photo) if kind == "jpeg" else pdf.flate(soft_photo)
    pdf.page(place("P", *MATRICES[name]), {"P": picture}, (0, 0, 300, 360))
    look = look_at(pdf.save(), target_ppi=target)
    assert look.page.kind is PageKind.PLACED
    agree(look.raster.pixels, by_pdfium(pdf.path, look.raster.pixels))


@pytest.mark.parametrize("turned", [0, 90, 180, 270, -90, 450])
@pytest.mark.parametrize("content", ["placed", "rendered"])
def test_boxes_and_turning_are_heeded(
    pdf: PdfBuilder, soft_photo: Image.Image, look_at: AnyLook, turned: int, content: str
) -> None:
    drawing = "0 0.4 0.8 rg 60 70 40 20 re f\n" if content == "rendered" else ""
    pdf.page(
        drawing + place("P", 90, 0, 0, 120, 120, 90),
        {"P": pdf.jpeg(soft_photo)},
        (-20, 10, 280, 330),
        CropBox=Array([40, 50, 260, 400]),
        Rotate=turned,
    )
    look = look_at(pdf.save(), target_ppi=300)
    assert look.page.kind is (PageKind.RENDERED if drawing else PageKind.PLACED)
    size_in = (220 / 72, 280 / 72) if turned % 180 == 0 else (280 / 72, 220 / 72)
    assert look.page.size_px == tuple(round(side * 300) for side in size_in)
    agree(look.raster.pixels, by_pdfium(pdf.path, look.raster.pixels))


@pytest.mark.parametrize("content", ["placed", "rendered"])
def test_a_user_unit_makes_the_page_larger(
    pdf: PdfBuilder, soft_photo: Image.Image, look_at: AnyLook, content: str
) -> None:
    drawing = "0 0.4 0.8 rg 60 70 40 20 re f\n" if content == "rendered" else ""
    pdf.page(
        drawing + place("P", 36, 0, 0, 48, 20, 20),
        {"P": pdf.jpeg(soft_photo)},
        (0, 0, 100, 120),
        UserUnit=2.5,
    )
    look = look_at(pdf.save(), target_ppi=300)
    assert look.page.ppi.x == 300  # 300 px on 36 units of 2.5/72 in are 240 to the inch
    assert look.page.size_px == (round(100 * 2.5 / 72 * 300), round(120 * 2.5 / 72 * 300))
    agree(look.raster.pixels, by_pdfium(pdf.path, look.raster.pixels))


def test_boxes_and_turning_may_come_from_above(pdf: PdfBuilder, photo: Image.Image, look_at: AnyLook) -> None:
    pdf.page(place("P", 72, 0, 0, 96, 0, 0), {"P": pdf.jpeg(photo)})
    tree = pdf.document.Root.Pages
    tree.MediaBox, tree.Rotate = Array([0, 0, 72, 96]), 90
    del pdf.document.pages[0].obj["/MediaBox"]
    assert look_at(pdf.save()).page.size_px == (400, 300)


def test_a_picture_placed_twice_has_one_key(pdf: PdfBuilder, photo: Image.Image, look_at: AnyLook) -> None:
    jpeg, other = pdf.jpeg(photo), pdf.jpeg(photo.convert("L"))
    content = (
        place("P", 72, 0, 0, 96, 0, 0) + place("P", 72, 0, 0, 96, 100, 0) + place("O", 72, 0, 0, 96, 200, 0)
    )
    pdf.page(content, {"P": jpeg, "O": other})
    placed = placed_pictures(pdf.path, look_at(pdf.save()).page)
    assert [picture.mode for picture in placed] == ["RGB", "RGB", "L"]
    assert placed[0].key == placed[1].key != placed[2].key


def test_later_pictures_lie_over_earlier_ones(pdf: PdfBuilder, look_at: AnyLook) -> None:
    red, blue = Image.new("RGB", (75, 75), "red"), Image.new("RGB", (75, 75), "blue")
    content = place("R", 18, 0, 0, 18, 0, 0) + place("B", 18, 0, 0, 18, 9, 0)
    pdf.page(content, {"R": pdf.flate(red), "B": pdf.flate(blue)}, (0, 0, 36, 18))
    row = look_at(pdf.save()).raster.pixels[30]
    assert row[[10, 60, 140]].tolist() == [[255, 0, 0], [0, 0, 255], [255, 255, 255]]


@pytest.mark.parametrize("unit", [0.103, 0.2, 0.271])
def test_tiles_that_meet_leave_no_seam(
    pdf: PdfBuilder, soft_photo: Image.Image, look_at: AnyLook, unit: float
) -> None:
    """A picture cut into strips of odd height, as some programs do, on places that fit no grid."""
    strips, content, top = {}, "", 0
    for number, height in enumerate((37, 101, 99, 163)):
        strips[f"S{number}"] = pdf.flate(soft_photo.crop((0, top, 300, top + height)))
        bottom = 130 - (top + height) * unit
        content += place(f"S{number}", 300 * unit, 0, 0, height * unit, 11.7, bottom)
        top += height
    pdf.page(content, strips, (0, 0, 110, 140))
    pdf.page(
        place("P", 300 * unit, 0, 0, 400 * unit, 11.7, bottom), {"P": pdf.flate(soft_photo)}, (0, 0, 110, 140)
    )
    path = pdf.save()
    tiles, whole = (look_at(path, frame).raster.pixels for frame in range(2))
    apart = np.abs(tiles.astype(int) - whole)
    assert apart.mean() < 0.5
    assert apart.max(axis=2).max(axis=1).max() < 60  # a seam would be white, 255, on the dark parts
    if unit != 0.271:  # PDFium and MuPDF enlarge without smoothing; this room smooths
        agree(tiles, by_pdfium(path, tiles))


def test_tiles_of_one_picture_are_not_told_apart(pdf: PdfBuilder, look_at: AnyLook) -> None:
    tile = pdf.flate(Image.new("RGB", (100, 100), "teal"))
    pdf.page(
        "".join(place("T", 24, 0, 0, 24, 24 * number, 0) for number in range(3)), {"T": tile}, (0, 0, 99, 99)
    )
    assert look_at(pdf.save()).known_boxes == ()


# -------------------------------------------------------------- what may be around


HARMLESS = {
    "a clip around the page": "0 0 612 792 re W n\n{}",
    "a clip just around the picture": "q 100 100 72 96 re W n\n{}Q\n",
    "nested clips": "q 0 0 300 300 re W n q 90 90 200 200 re W* n\n{}Q Q\n",
    "a white ground": "1 g 0 0 612 792 re f\n{}",
    "a white ground in rgb": "1 1 1 rg 0 0 612 792 re f*\n{}",
    "a plain graphics state": "/Plain gs\n{}",
    "marks for screen readers": "/Artifact BMC\n{}EMC\n",
    "line settings": "0.5 w 1 J 1 j [3 2] 0 d 0 0 0 RG\n{}",
    "text that is not shown": "BT /F 12 Tf 3 Tr 100 100 Td (LANTERN) Tj ET\n{}",
    "a path that is not painted": "10 10 m 20 20 l n\n{}",
}


@pytest.mark.parametrize("name", HARMLESS)
def test_what_changes_nothing_leaves_a_page_of_placed_pictures(
    pdf: PdfBuilder, soft_photo: Image.Image, look_at: AnyLook, name: str
) -> None:
    content = HARMLESS[name].format(place("P", 72, 0, 0, 96, 100, 100))
    plain = Dictionary(Type=Name.ExtGState, CA=1, ca=1, BM=Name.Normal, SMask=pikepdf.Name("/None"), OP=False)
    font = Dictionary(Type=Name.Font, Subtype=Name.Type1, BaseFont=Name.Helvetica)
    resources = {"ExtGState": Dictionary(Plain=plain), "Font": Dictionary(F=font)}
    pdf.page(content, {"P": pdf.jpeg(soft_photo)}, resources=resources)
    look = look_at(pdf.save(), target_ppi=150)
    assert look.page.kind is PageKind.PLACED
    agree(look.raster.pixels, by_pdfium(pdf.path, look.raster.pixels))


MORE = {
    "a clip through the picture": "q 100 100 40 96 re W n\n{}Q\n",
    "a round clip": "q 100 100 m 300 100 l 200 300 l h W n\n{}Q\n",
    "two clip boxes": "q 100 100 72 96 re 300 300 9 9 re W n\n{}Q\n",
    "a leaning clip": "q 0.8 0.6 -0.6 0.8 200 0 cm 0 0 600 700 re W n\n{}Q\n",
    "a filled box": "{}0.5 g 300 300 50 50 re f\n",
    "white over the picture": "{}1 g 110 110 20 20 re f\n",
    "a stroked line": "{}10 10 m 300 300 l S\n",
    "text": "{}BT /F 12 Tf 300 300 Td (LANTERN) Tj ET\n",
    "a shading": "{}/Sh sh\n",
    "half see-through": "/Veil gs\n{}",
    "multiplied": "/Multiply gs\n{}",
    "under a soft mask": "/Mask gs\n{}",
    "in a layer": "/OC /Layer BDC\n{}EMC\n",
    "an inline picture": "{}q 9 0 0 9 300 300 cm BI /W 1 /H 1 /CS /G /BPC 8 ID \x80 EI Q\n",
}


@pytest.mark.parametrize("name", MORE)
def test_a_page_with_more_than_pictures_is_rendered(
    pdf: PdfBuilder, soft_photo: Image.Image, look_at: AnyLook, name: str
) -> None:
    content = MORE[name].format(place("P", 72, 0, 0, 96, 100, 100))
    group = Dictionary(S=Name.Transparency, CS=Name.DeviceGray)
    veil = pdf.form("0.5 g 0 0 1000 1000 re f", Dictionary(), Group=group)
    function = Dictionary(FunctionType=2, Domain=Array([0, 1]), C0=Array([0]), C1=Array([1]), N=1)
    shading = Dictionary(
        ShadingType=2, ColorSpace=Name.DeviceGray, Coords=Array([300, 0, 500, 0]), Function=function
    )
    resources = {
        "ExtGState": Dictionary(
            Veil=Dictionary(ca=0.5),
            Multiply=Dictionary(BM=Name.Multiply),
            Mask=Dictionary(SMask=Dictionary(S=Name.Luminosity, G=veil)),
        ),
        "Font": Dictionary(F=Dictionary(Type=Name.Font, Subtype=Name.Type1, BaseFont=Name.Helvetica)),
        "Shading": Dictionary(Sh=shading),
        "Properties": Dictionary(Layer=pdf.document.make_indirect(Dictionary(Type=Name.OCG, Name="Layer"))),
    }
    pdf.page(content, {"P": pdf.jpeg(soft_photo)}, resources=resources)
    look = look_at(pdf.save(), target_ppi=150)
    assert look.page.kind is PageKind.RENDERED
    assert look.page.ppi.x == 300
    assert Note.RENDERED_WITH_FAULTS not in look.notes
    agree(look.raster.pixels, by_pdfium(pdf.path, look.raster.pixels))


def test_pictures_in_forms_are_found(pdf: PdfBuilder, soft_photo: Image.Image, look_at: AnyLook) -> None:
    jpeg = pdf.jpeg(soft_photo)
    inner = pdf.form(
        place("P", 1, 0, 0, 1, 0, 0), Dictionary(XObject=Dictionary(P=jpeg)), BBox=Array([0, 0, 1, 1])
    )
    outer = pdf.form(
        "q 72 0 0 96 0 0 cm /In Do Q",
        Dictionary(XObject=Dictionary(In=inner)),
        Matrix=Array([0.5, 0, 0, 0.5, 20, 30]),
    )
    pdf.page(
        "q 1.5 0 0 1.5 10 10 cm /Out Do\n" + place("P", 36, 0, 0, 48, 200, 200) + "Q",
        {"Out": outer, "P": jpeg},
    )
    look = look_at(pdf.save(), target_ppi=150)
    assert look.page.kind is PageKind.PLACED
    assert len(placed_pictures(pdf.path, look.page)) == 2
    agree(look.raster.pixels, by_pdfium(pdf.path, look.raster.pixels))


def test_a_form_that_clips_its_picture_is_rendered(
    pdf: PdfBuilder, photo: Image.Image, look_at: AnyLook
) -> None:
    form = pdf.form(
        place("P", 72, 0, 0, 96, 0, 0),
        Dictionary(XObject=Dictionary(P=pdf.jpeg(photo))),
        BBox=Array([0, 0, 40, 96]),
    )
    pdf.page("/F Do", {"F": form})
    assert look_at(pdf.save(), target_ppi=150).page.kind is PageKind.RENDERED


def test_a_form_in_itself_ends_in_rendering(pdf: PdfBuilder, look_at: AnyLook) -> None:
    form = pdf.form("/F Do", Dictionary())
    form.Resources.XObject = Dictionary(F=form)
    pdf.page("/F Do", {"F": form})
    assert look_at(pdf.save(), target_ppi=150).page.kind is PageKind.RENDERED


def test_a_note_on_the_page_makes_it_rendered_and_a_link_does_not(
    pdf: PdfBuilder, photo: Image.Image, look_at: AnyLook
) -> None:
    for subtype in (Name.Link, Name.Square):
        note = Dictionary(Type=Name.Annot, Subtype=subtype, Rect=Array([0, 0, 50, 50]))
        pdf.page(place("P", 72, 0, 0, 96, 0, 0), {"P": pdf.jpeg(photo)}, Annots=Array([note]))
    path = pdf.save()
    kinds = [look_at(path, frame, 150).page.kind for frame in range(2)]
    assert kinds == [PageKind.PLACED, PageKind.RENDERED]


def test_pictures_off_the_page_do_not_count(pdf: PdfBuilder, photo: Image.Image, look_at: AnyLook) -> None:
    content = place("P", 72, 0, 0, 96, 0, 0) + place("P", 7, 0, 0, 9, 900, 0)
    pdf.page(content, {"P": pdf.jpeg(photo)})
    look = look_at(pdf.save(), target_ppi=150)
    assert look.page.ppi.x == 300
    assert len(placed_pictures(pdf.path, look.page)) == 1


# ---------------------------------------------------------------- kinds of pictures


def small(mode: str) -> Image.Image:
    """100 x 75 px of colours that no two neighbours share."""
    rng = np.random.default_rng(11)
    count = {"L": 1, "RGB": 3, "CMYK": 4}[mode]
    content = rng.integers(0, 256, (75, 100, count), np.uint8).tobytes()
    return Image.frombytes(mode, (100, 75), content)


def taken_out(pdf: PdfBuilder, picture: pikepdf.Object, look_at: AnyLook) -> tuple[Look, np.ndarray]:
    """A page of one picture at 300 per inch, and that picture's pixels."""
    pdf.page(place("P", 24, 0, 0, 18, 0, 0), {"P": picture}, (0, 0, 24, 18))
    look = look_at(pdf.save())
    assert look.page.kind is PageKind.PLACED
    assert look.page.size_px == (100, 75)
    (placed,) = placed_pictures(pdf.path, look.page)
    return look, placed.read(PixelBox(0, 0, 100, 75))


@pytest.mark.parametrize("mode", ["L", "RGB", "CMYK"])
def test_lossless_pictures_are_taken_out_to_the_level(pdf: PdfBuilder, look_at: AnyLook, mode: str) -> None:
    picture = small(mode)
    look, pixels = taken_out(pdf, pdf.flate(picture), look_at)
    assert np.array_equal(pixels, np.asarray(picture).reshape(75, 100, -1))
    assert (Note.CMYK_WITHOUT_PROFILE in look.notes) == (mode == "CMYK")
    if mode != "CMYK":
        assert np.array_equal(look.raster.pixels, np.asarray(picture.convert("RGB")))


@pytest.mark.parametrize("bits", [1, 2, 4, 8])
@pytest.mark.parametrize("palette", [False, True])
def test_few_bits_and_palettes_are_unpacked(
    pdf: PdfBuilder, look_at: AnyLook, bits: int, palette: bool
) -> None:
    rng = np.random.default_rng(bits)
    numbers = rng.integers(0, 2**bits, (75, 100), np.uint8)
    planes = (numbers[:, :, np.newaxis] >> np.arange(bits)[::-1]) & 1
    content = zlib.compress(np.packbits(planes.reshape(75, -1), axis=1).tobytes())
    colours = rng.integers(0, 256, (2**bits, 3), np.uint8)
    space = Array([Name.Indexed, Name.DeviceRGB, 2**bits - 1, pikepdf.String(colours.tobytes())])
    picture = pdf.image(
        small("L"),
        content,
        Filter=Name.FlateDecode,
        BitsPerComponent=bits,
        ColorSpace=space if palette else Name.DeviceGray,
    )
    look, pixels = taken_out(pdf, picture, look_at)
    grey = np.round(numbers * (255 / (2**bits - 1))).astype(np.uint8)[:, :, np.newaxis]
    assert np.array_equal(pixels, colours[numbers] if palette else grey)
    theirs = by_pdfium(pdf.path, look.raster.pixels)
    assert np.array_equal(look.raster.pixels, theirs)


def test_predictors_and_filters_one_in_another_are_undone(pdf: PdfBuilder, look_at: AnyLook) -> None:
    picture = small("RGB")
    rows = np.asarray(picture).reshape(75, -1)
    up = np.diff(rows.astype(int), axis=0, prepend=np.zeros((1, 300), int)).astype(np.uint8)
    lines = np.concatenate([np.full((75, 1), 2, np.uint8), up], axis=1)  # PNG's predictor "up"
    content = zlib.compress(lines.tobytes()).hex().encode() + b">"
    parms = Dictionary(Predictor=15, Colors=3, Columns=100, BitsPerComponent=8)
    stream = pdf.image(
        picture,
        content,
        Filter=Array([Name.ASCIIHexDecode, Name.FlateDecode]),
        DecodeParms=Array([None, parms]),
    )
    _, pixels = taken_out(pdf, stream, look_at)
    assert np.array_equal(pixels, np.asarray(picture))


def test_reportlabs_ascii_85_jpeg_is_taken_out_whole(
    tmp_path: Path, photo: Image.Image, look_at: AnyLook
) -> None:
    photo.save(tmp_path / "p.jpg", quality=90)
    canvas = Canvas(str(tmp_path / "p.pdf"), pagesize=(72, 96))
    canvas.drawImage(str(tmp_path / "p.jpg"), 0, 0, 72, 96)
    canvas.save()
    with pikepdf.open(tmp_path / "p.pdf") as check:
        (stream,) = check.pages[0].Resources.XObject.values()
        assert list(stream.Filter) == ["/ASCII85Decode", "/DCTDecode"]
    look = look_at(tmp_path / "p.pdf")
    (placed,) = placed_pictures(tmp_path / "p.pdf", look.page)
    assert placed.jpeg == (tmp_path / "p.jpg").read_bytes()


def test_a_profile_in_the_pdf_is_kept_and_followed(
    pdf: PdfBuilder, photo: Image.Image, look_at: AnyLook
) -> None:
    from kitprep.files.kit.png_colour import profile_of_png

    icc = profile_of_png(1 / 2.2, (0.3127, 0.3290, 0.64, 0.33, 0.21, 0.71, 0.15, 0.06), grey=False)
    assert icc is not None
    profile = pdf.document.make_stream(icc)
    profile.N = 3
    jpeg = pdf.jpeg(photo, ColorSpace=Array([Name.ICCBased, profile]))
    raw = jpeg.read_raw_bytes()
    pdf.page(place("P", 72, 0, 0, 96, 0, 0), {"P": jpeg}, (0, 0, 72, 96))
    look = look_at(pdf.save())
    (placed,) = placed_pictures(pdf.path, look.page)
    assert placed.icc == icc
    transform = ImageCms.buildTransform(
        ImageCms.ImageCmsProfile(io.BytesIO(icc)),
        ImageCms.createProfile("sRGB"),
        "RGB",
        "RGB",
        ImageCms.Intent.RELATIVE_COLORIMETRIC,
        ImageCms.Flags.BLACKPOINTCOMPENSATION,
    )
    with Image.open(io.BytesIO(raw)) as alone:
        assert np.array_equal(look.raster.pixels, np.asarray(ImageCms.applyTransform(alone, transform)))


@pytest.mark.parametrize("decode", [None, [1, 0] * 4, [0, 1] * 4])
@pytest.mark.parametrize("marked", [True, False])
def test_cmyk_jpegs_follow_the_pdfs_decode_and_not_the_marker(
    pdf: PdfBuilder, smooth: Image.Image, look_at: AnyLook, decode: list[int] | None, marked: bool
) -> None:
    """ISO 32000-1, 8.9.5.2; PDFium judges which way round the ink is."""
    inks = Image.merge(
        "CMYK", [*(ImageChops.invert(band) for band in smooth.split()), Image.new("L", smooth.size, 30)]
    )
    # Pillow stores the inverse of what it is given.
    stored_inverse = decode == [1, 0] * 4
    buffer = io.BytesIO()
    (inks if stored_inverse else ImageChops.invert(inks)).save(buffer, "JPEG", quality=97)
    content = buffer.getvalue()
    if not marked:
        start = content.index(b"\xff\xee")
        content = content[:start] + content[start + 2 + int.from_bytes(content[start + 2 : start + 4]) :]
    keys = {} if decode is None else {"Decode": Array(decode)}
    picture = pdf.image(inks, content, Filter=Name.DCTDecode, **keys)
    pdf.page(place("P", 48, 0, 0, 28.8, 0, 0), {"P": picture}, (0, 0, 48, 28.8))
    look = look_at(pdf.save())
    assert look.page.kind is PageKind.PLACED
    (placed,) = placed_pictures(pdf.path, look.page)
    assert (placed.inverted, placed.jpeg) == (stored_inverse, content)
    stored = placed.read(PixelBox(0, 0, *smooth.size)).astype(int)
    wanted = np.asarray(ImageChops.invert(inks) if stored_inverse else inks)
    assert np.abs(stored - wanted).max() <= 8
    theirs = by_pdfium(pdf.path, look.raster.pixels)
    assert (
        np.abs(look.raster.pixels.astype(int) - theirs).mean() < 35
    )  # inks without a profile: about the same
    assert np.corrcoef(look.raster.pixels.ravel(), theirs.ravel())[0, 1] > 0.9


SRGB = {  # as CalRGB: IEC 61966-2-1's primaries and white, its curve as a plain power
    "/WhitePoint": Array([0.9505, 1, 1.089]),
    "/Gamma": Array([2.2, 2.2, 2.2]),
    "/Matrix": Array([0.4124, 0.2126, 0.0193, 0.3576, 0.7152, 0.1192, 0.1805, 0.0722, 0.9505]),
}
ODD_PICTURES = {
    "a soft mask": {"SMask": "mask"},
    "a stencil mask": {"Mask": "stencil"},
    "a colour that is see-through": {"Mask": Array([250, 255] * 3)},
    "remapped levels": {"Decode": Array([1, 0] * 3)},
    "sixteen bits": {"BitsPerComponent": 16},
    "colours by spectral name": {"ColorSpace": "separation"},
    "a calibrated space": {"ColorSpace": Array([Name.CalRGB, Dictionary(SRGB)])},
    "a layer": {"OC": Dictionary(Type=Name.OCG, Name="Layer")},
}


@pytest.mark.parametrize("name", ODD_PICTURES)
def test_a_page_with_an_odd_picture_is_rendered(
    pdf: PdfBuilder, soft_photo: Image.Image, look_at: AnyLook, name: str
) -> None:
    keys = dict(ODD_PICTURES[name])
    content = np.asarray(soft_photo)
    if keys.get("SMask") == "mask":
        keys["SMask"] = pdf.flate(Image.linear_gradient("L").resize(soft_photo.size))
    if keys.get("Mask") == "stencil":
        stencil = pdf.image(soft_photo, zlib.compress(bytes(38 * 400)), ImageMask=True, BitsPerComponent=1)
        stencil.Filter = Name.FlateDecode
        del stencil["/ColorSpace"]
        keys["Mask"] = stencil
    if keys.get("ColorSpace") == "separation":
        tint = Dictionary(FunctionType=2, Domain=Array([0, 1]), C0=Array([1, 1, 1]), C1=Array([0, 0, 1]), N=1)
        keys["ColorSpace"] = Array([Name.Separation, Name.Moth, Name.DeviceRGB, tint])
        content = content[:, :, :1]
    if keys.get("BitsPerComponent") == 16:
        content = (content.astype(np.uint16) * 257).byteswap()
    if "OC" in keys:
        keys["OC"] = pdf.document.make_indirect(keys["OC"])
    picture = pdf.image(soft_photo, zlib.compress(content.tobytes()), Filter=Name.FlateDecode, **keys)
    pdf.page(place("P", 72, 0, 0, 96, 20, 20), {"P": picture}, (0, 0, 120, 140))
    look = look_at(pdf.save(), target_ppi=300)
    assert look.page.kind is PageKind.RENDERED
    agree(look.raster.pixels, by_pdfium(pdf.path, look.raster.pixels))


def test_a_jpeg_that_is_not_what_the_pdf_says_is_rendered(
    pdf: PdfBuilder, photo: Image.Image, look_at: AnyLook
) -> None:
    pdf.page(place("P", 72, 0, 0, 96, 0, 0), {"P": pdf.jpeg(photo, Width=150, Height=200)})
    pdf.page(place("P", 72, 0, 0, 96, 0, 0), {"P": pdf.jpeg(photo, ColorSpace=Name.DeviceGray)})
    path = pdf.save()
    assert [look_at(path, frame, 150).page.kind for frame in range(2)] == [PageKind.RENDERED] * 2


def test_a_space_that_the_page_redefines_is_rendered(
    pdf: PdfBuilder, photo: Image.Image, look_at: AnyLook
) -> None:
    calibrated = Array([Name.CalRGB, Dictionary(WhitePoint=Array([0.95, 1, 1.09]), Gamma=Array([1, 1, 1]))])
    spaces = {"ColorSpace": Dictionary(DefaultRGB=calibrated)}
    pdf.page(place("P", 72, 0, 0, 96, 0, 0), {"P": pdf.jpeg(photo)}, resources=spaces)
    assert look_at(pdf.save(), target_ppi=150).page.kind is PageKind.RENDERED


# -------------------------------------------------------------------- known boxes


def test_pictures_that_stand_apart_are_known_exactly(
    pdf: PdfBuilder, photo: Image.Image, look_at: AnyLook
) -> None:
    jpeg = pdf.jpeg(photo)
    ground = pdf.flate(Image.new("RGB", (85, 110), "linen"))
    content = (
        place("G", 612, 0, 0, 792, 0, 0)
        + place("P", 72, 0, 0, 96, 36, 600)
        + place("P", 0, 72, -96, 0, 400, 100)
    )
    pdf.page(content, {"P": jpeg, "G": ground})
    look = look_at(pdf.save(), target_ppi=150)
    assert look.known_boxes == (
        KnownBox(PixelBox(150, 400, 450, 800)),
        KnownBox(PixelBox(1267, 2583, 1667, 2883)),
    )
    for box in (known.box for known in look.known_boxes):
        region = read_region(pdf.path, look.page, box.grown(2))
        ground_colour = np.array([250, 240, 230])
        assert (region[[0, -1]] == ground_colour).all()
        assert (region[3:-3, 3:-3] != ground_colour).any(axis=2).mean() > 0.9


@pytest.mark.parametrize(
    "second", [(72, 0, 0, 96, 80, 600), (72, 0, 0, 96, 108, 600), (70, 10, -10, 90, 300, 300)]
)
def test_pictures_that_overlap_meet_or_lean_are_not(
    pdf: PdfBuilder, photo: Image.Image, look_at: AnyLook, second: tuple[float, ...]
) -> None:
    content = place("P", 72, 0, 0, 96, 36, 600) + place("P", *second)
    pdf.page(content, {"P": pdf.jpeg(photo)})
    assert look_at(pdf.save(), target_ppi=150).known_boxes == ()


def test_pictures_apart_are_known_beside_some_that_meet(
    pdf: PdfBuilder, photo: Image.Image, look_at: AnyLook
) -> None:
    places = ((36, 600), (200, 600), (300, 300), (372, 300))
    pdf.page("".join(place("P", 72, 0, 0, 96, *at) for at in places), {"P": pdf.jpeg(photo)})
    known = look_at(pdf.save(), target_ppi=150).known_boxes
    assert [one.box for one in known] == [PixelBox(150, 400, 450, 800), PixelBox(833, 400, 1133, 800)]


# -------------------------------------------------------------- rendered pages


@pytest.fixture
def drawn(tmp_path: Path) -> Path:
    """Two pages with drawings and words: the second A4."""
    canvas = Canvas(str(tmp_path / "drawn.pdf"), pagesize=(612, 792))
    for size in ((612, 792), (595.276, 841.89)):
        canvas.setPageSize(size)
        canvas.setFillColorRGB(0.7, 0.2, 0.1)
        canvas.circle(200, 300, 80, fill=1)
        canvas.setFont("Times-Roman", 40)
        canvas.drawString(100, 600, "night harvest")
        canvas.showPage()
    canvas.save()
    return tmp_path / "drawn.pdf"


def test_a_page_without_pictures_is_rendered_at_300(drawn: Path, look_at: AnyLook) -> None:
    letter, a4 = look_at(drawn, 0, 150), look_at(drawn, 1, 150)
    assert (letter.page.size_px, letter.page.ppi.x) == ((2550, 3300), 300)
    assert a4.page.size_px == (2480, 3508)
    assert letter.raster.pixels.shape == (1650, 1275, 3)
    assert letter.notes == a4.notes == ()
    agree(letter.raster.pixels, by_pdfium(drawn, letter.raster.pixels))
    agree(a4.raster.pixels, by_pdfium(drawn, a4.raster.pixels, 1))


def test_regions_of_a_rendered_page_are_those_of_the_whole(drawn: Path, look_at: AnyLook) -> None:
    page = look_at(drawn, target_ppi=150).page
    whole = read_region(drawn, page, page.box)
    assert whole.shape == (3300, 2550, 3)
    boxes = [PixelBox(400, 700, 900, 1000), PixelBox(0, 0, 1, 1), PixelBox(2549, 3299, 2550, 3300)]
    for box, region in zip(boxes, read_regions(drawn, page, boxes), strict=True):
        apart = np.abs(region.astype(int) - whole[box.top : box.bottom, box.left : box.right])
        assert apart.max() <= 2
    (placed,) = placed_pictures(drawn, page)
    assert (placed.size_px, placed.mode, placed.jpeg) == ((2550, 3300), "RGB", None)
    assert np.array_equal(placed.read(boxes[0]), read_region(drawn, page, boxes[0]))


def test_a_rendered_page_has_the_resolution_of_its_finest_picture(
    pdf: PdfBuilder, photo: Image.Image, look_at: AnyLook
) -> None:
    jpeg = pdf.jpeg(photo)
    for ppi in (450.0, 2000.0):
        content = "0 g 0 0 9 9 re f\n" + place("P", 300 * 72 / ppi, 0, 0, 400 * 72 / ppi, 20, 20)
        pdf.page(content, {"P": jpeg}, (0, 0, 144, 144))
    path = pdf.save()
    assert [look_at(path, frame, 150).page.ppi.x for frame in range(2)] == [pytest.approx(450, rel=1e-3), 600]


def test_rasters_and_regions_read_later_are_those_of_the_look(
    pdf: PdfBuilder, photo: Image.Image, look_at: AnyLook
) -> None:
    content = place("P", 72, 0, 0, 96, 36.3, 600.1) + place("P", 60, 20, -20, 90, 300, 300)
    pdf.page(content, {"P": pdf.jpeg(photo)})
    pdf.page("0 0.3 0 rg 0 0 50 50 re f\n" + content, {"P": pdf.jpeg(photo)})
    path = pdf.save()
    for frame in range(2):
        look = look_at(path, frame, 150)
        assert np.array_equal(read_raster(path, look.page, 150).pixels, look.raster.pixels)
        whole = read_region(path, look.page, look.page.box)
        boxes = [PixelBox(151, 402, 460, 790), PixelBox(1000, 1500, 1700, 2100), PixelBox(2000, 0, 2100, 50)]
        for box, region in zip(boxes, read_regions(path, look.page, boxes), strict=True):
            alone = read_region(path, look.page, box)
            crop = whole[box.top : box.bottom, box.left : box.right].astype(int)
            assert np.abs(alone - crop).max() <= 2
            assert np.abs(region - crop).max() <= 2


# ----------------------------------------------------------------------- bad PDFs


def test_a_page_over_200_inches_is_refused_by_name(pdf: PdfBuilder, look_at: AnyLook) -> None:
    pdf.page("", box=(0, 0, 100, 100))
    pdf.page("", box=(0, 0, 14_500, 100))
    pdf.page("", box=(0, 0, 100, 7300), UserUnit=2)
    path = pdf.save()
    assert look_at(path, 0, 150).page.size_px == (417, 417)
    with pytest.raises(PageTooLarge, match=r"page 2 of pages\.pdf is 201.4 in wide"):
        look_at(path, 1, 150)
    with pytest.raises(PageTooLarge, match=r"page 3 of pages\.pdf is 202.8 in"):
        look_at(path, 2, 150)


def test_a_page_whose_grid_is_over_250_megapixels_is_refused(pdf: PdfBuilder, look_at: AnyLook) -> None:
    pdf.page("", box=(0, 0, 6000, 6000))
    with pytest.raises(PictureTooLarge, match="25000 x 25000"):
        look_at(pdf.save(), target_ppi=150)


def test_a_page_without_a_size_is_damaged(pdf: PdfBuilder, look_at: AnyLook) -> None:
    pdf.page("", box=(0, 0, 0, 100))
    with pytest.raises(DamagedPdf, match="page 1 has no size"):
        look_at(pdf.save(), target_ppi=150)


def test_a_placed_jpeg_that_is_cut_short_is_damaged(
    pdf: PdfBuilder, photo: Image.Image, look_at: AnyLook
) -> None:
    jpeg = pdf.jpeg(photo)
    jpeg.write(jpeg.read_raw_bytes()[:5000], filter=Name.DCTDecode)
    pdf.page(place("P", 72, 0, 0, 96, 0, 0), {"P": jpeg})
    with pytest.raises(DamagedPicture, match=r"pages\.pdf is damaged \(it is cut short\)"):
        look_at(pdf.save(), target_ppi=150)


@pytest.mark.parametrize(
    "content", [zlib.compress(bytes(1000)), zlib.compress(bytes(360_000))[:200], b"no zlib"]
)
def test_a_placed_lossless_picture_that_is_cut_short_is_damaged(
    pdf: PdfBuilder, photo: Image.Image, look_at: AnyLook, content: bytes
) -> None:
    pdf.page(place("P", 72, 0, 0, 96, 0, 0), {"P": pdf.image(photo, content, Filter=Name.FlateDecode)})
    with pytest.raises(DamagedPicture, match=r"pages\.pdf is damaged"):
        look_at(pdf.save(), target_ppi=150)


def test_what_is_missing_from_a_pdf_is_said_and_nothing_is_printed(
    pdf: PdfBuilder, photo: Image.Image
) -> None:
    """In a process of its own: MuPDF keeps the terminal that it found when it was loaded."""
    jpeg = pdf.jpeg(photo)
    jpeg.write(jpeg.read_raw_bytes()[:5000], filter=Name.DCTDecode)
    pdf.page("/Missing Do\n" + place("P", 72, 0, 0, 96, 0, 0), {"P": jpeg})
    program = """
        import sys
        from pathlib import Path
        from kitprep.files.kit import Note, Original, find_pages
        look = find_pages([Original("p.pdf", Path(sys.argv[1]), "", 0)]).pages[0].look(1, 150)
        assert look.page.kind.name == "RENDERED"
        assert Note.RENDERED_WITH_FAULTS in look.notes
    """
    command = [sys.executable, "-c", textwrap.dedent(program), str(pdf.save())]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


def test_a_pdf_cut_short_is_mended_or_refused_but_never_silent(
    tmp_path: Path, drawn: Path, original: Callable[[Path], Original]
) -> None:
    whole = drawn.read_bytes()
    for share in (0.1, 0.4, 0.7, 0.95):
        path = tmp_path / "cut.pdf"
        path.write_bytes(whole[: int(len(whole) * share)])
        found = find_pages([original(path)])
        assert found.pages or [type(fault) for fault in found.problems] == [DamagedPdf]


def test_a_locked_pdf_is_read_with_its_password_later_too(
    pdf: PdfBuilder, soft_photo: Image.Image, look_at: AnyLook
) -> None:
    content = place("P", 72, 0, 0, 96, 0, 0)
    pdf.page(content, {"P": pdf.jpeg(soft_photo)}, (0, 0, 72, 96))
    pdf.page("0.9 g 0 0 9 9 re f\n" + content, {"P": pdf.jpeg(soft_photo)}, (0, 0, 72, 96))
    path = pdf.save(encryption=pikepdf.Encryption(user="moth", owner="moth"))
    for frame, kind in enumerate((PageKind.PLACED, PageKind.RENDERED)):
        look = look_at(path, frame, 300, password="moth")
        assert look.page.kind is kind
        agree(look.raster.pixels, by_pdfium(path, look.raster.pixels, frame, "moth"))
        box = PixelBox(10, 10, 50, 50)
        assert (
            np.abs(
                read_region(path, look.page, box, "moth").astype(int) - look.raster.pixels[10:50, 10:50]
            ).max()
            <= 2
        )
        assert len(placed_pictures(path, look.page, "moth")) == 1
        assert placed_pictures(path, look.page, "moth")[0].read(box).shape == (40, 40, 3)
        with pytest.raises(LockedFile):
            read_region(path, look.page, box)


def test_pdf_pages_can_be_looked_at_in_several_threads(
    pdf: PdfBuilder, photo: Image.Image, original: Callable[[Path], Original]
) -> None:
    from concurrent.futures import ThreadPoolExecutor

    for number in range(6):
        drawing = "0 0.4 0 rg 0 0 50 50 re f\n" if number % 2 else ""
        pdf.page(drawing + place("P", 72, 0, 0, 96, 20 * number, 300), {"P": pdf.jpeg(photo)})
    sources = find_pages([original(pdf.save())]).pages
    alone = [source.look(1, 150).raster.pixels for source in sources]
    with ThreadPoolExecutor(4) as pool:
        together = list(pool.map(lambda source: source.look(1, 150).raster.pixels, sources * 2))
    assert all(np.array_equal(first, second) for first, second in zip(alone * 2, together, strict=True))


def test_a_fault_of_ours_while_a_page_is_open_is_not_told_as_damage(drawn: Path) -> None:
    from kitprep.files.kit.pdf_render import rendering

    with pytest.raises(RuntimeError, match="ours"), rendering(drawn, "p.pdf", 0, None):
        raise RuntimeError("ours")


def test_previews_and_pages_are_drawn_by_mupdf_one_at_a_time(tmp_path: Path, drawn: Path) -> None:
    import threading

    from kitprep.files.kit.pdf_render import rendering
    from kitprep.files.pdf.preview import write_preview

    preview = tmp_path / "preview.png"
    other = threading.Thread(target=write_preview, args=([drawn], preview))
    with rendering(drawn, "p.pdf", 0, None):
        other.start()
        other.join(1)
        assert other.is_alive()
        assert not preview.exists()
    other.join(30)
    assert preview.exists()
