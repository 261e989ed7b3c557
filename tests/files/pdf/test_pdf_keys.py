"""What a written PDF says of itself, by ISO 32000-1."""

from __future__ import annotations

from pathlib import Path

import pikepdf
import pymupdf
import pytest
from drawn_sheets import two_by_two

from kitprep.errors import MissingFile, OutputExists
from kitprep.files.pdf import write_guide, write_page_preview, write_preview, write_sheets
from kitprep.lengths import ZERO, inches
from kitprep.papers import A4, LETTER
from kitprep.sheet import PRINT_WORDS


@pytest.fixture
def written(tmp_path) -> Path:
    pdf = tmp_path / "sheet.pdf"
    sheets = [two_by_two(paper, ZERO, trimmer=True) for paper in (LETTER, A4, LETTER.landscape)]
    write_sheets(sheets, lambda _: (), pdf, title="Harvest supper card", credit="Quillmoss Paper Room")
    return pdf


def test_the_print_dialog_starts_at_true_size_and_with_the_right_paper(written):
    """ISO 32000-1, table 150."""
    with pikepdf.open(written) as pdf:
        preferences = pdf.Root.ViewerPreferences
        assert preferences.PrintScaling == pikepdf.Name("/None")
        assert preferences.PickTrayByPDFSize is True


def test_every_page_is_its_paper_to_a_millionth_of_a_point(written):
    """ISO 32000-1, 14.11.2: trim and bleed box lie within the media box; the sheet is the page."""
    sizes = ((612, 792), (210 / 25.4 * 72, 297 / 25.4 * 72), (792, 612))
    with pikepdf.open(written) as pdf:
        for page, (width, height) in zip(pdf.pages, sizes, strict=True):
            for key in ("/MediaBox", "/CropBox", "/TrimBox", "/BleedBox"):
                box = [float(value) for value in page.obj[key]]
                assert box == pytest.approx([0, 0, width, height], abs=1e-6)
            assert "/Rotate" not in page.obj or page.obj.Rotate == 0


def test_title_and_makers_stand_in_the_document_information(written):
    with pikepdf.open(written) as pdf:
        assert str(pdf.docinfo["/Title"]) == "Harvest supper card"
        assert str(pdf.docinfo["/Author"]) == "Quillmoss Paper Room"
        assert not [key for key in pdf.docinfo if "Date" in str(key)]


def test_the_output_intent_is_srgb(written):
    """ISO 32000-1, 14.11.5."""
    with pikepdf.open(written) as pdf:
        (intent,) = pdf.Root.OutputIntents
        profile = intent.DestOutputProfile
        assert intent.Type == pikepdf.Name("/OutputIntent")
        assert str(intent.OutputConditionIdentifier).startswith("sRGB")
        assert int(profile.N) == 3
        content = profile.read_bytes()
    assert content[36:40] == b"acsp"  # ICC.1:2010, 7.2.11
    assert [int.from_bytes(content[at : at + 2]) for at in (24, 26, 28)] == [2000, 1, 1]  # 7.2.8


def test_every_font_is_embedded_as_a_subset(written):
    with pymupdf.open(written) as document:
        fonts = {font[3]: font[1] for page in document for font in page.get_fonts()}
    assert fonts
    assert all(
        "+AlegreyaSans" in name and ending == "ttf" for name, ending in fonts.items() if name != "Helvetica"
    )


def test_nothing_in_the_file_is_written_as_ascii85(written):
    with pikepdf.open(written) as pdf:
        streams = [thing for thing in pdf.objects if isinstance(thing, pikepdf.Stream)]
        assert streams
        assert not any("ASCII85" in str(stream.get("/Filter")) for stream in streams)


def test_qpdf_and_mupdf_find_nothing_wrong(written):
    with pikepdf.open(written) as pdf:
        assert pdf.check_pdf_syntax() == []
    pymupdf.TOOLS.reset_mupdf_warnings()
    with pymupdf.open(written) as document:
        for page in document:
            page.get_pixmap(dpi=50)
        assert not document.is_repaired
    assert pymupdf.TOOLS.mupdf_warnings() == ""


def test_words_can_be_found_and_copied(written):
    with pymupdf.open(written) as document:
        words = document[0].get_text()
    assert PRINT_WORDS in words
    assert "25 mm" in words
    assert "picker's tag" in words
    assert "sheet 1 of 1" in words


def test_no_words_are_under_5_points(written):
    with pymupdf.open(written) as document:
        spans = [
            span
            for page in document
            for block in page.get_text("dict")["blocks"]
            for line in block.get("lines", ())
            for span in line["spans"]
        ]
    assert min(span["size"] for span in spans) >= 5


@pytest.mark.parametrize("write", ["sheets", "guide"])
def test_a_file_that_is_there_is_kept_unless_it_may_be_replaced(write, tmp_path):
    pdf = tmp_path / "sheet.pdf"
    pdf.write_bytes(b"mine")
    sheet = two_by_two(LETTER, ZERO, trimmer=True)

    def run(**options: bool) -> None:
        if write == "sheets":
            write_sheets([sheet], lambda _: (), pdf, **options)
        else:
            write_guide([sheet], pdf, **options)

    with pytest.raises(OutputExists):
        run()
    assert pdf.read_bytes() == b"mine"
    run(overwrite=True)
    assert pdf.read_bytes().startswith(b"%PDF")


def test_a_picture_that_cannot_be_read_leaves_nothing_behind(tmp_path):
    from drawn_sheets import crop

    from kitprep.lengths import Size

    art = crop(Size(inches(2), inches("1 1/2")), ZERO, 0, 0)
    sheet = two_by_two(LETTER, ZERO, trimmer=True, artwork=art)

    def fail(_: str) -> tuple[()]:
        raise MissingFile("page.jpg")

    with pytest.raises(MissingFile):
        write_sheets([sheet], fail, tmp_path / "sheet.pdf")
    assert list(tmp_path.iterdir()) == []


def test_previews_have_the_paper_s_pixels_and_say_their_resolution(written, tmp_path):
    from PIL import Image

    write_page_preview(written, tmp_path / "page.png", page=2, ppi=100)
    with Image.open(tmp_path / "page.png") as picture:
        assert picture.size == pytest.approx((827, 1170), abs=1)
        assert picture.info["dpi"] == pytest.approx((100, 100), abs=0.1)
    write_preview([written], tmp_path / "all.png", ppi=50)
    with Image.open(tmp_path / "all.png") as picture:
        assert picture.width > 3 * 50 * 8.5
        assert picture.height > 50 * 11


def test_a_preview_of_many_sheets_stays_under_40_megapixels(tmp_path):
    from PIL import Image

    pdf = tmp_path / "many.pdf"
    write_sheets([two_by_two(LETTER, ZERO, trimmer=False)] * 9, lambda _: (), pdf)
    write_preview([pdf], tmp_path / "many.png", ppi=300)
    with Image.open(tmp_path / "many.png") as picture:
        assert picture.width * picture.height < 41_000_000
