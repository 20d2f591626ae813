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

from geometry.fills.circles import from_corner
from geometry.fills.rings import CLEAR, FAULT, Ring, filled, nested, too_open, unevenness
from geometry.fills.shape import SPACING_LEAST, SPACING_MOST, Exactly, Fill, Passage, Shape, left_out
from geometry.plane import along, cross, distance, distance_to_line, halfway_foot

if TYPE_CHECKING:
    from geometry.plane import Line, Point

LINES_AT_CORNER: dict[Passage, int] = {"home": 2, "across": 1, "tip": 1}

_TOP_LOWEST = 0.62
"""Share of the height that the large kite reaches at least."""

_OPEN = 1.25
"""Spacings across the circles left at the tip, above the low rings and below them."""

_TOO_CLOSE = 0.03
"""Spacings by which low lines may be closer than that before they have no room."""

_THICK, _FROM_BASE = 1.3, 1.15
"""Spacings of height between the two bends of a low ring, and from the base to it."""

_THICK_LEAST, _BASE_LEAST = (0.45, 0.6, 0.75), 0.3
"""The same where there is less room: what is tried, and the least."""

_THICKER = (1.0, 1.3, 1.7, 2.2)
"""The same where a ring so long would end in spikes: what is tried in turn."""

_SPIKE = 7.5
"""Degrees at the end of a low ring; sharper, it is a spike of doubled thread."""

_DIP = 0.35
"""Spacings by which the kites under a bent line come nearer to the base in their middle."""

_ROOM = 2.7
"""Spacings of height that they take at least."""

_SMALLEST = 0.5
"""Spacings across the circle in the large kite, at least."""

_SHARES = tuple(SPACING_LEAST + (SPACING_MOST - SPACING_LEAST) * step / 14 for step in range(15))
"""Shares of the asked spacing that are tried."""


class _Part(NamedTuple):
    """The diamonds of one triangle: nested kites, what lies low on either side, the spacing used."""

    kites: tuple[Ring, ...]
    low: tuple[Line, ...]
    spacing: float

    @property
    def lines(self) -> tuple[Line, ...]:
        return (*(ring.line for ring in self.kites), *self.low)


def diamonds(shape: Shape, asked: float) -> Fill:
    """Draw diamonds about `asked` inches apart."""
    halves = shape.halves or (shape,)
    # between two halves there is no line: the circle at the tip reaches from one kite to the other
    found = [
        _part(half, shape.middle, asked, open_sides)
        for half, open_sides in zip(halves, _open_sides(shape, len(halves)), strict=True)
    ]
    parts = [part for part in found if part is not None]
    if len(parts) < len(found):
        return left_out(asked, min(half.height for half in halves), _ROOM)
    lines = [line for part in parts for line in part.lines]
    if shape.tip_only and shape.room_at_tip > 1:
        # of a square corner's middle only the tip is on the zigzag
        lines[:0] = [(shape.tip, part.kites[0].top) for part in parts]
    if shape.passage == "tip":
        lines += _vein(shape, parts[0].kites)
    return Fill(tuple(lines), sum(part.spacing for part in parts) / len(parts))


def _open_sides(shape: Shape, count: int) -> list[tuple[bool, bool]]:
    """For each half, whether on its right and on its left one line, not a ring, leads to the corner."""
    if shape.passage == "home":
        return [(False, False)] * count
    if shape.passage == "tip":
        return [(True, False)] * count
    # across a bent section the outermost corners are meant; at the bend both halves meet with one line each
    return [(True, True)] * count


def _part(shape: Shape, bend: Point, asked: float, open_sides: tuple[bool, bool]) -> _Part | None:
    """The diamonds of one triangle at the spacing at which they come out best; None if they have no room.

    `bend` is the middle of the whole section's base, where a corner's bends.
    """
    found: tuple[float, _Part] | None = None
    weight = 0.01 if isinstance(asked, Exactly) else 0.3
    for share in sorted(_SHARES, key=lambda share: abs(share - 1)):
        if found is not None and abs(share - 1) >= found[0]:
            break
        spacing = share * asked
        kites = nested(_large_kite(shape, bend, spacing), spacing)
        low = [
            (_low_line if is_open else _low_rings)(shape, side, bend, spacing)
            for side, is_open in zip((1, -1), open_sides, strict=True)
        ]
        score = abs(share - 1) + weight * unevenness(kites, spacing) + sum(side.faults for side in low)
        if (
            kites[0].open >= _SMALLEST * spacing
            and max(side.close for side in low) <= _TOO_CLOSE
            and (found is None or score < found[0])
        ):
            found = (score, _Part(kites, tuple(line for side in low for line in side.lines), spacing))
    return found and found[1]


def _large_kite(shape: Shape, bend: Point, spacing: float) -> Ring:
    side = max((shape.left, shape.right), key=lambda corner: distance(corner, bend))
    room = from_corner(shape.tip, side, bend, shape.middle, _OPEN * spacing)
    top = max(_TOP_LOWEST, 1 - room / distance(shape.middle, shape.tip))
    return Ring(shape.at(0, 0), shape.at(0.5, 0.5), shape.at(0, top), shape.at(-0.5, 0.5))


