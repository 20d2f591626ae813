"""Nested rings that touch at points: out by one side of each and home by the other, a chain is one line."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from geometry.fills.circles import from_corner, largest_in
from geometry.plane import SAME_POINT, Point, cross, distance, distance_to_piece, halfway_foot, meet

if TYPE_CHECKING:
    from geometry.plane import Line

_BESIDE, _OPPOSITE = 0.4, 0.8
"""Spacings from the sides of a ring to the next one: where they run together at one end, and where they run apart."""

_OPEN, _BEST, _LEAST = 1.35, 0.85, 0.4
"""Spacings across the circle in the innermost ring: most, best, least."""

CLEAR = 0.33
"""Spacings between lines that do not meet, at least."""

_CLOSER = (1.0, 0.85, 1.15)
"""Shares of these distances that are tried in turn, where they are free."""

FAULT = 10.0
"""How much a spacing too open counts against one of unevenness."""


class Ring(NamedTuple):
    """A kite: bottom, right, top, left; a nested one touches its parent at top or bottom."""

    bottom: Point
    right: Point
    top: Point
    left: Point

    @property
    def line(self) -> Line:
        """The closed outline from the bottom."""
        return (self.bottom, self.right, self.top, self.left, self.bottom)

    @property
    def open(self) -> float:
        """Inches across the largest circle inside."""
        return _open(self)

    @property
    def angle_right(self) -> float:
        """Degrees of the corner on the right."""
        return self._angle(self.right)

    @property
    def angle_left(self) -> float:
        """Degrees of the corner on the left."""
        return self._angle(self.left)

    def _angle(self, end: Point) -> float:
        one, other = self.bottom.minus(end), self.top.minus(end)
        return math.degrees(abs(math.atan2(cross(one, other), one.x * other.x + one.y * other.y)))

    @property
    def thickness(self) -> float:
        """Inches between the sides that do not meet."""
        sides = [(self.bottom, self.right), (self.right, self.top), (self.top, self.left), (self.left, self.bottom)]
        across = ((sides[0], sides[2]), (sides[1], sides[3]))
        rows = [row for one, other in across for row in ((one, other), (other, one))]
        return min(distance_to_piece(end, *other) for one, other in rows for end in one)

    def turned(self) -> Ring:
        """The same ring upside down."""
        return Ring(self.top, self.left, self.bottom, self.right)

    def hung(self, beside: float, opposite: float) -> Ring | None:
        """The ring inside that hangs on the top, so many inches from the upper and the lower sides; None without room."""
        lower_right, lower_left = (_inside(self.bottom, end, self.top, opposite) for end in (self.right, self.left))
        upper_right, upper_left = (_inside(self.top, end, self.bottom, beside) for end in (self.right, self.left))
        right, left = meet(*lower_right, *upper_right), meet(*lower_left, *upper_left)
        straight = abs(cross(lower_right[1], lower_left[1])) < SAME_POINT
        bottom = lower_right[0] if straight else meet(*lower_right, *lower_left)
        # seen from the top, the three must still come one after the other
        to_right, to_bottom, to_left = (end.minus(self.top) for end in (right, bottom, left))
        if cross(to_right, to_bottom) * self.sense <= 0 or cross(to_bottom, to_left) * self.sense <= 0:
            return None
        return Ring(bottom, right, self.top, left)

    @property
    def sense(self) -> float:
        """Tells by its sign which way round the ring goes."""
        return cross(self.left.minus(self.right), self.top.minus(self.bottom))


@lru_cache(maxsize=4096)
def _open(ring: Ring) -> float:
    """As above; a ring is asked several times."""
    if cross(ring.bottom.minus(ring.left), ring.right.minus(ring.bottom)) * ring.sense < 0:
        return largest_in(ring.line[:-1])
    # bent like an arrowhead: between the top and the bend
    return distance(ring.top, ring.bottom) / from_corner(
        ring.top, ring.right, halfway_foot(ring.right, ring.left, ring.top), ring.bottom, 1.0
    )


def _inside(start: Point, end: Point, inner: Point, inches: float) -> tuple[Point, Point]:
    """The line beside a side, so many inches inside: a point of it and its step."""
    step = end.minus(start)
    by = math.copysign(inches, cross(step, inner.minus(start))) / math.hypot(*step)
    return start.plus(Point(-step.y, step.x).times(by)), step


def nested(outer: Ring, spacing: float, closer: float = 1.0) -> tuple[Ring, ...]:
    """`outer` and the rings inside it, by turns hanging on its top and standing on the last one's bottom.

    As many as it takes until the innermost is no larger than it may be, or no more have room.
    """
    rings = [outer]
    while rings[-1].open > _OPEN * spacing:
        upright = len(rings) % 2 == 1
        last = rings[-1] if upright else rings[-1].turned()
        inner = last.hung(_BESIDE * closer * spacing, _OPPOSITE * closer * spacing)
        if inner is None or inner.open < _LEAST * spacing or inner.thickness < CLEAR * spacing:
            break
        rings.append(inner if upright else inner.turned())
    return tuple(rings)


def too_open(rings: tuple[Ring, ...], spacing: float) -> float:
    """By how many spacings the circle in the innermost ring is wider than it may be."""
    return max(0.0, rings[-1].open / spacing - _OPEN)


def unevenness(rings: tuple[Ring, ...], spacing: float) -> float:
    """How far the innermost ring is from its best size, in spacings for each ring, and whether it is too open."""
    return abs(rings[-1].open / spacing - _BEST) / len(rings) + FAULT * too_open(rings, spacing)


def filled(outer: Ring, spacing: float) -> tuple[Ring, ...]:
    """`outer` and as many rings inside it as it takes, evenly, at about that spacing."""
    found = []
    for closer in _CLOSER:
        found.append(nested(outer, spacing, closer))
        if not too_open(found[-1], spacing):
            return found[-1]
    return min(found, key=lambda rings: rings[-1].open)
