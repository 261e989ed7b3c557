"""The main job on the demo kit: ``python3 scripts/demo.py``.

Makes its own environment the first time. Zips the Lantern Orchard kit as a shop would send it, brings it
onto a fresh shelf, and makes cut-ready sheets of the make-list beside it, with the very commands a person
types. Opens nothing; says at the end where the results are and how the split did against the truth.
"""

from __future__ import annotations

import io
import json
import os
import shutil
import subprocess
import sys
import time
import zipfile
from pathlib import Path

from environment import ROOT, RUNTIME, ready

KIT = ROOT / "demo_kit"
RESULT = ROOT / "demo_result"
SHELF = RESULT / "shelf"
FIGURE = "p04-05"  # the beekeeper, too small for what the make-list asks
ASKED, POSSIBLE = "3 3/4 in tall", "2 1/2 in tall"
UTF8 = {**os.environ, "PYTHONUTF8": "1"}  # the commands answer in one encoding on every system
ENOUGH_OVERLAP = 0.9  # of box areas, intersection over union: nothing a person would trim again


def main() -> int:
    """Run the demo; 0 if every command did what it should."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="replace")
    python = ready(RUNTIME)
    started = time.monotonic()
    _clear(RESULT)
    bought = _as_sold()
    files = {
        name: str(RESULT / name)
        for name in ("contact.png", "figure.png", "sheets.pdf", "preview.png", "guide.pdf")
    }

    def kitprep(*words: str, expect: int = 0) -> str:
        shown = " ".join(f'"{word}"' if " " in word else word for word in words)
        print(f"\n$ kitprep {shown.replace(str(ROOT), '.')}", flush=True)
        command = [str(python), "-m", "kitprep", "--shelf", str(SHELF), *words]
        done = subprocess.run(
            command, cwd=ROOT, env=UTF8, stdout=subprocess.PIPE, text=True, encoding="utf-8", check=False
        )
        if done.returncode != expect:
            raise SystemExit(f"That should have ended with {expect}, and ended with {done.returncode}.")
        return done.stdout

    print(kitprep("import", str(bought), "--maker", "Quillmoss Paper Room"))
    print(kitprep("elements"))
    kitprep("elements", "--picture", files["contact.png"])
    print(kitprep("check", FIGURE, "--size", ASKED, "--strict", expect=5))
    print(kitprep("resize", FIGURE, "--size", POSSIBLE, "-o", files["figure.png"]))
    outputs = ("-o", files["sheets.pdf"], "--preview", files["preview.png"], "--guide", files["guide.pdf"])
    answer = json.loads(kitprep("sheet", str(KIT / "harvest-supper-card.toml"), *outputs, "--json"))
    _summary(answer, time.monotonic() - started)
    return 0


def _clear(folder: Path) -> None:
    """Make a folder empty; originals on a shelf are read-only, which Windows minds."""
    for path in folder.rglob("*"):
        if path.is_file():
            path.chmod(0o600)
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(exist_ok=True)


def _as_sold() -> Path:
    """The kit as one ZIP, as a shop would send it."""
    path = RESULT / "lantern-orchard.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for page in sorted((KIT / "pages").iterdir()):
            archive.write(page, f"Lantern Orchard/{page.name}")
    return path


def _summary(answer: dict[str, object], seconds: float) -> None:
    truth = json.loads((KIT / "truth.json").read_text(encoding="utf-8"))
    boxes = _boxes_by_page()
    wanted = [(number, e) for number, page in enumerate(truth["pages"], 1) for e in page["elements"]]
    met = sum(
        any(_overlap(e["box_px"], box) >= ENOUGH_OVERLAP for box in boxes.get(f"p{number:02d}", []))
        for number, e in wanted
    )
    sheets = answer["sheets"]
    assert isinstance(sheets, list)
    pieces = sum(len(sheet["placements"]) for sheet in sheets)
    used = ", ".join(f"{sheet['used']:.0%}" for sheet in sheets)
    least = "no fewer are possible" if answer["proved"] else f"at least {answer['bound']} are needed"
    print("\nDone: the demo kit became cut-ready sheets.")
    print(
        f"  Elements: {sum(map(len, boxes.values()))} found; {met} of the {len(wanted)} that were drawn "
        f"are met within {1 - ENOUGH_OVERLAP:.0%}."
    )
    print(f"  Sheets:   {len(sheets)} for {pieces} pieces ({least}); used: {used}.")
    print(f"  Time:     {seconds:.1f} s for all of it, start of Python included.")
    print(f"  Look at:  {RESULT}")
    for name in ("contact.png", "figure.png", "sheets.pdf", "preview.png", "guide.pdf"):
        print(f"            {name}")


def _boxes_by_page() -> dict[str, list[list[int]]]:
    """The boxes in the kit's own file on the shelf, the truth about it."""
    import tomllib

    kit = tomllib.loads((SHELF / "kits" / "lantern-orchard" / "kit.toml").read_text(encoding="utf-8"))
    return {f"p{page['number']:02d}": [e["box_px"] for e in page["element"]] for page in kit["page"]}


def _overlap(one: list[int], other: list[int]) -> float:
    width = min(one[2], other[2]) - max(one[0], other[0])
    height = min(one[3], other[3]) - max(one[1], other[1])
    common = max(width, 0) * max(height, 0)
    areas = sum((box[2] - box[0]) * (box[3] - box[1]) for box in (one, other))
    return common / (areas - common)


if __name__ == "__main__":
    sys.exit(main())
