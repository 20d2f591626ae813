"""Closed chains: rings that touch at points, stitched out on one side and home on the other."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from geometry.plane import Line, Point, along, distance_to_line

if TYPE_CHECKING:
    from collections.abc import Sequence

INNERMOST = 0.6
"""Spacings of depth left inside the innermost ring."""

_SHARED = 0.6
"""Neighbouring rings touch at one end and open to a full spacing at the other: they take this share of it."""

FLATTER = 0.8
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
        sides = zip(self.line, self.line[1:], strict=False)
        return min(distance_to_line(centre, start, end) for start, end in sides) / _SHARED


def nested(outer: Ring, count: int, spacing: float) -> tuple[Ring, ...]:
    """`outer` and `count` - 1 rings inside it, by turns hanging on its top and standing on the last one's bottom."""
    depth = outer.depth
    rings = [outer]
    low, high = 0.0, 1.0
    for number in range(1, count):
        width = 1 - number * spacing / depth
        tall = 1 - FLATTER * (1 - width)
        if number % 2:
            low = high - tall
        else:
            high = low + tall
        centre = along(outer.bottom, outer.top, (low + high) / 2)
        bottom = rings[-1].bottom if number % 2 == 0 else along(outer.bottom, outer.top, low)
        top = rings[-1].top if number % 2 else along(outer.bottom, outer.top, high)
        rings.append(Ring(bottom, along(centre, outer.right, width), top, along(centre, outer.left, width)))
    return tuple(rings)


def walk(rings: Sequence[Ring]) -> Line:
    """The way through nested rings from where the first touches its parent, and back there.

    The first ring of `rings` hangs on its top; the next stands on its bottom, and so on.
    """
    return _walk(rings, hanging=True)


def _walk(rings: Sequence[Ring], *, hanging: bool) -> Line:
    if not rings:
        return ()
    ring = rings[0]
    start, end = (ring.top, ring.bottom) if hanging else (ring.bottom, ring.top)
    inside = _walk(rings[1:], hanging=not hanging)
    # down one side, through everything that hangs on the far end, home by the other
    return (start, ring.left, end, *inside[1:], ring.right, start)
