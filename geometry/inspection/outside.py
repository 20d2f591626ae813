"""How far a line leaves a region, and where it is farthest out."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, NamedTuple

from geometry.inspection.drawn import HAIR
from geometry.inspection.pieces import CLOSELY
from geometry.plane import Curve, Line, Point, cross, distance, flat

if TYPE_CHECKING:
    from collections.abc import Sequence

    from geometry.inspection.pieces import Floats

STEP = 0.01
"""Inches between the points looked at where a region has an inward corner, so that the farthest may lie between nodes."""

KINK = math.radians(5)
"""A line that bends by less than this at a point runs on without a turn."""


class Excursion(NamedTuple):
    """One time that a line leaves a region: its point farthest out, and how far out that is."""

    at: Point
    amount: float


class Region(NamedTuple):
    """A closed region made ready for many questions.

    Attributes:
        polygon: the region itself.
        wide: the same, a hair wider all round.
        bulging: it has no inward corner, so a straight piece is nowhere farther out than at one of its ends.
    """

    polygon: Any
    wide: Any
    bulging: bool


def region(corners: Sequence[Point], inset: float = 0.0) -> Region:
    """The region of some corners, all sides moved inwards by `inset`; mended where its outline crosses itself."""
    import shapely

    polygon = shapely.Polygon(corners)
    polygon = polygon if polygon.is_valid else polygon.buffer(0)
    return prepared(polygon.buffer(-inset, join_style="mitre", mitre_limit=100.0) if inset else polygon)


def prepared(polygon: Any) -> Region:
    """A polygon made ready."""
    import shapely

    wide = polygon.buffer(HAIR)
    shapely.prepare([polygon, wide])
    hull = polygon.convex_hull.area
    return Region(polygon, wide, polygon.area >= hull * (1 - 1e-9))


def excursions(
    line: Line, within: Region, *, ends_may_leave: bool = False, short: Floats | None = None
) -> list[Excursion]:
    """Each time a line leaves a region by more than a hair.

    Args:
        line: straight or curved.
        within: the region.
        ends_may_leave: an end that runs straight out, without a turn, is left out.
        short: the line with its curves cut short, if that is known.
    """
    import shapely

    if len(line) < 2 or shapely.covers(within.wide, shapely.LineString(flat(line) if short is None else short)):  # noqa: PLR2004
        return []
    points = line.flat(CLOSELY) if isinstance(line, Curve) else line
    out = shapely.difference(shapely.LineString(points), within.polygon)
    out = shapely.line_merge(out) if out.geom_type == "MultiLineString" else out
    found = []
    for part in shapely.get_parts(out):
        places = shapely.get_coordinates(part if within.bulging else shapely.segmentize(part, STEP))
        gaps = shapely.distance(shapely.points(places), within.polygon)
        worst = gaps.argmax()
        if gaps[worst] <= HAIR:
            continue
        if ends_may_leave and _runs_off([Point(*place) for place in shapely.get_coordinates(part).tolist()], line):
            continue
        found.append(Excursion(Point(*places[worst].tolist()), float(gaps[worst])))
    return found


def _runs_off(part: Sequence[Point], line: Line) -> bool:
    """Whether a part outside is an end of an open line that runs on without a turn."""
    first, last = line[0], line[-1]
    if distance(first, last) <= HAIR:
        return False
    at_end = any(distance(end, tail) <= CLOSELY for end in (first, last) for tail in (part[0], part[-1]))
    return at_end and not any(_bend(*three) > KINK for three in zip(part, part[1:], part[2:], strict=False))


def _bend(before: Point, here: Point, after: Point) -> float:
    """Radians by which a line turns at a point: 0 straight on."""
    one, two = here.minus(before), after.minus(here)
    return abs(math.atan2(cross(one, two), one.x * two.x + one.y * two.y))
