"""What one printer cannot reach and how far it is off true size, kept by name in `printers.toml`."""

from __future__ import annotations

import difflib
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kitprep.errors import (
    BadLength,
    BadOption,
    NoSuchPrinter,
    ScaledByDialog,
    ShelfDamaged,
    ShelfTooNew,
)
from kitprep.files.replace import write_bytes
from kitprep.files.shelf.lock import write_lock
from kitprep.files.tomltext import Fields, TomlFault, parse_toml
from kitprep.lengths import ZERO, Box, Length, inches, read_length
from kitprep.papers import Margins

if TYPE_CHECKING:
    import tomlkit

FORMAT = 1
_MEND = "mend that file, or delete it and add your printers again"
WORST_SCALE = Fraction(3, 100)
"""No printer is off by more: that is "fit to page". A bound of our own choice, no published source."""
WORST_OFFSET = inches("1/2")
"""Beside its place; more is another page, another paper or a slip. A bound of our own choice."""


@dataclass(frozen=True, slots=True)
class Printer:
    """One printer as it was measured.

    Parameters
    ----------
    name : str
        As its owner calls it.
    margins : Margins
        What it cannot reach.
    scale_x, scale_y : Fraction
        Printed length over true length, across and down the sheet; 1 where it is true.
    offset_x, offset_y : Length
        How far right and down of its place it prints what belongs at the paper's top left corner: what
        belongs at x is printed at ``scale_x * x + offset_x``.
    tested : str
        The paper of the test page that was written last; empty for none yet.
    """

    name: str
    margins: Margins
    scale_x: Fraction = Fraction(1)
    scale_y: Fraction = Fraction(1)
    offset_x: Length = ZERO
    offset_y: Length = ZERO
    tested: str = ""

    @property
    def is_measured(self) -> bool:
        """Whether it is known to be off."""
        return not (self.scale_x == self.scale_y == 1 and self.offset_x == self.offset_y == ZERO)

    def measured(self, frame: Box, read: Readings) -> Printer:
        """The printer after its test page was measured.

        Parameters
        ----------
        frame : Box
            The frame of that page, where it belongs.
        read : Readings
            What a ruler shows of it.

        Raises
        ------
        ScaledByDialog
            If width or height is more than 3 % off.
        BadOption
            If the frame lies more than half an inch beside its place, or a reading is not above zero.
        """
        for option, reading, true in (
            ("--width", read.width, frame.width),
            ("--height", read.height, frame.height),
        ):
            if reading <= ZERO:
                raise BadOption(
                    option, reading.text(), f"what a ruler shows; it should be near {true.text()}"
                )
            if abs(reading / true - 1) > WORST_SCALE:
                raise ScaledByDialog(f"{float(reading / true):.1%}", true.text(), reading.text())
        scale_x, scale_y = read.width / frame.width, read.height / frame.height
        return replace(
            self,
            scale_x=scale_x,
            scale_y=scale_y,
            offset_x=_offset("--left", read.left, frame.left, scale_x),
            offset_y=_offset("--top", read.top, frame.top, scale_y),
        )


@dataclass(frozen=True, slots=True)
class Readings:
    """What a ruler shows of a test page's frame.

    Parameters
    ----------
    width, height : Length
        Of the frame.
    left, top : Length or None
        From the paper's left and upper edge to the frame; None where not measured.
    """

    width: Length
    height: Length
    left: Length | None = None
    top: Length | None = None


def _offset(option: str, reading: Length | None, true: Length, scale: Fraction) -> Length:
    if reading is None:
        return ZERO
    if max(reading - true, true - reading) > WORST_OFFSET:
        needed = f"the distance from the paper's edge to the frame; it should be near {true.text()}"
        raise BadOption(option, reading.text(), needed)
    return reading - true.scaled(scale)


