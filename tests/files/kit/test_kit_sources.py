"""Bringing bought files in: ZIPs, folders, files, and every ZIP that could do harm."""

from __future__ import annotations

import errno
import hashlib
import os
import random
import stat
import struct
from pathlib import Path
from zipfile import ZIP_BZIP2, ZIP_DEFLATED, ZIP_LZMA, ZIP_STORED, ZipFile, ZipInfo

import pytest

from kitprep.errors import (
    CannotRead,
    CannotWrite,
    DamagedZip,
    EmptyFile,
    LockedFile,
    MissingFile,
    NoPages,
    TooMuchToImport,
    UnsafeZip,
)
from kitprep.files.kit import Limits, unpack
from kitprep.files.kit.writing import write_original

NOISE = random.Random(7).randbytes(5000)


@pytest.fixture
def into(tmp_path: Path) -> Path:
    place = tmp_path / "originals"
    place.mkdir()
    return place


def zipped(path: Path, members: dict[str, bytes], method: int = ZIP_DEFLATED) -> Path:
    with ZipFile(path, "w", method) as archive:
        for name, content in members.items():
            archive.writestr(ZipInfo(name), content, method)
    return path


def names_in(place: Path) -> list[str]:
    return sorted(path.relative_to(place).as_posix() for path in place.rglob("*") if path.is_file())


# ------------------------------------------------------------------ what comes in


def test_a_zip_comes_in_byte_for_byte_without_its_junk(tmp_path: Path, into: Path) -> None:
    members = {
        "Lantern Orchard/": b"",
        "Lantern Orchard/page 10.jpg": NOISE,
        "Lantern Orchard/page 2.jpg": NOISE[::-1],
        "Lantern Orchard/Read me.txt": b"Thank you!",
        "Lantern Orchard/Terms of use.txt": b"For your own cards.",
        "Lantern Orchard/.DS_Store": b"junk",
        "Lantern Orchard/Thumbs.db": b"junk",
        "__MACOSX/Lantern Orchard/._page 2.jpg": b"junk",
    }
    unpacked = unpack([zipped(tmp_path / "lantern-orchard.zip", members)], into)
    kept = [
        f"Lantern Orchard/{name}" for name in ("page 2.jpg", "page 10.jpg", "Read me.txt", "Terms of use.txt")
    ]
    assert [original.name for original in unpacked.originals] == kept
    assert names_in(into) == sorted(kept)
    for original in unpacked.originals:
        content = members[original.name]
        assert original.path.read_bytes() == content
        assert original.sha256 == hashlib.sha256(content).hexdigest()
        assert original.length == len(content)
    assert (unpacked.name, unpacked.terms) == ("Lantern Orchard", "For your own cards.")
    assert unpacked.terms_file == "Lantern Orchard/Terms of use.txt"


def test_a_folder_comes_in_with_its_folders(tmp_path: Path, into: Path) -> None:
    folder = tmp_path / "lantern_orchard"
    (folder / "papers").mkdir(parents=True)
    (folder / "papers" / "p1.png").write_bytes(NOISE)
    (folder / "cover.png").write_bytes(b"cover")
    (folder / "desktop.ini").write_bytes(b"junk")
    unpacked = unpack([folder], into)
    assert [original.name for original in unpacked.originals] == ["cover.png", "papers/p1.png"]
    assert (into / "papers" / "p1.png").read_bytes() == NOISE
    assert unpacked.name == "Lantern Orchard"


def test_files_come_in_under_their_own_names(tmp_path: Path, into: Path) -> None:
    for name in ("p1.jpg", "p2.jpg"):
        (tmp_path / name).write_bytes(name.encode())
    unpacked = unpack([tmp_path / "p2.jpg", tmp_path / "p1.jpg"], into)
    assert [original.name for original in unpacked.originals] == ["p1.jpg", "p2.jpg"]


def test_several_zips_and_folders_come_in_each_in_its_own_folder(tmp_path: Path, into: Path) -> None:
    first = zipped(tmp_path / "part 1.zip", {"p1.jpg": b"one"})
    (tmp_path / "part 2").mkdir()
    (tmp_path / "part 2" / "p1.jpg").write_bytes(b"two")
    assert names_in_order(unpack([first, tmp_path / "part 2"], into)) == ["part 1/p1.jpg", "part 2/p1.jpg"]


