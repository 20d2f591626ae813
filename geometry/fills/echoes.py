"""Echoes: lines parallel to the section's own outline, in on one spiral and out on another.

The two spirals run between each other, so that nothing is stitched over and nothing
travelled; they share their corner as an evenly opened fan and join in the middle, round a
hole no wider than the space between lines. Across, one spiral begins at either base corner;
to the tip, one at the tip. A corner's four-sided pieces have them in each half, close to
the line between the halves, and they meet at the bend.
"""

from __future__ import annotations

import itertools
import math

from geometry.fills.shape import (
    Fill,
    Passage,
    Shape,
    WorkingTriangle,
    counts_up_to,
    even_out,
    left_out,
    working_triangles,
)
from geometry.plane import Line, Point, along, cross, distance, distance_to_line, meet

LINES_AT_CORNER: dict[Passage, int] = {"home": 2, "across": 1, "tip": 1}

_WIDEST = 1.0
"""Share of the asked spacing: where a ring turns by a corner of 40 degrees, the circle between it and the next one is
2 / (1 + sin 20°) = 1.49 spacings across."""

_BESIDE = 0.3
"""Spacings from the centre line of a bent section to the lines on either side: the more, the larger the open circle
where they end near the tip, 1.5 spacings at a right angle."""

_REACHES = (1.0, 1.5, 2.0, 3.0, 4.0)
_SPIKE = 9.0
"""Spacings from the corner of a ring that is drawn out to the bend to where it begins to be: the least at which the turn
there has so many degrees, for sharper ones are spikes of doubled thread."""

_FARTHEST = 0.8
"""Share of the ring's side that may go into it."""

_HAIR = 0.45
"""Spacings: pieces of line shorter than this are none."""

_HOLE = (0.28, 0.45, 0.65)
_HOLE_ACROSS = (0.0, 0.15, 0.42)
"""Spacings left between the innermost ring and the centre: least, best, most. Across, the base line of the innermost
ring is wanting, so less may be left."""


def echoes(shape: Shape, asked: float) -> Fill:
    """Draw echo lines about `asked` inches apart."""
    lines: list[Line] = []
    used = []
    # home again by two closed lines; but for the middle of a square corner, which is best crossed where the pivot has room
    looped = shape.bent and shape.passage == "home" and not (shape.tip_only and shape.room_at_tip)
    for triangle in _looped(shape) if looped else working_triangles(shape):
        hole = _HOLE_ACROSS if triangle.across else _HOLE
        # spacings of the inradius won where the halves of a bent section come closer to their centre line
        won = (
            _inradius(triangle) / (2 * distance_to_line(triangle.corners[0], *triangle.sides[1])) if shape.bent else 0.0
        )
        leftover = (hole[0] - won, hole[1] - won, hole[2] - won)
        fitted = even_out(_inradius(triangle), asked, counts_up_to(_inradius(triangle), asked, 1), leftover, _WIDEST)
        if fitted is None:
            return left_out(asked, _inradius(triangle), 1 + leftover[0])
        rings, spacing = fitted
        if shape.bent:
            line = _spirals(_widened(triangle, (1 - _BESIDE) * spacing), rings, spacing)
            line = _tied(line, triangle.corners[1], spacing) if looped else (triangle.corners[1], *line[1:])
        else:
            line = _spirals(triangle, rings, spacing)
        lines.append(_without_hairs(line, _HAIR * spacing))
        used.append(spacing)
    return Fill(tuple(lines), sum(used) / len(used))


def _looped(shape: Shape) -> list[WorkingTriangle]:
    """The halves of a bent section, each to be filled by a line that comes home to its base corner."""
    return [triangle._replace(across=False) for triangle in working_triangles(shape)]


def _tied(line: Line, bend: Point, spacing: float) -> Line:
    """The line with the corner of its outermost ring drawn out to the bend, where it meets that of the other half."""
    before, corner, after = line[1:4]
    ends = [corner, corner]
    for reach in _REACHES:
        most = 0.5 if reach == _REACHES[0] else _FARTHEST
        ends = [along(corner, end, min(most, reach * spacing / distance(corner, end))) for end in (before, after)]
        if _angle(bend, *ends) >= _SPIKE:
            break
    one, other = ends
    return (*line[:2], one, bend, other, *line[3:])


def _angle(at: Point, one: Point, other: Point) -> float:
    """Degrees between the ways from one place to two others."""
    here, there = one.minus(at), other.minus(at)
    return math.degrees(abs(math.atan2(cross(here, there), here.x * there.x + here.y * there.y)))


