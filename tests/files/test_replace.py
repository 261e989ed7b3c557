"""Files that appear whole or not at all."""

import errno
import os
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from kitprep.errors import CannotWrite, MissingFile, OutputExists
from kitprep.files.replace import replacing, replacing_all, write_bytes


def names_in(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_new_file_appears_with_what_was_written(tmp_path: Path) -> None:
    with replacing(tmp_path / "sheet.pdf") as temporary:
        assert temporary.suffix == ".pdf"
        assert temporary.parent == tmp_path
        temporary.write_bytes(b"whole")
        assert not (tmp_path / "sheet.pdf").exists()
    assert (tmp_path / "sheet.pdf").read_bytes() == b"whole"
    assert names_in(tmp_path) == ["sheet.pdf"]


def test_a_new_file_has_the_permissions_of_any_other_new_file(tmp_path: Path) -> None:
    write_bytes(tmp_path / "ours", b"")
    (tmp_path / "theirs").write_bytes(b"")
    assert (tmp_path / "ours").stat().st_mode == (tmp_path / "theirs").stat().st_mode


def test_a_write_that_breaks_off_leaves_the_old_file_whole(tmp_path: Path) -> None:
    old = tmp_path / "sheet.pdf"
    old.write_bytes(b"old")
    with pytest.raises(ZeroDivisionError), replacing(old, overwrite=True) as temporary:
        temporary.write_bytes(b"ha")
        raise ZeroDivisionError
    assert old.read_bytes() == b"old"
    assert names_in(tmp_path) == ["sheet.pdf"]


def test_being_stopped_from_the_keyboard_leaves_nothing_behind(tmp_path: Path) -> None:
    with pytest.raises(KeyboardInterrupt), replacing(tmp_path / "sheet.pdf"):
        raise KeyboardInterrupt
    assert names_in(tmp_path) == []


def test_a_file_that_is_there_is_refused_before_any_work(tmp_path: Path) -> None:
    (tmp_path / "a.png").write_bytes(b"old")
    with pytest.raises(OutputExists, match="overwrite"), replacing(tmp_path / "a.png"):
        pytest.fail("the block must not be entered")
    assert (tmp_path / "a.png").read_bytes() == b"old"


def test_a_file_that_appears_meanwhile_is_not_replaced(tmp_path: Path) -> None:
    with pytest.raises(OutputExists), replacing(tmp_path / "a.png") as temporary:
        temporary.write_bytes(b"ours")
        (tmp_path / "a.png").write_bytes(b"theirs")
    assert (tmp_path / "a.png").read_bytes() == b"theirs"
    assert names_in(tmp_path) == ["a.png"]


def test_a_file_is_replaced_when_that_is_asked_for(tmp_path: Path) -> None:
    (tmp_path / "a.png").write_bytes(b"old")
    write_bytes(tmp_path / "a.png", b"new", overwrite=True)
    assert (tmp_path / "a.png").read_bytes() == b"new"


def test_a_folder_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(MissingFile, match="nowhere"), replacing(tmp_path / "nowhere" / "a.png"):
        pass


def test_a_folder_in_place_of_a_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "a.png").mkdir()
    with pytest.raises(CannotWrite, match="it is a folder"), replacing(tmp_path / "a.png", overwrite=True):
        pass


def test_a_name_that_is_too_long_is_refused_before_any_work(tmp_path: Path) -> None:
    with pytest.raises(CannotWrite, match="too long"), replacing(tmp_path / ("n" * 400)):
        pytest.fail("the block must not be entered")


def test_a_fault_of_another_file_is_not_blamed_on_the_output(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError, match="elsewhere"), replacing(tmp_path / "a.png"):
        (tmp_path / "elsewhere").read_bytes()


def test_a_link_is_followed_and_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real.png").write_bytes(b"old")
    try:
        (tmp_path / "link.png").symlink_to(tmp_path / "real.png")
    except OSError:
        pytest.skip("this system lets no one make links here")
    write_bytes(tmp_path / "link.png", b"new", overwrite=True)
    assert (tmp_path / "link.png").is_symlink()
    assert (tmp_path / "real.png").read_bytes() == b"new"


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="only Linux has a device that is always full")
def test_a_full_disk_is_named_and_leaves_nothing(tmp_path: Path) -> None:
    with pytest.raises(CannotWrite, match="no space left"), replacing(tmp_path / "a.png"):
        Path("/dev/full").write_bytes(b"x")
    assert names_in(tmp_path) == []


@pytest.mark.skipif(sys.platform == "win32", reason="limits of a process are of POSIX")
def test_a_file_cut_short_by_the_system_does_not_take_its_place(tmp_path: Path) -> None:
    import resource

    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (4096, hard))
    try:
        with pytest.raises(CannotWrite), replacing(tmp_path / "a.png") as temporary:
            temporary.write_bytes(b"x" * 10_000)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert names_in(tmp_path) == []


