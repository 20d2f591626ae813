"""Lightest ways through a graph, and the lightest pairing of its odd nodes."""

from __future__ import annotations

import heapq
import math
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping, Sequence

    from geometry.graph import Edge, Graph

SMALL = 10
"""Odd nodes up to which pairs are found by trying all; more are left to the library, which takes time to load."""

MANY = 600
"""Odd nodes up to which every pair is tried; of more (several thousand crossings) each is tried with its nearest."""

NEAREST = 32
"""How many of the nearest, then; what is found is longer by less than one part in a thousand."""

FINE = 1e6
"""The library's matching works in whole numbers: millionths of an inch."""


def odd_nodes(graph: Graph, used: Iterable[int], start: int, end: int) -> list[int]:
    """Nodes where an odd number of used edges end, for a trail from `start` to `end`."""
    odd: set[int] = {start} ^ {end}
    for number in used:
        edge = graph.edges[number]
        odd ^= {edge.start} ^ {edge.end}
    return sorted(odd)


class Paired(NamedTuple):
    """Edges that pair some nodes, and what no pairing of them can undercut: their weight, unless nodes were too many."""

    edges: list[int]
    bound: float


class Pairer:
    """Pairs odd nodes of one graph, and keeps what it has found out about distances.

    `exact` until nodes are so many that only near ones are tried.
    """

    def __init__(self, graph: Graph, weights: Sequence[float]) -> None:
        """Take the graph and the weights of its edges."""
        self.graph, self.weights, self.exact = graph, weights, True
        self._paired: dict[tuple[tuple[int, ...], frozenset[int]], Paired | None] = {}
        self._roads: dict[frozenset[int], Any] = {}
        self._known: dict[tuple[frozenset[int], int], Mapping[int, float]] = {}

    def pair_up(self, odd: Sequence[int], banned: frozenset[int] = frozenset()) -> Paired | None:
        """The edges of the lightest set of ways that pairs all odd nodes, no edge twice and none that is banned.

        None if some cannot be paired.
        """
        key = (tuple(odd), banned)
        if key not in self._paired:
            self._paired[key] = (self._by_trial if len(odd) <= SMALL else self._by_library)(odd, banned)
        return self._paired[key]

    def _by_trial(self, odd: Sequence[int], banned: frozenset[int]) -> Paired | None:
        """The lightest pairing of a few nodes: each subset's best from its smaller ones."""
        found = {node: shortest(self.graph, self.weights, [node], banned, odd) for node in odd}
        count = len(odd)
        best: dict[int, tuple[float, int, int]] = {0: (0.0, 0, 0)}
        for subset in range(1, 1 << count):
            if subset.bit_count() % 2:
                continue
            first = (subset & -subset).bit_length() - 1
            rest = subset & (subset - 1)
            cost = found[odd[first]].cost
            best[subset] = min(
                (best[rest ^ 1 << other][0] + cost.get(odd[other], math.inf), first, other)
                for other in range(first + 1, count)
                if rest >> other & 1
            )
        left = (1 << count) - 1
        bound = best[left][0]
        if math.isinf(bound):
            return None
        ways = []
        while left:
            _, first, other = best[left]
            ways.append(found[odd[first]].edges_to(odd[other]))
            left ^= 1 << first | 1 << other
        return Paired(_once(ways), bound)

    def _by_library(self, odd: Sequence[int], banned: frozenset[int]) -> Paired | None:
        """The lightest pairing by maximum-weight matching of what is spared."""
        import rustworkx  # noqa: PLC0415 - most sections need no matching of this size

        few = len(odd) <= MANY
        apart = self._apart(odd, banned) if few else self._near(odd, banned)
        if not all(apart):
            return None
        taken = _taken_off(apart)
        # the same pairing is lightest when something is taken off every way to a node, and it is sooner found
        rest = {
            (one, other): length - taken[one] - taken[other]
            for one, lengths in enumerate(apart)
            for other, length in lengths.items()
            if one < other
        }
        far = max(rest.values())
        network = rustworkx.PyGraph()
        network.add_nodes_from(odd)
        network.add_edges_from([(*pair, round((far - length) * FINE)) for pair, length in rest.items()])
        pairs = sorted(rustworkx.max_weight_matching(network, max_cardinality=True, weight_fn=int))
        ways = [shortest(self.graph, self.weights, [odd[a]], banned, [odd[b]]).edges_to(odd[b]) for a, b in pairs]
        bound = sum(apart[a][b] for a, b in pairs)
        if not few:
            self.exact = False
            bound = sum(min(lengths.values()) for lengths in apart) / 2
        alone = set(range(len(odd))).difference(*pairs)
        if alone:
            # all pairs were tried, or the nearest of some nodes were taken by others
            others = None if few else self.pair_up(sorted(odd[place] for place in alone), banned)
            if others is None:
                return None
            ways.append(others.edges)
        return Paired(_once(ways), bound)

    def _apart(self, odd: Sequence[int], banned: frozenset[int]) -> list[dict[int, float]]:
        """For each odd node the lengths of the lightest ways to all others, which are named by their places in the list."""
        found = []
        for place, node in enumerate(odd):
            lengths = self._lengths(node, banned)
            row = {i: lengths[other] for i, other in enumerate(odd) if other in lengths}
            row.pop(place, None)
            found.append(row)
        return found

    def _near(self, odd: Sequence[int], banned: frozenset[int]) -> list[dict[int, float]]:
        """The same for the nearest others only."""
        places = {node: place for place, node in enumerate(odd)}
        found: list[dict[int, float]] = [{} for _ in odd]
        for place, node in enumerate(odd):
            ways = shortest(self.graph, self.weights, [node], banned, odd, NEAREST + 1)
            for other in ways.reached:
                if other != node:
                    found[place][places[other]] = found[places[other]][place] = ways.cost[other]
        return found

    def _lengths(self, node: int, banned: frozenset[int]) -> Mapping[int, float]:
        """The lightest ways from a node to every other."""
        import rustworkx  # noqa: PLC0415 - see above

        key = (banned, node)
        if key not in self._known:
            if banned not in self._roads:
                self._roads[banned] = rustworkx.PyGraph()
                self._roads[banned].add_nodes_from(self.graph.nodes)
                self._roads[banned].add_edges_from(
                    [(e.start, e.end, self.weights[i]) for i, e in enumerate(self.graph.edges) if i not in banned]
                )
            self._known[key] = rustworkx.dijkstra_shortest_path_lengths(self._roads[banned], node, float)
        return self._known[key]


