"""The rural postman's problem solved exactly on graphs that can be swept with a narrow frontier.

Nodes are taken in order; a state says, for each node of the frontier, whether the number of
ends there is odd so far and which of them already hang together. Each edge may be gone over
once more (a road: not at all, once or twice). Of the ways to reach a state only the
lightest is kept, so the result is the least of all, whatever the number of pieces.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from geometry.graph import Graph
    from geometry.pairing import Pairer

MOST_STATES = 20_000
"""States kept at one step; beyond that the search is given up."""

UNUSED = -1


class TooWide(Exception):  # noqa: N818 - a turn of the search, not a fault
    """The frontier holds too many states for an exact search."""


class _State(NamedTuple):
    """For each frontier node: odd or even so far, and the number of its group (UNUSED: not on the way yet)."""

    odd: tuple[bool, ...]
    group: tuple[int, ...]
    closed: bool


class _Way(NamedTuple):
    """The lightest way to a state: its cost and the choices, newest first."""

    cost: float
    chosen: tuple[int, tuple] | None  # type: ignore[type-arg]


def least_connected(pairer: Pairer, wanted: Sequence[int], start: int, end: int) -> list[int]:
    """The lightest extra edges that make all wanted ones, `start` and `end` one trail.

    Raises:
        TooWide: the graph is too tangled for the exact search.
    """
    graph, weights = pairer.graph, pairer.weights
    required = set(wanted)
    edges = _useful(graph, required, {start, end})
    order = _sweep(graph, edges, start)
    place = {node: i for i, node in enumerate(order)}
    by_node: dict[int, list[int]] = {node: [] for node in order}
    for number in edges:
        one, other = graph.edges[number][:2]
        by_node[min(one, other, key=place.__getitem__)].append(number)
    must = {start, end} | {node for number in required for node in graph.edges[number][:2]}
    ends = [node for node in (start, end) if start != end]
    frontier: list[int] = []
    states: dict[_State, _Way] = {_State((), (), closed=False): _Way(0.0, None)}
    for node in order:
        for number in by_node[node]:
            for new in graph.edges[number][:2]:
                if new not in frontier:
                    frontier.append(new)
                    states = {_enter(state, odd=new in ends, used=new in must): way for state, way in states.items()}
            states = _take(states, frontier, graph.edges[number][:2], number, weights[number], number in required)
        if node not in frontier:
            frontier.append(node)
            states = {_enter(state, odd=node in ends, used=node in must): way for state, way in states.items()}
        at = frontier.index(node)
        states = _leave(states, at)
        frontier.pop(at)
        if len(states) > MOST_STATES or not states:
            raise TooWide
    way = min(states.values(), key=lambda found: found.cost)
    extra: list[int] = []
    chosen = way.chosen
    while chosen is not None:
        number, chosen = chosen
        extra.append(number)
    return extra


def _useful(graph: Graph, required: set[int], ends: set[int]) -> list[int]:
    """Edges that a least solution may use: no roads that lead nowhere."""
    edges = set(range(len(graph.edges)))
    around = [set(numbers) for numbers in graph.around]
    waiting = list(range(len(graph.nodes)))
    while waiting:
        node = waiting.pop()
        if node in ends or len(around[node]) != 1:
            continue
        number = next(iter(around[node]))
        if number in required or number not in edges:
            continue
        edges.discard(number)
        for other in graph.edges[number][:2]:
            around[other].discard(number)
            waiting.append(other)
    return sorted(edges)


def _sweep(graph: Graph, edges: Iterable[int], start: int) -> list[int]:
    """An order of the nodes that keeps the frontier narrow: always the one that adds least to it."""
    neighbours: dict[int, set[int]] = {start: set()}
    for number in edges:
        one, other = graph.edges[number][:2]
        neighbours.setdefault(one, set()).add(other)
        neighbours.setdefault(other, set()).add(one)
    order: list[int] = []
    done: set[int] = set()
    frontier = {start}
    while len(order) < len(neighbours):
        pool = frontier or set(neighbours) - done
        node = min(pool, key=lambda n: (len(neighbours[n] - done - frontier), n))
        order.append(node)
        done.add(node)
        frontier = (frontier | neighbours[node]) - done
    return order


def _enter(state: _State, *, odd: bool, used: bool) -> _State:
    group = max(state.group, default=UNUSED) + 1 if used else UNUSED
    return _State((*state.odd, odd), (*state.group, group), state.closed)


def _take(
    states: dict[_State, _Way],
    frontier: Sequence[int],
    ends: tuple[int, int],
    number: int,
    weight: float,
    required: bool,  # noqa: FBT001
) -> dict[_State, _Way]:
    one, other = (frontier.index(node) for node in ends)
    found: dict[_State, _Way] = {}
    for state, way in states.items():
        for times in (0, 1) if required else (0, 1, 2):
            total = times + required
            if total and state.closed:
                continue
            new = _over(state, one, other, total)
            cost = way.cost + times * weight
            if new not in found or cost < found[new].cost:
                chosen = way.chosen
                for _ in range(times):
                    chosen = (number, chosen)  # type: ignore[assignment]
                found[new] = _Way(cost, chosen)
    return found


def _over(state: _State, one: int, other: int, times: int) -> _State:
    """The state after going `times` over an edge between two frontier places."""
    if not times:
        return state
    odd, group = list(state.odd), list(state.group)
    if times % 2 and one != other:
        odd[one], odd[other] = not odd[one], not odd[other]
    fresh = max(group) + 1
    for at in (one, other):
        if group[at] == UNUSED:
            group[at] = fresh
    first, second = group[one], group[other]
    return _State(tuple(odd), _numbered([first if g == second else g for g in group]), state.closed)


def _numbered(groups: Sequence[int]) -> tuple[int, ...]:
    """Groups numbered in order of appearance, so that equal states look equal."""
    names: dict[int, int] = {UNUSED: UNUSED}
    return tuple(names.setdefault(group, len(names) - 1) for group in groups)


def _leave(states: dict[_State, _Way], at: int) -> dict[_State, _Way]:
    """Drop a finished node from the frontier: it must be even, and its group must go on or be the whole way."""
    found: dict[_State, _Way] = {}
    for state, way in states.items():
        if state.odd[at]:
            continue
        group = state.group[at]
        odd, groups = (*state.odd[:at], *state.odd[at + 1 :]), (*state.group[:at], *state.group[at + 1 :])
        closed = state.closed
        if group != UNUSED and group not in groups:
            if closed or any(other != UNUSED for other in groups):
                continue
            closed = True
        new = _State(odd, _numbered(groups), closed)
        if new not in found or way.cost < found[new].cost:
            found[new] = way
    return found
