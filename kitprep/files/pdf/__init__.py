"""Sheets, cut guides and previews as files."""

from kitprep.files.pdf.guide import write_guide
from kitprep.files.pdf.preview import page_count, write_page_preview, write_preview
from kitprep.files.pdf.printer_page import write_test_page
from kitprep.files.pdf.sheets import NO_CORRECTION, PrinterCorrection, pages_of, write_sheets

__all__ = [
    "NO_CORRECTION",
    "PrinterCorrection",
    "page_count",
    "pages_of",
    "write_guide",
    "write_page_preview",
    "write_preview",
    "write_sheets",
    "write_test_page",
]
