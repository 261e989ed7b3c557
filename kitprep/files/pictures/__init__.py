"""Pictures as files: one picture at its physical size, contact sheets, and what a check found.

`saving` writes one picture. A contact sheet is laid out by `board`, its `words` placed, and drawn by
`board_png`, `board_pdf` or `board_html`. A scale board, elements at one scale on a ruler grid, is laid out by
`scale_board` and drawn by `scale_png` or `scale_pdf`; `evidence` shows what the pixels of one element carry.
"""

from kitprep.files.pictures.board import ContactCard
from kitprep.files.pictures.contact_sheet import write_contact_sheet
from kitprep.files.pictures.evidence import EVIDENCE_PPI, Evidence, write_evidence
from kitprep.files.pictures.saving import SIXTEEN_BIT_ENDINGS, write_picture
from kitprep.files.pictures.scale_board import ScaledCard
from kitprep.files.pictures.scale_chart import SCALE_BOARD_ENDINGS, write_scale_board

__all__ = [
    "EVIDENCE_PPI",
    "SCALE_BOARD_ENDINGS",
    "SIXTEEN_BIT_ENDINGS",
    "ContactCard",
    "Evidence",
    "ScaledCard",
    "write_contact_sheet",
    "write_evidence",
    "write_picture",
    "write_scale_board",
]