def test_files_of_one_name_from_two_places_are_told_apart(tmp_path: Path, into: Path) -> None:
    for place in ("a", "b"):
        (tmp_path / place).mkdir()
        (tmp_path / place / "P1.jpg").write_bytes(place.encode())
    unpacked = unpack([tmp_path / "a" / "P1.jpg", tmp_path / "b" / "P1.jpg"], into)
    assert names_in_order(unpacked) == ["P1 (2).jpg", "P1.jpg"]
    assert (into / "P1 (2).jpg").read_bytes() == b"b"


def names_in_order(unpacked: object) -> list[str]:
    return [original.name for original in unpacked.originals]  # type: ignore[attr-defined]


def test_a_zip_is_known_by_its_content(tmp_path: Path, into: Path) -> None:
    path = zipped(tmp_path / "kit.download", {"p1.jpg": NOISE})
    assert names_in_order(unpack([path], into)) == ["p1.jpg"]


def test_a_picture_called_zip_comes_in_as_the_file_it_is(tmp_path: Path, into: Path) -> None:
    (tmp_path / "page.zip").write_bytes(b"\xff\xd8\xff" + NOISE)
    assert names_in_order(unpack([tmp_path / "page.zip"], into)) == ["page.zip"]


def test_names_that_windows_forbids_are_replaced(tmp_path: Path, into: Path) -> None:
    path = zipped(tmp_path / "kit.zip", {"tags/Which one?.png": b"1", "con.png": b"2", "./a//b.png": b"3"})
    assert names_in_order(unpack([path], into)) == ["_con.png", "a/b.png", "tags/Which one_.png"]


def test_names_in_utf_8_that_are_not_marked_so_are_read_as_meant(tmp_path: Path, into: Path) -> None:
    path = zipped(tmp_path / "kit.zip", {"Gr__e.png": b"1"})
    raw = path.read_bytes().replace(b"Gr__e.png", "Größe"[:2].encode() + "ö".encode() + b"e.png")
    path.write_bytes(raw)
    assert names_in_order(unpack([path], into)) == ["Gröe.png"]


def test_a_zip_inside_the_zip_stays_closed(tmp_path: Path, into: Path) -> None:
    inner = zipped(tmp_path / "inner.zip", {"../p1.jpg": b"out"}).read_bytes()
    path = zipped(tmp_path / "kit.zip", {"inner.zip": inner, "p1.jpg": NOISE})
    unpack([path], into)
    assert (into / "inner.zip").read_bytes() == inner
    assert names_in(into) == ["inner.zip", "p1.jpg"]


# ---------------------------------------------------------------- ZIPs that do harm


def refused(path: Path, into: Path, word: str, limits: Limits | None = None) -> UnsafeZip:
    with pytest.raises(UnsafeZip, match=word) as caught:
        unpack([path], into, limits=limits)
    assert path.name in str(caught.value)
    return caught.value


@pytest.mark.parametrize(
    ("name", "word"),
    [
        ("../escaped.jpg", "out of its folder"),
        ("pages/../../escaped.jpg", "out of its folder"),
        ("/tmp/escaped.jpg", "absolute"),
        ("C:/escaped.jpg", "drive"),
        ("pages\\escaped.jpg", "backslash"),
        ("../.DS_Store", "out of its folder"),
    ],
)
def test_a_member_that_leads_elsewhere_is_refused_before_anything_is_written(
    tmp_path: Path, into: Path, name: str, word: str
) -> None:
    path = tmp_path / "kit.zip"
    with ZipFile(path, "w") as archive:
        archive.writestr("good.jpg", NOISE)
        info = ZipInfo("x")
        info.filename = name
        archive.writestr(info, b"bad")
    before = names_in(tmp_path)
    refused(path, into, word)
    assert names_in(tmp_path) == before


