"""Lines that run too close together, told from lines that meet.

The nearest places of two straight pieces that do not cross are an end of one and a place on the
other, so every node is held against the pieces around it. Lines that lead to a common end, touch
or crossing come close there by nature; a pair of places is let off

* if the way from one to the other along the lines is no longer than it would be round a turn of
  the sharpest angle allowed;
* if the node lies on a third line that runs straight through it, for then that line is the nearer;
* if the node lies within one spacing of a corner of its section narrower than 40 degrees, where
  whatever is drawn comes close.

Lines on top of one another (within the meeting distance) are one line, stitched once.
"""

from __future__ import annotations

import bisect
import heapq
import math
from collections import Counter
from typing import TYPE_CHECKING, NamedTuple

from geometry.graph import MEETING
from geometry.inspection.drawn import Turn
from geometry.inspection.pieces import nearest_places, to_piece
from geometry.plane import Point, distance

if TYPE_CHECKING:
    from collections.abc import Sequence

    from geometry.inspection.drawn import DrawnSection
    from geometry.inspection.pieces import Meetings, Pieces

NARROW_DEG = 40.0
"""Corners narrower than this hold lines closer than the rest of the section."""

MERGING = 2.0
"""Spacings of way over which curves may run into one another, as they do where one leaves another sideways."""

MOST_PLACES = 60
"""Places where lines meet that are tried before a way is given up: by then it leads through a tangle."""

_ENDLESS = 1e9
"""So many times a gap is longer than any way."""

MOST_TOLD = 3
"""Places told of one section; the closest come first."""


class Tight(NamedTuple):
    """A place where two lines come too close.

    Attributes:
        at: the node.
        gap: inches to the other line.
        line, way: the number of the node's line, and inches along it to the node.
        other, other_way: the same of the place opposite; it may be the same line.
    """

    at: Point
    gap: float
    line: int
    way: float
    other: int
    other_way: float


def too_close(
    drawn: Pieces,
    met: Meetings,
    sections: Sequence[DrawnSection],
    owner: Sequence[int],
    least: Sequence[float],
    sharp: float,
) -> list[Tight]:
    """Places where lines come closer than they may, the closest first, at most three of a section.

    Args:
        drawn: all lines.
        met: where they meet.
        sections: the sections.
        owner: for each line the number of its section; -1 for zigzag and corner lines.
        least: for each section the least distance between its lines, inches.
        sharp: the sharpest angle allowed, degrees; at 0 lines that hang together may be as close as they like.
    """
    import numpy as np
    import shapely

    if not len(drawn.line):
        return []
    # zigzag and corner lines take the least distance of the section they are held against
    limit = np.array([*least, max(least, default=0.0)])
    limits = limit[np.array(owner, dtype=int)]
    ends = np.append(drawn.line[1:] != drawn.line[:-1], [True]) & ~drawn.closed[drawn.line]
    spots = np.concatenate([drawn.begin, drawn.end[ends]])
    line = np.concatenate([drawn.line, drawn.line[ends]])
    way = np.concatenate([drawn.way, drawn.total[drawn.line[ends]]])
    smooth = np.concatenate([drawn.smooth, np.zeros(ends.sum(), dtype=bool)])
    longest = 1 / math.sin(math.radians(sharp) / 2) if sharp > 0 else _ENDLESS
    reach = limits[line][:, None]
    node, piece = drawn.tree.query(shapely.box(*(spots - reach).T, *(spots + reach).T))
    of_node, of_piece = np.array(owner)[line[node]], np.array(owner)[drawn.line[piece]]
    keep = (of_node >= 0) | (of_piece >= 0)
    # what lies so near along the same line is let off however close it is
    keep &= (line[node] != drawn.line[piece]) | (
        drawn.along(drawn.line[piece], way[node], drawn.way[piece] + drawn.size[piece] / 2)
        > longest * MEETING - drawn.size[piece] / 2
    )
    node, piece = node[keep], piece[keep]
    allowed = np.minimum(limits[line[node]], limits[drawn.line[piece]])
    gap, share = to_piece(spots[node], drawn.begin[piece], drawn.end[piece])
    place = drawn.way[piece] + share * drawn.size[piece]
    same = line[node] == drawn.line[piece]
    beside = same & (drawn.along(drawn.line[piece], way[node], place) <= longest * gap)
    keep = (gap > MEETING) & (gap < allowed) & ~beside
    walks = _Ways(drawn, met)
    found: list[Tight] = []
    told: Counter[int] = Counter()
    places = np.flatnonzero(keep)
    for i in places[np.argsort(gap[places], kind="stable")].tolist():
        here, there = int(line[node[i]]), int(drawn.line[piece[i]])
        number = owner[here] if owner[here] >= 0 else owner[there]
        if told[number] >= MOST_TOLD:
            continue
        section = sections[number]
        most = longest * float(gap[i])
        if smooth[node[i]]:
            most = max(most, MERGING * section.spacing)
        if walks.joined(here, float(way[node[i]]), there, float(place[i]), most):
            continue
        at = Point(*map(float, spots[node[i]]))
        if walks.on_another(here, there, float(way[node[i]])) or _in_narrow_corner(section, at):
            continue
        told[number] += 1
        found.append(_exactly(drawn, Tight(at, float(gap[i]), here, float(way[node[i]]), there, float(place[i]))))
    return found


