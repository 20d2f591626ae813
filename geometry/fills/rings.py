"""Nested rings that touch at points: out by one side of each and home by the other, a chain is one line."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING

from geometry.plane import along, distance_to_line

if TYPE_CHECKING:
    from geometry.plane import Line, Point

INNERMOST = 0.6
"""Spacings of depth left inside the innermost ring."""

_SHARED = 0.6
"""Neighbouring rings touch at one end and open to a full spacing at the other: they take this share of it."""

_FLATTER = 0.8
"""Rings lose height a little slower than width, so that the innermost stay slender."""


@dataclass(frozen=True, slots=True)
class Ring:
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
    def depth(self) -> float:
        """How many inches of spacing fit from the outline to the centre, rings touching by turns."""
        centre = along(self.bottom, self.top, 0.5)
        return min(distance_to_line(centre, start, end) for start, end in itertools.pairwise(self.line)) / _SHARED


def nested(outer: Ring, count: int, spacing: float) -> tuple[Ring, ...]:
    """`outer` and `count` - 1 rings inside it, by turns hanging on its top and standing on the last one's bottom."""
    depth = outer.depth
    rings = [outer]
    low, high = 0.0, 1.0
    for number in range(1, count):
        width = 1 - number * spacing / depth
        tall = 1 - _FLATTER * (1 - width)
        hanging = number % 2 == 1
        low, high = (high - tall, high) if hanging else (low, low + tall)
        centre = along(outer.bottom, outer.top, (low + high) / 2)
        bottom = along(outer.bottom, outer.top, low) if hanging else rings[-1].bottom
        top = rings[-1].top if hanging else along(outer.bottom, outer.top, high)
        rings.append(Ring(bottom, along(centre, outer.right, width), top, along(centre, outer.left, width)))
    return tuple(rings)
