"""Reports as JSON documents: the answers of ``--json`` and of the worktable.

Lengths are inches as numbers with at most six decimals; keys that end in ``_px`` are in pixels. Keys are
fixed by the project's agreement; new ones may come, none goes.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from kitprep import wording
from kitprep.detail.grades import Grade
from kitprep.lengths import EMU_PER_INCH

if TYPE_CHECKING:
    from kitprep.files.shelf import ElementSummary, Printer
    from kitprep.jobs.cards import CardList
    from kitprep.jobs.checking import Checked
    from kitprep.jobs.finding import KitList
    from kitprep.jobs.findings import Finding
    from kitprep.jobs.importing import ImportReport
    from kitprep.jobs.mending import Mended
    from kitprep.jobs.packing import MadeSheets
    from kitprep.jobs.resizing import Resized
    from kitprep.jobs.resplitting import Resplit
    from kitprep.jobs.sheets import SheetReport
    from kitprep.lengths import Box, Length, Size
    from kitprep.pack.packing import Cut, PackedSheet, Placement
    from kitprep.pages import Element, Page
    from kitprep.papers import Margins
    from kitprep.sheet import Sheet

Json = dict[str, Any]
DECIMALS = 6


def imported(report: ImportReport) -> Json:
    """The answer of ``import``."""
    by_page: dict[str, list[Json]] = {}
    for finding in report.findings:
        by_page.setdefault(finding.about.rpartition("/")[2], []).append(warning(finding))
    names = {page.name for page in report.kit.pages}
    return {
        "kit": report.kit.slug,
        "name": report.kit.name,
        "maker": report.kit.maker,
        "terms": bool(report.kit.terms),
        "known": report.known,
        "changed": list(report.changed),
        "pages": [
            {**page_answer(report.kit.slug, page), "warnings": by_page.get(page.name, [])}
            for page in report.kit.pages
        ],
        "warnings": [
            warning(finding) for finding in report.findings if finding.about.rpartition("/")[2] not in names
        ],
    }


def page_answer(kit: str, page: Page) -> Json:
    """A page with its elements."""
    return {
        "page": page.name,
        "file": page.file,
        "size_px": list(page.size_px),
        "ppi": [round(page.ppi.x, DECIMALS), round(page.ppi.y, DECIMALS)],
        "ppi_from": page.ppi.source.value,
        "elements": [element_answer(f"{kit}/{page.name}", page, element) for element in page.elements],
    }


def element_answer(page_id: str, page: Page, element: Element) -> Json:
    """An element of a page."""
    box = element.box
    return {
        "id": f"{page_id}-{element.number:02d}",
        "box_px": [box.left, box.top, box.right, box.bottom],
        "angle_deg": round(element.angle_deg, 4),
        "outline_px": [[round(x, 2), round(y, 2)] for x, y in element.outline],
        "kind": element.kind.value,
        "size": size(element.size(page.ppi)),
        "words": list(element.words),
        "rectangular": element.rectangular,
        "holes_px": [[[round(x, 2), round(y, 2)] for x, y in hole] for hole in element.holes],
        "confidence": round(element.confidence, 3),
        "unwanted": element.unwanted,
    }


def kits(listed: KitList) -> Json:
    """The answer of ``kits``."""
    return {
        "kits": [
            {
                "kit": kit.slug,
                "name": kit.name,
                "maker": kit.maker,
                "imported": kit.imported,
                "pages": kit.pages,
                "elements": kit.elements,
                "terms": kit.has_terms,
            }
            for kit in listed.kits
        ],
        "problems": listed.problems,
    }


def elements(found: Iterable[ElementSummary]) -> list[Json]:
    """The answer of ``elements``."""
    return [
        {
            "id": summary.id,
            "kind": summary.kind.value,
            "size": size(summary.size),
            "ppi": [round(summary.ppi.x, DECIMALS), round(summary.ppi.y, DECIMALS)],
            "words": list(summary.words),
            "confidence": round(summary.confidence, 3),
            "unwanted": summary.unwanted,
        }
        for summary in found
    ]


def mended(change: Mended) -> Json:
    """The answer of ``crop``, ``join``, ``divide``, ``drop``, ``describe`` and ``undo``."""
    return {
        "page": change.page_id,
        "added": [element_answer(change.page_id, change.page, element) for element in change.added],
        "removed": [change.id_of(element) for element in change.removed],
    }


def resplit(done: Resplit) -> Json:
    """The answer of ``split``."""
    change = done.change
    answer = {
        name: [element_answer(change.page_id, change.page, element) for element in elements]
        for name, elements in (("added", change.came), ("changed", change.altered))
    }
    return {
        "page": change.page_id,
        **answer,
        "removed": [change.id_of(element) for element in change.went],
        "elements": len(change.page.elements),
        "by_hand": done.by_hand,
        "held_back": done.held_back,
        "warnings": [warning(finding) for finding in done.findings],
    }


def checks(checked: Iterable[Checked]) -> list[Json]:
    """The answer of ``check``."""
    return [
        {
            "id": one.id,
            "size": size(one.detail.printed),
            "ppi": round(one.detail.ppi, 2),
            "detail": None if one.detail.detail is None else round(one.detail.detail, 4),
            "detail_ppi": None if one.detail.detail_ppi is None else round(one.detail.detail_ppi, 2),
            "grade": one.detail.grade.value,
            "largest": {
                grade.value: size(one.detail.largest[grade])
                for grade in (Grade.CRISP, Grade.FINE, Grade.SOFT)
            },
            "warnings": [warning(finding) for finding in one.findings],
        }
        for one in checked
    ]


def resized(done: Resized) -> Json:
    """The answer of ``resize``."""
    return {
        "id": done.checked.id,
        "file": str(done.path),
        "size": size(done.size),
        "size_px": list(done.size_px),
        "bits": done.bits,
        "ppi": [round(done.ppi[0], DECIMALS), round(done.ppi[1], DECIMALS)],
        "grade": done.checked.detail.grade.value,
        "warnings": [warning(finding) for finding in done.findings],
    }


def sheets(report: SheetReport) -> Json:
    """The answer of ``sheet``."""
    return {
        "pdf": str(report.pdfs[0].path),
        "pdfs": [{"paper": pdf.paper.name, "file": str(pdf.path)} for pdf in report.pdfs],
        "cut_lines": [str(path) for path in report.cut_lines],
        "page_previews": [str(path) for path in report.page_previews],
        "unit": "in",
        "sheets": [sheet for made in report.papers for sheet in _made_sheets(made, report)],
        "bound": report.bound,
        "proved": report.proved,
        "pieces": [
            {
                "label": piece.name,
                "id": piece.id,
                "size": size(piece.trim),
                "copies": piece.wanted.copies,
                "placed": report.placed(index),
                "grade": piece.grade or None,
                "back": None if piece.back is None else piece.back.checked.id,
                "back_grade": None if piece.back is None else piece.back.checked.detail.grade.value,
            }
            for index, piece in enumerate(report.pieces)
        ],
        "warnings": [warning(finding) for finding in report.findings],
    }


def card(made: CardList) -> Json:
    """The answer of ``card``."""
    plan = made.plan
    return {
        "name": plan.card.name,
        "front": size(plan.card.front),
        "base": size(plan.base),
        "scores": [{"at": inches(fold.at), "way": fold.way.value} for fold in plan.folds],
        "panels": [
            {"name": panel.name, "size": size(panel.size), "copies": panel.copies} for panel in plan.panels
        ],
        "makelist": None if made.path is None else str(made.path),
    }


def printers(known: Iterable[Printer]) -> list[Json]:
    """The answer of ``printer list``."""
    return [
        {
            "name": printer.name,
            "margin": _margins(printer.margins),
            "scale": [round(float(printer.scale_x), DECIMALS), round(float(printer.scale_y), DECIMALS)],
            "offset": [inches(printer.offset_x), inches(printer.offset_y)],
            "tested": printer.tested or None,
        }
        for printer in known
    ]


def warning(finding: Finding) -> Json:
    """A finding."""
    return {"code": wording.code(finding), "text": wording.sentence(finding), "about": finding.about}


def inches(length: Length) -> float:
    """A length in inches, to six decimals."""
    return round(length.emu / EMU_PER_INCH, DECIMALS)


def size(of: Size) -> list[float]:
    """A size in inches."""
    return [inches(of.width), inches(of.height)]


def _box(box: Box) -> list[float]:
    return [inches(box.left), inches(box.top), inches(box.right), inches(box.bottom)]


def _margins(margins: Margins) -> list[float]:
    return [inches(side) for side in (margins.left, margins.top, margins.right, margins.bottom)]


def _made_sheets(made: MadeSheets, report: SheetReport) -> list[Json]:
    return [
        _sheet(sheet, packed, made, report)
        for sheet, packed in zip(made.sheets, made.packing.sheets, strict=True)
    ]


def _sheet(sheet: Sheet, packed: PackedSheet, made: MadeSheets, report: SheetReport) -> Json:
    pdf, page, back_page = report.where(sheet.number)
    return {
        "number": sheet.number,
        "pdf": str(pdf),
        "page": page,
        "back_page": back_page,
        "paper": {"name": made.paper.name, "size": size(made.paper.size)},
        "margin": _margins(made.margins),
        "placements": [_placement(place, made, report) for place in packed.placements],
        "cuts": [_cut(cut) for cut in packed.cuts],
        "left_over": None if packed.left_over is None else _box(packed.left_over),
        "nested": packed.nested,
        "used": round(made.share_used(packed), DECIMALS),
    }


def _placement(place: Placement, made: MadeSheets, report: SheetReport) -> Json:
    index = made.pieces[place.item]
    piece = report.pieces[index]
    return {
        "piece": index,
        "id": piece.id,
        "label": piece.name,
        "box": _box(place.box),
        "bleed": inches(place.bleed),
        "turned": place.turned,
        "upside_down": place.upside_down,
    }


def _cut(cut: Cut) -> Json:
    return {
        "number": cut.number,
        "axis": cut.axis.value,
        "at": inches(cut.at),
        "from": inches(cut.start),
        "to": inches(cut.end),
        "part": cut.part,
        "part_box": _box(cut.part_box),
        "against": cut.against.value,
        "fence": inches(cut.fence),
        "falls": cut.falls,
    }
