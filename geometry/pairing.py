"""Lightest ways through a graph, and the lightest pairing of its odd nodes."""

from __future__ import annotations

import heapq
import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping, Sequence

    from geometry.graph import Edge, Graph

SMALL = 10
"""Odd nodes up to which pairs are found by trying all; more are left to the library, which takes time to load."""

FINE = 1e6
"""The library's matching works in whole numbers: millionths of an inch."""


def odd_nodes(graph: Graph, used: Iterable[int], start: int, end: int) -> list[int]:
    """Nodes where an odd number of used edges end, for a trail from `start` to `end`."""
    odd: set[int] = {start} ^ {end}
    for number in used:
        edge = graph.edges[number]
        odd ^= {edge.start} ^ {edge.end}
    return sorted(odd)


@dataclass
class Pairer:
    """Pairs odd nodes of one graph, and keeps what it has found out about distances."""

    graph: Graph
    weights: Sequence[float]
    _paired: dict[tuple[tuple[int, ...], frozenset[int]], list[int] | None] = field(default_factory=dict)
    _roads: dict[frozenset[int], Any] = field(default_factory=dict)
    _apart: dict[tuple[frozenset[int], int], dict[int, float]] = field(default_factory=dict)

    def pair_up(self, odd: Sequence[int], banned: frozenset[int] = frozenset()) -> list[int] | None:
        """The edges of the lightest set of ways that pairs all odd nodes, no edge twice and none that is banned.

        None if some cannot be paired.
        """
        key = (tuple(odd), banned)
        if key not in self._paired:
            self._paired[key] = self._pair(odd, banned)
        return self._paired[key]

    def _pair(self, odd: Sequence[int], banned: frozenset[int]) -> list[int] | None:
        ways = (self._by_trial if len(odd) <= SMALL else self._by_library)(odd, banned)
        if ways is None:
            return None
        chosen: set[int] = set()
        for way in ways:
            chosen ^= set(way)
        return sorted(chosen)

    def _by_trial(self, odd: Sequence[int], banned: frozenset[int]) -> list[list[int]] | None:
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
        if math.isinf(best[left][0]):
            return None
        ways = []
        while left:
            _, first, other = best[left]
            ways.append(found[odd[first]].edges_to(odd[other]))
            left ^= 1 << first | 1 << other
        return ways

    def _by_library(self, odd: Sequence[int], banned: frozenset[int]) -> list[list[int]] | None:
        """The lightest pairing by maximum-weight matching of what is spared."""
        import rustworkx  # noqa: PLC0415 - most sections need no matching of this size

        apart = {}
        for place, node in enumerate(odd):
            lengths = self._lengths(node, banned)
            apart.update({(place, i): lengths[odd[i]] for i in range(place + 1, len(odd)) if odd[i] in lengths})
        far = round(max(apart.values(), default=0.0) * FINE) + 1
        network = rustworkx.PyGraph()
        network.add_nodes_from(odd)
        network.add_edges_from([(one, other, far - round(length * FINE)) for (one, other), length in apart.items()])
        pairs = rustworkx.max_weight_matching(network, max_cardinality=True, weight_fn=int)
        if 2 * len(pairs) < len(odd):
            return None
        return [
            shortest(self.graph, self.weights, [odd[a]], banned, [odd[b]]).edges_to(odd[b]) for a, b in sorted(pairs)
        ]

    def _lengths(self, node: int, banned: frozenset[int]) -> dict[int, float]:
        """The lightest ways from a node to every other."""
        import rustworkx  # noqa: PLC0415 - see above

        key = (banned, node)
        if key not in self._apart:
            if banned not in self._roads:
                self._roads[banned] = rustworkx.PyGraph()
                self._roads[banned].add_nodes_from(self.graph.nodes)
                self._roads[banned].add_edges_from(
                    [(e.start, e.end, self.weights[i]) for i, e in enumerate(self.graph.edges) if i not in banned]
                )
            self._apart[key] = dict(rustworkx.dijkstra_shortest_path_lengths(self._roads[banned], node, float))
        return self._apart[key]


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
            node = self.edges[number].across(node)
        return found


def shortest(
    graph: Graph,
    weights: Sequence[float],
    sources: Iterable[int],
    banned: Collection[int] = (),
    targets: Iterable[int] | None = None,
) -> Ways:
    """Dijkstra's ways from the sources over all edges but the banned ones, as far as the targets (all nodes if None)."""
    cost: dict[int, float] = dict.fromkeys(sources, 0.0)
    by: dict[int, int] = {}
    waiting = [(0.0, node) for node in cost]
    left = None if targets is None else set(targets)
    done: set[int] = set()
    while waiting:
        here, node = heapq.heappop(waiting)
        if node in done:
            continue
        done.add(node)
        if left is not None:
            left.discard(node)
            if not left:
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
    return Ways(cost, by, graph.edges)
