"""Pictures of what a check found: all elements at one scale, or the evidence for one."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from kitprep.detail.grades import ONE_ARCMINUTE, Grade, rounded_down
from kitprep.errors import BadOption
from kitprep.files.shelf import Shelf, shelf_folder
from kitprep.jobs.checking import Checked
from kitprep.jobs.finding import refuse_picture
from kitprep.jobs.pixels import PageReader, reduced_page
from kitprep.lengths import ZERO, Unit

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from kitprep.files.pictures import ScaledCard
    from kitprep.pages import PixelBox, Raster

    Pixels = NDArray[np.uint8]

ALL_OF_IT = 0.95  # of detail: from here on, the evidence is what half of the pixels would lose
REMARKED_BELOW = 0.9  # of detail: so much less than the page says is said beside the element
EVIDENCE_IN = 2.0  # side of the part shown, on the print
OVERVIEW_PX = 700


def draw_check(
    checked: Sequence[Checked], path: Path, *, overwrite: bool = False, shelf: Path | None = None
) -> None:
    """Draw what a check found.

    One element: the evidence, its print at the size asked beside what its pixels carry. Several: each at the
    largest size at which it is still fine, on a ruler grid.

    Parameters
    ----------
    checked : sequence of Checked
        From `check_elements` or `check_make_list`; one or more.
    path : Path
        A name that ends in .png; several may also go into a .pdf, true to size.
    overwrite : bool
        Whether a file of that name may be replaced.
    shelf : Path or None
        The shelf's folder; None for the usual one.

    Raises
    ------
    BadOption
        If the name ends otherwise, or there is nothing to draw.
    OutputExists, MissingFile, CannotWrite
        If the file exists and may not be replaced, its folder is not there, or it cannot be written.
    """
    refuse_check_picture(path, overwrite=overwrite)
    if not checked:
        raise BadOption("--picture", path.name, "elements to draw")
    if len(checked) == 1 and path.suffix.lower() != ".png":
        raise BadOption("--picture", path.name, "a name that ends in .png for the evidence of one element")
    here = Shelf(shelf_folder(shelf))
    if len(checked) == 1:
        _draw_evidence(here, checked[0], path, overwrite)
    else:
        _draw_board(here, checked, path, overwrite)


def refuse_check_picture(path: Path, *, overwrite: bool = False) -> None:
    """Refuse beforehand a picture that could not be written; errors as `draw_check`."""
    from kitprep.files.pictures import SCALE_BOARD_ENDINGS

    refuse_picture(path, overwrite=overwrite, endings=SCALE_BOARD_ENDINGS)


def _draw_board(here: Shelf, checked: Sequence[Checked], path: Path, overwrite: bool) -> None:
    from kitprep.files.pictures import write_scale_board

    rasters: dict[str, Raster] = {}
    cards = []
    for one in checked:
        page = f"{one.ref.kit.slug}/{one.ref.page.name}"
        if page not in rasters:
            rasters[page] = reduced_page(here, one.ref.kit, one.ref.page)
        cards.append(_card(one, rasters[page]))
    kits = dict.fromkeys(one.ref.kit.name for one in checked)
    unit = checked[0].unit
    square = "inch" if unit in (Unit.INCH, Unit.POINT) else "two centimetres"
    write_scale_board(
        cards,
        title=" · ".join(kits) if len(kits) <= 3 else f"{len(kits)} kits",
        subtitle=f"Each piece at the largest size at which it is still fine: at arm's length, "
        f"{ONE_ARCMINUTE.fine:.0f} pixels to the inch. One square is one {square}.".replace("one two", "two"),
        path=path,
        unit=unit,
        overwrite=overwrite,
    )


def _card(one: Checked, raster: Raster) -> ScaledCard:
    from kitprep.files.pictures import ScaledCard
    from kitprep.piece.likeness import likeness

    size = rounded_down(one.detail.largest[Grade.FINE], one.unit)
    share = one.detail.detail
    short = share is not None and share < REMARKED_BELOW
    remark = f"  {share:.0%} detail" if short else "  by its pixels" if share is None else ""
    return ScaledCard(
        label=one.wanted.label or one.id.rpartition("/")[2],
        size=one.detail.largest[Grade.FINE],
        words=f"{size.text(one.unit).replace(' x ', ' × ')}{remark}",
        thumbnail=_cropped(likeness(raster, one.ref.element), one.fitting.cropped),
        marked=short,
    )


def _cropped(pixels: Pixels, shares: tuple[float, float, float, float]) -> Pixels:
    rows, cols = pixels.shape[:2]
    left, top = round(shares[0] * cols), round(shares[1] * rows)
    right, bottom = max(round(shares[2] * cols), left + 1), max(round(shares[3] * rows), top + 1)
    return pixels[top:bottom, left:right]


def _draw_evidence(here: Shelf, one: Checked, path: Path, overwrite: bool) -> None:
    from kitprep.files.pictures import EVIDENCE_PPI, Evidence, write_evidence
    from kitprep.piece.resampling import resize

    whole = _on_white(_whole_print(here, one))
    rows, cols = whole.shape[:2]
    left, top, right, bottom = _busiest_part(whole, one)
    part = whole[top:bottom, left:right]
    share, words = _carried(one)
    fewer = max(round(part.shape[1] * share), 1), max(round(part.shape[0] * share), 1)
    carried = resize(resize(part, fewer), part.shape[1::-1])
    printed_px = (
        max(round(part.shape[1] / one.detail.ppi_x * EVIDENCE_PPI), 1),
        max(round(part.shape[0] / one.detail.ppi_y * EVIDENCE_PPI), 1),
    )
    small = min(OVERVIEW_PX / max(rows, cols), 1.0)
    write_evidence(
        Evidence(
            title=f"{one.wanted.label or one.id} at {one.wanted.size.text()}",
            verdict=_verdict(one),
            whole=resize(whole, (max(round(cols * small), 1), max(round(rows * small), 1))),
            shown=(left / cols, top / rows, right / cols, bottom / rows),
            held=resize(part, printed_px),
            carried=resize(carried, printed_px),
            held_words=f"All its pixels: {one.detail.ppi:.0f} to the inch.",
            carried_words=words,
        ),
        path,
        overwrite=overwrite,
    )


def _carried(one: Checked) -> tuple[float, str]:
    """The share of the pixels that the second picture is made from, and what is said of it."""
    share, ppi = one.detail.detail, one.detail.ppi
    half = f"The same from half as many, {ppi / 2:.0f} to the inch"
    if share is None:
        return 0.5, f"{half}: it could not be measured, so look whether anything is lost."
    if share >= ALL_OF_IT:
        return 0.5, f"{half}: what is lost here shows that its pixels are real."
    return (
        share,
        f"The same from {ppi * share:.0f} to the inch: where you see no difference, that is all it holds.",
    )


def _verdict(one: Checked) -> str:
    share = one.detail.detail
    found = "its detail cannot be told" if share is None else f"detail {share:.0%}"
    fine = rounded_down(one.detail.largest[Grade.FINE], one.unit).text(one.unit)
    return f"{one.detail.grade.value}; {found}; fine up to {fine}"


def _whole_print(here: Shelf, one: Checked) -> Pixels:
    """What lies on the trim, upright, from all its pixels."""
    from kitprep.piece import make_artwork, render_piece

    ref, reader = one.ref, PageReader(here)

    def read(box: PixelBox) -> Pixels:
        return reader.read(ref.kit, ref.page, box)

    page_id = f"{ref.kit.slug}/{ref.page.name}"
    artwork = make_artwork(ref.element, ref.page, page_id, one.fitting, ZERO, read, keep_all_pixels=True)
    across, down = one.fitting.shown_px
    size_px = max(round(across), 1), max(round(down), 1)
    return render_piece(artwork, size_px, read).astype("uint8", casting="safe", copy=False)


def _on_white(pixels: Pixels) -> Pixels:
    import numpy as np

    if pixels.shape[2] == 3:
        return pixels
    alpha = pixels[..., 3:].astype(np.float32) / 255
    return np.rint(pixels[..., :3] * alpha + 255 * (1 - alpha)).astype(np.uint8)


def _busiest_part(pixels: Pixels, one: Checked) -> tuple[int, int, int, int]:
    """The box of the part with the most going on in it, in pixels: left, top, right, bottom."""
    import cv2
    import numpy as np

    rows, cols = pixels.shape[:2]
    wide = min(max(round(EVIDENCE_IN * one.detail.ppi_x), 1), cols)
    high = min(max(round(EVIDENCE_IN * one.detail.ppi_y), 1), rows)
    busy = np.abs(cv2.Laplacian(pixels.astype(np.float32).mean(axis=2), cv2.CV_32F))
    sums = cv2.integral(np.minimum(busy, 60.0))
    totals = sums[high:, wide:] - sums[:-high, wide:] - sums[high:, :-wide] + sums[:-high, :-wide]
    top, left = np.unravel_index(np.argmax(totals), totals.shape)
    return int(left), int(top), int(left) + wide, int(top) + high
