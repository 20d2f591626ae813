"""All lines of a drawing as straight pieces in arrays, and where they meet.

The heavy libraries are loaded here and in the functions that need them: a plain border needs none.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

from geometry.graph import MEETING
from geometry.plane import FLATNESS, Curve, Point

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    import numpy as np
    from numpy.typing import NDArray

    from geometry.plane import Line

    Floats = NDArray[np.float64]
    Whole = NDArray[np.intp]
    Bools = NDArray[np.bool_]


CLOSELY = 1e-5
"""Inches by which a curve is cut short where a place on it is looked for: a flat belly lies where it lies to 0.01 in."""


@dataclass(frozen=True, slots=True)
class Pieces:
    """Straight pieces of many lines.

    Attributes:
        lines: the lines, in order.
        short: the same as rows of places, curves cut short.
        begin, end: places of the pieces' ends, one row each.
        line: for each piece the number of its line.
        way: for each piece the inches from its line's beginning to the piece's.
        size: for each piece its length.
        smooth: whether the piece begins within a curve, not at a node.
        total: for each line its length.
        closed: for each line whether it ends where it begins.
        tree: the pieces in a search tree.
    """

    lines: tuple[Line, ...]
    short: tuple[Floats, ...]
    begin: Floats
    end: Floats
    line: Whole
    way: Floats
    size: Floats
    smooth: Bools
    total: Floats
    closed: Bools
    tree: Any

    def along(self, line: Whole, one: Floats, other: Floats) -> Floats:
        """Inches along lines between two of their places, the shorter way round closed ones."""
        import numpy as np

        straight = np.abs(one - other)
        return np.where(self.closed[line], np.minimum(straight, self.total[line] - straight), straight)

    def way_to(self, line: int, point: Point) -> float:
        """Inches along a line to the beginning of a piece that is nearest to a point."""
        import numpy as np

        first, after = (int(self.line.searchsorted(line, side)) for side in ("left", "right"))
        return float(self.way[first + int(np.hypot(*(self.begin[first:after] - point).T).argmin())])


def pieces(lines: Sequence[Line], freehand: Collection[int] = ()) -> Pieces:
    """Take lines apart; lines of fewer than two different points have no pieces.

    Args:
        lines: straight or curved.
        freehand: the numbers of those that are curves in truth, though written as many straight pieces.
    """
    import numpy as np
    import shapely

    begins, ends, numbers, ways, sizes, smooths = [], [], [], [], [], []
    total = np.zeros(len(lines))
    closed = np.zeros(len(lines), dtype=bool)
    short = []
    for number, line in enumerate(lines):
        points, inside = _cut_short(line)
        short.append(points)
        size = np.hypot(*np.diff(points, axis=0).T)
        inside = inside if number not in freehand else np.arange(len(points)) > 0
        kept = size > 0
        begins.append(points[:-1][kept])
        ends.append(points[1:][kept])
        numbers.append(np.full(kept.sum(), number))
        ways.append((np.cumsum(size) - size)[kept])
        sizes.append(size[kept])
        smooths.append(inside[:-1][kept])
        total[number] = size.sum()
        closed[number] = len(points) > 2 and np.hypot(*(points[0] - points[-1])) <= MEETING  # noqa: PLR2004
    begin, end = np.concatenate([*begins, np.empty((0, 2))]), np.concatenate([*ends, np.empty((0, 2))])
    return Pieces(
        tuple(lines), tuple(short), begin, end,
        np.concatenate([*numbers, np.empty(0)]).astype(np.intp), np.concatenate([*ways, np.empty(0)]),
        np.concatenate([*sizes, np.empty(0)]), np.concatenate([*smooths, np.empty(0)]).astype(bool), total, closed,
        shapely.STRtree(shapely.linestrings(np.stack([begin, end], axis=1))),
    )  # fmt: skip


def _cut_short(line: Line) -> tuple[Floats, Bools]:
    """The places of a line with its curves cut short as `Curve.flat` does, and whether each lies within a curve."""
    import numpy as np

    nodes = np.fromiter(itertools.chain.from_iterable(line), float).reshape(-1, 2)
    if not isinstance(line, Curve):
        return nodes, np.zeros(len(nodes), dtype=bool)
    start, one, two, end = nodes[:-1:3], nodes[1::3], nodes[2::3], nodes[3::3]
    bend = np.maximum(np.hypot(*(start - 2 * one + two).T), np.hypot(*(one - 2 * two + end).T))
    count = np.maximum(np.ceil(np.sqrt(0.75 * bend / FLATNESS)), 1).astype(np.intp)
    last = np.cumsum(count)
    bezier = np.repeat(np.arange(len(count)), count)
    share = ((np.arange(last[-1]) - (last - count)[bezier] + 1) / count[bezier])[:, None]
    c, b = 3 * (one - start), 3 * (two - one) - 3 * (one - start)
    a = end - start - c - b
    places = ((a[bezier] * share + b[bezier]) * share + c[bezier]) * share + start[bezier]
    places[last - 1] = end
    inside = np.ones(last[-1] + 1, dtype=bool)
    inside[np.concatenate([[0], last])] = False
    return np.concatenate([nodes[:1], places]), inside


def nearest_places(
    one: Line, other: Line, spans: tuple[tuple[float, float], tuple[float, float]] | None = None
) -> tuple[Point, Point, float]:
    """The nearest places of two lines, and the inches between them, with curves cut much shorter than elsewhere.

    Args:
        one: a line.
        other: another, or the same.
        spans: for each of them from where to where it is looked at, in shares of its length; None: all of it.
    """
    import shapely
    from shapely.ops import substring

    shapes = [shapely.LineString(line.flat(CLOSELY) if isinstance(line, Curve) else line) for line in (one, other)]
    if spans is not None:
        shapes = [substring(shape, *span, normalized=True) for shape, span in zip(shapes, spans, strict=True)]
    way = shapely.shortest_line(*shapes)
    here, there = (Point(*place) for place in way.coords)
    return here, there, float(way.length)


class Meetings(NamedTuple):
    """Places where two pieces cross or touch, the ends of neighbouring pieces of one line left out.

    Attributes:
        at: the places.
        line, other: the lines' numbers.
        way, other_way: inches along them.
    """

    at: Floats
    line: Whole
    other: Whole
    way: Floats
    other_way: Floats


def to_piece(points: Floats, begin: Floats, end: Floats) -> tuple[Floats, Floats]:
    """Inches from each point to the piece beside it, and the share of the piece at which it is nearest."""
    import numpy as np

    step = end - begin
    share = np.clip(((points - begin) * step).sum(axis=1) / (step * step).sum(axis=1), 0, 1)
    return np.hypot(*(points - begin - step * share[:, None]).T), share


def meetings(drawn: Pieces) -> Meetings:
    """Where the pieces of a drawing meet within the meeting distance."""
    import numpy as np
    import shapely

    # first those whose boxes are near: most are neighbours of one line, which is told without measuring
    low, high = np.minimum(drawn.begin, drawn.end) - MEETING, np.maximum(drawn.begin, drawn.end) + MEETING
    one, two = drawn.tree.query(shapely.box(*low.T, *high.T))
    one, two = one[one < two], two[one < two]
    near = drawn.along(drawn.line[one], drawn.way[one] + drawn.size[one] / 2, drawn.way[two] + drawn.size[two] / 2)
    neighbours = (drawn.line[one] == drawn.line[two]) & (near <= (drawn.size[one] + drawn.size[two]) / 2 + MEETING)
    one, two = one[~neighbours], two[~neighbours]
    a, b, c, d = drawn.begin[one], drawn.end[one], drawn.begin[two], drawn.end[two]
    rows = []
    for points, begin, end, ours in ((a, c, d, 0.0), (b, c, d, 1.0)):
        gap, share = to_piece(points, begin, end)
        rows.append((gap, np.full(len(gap), ours), share))
    for points, begin, end, theirs in ((c, a, b, 0.0), (d, a, b, 1.0)):
        gap, share = to_piece(points, begin, end)
        rows.append((gap, share, np.full(len(gap), theirs)))
    rows.append(_crossings(a, b, c, d))
    gaps = np.array([row[0] for row in rows])
    best = np.argmin(gaps, axis=0)
    pick = np.arange(len(best))
    ours, theirs = (np.array([row[k] for row in rows])[best, pick] for k in (1, 2))
    met = gaps[best, pick] <= MEETING
    one, two, ours, theirs = one[met], two[met], ours[met], theirs[met]
    return Meetings(
        a[met] + (b - a)[met] * ours[:, None],
        drawn.line[one], drawn.line[two],
        drawn.way[one] + drawn.size[one] * ours, drawn.way[two] + drawn.size[two] * theirs,
    )  # fmt: skip


def _crossings(a: Floats, b: Floats, c: Floats, d: Floats) -> tuple[Floats, Floats, Floats]:
    """Where pieces a-b and c-d cross: gap 0 (infinite where they do not) and the shares of both."""
    import numpy as np

    one, two, across = b - a, d - c, c - a
    area = one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        ours = (across[:, 0] * two[:, 1] - across[:, 1] * two[:, 0]) / area
        theirs = (across[:, 0] * one[:, 1] - across[:, 1] * one[:, 0]) / area
    crossing = (ours >= 0) & (ours <= 1) & (theirs >= 0) & (theirs <= 1)
    return np.where(crossing, 0.0, np.inf), np.where(crossing, ours, 0.0), np.where(crossing, theirs, 0.0)