def _widened(triangle: WorkingTriangle, inches: float) -> WorkingTriangle:
    """The triangle with the side across from home, the centre line of a bent section, moved out."""
    home, far, third = triangle.corners
    grown = 1 + inches / distance_to_line(home, far, third)
    return WorkingTriangle((home, along(home, far, grown), along(home, third, grown)), triangle.across)


def _without_hairs(line: Line, shortest: float) -> Line:
    """The line with pieces too short to be seen as such drawn together; its ends stay."""
    points = list(line[:1])
    for point in line[1:-1]:
        if distance(points[-1], point) >= shortest:
            points.append(point)
        elif len(points) > 1:
            points[-1] = along(points[-1], point, 0.5)
    if len(points) > 1 and distance(points[-1], line[-1]) < shortest:
        points.pop()
    return (*points, line[-1])


Turn = tuple[str, int]
"""A side (b base, f far, n near) and the number of the ring whose line runs along it."""


def _inradius(triangle: WorkingTriangle) -> float:
    """Inches from the centre of the largest circle inside to the sides."""
    around = sum(distance(start, end) for start, end in triangle.sides)
    return distance(*triangle.sides[0]) * triangle.height / around


def _spirals(triangle: WorkingTriangle, rings: int, spacing: float) -> Line:
    """In from home, or across from the far corner, and out to home."""
    across = triangle.across
    home, far, _ = triangle.corners
    one: list[Turn] = []
    two: list[Turn] = []
    for ring in range(1, rings + 1):
        spiral = one if ring % 2 else two
        base = ring - 1 if across else ring
        spiral += [("b", base), ("f", ring), ("n", ring)] if base else [("f", ring), ("n", ring)]
    inset = _Inset(triangle, spacing)
    start = far if across else home
    shares = (1 / 2, 1 / 2) if across else (1 / 3, 2 / 3)
    inwards = [start, *inset.way(start, one, shares[0])]
    if not two:
        return (*inwards, inset.on_fan(home, ("n", 1), shares[1]), home)
    outwards = [home, *inset.way(home, two, shares[1])]
    level = inset.join_level(rings, rings - 1 if across else rings)
    ends = (inset.at_level(one[-1], level), inset.at_level(two[-1], level))
    return (*inwards, *ends, *reversed(outwards))


class _Inset:
    """Lines parallel to the sides, one spacing apart from ring to ring."""

    def __init__(self, triangle: WorkingTriangle, spacing: float) -> None:
        """Take the triangle and the distance between rings."""
        self._triangle = triangle
        self._spacing = spacing
        home, far, third = triangle.corners
        centre = along(along(home, far, 0.5), third, 1 / 3)
        self._sides = {
            name: (start, step, _inwards(start, step, centre))
            for name, start, step in (
                ("b", home, far.minus(home)),
                ("f", far, third.minus(far)),
                ("n", third, home.minus(third)),
            )
        }

    def _line(self, turn: Turn) -> tuple[Point, Point]:
        start, step, inwards = self._sides[turn[0]]
        return start.plus(inwards.times(turn[1] * self._spacing)), step

    def way(self, corner: Point, turns: list[Turn], share: float) -> list[Point]:
        """From the corner's fan along each line to the next."""
        points = [self.on_fan(corner, turns[0], share)]
        points += (meet(*self._line(one), *self._line(other)) for one, other in itertools.pairwise(turns))
        return points

    def on_fan(self, corner: Point, turn: Turn, share: float) -> Point:
        """Where a ray of the corner's fan, `share` of its angle from the base, meets a line."""
        home, far, third = self._triangle.corners
        base, other = (far, third) if corner == home else (home, third)
        from_base = math.atan2(base.y - corner.y, base.x - corner.x)
        sweep = math.remainder(math.atan2(other.y - corner.y, other.x - corner.x) - from_base, 2 * math.pi)
        angle = from_base + share * sweep
        return meet(*self._line(turn), corner, Point(math.cos(angle), math.sin(angle)))

    def join_level(self, rings: int, bottom: int) -> float:
        """Inches above the base where the spirals join: halfway up what the innermost ring leaves."""
        tip = meet(*self._line(("f", rings)), *self._line(("n", rings)))
        low = bottom * self._spacing
        return (low + distance_to_line(tip, *self._triangle.sides[0])) / 2

    def at_level(self, turn: Turn, level: float) -> Point:
        """The point of a line so many inches above the base."""
        start, step, inwards = self._sides["b"]
        return meet(*self._line(turn), start.plus(inwards.times(level)), step)


def _inwards(start: Point, step: Point, centre: Point) -> Point:
    """The step of one inch square to a side, towards the inside."""
    size = math.hypot(*step)
    square = Point(-step.y / size, step.x / size)
    towards = centre.minus(start)
    return square if square.x * towards.x + square.y * towards.y > 0 else square.times(-1)
