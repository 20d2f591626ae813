"""One line: any set of lines, and the roads one may travel, to one unbroken run.

Every line is stitched once. To get from one to the next, seams are travelled at a lower
weight and stitched lines stitched over at full weight; the weighted extra is as small as it
can be for the given entry and exit. Where the lines hang together, the nodes with an odd
number of ends are paired by minimum-weight perfect matching (the Chinese postman's way).
Where pieces hang on roads only, matching alone leaves them apart (the rural postman's
problem): an exact search over the frontier of the graph, or by branch and bound, finds the
least extra; where those grow too large, the pieces are joined by shortest roads first, and
a lower bound is given beside the result.
"""

from __future__ import annotations

from contextlib import suppress
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from geometry.frontier import TooWide, least_connected
from geometry.graph import Graph, build
from geometry.joining import branch, detour, from_start, hang_together, join_pieces, pieces
from geometry.pairing import SMALL, Pairer, odd_nodes
from geometry.trail import Leg, euler_trail

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from geometry.graph import Kind
    from geometry.plane import Line, Point

TRAVEL = 0.5
"""Weight of an inch travelled along a seam against an inch stitched over: seams hide it better."""

FEW = 3
"""Pieces up to which branch and bound is tried first; more are swept first."""


class Route(NamedTuple):
    """An unbroken run.

    Attributes:
        legs: the way in order.
        extra: inches stitched over plus weighted inches travelled.
        bound: no run can have less extra than this; equal to `extra` where that is proved.
        unreached: lines that no line or road leads to.
    """

    legs: tuple[Leg, ...]
    extra: float
    bound: float
    unreached: tuple[Line, ...]


class Least(NamedTuple):
    """What the lightest run from here to there goes over, before its order is worked out.

    Attributes:
        start, end: nodes.
        used: the edges, each as often as it is gone over; empty if nothing can be stitched.
        extra, bound, unreached: as in `Route`.
        anywhere: no round trip over the same lines can have less extra than this, wherever it begins.
    """

    start: int
    end: int
    used: tuple[int, ...]
    extra: float
    bound: float
    anywhere: float
    unreached: tuple[Line, ...]


def route(
    lines: Iterable[Line], roads: Iterable[tuple[Kind, Line]], entry: Point, leave: Point, travel: float = TRAVEL
) -> Route:
    """Stitch all lines in one run from `entry` to `leave`, with the least extra.

    Args:
        lines: to be stitched, each once.
        roads: what may be travelled or stitched over besides.
        entry: where the needle comes in; on a line or a road.
        leave: where it must be at the end.
        travel: weight of an inch of seam against an inch stitched over.
    """
    return web(lines, roads, (entry, leave), travel).route(entry, leave)


def web(
    lines: Iterable[Line],
    roads: Iterable[tuple[Kind, Line]],
    gates: Iterable[Point],
    travel: float = TRAVEL,
    whole: Iterable[Line] = (),
) -> Web:
    """The lines and roads as one graph that can be asked for routes between any of the gates.

    `whole` lines are lines, too, that nothing meets but at their ends.
    """
    graph = build(lines, roads, gates, whole)
    return Web(graph, tuple(edge.length * (travel if edge.kind == "seam" else 1.0) for edge in graph.edges))


class _Part(NamedTuple):
    """What hangs together by lines and roads: its nodes, its lines and the pieces they make, and the lines elsewhere."""

    nodes: set[int]
    wanted: list[int]
    pieces: list[set[int]]
    unreached: tuple[Line, ...]


class _Extra(NamedTuple):
    """The edges to go over once more (one listed twice: twice), their weight, and the bounds of `Least`."""

    edges: list[int]
    cost: float
    bound: float
    anywhere: float


