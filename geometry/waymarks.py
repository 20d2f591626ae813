"""What shows the way: numbers where sections begin, arrowheads along the line, where it starts and stops, where to leave it.

Everything as values in inches of quilt; numbers stand clear of lines where there is room.
"""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING, NamedTuple

from geometry.errors import OptionError
from geometry.lengths import about
from geometry.plane import Curve, Point, along, distance, thinned

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from geometry.fills.shape import FilledSection
    from geometry.needle import Run
    from geometry.plane import Line
    from geometry.quilt import Border
    from geometry.zigzag import Zigzag

SHARES_OF_HEIGHT = 0.14
"""Height of the type against that of the border."""

LARGEST_TYPE = 0.8
"""Inches: a number need not be larger on the widest border."""

CLEAR = 0.62
"""Heights of the type between the middle of a number and the nearest line."""

ROUGHLY = 0.05
"""Heights of the type that a line may be off where only a place beside it is looked for."""

FINE = 10
"""Steps along a section's side at which a place for its number is tried."""

ARROW = 0.8
"""Heights of the type from the point of an arrowhead to its back."""

CLOSEST_LEAVE = 1.0
"""Inches: nobody leaves a border more often; less is a slip of the pen, or of the unit."""

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
    return Waymarks(
        size, tuple(numbers), tuple(tuple(_arrows(run, size, EVERY * height)) for run in runs),
        tuple(run.start for run in runs), tuple(run.stop for run in runs), tuple(leaves),
    )  # fmt: skip


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
    """Arrowheads on the straight pieces of a run, past their middle, so that there and back stay apart."""
    long = ARROW * size
    gone, last = 0.0, -math.inf
    for leg in run.course:
        if isinstance(leg.line, Curve):
            gone += leg.line.length
            continue
        for start, end in itertools.pairwise(leg.line):
            piece = distance(start, end)
            if piece >= 2.5 * long and gone + 0.6 * piece - last >= every:
                last = gone + 0.6 * piece
                yield arrowhead(along(start, end, 0.6), end.minus(start).times(1 / piece), long)
            gone += piece


def arrowhead(point: Point, ahead: Point, long: float) -> Line:
    """A slim arrowhead whose middle is `point`, as a closed outline; `ahead` is a step of one inch."""
    across = Point(-ahead.y, ahead.x).times(0.3 * long)
    tip, back = point.plus(ahead.times(long / 2)), point.minus(ahead.times(long / 2))
    return (tip, back.plus(across), point.minus(ahead.times(0.25 * long)), back.minus(across), tip)


def leave_points(border: Border, zigzags: Sequence[Zigzag], every: float) -> tuple[Point, ...]:
    """Dots on the seam of the left and right sides where the border can be left for the centre and taken up again.

    One on either side near every so many inches down from the top of the seam, at the same height left and right: on a
    frame the quilt advances by that much.

    Raises:
        OptionError: it is hardly any length, or longer than the sides.
    """
    upright = {zigzag.side.name: zigzag for zigzag in zigzags if zigzag.side.name in {"left", "right"}}
    top = min(corner.y for corner in border.seam)
    long = max(corner.y for corner in border.seam) - top
    if not CLOSEST_LEAVE <= every < long:
        raise OptionError(
            f"Leave-and-return points are asked for every {about(every)}; it must be at least {about(CLOSEST_LEAVE)} and "
            f"less than the side, {about(long)}: please give a length such as 18."
        )
    left, right = (upright[name].dots for name in ("left", "right"))
    found: dict[Point, None] = {}
    for step in range(1, math.ceil(long / every)):
        found.update(dict.fromkeys(_pair_at(left, right, top + step * every)))
    return tuple(found)


def _pair_at(left: Sequence[Point], right: Sequence[Point], height: float) -> tuple[Point, Point]:
    """A dot on either side, the two most nearly at a height and level with one another."""
    near_left, near_right = (sorted(dots, key=lambda dot: abs(dot.y - height)) for dots in (left, right))
    best, pair = math.inf, (near_left[0], near_right[0])
    for one in near_left:
        for other in near_right:
            apart = abs(one.y - height) + abs(other.y - height)
            if apart >= best:
                break  # all others are farther still
            if apart + 2 * abs(one.y - other.y) < best:
                best, pair = apart + 2 * abs(one.y - other.y), (one, other)
    return pair
