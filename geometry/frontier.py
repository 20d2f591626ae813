"""The rural postman's problem solved exactly on graphs that can be swept with a narrow frontier.

Nodes are taken in order; a state says, for each node of the frontier, whether the number of
ends there is odd so far and with which others it hangs together. Each edge may be gone over
once more (a road: not at all, once or twice). Of the ways to reach a state only the
lightest is kept, so the result is the least of all, whatever the number of pieces.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from geometry.graph import Graph

WIDEST = 12
"""Nodes on the frontier beyond which the search is not begun."""

MOST_STEPS = 10_000
"""States looked at in all beyond which the search is given up."""


class TooWide(Exception):  # noqa: N818 - a turn of the search, not a fault
    """The graph is too tangled for an exact search."""


State = tuple[int, ...]
"""A number for each place on the frontier: 0 where no node is, or one that no way leads over yet.

Otherwise twice the number of its group, and one more while the ends there are odd. A group is what hangs together so
far; it has the number of its first place, counted from 1.
"""

CLOSED: State = ()
"""The state when the way is complete, and nothing may be added to it."""


class _Enter(NamedTuple):
    """A node that must be on the way takes a place; `beside` is the place of another node of its piece, or its own."""

    place: int
    beside: int
    odd: bool


class _Take(NamedTuple):
    """The edge between two places is decided on."""

    one: int
    other: int
    number: int


class _Leave(NamedTuple):
    """The node at a place is done with."""

    place: int


_Step = _Enter | _Take | _Leave


_Choice: TypeAlias = "tuple[int, int, _Choice] | None"
"""An edge, how often it is gone over again, and the choice before."""

_Way = tuple[float, _Choice]
"""The lightest way to a state: its cost and the last choice."""

MOST_KNOWN = 20_000
"""What becomes of a state is remembered for so many: along a comb the same few come again at every tooth."""


def least_connected(
    graph: Graph, weights: Sequence[float], pieces: Sequence[set[int]], wanted: Sequence[int], start: int, end: int
) -> list[int]:
    """The lightest extra edges that make all wanted ones, `start` and `end` one trail.

    `pieces` are the nodes that hang together by wanted edges; `start` is one by itself if it hangs on none.

    Raises:
        TooWide: the frontier is too wide, or its states are too many.
    """
    required = set(wanted)
    piece_of = {node: number for number, piece in enumerate(pieces) for node in piece}
    piece_of.setdefault(end, len(pieces))
    edges = _useful(graph, required, {start, end})
    states: dict[State, _Way] = {(0,) * (WIDEST + 1): (0.0, None)}
    count = 0
    for step in _steps(graph, edges, _order(graph, edges, start), piece_of, {start} ^ {end}):
        if isinstance(step, _Take):
            states = _taken(states, step, weights[step.number], required=step.number in required)
        elif isinstance(step, _Enter):
            states = {_entered(state, *step): way for state, way in states.items() if state != CLOSED}
        else:
            states = _left(states, step.place)
        count += len(states)
        if count > MOST_STEPS or not states:
            raise TooWide
    extra: list[int] = []
    _, chosen = states[CLOSED]
    while chosen is not None:
        number, times, chosen = chosen
        extra += [number] * times
    return extra


def _useful(graph: Graph, required: set[int], ends: set[int]) -> list[int]:
    """Edges that a least solution may use: no roads that lead nowhere."""
    edges = {number for number, edge in enumerate(graph.edges) if edge.start != edge.end}
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


def _order(graph: Graph, edges: Iterable[int], start: int) -> list[int]:
    """An order of the nodes that keeps the frontier narrow: always the one that adds least to it.

    Raises:
        TooWide: the frontier does not fit, or has more states than can be looked at: of so many nodes, all but one may be
            odd or even.
    """
    near: dict[int, set[int]] = {start: set()}
    for number in edges:
        one, other = graph.edges[number][:2]
        near.setdefault(one, set()).add(other)
        near.setdefault(other, set()).add(one)
    order: list[int] = []
    frontier = {start}
    states = 0
    while near:
        node = min(frontier or near, key=lambda n: (len(near[n] - frontier), n))
        order.append(node)
        for other in near[node]:
            near[other].discard(node)
        frontier |= near.pop(node)
        frontier.discard(node)
        states += 1 << max(0, len(frontier) - 1)
        if len(frontier) > WIDEST or states > MOST_STEPS:
            raise TooWide
    return order


def _steps(
    graph: Graph, edges: Iterable[int], order: Iterable[int], piece_of: Mapping[int, int], ends: set[int]
) -> Iterator[_Step]:
    """Each node's edges to later ones, and when nodes enter and leave the frontier."""
    waiting: dict[int, list[int]] = {node: [] for node in order}
    for number in edges:
        for node in graph.edges[number][:2]:
            waiting[node].append(number)
    free = list(range(WIDEST, -1, -1))
    places: dict[int, int] = {}
    for node, numbers in waiting.items():
        ways = [(number, graph.edges[number].across(node)) for number in numbers]
        for new in (node, *(other for _, other in ways)):
            if new not in places:
                places[new] = place = free.pop()
                if new in piece_of:
                    beside = (places[other] for other in places if piece_of.get(other) == piece_of[new])
                    yield _Enter(place, next(beside), new in ends)
        for number, other in ways:
            yield _Take(places[node], places[other], number)
            waiting[other].remove(number)
        free.append(places.pop(node))
        yield _Leave(free[-1])