@pytest.mark.parametrize(("kind", "word"), [(stat.S_IFLNK, "link"), (stat.S_IFIFO, "plain file")])
def test_a_link_or_a_pipe_is_refused(tmp_path: Path, into: Path, kind: int, word: str) -> None:
    with ZipFile(tmp_path / "kit.zip", "w") as archive:
        info = ZipInfo("page.jpg")
        info.create_system = 3
        info.external_attr = (kind | 0o644) << 16
        archive.writestr(info, b"/etc/passwd")
    refused(tmp_path / "kit.zip", into, word)
    assert names_in(into) == []


def test_an_encrypted_member_is_refused_with_what_to_do(tmp_path: Path, into: Path) -> None:
    path = zipped(tmp_path / "kit.zip", {"p1.jpg": NOISE})
    raw = bytearray(path.read_bytes())
    raw[6] |= 1  # general purpose bit 0 of the local header
    raw[raw.index(b"PK\1\2") + 8] |= 1  # and of the central directory
    path.write_bytes(raw)
    with pytest.raises(LockedFile, match="import the folder"):
        unpack([path], into)
    assert names_in(into) == []


def test_too_many_members_are_refused(tmp_path: Path, into: Path) -> None:
    path = zipped(tmp_path / "kit.zip", {f"p{number}.jpg": b"x" for number in range(2001)})
    refused(path, into, "2001 files")
    assert names_in(into) == []


def test_2000_members_are_taken(tmp_path: Path, into: Path) -> None:
    path = zipped(tmp_path / "kit.zip", {f"p{number}.jpg": b"x" for number in range(2000)}, ZIP_STORED)
    assert len(unpack([path], into).originals) == 2000


def test_a_member_that_unpacks_over_200_times_is_refused(tmp_path: Path, into: Path) -> None:
    path = zipped(tmp_path / "kit.zip", {"p1.jpg": bytes(10 * 1024**2)})
    refused(path, into, "over 200 times")
    assert names_in(into) == []


def test_a_small_blank_member_may_pack_as_well_as_it_likes(tmp_path: Path, into: Path) -> None:
    path = zipped(tmp_path / "kit.zip", {"blank.tif": bytes(1024**2)})
    assert unpack([path], into).originals[0].length == 1024**2


def test_more_than_2_gib_claimed_is_refused_before_it_is_unpacked(tmp_path: Path, into: Path) -> None:
    path = zipped(tmp_path / "kit.zip", {"p1.jpg": NOISE, "p2.jpg": NOISE}, ZIP_STORED)
    claim_size(path, 1024**3 + 1)
    refused(path, into, "more than 2 GiB", Limits(ratio=10**9))
    assert names_in(into) == []


def claim_size(path: Path, size: int) -> None:
    """Write another unpacked size into every header of a ZIP."""
    raw = bytearray(path.read_bytes())
    for signature, at in ((b"PK\1\2", 24), (b"PK\3\4", 22)):
        start = raw.find(signature)
        while start >= 0:
            struct.pack_into("<I", raw, start + at, size)
            start = raw.find(signature, start + 4)
    path.write_bytes(raw)


def test_bytes_are_counted_over_all_sources(tmp_path: Path, into: Path) -> None:
    first = zipped(tmp_path / "a.zip", {"p1.jpg": NOISE})
    second = zipped(tmp_path / "b.zip", {"p1.jpg": NOISE})
    limits = Limits(unpacked_bytes=8000)
    assert unpack([first], into, limits=limits)
    other = tmp_path / "other"
    other.mkdir()
    with pytest.raises(UnsafeZip, match=r"more than 7\.81 KiB"):
        unpack([first, second], other, limits=limits)


@pytest.mark.parametrize("claimed", [10, 1_000_000])
def test_a_member_that_is_not_the_size_it_claims_is_refused(tmp_path: Path, into: Path, claimed: int) -> None:
    """A small claim must not let more through, and a large one must not pass for the truth."""
    path = zipped(tmp_path / "kit.zip", {"p1.jpg": NOISE})
    claim_size(path, claimed)
    with pytest.raises((UnsafeZip, DamagedZip)):
        unpack([path], into)
    assert sum(file.stat().st_size for file in into.rglob("*") if file.is_file()) <= len(NOISE)


