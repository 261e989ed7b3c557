"""Pages among the originals."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from pathlib import Path

import pikepdf
import pytest
from PIL import Image

from kitprep.errors import (
    CannotRead,
    DamagedPdf,
    DamagedPicture,
    EmptyFile,
    LockedFile,
    NotAPicture,
    PictureTooLarge,
    UnsupportedPicture,
    ZipInsideZip,
)
from kitprep.files.kit import FoundPages, Original, PageOptions, find_pages, unpack
from kitprep.files.kit.sniffing import FileKind, kind_of

AnyOriginal = Callable[[Path], Original]


def saved(kind: str) -> bytes:
    buffer = io.BytesIO()
    Image.new("RGB", (60, 40), "orchid").save(buffer, kind)
    return buffer.getvalue()


def pdf_of(pages: int, **options: object) -> bytes:
    buffer = io.BytesIO()
    with pikepdf.new() as document:
        for _ in range(pages):
            document.add_blank_page(page_size=(200, 300))
        document.save(buffer, **options)
    return buffer.getvalue()


@pytest.fixture
def found_in(tmp_path: Path, original: AnyOriginal) -> Callable[..., FoundPages]:
    def find(files: dict[str, bytes], **options: object) -> FoundPages:
        for name, content in files.items():
            (tmp_path / name).write_bytes(content)
        return find_pages([original(tmp_path / name) for name in files], PageOptions(**options))  # type: ignore[arg-type]

    return find


def test_pages_come_in_natural_order_of_their_names(found_in: Callable[..., FoundPages]) -> None:
    files = {"page 10.jpg": saved("JPEG"), "page 2.pdf": pdf_of(2), "Page 1.png": saved("PNG")}
    pages = [(page.file, page.frame) for page in found_in(files).pages]
    assert pages == [("Page 1.png", 0), ("page 2.pdf", 0), ("page 2.pdf", 1), ("page 10.jpg", 0)]


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("p.png", saved("JPEG")),
        ("p.jpg", saved("PNG")),
        ("p.pdf", saved("TIFF")),
        ("p", saved("WEBP")),
        ("p.txt", saved("JPEG")),
        ("p.jpg", pdf_of(1)),
        ("p.pdf", b"\r\n\r\n" + pdf_of(1)),
    ],
)
def test_a_page_is_known_by_its_content_whatever_its_name(
    found_in: Callable[..., FoundPages], name: str, content: bytes
) -> None:
    found = found_in({name: content})
    assert (len(found.pages), found.problems) == (1, ())
    assert found.pages[0].look(1, 300).page.file == name


def test_texts_and_files_of_other_programs_are_neither_pages_nor_problems(
    found_in: Callable[..., FoundPages],
) -> None:
    files = {
        "Read me.txt": b"Thank you!",
        "empty.txt": b"",
        "font.ttf": b"\0\1\0\0font",
        "tag.svg": b"<svg/>",
        "notes.docx": b"PK\3\4words",
        "mentions.txt": b"The header of a PDF is %PDF-1.7",
    }
    assert found_in(files) == FoundPages((), ())


@pytest.mark.parametrize(
    ("name", "content", "problem"),
    [
        ("p.jpg", b"", EmptyFile),
        ("p.pdf", b"", EmptyFile),
        ("p.JPEG", b"Thank you for buying this kit!", NotAPicture),
        ("p.tif", bytes(1000), NotAPicture),
        ("p.jpg", saved("GIF"), UnsupportedPicture),
        ("p.gif", saved("GIF"), UnsupportedPicture),
        ("p.bmp", saved("BMP"), UnsupportedPicture),
        ("p.heic", b"\0\0\0\x18ftypheic" + bytes(20), UnsupportedPicture),
        ("p.jp2", b"\0\0\0\x0cjP  \r\n\x87\n", UnsupportedPicture),
        ("p.jpg", saved("JPEG")[:30], DamagedPicture),
        ("p.png", saved("PNG")[:20], DamagedPicture),
        ("p.tif", saved("TIFF")[:6], DamagedPicture),
        ("p.webp", saved("WEBP")[:40], DamagedPicture),
        ("p.pdf", b"%PDF-1.7\nnothing else", DamagedPdf),
        ("p.pdf", pdf_of(0), DamagedPdf),
        ("more.zip", b"PK\3\4", ZipInsideZip),
    ],
)
def test_what_looks_like_a_page_and_cannot_be_used_is_a_problem_by_name(
    found_in: Callable[..., FoundPages], name: str, content: bytes, problem: type[Exception]
) -> None:
    found = found_in({name: content, "good.png": saved("PNG")})
    assert [page.file for page in found.pages] == ["good.png"]
    assert [type(fault) for fault in found.problems] == [problem]
    assert name in str(found.problems[0])


def test_a_picture_too_large_is_a_problem_before_it_is_decoded(found_in: Callable[..., FoundPages]) -> None:
    buffer = io.BytesIO()
    Image.new("1", (26_000, 10_000)).save(buffer, "TIFF", compression="group4")
    (problem,) = found_in({"p.tif": buffer.getvalue()}).problems
    assert isinstance(problem, PictureTooLarge)
    assert "250 megapixels" in str(problem)


@pytest.mark.parametrize(("password", "opens"), [(None, False), ("wrong", False), ("moth", True)])
def test_a_locked_pdf_needs_its_password(
    found_in: Callable[..., FoundPages], password: str | None, opens: bool
) -> None:
    locked = pdf_of(1, encryption=pikepdf.Encryption(user="moth", owner="keeper"))
    found = found_in({"p.pdf": locked}, password=password)
    assert len(found.pages) == opens
    if not opens:
        (problem,) = found.problems
        assert isinstance(problem, LockedFile)
        assert "--password" in problem.next_step
    else:
        assert found.pages[0].look(1, 150).raster.pixels.min() == 255
        assert "moth" not in repr(found)


def test_a_pdf_that_only_its_owner_may_change_needs_no_password(found_in: Callable[..., FoundPages]) -> None:
    locked = pdf_of(1, encryption=pikepdf.Encryption(user="", owner="keeper"))
    assert len(found_in({"p.pdf": locked}).pages) == 1


def test_an_original_that_is_gone_is_a_problem(tmp_path: Path) -> None:
    found = find_pages([Original("p.jpg", tmp_path / "p.jpg", "", 0)])
    assert [type(fault) for fault in found.problems] == [CannotRead]


def test_a_kit_is_found_in_a_zip(tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "lantern-orchard.zip", "w") as archive:
        archive.writestr("pages/p2.png", saved("PNG"))
        archive.writestr("pages/p1.jpg", saved("JPEG"))
        archive.writestr("__MACOSX/pages/._p1.jpg", b"junk")
    (tmp_path / "into").mkdir()
    unpacked = unpack([tmp_path / "lantern-orchard.zip"], tmp_path / "into")
    found = find_pages(unpacked.originals)
    assert [page.file for page in found.pages] == ["pages/p1.jpg", "pages/p2.png"]
    assert found.problems == ()


@pytest.mark.parametrize(
    ("head", "kind"),
    [
        (b"MM\0*", FileKind.TIFF),
        (b"II+\0", FileKind.TIFF),
        (b"RIFF\0\0\0\0WAVE", FileKind.OTHER),
        (b"BM", FileKind.OTHER),
        (b"PK\5\6", FileKind.ZIP),
    ],
)
def test_first_bytes_tell_the_kind(head: bytes, kind: FileKind) -> None:
    assert kind_of(head) is kind
