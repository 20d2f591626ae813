"""A section drawn by hand with two thousand crossings and more: everything once, and the least that is stitched over."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

import pytest
from shapely import LineString, STRtree, get_coordinates, points, segmentize, union_all

from geometry.plane import Point, distance, length_of
from geometry.route import TRAVEL, route
from geometry.trail import measured

if TYPE_CHECKING:
    from geometry.graph import Kind
    from geometry.plane import Line

LEFT, RIGHT, TIP = Point(0.0, 0.0), Point(24.0, 0.0), Point(12.0, 12.0)
ROADS: list[tuple[Kind, Line]] = [("stitched", (LEFT, TIP)), ("stitched", (TIP, RIGHT)), ("seam", (LEFT, RIGHT))]


def _crossings(lines: list[Line]) -> int:
    """Places where stretches cross, as shapely nodes them: four ends meet there."""
    ends: dict[tuple[float, float], int] = {}
    for piece in union_all([LineString(line) for line in lines], grid_size=1e-6).geoms:
        for spot in (piece.coords[0], piece.coords[-1]):
            ends[spot] = ends.get(spot, 0) + 1
    return sum(count >= 4 for count in ends.values())


def _farthest(lines: list[Line], others: list[Line]) -> float:
    """Inches from the others to that place of the lines, looked at every twentieth of an inch, which is farthest from them."""
    tree = STRtree([LineString(pair) for line in others for pair in itertools.pairwise(line) if pair[0] != pair[1]])
    places = points(get_coordinates(segmentize([LineString(line) for line in lines], 0.05)))
    _, gaps = tree.query_nearest(places, return_distance=True, all_matches=False)
    return float(gaps.max())


@pytest.mark.parametrize("leave", [RIGHT, LEFT])
def test_every_line_is_stitched_once_and_what_is_added_is_the_least(tangle: list[Line], leave: Point) -> None:
    """New stitching covers all lines, no more; the way hangs together; length is lines, stitched over and travel."""
    assert _crossings(tangle) >= 2000
    found = route(tangle, ROADS, RIGHT, leave)
    assert not found.unreached
    new = [leg.line for leg in found.legs if leg.how == "stitch"]
    assert _farthest(tangle, new) < 0.02
    assert _farthest(new, tangle) < 0.02
    # where lines cross at a slant, stretches nearer than lines that meet are one
    assert 0.985 <= measured(found.legs, "stitch") / sum(map(length_of, tangle)) <= 1.001
    assert distance(found.legs[0].line[0], RIGHT) < 0.02
    assert distance(found.legs[-1].line[-1], leave) < 0.02
    assert all(one.line[-1] == other.line[0] for one, other in itertools.pairwise(found.legs))
    over, travel = measured(found.legs, "over"), measured(found.legs, "travel")
    assert found.extra == pytest.approx(over + TRAVEL * travel)
    assert found.bound - 1e-9 <= found.extra <= 1.05 * found.bound + 1e-9
