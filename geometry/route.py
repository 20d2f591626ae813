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
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from geometry.frontier import TooWide, least_connected
from geometry.graph import Graph, build
from geometry.trail import Leg, euler_trail

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from geometry.graph import Edge, Kind
    from geometry.plane import Line, Point

TRAVEL = 0.5
"""Weight of an inch travelled along a seam against an inch stitched over: seams hide it better."""

FEW = 3
"""Pieces up to which branch and bound is tried first; more are swept first."""

MOST_PAIRINGS = 40
"""Rounds of branch and bound before it is given up."""

SMALL = 10
"""Odd nodes up to which pairs are found by trying all; more are left to the library."""


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
    graph = build(lines, roads, (entry, leave))
    weights = [edge.length * (travel if edge.kind == "seam" else 1.0) for edge in graph.edges]
    start, end = graph.node_at(entry), graph.node_at(leave)
    if start is None or end is None:
        return Route((), 0.0, 0.0, tuple(edge.line for edge in graph.edges if edge.required))
    reached = _reachable(graph, start)
    unreached = tuple(edge.line for edge in graph.edges if edge.required and edge.start not in reached)
    if end not in reached:
        return Route((), 0.0, 0.0, tuple(edge.line for edge in graph.edges if edge.required))
    wanted = [i for i, edge in enumerate(graph.edges) if edge.required and edge.start in reached]
    extra, bound = _least_extra(graph, weights, wanted, start, end)
    legs = euler_trail(graph, [*wanted, *extra], start, end)
    return Route(legs, sum(weights[i] for i in extra), bound, unreached)


def _reachable(graph: Graph, start: int) -> set[int]:
    around = graph.around()
    seen, waiting = {start}, [start]
    while waiting:
        for number in around[waiting.pop()]:
            for node in graph.edges[number][:2]:
                if node not in seen:
                    seen.add(node)
                    waiting.append(node)
    return seen


def _least_extra(
    graph: Graph, weights: Sequence[float], wanted: Sequence[int], start: int, end: int
) -> tuple[list[int], float]:
    """The edges to go over once more (one listed twice is gone over twice), and what no solution can undercut."""
    odd = odd_nodes(graph, wanted, start, end)
    # everything is reached from the start, so all can be paired
    extra = pair_up(graph, weights, odd) or []
    bound = sum(weights[i] for i in extra)
    if _connected(graph, [*wanted, *extra], start):
        return extra, bound
    pieces = _pieces(graph, wanted, start)
    searches = [_branch, least_connected] if len(pieces) <= FEW else [least_connected, _branch]
    for search in searches:
        try:
            found = search(graph, weights, wanted, start, end)
        except TooWide:
            continue
        return found, sum(weights[i] for i in found)
    joined = _join_pieces(graph, weights, pieces)
    odd = odd_nodes(graph, [*wanted, *joined], start, end)
    return [*joined, *(pair_up(graph, weights, odd) or [])], bound


def _branch(graph: Graph, weights: Sequence[float], wanted: Sequence[int], start: int, end: int) -> list[int]:
    """The least extra by branch and bound: pair up; if a piece is left apart, some edge that leaves it must be used.

    Raises:
        TooWide: it takes too many pairings.
    """
    number = itertools.count()
    # (cost so far, tie, edges that must be used, edges that may not be used)
    waiting: list[tuple[float, int, tuple[int, ...], frozenset[int]]] = [(0.0, next(number), (), frozenset())]
    solved: list[tuple[float, int, tuple[int, ...], frozenset[int], list[int]]] = []
    for _ in range(MOST_PAIRINGS):
        while waiting:
            _, _, forced, banned = heapq.heappop(waiting)
            barred = [math.inf if i in banned else weight for i, weight in enumerate(weights)]
            odd = odd_nodes(graph, [*wanted, *forced], start, end)
            paired = pair_up(graph, barred, odd)
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


def odd_nodes(graph: Graph, used: Iterable[int], start: int, end: int) -> list[int]:
    """Nodes where an odd number of used edges end, for a trail from `start` to `end`."""
    odd: set[int] = {start} ^ {end}
    for number in used:
        edge = graph.edges[number]
        odd ^= {edge.start} ^ {edge.end}
    return sorted(odd)


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


