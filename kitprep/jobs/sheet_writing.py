"""Writes everything that a make-list becomes; all of its files appear together, or none does."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from kitprep.files.replace import replacing_all
from kitprep.jobs.packing import MadeSheets
from kitprep.jobs.progress import Progress
from kitprep.jobs.sheet_files import PaperFile, SheetFiles, page_paths, paper_paths, sheet_paths
from kitprep.lengths import Unit
from kitprep.sheet import Sheet

if TYPE_CHECKING:
    from kitprep.files.kit import PlacedPicture
    from kitprep.files.pdf import PrinterCorrection

ALL_ON_ONE_PPI, PAGE_PPI = 100, 150

Pictures = Callable[[str], tuple["PlacedPicture", ...]]


@dataclass(frozen=True, slots=True)
class SheetWriting:
    """How sheets are written.

    Parameters
    ----------
    title, credit : str
        Of the job, and the makers of its kits.
    unit : Unit
        What the guide speaks in.
    correction : PrinterCorrection
        For the printer it is meant for.
    """

    title: str
    credit: str
    unit: Unit
    correction: PrinterCorrection

    def write(
        self, papers: Sequence[MadeSheets], pictures: Pictures, files: SheetFiles, *, progress: Progress
    ) -> tuple[tuple[PaperFile, ...], tuple[Path, ...], tuple[Path, ...]]:
        """Write all files.

        Parameters
        ----------
        papers : sequence of MadeSheets
            From `kitprep.jobs.packing.pack_papers`.
        pictures : callable
            From the id of a kit's page to the pictures that make it up.
        files : SheetFiles
            What to write.
        progress : Progress
            Told of each file.

        Returns
        -------
        pdfs : tuple of PaperFile
        cut_lines, page_previews : tuple of Path

        Raises
        ------
        OutputExists, MissingFile, CannotWrite, OriginalChanged
            If an output or an original is not as it should be. Then there is none of the files.
        """
        pdfs = _paper_files(papers, files.pdf)
        sheets = [sheet for pdf in pdfs for sheet in pdf.sheets]
        lines = sheet_paths(files.cut_lines, sheets) if files.cut_lines else []
        pages = page_paths(files.page_previews, sheets) if files.page_previews else []
        single = [path for path in (files.guide, files.preview) if path is not None]
        every = [*(pdf.path for pdf in pdfs), *lines, *pages, *single]
        progress.start("Writing the sheets", len(every))
        with replacing_all(every, overwrite=files.overwrite) as temporaries:
            place = dict(zip(every, temporaries, strict=True))
            for pdf in pdfs:
                self._write_pdf(pdf, pictures, place[pdf.path])
                progress.step(pdf.path.name)
            _write_cut_lines(sheets, lines, place, progress)
            _write_pages([place[pdf.path] for pdf in pdfs], pages, files.preview_ppi, place, progress)
            self._write_single(files, pdfs, place, progress)
        progress.finish()
        return pdfs, tuple(lines), tuple(pages)

    def _write_pdf(self, pdf: PaperFile, pictures: Pictures, place: Path) -> None:
        from kitprep.files.pdf import write_sheets

        write_sheets(
            pdf.sheets,
            pictures,
            place,
            title=self.title,
            credit=self.credit,
            overwrite=True,
            correction=self.correction,
        )

    def _write_single(
        self, files: SheetFiles, pdfs: Sequence[PaperFile], place: dict[Path, Path], progress: Progress
    ) -> None:
        from kitprep.files.pdf import write_guide, write_preview

        if files.guide is not None:
            sheets = [sheet for pdf in pdfs for sheet in pdf.sheets]
            words = {"title": self.title, "credit": self.credit}
            write_guide(sheets, place[files.guide], unit=self.unit, overwrite=True, **words)
            progress.step(files.guide.name)
        if files.preview is not None:
            ppi = files.preview_ppi or ALL_ON_ONE_PPI
            write_preview([place[pdf.path] for pdf in pdfs], place[files.preview], ppi=ppi, overwrite=True)
            progress.step(files.preview.name)


def _paper_files(papers: Sequence[MadeSheets], pdf: Path) -> tuple[PaperFile, ...]:
    paths = paper_paths(pdf, (made.paper for made in papers))
    return tuple(
        PaperFile(
            paper, path, tuple(sheet for made in papers if made.paper == paper for sheet in made.sheets)
        )
        for paper, path in paths.items()
    )


def _write_cut_lines(
    sheets: Sequence[Sheet], paths: Sequence[Path], place: dict[Path, Path], progress: Progress
) -> None:
    from kitprep.files.svg import write_cut_lines

    for sheet, path in zip(sheets, paths, strict=False):
        write_cut_lines(sheet, place[path], overwrite=True)
        progress.step(path.name)


def _write_pages(
    pdfs: Sequence[Path], paths: Sequence[Path], ppi: int | None, place: dict[Path, Path], progress: Progress
) -> None:
    if not paths:
        return
    from kitprep.files.pdf import page_count, write_page_preview

    pages = [(pdf, page) for pdf in pdfs for page in range(1, page_count(pdf) + 1)]
    for (pdf, page), path in zip(pages, paths, strict=True):
        write_page_preview(pdf, place[path], page=page, ppi=ppi or PAGE_PPI, overwrite=True)
        progress.step(path.name)
