"""Routes for the list of what to make: grades of its pieces, its file, its sheets."""

from __future__ import annotations

from starlette.responses import FileResponse, PlainTextResponse, Response
from starlette.routing import Route

from kitprep import answers, wording
from kitprep.answers import Json
from kitprep.errors import KitprepError, NoSuchWork
from kitprep.jobs.cards import make_card_list
from kitprep.jobs.checking import Checked
from kitprep.jobs.findings import PrintsSoft
from kitprep.jobs.makelists import MakeList, document_from_text, document_of, document_text, read_document
from kitprep.jobs.printing import add_printer, list_printers
from kitprep.jobs.sheet_files import SheetFiles
from kitprep.jobs.sheets import SheetReport, make_sheets
from kitprep.jobs.values import FoldEdge, FoldStyle, Grade
from kitprep.jobs.viewing import draw_sheet
from kitprep.worktable import given, words
from kitprep.worktable.table import Asked, Table, answering
from kitprep.worktable.works import Work

MOST_CARDS = 500  # at a time; a slip of the pen above
MEDIA_TYPES = {".pdf": "application/pdf", ".png": "image/png"}


def check(asked: Asked) -> Json:
    """The grade of each piece by itself, so that one that cannot be made leaves the others theirs."""
    pieces = given.documents(asked.given, "piece")
    unit = given.text(asked.given, "unit", "in")
    return {"pieces": [_checked(asked.table, {"unit": unit, "piece": [piece]}) for piece in pieces]}


def read_list(asked: Asked) -> Json:
    """A make-list's file, as the page keeps it."""
    name = given.text(asked.given, "name", "the make-list")
    return {"list": document_from_text(given.text(asked.given, "text"), name)}


def write_list(asked: Asked) -> Response:
    """The page's list, as a make-list's file."""
    return PlainTextResponse(document_text(asked.given))


def card(asked: Asked) -> Json:
    """The pieces of a folded card."""
    made = make_card_list(
        given.text(asked.given, "card"),
        style=given.choice(asked.given, "style", FoldStyle),
        edge=given.choice(asked.given, "edge", FoldEdge),
        mats=given.whole(asked.given, "mats", 0, 4),
        copies=given.whole(asked.given, "copies", 1, MOST_CARDS),
    )
    return {"text": " ".join(wording.card(made)), "list": document_of(made.makelist)}


def sheets(asked: Asked) -> Json:
    """Begin to make the sheets of a list."""
    wanted, table = read_document(asked.given), asked.table
    return table.works.begin(lambda work: _make(table, wanted, work)).answer()


def work(asked: Asked) -> Json:
    """How far a long work is."""
    return asked.table.works.find(asked.named["work"]).answer()


def work_file(asked: Asked) -> Response:
    """One file of a finished work; `as` in the query is the name to save it by."""
    folder = asked.table.works.find(asked.named["work"]).folder
    path = folder / asked.named["file"]
    if path.parent != folder or path.suffix not in MEDIA_TYPES or not path.is_file():
        raise NoSuchWork(f"file '{asked.named['file']}'")
    return FileResponse(path, media_type=MEDIA_TYPES[path.suffix], filename=asked.query.get("as"))


def printers(asked: Asked) -> Json:
    """The printers that are kept by name."""
    known = list_printers(shelf=asked.table.shelf)
    return {
        "printers": [
            {**answer, "text": wording.printer(printer)}
            for answer, printer in zip(answers.printers(known), known, strict=True)
        ]
    }


def keep_printer(asked: Asked) -> Json:
    """Keep a printer's margins by name."""
    margins = read_document({"margin": asked.given.get("margin")}).margins
    kept = add_printer(given.text(asked.given, "name"), margins, shelf=asked.table.shelf)
    return {"name": kept.name, "text": wording.printer(kept)}


def _checked(table: Table, document: Json) -> Json:
    try:
        (piece,) = read_document(document).pieces
        if not piece.element:
            return {"id": None, "printed": piece.size.text()}
        return _graded(table.trials.grade(piece))
    except KitprepError as error:
        return {"error": words.error(error)}


def _graded(checked: Checked) -> Json:
    detail = checked.detail
    fine = wording.size_for_people(detail.largest[Grade.FINE], checked.unit)
    said = [words.warning(finding)["text"] for finding in checked.findings if isinstance(finding, PrintsSoft)]
    others = [finding for finding in checked.findings if not isinstance(finding, PrintsSoft)]
    return {
        **answers.checks([checked])[0],
        "printed": wording.check_row(checked)[1],
        "sentence": said[0] if said else f"Fine up to {fine}.",
        "crisp_up_to": wording.size_for_people(detail.largest[Grade.CRISP], checked.unit),
        "fine_up_to": fine,
        "soft_up_to": wording.size_for_people(detail.largest[Grade.SOFT], checked.unit),
        "warnings": [words.warning(finding) for finding in others],
    }


def _make(table: Table, wanted: MakeList, work: Work) -> Json:
    files = SheetFiles(pdf=work.folder / "sheets.pdf", guide=work.folder / "cut-guide.pdf")
    report = make_sheets(wanted, files, shelf=table.shelf, progress=work)
    work.start("Drawing the sheets", report.count)
    for number in range(1, report.count + 1):
        pdf, page, back = report.where(number)
        draw_sheet(pdf, page, work.folder / f"sheet-{number}.png")
        if back is not None:
            draw_sheet(pdf, back, work.folder / f"sheet-{number}-back.png")
        work.step(f"sheet {number}")
    return _made(report, work)


def _made(report: SheetReport, work: Work) -> Json:
    at = f"/api/works/{work.name}/files"
    answer = answers.sheets(report)
    for sheet in answer["sheets"]:
        sheet["picture"] = f"{at}/sheet-{sheet['number']}.png"
        sheet["back_picture"] = f"{at}/sheet-{sheet['number']}-back.png" if sheet["back_page"] else None
    pdfs = [{"paper": pdf.paper.name, "file": f"{at}/{pdf.path.name}"} for pdf in report.pdfs]
    return {
        **answer,
        "pdf": pdfs[0]["file"],
        "pdfs": pdfs,
        "guide": f"{at}/cut-guide.pdf",
        "lines": wording.papers(report),
        "warnings": [words.warning(finding) for finding in report.findings],
    }


ROUTES = [
    Route("/api/check", answering(check), methods=["POST"]),
    Route("/api/makelist/read", answering(read_list), methods=["POST"]),
    Route("/api/makelist/write", answering(write_list), methods=["POST"]),
    Route("/api/card", answering(card), methods=["POST"]),
    Route("/api/sheets", answering(sheets), methods=["POST"]),
    Route("/api/works/{work}", answering(work)),
    Route("/api/works/{work}/files/{file}", answering(work_file)),
    Route("/api/printers", answering(printers), methods=["GET"]),
    Route("/api/printers", answering(keep_printer), methods=["POST"]),
]
