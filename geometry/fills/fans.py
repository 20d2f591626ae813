"""Fans: arcs centred on one base corner, one spacing apart.

The needle follows one arc up, takes a short step beside the diagonal and comes back down the
next, so that two arcs are one tooth of a comb on the base. In a strip the arcs make a
running wave. A corner's four-sided pieces have a fan in each half, about their outermost
corners.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from geometry.fills.comb import Tooth, comb
from geometry.fills.shape import SET_IN, SPACING_LEAST, SPACING_MOST, Exactly, Fill, Passage, Shape, left_out
from geometry.plane import Curve, Point, along, cross, distance, distance_to_line

LINES_AT_CORNER: dict[Passage, int] = {"home": 1, "across": 1, "tip": 1}

_SHORTEST = 0.5
"""Spacings: an arc that would be shorter is left out, with its partner."""


class _Fan(NamedTuple):
    teeth: list[Tooth]
    spacing: float


def fans(shape: Shape, asked: float) -> Fill:
    """Draw arcs about `asked` inches apart."""
    if shape.bent:
        left, right = shape.halves
        drawn = [
            _fan(right, asked, on_right=True, part=(0.0, 1.0)),
            _fan(left, asked, on_right=False, part=(-1.0, 0.0)),
        ]
    else:
        drawn = [_fan(shape, asked, on_right=True, part=(-1.0, 1.0))]
    found = [fan for fan in drawn if fan is not None]
    if len(found) < len(drawn):
        return left_out(asked, distance(shape.left, shape.right), 3)
    return comb(shape, [tooth for fan in found for tooth in fan.teeth], sum(f.spacing for f in found) / len(found))


class _Arc(NamedTuple):
    line: Curve
    foot: Point


def _fan(shape: Shape, asked: float, *, on_right: bool, part: tuple[float, float]) -> _Fan | None:
    """Teeth from right to left; `part` says which shares of the whole section's base this triangle's base takes up."""
    centre, far = (shape.right, shape.left) if on_right else (shape.left, shape.right)
    base = distance(centre, far)
    steps = 16
    shares = [SPACING_LEAST + (SPACING_MOST - SPACING_LEAST) * step / steps for step in range(steps + 1)]
    found = []
    for share in [1.0] if isinstance(asked, Exactly) else shares:
        spacing = asked * share
        arcs = _arcs(centre, shape.tip, far, spacing)
        if len(arcs) > 1:
            left = (base - distance(centre, arcs[-1].foot)) / spacing
            found.append((abs(spacing / asked - 1) + 0.3 * max(0.0, left - 1.2), spacing, arcs))
    if not found:
        return None
    _, spacing, arcs = min(found, key=lambda row: row[:2])
    teeth = []
    for one, two in zip(arcs[::2], arcs[1::2], strict=True):
        # up the nearer arc, one step, down the farther one
        step_over = (along(one.line[0], two.line[0], 1 / 3), along(one.line[0], two.line[0], 2 / 3))
        line = Curve((*one.line[::-1], *step_over, *two.line))
        near, away = _share(shape, one.foot, part), _share(shape, two.foot, part)
        teeth.append(Tooth(near, away, line) if on_right else Tooth(away, near, Curve(line[::-1])))
    return _Fan(teeth if on_right else teeth[::-1], spacing)


def _arcs(centre: Point, tip: Point, far: Point, spacing: float) -> list[_Arc]:
    """Arcs in pairs that begin on the same diagonal, from the centre outwards."""
    base = distance(centre, far)
    near: list[_Arc] = []
    beyond: list[_Arc] = []
    for number in range(1, min(400, int(base / spacing - 0.5) + 1)):
        foot = along(centre, far, number * spacing / base)
        head, on_near = _head(centre, tip, far, number * spacing, SET_IN * spacing)
        if on_near and distance_to_line(centre, tip, far) < number * spacing + 0.5 * SET_IN * spacing:
            # between two crossings of the other diagonal the arc would leave the triangle
            continue
        if head is None or distance(head, foot) < _SHORTEST * spacing:
            continue
        (near if on_near else beyond).append(_Arc(_arc(centre, head, foot), foot))
    # an odd one has no partner: the shortest of either kind is left out
    return [*near[len(near) % 2 :], *beyond[: len(beyond) - len(beyond) % 2]]


def _share(shape: Shape, foot: Point, part: tuple[float, float]) -> float:
    """Where a foot stands on the whole section's base, -1 at its left end, 0 in the middle, 1 at its right end."""
    if part == (-1.0, 1.0):
        right = cross(foot.minus(shape.middle), shape.tip.minus(shape.middle)) * cross(
            shape.right.minus(shape.middle), shape.tip.minus(shape.middle)
        )
        end = shape.right if right > 0 else shape.left
        share = distance(shape.middle, foot) / distance(shape.middle, end)
        return share if right > 0 else -share
    share = distance(shape.left, foot) / distance(shape.left, shape.right)
    return part[0] + (part[1] - part[0]) * share


def _head(centre: Point, tip: Point, far: Point, radius: float, set_in: float) -> tuple[Point | None, bool]:
    """Where an arc begins: beside the diagonal from its centre (True) or, beyond the tip, beside the other one."""
    near = _on_circle(centre, radius, centre, tip, far, set_in)
    if near is not None and _inside(near, tip, far, centre, set_in):
        return near, True
    return _on_circle(centre, radius, tip, far, centre, set_in), False


def _inside(point: Point, start: Point, end: Point, inner: Point, set_in: float) -> bool:
    """Whether a point lies at least `set_in` from a side, on the side of `inner`."""
    step = end.minus(start)
    sign = 1 if cross(step, inner.minus(start)) > 0 else -1
    return sign * cross(step, point.minus(start)) / math.hypot(*step) >= set_in - 1e-9


def _on_circle(centre: Point, radius: float, start: Point, end: Point, inner: Point, set_in: float) -> Point | None:
    """Where a circle last meets the line beside a side, `set_in` towards `inner`; None if it does not within the side."""
    step = end.minus(start)
    size = math.hypot(*step)
    square = Point(-step.y / size, step.x / size).times(1 if cross(step, inner.minus(start)) > 0 else -1)
    begin = start.plus(square.times(set_in)).minus(centre)
    b = (begin.x * step.x + begin.y * step.y) / size
    c = begin.x**2 + begin.y**2 - radius**2
    root = b * b - c
    if root < 0:
        return None
    way = (-b + math.sqrt(root)) / size
    return start.plus(square.times(set_in)).plus(step.times(way)) if 0 < way < 1 else None


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