class Printers:
    """The printers of one shelf.

    Parameters
    ----------
    shelf : Path
        The shelf's folder.
    """

    def __init__(self, shelf: Path) -> None:
        self._shelf = shelf
        self._file = shelf / "printers.toml"

    def list(self) -> tuple[Printer, ...]:
        """All printers, by name.

        Raises
        ------
        ShelfDamaged
            If `printers.toml` cannot be read; names the line.
        """
        if not self._file.exists():
            return ()
        try:
            top = parse_toml(self._file.read_text("utf-8"))
            if top.whole("format", FORMAT) > FORMAT:
                raise ShelfTooNew(str(self._file), top.whole("format"), FORMAT)
            found = [_printer(fields) for fields in top.tables("printer")]
        except TomlFault as fault:
            where = f"line {fault.line}: {fault.what}" if fault.line else fault.what
            raise ShelfDamaged(str(self._file), where, _MEND) from None
        except (OSError, UnicodeDecodeError) as error:
            raise ShelfDamaged(str(self._file), str(error).lower(), _MEND) from error
        return tuple(sorted(found, key=lambda printer: printer.name.casefold()))

    def get(self, name: str) -> Printer:
        """The printer of a name, upper and lower case alike.

        Raises
        ------
        NoSuchPrinter
            If there is none.
        """
        known = self.list()
        for printer in known:
            if printer.name.casefold() == name.strip().casefold():
                return printer
        names = [printer.name for printer in known]
        raise NoSuchPrinter(name, difflib.get_close_matches(name, names, n=3) or names)

    def put(self, printer: Printer) -> None:
        """Add a printer, or replace the one of the same name; comments in the file stay.

        Raises
        ------
        BadOption
            If its name is empty.
        CannotWrite, ShelfBusy, ShelfDamaged
            If the shelf cannot be written to, is in use, or its file cannot be read.
        """
        if not printer.name.strip():
            raise BadOption("the printer's name", printer.name, "a name such as 'kitchen'")
        with write_lock(self._shelf):
            document, rows = self._document()
            kept = [row for row in rows if row["name"].casefold() == printer.name.casefold()]
            if kept:
                kept[0].update(_values(printer))
            else:
                _append(rows, printer)
            self._write(document)

    def remove(self, name: str) -> Printer:
        """Forget a printer; errors as `get` and `put`."""
        printer = self.get(name)
        with write_lock(self._shelf):
            document, rows = self._document()
            places = [i for i, row in enumerate(rows) if row["name"].casefold() == printer.name.casefold()]
            for place in reversed(places):
                del rows[place]
            self._write(document)
        return printer

    def _document(self) -> tuple[tomlkit.TOMLDocument, Any]:
        import tomlkit

        self.list()  # words what is wrong with the file before it is edited
        if self._file.exists():
            document = tomlkit.parse(self._file.read_text("utf-8"))
        else:
            document = tomlkit.document()
            document.add(
                tomlkit.comment("Printers measured with kitprep. scale = printed length / true length.")
            )
            document.add("format", tomlkit.item(FORMAT))
            document.add(tomlkit.nl())
        if "printer" not in document:
            document.append("printer", tomlkit.aot())
        return document, document["printer"]

    def _write(self, document: tomlkit.TOMLDocument) -> None:
        import tomlkit

        write_bytes(self._file, tomlkit.dumps(document).encode("utf-8"), overwrite=True)


def _values(printer: Printer) -> dict[str, object]:
    sides = printer.margins
    margin = [side.exact_text() for side in (sides.left, sides.top, sides.right, sides.bottom)]
    values: dict[str, object] = {
        "margin": margin,
        "scale": [str(printer.scale_x), str(printer.scale_y)],
        "offset": [printer.offset_x.exact_text(), printer.offset_y.exact_text()],
    }
    return values | ({"tested": printer.tested} if printer.tested else {})


def _append(rows: Any, printer: Printer) -> None:
    import tomlkit

    if rows:
        rows[-1].add(tomlkit.nl())
    rows.append(_table(printer))


def _table(printer: Printer) -> tomlkit.items.Table:
    import tomlkit

    table = tomlkit.table()
    table.add("name", printer.name)
    for key, value in _values(printer).items():
        table.add(key, value)
    return table


def _printer(fields: Fields) -> Printer:
    scale_x, scale_y = _scales(fields)
    offset_x, offset_y = _lengths(fields, "offset", 2, ("0 in", "0 in"))
    margins = Margins(*_lengths(fields, "margin", 4))
    name, tested = fields.text("name"), fields.text("tested", "")
    return Printer(name, margins, scale_x, scale_y, offset_x, offset_y, tested)


def _lengths(
    fields: Fields, key: str, count: int, default: tuple[str, ...] | None = None
) -> tuple[Length, ...]:
    texts = fields.texts(key, default)
    try:
        lengths = tuple(read_length(text) for text in texts)
    except BadLength as error:
        raise fields.fault(key, error.what, error.next_step) from None
    if len(lengths) != count:
        raise fields.fault(key, f"{key} must be {count} lengths", 'write each like "1/4 in"')
    return lengths


def _scales(fields: Fields) -> tuple[Fraction, Fraction]:
    texts = fields.texts("scale", ("1", "1"))
    try:
        across, down = (Fraction(text) for text in texts)
        if min(across, down) > 0:
            return across, down
    except (ValueError, ZeroDivisionError):
        pass
    raise fields.fault("scale", "scale must be two ratios above zero", 'write it like ["1", "401/400"]')
