"""Points of the plane, affine maps, and every tolerance of the project with its reason."""

from __future__ import annotations

import itertools
import math
import operator
from functools import cache, cached_property
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Sequence

SAME_POINT = 1e-6
"""Inches within which two computed points are one: far below any stitch, far above rounding."""

FLATNESS = 0.003
"""Inches by which a curve may be cut short where straight pieces stand for it: a tenth of a thread."""

THINNED = 0.001
"""Inches by which a line of very many points may be off when a way along it is looked for: a thirtieth of a thread."""

SQUARE = 1 / 64
"""Inches a corner may lie off a true rectangle: a quarter of a ruler's sixteenth, less than a thread."""

NOTICED = 6.7
"""Percent up to which a change of repeat is not noticed: 7.5 beside 8
("Scalloped Quilt Border Tutorial", abrightcorner.com)."""

EASED_MOST = 15.0
"""Percent by which an eased triangle may differ from its neighbours (the house rule of this project)."""

CORNER_MOST_LINES = 6
"""Lines that may meet in one point; more is a knot of thread (common practice, no source)."""

SHARPEST_TURN_DEG = 8.0
"""Turns sharper than this leave a spike of doubled thread; fills are drawn blunter (house rule)."""


ROUNDING = 1e-12
"""Share of a number that sums of a few such numbers may be off."""


class Point(NamedTuple):
    """A place, or a step, in inches: x to the right, y downwards."""

    x: float
    y: float

    def plus(self, other: Point) -> Point:
        """This point moved by `other`."""
        return Point(self.x + other.x, self.y + other.y)

    def minus(self, other: Point) -> Point:
        """The step from `other` to this point."""
        return Point(self.x - other.x, self.y - other.y)

    def times(self, factor: float) -> Point:
        """This step, `factor` times as long."""
        return Point(self.x * factor, self.y * factor)


def distance(first: Point, second: Point) -> float:
    """Inches between two points."""
    return math.hypot(second.x - first.x, second.y - first.y)


def along(first: Point, second: Point, share: float) -> Point:
    """The point `share` of the way from `first` to `second` (0 gives `first`, 1 `second`, both exactly)."""
    if share == 1:
        return second
    return Point(first.x + (second.x - first.x) * share, first.y + (second.y - first.y) * share)


def middle(first: Point, second: Point) -> Point:
    """The point halfway."""
    return along(first, second, 0.5)


def cross(first: Point, second: Point) -> float:
    """Cross product of two steps: positive when `second` turns clockwise from `first` as seen on the page."""
    return first.x * second.y - first.y * second.x


def distance_to_line(point: Point, start: Point, end: Point) -> float:
    """Inches from `point`, square to the endless line through `start` and `end` (two different points)."""
    (x, y), (u, v) = start, end
    return abs((u - x) * (point.y - y) - (v - y) * (point.x - x)) / math.hypot(u - x, v - y)


def distance_to_piece(point: Point, start: Point, end: Point) -> float:
    """Inches from `point` to the straight piece from `start` to `end` (which may be one point)."""
    (px, py), (x, y), (u, v) = point, start, end
    dx, dy = u - x, v - y
    size = dx * dx + dy * dy
    share = ((px - x) * dx + (py - y) * dy) / size if size else 0.0
    if share >= 1:
        return math.hypot(u - px, v - py)
    share = max(share, 0.0)
    return math.hypot(x + dx * share - px, y + dy * share - py)


def halfway_foot(left: Point, right: Point, tip: Point) -> Point:
    """Where the line that halves the angle at `tip` meets the base; from there both other sides are equally far."""
    to_left, to_right = distance(tip, left), distance(tip, right)
    return along(left, right, to_left / (to_left + to_right))


def meet(start: Point, step: Point, other: Point, other_step: Point) -> Point:
    """Where the endless line from `start` along `step` meets the one from `other` along `other_step`.

    Raises:
        ZeroDivisionError: the lines are parallel.
    """
    share = cross(other.minus(start), other_step) / cross(step, other_step)
    return start.plus(step.times(share))


def inside(point: Point, outline: Sequence[Point], within: float = 0.0) -> bool:
    """Whether a point lies inside a closed outline, or at most `within` inches outside of it."""
    odd = False
    for i, end in enumerate(outline):
        start = outline[i - 1]
        if (start.y > point.y) != (end.y > point.y):
            share = (point.y - start.y) / (end.y - start.y)
            odd ^= point.x < start.x + share * (end.x - start.x)
    return odd or any(distance_to_piece(point, outline[i - 1], end) <= within for i, end in enumerate(outline))


