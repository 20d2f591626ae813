"""From a set of edges in which every node is even to one trail that steers the way a quilter does.

At each node the ends are paired so that the line goes straight on wherever it can. That
leaves closed strands; where two of them meet, exchanging partners joins them, and the
exchanges that turn least are taken, one fewer than there are strands.
"""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING, Literal, NamedTuple

from geometry.plane import distance, length_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from geometry.graph import Graph
    from geometry.plane import Line, Point

LOOK = 0.15
"""Inches along a line at which its direction is taken, so that a hair at its end does not mislead."""

TRY_ALL = 8
"""Ends at a node up to which every pairing is tried."""


How = Literal["stitch", "over", "travel"]


class Leg(NamedTuple):
    """A piece of a run: new stitching, stitched over an earlier line, or travel along a seam."""

    how: How
    line: Line


def measured(legs: Iterable[Leg], how: How) -> float:
    """Inches of a run that are of one kind."""
    return sum(length_of(leg.line) for leg in legs if leg.how == how)


class _End(NamedTuple):
    """One end of one going-over of an edge: 0 its start, 1 its end."""

    copy: int
    side: int


Pairing = list[tuple[_End, _End]]


def euler_trail(graph: Graph, used: Sequence[int], start: int, end: int) -> tuple[Leg, ...]:
    """Go over every used edge (listed twice: twice) in one trail from `start` to `end`.

    The edges must hang together and leave every node even, but for `start` and `end` if they differ.
    """
    if not used:
        return ()
    # one more edge from the end back to the start makes every trail a round trip
    ends = [(graph.edges[number].start, graph.edges[number].end) for number in used]
    back = len(ends) if start != end else None
    if back is not None:
        ends.append((end, start))
    at_node: dict[int, list[_End]] = {}
    for copy, pair in enumerate(ends):
        for side, node in enumerate(pair):
            at_node.setdefault(node, []).append(_End(copy, side))
    turns = _Turns(graph, used)
    partners = {node: _straightest(found, turns) for node, found in at_node.items()}
    _join_strands(partners, turns, len(ends))
    mate = {one: other for pairs in partners.values() for a, b in pairs for one, other in ((a, b), (b, a))}
    if back is not None:  # noqa: SIM108 - the comment explains the other branch
        first = mate[_End(back, 1)]
    else:
        # begin where the round trip turns most, so that this turn is never made
        first = max(partners[start], key=lambda pair: turns.between(*pair))[1]
    return _legs(graph, used, list(_follow(mate, first, back)))


class _Turns:
    """How far the needle turns when going from one end on along another."""

    def __init__(self, graph: Graph, used: Sequence[int]) -> None:
        """Take the directions from the lines of the used edges."""
        self._graph = graph
        self._used = used
        self._heading: dict[tuple[int, int], float] = {}

    def between(self, one: _End, other: _End) -> float:
        """0 straight on, pi back the same way; squared, so that one sharp turn is worse than two mild ones."""
        if one.copy >= len(self._used) or other.copy >= len(self._used):
            return 0.0
        gap = abs(self._direction(one) - self._direction(other)) % (2 * math.pi)
        return (math.pi - min(gap, 2 * math.pi - gap)) ** 2

    def _direction(self, end: _End) -> float:
        key = (self._used[end.copy], end.side)
        if key not in self._heading:
            line = self._graph.edges[key[0]].line
            self._heading[key] = _heading(line if end.side == 0 else line[::-1])
        return self._heading[key]


def _heading(line: Line) -> float:
    """Direction in which a line sets out."""
    start: Point = line[0]
    ahead = next((point for point in line[1:] if distance(start, point) >= LOOK), line[-1])
    return math.atan2(ahead.y - start.y, ahead.x - start.x)


def _straightest(ends: Sequence[_End], turns: _Turns) -> Pairing:
    if len(ends) <= TRY_ALL:
        return min(_pairings(list(ends)), key=lambda pairs: sum(turns.between(*pair) for pair in pairs))
    # too many to try all: the straightest pair first
    left = set(ends)
    pairs: Pairing = []
    for one, other in sorted(itertools.combinations(ends, 2), key=lambda pair: turns.between(*pair)):
        if one in left and other in left:
            left -= {one, other}
            pairs.append((one, other))
    return pairs


def _pairings(ends: list[_End]) -> Iterator[Pairing]:
    if not ends:
        yield []
        return
    first, *rest = ends
    for i, other in enumerate(rest):
        for pairs in _pairings(rest[:i] + rest[i + 1 :]):
            yield [(first, other), *pairs]


def _strands(partners: dict[int, Pairing], copies: int) -> list[int]:
    """For each copy the number of the closed strand it lies on."""
    mate = {one: other for pairs in partners.values() for a, b in pairs for one, other in ((a, b), (b, a))}
    strand = [-1] * copies
    number = 0
    for copy in range(copies):
        here = _End(copy, 0)
        if strand[copy] >= 0:
            continue
        while strand[here.copy] < 0:
            strand[here.copy] = number
            here = mate[_End(here.copy, 1 - here.side)]
        number += 1
    return strand


def _join_strands(partners: dict[int, Pairing], turns: _Turns, copies: int) -> None:
    """Exchange partners until all is one strand, the exchanges that turn least first."""
    while True:
        strand = _strands(partners, copies)
        if len(set(strand)) <= 1:
            return
        leader = list(range(max(strand) + 1))
        for offer in sorted(_offers(partners, turns, strand), key=lambda offer: offer[:2]):
            a, b = (_leader(strand[pair[0].copy], leader) for pair in offer.old)
            if a != b and all(pair in partners[offer.node] for pair in offer.old):
                kept = [pair for pair in partners[offer.node] if pair not in offer.old]
                partners[offer.node] = [*kept, *offer.new]
                leader[a] = b


class _Offer(NamedTuple):
    """Two pairs at a node on different strands, and the two pairs they could become."""

    turn: float
    node: int
    old: tuple[tuple[_End, _End], tuple[_End, _End]]
    new: tuple[tuple[_End, _End], tuple[_End, _End]]


def _offers(partners: dict[int, Pairing], turns: _Turns, strand: Sequence[int]) -> Iterator[_Offer]:
    for node, pairs in partners.items():
        for one, other in itertools.combinations(pairs, 2):
            if strand[one[0].copy] == strand[other[0].copy]:
                continue
            before = turns.between(*one) + turns.between(*other)
            for new in (((one[0], other[0]), (one[1], other[1])), ((one[0], other[1]), (one[1], other[0]))):
                yield _Offer(turns.between(*new[0]) + turns.between(*new[1]) - before, node, (one, other), new)


def _leader(number: int, leader: Sequence[int]) -> int:
    while leader[number] != number:
        number = leader[number]
    return number


def _follow(mate: dict[_End, _End], first: _End, back: int | None) -> Iterator[_End]:
    """The ends at which the copies are entered, in order."""
    here = first
    while True:
        yield here
        here = mate[_End(here.copy, 1 - here.side)]
        if here == first or here.copy == back:
            return


def _legs(graph: Graph, used: Sequence[int], entered: Sequence[_End]) -> tuple[Leg, ...]:
    legs: list[Leg] = []
    done: set[int] = set()
    for copy, side in entered:
        number = used[copy]
        edge = graph.edges[number]
        line = edge.line if side == 0 else edge.line[::-1]
        how: How = "travel" if edge.kind == "seam" else "over" if number in done or not edge.required else "stitch"
        done.add(number)
        if legs and legs[-1].how == how:
            legs[-1] = Leg(how, (*legs[-1].line, *line[1:]))
        else:
            legs.append(Leg(how, line))
    return tuple(legs)
