"""PDFs that unpack to far more than they are: refused or rendered, in little memory."""

from __future__ import annotations

import io
import subprocess
import sys
import textwrap
import zlib
from collections.abc import Callable
from pathlib import Path

import pikepdf
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pikepdf import Array, Dictionary, Name
from PIL import Image

from kitprep.errors import DamagedPdf, TooManyPages
from kitprep.files.kit import Original, find_pages
from kitprep.files.kit.limits import MAX_PAGES
from kitprep.files.kit.pdf_streams import UnpacksTooFar, unpacked

BOMB_BYTES = 600_000_000
MOST_GROWTH_BYTES = 200_000_000  # a third of the bomb: no copy of it fits


def deflated(fill: bytes, count: int) -> bytes:
    packer = zlib.compressobj(9)
    block = fill * (1_000_000 // len(fill))
    parts = [packer.compress(block) for _ in range(count // len(block))]
    return b"".join(parts) + packer.flush()


def pdf_with(path: Path, build: Callable[[pikepdf.Pdf, Dictionary], None]) -> Path:
    """A page of 1 x 1 in with a picture of one pixel, changed by `build`."""
    document = pikepdf.new()
    image = document.make_stream(b"\x80")
    image.stream_dict = Dictionary(
        Type=Name.XObject,
        Subtype=Name.Image,
        Width=1,
        Height=1,
        ColorSpace=Name.DeviceGray,
        BitsPerComponent=8,
    )
    page = Dictionary(Type=Name.Page, MediaBox=Array([0, 0, 72, 72]))
    page.Resources = Dictionary(XObject=Dictionary(P=image))
    page.Contents = document.make_stream(b"q 72 0 0 72 0 0 cm /P Do Q")
    build(document, page)
    document.pages.append(pikepdf.Page(document.make_indirect(page)))
    document.save(path)
    document.close()
    return path


def pixels_bomb(_: pikepdf.Pdf, page: Dictionary) -> None:
    page.Resources.XObject.P.write(deflated(b"\x80", BOMB_BYTES), filter=Name.FlateDecode)


def jpeg_bomb(_: pikepdf.Pdf, page: Dictionary) -> None:
    filters = Array([Name.FlateDecode, Name.DCTDecode])
    page.Resources.XObject.P.write(deflated(b"\x80", BOMB_BYTES), filter=filters)


def palette_bomb(document: pikepdf.Pdf, page: Dictionary) -> None:
    table = document.make_stream(b"")
    table.write(deflated(b"\x80", BOMB_BYTES), filter=Name.FlateDecode)
    page.Resources.XObject.P.ColorSpace = Array([Name.Indexed, Name.DeviceGray, 255, table])


def profile_bomb(document: pikepdf.Pdf, page: Dictionary) -> None:
    profile = document.make_stream(b"")
    profile.write(deflated(b"\x80", BOMB_BYTES), filter=Name.FlateDecode)
    profile.N = 1
    page.Resources.XObject.P.ColorSpace = Array([Name.ICCBased, profile])


def content_bomb(_: pikepdf.Pdf, page: Dictionary) -> None:
    page.Contents.write(deflated(b"q Q ", BOMB_BYTES), filter=Name.FlateDecode)


@pytest.mark.skipif(sys.platform == "win32", reason="the memory a process took is told by the system")
@pytest.mark.parametrize("bomb", [pixels_bomb, jpeg_bomb, palette_bomb, profile_bomb, content_bomb])
def test_a_pdf_bomb_takes_little_memory(
    tmp_path: Path, bomb: Callable[[pikepdf.Pdf, Dictionary], None]
) -> None:
    """In a process of its own, since a process's peak of memory never falls again."""
    path = pdf_with(tmp_path / "bomb.pdf", bomb)
    assert path.stat().st_size < 2_000_000
    program = """
        import resource, sys
        from pathlib import Path
        from kitprep.errors import UnusableFile
        from kitprep.files.kit import Original, find_pages
        def peak():
            return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * (1 if sys.platform == "darwin" else 1024)
        find_pages([Original("good.pdf", Path(sys.argv[1]), "", 0)]).pages[0].look(1, 150)
        before = peak()
        try:
            find_pages([Original("bomb.pdf", Path(sys.argv[2]), "", 0)]).pages[0].look(1, 150)
        except UnusableFile as refusal:
            print(refusal, file=sys.stderr)
        print(peak() - before)
    """
    good = pdf_with(tmp_path / "good.pdf", lambda _, page: page.Resources.XObject.P.write(b"\x70"))
    command = [sys.executable, "-c", textwrap.dedent(program), str(good), str(path)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert int(done.stdout) < MOST_GROWTH_BYTES, done.stderr


def test_a_page_of_endless_instructions_is_refused(
    tmp_path: Path, original: Callable[[Path], Original]
) -> None:
    path = pdf_with(tmp_path / "p.pdf", content_bomb)
    with pytest.raises(DamagedPdf, match="page 1 unpacks to over 64 MiB"):
        find_pages([original(path)]).pages[0].look(1, 150)


@pytest.mark.parametrize("coded", ["/RunLengthDecode", "/LZWDecode", "/ASCII85Decode", "/FlateDecode"])
def test_every_filter_is_held_to_what_is_wanted(coded: str) -> None:
    packed = {
        "/RunLengthDecode": b"\x81\x41" * 1000 + b"\x80",
        "/LZWDecode": lzw_of_one_byte(128_000),
        "/ASCII85Decode": b"z" * 32_000 + b"~>",
        "/FlateDecode": zlib.compress(b"A" * 128_000),
    }[coded]
    with pikepdf.new() as document:
        stream = document.make_stream(b"")
        stream.write(packed, filter=Name(coded))
        whole = bytes(stream.read_bytes(pikepdf.StreamDecodeLevel.specialized))
        assert unpacked(stream, len(whole)) == whole
        with pytest.raises(UnpacksTooFar):
            unpacked(stream, len(whole) - 1)


def test_what_lzw_unpacks_to_is_counted_exactly(photo: Image.Image) -> None:
    """libtiff packs the strip; TIFF 6.0 (section 13) and PDF share one LZW."""
    file = io.BytesIO()
    photo.save(file, "TIFF", compression="tiff_lzw", strip_size=photo.width * photo.height * 3)
    with Image.open(file) as stored:
        ((start,), (length,)) = (stored.tag_v2[273], stored.tag_v2[279])
    with pikepdf.new() as document:
        stream = document.make_stream(b"")
        stream.write(file.getvalue()[start : start + length], filter=Name.LZWDecode)
        assert unpacked(stream, len(photo.tobytes())) == photo.tobytes()
        with pytest.raises(UnpacksTooFar):
            unpacked(stream, len(photo.tobytes()) - 1)


def lzw_of_one_byte(count: int) -> bytes:
    """LZW (ISO 32000-1, 7.4.4) of one byte over and over, with early change."""
    codes, known, left = [256, 65], 257, count - 1
    while left:
        length = min(known - 257 + 2, left) if known < 257 + 3800 else 1
        if known >= 257 + 3800:
            codes += [256, 65]
            known, left = 257, left - 1
            continue
        codes.append(65 if length == 1 else 256 + length)
        known, left = known + 1, left - length
    codes.append(257)
    return packed_lzw(codes)


def packed_lzw(codes: list[int]) -> bytes:
    bits, table, first = "", 258, True
    for code in codes:
        width = 9 + (table + 1 >= 512) + (table + 1 >= 1024) + (table + 1 >= 2048)
        bits += format(code, f"0{width}b")
        if code == 256:
            table, first = 258, True
        elif first:
            first = False
        else:
            table += 1
    bits += "0" * (-len(bits) % 8)
    return int(bits, 2).to_bytes(len(bits) // 8, "big")


@given(st.binary(max_size=400), st.integers(0, 500))
def test_a_stream_under_several_filters_is_unpacked_whole_or_not_at_all(content: bytes, most: int) -> None:
    with pikepdf.new() as document:
        stream = document.make_stream(b"")
        coded = zlib.compress(zlib.compress(content)).hex().encode() + b">"
        stream.write(coded, filter=Array([Name.ASCIIHexDecode, Name.FlateDecode, Name.FlateDecode]))
        try:
            assert unpacked(stream, most) == content
            assert len(content) <= most
        except UnpacksTooFar:
            assert len(content) > most


def test_a_predictor_row_wider_than_the_picture_is_refused() -> None:
    with pikepdf.new() as document:
        stream = document.make_stream(b"")
        parms = Dictionary(Predictor=15, Columns=2_000_000_000)
        stream.write(zlib.compress(b"\0A"), filter=Name.FlateDecode, decode_parms=parms)
        with pytest.raises(UnpacksTooFar):
            unpacked(stream, 1000)


# ----------------------------------------------------------------- too many pages


def blank_pages(path: Path, count: int) -> Path:
    with pikepdf.new() as document:
        for _ in range(count):
            document.add_blank_page(page_size=(72, 72))
        document.save(path)
    return path


def test_a_pdf_of_too_many_pages_is_refused(tmp_path: Path, original: Callable[[Path], Original]) -> None:
    found = find_pages([original(blank_pages(tmp_path / "p.pdf", MAX_PAGES + 1))])
    assert found.pages == ()
    assert [type(problem) for problem in found.problems] == [TooManyPages]
    assert "p.pdf" in str(found.problems[0])


def test_files_count_together_towards_too_many_pages(
    tmp_path: Path, original: Callable[[Path], Original]
) -> None:
    first = original(blank_pages(tmp_path / "1.pdf", MAX_PAGES - 1))
    second = original(blank_pages(tmp_path / "2.pdf", 2))
    third = original(blank_pages(tmp_path / "3.pdf", 1))
    found = find_pages([first, second, third])
    assert len(found.pages) == MAX_PAGES
    assert ["2.pdf" in str(problem) for problem in found.problems] == [True]


def test_a_tiff_of_too_many_pages_is_refused(tmp_path: Path, original: Callable[[Path], Original]) -> None:
    path = tmp_path / "p.tif"
    path.write_bytes(tiff_of(MAX_PAGES + 1))
    found = find_pages([original(path)])
    assert found.pages == ()
    assert [type(problem) for problem in found.problems] == [TooManyPages]


def tiff_of(count: int) -> bytes:
    """A little-endian TIFF 6.0 of grey pages of one pixel, all on the same byte."""
    tags = ((256, 1), (257, 1), (258, 8), (259, 1), (262, 1), (273, 8), (277, 1), (278, 1), (279, 1))
    size = 2 + 12 * len(tags) + 4
    file = io.BytesIO()
    file.write(b"II*\0" + (10).to_bytes(4, "little") + b"\x80\0")
    for number in range(count):
        file.write(len(tags).to_bytes(2, "little"))
        for tag, value in tags:
            file.write(tag.to_bytes(2, "little") + b"\3\0" + (1).to_bytes(4, "little"))
            file.write(value.to_bytes(4, "little"))
        following = 0 if number == count - 1 else 10 + size * (number + 1)
        file.write(following.to_bytes(4, "little"))
    return file.getvalue()