def crossing_pair(outline: Sequence[Point], other: Sequence[Point] = ()) -> tuple[int, int] | None:
    """Two sides of a closed outline that meet though they are no neighbours; or one of it and one of another outline.

    Sides are numbered by the corner they begin in; none: None.
    """
    one = list(zip(outline, [*outline[1:], outline[0]], strict=True))
    two = list(zip(other, [*other[1:], other[0]], strict=True)) if other else one
    count = len(one)
    for i, j in itertools.product(range(count), range(len(two))):
        neighbours = not other and (i - j) % count in {0, 1, count - 1}
        if not neighbours and _pieces_meet(*one[i], *two[j]):
            return (i, j)
    return None


def _pieces_meet(one: Point, two: Point, three: Point, four: Point) -> bool:
    """Whether two straight pieces cross or touch."""
    first, second = two.minus(one), four.minus(three)
    apart = cross(first, second)
    if abs(apart) > 1e-12 * math.hypot(*first) * math.hypot(*second):
        between = three.minus(one)
        return 0 <= cross(between, second) / apart <= 1 and 0 <= cross(between, first) / apart <= 1
    ends = ((one, three, four), (two, three, four), (three, one, two), (four, one, two))
    return any(distance_to_piece(*end) <= SAME_POINT for end in ends)


def length_of(line: Line) -> float:
    """Inches along a line; 0 for fewer than two points."""
    return line.length if isinstance(line, Curve) else _long(line)


def _long(points: Sequence[Point]) -> float:
    return sum([math.hypot(x - u, y - v) for (x, y), (u, v) in itertools.pairwise(points)])


def area_of(corners: Line) -> float:
    """Square inches inside an outline that does not cross itself; the first corner is not repeated."""
    return abs(sum(cross(one, other) for one, other in zip(corners, (*corners[1:], corners[0]), strict=True))) / 2


Line = tuple[Point, ...]
"""A line of straight pieces in the order of its points (closed when the last repeats the first), or a `Curve`."""


class Curve(tuple[Point, ...]):  # noqa: SLOT001 - it remembers what it was measured to be
    """A chain of cubic Béziers: a node, two controls, a node, two controls, … a node."""

    _alike: Curve | None = None
    """A curve that is as long."""

    @cached_property
    def straight(self) -> tuple[Point, ...]:
        """The curve as straight pieces that leave it by at most `FLATNESS`, worked out once."""
        return self.flat()

    @cached_property
    def length(self) -> float:
        """Inches along those pieces."""
        if self._alike is not None:
            return self._alike.length
        found = 0.0
        for (one, two, three, end), pieces in zip(self._beziers, self.pieces(), strict=True):
            start = complex(*one)
            first, last = 3 * (complex(*two) - start), complex(*end) - start
            second = 3 * (complex(*three) - start) - 2 * first
            third = last - first - second
            spots = [((third * t + second) * t + first) * t for t in _shares(pieces)]
            found += sum(map(abs, map(operator.sub, spots, (0j, *spots)))) + abs(last - (spots[-1] if spots else 0j))
        return found

    def moved(self, place: Affine) -> Curve:
        """Where a map takes it; if the map is rigid, its length need be measured but once."""
        a, b, c, d, e, f = place
        there = Curve([Point(a * x + c * y + e, b * x + d * y + f) for x, y in self])
        if place.rigid:
            there._alike = self
        return there

    def backwards(self) -> Curve:
        """The same curve from its end to its start."""
        there = Curve(self[::-1])
        there._alike = self
        return there

    def flat(self, within: float = FLATNESS) -> tuple[Point, ...]:
        """The curve as straight pieces that leave it by at most `within` inches."""
        points = [self[0]]
        for (one, two, three, end), pieces in zip(self._beziers, self.pieces(within), strict=True):
            (x, y), (x1, y1), (x2, y2), (x3, y3) = one, two, three, end
            # the Bézier as a polynomial: ((a t + b) t + c) t + start
            cx, cy = 3 * (x1 - x), 3 * (y1 - y)
            bx, by = 3 * (x2 - x1) - cx, 3 * (y2 - y1) - cy
            ax, ay = x3 - x - cx - bx, y3 - y - cy - by
            for step in range(1, pieces):
                t = step / pieces
                points.append(Point(((ax * t + bx) * t + cx) * t + x, ((ay * t + by) * t + cy) * t + y))
            points.append(end)
        return tuple(points)

    def pieces(self, within: float = FLATNESS) -> list[int]:
        """For each Bézier of the chain how many straight pieces stand for it."""
        found = []
        for (x, y), (x1, y1), (x2, y2), (x3, y3) in self._beziers:
            # the second differences of the controls bound how far a chord leaves the curve
            bend = max(math.hypot(x - 2 * x1 + x2, y - 2 * y1 + y2), math.hypot(x1 - 2 * x2 + x3, y1 - 2 * y2 + y3))
            found.append(max(1, math.ceil(math.sqrt(0.75 * bend / within))))
        return found

    @property
    def _beziers(self) -> zip[tuple[Point, Point, Point, Point]]:
        return zip(self[:-1:3], self[1::3], self[2::3], self[3::3], strict=True)