def test_members_that_share_their_bytes_are_refused(tmp_path: Path, into: Path) -> None:
    path = zipped(tmp_path / "kit.zip", {"p1.jpg": NOISE, "p2.jpg": NOISE})
    raw = bytearray(path.read_bytes())
    second = raw.rindex(b"PK\1\2")
    struct.pack_into("<I", raw, second + 42, 0)  # the second member's bytes are said to be the first's
    path.write_bytes(raw)
    refused(path, into, "overlap")


@pytest.mark.parametrize(
    ("first", "second", "word"),
    [
        ("p1.jpg", "p1.jpg", "same name"),
        ("p1.jpg", "P1.JPG", "same name"),
        ("Größe.jpg", "Gro\u0308ße.jpg", "same name"),
        ("pages", "Pages/p1.jpg", "both a file and a folder"),
    ],
)
@pytest.mark.filterwarnings("ignore:Duplicate name:UserWarning")
def test_names_that_some_systems_cannot_tell_apart_are_refused(
    tmp_path: Path, into: Path, first: str, second: str, word: str
) -> None:
    with ZipFile(tmp_path / "kit.zip", "w") as archive:
        archive.writestr(first, b"1")
        archive.writestr(second, b"2")
    refused(tmp_path / "kit.zip", into, word)
    assert names_in(into) == []


def test_a_damaged_member_is_named(tmp_path: Path, into: Path) -> None:
    path = zipped(tmp_path / "kit.zip", {"pages/p1.jpg": NOISE}, ZIP_STORED)
    raw = bytearray(path.read_bytes())
    raw[raw.index(NOISE[:20]) + 100] ^= 0xFF
    path.write_bytes(raw)
    with pytest.raises(DamagedZip, match=r"pages/p1\.jpg"):
        unpack([path], into)


@pytest.mark.parametrize("method", [ZIP_LZMA, ZIP_BZIP2])
def test_a_member_that_is_broken_however_it_is_packed_is_damaged(
    tmp_path: Path, into: Path, method: int
) -> None:
    path = zipped(tmp_path / "kit.zip", {"pages/p1.jpg": NOISE}, method)
    raw = bytearray(path.read_bytes())
    start = 30 + len("pages/p1.jpg")
    raw[start + 9 : start + 200] = bytes(value ^ 0xFF for value in raw[start + 9 : start + 200])
    path.write_bytes(raw)
    with pytest.raises(DamagedZip, match=r"pages/p1\.jpg"):
        unpack([path], into)


def test_a_zip_that_is_cut_short_is_damaged(tmp_path: Path, into: Path) -> None:
    path = zipped(tmp_path / "kit.zip", {"p1.jpg": NOISE})
    path.write_bytes(path.read_bytes()[:3000])
    with pytest.raises(DamagedZip, match="list of files"):
        unpack([path], into)


def test_a_way_of_packing_that_is_not_known_is_said(tmp_path: Path, into: Path) -> None:
    path = zipped(tmp_path / "kit.zip", {"p1.jpg": NOISE})
    raw = bytearray(path.read_bytes())
    struct.pack_into("<H", raw, 8, 97)  # WavPack
    struct.pack_into("<H", raw, raw.index(b"PK\1\2") + 10, 97)
    path.write_bytes(raw)
    with pytest.raises(DamagedZip, match=r"p1\.jpg"):
        unpack([path], into)


# ------------------------------------------------------------------ other bad input


def test_a_source_that_is_not_there_is_named(tmp_path: Path, into: Path) -> None:
    with pytest.raises(MissingFile, match="nowhere"):
        unpack([tmp_path / "nowhere.zip"], into)


@pytest.mark.parametrize("members", [{}, {"__MACOSX/._p1.jpg": b"x", "pages/": b""}])
def test_a_zip_with_nothing_in_it_holds_no_page(
    tmp_path: Path, into: Path, members: dict[str, bytes]
) -> None:
    with pytest.raises(NoPages, match=r"kit\.zip"):
        unpack([zipped(tmp_path / "kit.zip", members)], into)


def test_an_empty_folder_holds_no_page(tmp_path: Path, into: Path) -> None:
    (tmp_path / "bare").mkdir()
    with pytest.raises(NoPages, match="bare"):
        unpack([tmp_path / "bare"], into)