@lru_cache(MOST_KNOWN)
def _entered(state: State, place: int, beside: int, odd: bool) -> State:  # noqa: FBT001
    new = list(state)
    new[place] = 2 * (place + 1) + odd
    return _together(tuple(new), place, beside)


def _taken(states: Mapping[State, _Way], step: _Take, weight: float, *, required: bool) -> dict[State, _Way]:
    """What each state becomes by an edge."""
    one, other, number = step
    found: dict[State, _Way] = {}
    for state, (cost, chosen) in states.items():
        for new, times in _choices(state, one, other, required):
            total = cost + times * weight
            if new not in found or total < found[new][0]:
                found[new] = (total, (number, times, chosen) if times else chosen)
    return found


@lru_cache(MOST_KNOWN)
def _choices(state: State, one: int, other: int, required: bool) -> tuple[tuple[State, int], ...]:  # noqa: FBT001
    """An edge is gone over no more, or once, or (a road that joins two groups) twice: the states, and how often."""
    if required:
        return ((_flipped(state, one, other), 0), (state, 1))
    if state == CLOSED:
        return ((state, 0),)
    joined = _together(state, one, other)
    once = _flipped(joined, one, other)
    return ((state, 0), (once, 1)) if joined == state else ((state, 0), (once, 1), (joined, 2))


def _flipped(state: State, one: int, other: int) -> State:
    """Odd for even at two places."""
    new = list(state)
    new[one] ^= 1
    new[other] ^= 1
    return tuple(new)


def _together(state: State, one: int, other: int) -> State:
    """The groups of two places made one."""
    groups = (state[one] >> 1 or one + 1, state[other] >> 1 or other + 1)
    first, second = min(groups), max(groups)
    new = [value - 2 * (second - first) if value >> 1 == second else value for value in state]
    for place in (one, other):
        new[place] = 2 * first + (state[place] & 1)
    return tuple(new)


def _left(states: Mapping[State, _Way], place: int) -> dict[State, _Way]:
    """What each state becomes when the node at a place is done with."""
    found: dict[State, _Way] = {}
    for state, way in states.items():
        new = _without(state, place)
        if new is not None and (new not in found or way[0] < found[new][0]):
            found[new] = way
    return found


@lru_cache(MOST_KNOWN)
def _without(state: State, place: int) -> State | None:
    """The state without the node at a place: it must be even, and its group must go on or be the whole way."""
    if state == CLOSED or not state[place]:
        return state
    group, odd = divmod(state[place], 2)
    if odd:
        return None
    rest = [i for i, value in enumerate(state) if value >> 1 == group and i != place]
    if not rest:
        return CLOSED if sum(state) == state[place] else None
    new = list(state)
    new[place] = 0
    for i in rest:
        new[i] = 2 * (rest[0] + 1) + (state[i] & 1) if group == place + 1 else state[i]
    return tuple(new)
