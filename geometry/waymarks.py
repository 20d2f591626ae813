"""What shows the way: numbers where sections begin, arrowheads along the line, where it starts and stops.

Everything as values in inches of quilt; numbers stand clear of lines where there is room.
"""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING, NamedTuple

from geometry.plane import Curve, Point, along, distance, length_of, thinned

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from geometry.fills.shape import FilledSection
    from geometry.needle import Run
    from geometry.plane import Line

SHARES_OF_HEIGHT = 0.14
"""Height of the type against that of the border."""

LARGEST_TYPE = 0.8
"""Inches: a number need not be larger on the widest border."""

CLEAR = 0.62
"""Heights of the type between the middle of a number and the nearest line."""

FIGURE = 0.68
"""Width of a figure in heights of the type."""

ROUGHLY = 0.05
"""Heights of the type that a line may be off where only a place beside it is looked for."""

FINE = 10
"""Steps along a section's side at which a place for its number is tried."""

ARROW = 0.8
"""Heights of the type from the point of an arrowhead to its back."""

NEARLY_STRAIGHT = 0.97
"""Share of an arrowhead's length that a curve must lead straight on for one to lie on it."""

EVERY = 1.5
"""Heights of the border between one arrowhead and the next, at the least."""


class Number(NamedTuple):
    """A number and the middle of where it stands."""

    text: str
    at: Point


class Waymarks(NamedTuple):
    """The marks of a border's runs.

    Attributes:
        size: height of the type in inches.
        numbers: one for each section begun, in the order they are begun.
        arrows: for each run its arrowheads, closed outlines of three corners.
        starts, stops: where each run begins and ends.
        leaves: the leave-and-return points asked for.
    """

    size: float
    numbers: tuple[Number, ...]
    arrows: tuple[tuple[Line, ...], ...]
    starts: tuple[Point, ...]
    stops: tuple[Point, ...]
    leaves: tuple[Point, ...] = ()


def waymarks(
    runs: Sequence[Run],
    sections: Iterable[FilledSection],
    height: float,
    least_type: float,
    leaves: Sequence[Point] = (),
) -> Waymarks:
    """Mark the way of some runs.

    Args:
        runs: the runs in order.
        sections: what they stitch.
        height: of the border, seam to stop line, in inches.
        least_type: the smallest type that can be read, in inches of quilt.
        leaves: leave-and-return points to show.
    """
    size = max(least_type, min(LARGEST_TYPE, SHARES_OF_HEIGHT * height))
    filled = {one.section.name: one for one in sections}
    known: dict[tuple[int, Point], Point] = {}
    rough: dict[int, list[Line]] = {}
    numbers = []
    for count, visit in enumerate((visit for run in runs for visit in run.visits), 1):
        numbers.append(Number(str(count), _beside(filled[visit.section], visit.at, size, known, rough)))
    free = _Free(numbers, size)
    return Waymarks(
        size, tuple(numbers), tuple(tuple(filter(free.of, _arrows(run, size, EVERY * height))) for run in runs),
        tuple(run.start for run in runs), tuple(run.stop for run in runs), tuple(leaves),
    )  # fmt: skip


class _Free:
    """Where no number stands."""

    def __init__(self, numbers: Sequence[Number], size: float) -> None:
        """Take the numbers up by the squares they stand in, so that only near ones are looked at."""
        self._reach = {text: (FIGURE * len(text) + ARROW) * size / 2 for text, _ in numbers}
        self._cell = max(self._reach.values(), default=1.0)
        self._numbers: dict[tuple[int, int], list[Number]] = {}
        for number in numbers:
            self._numbers.setdefault(self._square(number.at), []).append(number)

    def of(self, arrow: Line) -> bool:
        """Whether an arrowhead lies on no number."""
        x, y = self._square(arrow[2])
        return not any(
            distance(number.at, arrow[2]) < self._reach[number.text]
            for i, k in itertools.product((x - 1, x, x + 1), (y - 1, y, y + 1))
            for number in self._numbers.get((i, k), ())
        )

    def _square(self, point: Point) -> tuple[int, int]:
        return math.floor(point.x / self._cell), math.floor(point.y / self._cell)


def _beside(
    filled: FilledSection,
    entry: Point,
    size: float,
    known: dict[tuple[int, Point], Point],
    rough: dict[int, list[Line]],
) -> Point:
    """A place for a number inside a section, near where it is begun; congruent sections are looked at once."""
    back = filled.place.inverse()
    start = back.at(entry)
    key = (id(filled.standard), Point(round(start.x, 6), round(start.y, 6)))
    if key not in known:
        corners = [back.at(corner) for corner in filled.section.corners]
        if key[0] not in rough:
            off = ROUGHLY * size
            lines = filled.standard.lines
            rough[key[0]] = [line.flat(off) if isinstance(line, Curve) else thinned(line, off) for line in lines]
        known[key] = _clearest(corners, rough[key[0]], start, size)
    return filled.place.at(known[key])


