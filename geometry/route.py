"""One line: any set of lines, and the roads one may travel, to one unbroken run.

Every line is stitched once. To get from one to the next, seams are travelled at a lower
weight and stitched lines stitched over at full weight; the weighted extra is as small as it
can be for the given entry and exit. Where the lines hang together, the nodes with an odd
number of ends are paired by minimum-weight perfect matching (the Chinese postman's way).
Where pieces hang on roads only, matching alone leaves them apart (the rural postman's
problem): an exact search over the frontier of the graph finds the least extra; where that
grows too large, the pieces are joined by shortest roads first, and a lower bound is given
beside the result.
"""

from __future__ import annotations

import heapq
import itertools
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from geometry.frontier import TooWide, least_connected
from geometry.graph import Graph, build
from geometry.pairing import Pairer, odd_nodes, shortest
from geometry.trail import Leg, euler_trail

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from geometry.graph import Kind
    from geometry.plane import Line, Point

TRAVEL = 0.5
"""Weight of an inch travelled along a seam against an inch stitched over: seams hide it better."""

FEW = 3
"""Pieces up to which branch and bound is tried first; more are swept first."""

TANGLE = 12
"""Nodes of a piece above which it is too tangled to be swept first, too."""

MOST_PAIRINGS = 40
"""Rounds of branch and bound before it is given up."""


@dataclass(frozen=True, slots=True)
class Route:
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


@dataclass(frozen=True, slots=True)
class Least:
    """What the lightest run from here to there goes over, before its order is worked out.

    Attributes:
        start, end: nodes.
        used: the edges, each as often as it is gone over; empty if nothing can be stitched.
        extra, bound, unreached: as in `Route`.
    """

    start: int
    end: int
    used: tuple[int, ...]
    extra: float
    bound: float
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
    lines: Iterable[Line], roads: Iterable[tuple[Kind, Line]], gates: Iterable[Point], travel: float = TRAVEL
) -> Web:
    """The lines and roads as one graph that can be asked for routes between any of the gates."""
    graph = build(lines, roads, gates)
    return Web(graph, tuple(edge.length * (travel if edge.kind == "seam" else 1.0) for edge in graph.edges))


@dataclass
class Web:
    """A graph, the weights of its edges, and what has been found out about it so far."""

    graph: Graph
    weights: tuple[float, ...]
    _least: dict[tuple[int | None, int | None], Least] = field(default_factory=dict)
    _extra: dict[tuple[int, int], tuple[list[int], float]] = field(default_factory=dict)
    _pairer: Pairer = field(init=False)

    def __post_init__(self) -> None:
        """Take up the graph."""
        self._pairer = Pairer(self.graph, self.weights)

    def route(self, entry: Point, leave: Point) -> Route:
        """The run itself."""
        least = self.least(entry, leave)
        legs = euler_trail(self.graph, least.used, least.start, least.end)
        return Route(legs, least.extra, least.bound, least.unreached)

    def least(self, entry: Point, leave: Point) -> Least:
        """What the run costs and goes over."""
        start, end = self.graph.node_at(entry), self.graph.node_at(leave)
        if (start, end) not in self._least:
            self._least[start, end] = self._solved(start, end)
        return self._least[start, end]

    def _solved(self, start: int | None, end: int | None) -> Least:
        edges = self.graph.edges
        reached = set() if start is None else _hanging_on(self.graph, range(len(edges)), start)
        if start is None or end not in reached or end is None:
            return Least(-1, -1, (), 0.0, 0.0, tuple(edge.line for edge in edges if edge.required))
        wanted = [i for i, edge in enumerate(edges) if edge.required and edge.start in reached]
        unreached = tuple(edge.line for edge in edges if edge.required and edge.start not in reached)
        extra, bound = self._least_extra(wanted, start, end)
        return Least(start, end, (*wanted, *extra), sum(self.weights[i] for i in extra), bound, unreached)

    def _least_extra(self, wanted: Sequence[int], start: int, end: int) -> tuple[list[int], float]:
        """The edges to go over once more (one listed twice is gone over twice), and what no solution can undercut."""
        graph = self.graph
        on_lines = {node for number in wanted for node in graph.edges[number][:2]}
        if start == end and start in on_lines:
            # a round trip over all lines may as well begin anywhere on them
            start = end = min(on_lines)
        if (start, end) not in self._extra:
            self._extra[start, end] = self._searched(wanted, start, end)
        return self._extra[start, end]

    def _searched(self, wanted: Sequence[int], start: int, end: int) -> tuple[list[int], float]:
        graph, pairer = self.graph, self._pairer
        # everything is reached from the start, so all can be paired
        extra = pairer.pair_up(odd_nodes(graph, wanted, start, end)) or []
        bound = sum(self.weights[i] for i in extra)
        if _connected(graph, [*wanted, *extra], start):
            return extra, bound
        pieces = _pieces(graph, wanted, start)
        tangled = max(map(len, pieces)) > TANGLE
        searches = [_branch, least_connected] if tangled or len(pieces) <= FEW else [least_connected, _branch]
        for search in searches:
            try:
                found = search(pairer, wanted, start, end)
            except TooWide:
                continue
            return found, sum(self.weights[i] for i in found)
        joined = _join_pieces(pairer, pieces)
        odd = odd_nodes(graph, [*wanted, *joined], start, end)
        return [*joined, *(pairer.pair_up(odd) or [])], bound


