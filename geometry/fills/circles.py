"""Open circles: how far a line may keep away so that none is larger than wanted."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

from geometry.plane import Point, cross

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
    to_middle = middle.minus(corner)
    sine, off = (
        abs(cross(to_middle, to_place)) / math.hypot(*to_middle) / math.hypot(*to_place)
        for to_place in (side.minus(corner), towards.minus(corner))
    )
    return across / 2 * (math.sqrt(1 - off**2) + math.sqrt(max(0.0, sine**2 - off**2))) / sine


def largest_in(outline: Sequence[Point]) -> float:
    """Inches across the largest circle in an outline that nowhere bends inwards.

    It touches three of the sides at least, and crosses none of the others.
    """
    centre = Point(sum(p.x for p in outline) / len(outline), sum(p.y for p in outline) / len(outline))
    # for each side the step of one inch square to it, inwards, and how far along that the side lies
    sides = []
    for (x, y), (u, v) in zip(outline, (*outline[1:], outline[0]), strict=True):
        long = math.copysign(math.hypot(u - x, v - y), (u - x) * (centre.y - y) - (v - y) * (centre.x - x))
        across, down = (y - v) / long, (u - x) / long
        sides.append((across, down, across * x + down * y))
    best = 0.0
    for (ax, ay, c), (bx, by, d), (cx, cy, e) in itertools.combinations(sides, 3):
        # a place as far from all three: one · place - c = radius
        px, py, qx, qy = ax - cx, ay - cy, bx - cx, by - cy
        turn = px * qy - py * qx
        if abs(turn) > _ROUNDING:
            x = ((c - e) * qy - (d - e) * py) / turn
            y = ((d - e) * px - (c - e) * qx) / turn
            radius = ax * x + ay * y - c
            if radius > best and min([sx * x + sy * y - f for sx, sy, f in sides]) >= radius - _ROUNDING:
                best = radius
    return 2 * best
