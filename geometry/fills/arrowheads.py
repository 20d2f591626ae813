"""Arrowheads: nested V's that share tips and feet by turns.

The first V shares its feet with the corners and stops short of the tip; the next shares
that tip and stops short of the corners; and so on. On a seam an even number of V's brings
the needle home along it. Where there is no seam, V's that share both feet are closed
rings, and the rings hang on each other's tips: from the section's own tip where more
lines may meet there, otherwise, and on the way across, from a first V that runs from
corner to corner.

Where shared feet would make a turn sharper than a needle can follow cleanly, they are set
apart and joined by a short piece along the base. The spacing is the opening between
neighbouring V's at their tips.
"""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING, NamedTuple

from geometry.fills.shape import Fill, Passage, Shape, counts_up_to, even_out, left_out
from geometry.plane import SHARPEST_TURN_DEG, cross, distance

if TYPE_CHECKING:
    from geometry.plane import Line

LINES_AT_CORNER: dict[Passage, int] = {"home": 1, "across": 1, "tip": 1}

_LEFT_INSIDE = (0.3, 0.6, 0.9)
_LEFT_IN_RING = (0.5, 0.6, 0.7)
"""Spacings from the middle of the base to the last V: least, best, most; and where its feet stand wider, as a ring's do."""

_BLUNT = 0.4

_OPEN = 1.38
"""Spacings across the open circles between tips; pointed ones stand a little closer for it."""


class _Feet(NamedTuple):
    """The feet that two V's share, as shares of the half base, or where they are set apart: the outer V's and the inner V's.

    `left` and `right` tell how far each is from its place on either side.
    """

    place: float
    left: float
    right: float

    @property
    def outer(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """Left and right, of the outer V."""
        return (-self.place - self.left, 0.0), (self.place + self.right, 0.0)

    @property
    def inner(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """Left and right, of the inner V."""
        return (-self.place + self.left, 0.0), (self.place - self.right, 0.0)


def arrowheads(shape: Shape, asked: float) -> Fill:
    """Draw arrowheads about `asked` inches apart."""
    on_seam = shape.seam and shape.passage != "across"
    sine = shape.depth / distance(shape.middle, shape.tip)
    closer = min(1.0, _OPEN / 2 * (1 + sine))
    depth = shape.depth / closer
    fitted = None
    if not on_seam:
        # a single V is open inside
        fitted = even_out(depth, asked, counts_up_to(depth, asked, 2), _LEFT_IN_RING)
    fitted = fitted or even_out(depth, asked, counts_up_to(depth, asked, 1), _LEFT_INSIDE)
    if fitted is None:
        return left_out(asked, depth, 1 + _LEFT_INSIDE[0])
    count, spacing = fitted
    step = spacing / depth
    tips = [1 - number * step for number in range(count + 1)]
    from_tip = not shape.seam and shape.passage != "across" and shape.room_at_tip > 1
    # the tips of the two V's that share a pair of feet, outwards and inwards of it
    shared = [*zip(itertools.pairwise(tips if from_tip else tips[1:]), tips[1:], strict=False)]
    left, right = (
        _BLUNT * step / 2 if any(_too_sharp(shape, *pair, side * foot) for pair, foot in shared) else 0.0
        for side in (-1, 1)
    )
    feet = [_Feet(tip, left, right) for tip in tips[1:]]
    wide = shape.foot(spacing)
    first = shape.line((-wide, 0), (0, tips[1]), (wide, 0))
    if on_seam:
        seconds = [shape.line(foot.outer[0], (0, tip), foot.outer[1]) for foot, tip in zip(feet, tips[1:], strict=True)]
        thirds = [shape.line(foot.inner[0], (0, tip), foot.inner[1]) for foot, tip in zip(feet, tips[2:], strict=False)]
        return Fill(
            (first, *(line for pair in zip(seconds, [*thirds, ()], strict=True) for line in pair if line)), spacing
        )
    if from_tip:
        rings = [_ring(shape, foot, tips[i], tips[i + 1]) for i, foot in enumerate(feet)]
        return Fill(tuple(rings), spacing)
    rings = [_ring(shape, feet[i], tips[i + 1], tips[i + 2]) for i in range(count - 1)]
    return Fill((first, *rings), spacing)


def _ring(shape: Shape, feet: _Feet, outer_tip: float, inner_tip: float) -> Line:
    """A closed arrowhead from its outer tip: down left, in to the inner tip, out and up right."""
    shares = [
        (0.0, outer_tip), feet.outer[0], feet.inner[0], (0.0, inner_tip), feet.inner[1], feet.outer[1], (0.0, outer_tip),
    ]  # fmt: skip
    return shape.line(*(share for share, before in zip(shares, (None, *shares), strict=False) if share != before))


def _too_sharp(shape: Shape, outer: float, inner: float, share: float) -> bool:
    """Whether two V's with these tips that share the foot at `share` meet there at too sharp a turn."""
    foot = shape.at(share, 0)
    one, other = shape.at(0, outer).minus(foot), shape.at(0, inner).minus(foot)
    sine = abs(cross(one, other)) / (math.hypot(*one) * math.hypot(*other))
    return inner > 0 and sine < math.sin(math.radians(SHARPEST_TURN_DEG))