def _clearest(corners: Sequence[Point], lines: Sequence[Line], start: Point, size: float) -> Point:
    """The first place, going away from the start, that is clear of every line; if none is, the clearest of all."""
    outline = [*corners, corners[0]]
    enough = CLEAR * size
    pieces = [
        _Piece(
            (min(u, x)) - enough, (max(x, u)) + enough,
            (min(v, y)) - enough, (max(y, v)) + enough,
            x, y, u - x, v - y,
        )
        for line in (outline, *lines)
        for (x, y), (u, v) in itertools.pairwise(line)
    ]  # fmt: skip
    best, clearest = start, -1.0
    for place in _places(corners, start, size):
        room = _room(place, pieces, clearest)
        if room > clearest:
            best, clearest = place, room
            if room >= enough:
                break
    return best


class _Piece(NamedTuple):
    """The box round everything that a straight piece is not far enough from, the piece's start, and the step to its end."""

    left: float
    right: float
    top: float
    bottom: float
    x: float
    y: float
    dx: float
    dy: float


def _places(corners: Sequence[Point], start: Point, size: float) -> list[Point]:
    """Places inside a section, nearest to the start first, but not on top of it."""
    found = []
    for two in itertools.pairwise(corners[1:]):
        one, other, third = corners[0], *two
        for i, j in itertools.product(range(1, FINE), repeat=2):
            if i + j < FINE:
                place = along(along(one, other, i / FINE), along(third, other, i / FINE), j / (FINE - i))
                found.append((distance(place, start), place))
    return [place for apart, place in sorted(found) if apart > size]


def _room(place: Point, pieces: Iterable[_Piece], least: float) -> float:
    """Inches from a place to the nearest of some straight pieces, as far as it matters: not beyond enough, not below least."""
    # as `distance_to_piece`, but there are thousands to ask
    x, y = place
    nearest = math.inf
    for left, right, top, bottom, u, v, dx, dy in pieces:
        if left < x < right and top < y < bottom:
            size = dx * dx + dy * dy
            share = ((x - u) * dx + (y - v) * dy) / size if size else 0.0
            share = 0.0 if share < 0 else min(share, 1.0)
            away = math.hypot(u + dx * share - x, v + dy * share - y)
            if away < nearest:
                nearest = away
                if away <= least:
                    break
    return nearest


def _arrows(run: Run, size: float, every: float) -> Iterator[Line]:
    """Arrowheads on the straight pieces of a run, past their middle, so that there and back stay apart; and along curves."""
    long = ARROW * size
    gone, last = 0.0, -math.inf
    for leg in run.course:
        if isinstance(leg.line, Curve):
            for place, arrow in _along_curve(leg.line, long, last + every - gone, every):
                last = gone + place
                yield arrow
            gone += leg.line.length
            continue
        for number, (start, end) in enumerate(itertools.pairwise(leg.line), 1):
            piece = distance(start, end)
            if piece >= 2.5 * long and gone + 0.6 * piece - last >= every:
                last = gone + 0.6 * piece
                yield arrowhead(along(start, end, 0.6), end.minus(start).times(1 / piece), long)
            gone += piece
            if piece < long and gone - long / 2 - last >= every:
                # a curve in straight pieces
                arrow = _ending_at(leg.line, number, long)
                if arrow:
                    last = gone - long / 2
                    yield arrow


def _along_curve(curve: Curve, long: float, first: float, every: float) -> Iterator[tuple[float, Line]]:
    """Arrowheads amid pieces of a curve that are nearly straight, and how many inches along it each is, about."""
    step = 3 * curve.length / (len(curve) - 1)
    due = first
    for start in range(0, len(curve) - 1, 3):
        place = (start / 3 + 0.5) * step
        if place >= due:
            a, b, c, d = curve[start : start + 4]
            ahead = d.plus(c).minus(b).minus(a)
            if distance(a, d) >= max(long / 2, NEARLY_STRAIGHT * length_of((a, b, c, d))):
                middle = Point((a.x + 3 * (b.x + c.x) + d.x) / 8, (a.y + 3 * (b.y + c.y) + d.y) / 8)
                yield place, arrowhead(middle, ahead.times(1 / math.hypot(*ahead)), long)
                due = place + every


def _ending_at(points: Sequence[Point], number: int, long: float) -> Line:
    """An arrowhead whose tip is about that point of a line, if the line leads nearly straight there; otherwise none."""
    end, before = points[number], points[number::-1]
    back = _back(before, long)
    chord = distance(back, end)
    if chord < NEARLY_STRAIGHT * long:
        return ()
    return arrowhead(_back(before, long / 2), end.minus(back).times(1 / chord), long)


def _back(points: Sequence[Point], inches: float) -> Point:
    """The place so many inches along a line, or its first point if it is shorter."""
    left = inches
    for here, there in itertools.pairwise(points):
        piece = distance(here, there)
        if piece >= left:
            return along(here, there, left / piece)
        left -= piece
    return points[0]


def arrowhead(point: Point, ahead: Point, long: float) -> Line:
    """A slim arrowhead whose middle is `point`, as a closed outline; `ahead` is a step of one inch."""
    across = Point(-ahead.y, ahead.x).times(0.3 * long)
    tip, back = point.plus(ahead.times(long / 2)), point.minus(ahead.times(long / 2))
    return (tip, back.plus(across), point.minus(ahead.times(0.25 * long)), back.minus(across), tip)
