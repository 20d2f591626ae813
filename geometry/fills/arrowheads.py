"""Arrowheads: nested V's that share tips and feet by turns.

The first V shares its feet with the corners and stops short of the tip; the next shares
that tip and stops short of the corners; and so on. On a seam an even number of V's brings
the needle home along it. Where there is no seam, V's that share both feet are closed
rings, and the rings hang on each other's tips: from the section's own tip where more
lines may meet there, otherwise from a first V that runs from corner to corner.

Where shared feet would make a turn sharper than a needle can follow cleanly, they are set
apart and joined by a short piece along the base. The spacing is the opening between
neighbouring V's at their tips.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from geometry.fills.shape import Fill, How, Leg, Shape, counts_up_to, even_out, left_out
from geometry.plane import SHARPEST_TURN_DEG, Line, Point, cross

LINES_AT_CORNER = 1

_LEFT_INSIDE = (0.3, 0.6, 0.9)
_BLUNT = 0.4


class _Feet(NamedTuple):
    """One pair of shared feet, as shares of the half base: the outer V's and the inner V's."""

    outer: float
    inner: float


def arrowheads(shape: Shape, asked: float) -> Fill:
    """Draw arrowheads about `asked` inches apart."""
    depth = shape.depth
    fitted = even_out(depth, asked, counts_up_to(depth, asked, 1), _LEFT_INSIDE)
    if fitted is None:
        return left_out(asked, depth, 1 + _LEFT_INSIDE[0])
    count, spacing = fitted
    step = spacing / depth
    tips = [1 - number * step for number in range(count + 1)]
    blunt = _BLUNT * step / 2 if _too_sharp(shape, tips, step) else 0.0
    if shape.seam:
        return _on_seam(shape, tips, blunt, spacing)
    feet = [_Feet(tip + blunt, tip - blunt) for tip in tips[1:]]
    if shape.room_at_tip > 1:
        rings = [_ring(shape, foot, tips[i], tips[i + 1]) for i, foot in enumerate(feet)]
        return Fill(tuple(rings), (Leg("stitch", _walk(rings)),), spacing)
    wide = shape.foot(spacing)
    first = shape.line((-wide, 0), (0, tips[1]), (wide, 0))
    rings = [_ring(shape, feet[i], tips[i + 1], tips[i + 2]) for i in range(count - 1)]
    trail = (first[0], *(_walk(rings) or (first[1],)), first[2])
    return Fill((first, *rings), (Leg("stitch", trail),), spacing)


def _ring(shape: Shape, feet: _Feet, outer_tip: float, inner_tip: float) -> Line:
    """A closed arrowhead from its outer tip: down left, in to the inner tip, out and up right."""
    shares = [
        (0.0, outer_tip), (-feet.outer, 0.0), (-feet.inner, 0.0), (0.0, inner_tip),
        (feet.inner, 0.0), (feet.outer, 0.0), (0.0, outer_tip),
    ]  # fmt: skip
    if feet.outer == feet.inner:
        del shares[4], shares[2]
    return shape.line(*shares)


def _walk(rings: list[Line]) -> Line:
    """Down the left of each ring, then home by their right sides."""
    if not rings:
        return ()
    ring, half = rings[0], len(rings[0]) // 2
    inside = _walk(rings[1:])
    return (*ring[: half + 1], *inside[1:], *ring[half + 1 :])


def _on_seam(shape: Shape, tips: list[float], blunt: float, spacing: float) -> Fill:
    """V's with their feet on a seam: each two share a tip; the seam is travelled between feet."""
    feet = [shape.foot(spacing)]
    for tip in tips[1:]:
        feet += [tip + blunt, tip - blunt]
    lines: list[Line] = []
    legs: list[Leg] = []
    here: Point = shape.right
    sign = 1
    for number in range(2 * (len(tips) - 1)):
        wide = feet[number]
        line = shape.line((-wide, 0), (0, tips[number // 2 + 1]), (wide, 0))
        lines.append(line)
        way = line[::-1] if sign > 0 else line
        legs += [*_step("travel", here, way[0]), Leg("stitch", way)]
        here, sign = way[-1], -sign
    legs += _step("travel", here, shape.right)
    return Fill(tuple(lines), tuple(legs), spacing)


def _step(how: How, start: Point, end: Point) -> list[Leg]:
    return [Leg(how, (start, end))] if start != end else []


def _too_sharp(shape: Shape, tips: list[float], step: float) -> bool:
    """Whether two V's that share a foot would meet there at too sharp a turn."""
    for tip in tips[1:]:
        inner = tip - step
        if inner <= 0:
            break
        for side in (1, -1):
            foot = shape.at(side * tip, 0)
            one, other = shape.at(0, tip).minus(foot), shape.at(0, inner).minus(foot)
            sine = abs(cross(one, other)) / (math.hypot(*one) * math.hypot(*other))
            if sine < math.sin(math.radians(SHARPEST_TURN_DEG)):
                return True
    return False
