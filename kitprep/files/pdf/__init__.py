"""Sheets, cut guides and previews as files."""

from kitprep.files.pdf.guide import write_guide
from kitprep.files.pdf.preview import write_page_preview, write_preview
from kitprep.files.pdf.sheets import NO_CORRECTION, PrinterCorrection, write_sheets

__all__ = [
    "NO_CORRECTION",
    "PrinterCorrection",
    "write_guide",
    "write_page_preview",
    "write_preview",
    "write_sheets",
]
