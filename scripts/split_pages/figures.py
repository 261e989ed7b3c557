"""Scores of many pages as lines to read, the target beside each figure that has one."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np

from .scoring import PageScore

Report = Callable[[str], None]

F1_AIMS = {
    "scattered": 0.98, "dark": 0.98, "transparent": 0.98, "pdf": 0.98, "rows": 0.97, "tinted": 0.97,
    "shadows": 0.92, "parts": 0.90, "shared": 0.88, "whole": 0.90,
}  # fmt: skip
ALL_AIM, MEAN_AIM, RIGHT_AIM = 0.96, 0.94, 0.75
EDGE_AIM_PX, ANGLE_AIM_DEG, MASK_AIM = 2, 0.2, 0.97
JPEG_AIM, PNG_AIM, MEMORY_AIM_MB = 2.5, 1.6, 300

HEADING = (
    "kind          pages  F1@.9 (aim)   prec. recall  F1@.75  all right  split merged missed false"
    "  edge px 50/90%  angle 95%  mask 50/10%  as rect.  kind"
)


def f1(scores: Sequence[PageScore]) -> float:
    """F1 at the tight overlap: twice the pairs to all there and all found."""
    return _share(2 * sum(s.tight for s in scores), sum(s.there + s.found for s in scores))


def line(name: str, scores: Sequence[PageScore], aim: float | None) -> str:
    """One row under `HEADING`."""
    there, found = sum(s.there for s in scores), sum(s.found for s in scores)
    loose, tight = sum(s.loose for s in scores), sum(s.tight for s in scores)
    wrong = [sum(getattr(s, name) for s in scores) for name in ("split", "merged", "missed", "false")]
    edges = _percentiles([e for s in scores for e in s.edges_px], (50, 90))
    masks = _percentiles([m for s in scores for m in s.masks], (50, 10))
    (angle,) = _percentiles([a for s in scores for a in s.angles_deg], (95,))
    rectangles, kinds = [r for s in scores for r in s.rectangles], [k for s in scores for k in s.kinds]
    return (
        f"{name:13s} {len(scores):5d}  {f1(scores):.3f} {f'({aim:.2f})' if aim else '      '} "
        f"{_share(tight, found):7.3f} {_share(tight, there):6.3f} {_share(2 * loose, there + found):8.3f} "
        f"{sum(s.all_right for s in scores):6d} {_share(sum(s.all_right for s in scores), len(scores)):4.0%} "
        f"{wrong[0]:5d} {wrong[1]:6d} {wrong[2]:6d} {wrong[3]:5d} {edges[0]:9.1f} {edges[1]:5.1f} {angle:10.2f} "
        f"{masks[0]:8.3f} {masks[1]:.3f} {_share(sum(rectangles), len(rectangles)):8.2f} "
        f"{_share(sum(kinds), len(kinds)):6.2f}"
    )


def report_targets(report: Report, by_kind: dict[str, list[PageScore]]) -> None:
    """The figures over all kinds that the targets speak of, each with its aim."""
    scores = [score for of_kind in by_kind.values() for score in of_kind]
    mean = float(np.mean([f1(of_kind) for of_kind in by_kind.values()]))
    right = _share(sum(s.all_right for s in scores), len(scores))
    edges = _percentiles([e for s in scores for e in s.edges_px], (50, 90))
    angles = np.array([a for s in scores for a in s.angles_deg])
    masks = [m for s in scores for m in s.masks]
    report(
        f"F1 at IoU 0.9, all elements {f1(scores):.3f} (aim {ALL_AIM}), mean over kinds {mean:.3f} (aim {MEAN_AIM})"
    )
    report(f"pages with every element right {right:.0%} (aim {RIGHT_AIM:.0%})")
    report(
        f"edge error at 300 PPI: median {edges[0]:.1f} px (aim {EDGE_AIM_PX}), 90th percentile {edges[1]:.1f} px"
    )
    if angles.size:
        within = float(np.mean(angles <= ANGLE_AIM_DEG))
        report(
            f"lean of rectangles within {ANGLE_AIM_DEG} degrees: {within:.1%}, worst {angles.max():.2f} degrees"
        )
    if masks:
        low = _percentiles(masks, (50, 10))
        report(
            f"mask IoU: mean {np.mean(masks):.3f} (aim {MASK_AIM}), median {low[0]:.3f}, 10th percentile {low[1]:.3f}"
        )
    titles, known = sum(s.titles for s in scores), sum(s.titles_known for s in scores)
    report(f"titles and makers' lines, not counted above: {known} of {titles} found and marked as not wanted")


def report_times(report: Report, ratios: Mapping[str, Sequence[float]], kinds: Mapping[str, str]) -> None:
    """CPU time of reading and splitting against the floor, by the kind of file; each family's median.

    Parameters
    ----------
    report : callable
        Takes each line.
    ratios : mapping
        Of each family, those of some of its pages.
    kinds : mapping
        Of each family, the ending of its files.
    """
    for ending, floor, aim in ((".jpg", "one full decode by Pillow", JPEG_AIM), (".png", "the same", PNG_AIM),
                               (".pdf", "one rendering by MuPDF", None)):  # fmt: skip
        of_kind = {family: values for family, values in ratios.items() if kinds[family] == ending}
        together = [value for values in of_kind.values() for value in values]
        if together:
            middle, high = _percentiles(together, (50, 90))
            wanted = f" (aim {aim})" if aim else ""
            report(f"CPU time of a {ending[1:]} page to {floor}, one at a time, {len(together)} pages: "
                   f"median {middle:.2f}{wanted}, 90th percentile {high:.2f}, most {max(together):.2f}")  # fmt: skip
        if len(of_kind) > 1:
            report(
                "  "
                + ", ".join(f"{family} {float(np.median(values)):.2f}" for family, values in of_kind.items())
            )


def _share(part: float, whole: float) -> float:
    return part / whole if whole else float("nan")


def _percentiles(values: Sequence[float], shares: tuple[int, ...]) -> list[float]:
    return np.percentile(values, shares).tolist() if values else [float("nan")] * len(shares)