def test_a_writer_that_is_given_a_temporary_file_does_not_name_it(tmp_path: Path) -> None:
    with (
        pytest.raises(CannotWrite, match=r"a\.pdf' cannot be written") as caught,
        replacing_all([tmp_path / "a.pdf", tmp_path / "b.pdf"]) as (first, _),
    ):
        first.unlink()
        first.mkdir()
        write_bytes(first, b"new", overwrite=True)
    assert ".kitprep" not in str(caught.value)
    assert "give the name of a file" in str(caught.value)


@pytest.mark.skipif(sys.platform == "win32", reason="sticky folders are of POSIX")
def test_a_file_that_may_not_be_moved_is_told_to_be_open_elsewhere_and_stays(tmp_path: Path) -> None:
    """In a sticky folder only a file's owner may replace it: refused at the same step as on Windows is a file
    that another program has open, and with the same error of Python."""
    if os.geteuid() != 0:
        pytest.skip("needs a file of another user")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        folder.chmod(0o1777)
        (folder / "a.pdf").write_bytes(b"old")
        os.seteuid(65534)
        try:
            with pytest.raises(CannotWrite, match=r"open in another program.*close it there"):
                write_bytes(folder / "a.pdf", b"new", overwrite=True)
        finally:
            os.seteuid(0)
        assert (folder / "a.pdf").read_bytes() == b"old"
        assert names_in(folder) == ["a.pdf"]


@pytest.fixture
def forbidden_folder() -> Iterator[Path]:
    """A folder that the running user may read and not write; a superuser steps down for it."""
    if sys.platform == "win32":
        pytest.skip("folder permissions of POSIX")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        folder.chmod(0o555)
        superuser = os.geteuid() == 0
        if superuser:
            os.seteuid(65534)
        try:
            yield folder
        finally:
            if superuser:
                os.seteuid(0)
            folder.chmod(0o755)


def test_a_folder_without_permission_is_named(forbidden_folder: Path) -> None:
    with pytest.raises(CannotWrite, match="may not write there"), replacing(forbidden_folder / "a.png"):
        pass


def test_a_read_only_disk_is_told_apart_from_a_full_one(tmp_path: Path) -> None:
    with pytest.raises(CannotWrite, match="read-only"), replacing(tmp_path / "a.png"):
        raise OSError(errno.EROFS, os.strerror(errno.EROFS))


def test_several_files_appear_together(tmp_path: Path) -> None:
    (tmp_path / "b.pdf").write_bytes(b"old")
    paths = [tmp_path / "a.pdf", tmp_path / "b.pdf"]
    with replacing_all(paths, overwrite=True) as temporaries:
        for number, temporary in enumerate(temporaries):
            temporary.write_bytes(b"new %d" % number)
        assert not (tmp_path / "a.pdf").exists()
    assert [path.read_bytes() for path in paths] == [b"new 0", b"new 1"]
    assert names_in(tmp_path) == ["a.pdf", "b.pdf"]


def test_where_one_of_several_files_fails_none_appears_and_old_ones_stay(tmp_path: Path) -> None:
    (tmp_path / "a.pdf").write_bytes(b"old")
    paths = [tmp_path / "a.pdf", tmp_path / "b.pdf"]
    with pytest.raises(ZeroDivisionError), replacing_all(paths, overwrite=True) as temporaries:
        temporaries[0].write_bytes(b"new")
        raise ZeroDivisionError
    assert (tmp_path / "a.pdf").read_bytes() == b"old"
    assert names_in(tmp_path) == ["a.pdf"]


def test_where_one_of_several_files_cannot_move_in_the_others_are_put_back(forbidden_folder: Path) -> None:
    """The second folder may be written to at first, and no more once the files are to take their places."""
    first, second = forbidden_folder / "first", forbidden_folder / "second"
    user = os.geteuid()
    os.seteuid(0) if os.getuid() == 0 else forbidden_folder.chmod(0o755)
    for folder in (first, second):
        folder.mkdir()
        folder.chmod(0o777)
    os.seteuid(user)
    (first / "a.pdf").write_bytes(b"old")
    paths = [first / "a.pdf", first / "new.pdf", second / "b.pdf"]
    try:
        with pytest.raises(CannotWrite), replacing_all(paths, overwrite=True) as temporaries:
            for temporary in temporaries:
                temporary.write_bytes(b"new")
            os.seteuid(os.getuid())
            second.chmod(0o555)
            os.seteuid(user)
        assert (first / "a.pdf").read_bytes() == b"old"
        assert names_in(first) == ["a.pdf"]
    finally:
        os.seteuid(os.getuid())
        second.chmod(0o777)
        os.seteuid(user)


def test_of_several_files_one_that_is_there_is_refused_before_any_work(tmp_path: Path) -> None:
    (tmp_path / "b.pdf").write_bytes(b"old")
    with pytest.raises(OutputExists), replacing_all([tmp_path / "a.pdf", tmp_path / "b.pdf"]):
        pytest.fail("the block must not be entered")
    assert names_in(tmp_path) == ["b.pdf"]
