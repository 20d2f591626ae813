"""The largest open circle against a Voronoi computation, and against every place tried."""

from __future__ import annotations

import math
from random import Random

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import Voronoi

from geometry.inspection.openness import largest_circles
from geometry.inspection.pieces import pieces
from geometry.plane import Curve, Line, Point

TRIANGLE = (Point(0, 0), Point(7, 0), Point(3, 3.6))
BENT = (Point(0, 4), Point(4, 0), Point(9, 0), Point(9, 5))
HOLLOW = (Point(0, 0), Point(6, 0), Point(6, 5), Point(3, 1.5))
FINE = 0.01
"""Inches between the points that stand for a line in the Voronoi computation."""


def _by_voronoi(region: Line, lines: list[Line]) -> float:
    """Radius of the largest circle with its centre in the region that no line crosses: its centre is a Voronoi vertex.

    Lines stand as rows of points; the vertices are then held against the true lines.
    """
    polygon = shapely.Polygon(region)
    shapes = [polygon.exterior, *(shapely.LineString(_fine(line)) for line in lines)]
    dots = np.unique(np.concatenate([shapely.get_coordinates(shapely.segmentize(one, FINE)) for one in shapes]), axis=0)
    vertices = Voronoi(dots).vertices
    inside = vertices[shapely.contains_xy(polygon, *vertices.T)]
    return float(shapely.distance(shapely.points(inside), shapely.union_all(shapes)).max())


def _fine(line: Line) -> Line:
    return line.flat(1e-5) if isinstance(line, Curve) else line


def _scattered(random: Random, count: int, *, curved: bool) -> list[Line]:
    def spot() -> Point:
        return Point(random.uniform(-1, 8), random.uniform(-1, 5))

    return [
        Curve(spot() for _ in range(4))
        if curved and random.random() < 0.5
        else tuple(spot() for _ in range(random.choice([2, 2, 3])))
        for _ in range(count)
    ]


@pytest.mark.parametrize("region", [TRIANGLE, BENT, HOLLOW], ids=["triangle", "bent corner", "hollow corner"])
@pytest.mark.parametrize("seed", range(12))
def test_the_circle_is_the_one_voronoi_finds(seed: int, region: Line) -> None:
    """On random lines, straight and curved; right to 0.01 in across, its centre as far from all lines as it says."""
    lines = _scattered(Random(seed), seed, curved=bool(seed % 2))
    (circle,) = largest_circles([region], pieces(lines))
    assert circle is not None
    assert circle.across == pytest.approx(2 * _by_voronoi(region, lines), abs=0.01)
    shapes = [shapely.Polygon(region).exterior, *(shapely.LineString(_fine(line)) for line in lines)]
    assert shapely.union_all(shapes).distance(shapely.Point(circle.at)) == pytest.approx(circle.across / 2, abs=0.004)
    assert shapely.Polygon(region).contains(shapely.Point(circle.at))


@given(st.integers(0, 10**6), st.integers(0, 6))
@settings(max_examples=60)
def test_no_place_has_more_room_than_the_circle(seed: int, count: int) -> None:
    """Tried at random; and none is told where the largest is no wider than what is allowed."""
    random = Random(seed)
    lines = _scattered(random, count, curved=True)
    drawn = pieces(lines)
    (circle,) = largest_circles([TRIANGLE], drawn)
    assert circle is not None
    polygon = shapely.Polygon(TRIANGLE)
    walls = shapely.union_all([polygon.exterior, *(shapely.LineString(_fine(line)) for line in lines)])
    places = [shapely.Point(random.uniform(0, 7), random.uniform(0, 3.6)) for _ in range(200)]
    assert all(walls.distance(p) <= circle.across / 2 + 0.005 for p in places if polygon.contains(p))
    allowed = circle.across + 0.01
    assert largest_circles([TRIANGLE], drawn, [allowed]) == [None]
    (again,) = largest_circles([TRIANGLE], drawn, [circle.across - 0.05])
    assert again is not None
    assert again.across == pytest.approx(circle.across, abs=0.004)


def test_many_regions_are_searched_together_as_each_by_itself() -> None:
    """A row of triangles with lines of their own."""
    random = Random(7)
    regions = [tuple(Point(point.x + 8 * i, point.y) for point in TRIANGLE) for i in range(6)]
    lines = [
        tuple(Point(point.x + 8 * i, point.y) for point in line)
        for i in range(6)
        for line in _scattered(random, 3, curved=False)
    ]
    drawn = pieces(lines)
    together = largest_circles(regions, drawn)
    alone = [largest_circles([region], drawn)[0] for region in regions]
    assert [math.isclose(a.across, b.across, abs_tol=0.004) for a, b in zip(together, alone, strict=True)] == [True] * 6
