"""The index over all kits, in SQLite: quick answers without reading every `kit.toml`.

It holds nothing of its own. Whatever is missing, older than its `kit.toml` or damaged is read again from
there; a shelf that cannot be written to gets an index in memory. SQLite's own locks and journal keep two
processes and a crash from harming the file.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from kitprep.errors import ShelfProblem
from kitprep.files.shelf.arriving import identity
from kitprep.files.shelf.kitfile import read_kit
from kitprep.lengths import Length, Size
from kitprep.pages import Kind, Kit, PagePpi, PpiSource

_VERSION = 1  # of the tables below; another version is thrown away and built anew
_WAIT_S = 5.0
_TABLES = """
CREATE TABLE kit (
    slug TEXT PRIMARY KEY, stamp TEXT NOT NULL, problem TEXT, identity TEXT, name TEXT, maker TEXT,
    imported TEXT, pages INTEGER, elements INTEGER, has_terms INTEGER
);
CREATE TABLE page (slug TEXT NOT NULL, number INTEGER NOT NULL, PRIMARY KEY (slug, number));
CREATE TABLE element (
    slug TEXT NOT NULL, page INTEGER NOT NULL, number INTEGER NOT NULL, kind TEXT NOT NULL,
    words TEXT NOT NULL, hay TEXT NOT NULL, width INTEGER NOT NULL, height INTEGER NOT NULL,
    across_px REAL NOT NULL, down_px REAL NOT NULL, ppi_x REAL NOT NULL, ppi_y REAL NOT NULL,
    ppi_from TEXT NOT NULL, confidence REAL NOT NULL, by_hand INTEGER NOT NULL, unwanted INTEGER NOT NULL,
    PRIMARY KEY (slug, page, number)
);
"""


@dataclass(frozen=True, slots=True)
class KitSummary:
    """What a list of kits says of one.

    Parameters
    ----------
    slug, name, maker, imported : str
        As in `Kit`.
    pages, elements : int
        How many; elements that are likely not wanted are not counted.
    has_terms : bool
        Whether its terms of use are recorded.
    """

    slug: str
    name: str
    maker: str
    imported: str
    pages: int
    elements: int
    has_terms: bool


@dataclass(frozen=True, slots=True)
class ElementSummary:
    """What a list of elements says of one.

    Parameters
    ----------
    id : str
        In full: ``lantern-orchard/p02-07``.
    kit, kit_name : str
        Slug and name of its kit.
    page, number : int
        Its page and its number there.
    kind : Kind
        What it is.
    words : tuple of str
        Words a person gave it.
    size : Size
        Printed size at the page's own resolution, once straight.
    straight_size_px : tuple of float
        Width and height in pixels, once straight.
    ppi : PagePpi
        The page's resolution.
    confidence : float
        0 to 1, how sure the split is of it.
    by_hand, unwanted : bool
        As in `Element`.
    """

    id: str
    kit: str
    kit_name: str
    page: int
    number: int
    kind: Kind
    words: tuple[str, ...]
    size: Size
    straight_size_px: tuple[float, float]
    ppi: PagePpi
    confidence: float
    by_hand: bool
    unwanted: bool


class Catalogue:
    """The index of one shelf, brought up to date whenever it is asked.

    Parameters
    ----------
    shelf : Path
        The shelf's folder.
    """

    def __init__(self, shelf: Path) -> None:
        self._kits = shelf / "kits"
        self._file = shelf / "catalogue.sqlite"

    def kits(self) -> tuple[KitSummary, ...]:
        """Every sound kit, newest first."""
        rows = self._ask(
            "SELECT slug, name, maker, imported, pages, elements, has_terms FROM kit"
            " WHERE problem IS NULL ORDER BY imported DESC, slug"
        )
        return tuple(
            KitSummary(slug, name, maker, imported, pages, elements, bool(has_terms))
            for slug, name, maker, imported, pages, elements, has_terms in rows
        )

    def problems(self) -> dict[str, str]:
        """What is wrong with each kit that cannot be read, by slug."""
        return dict(self._ask("SELECT slug, problem FROM kit WHERE problem IS NOT NULL ORDER BY slug"))

    def kit_of(self, bought: str) -> str | None:
        """The slug of the sound kit with that identity of its originals."""
        rows = self._ask("SELECT slug FROM kit WHERE identity = ? ORDER BY slug", [bought])
        return rows[0][0] if rows else None

    def element_ids(self) -> list[str]:
        """The id of every element, in order."""
        rows = self._ask("SELECT slug, page, number FROM element ORDER BY slug, page, number")
        return [f"{slug}/p{page:02d}-{number:02d}" for slug, page, number in rows]

    def page_ids(self) -> list[str]:
        """The id of every page, in order."""
        rows = self._ask("SELECT slug, number FROM page ORDER BY slug, number")
        return [f"{slug}/p{number:02d}" for slug, number in rows]

    def elements(
        self, words: Sequence[str], kind: Kind | None, kit: str | None
    ) -> tuple[ElementSummary, ...]:
        """The elements that have every word in their words, kind, maker or kit's name; all without words."""
        tests = ["instr(element.hay, ?) > 0"] * len(words)
        values: list[object] = [word.casefold() for word in words]
        for column, wanted in (("element.kind", kind.value if kind else None), ("element.slug", kit)):
            if wanted is not None:
                tests.append(f"{column} = ?")
                values.append(wanted)
        where = f" WHERE {' AND '.join(tests)}" if tests else ""
        rows = self._ask(
            "SELECT element.slug, kit.name, page, number, kind, words, width, height, across_px, down_px,"
            " ppi_x, ppi_y, ppi_from, confidence, by_hand, unwanted"
            f" FROM element JOIN kit USING (slug){where}"
            " ORDER BY kit.imported DESC, element.slug, page, number",
            values,
        )
        return tuple(_summary(row) for row in rows)

    def _ask(self, question: str, values: Sequence[object] = ()) -> list[tuple[Any, ...]]:
        try:
            with closing(self._open()) as database:
                return database.execute(question, values).fetchall()
        except sqlite3.DatabaseError:
            with suppress(OSError):
                self._file.unlink(missing_ok=True)
            with closing(self._in_memory()) as database:
                return database.execute(question, values).fetchall()

    def _open(self) -> sqlite3.Connection:
        stamps = self._stamps()
        if not self._file.parent.is_dir() or not (stamps or self._file.exists()):
            return self._in_memory()
        database = sqlite3.connect(self._file, timeout=_WAIT_S)
        try:
            self._refresh(database, stamps)
        except sqlite3.OperationalError:  # no file can be made here, or another holds it for long
            database.close()
            return self._in_memory()
        except BaseException:
            database.close()
            raise
        return database

    def _in_memory(self) -> sqlite3.Connection:
        database = sqlite3.connect(":memory:")
        self._refresh(database, self._stamps())
        return database

    def _refresh(self, database: sqlite3.Connection, stamps: dict[str, str]) -> None:
        if not _has_tables(database):
            _build_tables(database)
        known = dict(database.execute("SELECT slug, stamp FROM kit"))
        if known == stamps:
            return
        with database:
            for slug in known.keys() - stamps.keys():
                _forget(database, slug)
            for slug in sorted(stamps):
                if known.get(slug) != stamps[slug]:
                    _forget(database, slug)
                    _enter(database, slug, stamps[slug], self._kits / slug / "kit.toml")

    def _stamps(self) -> dict[str, str]:
        found = {}
        for folder in _folders(self._kits):
            try:
                facts = (folder / "kit.toml").stat()
                found[folder.name] = f"{facts.st_ino}-{facts.st_mtime_ns}-{facts.st_size}"
            except OSError as error:
                found[folder.name] = f"unreadable {error.errno}"
        return found


