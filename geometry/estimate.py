"""What stitching the border takes: an estimate from its runs, each assumption a named field.

Measured: the length of the runs. Assumed: everything else. Nothing a quilter must measure
herself (what her bobbin holds, how fast she stitches) has a default; without it that figure
is not told.
"""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING, NamedTuple

from geometry.plane import SAME_POINT, cross, flat, length_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from geometry.needle import Run
    from geometry.plane import Line
    from geometry.quilt import Border, Side
    from geometry.trail import How

INCHES_PER_YARD = 36.0

NEARLY_WHOLE = 1e-9
"""Share of a bobbin by which rounding may make one more of it than there is."""


MANY = 8
"""Points of a line above which it is first looked at as a whole."""


class Assumptions(NamedTuple):
    """What the estimate rests on.

    Attributes:
        stitches_per_inch: S; 8 to 12 with a walking foot, 10 to 11 in machine quilting
            ("Quilt Batting and Machine Quilting Distances", generations-quilt-patterns.com).
        thickness_in: T, inches of the quilt under the foot; a sandwich is thicker than the 0.025 of two cottons.
        waste_pct: percent of thread that ends as tails and tangles: 10 to 15 (apparelscience.com), 15 to 20 (technical bulletin 18).
        bobbin_yd: yards that her bobbin holds; None: not given.
        stitches_per_minute: her own speed; None: not given.
    """

    stitches_per_inch: float = 10.0
    thickness_in: float = 0.025
    waste_pct: float = 15.0
    bobbin_yd: float | None = None
    stitches_per_minute: float | None = None

    @property
    def thread_per_inch(self) -> float:
        """Inches of thread, needle and bobbin together, in an inch of seam: C = 2 + 2·T·S.

        A lockstitch (ISO 4915 type 301) lays one inch on either face and goes through the quilt and back at
        each stitch ("Consumption Formula for Single Needle Lock Stitch Machine", textilecalculation.blogspot.com).

        >>> Assumptions(stitches_per_inch=10, thickness_in=0.025).thread_per_inch
        2.5
        """
        return 2 + 2 * self.thickness_in * self.stitches_per_inch

    @property
    def yards_per_minute(self) -> float | None:
        """Yards of seam in a minute at her speed; None if it is not given."""
        if self.stitches_per_minute is None:
            return None
        return self.stitches_per_minute / self.stitches_per_inch / INCHES_PER_YARD


class Stitched(NamedTuple):
    """Inches of stitching: new lines, stitched over an earlier line, travelled along seams; and where."""

    name: str
    new: float
    over: float
    travel: float

    @property
    def length(self) -> float:
        """All of it."""
        return self.new + self.over + self.travel


class Estimate(NamedTuple):
    """What stitching takes.

    Attributes:
        assumptions: what it rests on.
        sides: the stitching of each side; a corner is halved where its two sides meet.
        area: square inches from border seam to stop line.
        runs: unbroken lines of stitching.
        leaves: leave-and-return points, where a run is broken off and taken up again.
    """

    assumptions: Assumptions
    sides: tuple[Stitched, ...]
    area: float
    runs: int
    leaves: int = 0

    @property
    def total(self) -> Stitched:
        """The stitching of all sides."""
        return Stitched(
            "total",
            sum(side.new for side in self.sides),
            sum(side.over for side in self.sides),
            sum(side.travel for side in self.sides),
        )

    @property
    def density(self) -> float:
        """Inches of line in a square inch; what is stitched over or travelled adds thread, not lines."""
        return self.total.new / self.area

    @property
    def starts(self) -> int:
        """Starts; there are as many stops."""
        return self.runs + self.leaves

    @property
    def stitches(self) -> float:
        """Stitches in all."""
        return self.total.length * self.assumptions.stitches_per_inch

    @property
    def needle_yd(self) -> float:
        """Yards of needle thread, waste included."""
        return thread_yd(self.total.length, self.assumptions) / 2

    @property
    def bobbin_yd(self) -> float:
        """Yards of bobbin thread, waste included."""
        return self.needle_yd

    @property
    def bobbins(self) -> int | None:
        """Full bobbins to wind; None if what one holds is not given."""
        if self.assumptions.bobbin_yd is None:
            return None
        return math.ceil(self.bobbin_yd / self.assumptions.bobbin_yd - NEARLY_WHOLE)

    @property
    def minutes(self) -> float | None:
        """Minutes of stitching, pauses not counted; None if her speed is not given."""
        if self.assumptions.stitches_per_minute is None:
            return None
        return self.stitches / self.assumptions.stitches_per_minute


