"""Open circles: how far a line may keep away so that none is larger than wanted."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

from geometry.plane import Point, cross, distance

if TYPE_CHECKING:
    from collections.abc import Sequence

_ROUNDING = 1e-9


def from_corner(corner: Point, side: Point, middle: Point, towards: Point, across: float) -> float:
    """Inches from a corner to the point that leaves a circle of that size between itself and the corner's sides.

    Args:
        corner: the corner.
        side: a point on one of its sides.
        middle: a point on the line that halves its angle.
        towards: where the wanted point lies from the corner, between the sides.
        across: inches across the circle.
    """
    to_side, to_middle, to_point = (
        place.minus(corner).times(1 / distance(corner, place)) for place in (side, middle, towards)
    )
    sine, off = abs(cross(to_middle, to_side)), abs(cross(to_middle, to_point))
    return across / 2 * (math.sqrt(1 - off**2) + math.sqrt(max(0.0, sine**2 - off**2))) / sine


def largest_in(outline: Sequence[Point]) -> float:
    """Inches across the largest circle in an outline that nowhere bends inwards.

    It touches three of the sides at least, and crosses none of the others.
    """
    centre = Point(sum(p.x for p in outline) / len(outline), sum(p.y for p in outline) / len(outline))
    # for each side the step of one inch square to it, inwards, and how far along that the side lies
    sides = []
    for start, end in zip(outline, (*outline[1:], outline[0]), strict=True):
        ahead = end.minus(start).times(1 / distance(start, end))
        square = Point(-ahead.y, ahead.x).times(math.copysign(1.0, cross(ahead, centre.minus(start))))
        sides.append((square, square.x * start.x + square.y * start.y))
    best = 0.0
    for (one, c), (two, d), (three, e) in itertools.combinations(sides, 3):
        # a place as far from all three: one · place - c = radius
        first, second = one.minus(three), two.minus(three)
        turn = cross(first, second)
        if abs(turn) > _ROUNDING:
            x = ((c - e) * second.y - (d - e) * first.y) / turn
            y = ((d - e) * first.x - (c - e) * second.x) / turn
            radius = one.x * x + one.y * y - c
            if radius > best and all(s.x * x + s.y * y - f >= radius - _ROUNDING for s, f in sides):
                best = radius
    return 2 * best
