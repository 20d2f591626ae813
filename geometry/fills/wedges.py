"""Wedges: spikes on the base, all pointing to the tip.

They stop short of it by turns, the farther up the fewer, so that no ten lines meet there
and the spaces between them stay even; and short of the diagonals, as every join does. Where
their points would be sharper than a needle can turn, they are cut off square. The spacing is
that of the lines where they stand on the base.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from geometry.fills.circles import from_corner
from geometry.fills.comb import Tooth, comb
from geometry.fills.shape import Fill, Passage, Shape, counts_up_to, even_out, left_out
from geometry.plane import SHARPEST_TURN_DEG, Point, along, cross, distance, distance_to_line

if TYPE_CHECKING:
    from geometry.plane import Line

LINES_AT_CORNER: dict[Passage, int] = {"home": 1, "across": 1, "tip": 1}

_APART = 0.32
"""Spacings that the end of a spike keeps away from diagonals and the spikes on either side."""

_LOWEST = 0.12
"""Share of the height below which a spike is none."""

_AT_TIP = 1.25
"""Spacings across: the open circle left between the longest spike and the tip."""

_END = 0.31
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
    rights = [width * ((divisions - 2) / 2 - 2 * number) for number in range((divisions - 1) // 2)]
    teeth = _risen([_Spike.standing(shape, right, width, spacing, 0.0) for right in rights])
    if any(_sharp(*tooth.line[-3:]) for tooth in teeth):
        teeth = _risen([_Spike.standing(shape, right, width, spacing, _END) for right in rights])
    return comb(shape, teeth, spacing) if teeth else left_out(asked, base, 2.7)


def _risen(spikes: list[_Spike]) -> list[Tooth]:
    """The spikes, given from right to left, each as high as there is room for, the higher ones before those between.

    Every second one stops first, of those that rise on again every second, and the middle one rises highest.
    """
    highest = [spike.highest() for spike in spikes]
    first = [
        min(high, spike.alone(number - len(spikes) // 2))
        for number, (spike, high) in enumerate(zip(spikes, highest, strict=True))
    ]
    risen: dict[int, Tooth] = {}
    for number in sorted(range(len(spikes)), key=lambda number: (-round(first[number], 6), number)):
        # the sides that face it
        before = [risen[other].line[-2:] for other in range(number - 1, -1, -1) if other in risen]
        after = [risen[other].line[:2] for other in range(number + 1, len(spikes)) if other in risen]
        walls = [*before[:1], *after[:1]]
        height = min([highest[number], *(spikes[number].beside(wall) for wall in walls)])
        if height >= _LOWEST:
            risen[number] = spikes[number].tooth(height)
    return [risen[number] for number in sorted(risen)]


class _Spike(NamedTuple):
    """Where a spike stands.

    Attributes:
        shape, spacing: the section's, and the fill's.
        right, left: shares of the half base at which its feet stand.
        foot: the point between them.
        half: the step from its middle to the left corner of its end.
    """

    shape: Shape
    spacing: float
    right: float
    left: float
    foot: Point
    half: Point

    @classmethod
    def standing(cls, shape: Shape, right: float, width: float, spacing: float, end: float) -> _Spike:
        """The spike with its right foot there; its end, cut off square, is `end` spacings wide."""
        foot = shape.at(right - width / 2, 0)
        rise = shape.tip.minus(foot).times(end / 2 * spacing / distance(foot, shape.tip))
        return cls(shape, spacing, right, right - width, foot, Point(-rise.y, rise.x))

    def tooth(self, height: float) -> Tooth:
        """The spike rising to that share of the way to the tip."""
        top = along(self.foot, self.shape.tip, height)
        ends = dict.fromkeys((top.minus(self.half), top.plus(self.half)))
        return Tooth(self.right, self.left, (self.shape.at(self.right, 0), *ends, self.shape.at(self.left, 0)))

    def highest(self) -> float:
        """The share of the way to the tip to which it may rise beside its diagonal and below the tip."""
        shape = self.shape
        nearer = shape.right if self.right + self.left > 0 else shape.left
        room = from_corner(shape.tip, nearer, shape.middle, self.foot, _AT_TIP * self.spacing)
        return min(1 - room / distance(shape.tip, self.foot), self.beside((nearer, shape.tip)))

    def alone(self, place: int) -> float:
        """The share of the way to the tip at which those that rise on come too close; `place` counts from the middle one.

        Twice the distance to the next of them, square to it, has then come down to an end and its room on either side.
        """
        if not place:
            return 1.0
        right, left = self.shape.at(self.right, 0), self.shape.at(self.left, 0)
        upright = distance_to_line(self.shape.tip, right, left) / distance(self.shape.tip, self.foot)
        return 1 - (_END + _APART) / (2 * (place & -place) * upright)

    def beside(self, wall: Line) -> float:
        """The share of the way to the tip at which its end is as near to a wall as it may be; 1 if it never is."""
        start, step = wall[0], wall[1].minus(wall[0])
        shares = []
        for half in (self.half, self.half.times(-1)):
            # square to the wall, positive where the foot is; it changes evenly with the height
            low, high = (
                cross(step, place.plus(half).minus(start)) / math.hypot(*step) for place in (self.foot, self.shape.tip)
            )
            low, high = (low, high) if low > 0 else (-low, -high)
            shares.append((low - _APART * self.spacing) / (low - high) if low > high else 1.0)
        return min(shares)


def _sharp(foot: Point, tip: Point, other: Point) -> bool:
    """Whether the line turns at `tip` more sharply than a needle follows cleanly."""
    one, two = foot.minus(tip), other.minus(tip)
    return abs(math.atan2(cross(one, two), one.x * two.x + one.y * two.y)) < math.radians(SHARPEST_TURN_DEG)
