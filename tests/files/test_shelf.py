"""The shelf of kits on disk."""

import dataclasses
import multiprocessing
import os
import shutil
import sqlite3
import stat
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitprep.errors import (
    AmbiguousId,
    CannotWrite,
    NoSuchElement,
    NoSuchKit,
    NoSuchPage,
    NothingToUndo,
    OriginalChanged,
    ShelfBusy,
    ShelfDamaged,
    ShelfTooNew,
)
from kitprep.files.shelf import Added, Shelf, shelf_folder, slug_for
from kitprep.files.shelf.kitfile import kit_text, parse_kit
from kitprep.files.shelf.lock import write_lock
from kitprep.pages import Element, Gone, Kind, Kit, Original, Page, PageKind, PagePpi, PixelBox, PpiSource

PPI = PagePpi(300.0, 300.0, PpiSource.FILE)


def element(number: int, kind: Kind = Kind.TAG, words: tuple[str, ...] = ()) -> Element:
    box = PixelBox(100 * number, 10, 100 * number + 90, 160)
    return Element(number, box, box.corners, 0.0, kind, rectangular=True, words=words)


def page(number: int, *elements: Element) -> Page:
    return Page(number, f"page-{number}.jpg", 0, (2550, 3300), PPI, PageKind.PICTURE, False, elements)


def kit(name: str = "Lantern Orchard", pages: int = 2) -> Kit:
    first = page(1, element(1, Kind.STAMP), element(2, Kind.FIGURE, ("night moth",)))
    others = [page(number, element(1), element(7, Kind.LABEL)) for number in range(2, pages + 1)]
    return Kit("", name, "Quillmoss Paper Room", "For own use.\nNo resale.", (first, *others))


def put(shelf: Shelf, new: Kit, content: bytes = b"") -> Added:
    with shelf.staging() as folder:
        (folder / "originals").mkdir()
        for one in new.pages:
            (folder / "originals" / one.file).write_bytes(content or f"{new.name} {one.file}".encode())
        return shelf.add(new, folder)


@pytest.fixture
def shelf(tmp_path: Path) -> Shelf:
    return Shelf(tmp_path / "shelf")


# ------------------------------------------------------------------ arriving


def test_a_kit_is_read_back_as_it_was_added(shelf: Shelf) -> None:
    added = put(shelf, kit()).kit
    assert added.slug == "lantern-orchard"
    assert added.name == "Lantern Orchard"
    assert added.terms == "For own use.\nNo resale."
    assert added.pages == tuple(
        dataclasses.replace(one, numbers_used=one.next_number - 1) for one in kit().pages
    )
    assert Shelf(shelf.folder).kit("lantern-orchard") == added


def test_originals_stay_byte_for_byte_and_read_only(shelf: Shelf) -> None:
    added = put(shelf, kit(), b"\x00\xff bought").kit
    path = shelf.verified_original(added, "page-1.jpg")
    assert path.read_bytes() == b"\x00\xff bought"
    assert not path.stat().st_mode & stat.S_IWUSR


def test_the_same_bytes_are_the_same_kit(shelf: Shelf) -> None:
    first = put(shelf, kit(), b"same")
    shelf.replace_elements("lantern-orchard", 1, [element(5)])
    again = put(shelf, kit("Another name"), b"same")
    assert (first.was_there, again.was_there) == (False, True)
    assert again.kit.pages[0].elements == (element(5),)
    assert [summary.slug for summary in shelf.kits()] == ["lantern-orchard"]


def test_another_kit_of_the_same_name_gets_a_number(shelf: Shelf) -> None:
    slugs = [put(shelf, kit(), content).kit.slug for content in (b"a", b"b", b"c")]
    assert slugs == ["lantern-orchard", "lantern-orchard-2", "lantern-orchard-3"]


def test_a_staging_that_fails_leaves_the_shelf_as_it_was(shelf: Shelf) -> None:
    put(shelf, kit())
    before = sorted(path for path in shelf.folder.rglob("*") if path.is_file())
    with pytest.raises(ZeroDivisionError), shelf.staging() as folder:
        (folder / "originals").mkdir()
        (folder / "originals" / "half.jpg").write_bytes(b"x")
        raise ZeroDivisionError
    assert sorted(path for path in shelf.folder.rglob("*") if path.is_file()) == before


def test_what_a_dead_run_left_behind_is_cleared_away(shelf: Shelf) -> None:
    left = shelf.folder / ".arriving" / "dead"
    left.mkdir(parents=True)
    (left / "half.jpg").write_bytes(b"x")
    (left / "half.jpg").chmod(0o444)
    (shelf.folder / ".arriving" / "dead.lock").touch()
    with shelf.staging():
        assert not left.exists()


