"""Fans: arcs about one base corner, one spacing apart.

The needle follows one arc up, takes a step beside the diagonals and comes back down the
next, so that two arcs are one tooth of a comb on the base. In a strip the arcs make a
running wave. Where the tip is pointed the arcs lie flatter, about a place beyond the corner,
so that none meets a diagonal twice. A corner's four-sided pieces have a fan on either side of
a vein from the tip to the bend.
"""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING, NamedTuple

from geometry.fills.comb import Tooth, comb
from geometry.fills.shape import Exactly, Fill, Passage, Shape, counts_up_to, even_out, left_out
from geometry.plane import Curve, Point, along, cross, distance, distance_to_piece, meet

if TYPE_CHECKING:
    from collections.abc import Sequence

LINES_AT_CORNER: dict[Passage, int] = {"home": 1, "across": 1, "tip": 1}

_SET_IN = 0.32
"""Spacings from the diagonals to the steps from arc to arc: no more, for arcs come towards the diagonals in pairs."""

_SHORTEST = 0.5
"""Spacings: no arc is shorter."""

_OPEN = 1.35
"""Spacings across: the open circle left in either base corner, at most."""

_END = 0.32
"""Spacings across the end of two arcs that would run together in a point: there it is cut off."""

_POINTED = math.radians(12)
"""An arc that meets the line beside a diagonal at a smaller angle makes such a point."""

_NEARER = 0.06
"""Spacings by which teeth stand nearer to each other than the two arcs of one, for beside the diagonals all opens between
them."""

_FARTHEST = 50.0
"""Bases from a corner to the centre of its arcs, at most: by then they are straight."""

_OTHER = 0.5
"""Bases that the centre must lie nearer to the other corner before the fan turns round for it."""


class _Fan(NamedTuple):
    teeth: list[Tooth]
    spacing: float


def fans(shape: Shape, asked: float) -> Fill:
    """Draw arcs about `asked` inches apart."""
    found = _on(shape, _bases(shape), asked)
    if len(found) > 1:
        # both halves of a corner alike
        found = _on(shape, _bases(shape), Exactly(_mean(found)))
    if not found:
        return left_out(asked, distance(shape.left, shape.right), 3)
    teeth = sorted((tooth for fan in found for tooth in fan.teeth), key=lambda tooth: -tooth.right)
    fill = comb(shape, teeth, _mean(found))
    return fill._replace(lines=(*fill.lines, (shape.tip, shape.middle))) if shape.bent else fill


def _bases(shape: Shape) -> list[tuple[Point, Point]]:
    """For each fan the corner that its arcs lie about, and the other end of its base."""
    if shape.bent:
        return [(shape.right, shape.middle), (shape.left, shape.middle)]
    ends = (shape.right, shape.left)
    farther = _beyond(*ends, shape.tip) - _beyond(*ends[::-1], shape.tip)
    return [ends if farther < _OTHER * distance(*ends) else ends[::-1]]


def _on(shape: Shape, bases: list[tuple[Point, Point]], asked: float) -> list[_Fan]:
    """The fans on all bases; none if there is no room for one of them."""
    found = [fan for base in bases if (fan := _fan(shape, base, asked)) is not None]
    return found if len(found) == len(bases) else []


def _mean(found: list[_Fan]) -> float:
    return sum(fan.spacing for fan in found) / len(found)


