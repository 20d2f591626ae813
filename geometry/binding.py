"""Under the binding: where lines that end on the stop line run on to, and the road that runs may travel there.

The road lies halfway in the room for the binding, along the stop line. A line that ends
open on the stop line runs straight on to it; where that would lead far aside, or past the
end of its own section, it goes there square to the stop line. From the ends of a section's
base, and from every turn on it, the needle may slip square across to the road.
"""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING, NamedTuple

from geometry.graph import MEETING
from geometry.plane import Curve, Line, Point, along, cross, distance, flat, meet

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

LEAST_ROOM = 1 / 16
"""Inches of room for the binding below which nothing can be stitched there: its road would be one with the stop line."""

_FARTHEST = 2.0
"""How many times as far as the road is away a line may run to reach it: the whole room for the binding, measured aslant."""


class _Stretch(NamedTuple):
    """A straight piece of a section's base, and the step of one inch square to it, away from the section."""

    start: Point
    end: Point
    outward: Point

    def place(self, point: Point) -> float:
        """Inches from the start, measured along the stretch."""
        ahead, step = self.end.minus(self.start), point.minus(self.start)
        return (ahead.x * step.x + ahead.y * step.y) / distance(self.start, self.end)

    def holds(self, point: Point) -> bool:
        """Whether a point lies on the stretch."""
        off = abs(cross(self.end.minus(self.start), point.minus(self.start))) / distance(self.start, self.end)
        return off <= MEETING and self.beside(point)

    def beside(self, point: Point) -> bool:
        """Whether a point lies square across from the stretch."""
        return -MEETING <= self.place(point) <= distance(self.start, self.end) + MEETING


def run_on(lines: Sequence[Line], base: Sequence[Point], tip: Point, reach: float) -> tuple[Line, ...]:
    """Let lines that end open on the base run on, under the binding.

    A line ends open where no other line goes on from its end; the ends of the base belong to the zigzag.

    Args:
        lines: the lines of a section.
        base: its base on the stop line, from left to right, in two pieces where it bends.
        tip: its tip.
        reach: inches from the stop line to the road.
    """
    stretches = _stretches(base, tip)
    # the points of all lines on the base: where there are two, one line goes on from the other, turns or closes
    met = [base[0], base[-1], *(point for line in lines for point in flat(line) if _at(point, stretches))]

    def is_open(end: Point) -> bool:
        return sum(distance(end, point) <= MEETING for point in met) == 1

    drawn: list[Line] = []
    for line in lines:
        longer = line
        for _ in range(2):
            stretch = _at(longer[-1], stretches)
            if stretch is not None and is_open(longer[-1]):
                longer = _longer(longer, stretch, reach)
            longer = _turned(longer)
        drawn.append(longer)
    return tuple(drawn)


def roads(lines: Iterable[Line], base: Sequence[Point], tip: Point, reach: float) -> Iterator[Line]:
    """What may be travelled under the binding beside a section: the road, and the ways to it.

    Args:
        lines: the lines of the section, those that run on among them.
        base: its base on the stop line, from left to right, in two pieces where it bends.
        tip: its tip.
        reach: inches from the stop line to the road.
    """
    stretches = _stretches(base, tip)
    moved = [(s.start.plus(s.outward.times(reach)), s.end.plus(s.outward.times(reach))) for s in stretches]
    bends = [meet(one[0], one[1].minus(one[0]), two[0], two[1].minus(two[0])) for one, two in itertools.pairwise(moved)]
    yield (base[0], moved[0][0], *bends, moved[-1][1], base[-1])
    seen: list[Point] = [base[0], base[-1]]
    for line in lines:
        for point in flat(line):
            stretch = _at(point, stretches)
            if stretch is not None and all(distance(point, other) > MEETING for other in seen):
                seen.append(point)
                yield (point, point.plus(stretch.outward.times(reach)))


def _stretches(base: Sequence[Point], tip: Point) -> list[_Stretch]:
    found = []
    for start, end in itertools.pairwise(base):
        ahead = end.minus(start)
        square = Point(-ahead.y, ahead.x).times(1 / math.hypot(*ahead))
        found.append(_Stretch(start, end, square if cross(ahead, tip.minus(start)) < 0 else square.times(-1)))
    return found


def _at(point: Point, stretches: Iterable[_Stretch]) -> _Stretch | None:
    return next((stretch for stretch in stretches if stretch.holds(point)), None)


def _longer(line: Line, stretch: _Stretch, reach: float) -> Line:
    """The line with its end on the base run on to the road."""
    end = line[-1]
    step = end.minus(line[-2])
    long = math.hypot(*step)
    rise = (step.x * stretch.outward.x + step.y * stretch.outward.y) / long
    stop = end.plus(stretch.outward.times(reach))
    if rise * _FARTHEST > 1:
        straight = end.plus(step.times(reach / rise / long))
        if stretch.beside(straight):
            stop = straight
            # a straight piece stays one piece, longer
            line = line if isinstance(line, Curve) else line[:-1]
    if isinstance(line, Curve):
        return Curve((*line, along(end, stop, 1 / 3), along(end, stop, 2 / 3), stop))
    return (*line, stop)


def _turned(line: Line) -> Line:
    return Curve(line[::-1]) if isinstance(line, Curve) else line[::-1]