@cache
def _shares(pieces: int) -> tuple[float, ...]:
    """Where a Bézier is cut into so many pieces."""
    return tuple(number / pieces for number in range(1, pieces))


def flat(line: Line) -> tuple[Point, ...]:
    """A line as straight pieces, whatever it is."""
    return line.straight if isinstance(line, Curve) else line


def thinned(line: Sequence[Point], within: float) -> Line:
    """Some of a line's points, the first and the last among them, such that it leaves all others by at most `within` inches.

    From each point that is kept the line goes as far on as one straight piece can that passes all points between.
    """
    if len(line) < 3:  # noqa: PLR2004 - nothing between its ends
        return tuple(line)
    kept = [line[0]]
    x, y = line[0]
    far, before = 0.0, line[0]
    # the headings that pass all points so far, as two steps: nothing to the left of one, nothing to the right of the other
    left: tuple[float, float] | None = None
    right = (0.0, 0.0)
    for point in line[1:]:
        u, v = point.x - x, point.y - y
        away = math.hypot(u, v)
        outside = left is not None and (left[0] * v - left[1] * u < 0 or right[0] * v - right[1] * u > 0)
        if away < far or outside:
            kept.append(before)
            x, y = before
            far, left = 0.0, None
            u, v = point.x - x, point.y - y
            away = math.hypot(u, v)
        if away > within:
            along_, aside = math.sqrt(away * away - within * within), within
            one = (along_ * u + aside * v, along_ * v - aside * u)
            other = (along_ * u - aside * v, along_ * v + aside * u)
            if left is None:
                left, right = one, other
            else:
                left = one if left[0] * one[1] - left[1] * one[0] > 0 else left
                right = other if right[0] * other[1] - right[1] * other[0] < 0 else right
        far, before = max(far, away), point
    return (*kept, line[-1])


class Affine(NamedTuple):
    """The map (x, y) -> (a·x + c·y + e, b·x + d·y + f), coefficients in SVG's order."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def at(self, point: Point) -> Point:
        """Where `point` goes."""
        return Point(
            self.a * point.x + self.c * point.y + self.e,
            self.b * point.x + self.d * point.y + self.f,
        )

    def line(self, points: Line) -> Line:
        """Where a line goes; a curve stays one."""
        if isinstance(points, Curve):
            return points.moved(self)
        a, b, c, d, e, f = self
        return tuple([Point(a * x + c * y + e, b * x + d * y + f) for x, y in points])

    def after(self, first: Affine) -> Affine:
        """The one map that does `first`, then this one."""
        return Affine(
            self.a * first.a + self.c * first.b,
            self.b * first.a + self.d * first.b,
            self.a * first.c + self.c * first.d,
            self.b * first.c + self.d * first.d,
            self.a * first.e + self.c * first.f + self.e,
            self.b * first.e + self.d * first.f + self.f,
        )

    @property
    def rigid(self) -> bool:
        """Whether it keeps all lengths: it only moves, turns and mirrors."""
        return all(abs(value) < ROUNDING for value in (
            self.a**2 + self.b**2 - 1, self.c**2 + self.d**2 - 1, self.a * self.c + self.b * self.d
        ))  # fmt: skip

    @property
    def narrowest(self) -> float:
        """The least share to which it changes any length: its smaller singular value."""
        squares, det = self.a**2 + self.b**2 + self.c**2 + self.d**2, abs(self.determinant)
        return (math.sqrt(squares + 2 * det) - math.sqrt(max(0.0, squares - 2 * det))) / 2

    @property
    def determinant(self) -> float:
        """Area factor; negative where the map mirrors."""
        return self.a * self.d - self.b * self.c

    def inverse(self) -> Affine:
        """The map back.

        Raises:
            ZeroDivisionError: this map flattens the plane.
        """
        det = self.determinant
        return Affine(
            self.d / det,
            -self.b / det,
            -self.c / det,
            self.a / det,
            (self.c * self.f - self.d * self.e) / det,
            (self.b * self.e - self.a * self.f) / det,
        )
