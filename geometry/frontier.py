"""The rural postman's problem solved exactly on graphs that can be swept with a narrow frontier.

Nodes are taken in order; a state says, for each node of the frontier, whether the number of
ends there is odd so far and with which others it hangs together. Each edge may be gone over
once more (a road: not at all, once or twice). Of the ways to reach a state only the
lightest is kept, so the result is the least of all, whatever the number of pieces.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from geometry.graph import Graph

WIDEST = 8
"""Nodes on the frontier beyond which the search is not begun."""

MOST_STEPS = 200_000
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


class _Way(NamedTuple):
    """The lightest way to a state: its cost and the choices, newest first."""

    cost: float
    chosen: tuple[int, tuple] | None  # type: ignore[type-arg]


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
    steps = list(_steps(graph, _useful(graph, required, {start, end}), piece_of, start, end))
    states: dict[State, _Way] = {(0,) * WIDEST: _Way(0.0, None)}
    count = 0
    for step in steps:
        if isinstance(step, _Take):
            states = _taken(states, step, weights[step.number], required=step.number in required)
        elif isinstance(step, _Enter):
            states = {_entered(state, step): way for state, way in states.items() if state != CLOSED}
        else:
            states = _left(states, step.place)
        count += len(states)
        if count > MOST_STEPS or not states:
            raise TooWide
    extra: list[int] = []
    chosen = states[CLOSED].chosen
    while chosen is not None:
        number, chosen = chosen
        extra.append(number)
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


def _steps(graph: Graph, edges: Iterable[int], piece_of: Mapping[int, int], start: int, end: int) -> Iterator[_Step]:
    """Sweep the graph from the start; the next node is always the one that adds least to the frontier.

    Raises:
        TooWide: the frontier does not fit.
    """
    waiting: dict[int, list[int]] = {start: []}
    for number in edges:
        for node in graph.edges[number][:2]:
            waiting.setdefault(node, []).append(number)
    ends = {start} ^ {end}
    places: dict[int, int] = {}
    done: set[int] = set()

    def enter(node: int) -> Iterator[_Step]:
        if len(places) == WIDEST:
            raise TooWide
        place = next(place for place in range(WIDEST) if place not in places.values())
        if node in piece_of:
            near = (places[other] for other in places if piece_of.get(other) == piece_of[node])
            yield _Enter(place, next(near, place), node in ends)
        places[node] = place

    def added(node: int) -> int:
        return len({n for number in waiting[node] for n in graph.edges[number][:2]} - places.keys())

    for _ in range(len(waiting)):
        node = min(places or waiting.keys() - done, key=lambda n: (added(n), n))
        if node not in places:
            yield from enter(node)
        for number in waiting[node]:
            one, other = graph.edges[number][:2]
            across = other if one == node else one
            if across not in places:
                yield from enter(across)
            yield _Take(places[node], places[across], number)
            waiting[across].remove(number)
        yield _Leave(places.pop(node))
        done.add(node)


def _entered(state: State, step: _Enter) -> State:
    new = list(state)
    new[step.place] = 2 * (step.place + 1) + step.odd
    return _together(tuple(new), step.place, step.beside)


def _taken(states: Mapping[State, _Way], step: _Take, weight: float, *, required: bool) -> dict[State, _Way]:
    """Each state with the edge not gone over again, once, or (a road that joins two groups) twice."""
    one, other, number = step
    found: dict[State, _Way] = {}

    def keep(state: State, way: _Way, times: int) -> None:
        cost = way.cost + times * weight
        if state not in found or cost < found[state].cost:
            chosen = way.chosen
            for _ in range(times):
                chosen = (number, chosen)
            found[state] = _Way(cost, chosen)

    for state, way in states.items():
        if required:
            keep(_flipped(state, one, other), way, 0)
            keep(state, way, 1)
            continue
        keep(state, way, 0)
        if state != CLOSED:
            joined = _together(state, one, other)
            keep(_flipped(joined, one, other), way, 1)
            if joined != state:
                keep(joined, way, 2)
    return found


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
    """The node at a place leaves the frontier: it must be even, and its group must go on or be the whole way."""
    found: dict[State, _Way] = {}
    for state, way in states.items():
        new = state
        if state != CLOSED and state[place]:
            if state[place] & 1:
                continue
            group = state[place] >> 1
            left = [i for i, value in enumerate(state) if value >> 1 == group and i != place]
            if left:
                renamed = 2 * (left[0] + 1 - group) if group == place + 1 else 0
                new = tuple(
                    0 if i == place else value + renamed if value >> 1 == group else value
                    for i, value in enumerate(state)
                )
            elif sum(state) == state[place]:
                new = CLOSED
            else:
                continue
        if new not in found or way.cost < found[new].cost:
            found[new] = way
    return found