class Web:
    """A graph, the weights of its edges, and what has been found out about it so far."""

    def __init__(self, graph: Graph, weights: tuple[float, ...]) -> None:
        """Take up the graph."""
        self.graph, self.weights = graph, weights
        self._nodes: dict[Point, int | None] = {}
        self._least: dict[tuple[int | None, int | None], Least] = {}
        self._extra: dict[tuple[int, int], _Extra] = {}
        self._pairer = Pairer(graph, weights)
        self._too_wide = False

    def route(self, entry: Point, leave: Point) -> Route:
        """The run itself."""
        least = self.least(entry, leave)
        legs = euler_trail(self.graph, least.used, least.start, least.end)
        return Route(legs, least.extra, least.bound, least.unreached)

    def least(self, entry: Point, leave: Point) -> Least:
        """What the run costs and goes over."""
        start, end = (self._node_at(point) for point in (entry, leave))
        if (start, end) not in self._least:
            self._least[start, end] = self._solved(start, end)
        return self._least[start, end]

    def _node_at(self, point: Point) -> int | None:
        if point not in self._nodes:
            self._nodes[point] = self.graph.node_at(point)
        return self._nodes[point]

    def _solved(self, start: int | None, end: int | None) -> Least:
        part = next((part for part in self._parts if start in part.nodes), None)
        if start is None or end is None or part is None or end not in part.nodes:
            return Least(-1, -1, (), 0.0, 0.0, 0.0, tuple(edge.line for edge in self.graph.edges if edge.required))
        on_lines = any(start in piece for piece in part.pieces)
        begin, leave = start, end
        if start == end and on_lines:
            # a round trip over all lines may as well begin anywhere on them
            begin = leave = min(min(piece) for piece in part.pieces)
        if (begin, leave) not in self._extra:
            self._extra[begin, leave] = self._searched(part, begin, leave)
        edges, extra, bound, anywhere = self._extra[begin, leave]
        if start == end and on_lines:
            anywhere = bound
        return Least(start, end, (*part.wanted, *edges), extra, bound, anywhere, part.unreached)

    @cached_property
    def _parts(self) -> list[_Part]:
        edges = self.graph.edges
        found = []
        for nodes in pieces(self.graph, range(len(edges))):
            wanted = [number for number, edge in enumerate(edges) if edge.required and edge.start in nodes]
            unreached = tuple(edge.line for edge in edges if edge.required and edge.start not in nodes)
            found.append(_Part(nodes, wanted, pieces(self.graph, wanted), unreached))
        return found

    def _searched(self, part: _Part, start: int, end: int) -> _Extra:
        graph, pairer, wanted = self.graph, self._pairer, part.wanted
        apart = from_start(part.pieces, start)
        odd = odd_nodes(graph, wanted, start, end)
        searches = [self._branched, self._swept] if len(apart) <= FEW else [self._swept, self._branched]
        if len(odd) > SMALL:
            # one sweep is quicker than a large pairing
            searches = [self._branched]
            with suppress(TooWide):
                edges = self._swept(apart, wanted, start, end)
                return _Extra(edges, self._weight(edges), self._weight(edges), 0.0)
        # everything is reached from the start, so all can be paired
        edges, bound = pairer.pair_up(odd) or ([], 0.0)
        # which nodes are odd is the same for all round trips
        anywhere = bound if start == end else 0.0
        if len(apart) == 1 or hang_together(graph, apart, edges):
            return _Extra(edges, self._weight(edges), bound, anywhere)
        for search in searches:
            with suppress(TooWide):
                edges = search(apart, wanted, start, end)
                cost = self._weight(edges)
                return _Extra(edges, cost, cost if pairer.exact else bound, anywhere)
        edges = join_pieces(pairer, apart)
        rest = pairer.pair_up(odd_nodes(graph, [*wanted, *edges], start, end))
        edges += rest.edges if rest else []
        return _Extra(edges, self._weight(edges), bound, anywhere)

    def _swept(self, apart: Sequence[set[int]], wanted: Sequence[int], start: int, end: int) -> list[int]:
        if self._too_wide:
            raise TooWide
        self._too_wide = True
        found = least_connected(self.graph, self.weights, apart, wanted, start, end)
        self._too_wide = False
        return found

    def _branched(self, apart: Sequence[set[int]], wanted: Sequence[int], start: int, end: int) -> list[int]:
        hangs_on_none = not any(start in self.graph.edges[number][:2] for number in wanted)
        if start == end and hangs_on_none and len(apart) == 2:  # noqa: PLR2004 - the start, and the lines in one piece
            with suppress(TooWide):
                return detour(self._pairer, wanted, start)
        return branch(self._pairer, wanted, start, end)

    def _weight(self, edges: Iterable[int]) -> float:
        return sum(self.weights[number] for number in edges)