def thread_yd(length_in: float, assumptions: Assumptions) -> float:
    """Yards of thread, half of it on the needle and half on the bobbin, in so many inches of seam, waste included."""
    return length_in * assumptions.thread_per_inch * (1 + assumptions.waste_pct / 100) / INCHES_PER_YARD


def estimate(runs: Sequence[Run], border: Border, assumptions: Assumptions, leaves: int = 0) -> Estimate:
    """Measure the runs of a border, and work out what they take.

    Args:
        runs: the border as it is stitched.
        border: whose sides and area are meant.
        assumptions: what the estimate rests on.
        leaves: leave-and-return points; each is one more stop and one more start.
    """
    sums = [dict.fromkeys(("stitch", "over", "travel"), 0.0) for _ in border.sides]
    for side, how, inches in _by_side(runs, border.sides):
        sums[side][how] += inches
    sides = tuple(
        Stitched(side.name, inches["stitch"], inches["over"], inches["travel"])
        for side, inches in zip(border.sides, sums, strict=True)
    )
    return Estimate(assumptions, sides, border.area, len(runs), leaves)


def _by_side(runs: Iterable[Run], sides: Sequence[Side]) -> Iterator[tuple[int, How, float]]:
    """Each straight piece of the runs: the side it lies on (by its middle), how it is stitched, its length.

    A run goes from side to neighbouring side, so the last side is tried first; a piece on the line between two counts
    for the one the needle comes from.
    """
    strips = [_Strip(side) for side in sides]
    here = 0
    for how, line in (leg for run in runs for leg in run.course):
        if len(line) > MANY and strips[here].holds_all(line):
            yield here, how, length_of(line)
            continue
        for (x, y), (far_x, far_y) in itertools.pairwise(flat(line)):
            spot = ((x + far_x) / 2, (y + far_y) / 2)
            if not strips[here].holds(*spot):
                here = next((i for i, strip in enumerate(strips) if strip.holds(*spot)), here)
            yield here, how, math.hypot(far_x - x, far_y - y)


class _Strip:
    """The part of the border between the lines from a side's pivots to its outer corners."""

    __slots__ = ("_fences",)

    def __init__(self, side: Side) -> None:
        """Take the side's corners."""
        # a line each way as a step and what a point on it comes to; there may be ten thousand pieces to sort
        up = side.outward
        over = side.stop_start.plus(up.times(side.height))  # under the binding still counts
        ahead = side.ahead
        self._fences = tuple(
            (step.x, step.y, cross(step, start) - SAME_POINT)
            for step, start in (
                (side.stop_start.minus(side.seam_start), side.seam_start),
                (side.seam_end.minus(side.stop_end), side.stop_end),
                (ahead.times(-1), side.seam_start),
                (ahead, over),
            )
        )

    def holds(self, x: float, y: float) -> bool:
        """Whether a place of the border lies in it or on its ends."""
        for a, b, least in self._fences:  # noqa: SIM110 - three times as fast as `all`
            if a * y - b * x < least:
                return False
        return True

    def holds_all(self, line: Line) -> bool:
        """Whether a whole line lies in it; a curve lies between its nodes and controls."""
        return all(min([a * y - b * x for x, y in line]) >= least for a, b, least in self._fences)
