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

MOST_WORK = 2_000_000
"""Branch and bound is given up when its pairings, each counted as (odd nodes + 20)², come to more: about a second."""


def pieces(graph: Graph, used: Iterable[int]) -> list[set[int]]:
    """The nodes of each piece that the used edges make."""
    piece_of: dict[int, set[int]] = {}
    edges = graph.edges
    for number in used:
        start, end, *_ = edges[number]
        one = piece_of.get(start) or {start}
        other = piece_of.get(end) or {end}
        if one is other:
            continue
        # the smaller is put to the larger
        if len(one) < len(other):
            one, other = other, one
        one |= other
        piece_of.update(dict.fromkeys(other, one))
        piece_of[start] = piece_of[end] = one
    return list({id(piece): piece for piece in piece_of.values()}.values())


def hang_together(graph: Graph, apart: Sequence[set[int]], extra: Iterable[int]) -> bool:
    """Whether pieces, each given by its nodes, are one piece with the extra edges between them."""
    home: dict[int, int] = {}
    for number, piece in enumerate(apart):
        home.update(dict.fromkeys(piece, number))
    leader = list(range(len(apart)))

    def led(node: int) -> int:
        here = home.setdefault(node, len(leader))
        if here == len(leader):
            leader.append(here)
        while leader[here] != here:
            here = leader[here]
        return here

    for number in extra:
        edge = graph.edges[number]
        leader[led(edge.start)] = led(edge.end)
    return sum(number == here for number, here in enumerate(leader)) == 1


def from_start(apart: Iterable[set[int]], start: int) -> list[set[int]]:
    """The same pieces with that of the start first, which is a piece by itself if it is on none."""
    other = [piece for piece in apart if start not in piece]
    return [next((piece for piece in apart if start in piece), {start}), *other]


def detour(pairer: Pairer, wanted: Sequence[int], start: int) -> list[int]:
    """The least extra of a round trip over lines in one piece, from a start that hangs on none of them.

    Either the run comes to the start by one road and goes on by another, and the rest is paired; or it goes there and
    back by one road, and the same holds for the road's other end, until that is on a line.

    Raises:
        TooWide: two roads from the start lead to one another but not to the lines.
    """
    graph, weights = pairer.graph, pairer.weights
    lines = pieces(graph, wanted)
    on_lines = set().union(*lines)
    paired = pairer.pair_up(odd_nodes(graph, wanted, start, start))
    home = paired.edges if paired else []
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
        roads = [number for number in graph.around[node] if graph.edges[number].across(node) != node]
        for by in itertools.combinations(roads, 2):
            paired = pairer.pair_up(odd_nodes(graph, [*wanted, *by], node, node))
            if paired is None:
                continue
            extra = [*out, *out, *by, *paired.edges]
            cost = sum(weights[number] for number in extra)
            if cost < best[0]:
                if not hang_together(graph, lines, extra):
                    raise TooWide
                best = (cost, extra)
        for number in roads:
            heapq.heappush(waiting, (there + 2 * weights[number], graph.edges[number].across(node), (*out, number)))
    return best[1]


def branch(pairer: Pairer, wanted: Sequence[int], start: int, end: int) -> list[int]:
    """The least extra by branch and bound: pair up; if a piece is left apart, some edge that leaves it must be used.

    Raises:
        TooWide: it takes too many pairings.
    """
    graph, weights = pairer.graph, pairer.weights
    number = itertools.count()
    # edges that must be used, and edges that may not be used
    waiting: list[tuple[tuple[int, ...], frozenset[int]]] = [((), frozenset())]
    solved: list[tuple[float, int, tuple[int, ...], frozenset[int], list[int]]] = []
    work = 0
    while True:
        for forced, banned in waiting:
            odd = odd_nodes(graph, [*wanted, *forced], start, end)
            work += (len(odd) + 20) ** 2
            if work > MOST_WORK:
                raise TooWide
            paired = pairer.pair_up(odd, banned)
            if paired is not None:
                extra = [*forced, *paired.edges]
                heapq.heappush(solved, (sum(weights[i] for i in extra), next(number), forced, banned, extra))
        if not solved:
            raise TooWide
        _, _, forced, banned, extra = heapq.heappop(solved)
        here, *others = from_start(pieces(graph, [*wanted, *extra]), start)
        if not others:
            return extra
        leaving = [
            i for i, edge in enumerate(graph.edges) if (edge.start in here) != (edge.end in here) and i not in banned
        ]
        waiting = [((*forced, i), banned.union(leaving[:place])) for place, i in enumerate(leaving)]


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
