"""Wedges: spikes on the base, all pointing to the tip.

They stop short of it by turns, the farther up the fewer, so that no ten lines meet there
and the spaces between them stay even; and short of the diagonals, as every join does. Where
their points would be sharper than a needle can turn, they are cut off square. The spacing is
that of the lines where they stand on the base.
"""

from __future__ import annotations

import math

from geometry.fills.comb import Tooth, comb
from geometry.fills.shape import SET_IN, Fill, Passage, Shape, counts_up_to, even_out, left_out
from geometry.plane import SHARPEST_TURN_DEG, Point, cross, distance, distance_to_line

LINES_AT_CORNER: dict[Passage, int] = {"home": 1, "across": 1, "tip": 1}

_GAP = 0.8
"""Spacings between the middles of two spikes, square to them, at which one of the two stops."""

_LOWEST = 0.3
"""Share of the height that every spike may reach."""

_HIGHEST = 0.85
"""Share of the height that the longest spike reaches."""

_LEFT_AT_TIP = 1.9
"""Spacings from the longest spike to the tip, at most: no circle of two spacings across fits there."""

_BLUNT = 0.3
"""Spacings across the end of a spike that is cut off."""


def wedges(shape: Shape, asked: float) -> Fill:
    """Draw wedges about `asked` inches apart."""
    base = distance(shape.left, shape.middle) + distance(shape.middle, shape.right)
    # an odd number of divisions: a spike stands on every second one, none on the outermost two
    fitted = even_out(base, asked, counts_up_to(base, asked, 3, 2), (-0.3, 0.0, 0.8))
    if fitted is None:
        return left_out(asked, base, 2.7)
    divisions, spacing = fitted
    width = 2 * spacing / base
    outermost = width * (divisions - 2) / 2
    spikes = (divisions - 1) // 2
    rights = [outermost - 2 * width * number for number in range(spikes)]
    heights = _heights(shape, [right - width / 2 for right in rights], spacing)
    lines = [_spike(shape, right, width, height, 0.0, spacing) for right, height in zip(rights, heights, strict=True)]
    if any(_sharp(*line[-3:]) for line in lines):
        blunt = _BLUNT * spacing / base
        lines = [
            _spike(shape, right, width, height, blunt, spacing) for right, height in zip(rights, heights, strict=True)
        ]
    return comb(shape, [Tooth(right, right - width, line) for right, line in zip(rights, lines, strict=True)], spacing)


def _spike(shape: Shape, right: float, width: float, height: float, blunt: float, spacing: float) -> tuple[Point, ...]:
    """A spike from its right foot to its left one; `blunt` is the share of the half base of half its end."""
    centre = right - width / 2
    depth = min(distance_to_line(shape.middle, end, shape.tip) for end in (shape.left, shape.right))
    # |u| + v = 1 on the diagonals; the end keeps away from them as a join does
    height = min(height, 1 - (blunt + SET_IN * spacing / depth) / (1 - abs(centre)))
    end = centre * (1 - height)
    tips = [(end + blunt, height), (end - blunt, height)] if blunt else [(end, height)]
    return shape.line((right, 0), *tips, (right - width, 0))


def _sharp(foot: Point, tip: Point, other: Point) -> bool:
    """Whether the line turns at `tip` more sharply than a needle follows cleanly."""
    one, two = foot.minus(tip), other.minus(tip)
    return abs(math.atan2(cross(one, two), one.x * two.x + one.y * two.y)) < math.radians(SHARPEST_TURN_DEG)


def _heights(shape: Shape, centres: list[float], spacing: float) -> list[float]:
    """Share of the height each spike reaches: where those still rising come too close, every second one stops."""
    middle_line = distance(shape.middle, shape.tip)
    highest = max(_HIGHEST, 1 - _LEFT_AT_TIP * spacing / middle_line)
    heights = [highest] * len(centres)
    rising = list(range(len(centres)))
    apart = 2.0
    while len(rising) > 1:
        stays = (len(rising) // 2) % 2
        for place, number in enumerate(rising):
            if place % 2 != stays:
                foot = shape.at(centres[number], 0)
                upright = distance_to_line(shape.tip, shape.left, shape.middle) / distance(foot, shape.tip)
                heights[number] = min(highest, max(_LOWEST, 1 - _GAP / max(upright, 0.5) / apart))
        rising = rising[stays::2]
        apart *= 2
    return heights
