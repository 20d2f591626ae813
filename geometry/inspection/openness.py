"""The largest circle without a line in each section: how far the batting is left unquilted.

Batting makers give the largest open area, not the distance of parallel lines, so that is what is
measured. The section's own sides count as lines. A square is cut into quarters as long as it may
hold the middle of a circle larger than the largest found so far: the distance to the nearest line
changes by no more than the way one goes, so a square whose middle is d from it holds none larger
than d plus half its diagonal.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from geometry.inspection.outside import region
from geometry.plane import Point

if TYPE_CHECKING:
    from collections.abc import Sequence

    from geometry.inspection.pieces import Floats, Pieces, Whole
    from geometry.plane import Line

CLOSE_ENOUGH = 0.0015
"""Inches by which a circle found may be smaller in radius than the largest: with curves cut short by at most `FLATNESS`
the diameter is right to 0.01 in."""


class Circle(NamedTuple):
    """A circle that no line crosses: its centre, and inches across."""

    at: Point
    across: float


def largest_circles(
    regions: Sequence[Line], drawn: Pieces, wider_than: Sequence[float] | None = None
) -> list[Circle | None]:
    """The largest open circle of each region.

    Args:
        regions: corners of each, none repeated; they may bend inwards.
        drawn: the lines, of all regions.
        wider_than: inches across for each region; a region whose largest circle is no wider gives None, and is dealt
            with quickly. Without it the largest is found everywhere.

    Returns:
        Circles right to 0.01 in, never too large by more than the flattening of curves.
    """
    import numpy as np
    import shapely

    if not regions:
        return []
    search = _Search(regions, drawn)
    count = len(regions)
    floor = np.zeros(count) if wider_than is None else np.asarray(wider_than, dtype=float) / 2
    box = np.array([shapely.bounds(polygon) for polygon in search.polygons])
    middle, half = (box[:, :2] + box[:, 2:]) / 2, (box[:, 2:] - box[:, :2]).max(axis=1) / 2
    number = np.arange(count)
    radius, centre = np.full(count, -np.inf), np.zeros((count, 2))
    while len(number):
        room = search.room(middle, number)
        # the last of the cells sorted by room is the roomiest of its region
        order = np.lexsort((room, number))
        last = order[np.append(number[order][1:] != number[order][:-1], [True])]
        better = last[room[last] > radius[number[last]]]
        radius[number[better]], centre[number[better]] = room[better], middle[better]
        most = room + half * math.sqrt(2)
        kept = most > np.maximum(radius + CLOSE_ENOUGH, floor)[number]
        number, half = np.repeat(number[kept], 4), np.repeat(half[kept] / 2, 4)
        quarters = np.tile([(-1.0, -1.0), (-1.0, 1.0), (1.0, -1.0), (1.0, 1.0)], (int(kept.sum()), 1))
        middle = np.repeat(middle[kept], 4, axis=0) + quarters * half[:, None]
    return [
        Circle(Point(float(x), float(y)), 2 * float(r)) if r > least else None
        for (x, y), r, least in zip(centre, radius, floor, strict=True)
    ]


class _Search:
    """Regions and lines made ready for many questions."""

    def __init__(self, regions: Sequence[Line], drawn: Pieces) -> None:
        """Take the regions' sides and all lines as what a circle may not cross."""
        import numpy as np
        import shapely

        self.polygons = np.array([region(corners).polygon for corners in regions])
        sides = [
            (start, end) for corners in regions for start, end in zip(corners, [*corners[1:], corners[0]], strict=True)
        ]
        walls = shapely.STRtree(shapely.linestrings(np.array(sides)))
        self._walls = [walls, drawn.tree] if len(drawn.line) else [walls]

    def room(self, places: Floats, number: Whole) -> Floats:
        """Inches from places to the nearest line; outside the region of that number the inches to it, negative."""
        import numpy as np
        import shapely

        points = shapely.points(places)
        gaps = [tree.query_nearest(points, return_distance=True, all_matches=False)[1] for tree in self._walls]
        outside = ~shapely.contains_xy(self.polygons[number], places[:, 0], places[:, 1])
        room: Floats = np.min(np.array(gaps, dtype=float), axis=0)
        room[outside] = -shapely.distance(self.polygons[number[outside]], points[outside])
        return room