def _fan(shape: Shape, base: tuple[Point, Point], asked: float) -> _Fan | None:
    """Teeth on a base, given from the corner that the arcs lie about, below the section's tip."""
    home, far = base
    wide = distance(home, far)
    angles = (_angle(home, far, shape.tip), _angle(far, home, shape.tip))
    least, most = [_least(angle) for angle in angles], [_most(angle) for angle in angles]
    room = sum(most) - sum(least)
    fitted = even_out(wide, asked, counts_up_to(wide, asked, 1, 2), (sum(least), sum(least) + 0.35 * room, sum(most)))
    if fitted is None:
        return None
    count, spacing = fitted
    first = least[0] + (most[0] - least[0]) * (wide / spacing - count - sum(least)) / room
    centre = along(home, far, -_beyond(home, far, shape.tip) / wide)
    arcs = _Arcs(home, shape.tip, far, centre, spacing)
    ways = [first + number + (_NEARER if number % 2 else -_NEARER) / 2 for number in range(count + 1)]
    feet = [along(home, far, way * spacing / wide) for way in ways]
    teeth = []
    for foot, next_foot in zip(feet[::2], feet[1::2], strict=True):
        line = arcs.pair(foot, next_foot)
        if line is not None:
            near, away = _share(shape, foot), _share(shape, next_foot)
            teeth.append(Tooth(near, away, line) if near > away else Tooth(away, near, Curve(line[::-1])))
    return _Fan(teeth, spacing) if teeth else None


def _angle(corner: Point, one: Point, other: Point) -> float:
    """The angle at a corner, in radians."""
    to_one, to_other = one.minus(corner), other.minus(corner)
    return abs(math.atan2(cross(to_one, to_other), to_one.x * to_other.x + to_one.y * to_other.y))


def _least(angle: float) -> float:
    """Spacings from a base corner to the nearest arc, so that it is long enough."""
    return max(_SET_IN, (_SHORTEST * math.cos(angle) + _SET_IN) / math.sin(angle))


def _most(angle: float) -> float:
    """Spacings from a base corner to the nearest arc, so that the circle in the corner is no larger than allowed."""
    half = math.tan(angle / 2)
    return max(_least(angle) + _SET_IN, _OPEN * (1 + half) / (2 * half))


def _beyond(home: Point, far: Point, tip: Point) -> float:
    """Inches from a base corner to the centre of its arcs, on along the base.

    From there the other diagonal is nearest at the tip.
    """
    wide = distance(home, far)
    cosine = math.cos(_angle(far, home, tip))
    beyond = distance(far, tip) / cosine - wide if cosine > 1 / _FARTHEST else _FARTHEST * wide
    return min(max(beyond, 0.0), _FARTHEST * wide)


class _Head(NamedTuple):
    """Where an arc ends beside a diagonal: beside that of its own corner, or the other one."""

    at: Point
    own: bool