def test_what_a_living_run_gathers_is_left_alone(shelf: Shelf) -> None:
    with shelf.staging() as one, shelf.staging() as other:
        assert one != other
        assert one.is_dir()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="only Linux has a device that is always full")
def test_a_full_disk_while_gathering_is_named(shelf: Shelf) -> None:
    with pytest.raises(CannotWrite, match="no space"), shelf.staging():
        Path("/dev/full").write_bytes(b"x")


@pytest.mark.parametrize(
    ("name", "slug"),
    [
        ("Lantern Orchard", "lantern-orchard"),
        ("  Été -- Brume!  ", "ete-brume"),
        ("../../etc", "etc"),
        ("con", "con-kit"),
        ("日本", "kit"),
        ("x" * 200, "x" * 60),
    ],
)
def test_slugs_are_safe_names_of_folders(name: str, slug: str) -> None:
    assert slug_for(name) == slug


@given(st.text())
def test_a_slug_is_its_own_slug(name: str) -> None:
    assert slug_for(slug_for(name)) == slug_for(name)


# ------------------------------------------------------------------- kit.toml

finite = st.floats(-1e5, 1e5).map(lambda number: round(number, 2) + 0.0)
outlines = st.lists(st.tuples(finite, finite), min_size=3, max_size=40).map(tuple)
elements = st.builds(
    Element,
    number=st.integers(1, 999),
    box=st.builds(PixelBox, *[st.integers(-9, 0)] * 2, *[st.integers(1, 9)] * 2),
    outline=outlines,
    angle_deg=st.integers(-900000, 900000).map(lambda number: number / 10000),
    kind=st.sampled_from(Kind),
    rectangular=st.booleans(),
    holes=st.lists(outlines, max_size=2).map(tuple),
    confidence=st.integers(0, 1000).map(lambda number: number / 1000),
    words=st.lists(st.text(), max_size=3).map(tuple),
    by_hand=st.booleans(),
    unwanted=st.booleans(),
)
texts = st.text(st.characters(exclude_categories=["Cs"]))


@given(texts, texts, st.lists(elements, max_size=3, unique_by=lambda one: one.number))
def test_a_kit_survives_being_written_as_text(name: str, terms: str, found: list[Element]) -> None:
    one = dataclasses.replace(page(3, *found), numbers_used=max([0, *(e.number for e in found)]))
    originals = (Original(name, "ab12", 5),)
    whole = Kit("k", name, terms, terms, (one,), terms, name, terms, originals)
    assert parse_kit(kit_text(whole), "k", "kit.toml") == whole


