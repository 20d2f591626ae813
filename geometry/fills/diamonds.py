"""Diamonds: nested kites on the middle dot, low kites towards the corners.

The large kite stands on the middle of the base and touches both diagonals halfway up, so
that the kites of both rows line up in a strip. Each next kite hangs on the last one's top,
then stands on its bottom, by turns. On either side a low ring joins the middle dot to the
corner. A chain of closed shapes that touch at points is one line: nothing is travelled,
nothing stitched over. The spacing is that of the nested kites.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from geometry.fills.rings import INNERMOST, Ring, nested, walk
from geometry.fills.shape import Fill, Leg, Shape, counts_up_to, even_out, left_out

if TYPE_CHECKING:
    from geometry.plane import Line, Point

LINES_AT_CORNER = 2

_TOP_LOWEST = 0.62
_RING_THINNEST = 0.14
_FEWEST, _ROOMIEST = 0.15, 1.1


class _Part(NamedTuple):
    """The diamonds of one triangle: nested kites, the low rings on either side, the spacing used."""

    kites: tuple[Ring, ...]
    right: tuple[Ring, ...]
    left: tuple[Ring, ...]
    spacing: float

    @property
    def rings(self) -> tuple[Line, ...]:
        """Every ring as a closed line."""
        return tuple(ring.line for ring in (*self.kites, *self.right, *self.left))

    @property
    def round_trip(self) -> Line:
        """From the right corner of the base through everything, by the middle dot to the left one and back."""
        near, far, kite = self.right[0], self.left[0], self.kites[0]
        return (
            near.left, *_at_top(self.right), near.right,
            kite.right, *_at_top(self.kites), kite.left,
            far.right, *_at_top(self.left), far.left, far.bottom, far.right,
            near.bottom, near.left,
        )  # fmt: skip


def diamonds(shape: Shape, asked: float) -> Fill:
    """Draw diamonds about `asked` inches apart.

    A four-sided piece of a corner gets the diamonds of its two halves, which touch halfway along its centre line.
    """
    parts = [_part(half, asked) for half in (shape.halves if shape.bent else (shape,))]
    if not all(parts):
        return left_out(asked, min(_large_kite(half, asked).depth for half in shape.halves or (shape,)), _FEWEST)
    one, *others = (part for part in parts if part)
    if not others:
        return Fill(one.rings, (Leg("stitch", one.round_trip),), one.spacing)
    other = others[0]
    meeting = one.kites[0].right
    way = (*_from(one.round_trip, meeting), *_from(other.round_trip, other.kites[0].left)[1:])
    lines = (*one.rings, *other.rings)
    spacing = (one.spacing + other.spacing) / 2
    if not shape.tip_only:
        return Fill(lines, (Leg("stitch", _from(way, shape.left)),), spacing)
    top, far_top = one.kites[0].top, other.kites[0].top
    way = _from(way, top)
    cut = way.index(far_top)
    trail = (
        Leg("stitch", (shape.tip, *way[: cut + 1], shape.tip)),
        Leg("over", (shape.tip, far_top)),
        Leg("stitch", way[cut:]),
        Leg("over", (top, shape.tip)),
    )
    return Fill(((shape.tip, top), (shape.tip, far_top), *lines), trail, spacing)


def _large_kite(shape: Shape, asked: float) -> Ring:
    top = max(_TOP_LOWEST, 1 - asked / shape.depth)
    return Ring(shape.at(0, 0), shape.at(0.5, 0.5), shape.at(0, top), shape.at(-0.5, 0.5))


def _part(shape: Shape, asked: float) -> _Part | None:
    kite = _large_kite(shape, asked)
    further = (count - 1 for count in counts_up_to(kite.depth, asked, 1))
    fitted = even_out(kite.depth, asked, further, (_FEWEST, INNERMOST, _ROOMIEST))
    if fitted is None:
        return None
    count, spacing = fitted
    right, left = _low_rings(shape, 1, spacing), _low_rings(shape, -1, spacing)
    return _Part(nested(kite, count + 1, spacing), right, left, spacing)


def _from(round_trip: Line, start: Point) -> Line:
    """A closed way, begun at another of its points."""
    cut = round_trip.index(start)
    return (*round_trip[cut:], *round_trip[1 : cut + 1])


def _at_top(rings: tuple[Ring, ...]) -> Line:
    """At a ring's top: the way through what hangs there, or only the point itself."""
    return walk(rings[1:]) or (rings[0].top,)


def _low_rings(shape: Shape, side: int, spacing: float) -> tuple[Ring, ...]:
    """The low kites of one side (1 right, -1 left): they run from the middle dot to the corner."""
    high = 0.5 - spacing / shape.depth
    low = spacing / shape.height
    if high - low < max(_RING_THINNEST, 0.6 * low):
        high, low = 1 / 3, 1 / 6
    ring = Ring(
        shape.at(0.5 * side, low), shape.at(0, 0), shape.at(0.5 * side, high), shape.at(shape.foot(spacing) * side, 0)
    )
    count = max(1, math.ceil(ring.depth / spacing - _ROOMIEST - 1e-9) + 1)
    return nested(ring, count, ring.depth / (count - 1 + INNERMOST))