class _Arcs(NamedTuple):
    """Arcs of one triangle: its corners, the centre and the spacing."""

    home: Point
    tip: Point
    far: Point
    centre: Point
    spacing: float

    def pair(self, foot: Point, next_foot: Point) -> Curve | None:
        """Up one arc, beside the diagonals to the next and down again; None if one of them has no room."""
        one, two = self._head(foot), self._head(next_foot)
        if one is None or two is None:
            return None
        over: list[Point]
        if one.own != two.own:
            over = self._over_tip(one, foot, two) if one.own else self._over_tip(two, next_foot, one)[::-1]
        elif one.own:
            over = [one.at, *reversed(self._end(two, next_foot))]
        else:
            over = [*self._end(one, foot), two.at]
        up, down = (_arc(self.centre, head, end) for head, end in ((over[0], foot), (over[-1], next_foot)))
        return Curve((*up[::-1], *_straight(over), *down[1:]))

    def _over_tip(self, own: _Head, foot: Point, other: _Head) -> list[Point]:
        """From an arc that ends beside the diagonal of its own corner to one that ends beside the other."""
        turn = self._turn
        apart = min(distance_to_piece(own.at, turn, other.at), distance_to_piece(other.at, own.at, turn))
        if apart >= _END * self.spacing:
            return [own.at, turn, other.at]
        # below the tip the arc and the other diagonal may lie side by side
        return [*self._end(_Head(own.at, own=False), foot), other.at]

    @property
    def _turn(self) -> Point:
        """The point below the tip, as far from both diagonals as joins are."""
        (start, step), (other, other_step) = (self._beside(own=own, apart=_SET_IN) for own in (True, False))
        return meet(start, step, other, other_step)

    def _beside(self, *, own: bool, apart: float) -> tuple[Point, Point]:
        """The line so many spacings inside a diagonal: its beginning and the step to its end."""
        start, end, inner = (self.home, self.tip, self.far) if own else (self.tip, self.far, self.home)
        step = end.minus(start)
        inwards = Point(-step.y, step.x).times(apart * self.spacing / math.hypot(*step))
        return start.plus(inwards if cross(step, inner.minus(start)) > 0 else inwards.times(-1)), step

    def _head(self, foot: Point) -> _Head | None:
        own = distance(self.centre, foot) <= distance(self.centre, self._turn)
        at = self._crossing(foot, own=own, apart=_SET_IN)
        return at and _Head(at, own)

    def _crossing(self, foot: Point, *, own: bool, apart: float) -> Point | None:
        """Where the arc to a foot last meets the line beside a diagonal; None if it does not."""
        start, step = self._beside(own=own, apart=apart)
        radius, size = distance(self.centre, foot), math.hypot(*step)
        begin = start.minus(self.centre)
        half = (begin.x * step.x + begin.y * step.y) / size
        root = half**2 - (begin.x**2 + begin.y**2 - radius**2)
        way = (math.sqrt(root) - half) / size if root >= 0 else -1.0
        return start.plus(step.times(way)) if 0 < way < 1 else None

    def _end(self, head: _Head, foot: Point) -> list[Point]:
        """From an arc to the line beside the diagonal; where the two would run together in a point it is cut off."""
        start, step = self._beside(own=head.own, apart=_SET_IN)
        out = head.at.minus(self.centre)
        sine = abs(out.x * step.x + out.y * step.y) / math.hypot(*out) / math.hypot(*step)
        inner = self._crossing(foot, own=head.own, apart=_SET_IN + _END)
        if sine > math.sin(_POINTED) or inner is None:
            return [head.at]
        back = inner.minus(start)
        return [inner, start.plus(step.times((back.x * step.x + back.y * step.y) / (step.x**2 + step.y**2)))]


def _straight(points: Sequence[Point]) -> list[Point]:
    """Straight pieces as Béziers, without the first point."""
    found: list[Point] = []
    for one, two in itertools.pairwise(points):
        found += (along(one, two, 1 / 3), along(one, two, 2 / 3), two)
    return found


def _share(shape: Shape, foot: Point) -> float:
    """Where a foot stands on the base, -1 at its left end, 0 in the middle, 1 at its right end."""
    to_foot, to_tip, to_right = (place.minus(shape.middle) for place in (foot, shape.tip, shape.right))
    on_right = cross(to_foot, to_tip) * cross(to_right, to_tip) > 0
    share = math.hypot(*to_foot) / distance(shape.middle, shape.right if on_right else shape.left)
    return share if on_right else -share


def _arc(centre: Point, head: Point, foot: Point) -> Curve:
    """The arc from head to foot about a centre: one Bézier up to a right angle, two above."""
    start = math.atan2(head.y - centre.y, head.x - centre.x)
    sweep = math.remainder(math.atan2(foot.y - centre.y, foot.x - centre.x) - start, 2 * math.pi)
    radius = distance(centre, foot)
    pieces = 1 if abs(sweep) <= math.pi / 2 else 2
    turn = sweep / pieces
    reach = 4 / 3 * math.tan(turn / 4) * radius
    points = [head]
    for number in range(pieces):
        before, after = start + number * turn, start + (number + 1) * turn
        end = Point(centre.x + radius * math.cos(after), centre.y + radius * math.sin(after))
        here = points[-1]
        points += [
            Point(here.x - reach * math.sin(before), here.y + reach * math.cos(before)),
            Point(end.x + reach * math.sin(after), end.y - reach * math.cos(after)),
            end,
        ]
    points[-1] = foot
    return Curve(points)
