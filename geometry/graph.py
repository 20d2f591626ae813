"""Lines to a graph: where lines meet, cross or touch there is a node, between two nodes an edge.

A line to be stitched is required. A road may only be travelled: a seam (in the ditch), or a
line that is stitched at another time and may be stitched over.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from dataclasses import dataclass
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


@dataclass(frozen=True, slots=True)
class Graph:
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
        self._cells: dict[tuple[int, int], list[int]] = defaultdict(list)

    def at(self, point: Point) -> int:
        column, row = math.floor(point.x / MEETING), math.floor(point.y / MEETING)
        for cell in itertools.product((column - 1, column, column + 1), (row - 1, row, row + 1)):
            for number in self._cells.get(cell, ()):
                if distance(self.points[number], point) <= MEETING:
                    return number
        self.points.append(point)
        self._cells[column, row].append(len(self.points) - 1)
        return len(self.points) - 1


class _Piece(NamedTuple):
    start: Point
    end: Point
    source: int


def build(lines: Iterable[Line], roads: Iterable[tuple[Kind, Line]] = (), places: Iterable[Point] = ()) -> Graph:
    """Make the graph of the lines to stitch and the roads; `places` become nodes where they lie on a line.

    Where two lines run on top of one another for a stretch, that stretch is one edge, and it
    is required if either is.
    """
    sources: list[tuple[Kind, Line]] = [("line", line) for line in lines]
    sources += roads
    pieces = [
        _Piece(start, end, number)
        for number, (_, line) in enumerate(sources)
        for start, end in itertools.pairwise(line)
        if start != end
    ]
    cuts = _cuts(pieces, places)
    nodes = _Nodes()
    found: dict[tuple[int, int], Kind] = {}
    for piece, shares in zip(pieces, cuts, strict=True):
        kind = sources[piece.source][0]
        stops = [nodes.at(_on(piece, share)) for share in sorted(shares)]
        for start, end in itertools.pairwise(stops):
            if start == end:
                continue
            key = (min(start, end), max(start, end))
            if key not in found or found[key] != "line":
                found[key] = kind
    return _joined(nodes.points, found, {nodes.at(place) for place in places})


def _on(piece: _Piece, share: float) -> Point:
    if share <= 0:
        return piece.start
    if share >= 1:
        return piece.end
    return Point(
        piece.start.x + (piece.end.x - piece.start.x) * share, piece.start.y + (piece.end.y - piece.start.y) * share
    )


def _cuts(pieces: Sequence[_Piece], places: Iterable[Point]) -> list[set[float]]:
    """For each piece the shares at which something meets it, its own ends (0 and 1) among them."""
    cuts: list[set[float]] = [{0.0, 1.0} for _ in pieces]
    for one, other in _near(pieces):
        for mine, theirs in _meetings(pieces[one], pieces[other]):
            cuts[one].add(mine)
            cuts[other].add(theirs)
    for place in places:
        for number, piece in enumerate(pieces):
            share = _share_near(piece, place)
            if share is not None:
                cuts[number].add(share)
    return cuts


def _near(pieces: Sequence[_Piece]) -> Iterator[tuple[int, int]]:
    """Pairs of pieces whose boxes meet, each pair once, found on a grid."""
    if not pieces:
        return
    size = max(4 * MEETING, sum(distance(piece.start, piece.end) for piece in pieces) / len(pieces))
    cells: dict[tuple[int, int], list[int]] = defaultdict(list)
    boxes: list[tuple[float, float, float, float]] = []
    for number, ((x, y), (u, v), _) in enumerate(pieces):
        left, right = (x - MEETING, u + MEETING) if x < u else (u - MEETING, x + MEETING)
        top, bottom = (y - MEETING, v + MEETING) if y < v else (v - MEETING, y + MEETING)
        boxes.append((left, right, top, bottom))
        found: set[int] = set()
        columns = range(math.floor(left / size), math.floor(right / size) + 1)
        rows = range(math.floor(top / size), math.floor(bottom / size) + 1)
        for cell in itertools.product(columns, rows):
            here = cells[cell]
            found.update(here)
            here.append(number)
        for other in found:
            box = boxes[other]
            if box[0] <= right and left <= box[1] and box[2] <= bottom and top <= box[3]:
                yield other, number


def _meetings(one: _Piece, other: _Piece) -> Iterator[tuple[float, float]]:
    """Shares of both pieces at which they cross or touch."""
    ax, ay = one.end.x - one.start.x, one.end.y - one.start.y
    bx, by = other.end.x - other.start.x, other.end.y - other.start.y
    cx, cy = other.start.x - one.start.x, other.start.y - one.start.y
    area = ax * by - ay * bx
    if abs(area) > 1e-12 * (abs(ax) + abs(ay)) * (abs(bx) + abs(by)):
        mine, theirs = (cx * by - cy * bx) / area, (cx * ay - cy * ax) / area
        if 0 <= mine <= 1 and 0 <= theirs <= 1:
            yield mine, theirs
    # ends that touch, or nearly do; also the ends of stretches that two lines share
    for at_end, point in ((0.0, one.start), (1.0, one.end)):
        share = _share_near(other, point)
        if share is not None:
            yield at_end, share
    for at_end, point in ((0.0, other.start), (1.0, other.end)):
        share = _share_near(one, point)
        if share is not None:
            yield share, at_end


def _share_near(piece: _Piece, point: Point) -> float | None:
    """Where a point within the meeting distance lies along a piece; None if it is farther away."""
    dx, dy = piece.end.x - piece.start.x, piece.end.y - piece.start.y
    share = ((point.x - piece.start.x) * dx + (point.y - piece.start.y) * dy) / (dx * dx + dy * dy)
    share = 0.0 if share < 0 else min(share, 1.0)
    gap = math.hypot(piece.start.x + dx * share - point.x, piece.start.y + dy * share - point.y)
    return share if gap <= MEETING else None


def _joined(points: Sequence[Point], found: dict[tuple[int, int], Kind], kept: set[int]) -> Graph:
    """Chains of pieces of one kind without a choice on the way become single edges; nodes are numbered anew."""
    around: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for pair in found:
        around[pair[0]].append(pair)
        around[pair[1]].append(pair)

    def stops(node: int) -> bool:
        pairs = around[node]
        return node in kept or len(pairs) != 2 or found[pairs[0]] != found[pairs[1]]  # noqa: PLR2004

    number: dict[int, int] = {}
    edges: list[Edge] = []
    used: set[tuple[int, int]] = set()
    # rings without any stop begin at an arbitrary one of their nodes, so all nodes are tried, stops first
    for start in sorted(around, key=lambda node: (not stops(node), node)):
        for first in around[start]:
            if first in used:
                continue
            chain, pair = [start], first
            while True:
                used.add(pair)
                chain.append(pair[1] if pair[0] == chain[-1] else pair[0])
                if chain[-1] == start or stops(chain[-1]):
                    break
                pair = next(p for p in around[chain[-1]] if p != pair)
            line = tuple(points[node] for node in chain)
            ends = [number.setdefault(node, len(number)) for node in (chain[0], chain[-1])]
            edges.append(Edge(ends[0], ends[1], line, found[first], length_of(line)))
    places = {new: points[old] for old, new in number.items()}
    at_node: list[list[int]] = [[] for _ in places]
    for count, edge in enumerate(edges):
        at_node[edge.start].append(count)
        at_node[edge.end].append(count)
    return Graph(tuple(places[i] for i in range(len(places))), tuple(edges), tuple(tuple(a) for a in at_node))
