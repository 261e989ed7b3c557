"""Drives a real Chromium through the Chrome DevTools Protocol, over the pipe that it offers.

Messages are JSON texts that end in a zero byte; the browser reads them on its file descriptor 3 and writes
on 4 (``--remote-debugging-pipe``).
"""

from __future__ import annotations

import base64
import json
import os
import select
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")
FLAGS = (
    "--headless", "--disable-gpu", "--no-first-run", "--disable-background-networking",
    "--disable-sync", "--disable-dev-shm-usage", "--hide-scrollbars", "--remote-debugging-pipe",
)  # fmt: skip
PLACE = (
    "import os, sys, fcntl as f; high = [f.fcntl(int(n), f.F_DUPFD, 10) for n in sys.argv[1:3]];"
    "[os.dup2(n, place) for n, place in zip(high, (3, 4))]; os.execv(sys.argv[3], sys.argv[3:])"
)
PATIENCE_S = 20.0


def find_browser() -> str | None:
    return next((path for path in map(shutil.which, NAMES) if path), None)


class PageFault(AssertionError):
    """The page threw, or did not become what was waited for."""


class Tab:
    """One page in the browser."""

    def __init__(self, to_browser: int, from_browser: int) -> None:
        self._to, self._from = to_browser, from_browser
        self._number, self._rest = 0, b""
        self._session: str | None = None
        self.faults: list[str] = []
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        self._session = self.call("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        for domain in ("Page", "Runtime", "Log"):
            self.call(f"{domain}.enable")

    def call(self, method: str, **params: Any) -> dict[str, Any]:
        self._number += 1
        message = {"id": self._number, "method": method, "params": params}
        if self._session:
            message["sessionId"] = self._session
        os.write(self._to, json.dumps(message).encode() + b"\0")
        deadline = time.monotonic() + PATIENCE_S
        while True:
            answer = self._read(deadline)
            if answer.get("id") == self._number:
                if "error" in answer:
                    raise PageFault(f"{method}: {answer['error']['message']}")
                return dict(answer["result"])
            self._note(answer)

    def _read(self, deadline: float) -> dict[str, Any]:
        while b"\0" not in self._rest:
            if not select.select([self._from], [], [], max(0.0, deadline - time.monotonic()))[0]:
                raise PageFault("the browser does not answer")
            chunk = os.read(self._from, 1 << 20)
            if not chunk:
                raise PageFault("the browser has closed")
            self._rest += chunk
        text, _, self._rest = self._rest.partition(b"\0")
        return dict(json.loads(text))

    def _note(self, event: dict[str, Any]) -> None:
        params = event.get("params", {})
        if event.get("method") == "Runtime.exceptionThrown":
            details = params["exceptionDetails"]
            self.faults.append(details.get("exception", {}).get("description") or details["text"])
        if event.get("method") == "Log.entryAdded" and params["entry"]["level"] == "error":
            self.faults.append(f"{params['entry']['text']} {params['entry'].get('url', '')}")

    def size(self, width: int, height: int) -> None:
        self.call("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1,
                  mobile=width < 600)  # fmt: skip

    def open(self, address: str) -> None:
        self.call("Page.navigate", url=address)
        self.wait("document.body?.dataset.ready === 'true'")

    def run(self, script: str) -> Any:
        result = self.call("Runtime.evaluate", expression=script, awaitPromise=True, returnByValue=True)
        if "exceptionDetails" in result:
            raise PageFault(result["exceptionDetails"].get("exception", {}).get("description", "?"))
        return result["result"].get("value")

    def wait(self, condition: str, seconds: float = PATIENCE_S) -> None:
        """Wait until a JavaScript expression is true."""
        deadline = time.monotonic() + seconds
        while time.monotonic() < deadline:
            if self.run(f"Boolean({condition})"):
                return
            time.sleep(0.05)
        shown = self.run("document.body.innerText")
        raise PageFault(f"{condition} did not come true; faults: {self.faults}; page: {shown[:1500]}")

    def click(self, selector: str) -> None:
        """Click the middle of what a selector finds, as a mouse does."""
        place = self.run(
            f"(() => {{ const node = document.querySelector({json.dumps(selector)});"
            " node.scrollIntoView({block: 'center'}); const box = node.getBoundingClientRect();"
            " return [box.x + box.width / 2, box.y + box.height / 2]; })()"
        )
        self.drag(place, place)

    def drag(self, start: list[float], end: list[float]) -> None:
        self._mouse("mouseMoved", start, 0)
        self._mouse("mousePressed", start, 1)
        if start != end:
            self._mouse("mouseMoved", [(a + b) / 2 for a, b in zip(start, end, strict=True)], 1)
            self._mouse("mouseMoved", end, 1)
        self._mouse("mouseReleased", end, 0)

    def _mouse(self, kind: str, place: list[float], buttons: int) -> None:
        button = "none" if kind == "mouseMoved" else "left"
        self.call("Input.dispatchMouseEvent", type=kind, x=place[0], y=place[1], button=button,
                  buttons=buttons, clickCount=1)  # fmt: skip

    def type_over(self, selector: str, text: str) -> None:
        """Put text in place of what an input holds, as typing does."""
        self.run(
            f"(() => {{ const i = document.querySelector({json.dumps(selector)}); i.focus(); i.select(); }})()"
        )
        self.call("Input.insertText", text=text)

    def give_files(self, selector: str, *paths: Path) -> None:
        root = self.call("DOM.getDocument")["root"]["nodeId"]
        node = self.call("DOM.querySelector", nodeId=root, selector=selector)["nodeId"]
        self.call("DOM.setFileInputFiles", nodeId=node, files=[str(path) for path in paths])

    def picture(self, path: Path, whole: bool = False) -> None:
        shot = self.call("Page.captureScreenshot", format="png", captureBeyondViewport=whole)
        path.write_bytes(base64.b64decode(shot["data"]))


@contextmanager
def opened(browser: str, profile: Path) -> Iterator[Tab]:
    """A tab of a browser of its own; closed with it at the end."""
    to_read, to_write = os.pipe()
    from_read, from_write = os.pipe()
    # Through a program of two lines that places the descriptors at 3 and 4 and then becomes the browser.
    as_root = ["--no-sandbox"] if os.geteuid() == 0 else []  # Chromium has no sandbox for root
    place = [sys.executable, "-c", PLACE, str(to_read), str(from_write)]
    process = subprocess.Popen(
        [*place, browser, *FLAGS, *as_root, f"--user-data-dir={profile}"],
        pass_fds=(to_read, from_write),
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    os.close(to_read)
    os.close(from_write)
    try:
        yield Tab(to_write, from_read)
    finally:
        os.close(to_write)
        os.close(from_read)
        process.terminate()
        try:
            process.wait(10)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait(10)