class _Low(NamedTuple):
    """What lies low on one side, by how many spacings it is too close, and by how many too open; a spike counts as that."""

    lines: tuple[Line, ...]
    close: float
    open: float

    @property
    def faults(self) -> float:
        return FAULT * (self.close + self.open)


class _Below(NamedTuple):
    """The room below the large kite on one side.

    Attributes:
        middle, corner: the ends of the base: the middle dot and the corner.
        halfway: the point above, halfway up the diagonal.
        foot: where the line that halves the angle there meets the base.
        beside: whether no diagonal is there but the other half of a corner.
    """

    middle: Point
    corner: Point
    halfway: Point
    foot: Point
    beside: bool

    @classmethod
    def of(cls, shape: Shape, side: int, bend: Point) -> _Below:
        """The room on the right (1) or left (-1)."""
        middle, corner, halfway = shape.at(0, 0), shape.at(side, 0), shape.at(0.5 * side, 0.5)
        return cls(middle, corner, halfway, halfway_foot(middle, corner, halfway), corner == bend)

    @property
    def height(self) -> float:
        return distance_to_line(self.halfway, self.middle, self.corner)

    def above(self, spacing: float) -> float:
        """Inches of height above what lies there."""
        middle = self.corner if self.beside else self.foot
        room = from_corner(self.halfway, self.middle, middle, self.foot, _OPEN * spacing)
        return room * self.height / distance(self.halfway, self.foot)

    def clear(self, spacing: float) -> float:
        """Inches of height above it at least."""
        to_side, to_foot = self.middle.minus(self.halfway), self.foot.minus(self.halfway)
        sine = abs(cross(to_side, to_foot)) / math.hypot(*to_side) / math.hypot(*to_foot)
        return CLEAR * spacing / sine * self.height / math.hypot(*to_foot)

    def from_sides(self, point: Point) -> float:
        return min(distance_to_line(point, end, self.halfway) for end in (self.middle, self.corner))

    def at(self, height: float) -> Point:
        return along(self.foot, self.halfway, height / self.height)


def _low_rings(shape: Shape, side: int, bend: Point, spacing: float) -> _Low:
    """The low kites of one side (1 right, -1 left): they run from the middle dot to the corner."""
    room = _Below.of(shape, side, bend)
    above, below = room.above(spacing), _FROM_BASE * spacing
    crowded = above + _THICK * spacing + below > room.height
    end = shape.at(shape.foot(spacing) * side, 0)
    found: list[_Low] = []
    spike = 0.0
    usual = _THICK_LEAST if crowded else (_THICK,)
    for thick in (*usual, *_THICKER):
        if len(found) >= len(usual) and not spike:
            break
        wanted = (above, max(thick, _THICK) * spacing, below)
        least = (room.clear(spacing), thick * spacing, _BASE_LEAST * spacing)
        share = min(1.0, (room.height - sum(least)) / (sum(wanted) - sum(least)))
        over, between, under = (few + share * (many - few) for few, many in zip(least, wanted, strict=True))
        if min(over, between, under) > 0:
            ring = Ring(room.at(under), room.middle, room.at(room.height - over), end)
            low = _ringed(ring, spacing, room.from_sides(ring.top))
            spike = max(0.0, 1 - min(ring.angle_right, ring.angle_left) / _SPIKE)
            found.append(low._replace(open=low.open + spike))
    return min(found, key=lambda low: low.faults, default=_Low((), 1.0, 0.0))


def _ringed(outer: Ring, spacing: float, clear: float) -> _Low:
    rings = filled(outer, spacing)
    close = max(0.0, CLEAR - min(clear, rings[-1].thickness) / spacing)
    return _Low(tuple(ring.line for ring in rings), close, too_open(rings, spacing))


def _low_line(shape: Shape, side: int, bend: Point, spacing: float) -> _Low:
    """A bent line from the middle dot to the corner, and the kites that hang under its bend."""
    room = _Below.of(shape, side, bend)
    above, below = room.above(spacing), _FROM_BASE * spacing
    top = room.at(room.height - above * min(1.0, room.height / (above + below)))
    # as if the other side of a ring lay a little below the base
    outer = Ring(room.at(-_DIP * spacing), room.middle, top, room.corner)
    hung = _ringed(outer, spacing, distance_to_line(top, room.middle, room.corner))
    return hung._replace(lines=((room.corner, top, room.middle), *hung.lines[1:]))


def _vein(shape: Shape, kites: tuple[Ring, ...]) -> list[Line]:
    """A line from the tip down the middle, through every point where the kites touch."""
    across = [point for ring in kites for point in (ring.bottom, ring.top)]
    stops = sorted(dict.fromkeys(across), key=lambda point: -math.dist(point, kites[0].bottom))
    return [(shape.tip, *stops)]