def _folders(kits: Path) -> list[Path]:
    if not kits.is_dir():
        return []
    return sorted(path for path in kits.iterdir() if path.is_dir() and not path.name.startswith("."))


def _has_tables(database: sqlite3.Connection) -> bool:
    version = database.execute("PRAGMA user_version").fetchone()[0]
    names = {name for (name,) in database.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    return version == _VERSION and names >= {"kit", "page", "element"}


def _build_tables(database: sqlite3.Connection) -> None:
    with database:
        for table in ("kit", "page", "element"):
            database.execute(f"DROP TABLE IF EXISTS {table}")
        for statement in _TABLES.split(";"):
            database.execute(statement)
        database.execute(f"PRAGMA user_version = {_VERSION}")


def _forget(database: sqlite3.Connection, slug: str) -> None:
    for table in ("kit", "page", "element"):
        database.execute(f"DELETE FROM {table} WHERE slug = ?", [slug])


def _enter(database: sqlite3.Connection, slug: str, stamp: str, path: Path) -> None:
    try:
        kit = read_kit(path, slug)
    except ShelfProblem as problem:
        database.execute(
            "INSERT INTO kit (slug, stamp, problem) VALUES (?, ?, ?)", [slug, stamp, str(problem)]
        )
        return
    wanted = sum(not element.unwanted for page in kit.pages for element in page.elements)
    database.execute(
        "INSERT INTO kit VALUES (?, ?, NULL, ?, ?, ?, ?, ?, ?, ?)",
        [
            slug,
            stamp,
            identity(kit.originals),
            kit.name,
            kit.maker,
            kit.imported,
            len(kit.pages),
            wanted,
            kit.terms != "",
        ],
    )
    database.executemany("INSERT INTO page VALUES (?, ?)", [(slug, page.number) for page in kit.pages])
    database.executemany(f"INSERT INTO element VALUES ({', '.join('?' * 16)})", _element_rows(kit))


def _element_rows(kit: Kit) -> Iterable[tuple[object, ...]]:
    for page in kit.pages:
        for element in page.elements:
            size = element.size(page.ppi)
            hay = "\n".join([*element.words, element.kind.value, kit.name, kit.maker]).casefold()
            yield (
                *(kit.slug, page.number, element.number, element.kind.value),
                *(json.dumps(element.words), hay, size.width.emu, size.height.emu),
                *(*element.straight_size_px, page.ppi.x, page.ppi.y, page.ppi.source.value),
                *(element.confidence, element.by_hand, element.unwanted),
            )


def _summary(row: tuple[Any, ...]) -> ElementSummary:
    slug, kit_name, page, number, kind, words, width, height, across, down = row[:10]
    ppi_x, ppi_y, ppi_from, confidence, by_hand, unwanted = row[10:]
    return ElementSummary(
        id=f"{slug}/p{page:02d}-{number:02d}",
        kit=slug,
        kit_name=kit_name,
        page=page,
        number=number,
        kind=Kind(kind),
        words=tuple(json.loads(words)),
        size=Size(Length(width), Length(height)),
        straight_size_px=(across, down),
        ppi=PagePpi(ppi_x, ppi_y, PpiSource(ppi_from)),
        confidence=confidence,
        by_hand=bool(by_hand),
        unwanted=bool(unwanted),
    )
