"""What printers cannot reach, by the PPD files of Debian: quantiles for each side of letter and A4.

The defaults of ``kitprep printer add`` come from here. Fetch the collection and name its packages::

    apt-get download foomatic-db-compressed-ppds openprinting-ppds
    python3 scripts/printer_margins.py foomatic-db-compressed-ppds_*.deb openprinting-ppds_*.deb

A PPD states the printable area of each paper as left, bottom, right and top in points from the paper's
lower left corner (PostScript Printer Description File Format Specification 4.3, section 5.16,
``*ImageableArea``) and the paper's size beside it (``*PaperDimension``); margins are the difference. A
printer with several drivers counts once, with the median of what they state. Left out are

- margins below zero or above two inches, which are mistakes of the file,
- files without a margin on any side, which describe printing without borders,
- what the collection's generator writes for want of knowledge: 1/4 in at the sides, 1/2 in at head and foot.

A Debian package is an `ar` archive with a tar file in it (deb(5)); in the first package all files lie in
one program as text in base 64, packed by xz.
"""

from __future__ import annotations

import base64
import io
import json
import lzma
import re
import statistics
import sys
import tarfile
from collections import Counter, defaultdict
from collections.abc import Iterator
from pathlib import Path

PAPERS = ("Letter", "A4")
SIDES = ("left", "top", "right", "bottom")
QUANTILES = (0.5, 0.75, 0.9, 0.95, 0.99)
MOST = 144.0  # points
UNKNOWN = (18.0, 36.0, 18.0, 36.0)
"""Points; what almost every file of the first package says, of whatever printer."""
PACKED = re.compile(rb'ppds_compressed_b64 = b"([^"]+)"')
AREA = re.compile(r'^\*ImageableArea\s+(\w+)[^:]*:\s*"([^"]+)"', re.MULTILINE)
DIMENSION = re.compile(r'^\*PaperDimension\s+(\w+)[^:]*:\s*"([^"]+)"', re.MULTILINE)
NAME = re.compile(r'^\*(?:FoomaticIDs:\s*(\S+)|ModelName:\s*"([^"]+)")', re.MULTILINE)

Sides = tuple[float, float, float, float]
"""Left, top, right, bottom in points."""


def main() -> int:
    """Print the quantiles; 0 if there were any."""
    stated: dict[str, dict[str, list[Sides]]] = {paper: defaultdict(list) for paper in PAPERS}
    files = 0
    for package in map(Path, sys.argv[1:]):
        for ppd in ppds(package):
            files += 1
            for paper, sides in margins(ppd):
                stated[paper][printer(ppd)].append(sides)
    if not files:
        print(__doc__)
        return 2
    print(f"{files} PPD files")
    for paper in PAPERS:
        report(paper, [middle(of_drivers) for of_drivers in stated[paper].values()])
    return 0


def report(paper: str, printers: list[Sides]) -> None:
    """Print what printers state of one paper."""
    print(f"\n{paper}: {len(printers)} printers; margins in inches that this share of them keeps to")
    print("         " + "".join(f"{share:>8.0%}" for share in QUANTILES) + "   most frequent")
    for number, side in enumerate(SIDES):
        values = sorted(sides[number] for sides in printers)
        cells = "".join(f"{quantile(values, share) / 72:8.3f}" for share in QUANTILES)
        common = Counter(round(value / 72, 3) for value in values).most_common(3)
        words = ", ".join(f"{value:.3f} ({count / len(values):.0%})" for value, count in common)
        print(f"  {side:<7}{cells}   {words}")


def quantile(values: list[float], share: float) -> float:
    """The least value that at least this share of the values does not exceed; `values` in order."""
    return values[min(len(values) - 1, max(0, -int(-share * len(values) // 1) - 1))]


def middle(of_drivers: list[Sides]) -> Sides:
    """The median of each side."""
    left, top, right, bottom = (statistics.median(side) for side in zip(*of_drivers, strict=True))
    return left, top, right, bottom


def margins(ppd: str) -> Iterator[tuple[str, Sides]]:
    """The margins that a PPD states of letter and A4."""
    sizes = {name: numbers(text) for name, text in DIMENSION.findall(ppd)}
    for paper, text in AREA.findall(ppd):
        area, size = numbers(text), sizes.get(paper, [])
        if paper not in PAPERS or len(area) != 4 or len(size) != 2:
            continue
        sides = area[0], size[1] - area[3], size[0] - area[2], area[1]
        known = max(abs(one - other) for one, other in zip(sides, UNKNOWN, strict=True)) > 1
        if known and min(sides) >= 0 and 0 < max(sides) <= MOST:
            yield paper, sides


def numbers(text: str) -> list[float]:
    """The numbers of a text; nothing where a part of it is none."""
    try:
        return [float(word) for word in text.split()]
    except ValueError:
        return []


def printer(ppd: str) -> str:
    """Whose PPD it is."""
    found = NAME.search(ppd)
    return (found[1] or found[2]) if found else ppd


def ppds(package: Path) -> Iterator[str]:
    """The PPD files of a Debian package."""
    with tarfile.open(fileobj=io.BytesIO(_data(package.read_bytes()))) as tar:
        for member in tar:
            content = tar.extractfile(member)
            if content is None:
                continue
            raw = content.read()
            if member.name.endswith((".ppd", ".ppd.gz")):
                yield _text(raw, member.name)
            elif packed := PACKED.search(raw):
                yield from _unpacked(packed[1])


def _text(raw: bytes, name: str) -> str:
    import gzip

    return (gzip.decompress(raw) if name.endswith(".gz") else raw).decode("latin-1")


def _unpacked(packed: bytes) -> Iterator[str]:
    entries = json.loads(lzma.decompress(base64.b64decode(packed)))
    archive = lzma.decompress(base64.b64decode(entries.pop("ARCHIVE")))
    for start, length, _ in entries.values():
        yield archive[start : start + length].decode("latin-1")


def _data(deb: bytes) -> bytes:
    """The data archive within the package: members follow a header of 60 bytes, at even places."""
    at = len(b"!<arch>\n")
    while at < len(deb):
        name, size = deb[at : at + 16].decode("ascii").strip(" /"), int(deb[at + 48 : at + 58])
        if name.startswith("data.tar"):
            return deb[at + 60 : at + 60 + size]
        at += 60 + size + size % 2
    raise SystemExit("this is not a Debian package with files in it")


if __name__ == "__main__":
    sys.exit(main())
