"""Lines to a graph: where lines meet, cross or touch there is a node, between two nodes an edge.

A line to be stitched is required. A road may only be travelled: a seam (in the ditch), or a
line that is stitched at another time and may be stitched over.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from typing import TYPE_CHECKING, Literal, NamedTuple

from geometry.plane import Point, distance, length_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from geometry.plane import Line

MEETING = 0.01
"""Inches within which lines count as meeting: less than the thickness of two threads."""

Kind = Literal["line", "stitched", "seam"]
"""A line to stitch; a line stitched at another time, to be stitched over; a seam to travel along."""


class Edge(NamedTuple):
    """A piece of line between two nodes, its points from `start` to `end`."""

    start: int
    end: int
    line: Line
    kind: Kind
    length: float

    @property
    def required(self) -> bool:
        """Whether it must be stitched."""
        return self.kind == "line"

    def across(self, node: int) -> int:
        """The node at its other end."""
        return self.start if self.end == node else self.end


class Graph(NamedTuple):
    """Nodes (points) and the edges between them; there may be several between the same two.

    `around` lists for each node the edges that end there; one that begins and ends there twice.
    """

    nodes: tuple[Point, ...]
    edges: tuple[Edge, ...]
    around: tuple[tuple[int, ...], ...]

    def node_at(self, point: Point) -> int | None:
        """The node within the meeting distance of a point, if there is one."""
        best = min(range(len(self.nodes)), key=lambda i: distance(self.nodes[i], point), default=None)
        return best if best is not None and distance(self.nodes[best], point) <= MEETING else None


class _Nodes:
    """Points gathered into nodes: whatever lies within the meeting distance is one."""

    def __init__(self) -> None:
        """Begin without nodes."""
        self.points: list[Point] = []
        self._known: dict[Point, int] = {}
        self._cells: dict[tuple[int, int], list[int]] = defaultdict(list)

    def at(self, point: Point) -> int:
        """The number of the node where this point lies, a new one if need be."""
        if point not in self._known:
            self._known[point] = self._gathered(point)
        return self._known[point]

    def _gathered(self, point: Point) -> int:
        # a cell is so much wider than the meeting distance that mostly one need be looked into
        x, y = point
        left, right = math.floor((x - MEETING) / _CELL), math.floor((x + MEETING) / _CELL)
        top, bottom = math.floor((y - MEETING) / _CELL), math.floor((y + MEETING) / _CELL)
        cells: Iterable[tuple[int, int]] = ((left, top),)
        if left != right or top != bottom:
            cells = itertools.product(range(left, right + 1), range(top, bottom + 1))
        nearest, gap = None, MEETING
        for cell in cells:
            for number in self._cells.get(cell, ()):
                u, v = self.points[number]
                away = math.hypot(x - u, y - v)
                if away <= gap:
                    nearest, gap = number, away
        if nearest is not None:
            return nearest
        self.points.append(point)
        self._cells[math.floor(x / _CELL), math.floor(y / _CELL)].append(len(self.points) - 1)
        return len(self.points) - 1


_CELL = 16 * MEETING


class _Piece(NamedTuple):
    """A straight piece of a line or road: its ends, the step from one to the other, and whose it is."""

    start: Point
    end: Point
    step: Point
    size: float
    source: int


def _piece(start: Point, end: Point, source: int) -> _Piece:
    step = Point(end.x - start.x, end.y - start.y)
    return _Piece(start, end, step, math.hypot(*step), source)


def build(
    lines: Iterable[Line],
    roads: Iterable[tuple[Kind, Line]] = (),
    places: Iterable[Point] = (),
    whole: Iterable[Line] = (),
) -> Graph:
    """Make the graph of the lines to stitch and the roads; `places` become nodes where they lie on a line.

    Where two lines run on top of one another for a stretch, that stretch is one edge, and it
    is required if either is. `whole` lines are to be stitched too; it is known that nothing
    meets them but at their ends, so each is one edge as it is.
    """
    sources: list[tuple[Kind, Line]] = [("line", line) for line in lines]
    sources += roads
    whole = list(whole)
    places = [*places, *(end for line in whole for end in (line[0], line[-1]))]
    pieces = [
        _piece(start, end, number)
        for number, (_, line) in enumerate(sources)
        for start, end in itertools.pairwise(line)
        if start != end
    ]
    nodes = _Nodes()
    found: dict[tuple[int, int], Kind] = {}
    for piece, shares in zip(pieces, _cuts(pieces, places), strict=True):
        kind = sources[piece.source][0]
        stops = [nodes.at(_on(piece, share)) for share in sorted(shares)]
        for start, end in itertools.pairwise(stops):
            if start == end:
                continue
            key = (start, end) if start < end else (end, start)
            if key not in found or found[key] != "line":
                found[key] = kind
    joined = [(nodes.at(line[0]), nodes.at(line[-1]), line) for line in whole]
    return _joined(nodes.points, found, {nodes.at(place) for place in places}, joined)


def _on(piece: _Piece, share: float) -> Point:
    if share <= 0:
        return piece.start
    if share >= 1:
        return piece.end
    (x, y), (dx, dy) = piece.start, piece.step
    return Point(x + dx * share, y + dy * share)


def _cuts(pieces: Sequence[_Piece], places: Sequence[Point]) -> list[set[float]]:
    """For each piece the shares at which something meets it, its own ends (0 and 1) among them."""
    cuts: list[set[float]] = [{0.0, 1.0} for _ in pieces]
    # a place is a piece without length
    everything = [*pieces, *(_piece(place, place, -1) for place in places)]
    for one, other in _near(everything):
        if other == one + 1 and other < len(pieces) and _goes_on(pieces[one], pieces[other]):
            continue
        if other < len(pieces):
            for mine, theirs in _meetings(pieces[one], pieces[other]):
                cuts[one].add(mine)
                cuts[other].add(theirs)
        elif one < len(pieces):
            share = _share_near(pieces[one], everything[other].start)
            if share is not None:
                cuts[one].add(share)
    return cuts


def _goes_on(one: _Piece, other: _Piece) -> bool:
    """Whether a piece begins where the one before ends and leads away from it: they meet nowhere else."""
    (ax, ay), (bx, by) = one.step, other.step
    return one.end == other.start and ax * bx + ay * by > 0


def _near(pieces: Sequence[_Piece]) -> Iterator[tuple[int, int]]:
    """Pairs of pieces whose boxes meet, each pair once, the earlier piece first; found on a grid."""
    if not pieces:
        return
    size = max(4 * MEETING, sum(piece.size for piece in pieces) / len(pieces))
    cells: dict[tuple[int, int], list[int]] = defaultdict(list)
    boxes: list[tuple[float, float, float, float]] = []
    for number, piece in enumerate(pieces):
        (x, y), (u, v) = piece.start, piece.end
        left, right = (x - MEETING, u + MEETING) if x < u else (u - MEETING, x + MEETING)
        top, bottom = (y - MEETING, v + MEETING) if y < v else (v - MEETING, y + MEETING)
        boxes.append((left, right, top, bottom))
        found: set[int] = set()
        for cell in _passed(piece, size):
            here = cells[cell]
            found.update(here)
            here.append(number)
        for other in found:
            box = boxes[other]
            if box[0] <= right and left <= box[1] and box[2] <= bottom and top <= box[3]:
                yield other, number


def _passed(piece: _Piece, size: float) -> Iterator[tuple[int, int]]:
    """The cells of a grid that a piece passes within the meeting distance: column by column, the rows it has there."""
    (x, y), (u, v) = (piece.start, piece.end) if piece.start < piece.end else (piece.end, piece.start)
    first, last = math.floor((x - MEETING) / size), math.floor((u + MEETING) / size)
    top, bottom = (y, v) if y < v else (v, y)
    high, low = math.floor((top - MEETING) / size), math.floor((bottom + MEETING) / size)
    if first == last or high == low:
        for column in range(first, last + 1):
            for row in range(high, low + 1):
                yield column, row
        return
    wide = u - x
    for column in range(first, last + 1):
        begin, end = max(column * size - MEETING - x, 0.0), min((column + 1) * size + MEETING - x, wide)
        one, other = (y + (v - y) * begin / wide, y + (v - y) * end / wide) if wide else (y, v)
        top, bottom = (one, other) if one < other else (other, one)
        for row in range(math.floor((top - MEETING) / size), math.floor((bottom + MEETING) / size) + 1):
            yield column, row


def _meetings(one: _Piece, other: _Piece) -> Iterator[tuple[float, float]]:
    """Shares of both pieces at which they cross or touch."""
    (ax, ay), (bx, by) = one.step, other.step
    cx, cy = other.start.x - one.start.x, other.start.y - one.start.y
    area = ax * by - ay * bx
    # the cross products that say how far the ends of one piece lie from the endless line through the other
    one_start, other_start = cx * by - cy * bx, cx * ay - cy * ax
    if abs(area) > 1e-12 * one.size * other.size:
        mine, theirs = one_start / area, other_start / area
        if 0 <= mine <= 1 and 0 <= theirs <= 1:
            yield mine, theirs
    # ends that touch, or nearly do; also the ends of stretches that two lines share
    reach = MEETING * other.size
    if abs(one_start) <= reach and (share := _share_near(other, one.start)) is not None:
        yield 0.0, share
    if abs(one_start - area) <= reach and (share := _share_near(other, one.end)) is not None:
        yield 1.0, share
    reach = MEETING * one.size
    if abs(other_start) <= reach and (share := _share_near(one, other.start)) is not None:
        yield share, 0.0
    if abs(other_start - area) <= reach and (share := _share_near(one, other.end)) is not None:
        yield share, 1.0


def _share_near(piece: _Piece, point: Point) -> float | None:
    """Where a point within the meeting distance lies along a piece; None if it is farther away."""
    (x, y), (dx, dy) = piece.start, piece.step
    share = ((point.x - x) * dx + (point.y - y) * dy) / (dx * dx + dy * dy)
    share = 0.0 if share < 0 else min(share, 1.0)
    gap = math.hypot(x + dx * share - point.x, y + dy * share - point.y)
    return share if gap <= MEETING else None


def _joined(
    points: Sequence[Point],
    found: dict[tuple[int, int], Kind],
    kept: set[int],
    whole: Iterable[tuple[int, int, Line]],
) -> Graph:
    """Chains of pieces of one kind without a choice on the way become single edges; nodes are numbered anew."""
    around: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for pair in found:
        around[pair[0]].append(pair)
        around[pair[1]].append(pair)
    stops = kept | {
        node
        for node, pairs in around.items()
        if len(pairs) != 2 or found[pairs[0]] != found[pairs[1]]  # noqa: PLR2004
    }
    number: dict[int, int] = {}
    edges: list[Edge] = []
    used: set[tuple[int, int]] = set()
    # rings without any stop begin at an arbitrary one of their nodes, so all nodes are tried, stops first
    for start in sorted(around, key=lambda node: (node not in stops, node)):
        for first in around[start]:
            if first in used:
                continue
            chain, pair = [start], first
            while True:
                used.add(pair)
                here = pair[1] if pair[0] == chain[-1] else pair[0]
                chain.append(here)
                if here == start or here in stops:
                    break
                one, other = around[here]
                pair = other if one == pair else one
            line = tuple(points[node] for node in chain)
            ends = [number.setdefault(node, len(number)) for node in (chain[0], chain[-1])]
            edges.append(Edge(ends[0], ends[1], line, found[first], length_of(line)))
    for start, end, line in whole:
        ends = [number.setdefault(node, len(number)) for node in (start, end)]
        edges.append(Edge(ends[0], ends[1], line, "line", length_of(line)))
    places = {new: points[old] for old, new in number.items()}
    at_node: list[list[int]] = [[] for _ in places]
    for count, edge in enumerate(edges):
        at_node[edge.start].append(count)
        at_node[edge.end].append(count)
    return Graph(tuple(places[i] for i in range(len(places))), tuple(edges), tuple(tuple(a) for a in at_node))