def test_an_empty_zip_file_is_empty(tmp_path: Path, into: Path) -> None:
    (tmp_path / "kit.zip").write_bytes(b"")
    with pytest.raises(EmptyFile, match="0 bytes"):
        unpack([tmp_path / "kit.zip"], into)


def test_a_folder_of_too_many_files_is_refused(tmp_path: Path, into: Path) -> None:
    folder = tmp_path / "documents"
    folder.mkdir()
    for number in range(6):
        (folder / f"{number}.txt").write_bytes(b"x")
    with pytest.raises(TooMuchToImport, match="more than 5 files"):
        unpack([folder], into, limits=Limits(members=5))


def test_a_folder_of_too_many_bytes_is_refused(tmp_path: Path, into: Path) -> None:
    (tmp_path / "documents").mkdir()
    (tmp_path / "documents" / "film").write_bytes(NOISE)
    with pytest.raises(TooMuchToImport, match="more than 1 KiB"):
        unpack([tmp_path / "documents"], into, limits=Limits(unpacked_bytes=1024))


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="links need rights on Windows")
def test_links_to_folders_are_not_followed(tmp_path: Path, into: Path) -> None:
    folder = tmp_path / "kit"
    folder.mkdir()
    (folder / "p1.jpg").write_bytes(NOISE)
    (folder / "round").symlink_to(folder, target_is_directory=True)
    (folder / "broken.jpg").symlink_to(tmp_path / "nowhere")
    os.mkfifo(folder / "pipe.jpg")
    assert names_in_order(unpack([folder], into)) == ["p1.jpg"]


@pytest.mark.skipif(not Path("/proc/self/mem").exists(), reason="needs a file that fails to be read")
def test_a_file_that_fails_to_be_read_is_named(into: Path) -> None:
    """Linux answers a read at the start of /proc/self/mem with an I/O error."""
    with pytest.raises(CannotRead, match="mem"):
        unpack([Path("/proc/self/mem")], into)


def test_a_place_that_cannot_be_written_to_is_named(tmp_path: Path) -> None:
    (tmp_path / "p1.jpg").write_bytes(NOISE)
    (tmp_path / "shelf").write_bytes(b"a file, not a folder")
    with pytest.raises(CannotWrite, match="shelf") as caught:
        unpack([tmp_path / "p1.jpg"], tmp_path / "shelf")
    assert "--shelf" in caught.value.next_step


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="needs a user without all rights")
def test_a_folder_that_may_not_be_written_to_is_named(tmp_path: Path, into: Path) -> None:
    (tmp_path / "p1.jpg").write_bytes(NOISE)
    into.chmod(0o500)
    try:
        with pytest.raises(CannotWrite, match="originals"):
            unpack([tmp_path / "p1.jpg"], into)
    finally:
        into.chmod(0o700)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
@pytest.mark.parametrize("count", [10, 100_000])
def test_a_full_disk_says_to_free_some_space(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, count: int
) -> None:
    """Linux answers every write to /dev/full with "no space left", at once or when the buffer is written."""
    monkeypatch.setattr(Path, "open", lambda *_: open("/dev/full", "wb"))  # noqa: PTH123, SIM115
    with pytest.raises(CannotWrite, match="space") as caught:
        write_original(tmp_path, "p1.jpg", [bytes(count)])
    assert "free some space" in caught.value.next_step


def test_a_file_in_the_way_is_not_replaced(tmp_path: Path) -> None:
    (tmp_path / "p1.jpg").write_bytes(b"old")
    with pytest.raises(CannotWrite, match=os.strerror(errno.EEXIST)):
        write_original(tmp_path, "p1.jpg", [b"new"])
    assert (tmp_path / "p1.jpg").read_bytes() == b"old"


def test_hashing_matches_the_standard_library_on_pieces_of_any_size(tmp_path: Path) -> None:
    pieces = [NOISE[:1], NOISE[1:3000], b"", NOISE[3000:]]
    original = write_original(tmp_path, "a/b.bin", pieces)
    assert original.sha256 == hashlib.sha256(NOISE).hexdigest()
    assert original.path.read_bytes() == NOISE