DAMAGE: list[tuple[Callable[[str], str], str]] = [
    (
        lambda text: text.replace("size_px = [2550, 3300]", "size_px = [2550", 1),
        "line 2[67]: this is not TOML",
    ),
    (lambda text: text.replace('kind = "tag"', 'kind = "tagg"', 1), r"line \d\d: kind cannot be 'tagg'"),
    (lambda text: text.replace("box_px = [100", "boxpx = [100", 1), r"line \d\d: box_px is missing"),
    (lambda text: text.replace("number = 2\n", "number = 1\n", 1), "number 1 stands there twice"),
    (lambda text: text.replace("[100, 10,", "[900, 10,", 1), "the box has no size"),
    (lambda text: text.replace("outline_px = '100,10 ", "outline_px = '100;10 ", 1), "not a list of x,y"),
    (lambda text: text.replace("ppi = [300, 300]", "ppi = [300, 0]", 1), "the page has no size"),
    (lambda text: text.replace("ppi = [300, 300]", "ppi = 300", 1), "an array of 2 numbers"),
    (lambda text: text.replace("frame = 0", "frame = true", 1), "frame must be a whole number"),
    (lambda text: text.replace("number = 1", "number = 0", 1), "must be 1 or more"),
    (lambda text: text[: len(text) // 2], "line"),
    (lambda text: "\x00\x01" + text, "line 1: this is not TOML"),
    (lambda _: "", "format is missing"),
]


@pytest.mark.parametrize(("damage", "says"), DAMAGE)
def test_a_damaged_kit_is_named_with_its_line_and_others_stay_usable(
    shelf: Shelf, damage: Callable[[str], str], says: str
) -> None:
    put(shelf, kit())
    put(shelf, kit("Sound Kit"))
    path = shelf.folder / "kits" / "lantern-orchard" / "kit.toml"
    path.write_text(damage(path.read_text("utf-8")), "utf-8")
    with pytest.raises(ShelfDamaged, match=says) as caught:
        shelf.find("lantern-orchard/p01-02")
    assert str(path) in str(caught.value)
    assert list(shelf.problems()) == ["lantern-orchard"]
    assert [summary.slug for summary in shelf.kits()] == ["sound-kit"]
    assert shelf.find("p01-02").id == "sound-kit/p01-02"


def test_a_line_number_points_at_the_very_line(shelf: Shelf) -> None:
    put(shelf, kit())
    path = shelf.folder / "kits" / "lantern-orchard" / "kit.toml"
    lines = path.read_text("utf-8").splitlines()
    place = [number for number, line in enumerate(lines, 1) if line == "angle_deg = 0"][2]
    lines[place - 1] = 'angle_deg = "steep"'
    path.write_text("\n".join(lines), "utf-8")
    with pytest.raises(ShelfDamaged, match=rf"line {place}: angle_deg must be a number"):
        shelf.kit("lantern-orchard")


def test_bytes_that_are_no_text_are_damage(shelf: Shelf) -> None:
    put(shelf, kit())
    (shelf.folder / "kits" / "lantern-orchard" / "kit.toml").write_bytes(b"\xff\xfe")
    with pytest.raises(ShelfDamaged, match="not text in UTF-8"):
        shelf.kit("lantern-orchard")


def test_a_kit_folder_without_its_file_is_damage(shelf: Shelf) -> None:
    put(shelf, kit())
    (shelf.folder / "kits" / "lantern-orchard" / "kit.toml").unlink()
    with pytest.raises(ShelfDamaged):
        shelf.find_page("lantern-orchard/p01")


def test_a_kit_of_a_newer_format_asks_for_a_newer_kitprep(shelf: Shelf) -> None:
    put(shelf, kit())
    path = shelf.folder / "kits" / "lantern-orchard" / "kit.toml"
    path.write_text(path.read_text("utf-8").replace("format = 1", "format = 2"), "utf-8")
    with pytest.raises(ShelfTooNew, match="update kitprep"):
        shelf.kit("lantern-orchard")


def test_keys_of_a_later_kitprep_are_passed_over(shelf: Shelf) -> None:
    put(shelf, kit())
    path = shelf.folder / "kits" / "lantern-orchard" / "kit.toml"
    path.write_text(path.read_text("utf-8").replace("format = 1", "format = 1\nsmell = 3"), "utf-8")
    assert shelf.kit("lantern-orchard").name == "Lantern Orchard"


def test_an_edit_of_kit_toml_by_hand_is_seen_at_once(shelf: Shelf) -> None:
    put(shelf, kit())
    assert shelf.search(["beekeeper"]) == ()
    path = shelf.folder / "kits" / "lantern-orchard" / "kit.toml"
    path.write_text(path.read_text("utf-8").replace("night moth", "beekeeper"), "utf-8")
    assert [found.id for found in shelf.search(["BEEKEEP"])] == ["lantern-orchard/p01-02"]


# ------------------------------------------------------------------- finding


@pytest.mark.parametrize(
    "text", ["lantern-orchard/p02-07", "orchard/p02-07", "p02-07", "P2-7", "2-7", " lantern-orchard/p2-07 "]
)
def test_an_element_is_found_by_its_id_or_any_tail(shelf: Shelf, text: str) -> None:
    put(shelf, kit())
    found = shelf.find(text)
    assert found.id == "lantern-orchard/p02-07"
    assert found.element.kind is Kind.LABEL


def test_an_id_that_two_kits_have_must_be_written_in_full(shelf: Shelf) -> None:
    put(shelf, kit())
    put(shelf, kit("Second Kit"))
    with pytest.raises(AmbiguousId, match=r"lantern-orchard/p02-07, second-kit/p02-07"):
        shelf.find("p02-07")
    with pytest.raises(AmbiguousId):
        shelf.find_page("p01")


def test_a_missing_element_is_answered_with_the_nearest(shelf: Shelf) -> None:
    put(shelf, kit())
    with pytest.raises(NoSuchElement, match=r"did you mean .*lantern-orchard/p02-07"):
        shelf.find("p02-08")
    with pytest.raises(NoSuchElement, match="lantern-orchard/p01-02"):
        shelf.find("lantern-orchard/p01-03")


def test_a_missing_kit_or_page_is_named_as_such(shelf: Shelf) -> None:
    put(shelf, kit())
    with pytest.raises(NoSuchKit, match=r"no kit 'lantern-orchad'.*lantern-orchard"):
        shelf.find("lantern-orchad/p01-01")
    with pytest.raises(NoSuchPage, match=r"no page 'p09'.*p01, p02"):
        shelf.find("lantern-orchard/p09-01")
    with pytest.raises(NoSuchPage, match=r"no page 'p09'"):
        shelf.find_page("p9")
    with pytest.raises(NoSuchKit, match="import one"):
        Shelf(shelf.folder / "empty").find_page("a/p01")
    for name in ("", "..", "../kits/lantern-orchard", ".arriving"):
        with pytest.raises(NoSuchKit):
            shelf.kit(name)


def test_a_page_is_found_by_its_id_or_tail(shelf: Shelf) -> None:
    put(shelf, kit())
    assert {shelf.find_page(text).id for text in ("lantern-orchard/p02", "p2", "2")} == {
        "lantern-orchard/p02"
    }


def test_search_takes_every_word_and_the_kind(shelf: Shelf) -> None:
    put(shelf, kit())
    put(shelf, kit("Hay Barn"))
    ids = [found.id for found in shelf.search(["moth", "lantern"])]
    assert ids == ["lantern-orchard/p01-02"]
    assert {found.kit for found in shelf.search(kind=Kind.LABEL)} == {"lantern-orchard", "hay-barn"}
    assert [found.number for found in shelf.search(kit="hay-barn", kind=Kind.STAMP)] == [1]
    assert shelf.search(["moth"])[0].size.text() == "0.3 x 1/2 in"
    with pytest.raises(NoSuchKit):
        shelf.search(kit="nothing")


def test_kits_come_newest_first(shelf: Shelf) -> None:
    for day, name in (("01", "First"), ("03", "Third"), ("02", "Second")):
        put(shelf, dataclasses.replace(kit(name), imported=f"2025-01-{day}T10:00:00+00:00"))
    assert [summary.name for summary in shelf.kits()] == ["Third", "Second", "First"]
    assert shelf.kits()[0].elements == 4
    assert shelf.kits()[0].has_terms


# --------------------------------------------------------------------- index


def test_a_missing_index_is_built_again(shelf: Shelf) -> None:
    put(shelf, kit())
    before = shelf.search()
    (shelf.folder / "catalogue.sqlite").unlink()
    assert shelf.search() == before
    assert (shelf.folder / "catalogue.sqlite").exists()


@pytest.mark.parametrize("at", [0, 100, 5000])
def test_a_damaged_index_is_built_again(shelf: Shelf, at: int) -> None:
    put(shelf, kit())
    before = shelf.search()
    path = shelf.folder / "catalogue.sqlite"
    content = bytearray(path.read_bytes())
    content[at : at + 3000] = b"\xa5" * 3000
    path.write_bytes(content)
    assert shelf.search() == before
    assert Shelf(shelf.folder).search() == before


def test_an_index_without_its_tables_is_built_again(shelf: Shelf) -> None:
    put(shelf, kit())
    before = shelf.search()
    database = sqlite3.connect(shelf.folder / "catalogue.sqlite")
    database.execute("DROP TABLE element")
    database.commit()
    database.close()
    assert shelf.search() == before


def test_a_kit_put_there_or_taken_away_by_hand_is_noticed(shelf: Shelf) -> None:
    put(shelf, kit())
    shelf.kits()
    kits = shelf.folder / "kits"
    shutil.copytree(kits / "lantern-orchard", kits / "copied")
    assert {summary.slug for summary in shelf.kits()} == {"lantern-orchard", "copied"}
    shutil.rmtree(kits / "lantern-orchard")
    assert {summary.slug for summary in shelf.kits()} == {"copied"}


def test_looking_at_a_shelf_that_is_not_there_makes_nothing(tmp_path: Path) -> None:
    assert Shelf(tmp_path / "none").kits() == ()
    assert list(tmp_path.iterdir()) == []


# ---------------------------------------------------------------- correcting


def test_a_correction_is_kept_and_taken_back(shelf: Shelf) -> None:
    before = put(shelf, kit()).kit
    shelf.replace_elements("lantern-orchard", 1, [element(1, words=("changed",))])
    shelf.replace_elements("lantern-orchard", 1, [])
    assert shelf.kit("lantern-orchard").pages[0].elements == ()
    assert shelf.undo().page.elements == (element(1, words=("changed",)),)
    assert shelf.undo("lantern-orchard").kit.pages == before.pages
    with pytest.raises(NothingToUndo, match="lantern-orchard"):
        shelf.undo("lantern-orchard")
    with pytest.raises(NothingToUndo, match="any kit"):
        shelf.undo()


def test_undo_without_a_kit_takes_back_the_latest_of_all(shelf: Shelf) -> None:
    for name in ("One", "Two", "Three"):
        put(shelf, kit(name))
    for slug in ("two", "three", "one"):
        shelf.replace_elements(slug, 2, [])
    assert [shelf.undo().kit.slug for _ in range(3)] == ["one", "three", "two"]


def test_the_number_of_an_element_that_is_gone_never_comes_back(shelf: Shelf) -> None:
    put(shelf, kit())
    assert shelf.kit("lantern-orchard").pages[1].next_number == 8
    shelf.replace_elements("lantern-orchard", 2, [element(1)])
    assert shelf.kit("lantern-orchard").pages[1].next_number == 8
    shelf.replace_elements("lantern-orchard", 2, [element(8)])
    shelf.undo()
    assert shelf.kit("lantern-orchard").pages[1].next_number == 9


def test_a_correction_touches_only_the_lines_of_its_page(shelf: Shelf) -> None:
    put(shelf, kit(pages=3))
    path = shelf.folder / "kits" / "lantern-orchard" / "kit.toml"
    text = path.read_text("utf-8")
    text = text.replace("[[page]]\nnumber = 3", "# mine\n[[page]]\nnumber = 3\nlater = 5  # kept")
    path.write_text("# top\n" + text, "utf-8")
    shelf.replace_elements("lantern-orchard", 2, [])
    new = path.read_text("utf-8")
    assert new.startswith("# top\n")
    assert new.split("# mine")[1] == text.split("# mine")[1]
    assert new.split("number = 2\nfile")[0] == "# top\n" + text.split("number = 2\nfile")[0]


def test_what_is_off_the_list_is_kept_with_its_page_and_taken_back_with_it(shelf: Shelf) -> None:
    put(shelf, kit())
    gone = (
        Gone(3, element(3).outline, dropped=True),
        Gone(4, ((0.5, 1.25), (900.0, 2.0), (450.0, 700.75)), dropped=False),
    )
    shelf.correct_page("lantern-orchard", 1, lambda page: dataclasses.replace(page, gone=gone))
    assert Shelf(shelf.folder).kit("lantern-orchard").pages[0].gone == gone
    assert shelf.kit("lantern-orchard").pages[1].gone == ()
    shelf.correct_page("lantern-orchard", 1, lambda page: dataclasses.replace(page, elements=()))
    assert shelf.undo().page.gone == gone
    assert shelf.undo().page.gone == ()


def test_a_kit_written_before_there_were_things_off_the_list_is_read_and_corrected(shelf: Shelf) -> None:
    put(shelf, kit())
    text = (shelf.folder / "kits" / "lantern-orchard" / "kit.toml").read_text("utf-8")
    assert "gone" not in text
    assert shelf.kit("lantern-orchard").pages[0].gone == ()


def test_a_thing_off_the_list_without_an_outline_is_named_by_its_line(shelf: Shelf) -> None:
    put(shelf, kit())
    path = shelf.folder / "kits" / "lantern-orchard" / "kit.toml"
    path.write_text(
        path.read_text("utf-8") + "\n[[page.gone]]\nnumber = 0\noutline_px = '1,1 2,1 2,2'\n", "utf-8"
    )
    line = path.read_text("utf-8").split("\n").index("number = 0") + 1
    with pytest.raises(ShelfDamaged, match=f"line {line}: number must be 1 or more"):
        Shelf(shelf.folder).kit("lantern-orchard")


def test_a_correction_that_changes_nothing_is_not_one(shelf: Shelf) -> None:
    put(shelf, kit())
    path = shelf.folder / "kits" / "lantern-orchard" / "kit.toml"
    before = path.read_bytes()
    shelf.correct_page("lantern-orchard", 1, lambda page: page)
    assert path.read_bytes() == before
    with pytest.raises(NothingToUndo):
        shelf.undo()


def test_elements_that_could_not_be_read_back_are_never_written(shelf: Shelf) -> None:
    put(shelf, kit())
    with pytest.raises(ValueError, match="twice"):
        shelf.replace_elements("lantern-orchard", 1, [element(1), element(1)])
    assert len(shelf.kit("lantern-orchard").pages[0].elements) == 2
    with pytest.raises(NothingToUndo):
        shelf.undo()


def test_a_correction_of_a_page_that_is_not_there_is_refused(shelf: Shelf) -> None:
    put(shelf, kit())
    with pytest.raises(NoSuchPage, match="p09"):
        shelf.replace_elements("lantern-orchard", 9, [])


# ----------------------------------------------------------------- originals


def test_an_original_that_was_changed_is_not_used(shelf: Shelf) -> None:
    added = put(shelf, kit(), b"bought").kit
    path = shelf.verified_original(added, "page-1.jpg")
    path.chmod(0o644)
    path.write_bytes(b"foiled")
    os.utime(path, ns=(1, 1))
    assert shelf.original_path(added, "page-1.jpg") == path  # the quick look sees the length only
    with pytest.raises(OriginalChanged, match=r"page-1.jpg of kit lantern-orchard was changed"):
        shelf.verified_original(added, "page-1.jpg")
    path.write_bytes(b"longer than it was")
    with pytest.raises(OriginalChanged):
        shelf.original_path(added, "page-1.jpg")
    path.unlink()
    with pytest.raises(OriginalChanged, match="gone"):
        shelf.original_path(added, "page-1.jpg")
    with pytest.raises(OriginalChanged, match="not among"):
        shelf.original_path(added, "../kit.toml")


def test_the_cache_may_be_deleted(shelf: Shelf) -> None:
    put(shelf, kit())
    folder = shelf.cache_folder("lantern-orchard")
    shutil.rmtree(folder)
    assert shelf.cache_folder("lantern-orchard").is_dir()
    assert shelf.find("p01-01").id == "lantern-orchard/p01-01"


# ---------------------------------------------------------------------- lock


def hold(folder: Path, ready: "multiprocessing.synchronize.Event") -> None:
    with write_lock(folder):
        ready.set()
        time.sleep(60)


def test_a_shelf_in_use_by_another_process_is_busy_until_that_one_dies(tmp_path: Path) -> None:
    context = multiprocessing.get_context("spawn")
    ready = context.Event()
    other = context.Process(target=hold, args=(tmp_path, ready), daemon=True)
    other.start()
    try:
        assert ready.wait(30)
        with pytest.raises(ShelfBusy, match="try again"), write_lock(tmp_path, patience_s=0.1):
            pass
    finally:
        other.kill()
        other.join()
        other.close()
    with write_lock(tmp_path, patience_s=5):
        pass


@pytest.fixture
def read_only_shelf(shelf: Shelf) -> "object":
    """A shelf with one kit on which the running user may not write; a superuser steps down for it."""
    if sys.platform == "win32":
        pytest.skip("folder permissions of POSIX")
    put(shelf, kit())
    parents = [
        parent for parent in shelf.folder.parents if parent.is_relative_to("/tmp") and parent != Path("/tmp")
    ]
    modes = {path: path.stat().st_mode for path in parents}
    superuser = os.geteuid() == 0
    for path in parents:
        path.chmod(path.stat().st_mode | 0o055)
    for path in [shelf.folder, *shelf.folder.rglob("*")]:
        path.chmod(0o555 if path.is_dir() else 0o444)
    if superuser:
        os.seteuid(65534)
    yield shelf
    if superuser:
        os.seteuid(0)
    for path in [shelf.folder, *shelf.folder.rglob("*")]:
        path.chmod(0o755 if path.is_dir() else 0o644)
    for path, mode in modes.items():
        path.chmod(mode)


def test_a_read_only_shelf_can_be_read_and_says_why_it_cannot_be_written(read_only_shelf: Shelf) -> None:
    shelf = read_only_shelf
    assert shelf.find("p02-07").id == "lantern-orchard/p02-07"
    assert len(shelf.kits()) == 1
    with pytest.raises(CannotWrite, match="may not write"), shelf.staging():
        pass
    with pytest.raises(CannotWrite):
        shelf.replace_elements("lantern-orchard", 1, [])
    with pytest.raises(CannotWrite):
        shelf.cache_folder("lantern-orchard")


# --------------------------------------------------------------------- place


def test_the_shelf_is_the_one_given_then_the_one_named_then_in_the_documents(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("KITPREP_SHELF", str(tmp_path / "named"))
    assert shelf_folder(tmp_path / "given") == tmp_path / "given"
    assert shelf_folder(None) == tmp_path / "named"
    monkeypatch.delenv("KITPREP_SHELF")
    assert shelf_folder(None).name == "kitprep"
    assert shelf_folder(None).is_absolute()
