"""Diamonds: nested kites on the middle dot, low kites towards the corners.

The large kite stands on the middle of the base and touches both diagonals halfway up, so
that the kites of both rows line up in a strip. Each next kite hangs on the last one's top,
then stands on its bottom, by turns. On either side a low ring joins the middle dot to the
corner. A chain of closed shapes that touch at points is one line: nothing is travelled,
nothing stitched over. The spacing is that of the nested kites.

On the way across, one bent line takes the place of the low ring's outline, so that an odd
number of lines ends at either corner; to the tip, a vein runs from the tip to the middle
dot. The four-sided pieces of a corner get the diamonds of their two halves, which touch
halfway along the centre line.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from geometry.fills.rings import INNERMOST, Ring, nested
from geometry.fills.shape import Fill, Passage, Shape, counts_up_to, even_out, left_out

if TYPE_CHECKING:
    from geometry.plane import Line

LINES_AT_CORNER: dict[Passage, int] = {"home": 2, "across": 1, "tip": 1}

_TOP_LOWEST = 0.62
_RING_THINNEST = 0.14
_FEWEST, _ROOMIEST = 0.15, 1.1
"""Spacings of depth inside the innermost kite, least and most."""


class _Part(NamedTuple):
    """The diamonds of one triangle: nested kites, what lies low on the right and on the left, the spacing used."""

    kites: tuple[Ring, ...]
    right: tuple[Line, ...]
    left: tuple[Line, ...]
    spacing: float

    @property
    def lines(self) -> tuple[Line, ...]:
        return (*(ring.line for ring in self.kites), *self.right, *self.left)


def diamonds(shape: Shape, asked: float) -> Fill:
    """Draw diamonds about `asked` inches apart."""
    halves = shape.halves or (shape,)
    parts = [
        _part(half, asked, (right, left))
        for half, (right, left) in zip(halves, _open_sides(shape, len(halves)), strict=True)
    ]
    drawn = [part for part in parts if part is not None]
    if len(drawn) < len(parts):
        return left_out(asked, min(_large_kite(half, asked).depth for half in halves), _FEWEST)
    lines = [line for part in drawn for line in part.lines]
    if shape.tip_only and shape.room_at_tip > 1:
        # of a square corner's middle only the tip is on the zigzag
        lines[:0] = [(shape.tip, part.kites[0].top) for part in drawn]
    if shape.passage == "tip":
        lines += _vein(shape, drawn[0].kites)
    return Fill(tuple(lines), sum(part.spacing for part in drawn) / len(drawn))


def _open_sides(shape: Shape, count: int) -> list[tuple[bool, bool]]:
    """For each half, whether on its right and on its left one line, not a ring, leads to the corner."""
    if shape.passage == "home":
        return [(False, False)] * count
    if shape.passage == "tip":
        return [(True, False)] * count
    # across a bent section the outermost corners are meant; at the bend both halves meet with one line each
    return [(True, True)] * count


def _large_kite(shape: Shape, asked: float) -> Ring:
    top = max(_TOP_LOWEST, 1 - asked / shape.depth)
    return Ring(shape.at(0, 0), shape.at(0.5, 0.5), shape.at(0, top), shape.at(-0.5, 0.5))


def _part(shape: Shape, asked: float, open_sides: tuple[bool, bool]) -> _Part | None:
    kite = _large_kite(shape, asked)
    further = (count - 1 for count in counts_up_to(kite.depth, asked, 1))
    fitted = even_out(kite.depth, asked, further, (_FEWEST, INNERMOST, _ROOMIEST))
    if fitted is None:
        return None
    count, spacing = fitted
    right, left = (
        _low_line(shape, side, spacing) if is_open else _low_rings(shape, side, spacing)
        for side, is_open in zip((1, -1), open_sides, strict=True)
    )
    return _Part(nested(kite, count + 1, spacing), right, left, spacing)


def _low_rings(shape: Shape, side: int, spacing: float) -> tuple[Line, ...]:
    """The low kites of one side (1 right, -1 left): they run from the middle dot to the corner."""
    high = 0.5 - spacing / shape.depth
    low = spacing / shape.height
    if high - low < max(_RING_THINNEST, 0.6 * low):
        high, low = 1 / 3, 1 / 6
    ring = Ring(
        shape.at(0.5 * side, low), shape.at(0, 0), shape.at(0.5 * side, high), shape.at(shape.foot(spacing) * side, 0)
    )
    return tuple(inner.line for inner in _filled(ring, spacing))


def _low_line(shape: Shape, side: int, spacing: float) -> tuple[Line, ...]:
    """A bent line from the middle dot to the corner, and the kites that hang under its bend."""
    high = max(0.5 - spacing / shape.depth, 0.25)
    ring = Ring(shape.at(0.5 * side, 0), shape.at(0, 0), shape.at(0.5 * side, high), shape.at(side, 0))
    return ((ring.right, ring.top, ring.left), *(inner.line for inner in _filled(ring, spacing)[1:]))


def _filled(ring: Ring, spacing: float) -> tuple[Ring, ...]:
    count = max(1, math.ceil(ring.depth / spacing - _ROOMIEST - 1e-9) + 1)
    return nested(ring, count, ring.depth / (count - 1 + INNERMOST))


def _vein(shape: Shape, kites: tuple[Ring, ...]) -> list[Line]:
    """A line from the tip down the middle, through every point where the kites touch."""
    across = [point for ring in kites for point in (ring.bottom, ring.top)]
    stops = sorted(dict.fromkeys(across), key=lambda point: -math.dist(point, kites[0].bottom))
    return [(shape.tip, *stops)]