def pair_up(graph: Graph, weights: Sequence[float], odd: Sequence[int]) -> list[int] | None:
    """The edges of the lightest set of ways that pairs all odd nodes, no edge twice; None if some cannot be paired."""
    if not odd:
        return []
    ways = {node: shortest(graph, weights, [node]) for node in odd}
    apart = {(a, b): ways[a].cost.get(b, math.inf) for a, b in itertools.combinations(odd, 2)}
    pairs = _pairs_by_trial(odd, apart) if len(odd) <= SMALL else _pairs_by_library(odd, apart)
    if 2 * len(pairs) < len(odd) or any(math.isinf(apart[min(pair), max(pair)]) for pair in pairs):
        return None
    chosen: set[int] = set()
    for a, b in pairs:
        chosen ^= set(ways[a].edges_to(b))
    return sorted(chosen)


def _pairs_by_trial(odd: Sequence[int], apart: Mapping[tuple[int, int], float]) -> list[tuple[int, int]]:
    """The lightest pairing of a few nodes: each subset's best from its smaller ones."""
    count = len(odd)
    best: dict[int, tuple[float, int, int]] = {0: (0.0, 0, 0)}
    for subset in range(1, 1 << count):
        if subset.bit_count() % 2:
            continue
        first = (subset & -subset).bit_length() - 1
        rest = subset & (subset - 1)
        best[subset] = min(
            (best[rest ^ 1 << other][0] + apart[odd[first], odd[other]], first, other)
            for other in range(first + 1, count)
            if rest >> other & 1
        )
    pairs = []
    left = (1 << count) - 1
    while left:
        _, first, other = best[left]
        pairs.append((odd[first], odd[other]))
        left ^= 1 << first | 1 << other
    return pairs


def _pairs_by_library(odd: Sequence[int], apart: Mapping[tuple[int, int], float]) -> list[tuple[int, int]]:
    """The lightest pairing by maximum-weight matching of what is spared."""
    import rustworkx  # noqa: PLC0415 - most sections need no matching of this size

    # the matching works in whole numbers: millionths of an inch
    far = round(max(value for value in apart.values() if value < math.inf) * 1e6) + 1
    network = rustworkx.PyGraph()
    network.add_nodes_from(list(odd))
    place = {node: i for i, node in enumerate(odd)}
    network.add_edges_from(
        [(place[a], place[b], far - round(value * 1e6)) for (a, b), value in apart.items() if value < math.inf]
    )
    matching = rustworkx.max_weight_matching(network, max_cardinality=True, weight_fn=int)
    return [(odd[a], odd[b]) for a, b in matching]


@dataclass(frozen=True, slots=True)
class Ways:
    """The lightest ways from some nodes: the cost to each node, and the edge by which it is reached."""

    cost: Mapping[int, float]
    by: Mapping[int, int]
    edges: Sequence[Edge]

    def edges_to(self, node: int) -> list[int]:
        """The edges on the way back from `node`."""
        found = []
        while node in self.by:
            number = self.by[node]
            found.append(number)
            edge = self.edges[number]
            node = edge.start if edge.end == node else edge.end
        return found


def shortest(graph: Graph, weights: Sequence[float], sources: Iterable[int]) -> Ways:
    """Dijkstra's ways from the sources over all edges."""
    around = graph.around()
    cost: dict[int, float] = dict.fromkeys(sources, 0.0)
    by: dict[int, int] = {}
    waiting = [(0.0, node) for node in cost]
    while waiting:
        here, node = heapq.heappop(waiting)
        if here > cost[node]:
            continue
        for number in around[node]:
            edge = graph.edges[number]
            there = edge.start if edge.end == node else edge.end
            sum_ = here + weights[number]
            if sum_ < cost.get(there, math.inf):
                cost[there] = sum_
                by[there] = number
                heapq.heappush(waiting, (sum_, there))
    return Ways(cost, by, graph.edges)


def _pieces(graph: Graph, wanted: Sequence[int], start: int) -> list[set[int]]:
    """The nodes of each piece that the wanted edges make; the one with `start` first."""
    pieces: list[set[int]] = [{start}]
    for number in wanted:
        ends = set(graph.edges[number][:2])
        touching = [piece for piece in pieces if piece & ends]
        pieces = [piece for piece in pieces if not piece & ends]
        pieces.append(ends.union(*touching))
    return sorted(pieces, key=lambda piece: start not in piece)


def _join_pieces(graph: Graph, weights: Sequence[float], pieces: Sequence[set[int]]) -> list[int]:
    """Join the pieces to the first one, nearest first, by shortest ways."""
    joined: list[int] = []
    home, *others = pieces
    while others:
        ways = shortest(graph, weights, home)
        nearest = min(others, key=lambda piece: min(ways.cost[node] for node in piece))
        gate = min(nearest, key=lambda node: ways.cost[node])
        path = ways.edges_to(gate)
        joined += path
        others.remove(nearest)
        home = home.union(nearest, *(graph.edges[number][:2] for number in path))
    return joined
