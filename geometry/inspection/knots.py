"""Knots of thread: more lines at one point than fabric and needle like."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from geometry.graph import MEETING
from geometry.inspection.pieces import to_piece
from geometry.plane import Point, distance

if TYPE_CHECKING:
    from geometry.inspection.pieces import Meetings, Pieces, Whole


LOOKS = (0.1, 0.3)
"""Inches along two lines at which it is asked whether one lies on the other: 7 degrees apart they have parted by then."""


MOST_LOOKED = 500
"""Spots looked at, those where most pieces come together first; a border as drawn has fewer."""


class Knot(NamedTuple):
    """A point, how many lines lead away from it, and the numbers of the lines."""

    at: Point
    leading_away: int
    lines: frozenset[int]


def knots(drawn: Pieces, met: Meetings, most: int) -> list[Knot]:
    """Points from which more than `most` lines lead away; a line that runs through a point leads away twice.

    Points within the meeting distance of one another are one point; the one with most lines stands for them. Lines on
    top of one another are one line, stitched once.
    """
    import numpy as np
    import shapely

    if not len(met.line):
        return []
    spots = np.unique(np.round(met.at, 3), axis=0)
    spot, piece = drawn.tree.query(shapely.points(spots), predicate="dwithin", distance=MEETING)
    found: list[Knot] = []
    counted = []
    # no more ways lead away than twice the pieces, so most spots need no further look
    pieces = np.bincount(spot, minlength=len(spots))
    order = np.argsort(spot, kind="stable")
    after = np.cumsum(pieces)
    candidates = np.flatnonzero(2 * pieces > most)
    for i in candidates[np.argsort(-pieces[candidates], kind="stable")][:MOST_LOOKED].tolist():
        at = Point(*map(float, spots[i]))
        ways = _ways_from(drawn, at, np.sort(piece[order[after[i] - pieces[i] : after[i]]]))
        if len(ways) > most:
            counted.append((at, ways))
    for at, ways in sorted(counted, key=lambda row: -len(row[1])):
        if all(distance(at, knot.at) > 2 * MEETING for knot in found):
            found.append(Knot(at, len(ways), frozenset(way.line for way in ways)))
    return found


class _Way(NamedTuple):
    """A way that leads away from a spot along a line, from a place on it, up (1) or down (-1), for so many inches."""

    line: int
    start: float
    sense: int
    room: float


def _ways_from(drawn: Pieces, at: Point, near: Whole) -> list[_Way]:
    """The ways that lead away from a spot along the pieces near it, one of those on top of one another."""
    import numpy as np

    _, share = to_piece(np.repeat([at], len(near), axis=0), drawn.begin[near], drawn.end[near])
    starts = (drawn.way[near] + share * drawn.size[near]).tolist()
    lines = drawn.line[near].tolist()
    found: list[_Way] = []
    for k, (line, start) in enumerate(zip(lines, starts, strict=True)):
        if k and lines[k - 1] == line and near[k] == near[k - 1] + 1:
            continue  # the same way through, past a node
        total, closed = float(drawn.total[line]), bool(drawn.closed[line])
        for sense, room in ((1, total - start), (-1, start)):
            way = _Way(line, start, sense, total if closed else room)
            if way.room > MEETING and not any(_on_top(drawn, way, other) for other in found):
                found.append(way)
    return found


def _on_top(drawn: Pieces, one: _Way, other: _Way) -> bool:
    """Whether two ways from the same spot are one, as far as they are looked at."""
    looks = {min(look, one.room, other.room) for look in LOOKS}
    return all(distance(_place(drawn, one, look), _place(drawn, other, look)) <= MEETING for look in looks)


def _place(drawn: Pieces, way: _Way, look: float) -> Point:
    first, after = drawn.line.searchsorted([way.line, way.line + 1]).tolist()
    along = way.start + way.sense * look
    if drawn.closed[way.line]:
        along %= drawn.total[way.line]
    piece = first + max(int(drawn.way[first:after].searchsorted(along, side="right")) - 1, 0)
    share = (along - drawn.way[piece]) / drawn.size[piece]
    step = drawn.end[piece] - drawn.begin[piece]
    return Point(*(drawn.begin[piece] + share * step).tolist())
