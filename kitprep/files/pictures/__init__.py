"""Pictures as files: one picture at its physical size, and contact sheets.

`saving` writes one picture. A contact sheet is laid out by `board`, its `words` placed, and drawn by
`board_png`, `board_pdf` or `board_html`.
"""

from kitprep.files.pictures.board import ContactCard
from kitprep.files.pictures.contact_sheet import write_contact_sheet
from kitprep.files.pictures.saving import write_picture

__all__ = ["ContactCard", "write_contact_sheet", "write_picture"]
