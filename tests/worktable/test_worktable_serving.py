"""The worktable opens where it is told to, and a person can use it in a real browser."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest
from worktable import browser

import kitprep.worktable
from kitprep.cli.exits import exit_code
from kitprep.errors import BadOption, PortTaken
from kitprep.jobs.values import Kind
from kitprep.worktable import serve
from kitprep.worktable.serving import listening


@pytest.fixture
def process(shelf: Path) -> Iterator[subprocess.Popen[str]]:
    """``kitprep worktable`` as a person starts it."""
    words = [
        sys.executable,
        "-m",
        "kitprep",
        "--shelf",
        str(shelf),
        "worktable",
        "--port",
        "0",
        "--no-browser",
    ]
    with subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True) as running:
        yield running
        running.terminate()


def address_of(process: subprocess.Popen[str]) -> str:
    assert process.stdout is not None
    line = process.stdout.readline()
    assert line.startswith("The worktable is open at http://127.0.0.1:"), line
    return line.split()[-1]


def test_a_port_in_use_is_wrong_use_and_says_what_to_do() -> None:
    with listening(0) as listener:
        port = listener.getsockname()[1]
        with pytest.raises(PortTaken, match=f"port {port} .* --port 0") as raised:
            serve(None, port, open_browser=False)
    assert exit_code(raised.value) == 2


def test_a_port_that_cannot_be_is_refused() -> None:
    with pytest.raises(BadOption, match="65535"):
        serve(None, 65_536, open_browser=False)


def test_it_listens_on_this_machine_only() -> None:
    with listening(0) as listener:
        assert listener.getsockname()[0] == "127.0.0.1"


@pytest.mark.skipif(os.name == "nt", reason="Windows has no SIGINT to send to one process")
def test_it_closes_with_a_sentence_when_it_is_interrupted(process: subprocess.Popen[str]) -> None:
    assert httpx.get(address_of(process)).status_code == 200
    process.send_signal(signal.SIGINT)
    rest, _ = process.communicate(timeout=15)
    assert "The worktable is closed." in rest
    assert "Traceback" not in rest
    assert process.returncode == 0


@pytest.mark.skipif(os.name == "nt", reason="the browser's pipe is set up through a POSIX shell")
def test_the_page_says_what_is_changed_of_a_kit_that_it_knows(
    process: subprocess.Popen[str], bought: Path, tmp_path: Path
) -> None:
    found = browser.find_browser()
    if found is None:
        pytest.skip(f"none of {', '.join(browser.NAMES)} is installed to open the page with")
    with browser.opened(found, tmp_path / "profile") as tab:
        tab.size(1280, 900)
        tab.open(address_of(process) + "#kits")
        tab.type_over(".tray .pair input", "Orchard by Night")
        tab.give_files("#kit-files", *sorted(bought.iterdir()))
        tab.wait("document.querySelector('.tray .said b')")
        said = "Orchard by Night is on the shelf already; its name is changed."
        assert tab.run("document.querySelector('.tray .said b').innerText") == said
        assert tab.faults == []


@pytest.mark.skipif(os.name == "nt", reason="the browser's pipe is set up through a POSIX shell")
def test_a_person_makes_a_sheet_in_a_real_browser(process: subprocess.Popen[str], tmp_path: Path) -> None:
    found = browser.find_browser()
    if found is None:
        pytest.skip(f"none of {', '.join(browser.NAMES)} is installed to open the page with")
    with browser.opened(found, tmp_path / "profile") as tab:
        tab.size(1280, 900)
        tab.open(address_of(process))
        tab.wait(
            "[...document.querySelectorAll('.specimen img')].filter(i => i.naturalWidth > 20).length === 3"
        )

        tab.click("[data-id='orchard-scraps/p01-01']")
        tab.wait("document.querySelector('dialog[open] #closeup-size')")
        tab.type_over("#closeup-size", "2 in wide")
        tab.wait("document.querySelector('dialog .grade.blurry')")
        tab.type_over("#closeup-size", "1/2 in wide")
        tab.wait("document.querySelector('dialog .grade.crisp')")
        tab.click("dialog .main")
        tab.wait("document.querySelector('.piece .grade.crisp')")

        tab.type_over(".piece .size input", "twice as large")
        tab.wait("document.querySelector('.piece .wrong')?.innerText.includes('is neither a size')")
        tab.type_over(".piece .size input", "2 in wide")
        tab.wait("document.querySelector('.piece .grade.blurry')")
        tab.open(tab.run("location.href") + "?again")
        tab.wait("document.querySelector('.piece .size input')?.value === '2 in wide'")

        tab.click("#make")
        tab.wait("document.querySelector('#sheets figure img')?.naturalWidth === 935")
        shown = tab.run("document.querySelector('#sheets').innerText")
        assert "no fewer are possible" in shown
        assert "100 %, actual size" in shown
        assert "Blades cut fingers" in shown

        tab.run("location.hash = '#pages/orchard-scraps/p01'")
        tab.wait("document.querySelectorAll('.outline').length === 3")
        left, top, inch = tab.run(
            "(() => { const svg = document.querySelector('.leaf svg'); svg.scrollIntoView();"
            " const box = svg.getBoundingClientRect(); return [box.x, box.y, box.width / 8.5]; })()"
        )
        tab.drag([left + 4 * inch, top + 3 * inch], [left + 5.5 * inch, top + 5 * inch])
        tab.wait("document.querySelector('.tools p').innerText.includes('is added')")
        tab.wait("document.querySelectorAll('.outline').length === 4")
        tab.click("#undo")
        tab.wait("document.querySelectorAll('.outline').length === 3")

        tab.size(390, 844)
        for view in ("kits", "elements", "pages", "list", "sheets"):
            tab.run(f"location.hash = '#{view}'")
            tab.wait(f"document.body.dataset.view === '{view}'")
            assert tab.run("document.documentElement.scrollWidth") <= 390, view
        assert tab.faults == []


def test_no_script_of_the_page_names_the_kinds_that_the_server_tells() -> None:
    for script in (Path(kitprep.worktable.__file__).parent / "static").glob("*.js"):
        named = {kind for kind in Kind if f'"{kind.value}"' in script.read_text(encoding="utf-8")}
        assert not named & {Kind.STAMP, Kind.TAG, Kind.STRIP}, script.name