def _once(ways: Iterable[Iterable[int]]) -> list[int]:
    """The edges that are on an odd number of ways: what two ways share need not be gone over."""
    chosen: set[int] = set()
    for way in ways:
        chosen ^= set(way)
    return sorted(chosen)


def _taken_off(apart: Sequence[Mapping[int, float]]) -> list[float]:
    """Inches to take off at each node: as many as can be, so that no way is shorter than what is taken off at its ends.

    Their sum is what no pairing can undercut.
    """
    taken = [min(lengths.values()) / 2 for lengths in apart]
    for place, lengths in enumerate(apart):
        taken[place] = min(length - taken[other] for other, length in lengths.items())
    return taken


class Ways(NamedTuple):
    """The lightest ways from some nodes: the cost to each node, and the edge by which it is reached.

    `reached` are the targets found, nearest first.
    """

    cost: Mapping[int, float]
    by: Mapping[int, int]
    edges: Sequence[Edge]
    reached: Sequence[int]

    def edges_to(self, node: int) -> list[int]:
        """The edges on the way back from `node`."""
        found = []
        while node in self.by:
            number = self.by[node]
            found.append(number)
            node = self.edges[number].across(node)
        return found


def shortest(
    graph: Graph,
    weights: Sequence[float],
    sources: Iterable[int],
    banned: Collection[int] = (),
    targets: Iterable[int] = (),
    most: int | None = None,
) -> Ways:
    """Dijkstra's ways from the sources over all edges but the banned ones.

    As far as the targets, or the `most` nearest of them; to all nodes if there are none.
    """
    cost: dict[int, float] = dict.fromkeys(sources, 0.0)
    by: dict[int, int] = {}
    waiting = [(0.0, node) for node in cost]
    wanted = set(targets)
    reached: list[int] = []
    done: set[int] = set()
    while waiting:
        here, node = heapq.heappop(waiting)
        if node in done:
            continue
        done.add(node)
        if node in wanted:
            reached.append(node)
            if len(reached) == (most or len(wanted)):
                break
        for number in graph.around[node]:
            if number in banned:
                continue
            there = graph.edges[number].across(node)
            sum_ = here + weights[number]
            if sum_ < cost.get(there, math.inf):
                cost[there] = sum_
                by[there] = number
                heapq.heappush(waiting, (sum_, there))
    return Ways(cost, by, graph.edges, reached)