def _exactly(drawn: Pieces, tight: Tight) -> Tight:
    """The same place with its curves as they are, not cut short: the nearest lies up to a piece away on either side."""
    ends = ((tight.line, tight.way), (tight.other, tight.other_way))
    if not any(drawn.smooth[drawn.line == line].any() for line, _ in ends):
        return tight
    spans = []
    for line, way in ends:
        pieces = slice(*drawn.line.searchsorted([line, line + 1]).tolist())
        begins, sizes = drawn.way[pieces], drawn.size[pieces]
        beside = (begins <= way + MEETING) & (way <= begins + sizes + MEETING)
        total = float(drawn.total[line])
        spans.append((float(begins[beside].min()) / total, float((begins + sizes)[beside].max()) / total))
    at, _, gap = nearest_places(drawn.lines[tight.line], drawn.lines[tight.other], (spans[0], spans[1]))
    # where the two run into each other within these pieces, the node says more
    return tight._replace(at=at, gap=gap) if gap > MEETING else tight


class _Ways:
    """Ways along lines, from one to the next where they meet."""

    def __init__(self, drawn: Pieces, met: Meetings) -> None:
        """Gather for each line where it meets which other."""
        self._drawn = drawn
        self._length = drawn.total.tolist()
        self._closed = drawn.closed.tolist()
        self._met: dict[int, list[tuple[float, int, float]]] = {}
        rows = zip(met.line.tolist(), met.way.tolist(), met.other.tolist(), met.other_way.tolist(), strict=True)
        for one, one_way, other, other_way in rows:
            self._met.setdefault(one, []).append((one_way, other, other_way))
            self._met.setdefault(other, []).append((other_way, one, one_way))
        for places in self._met.values():
            places.sort()

    def _along(self, line: int, one: float, other: float) -> float:
        straight = abs(one - other)
        return min(straight, self._length[line] - straight) if self._closed[line] else straight

    def joined(self, line: int, way: float, other: int, other_way: float, most: float) -> bool:
        """Whether a way of at most so many inches leads from a place on one line to a place on another."""
        waiting = [(0.0, line, way)]
        seen: set[tuple[int, float]] = set()
        while waiting and len(seen) < MOST_PLACES:
            used, here, place = heapq.heappop(waiting)
            if (here, place) in seen:
                continue
            seen.add((here, place))
            if here == other and used + self._along(here, place, other_way) <= most:
                return True
            for leave, onto, enter in self._within(here, place, most - used):
                there = used + self._along(here, place, leave)
                if there <= most and (onto, enter) not in seen:
                    heapq.heappush(waiting, (there, onto, enter))
        return False

    def _within(self, line: int, place: float, reach: float) -> Sequence[tuple[float, int, float]]:
        """The meetings of a line within reach of a place on it; of a closed line all."""
        met = self._met.get(line, [])
        if self._closed[line]:
            return met
        return met[bisect.bisect_left(met, (place - reach,)) : bisect.bisect_right(met, (place + reach, math.inf))]

    def on_another(self, line: int, other: int, way: float) -> bool:
        """Whether a third line, neither of the two, runs straight through a place on a line."""
        for leave, onto, enter in self._met.get(line, ()):
            if onto in {line, other} or self._along(line, way, leave) > MEETING:
                continue
            if MEETING < enter < self._length[onto] - MEETING and self._straight_at(onto, enter):
                return True
        return False

    def _straight_at(self, line: int, way: float) -> bool:
        """Whether no node of a line lies at a place on it."""
        first, after = (int(self._drawn.line.searchsorted(line, side)) for side in ("left", "right"))
        begins = self._drawn.way[first:after]
        near = abs(begins - way) <= MEETING
        return not bool((near & ~self._drawn.smooth[first:after]).any())


def _in_narrow_corner(section: DrawnSection, at: Point) -> bool:
    corners = section.corners
    around = zip([corners[-1], *corners], corners, [*corners[1:], corners[0]], strict=False)
    return any(
        distance(at, corner) <= section.spacing and Turn(corner, before, after).degrees < NARROW_DEG
        for before, corner, after in around
    )
