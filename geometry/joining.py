"""Where pairing alone leaves something apart: a start that hangs on no line, pieces that hang on roads only."""

from __future__ import annotations

import heapq
import itertools
from typing import TYPE_CHECKING

from geometry.frontier import TooWide
from geometry.pairing import odd_nodes, shortest

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from geometry.graph import Graph
    from geometry.pairing import Pairer

MOST_PAIRINGS = 40
"""Rounds of branch and bound before it is given up."""


def hanging_on(graph: Graph, used: Iterable[int], start: int) -> set[int]:
    """The nodes that the used edges join to `start`."""
    return next(iter(pieces(graph, used, start)))


def pieces(graph: Graph, used: Iterable[int], start: int) -> list[set[int]]:
    """The nodes of each piece that the used edges make; first the one with `start`, which may be all there is of it."""
    around: dict[int, list[int]] = {start: []}
    for number in used:
        one, other = graph.edges[number][:2]
        around.setdefault(one, []).append(other)
        around.setdefault(other, []).append(one)
    found: list[set[int]] = []
    left = set(around)
    for first in around:
        if first not in left:
            continue
        left.discard(first)
        piece, waiting = {first}, [first]
        while waiting:
            new = left.intersection(around[waiting.pop()])
            left -= new
            piece |= new
            waiting += new
        found.append(piece)
    return found


def detour(pairer: Pairer, wanted: Sequence[int], start: int) -> list[int]:
    """The least extra of a round trip over lines in one piece, from a start that hangs on none of them.

    Either the run comes to the start by one road and goes on by another, and the rest is paired; or it goes there and
    back by one road, and the same holds for the road's other end, until that is on a line.

    Raises:
        TooWide: two roads from the start lead to one another but not to the lines.
    """
    graph, weights = pairer.graph, pairer.weights
    on_lines = {node for number in wanted for node in graph.edges[number][:2]}
    home = pairer.pair_up(odd_nodes(graph, wanted, start, start)) or []
    least = sum(weights[number] for number in home)
    best: tuple[float, list[int]] = (float("inf"), [])
    # (there and back, node, the edges out)
    waiting: list[tuple[float, int, tuple[int, ...]]] = [(0.0, start, ())]
    reached: set[int] = set()
    while waiting and waiting[0][0] + least < best[0]:
        there, node, out = heapq.heappop(waiting)
        if node in on_lines:
            return [*out, *out, *home]
        if node in reached:
            continue
        reached.add(node)
        for by in itertools.combinations(graph.around[node], 2):
            paired = pairer.pair_up(odd_nodes(graph, [*wanted, *by], node, node))
            if paired is None:
                continue
            extra = [*out, *out, *by, *paired]
            cost = sum(weights[number] for number in extra)
            if cost < best[0]:
                if len(pieces(graph, [*wanted, *extra], start)) > 1:
                    raise TooWide
                best = (cost, extra)
        for number in graph.around[node]:
            one, other = graph.edges[number][:2]
            heapq.heappush(waiting, (there + 2 * weights[number], other if one == node else one, (*out, number)))
    return best[1]


def branch(pairer: Pairer, wanted: Sequence[int], start: int, end: int) -> list[int]:
    """The least extra by branch and bound: pair up; if a piece is left apart, some edge that leaves it must be used.

    Raises:
        TooWide: it takes too many pairings.
    """
    graph, weights = pairer.graph, pairer.weights
    number = itertools.count()
    # (tie, edges that must be used, edges that may not be used)
    waiting: list[tuple[int, tuple[int, ...], frozenset[int]]] = [(next(number), (), frozenset())]
    solved: list[tuple[float, int, tuple[int, ...], frozenset[int], list[int]]] = []
    for _ in range(MOST_PAIRINGS):
        for _, forced, banned in waiting:
            paired = pairer.pair_up(odd_nodes(graph, [*wanted, *forced], start, end), banned)
            if paired is not None:
                extra = [*forced, *paired]
                heapq.heappush(solved, (sum(weights[i] for i in extra), next(number), forced, banned, extra))
        if not solved:
            break
        _, _, forced, banned, extra = heapq.heappop(solved)
        used = [*wanted, *extra]
        here = hanging_on(graph, used, start)
        if all(graph.edges[i].start in here for i in used):
            return extra
        leaving = [
            i for i, edge in enumerate(graph.edges) if (edge.start in here) != (edge.end in here) and i not in banned
        ]
        waiting = [
            (next(number), (*forced, i), banned.union(leaving[:place])) for place, i in enumerate(leaving)
        ]
    raise TooWide


def join_pieces(pairer: Pairer, apart: Sequence[set[int]]) -> list[int]:
    """Edges that join the pieces to the first one, nearest first, by shortest ways."""
    joined: list[int] = []
    home, *others = apart
    while others:
        ways = shortest(pairer.graph, pairer.weights, home)
        nearest = min(others, key=lambda piece: min(ways.cost[node] for node in piece))
        gate = min(nearest, key=lambda node: ways.cost[node])
        path = ways.edges_to(gate)
        joined += path
        others.remove(nearest)
        home = home.union(nearest, *(pairer.graph.edges[number][:2] for number in path))
    return joined
