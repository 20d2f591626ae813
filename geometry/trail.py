"""From a set of edges in which every node is even to one trail that steers the way a quilter does.

At each node the ends are paired so that the line goes straight on wherever it can. That
leaves closed strands; where two of them meet, exchanging partners joins them, and the
exchanges that turn least are taken, one fewer than there are strands.
"""

from __future__ import annotations

import itertools
import math
from functools import cache
from typing import TYPE_CHECKING, Literal, NamedTuple

from geometry.plane import distance, length_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

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


Pairing = list[tuple[int, int]]
"""Ends joined two and two. An end is a number: twice that of the going-over, for its start, and one more for its end.

So `end ^ 1` is the other end of the same going-over, and `end >> 1` the number of the going-over.
"""


def euler_trail(graph: Graph, used: Sequence[int], start: int, end: int) -> tuple[Leg, ...]:
    """Go over every used edge (listed twice: twice) in one trail from `start` to `end`.

    The edges must hang together and leave every node even, but for `start` and `end` if they differ.
    """
    if not used:
        return ()
    # one more edge from the end back to the start makes every trail a round trip
    ways = [graph.edges[number][:2] for number in used]
    back = len(ways) if start != end else None
    if back is not None:
        ways.append((end, start))
    at_node: dict[int, list[int]] = {}
    for number, node in enumerate(itertools.chain.from_iterable(ways)):
        at_node.setdefault(node, []).append(number)
    turns = _Turns(graph, used)
    partners = {node: _straightest(found, turns) for node, found in at_node.items()}
    _join_strands(partners, turns, len(ways))
    mate = _mates(partners, len(ways))
    if back is not None:  # noqa: SIM108 - the comment explains the other branch
        first = mate[2 * back + 1]
    else:
        # begin where the round trip turns most, so that this turn is never made
        first = max(partners[start], key=lambda pair: turns.between(*pair))[1]
    return _legs(graph, used, _follow(mate, first, back))


class _Turns:
    """How far the needle turns when going from one end on along another."""

    def __init__(self, graph: Graph, used: Sequence[int]) -> None:
        """Take the directions from the lines of the used edges."""
        # an edge gone over again sets out as it did before
        known = {number: _headings(graph.edges[number].line) for number in set(used)}
        self._heading = [heading for number in used for heading in known[number]]

    def all_between(self, ends: Sequence[int]) -> list[list[float]]:
        """`between` for each of some ends and each one before it."""
        if max(ends) >= len(self._heading):
            return [[self.between(one, other) for other in ends[:place]] for place, one in enumerate(ends)]
        headings = [self._heading[end] for end in ends]
        return [[(abs(one - other) - math.pi) ** 2 for other in headings[:i]] for i, one in enumerate(headings)]

    def between(self, one: int, other: int) -> float:
        """0 straight on, pi back the same way; squared, so that one sharp turn is worse than two mild ones."""
        if max(one, other) >= len(self._heading):
            return 0.0  # the way back is no line
        return (abs(self._heading[one] - self._heading[other]) - math.pi) ** 2


def _headings(line: Line) -> tuple[float, float]:
    """Directions in which a line sets out from its start and from its end."""
    if len(line) == 2:  # noqa: PLR2004 - straight
        (x, y), (u, v) = line
        out = math.atan2(v - y, u - x)
        return out, out + math.pi if out <= 0 else out - math.pi
    (x, y), (u, v) = _ahead(line), _ahead(line[::-1])
    return math.atan2(y - line[0].y, x - line[0].x), math.atan2(v - line[-1].y, u - line[-1].x)


def _ahead(line: Line) -> Point:
    """The place on a line to which it heads from its first point."""
    start: Point = line[0]
    return next((point for point in line[1:] if distance(start, point) >= LOOK), line[-1])


def _straightest(ends: Sequence[int], turns: _Turns) -> Pairing:
    if len(ends) == 2:  # noqa: PLR2004 - no choice
        return [(ends[0], ends[1])]
    if len(ends) <= TRY_ALL:
        turn = turns.all_between(ends)
        best = min(_pairings(len(ends)), key=lambda pairs: sum([turn[k][i] for i, k in pairs]))
        return [(ends[i], ends[k]) for i, k in best]
    # too many to try all: the straightest pair first
    left = set(ends)
    pairs: Pairing = []
    for one, other in sorted(itertools.combinations(ends, 2), key=lambda pair: turns.between(*pair)):
        if one in left and other in left:
            left -= {one, other}
            pairs.append((one, other))
    return pairs