def _branch(pairer: Pairer, wanted: Sequence[int], start: int, end: int) -> list[int]:
    """The least extra by branch and bound: pair up; if a piece is left apart, some edge that leaves it must be used.

    Raises:
        TooWide: it takes too many pairings.
    """
    graph, weights = pairer.graph, pairer.weights
    number = itertools.count()
    # (cost so far, tie, edges that must be used, edges that may not be used)
    waiting: list[tuple[float, int, tuple[int, ...], frozenset[int]]] = [(0.0, next(number), (), frozenset())]
    solved: list[tuple[float, int, tuple[int, ...], frozenset[int], list[int]]] = []
    for _ in range(MOST_PAIRINGS):
        while waiting:
            _, _, forced, banned = heapq.heappop(waiting)
            odd = odd_nodes(graph, [*wanted, *forced], start, end)
            paired = pairer.pair_up(odd, banned)
            if paired is not None:
                extra = [*forced, *paired]
                heapq.heappush(solved, (sum(weights[i] for i in extra), next(number), forced, banned, extra))
        if not solved:
            break
        _, _, forced, banned, extra = heapq.heappop(solved)
        here = _hanging_on(graph, [*wanted, *extra], start)
        if all(graph.edges[i].start in here for i in (*wanted, *extra)):
            return extra
        leaving = [
            i for i, edge in enumerate(graph.edges) if (edge.start in here) != (edge.end in here) and i not in banned
        ]
        for place, edge_number in enumerate(leaving):
            more = (*forced, edge_number)
            waiting.append((0.0, next(number), more, banned.union(leaving[:place])))
    raise TooWide


def _connected(graph: Graph, used: Sequence[int], start: int) -> bool:
    here = _hanging_on(graph, used, start)
    return all(graph.edges[number].start in here for number in used)


def _hanging_on(graph: Graph, used: Sequence[int], start: int) -> set[int]:
    """The nodes that the used edges join to `start`."""
    around: dict[int, list[int]] = {}
    for number in used:
        edge = graph.edges[number]
        around.setdefault(edge.start, []).append(edge.end)
        around.setdefault(edge.end, []).append(edge.start)
    seen, waiting = {start}, [start]
    while waiting:
        for node in around.get(waiting.pop(), ()):
            if node not in seen:
                seen.add(node)
                waiting.append(node)
    return seen


def _pieces(graph: Graph, wanted: Sequence[int], start: int) -> list[set[int]]:
    """The nodes of each piece that the wanted edges make; the one with `start` first."""
    pieces: list[set[int]] = [{start}]
    for number in wanted:
        ends = set(graph.edges[number][:2])
        touching = [piece for piece in pieces if piece & ends]
        pieces = [piece for piece in pieces if not piece & ends]
        pieces.append(ends.union(*touching))
    return sorted(pieces, key=lambda piece: start not in piece)


def _join_pieces(pairer: Pairer, pieces: Sequence[set[int]]) -> list[int]:
    """Join the pieces to the first one, nearest first, by shortest ways."""
    joined: list[int] = []
    home, *others = pieces
    while others:
        ways = shortest(pairer.graph, pairer.weights, home)
        nearest = min(others, key=lambda piece: min(ways.cost[node] for node in piece))
        gate = min(nearest, key=lambda node: ways.cost[node])
        path = ways.edges_to(gate)
        joined += path
        others.remove(nearest)
        home = home.union(nearest, *(pairer.graph.edges[number][:2] for number in path))
    return joined
