"""Colours that nothing tells are taken for sRGB, and that is said once for a kit."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from cli.conftest import Run, run  # noqa: F401
from files.kit.test_kit_colour import wide_profile
from PIL import Image, PngImagePlugin

from kitprep import import_kit
from kitprep.jobs.findings import AssumedColours, Finding
from kitprep.jobs.importing import ImportOptions

COLOURS, GREY = Image.new("RGB", (60, 40), (200, 90, 40)), Image.new("L", (60, 40), 90)
EXIF_COLOUR_SPACE, EXIF_DIRECTORY = 0xA001, 0x8769


def imported(folder: Path, *pages: str) -> tuple[Finding, ...]:
    paths = [folder / page for page in pages]
    options = ImportOptions(name="Dusk Row", terms="for us", whole=True, ppi=300.0)
    return import_kit(paths, options=options, shelf=folder / "shelf").findings


def test_it_is_said_once_for_all_pages_of_a_kit(tmp_path: Path) -> None:
    COLOURS.save(tmp_path / "a.png")
    COLOURS.quantize(4).save(tmp_path / "b.png")
    COLOURS.save(tmp_path / "c.jpg")
    COLOURS.save(tmp_path / "d.tif")
    found = imported(tmp_path, "a.png", "b.png", "c.jpg", "d.tif")
    assert found == (AssumedColours("dusk-row", "Dusk Row", ("p01", "p02", "p03", "p04"), True),)


def test_only_the_pages_that_do_not_tell_are_named(tmp_path: Path) -> None:
    COLOURS.save(tmp_path / "a.png", icc_profile=wide_profile())
    COLOURS.save(tmp_path / "b.png")
    found = imported(tmp_path, "a.png", "b.png")
    assert found == (AssumedColours("dusk-row", "Dusk Row", ("p02",), False),)


def exif(colour_space: int) -> Image.Exif:
    tags = Image.Exif()
    tags.get_ifd(EXIF_DIRECTORY)[EXIF_COLOUR_SPACE] = colour_space
    return tags


def png_chunk(name: bytes, content: bytes) -> dict[str, Any]:
    chunks = PngImagePlugin.PngInfo()
    chunks.add(name, content)
    return {"pnginfo": chunks}


@pytest.mark.parametrize(
    ("name", "page", "how"),
    [
        ("a.tif", COLOURS, {"icc_profile": wide_profile()}),
        ("a.png", COLOURS, png_chunk(b"sRGB", b"\0")),
        ("a.png", COLOURS, png_chunk(b"gAMA", (45455).to_bytes(4))),
        ("a.jpg", COLOURS, {"exif": exif(1)}),
        ("a.webp", COLOURS, {}),
        ("a.png", GREY, {}),
        ("a.png", GREY.convert("1"), {}),
        ("a.jpg", GREY, {}),
    ],
)
def test_a_page_that_tells_its_colours_or_has_none_is_not_remarked_on(
    tmp_path: Path, name: str, page: Image.Image, how: dict[str, Any]
) -> None:
    page.save(tmp_path / name, **how)
    assert imported(tmp_path, name) == ()


def test_an_exif_colour_space_that_is_not_srgb_tells_nothing(tmp_path: Path) -> None:
    COLOURS.save(tmp_path / "a.jpg", exif=exif(0xFFFF))
    assert [type(finding) for finding in imported(tmp_path, "a.jpg")] == [AssumedColours]


def test_the_command_says_it_to_people_and_programs(
    tmp_path: Path,
    run: Run,  # noqa: F811
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("KITPREP_SHELF", str(tmp_path / "shelf"))
    monkeypatch.setenv("COLUMNS", "400")
    COLOURS.save(tmp_path / "a.png")
    said = "No colour profile tells the colours of the pages of Dusk Row, so they are taken for sRGB"
    ran = run("import", str(tmp_path / "a.png"), "--name", "Dusk Row", "--ppi", "300", "--whole")
    assert ran.code == 0
    assert said in " ".join((ran.out + ran.err).split())
    Image.new("RGB", (60, 40), (20, 90, 40)).save(tmp_path / "b.png")
    ran = run("import", str(tmp_path / "b.png"), "--name", "Dusk Row", "--ppi", "300", "--whole", "--json")
    (warning,) = [one for one in ran.json["warnings"] if one["code"] == "assumed-srgb"]
    assert warning["about"] == ran.json["kit"]
    assert said in warning["text"]