@cache
def _pairings(count: int) -> tuple[tuple[tuple[int, int], ...], ...]:
    """Every way to pair the numbers below an even count."""

    def pair_up(left: tuple[int, ...]) -> Iterator[tuple[tuple[int, int], ...]]:
        if not left:
            yield ()
            return
        first, *rest = left
        for i, other in enumerate(rest):
            for pairs in pair_up((*rest[:i], *rest[i + 1 :])):
                yield ((first, other), *pairs)

    return tuple(pair_up(tuple(range(count))))


def _mates(partners: Mapping[int, Pairing], count: int) -> list[int]:
    """For each end the one it is joined to."""
    mate = [0] * (2 * count)
    for pairs in partners.values():
        for one, other in pairs:
            mate[one], mate[other] = other, one
    return mate


def _strands(mate: Sequence[int]) -> list[int]:
    """For each going-over the number of the closed strand it lies on."""
    strand = [-1] * (len(mate) // 2)
    number = 0
    for first in range(len(strand)):
        if strand[first] >= 0:
            continue
        here = 2 * first
        while strand[here >> 1] < 0:
            strand[here >> 1] = number
            here = mate[here ^ 1]
        number += 1
    return strand


def _join_strands(partners: dict[int, Pairing], turns: _Turns, count: int) -> None:
    """Exchange partners until all is one strand, the exchanges that turn least first."""
    while True:
        strand = _strands(_mates(partners, count))
        if max(strand) == 0:
            return
        leader = list(range(max(strand) + 1))
        offers = sorted(_offers(partners, turns, strand), key=lambda offer: offer[:2])
        if not offers:
            raise ArithmeticError("the edges do not hang together")
        for offer in offers:
            a, b = (_leader(strand[pair[0] >> 1], leader) for pair in offer.old)
            if a != b and all(pair in partners[offer.node] for pair in offer.old):
                kept = [pair for pair in partners[offer.node] if pair not in offer.old]
                partners[offer.node] = [*kept, *offer.new]
                leader[a] = b


class _Offer(NamedTuple):
    """Two pairs at a node on different strands, and the two pairs they could become."""

    turn: float
    node: int
    old: tuple[tuple[int, int], tuple[int, int]]
    new: tuple[tuple[int, int], tuple[int, int]]


def _offers(partners: Mapping[int, Pairing], turns: _Turns, strand: Sequence[int]) -> Iterator[_Offer]:
    for node, pairs in partners.items():
        if len(pairs) == 1:
            continue
        for (a, b), (c, d) in itertools.combinations(pairs, 2):
            if strand[a >> 1] == strand[c >> 1]:
                continue
            old = ((a, b), (c, d))
            (), (ba,), (ca, cb), (da, db, dc) = turns.all_between((a, b, c, d))
            before = ba + dc
            yield _Offer(ca + db - before, node, old, ((a, c), (b, d)))
            yield _Offer(da + cb - before, node, old, ((a, d), (b, c)))


def _leader(number: int, leader: Sequence[int]) -> int:
    while leader[number] != number:
        number = leader[number]
    return number


def _follow(mate: Sequence[int], first: int, back: int | None) -> Iterator[int]:
    """The ends at which the goings-over are entered, in order."""
    here = first
    while True:
        yield here
        here = mate[here ^ 1]
        if here == first or here >> 1 == back:
            return


def _legs(graph: Graph, used: Sequence[int], entered: Iterable[int]) -> tuple[Leg, ...]:
    legs: list[tuple[How, list[Point]]] = []
    done: set[int] = set()
    for end in entered:
        number = used[end >> 1]
        edge = graph.edges[number]
        line = edge.line[::-1] if end & 1 else edge.line
        how: How = "travel" if edge.kind == "seam" else "over" if number in done or not edge.required else "stitch"
        done.add(number)
        if legs and legs[-1][0] == how:
            legs[-1][1].extend(line[1:])
        else:
            legs.append((how, [*line]))
    return tuple(Leg(how, tuple(points)) for how, points in legs)
