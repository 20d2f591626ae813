"""Knots of thread: more lines at one point than fabric and needle like."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from geometry.graph import MEETING
from geometry.plane import Point

if TYPE_CHECKING:
    from geometry.inspection.pieces import Floats, Meetings, Pieces, Whole


class Knot(NamedTuple):
    """A point, how many lines lead away from it, and the numbers of the lines."""

    at: Point
    leading_away: int
    lines: frozenset[int]


def knots(drawn: Pieces, met: Meetings, most: int) -> list[Knot]:
    """Points from which more than `most` lines lead away; a line that runs through a point leads away twice.

    Points within the meeting distance of one another are one point; the one with most lines stands for them.
    """
    import numpy as np
    import shapely

    if not len(met.line):
        return []
    spots = np.unique(np.round(met.at, 3), axis=0)
    spot, piece = drawn.tree.query(shapely.points(spots), predicate="dwithin", distance=MEETING)
    counts = _leading_away(drawn, spots, spot, piece)
    found: list[Knot] = []
    for i in sorted(np.flatnonzero(counts > most).tolist(), key=lambda i: -counts[i]):
        at = Point(*map(float, spots[i]))
        if all(np.hypot(at.x - knot.at.x, at.y - knot.at.y) > 2 * MEETING for knot in found):
            found.append(Knot(at, int(counts[i]), frozenset(drawn.line[piece[spot == i]].tolist())))
    return found


def _leading_away(drawn: Pieces, spots: Floats, spot: Whole, piece: Whole) -> Whole:
    """For each spot how many lines lead away from it.

    Pieces of a line that follow one another past a spot are one way through it, which leads away twice; once less for
    each end of an open line that lies there.
    """
    import numpy as np

    order = np.lexsort((piece, spot))
    spot, piece = spot[order], piece[order]
    line = drawn.line[piece]
    goes_on = (spot[1:] == spot[:-1]) & (line[1:] == line[:-1]) & (piece[1:] == piece[:-1] + 1)
    begins = np.concatenate([[True], ~goes_on])[: len(spot)]
    counts = 2 * np.bincount(spot[begins], minlength=len(spots))
    first = np.concatenate([[True], drawn.line[1:] != drawn.line[:-1]])
    last = np.concatenate([drawn.line[1:] != drawn.line[:-1], [True]])
    for is_end, tip in ((first, drawn.begin), (last, drawn.end)):
        at_tip = is_end[piece] & (np.hypot(*(tip[piece] - spots[spot]).T) <= MEETING)
        counts -= np.bincount(spot[at_tip], minlength=len(spots))
    return counts
