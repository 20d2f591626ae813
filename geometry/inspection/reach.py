"""Lines that no run can reach without a jump.

Lines hang together where they meet. What may be travelled joins them too: the border seam, on an
inner border the outer seam, and the strip under the binding where runs may go there. Everything
that hangs on the border seam can be reached.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from geometry.graph import MEETING
from geometry.inspection.pieces import nearest_places

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from geometry.inspection.pieces import Meetings, Pieces
    from geometry.plane import Line, Point


class Adrift(NamedTuple):
    """Lines that hang together and on nothing else.

    Attributes:
        at: their nearest point to what can be reached.
        gap: inches between the two.
        nearest: the number of the line with that point.
        lines: the numbers of all of them.
    """

    at: Point
    gap: float
    nearest: int
    lines: frozenset[int]


def adrift(drawn: Pieces, met: Meetings, seams: Sequence[Line], others: Sequence[Line] = ()) -> list[Adrift]:
    """Groups of lines out of reach.

    Args:
        drawn: all lines.
        met: where they meet.
        seams: the border seam, in one closed line or one for each strip: a run begins on each of them.
        others: what else may be travelled.
    """
    import numpy as np
    import shapely

    if not len(drawn.line):
        return []
    roads = [*seams, *others]
    shapes = [shapely.LineString(road) for road in roads]
    road, piece = drawn.tree.query(shapes, predicate="dwithin", distance=MEETING)
    count = len(drawn.lines)
    links = {*zip(met.line.tolist(), met.other.tolist(), strict=True)}
    links |= {(count + way, line) for way, line in zip(road.tolist(), drawn.line[piece].tolist(), strict=True)}
    group = _groups(count + len(roads), links)
    home = {*group[count : count + len(seams)]}
    reached = np.array([group[number] in home for number in range(count)])[drawn.line]
    apart = np.flatnonzero(~reached)
    if not len(apart):
        return []
    travelled = [road for road, key in zip(roads, group[count:], strict=True) if key in home]
    onto = [*(drawn.lines[number] for number in drawn.line[reached].tolist()), *travelled]
    near = shapely.STRtree([*drawn.tree.geometries[reached], *map(shapely.LineString, travelled)])
    nearest: dict[int, tuple[float, int, int]] = {}
    rows, gaps = near.query_nearest(drawn.tree.geometries[apart], return_distance=True, all_matches=False)
    for index, other, gap in zip(*rows.tolist(), gaps.tolist(), strict=True):
        number = int(drawn.line[apart[index]])
        nearest[group[number]] = min(nearest.get(group[number], (math.inf, 0, 0)), (gap, number, other))
    members: dict[int, set[int]] = {}
    for line in range(count):
        members.setdefault(group[line], set()).add(line)
    found = []
    for key, (_, number, other) in nearest.items():
        at, _, gap = nearest_places(drawn.lines[number], onto[other])
        found.append(Adrift(at, gap, number, frozenset(members[key])))
    return found


def _groups(count: int, links: Iterable[tuple[int, int]]) -> list[int]:
    """For each of `count` things the number of its group, linked ones being in one."""
    leader = list(range(count))

    def find(one: int) -> int:
        while leader[one] != one:
            leader[one] = leader[leader[one]]
            one = leader[one]
        return one

    for one, other in links:
        leader[find(one)] = find(other)
    return [find(one) for one in range(count)]
