"""What is wrong with the lines of a border as they stand.

`inspect` reads a drawing and gives findings, each with its place, its amount and one sentence. One fault gives one
finding: it is told by its cause, and what follows from it is not told beside it (`inspection.telling.HIDES`). Once that is
mended, the next check tells whatever was hidden behind it. Of several faults of one kind in one section the worst is told.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from geometry.inspection import evidence
from geometry.inspection.read import Limits, read
from geometry.inspection.stitched import run_through
from geometry.inspection.telling import Finding, told
from geometry.plane import area_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from geometry.inspection.drawn import Drawn
    from geometry.inspection.read import Read
    from geometry.needle import Run

AS_USUAL = Limits()
"""The limits where nothing is said."""


class Totals(NamedTuple):
    """What there is in the border.

    Attributes:
        sections, filled: the sections, and those of them with lines.
        drawn: inches of zigzag, corner lines and fills.
        area: square inches between border seam and stop line.
        runs: how many runs stitch it all; None, and so the rest, where the zigzag no longer fits the sections, or a
            section holds a tangle.
        length, over, travel: inches of the runs; of these stitched over, and travelled.
    """

    sections: int
    filled: int
    drawn: float
    area: float
    runs: int | None
    length: float | None
    over: float | None
    travel: float | None


@dataclass(frozen=True, slots=True)
class Inspection:
    """The findings, causes first, the totals, and what the drawing was held against."""

    findings: tuple[Finding, ...]
    totals: Totals
    limits: Limits


def inspect(drawn: Drawn, limits: Limits = AS_USUAL) -> Inspection:
    """Check a border as it is drawn.

    Args:
        drawn: the drawing, in inches of quilt.
        limits: what is allowed.
    """
    ready = read(drawn, limits)
    runs = None if ready.tangled else run_through(ready.drawn, ready.shortened, ready.unbroken)
    rows = [
        *evidence.misplaced(ready),
        *evidence.strayed(ready),
        *evidence.out_of_reach(ready),
        *evidence.empty(ready),
        *evidence.knotted(ready),
        # round a point out of place the needle goes astray; how often a line is stitched is told once that is mended
        *evidence.stitched_often(ready, () if ready.skeleton.found else runs or ()),
        *evidence.crowded(ready),
        *evidence.open_areas(ready),
        *evidence.unevenly_quilted(ready),
    ]
    return Inspection(told(rows), _totals(ready, runs), limits)


def _totals(ready: Read, runs: Sequence[Run] | None) -> Totals:
    drawn = ready.drawn
    return Totals(
        len(drawn.sections),
        sum(bool(section.lines) for section in drawn.sections),
        float(ready.pieces.total.sum()),
        area_of(drawn.stop_line) - area_of(drawn.seam),
        None if runs is None else len(runs),
        None if runs is None else sum(run.length for run in runs),
        None if runs is None else sum(run.over for run in runs),
        None if runs is None else sum(run.travel for run in runs),
    )
