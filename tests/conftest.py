"""For all tests: how long an example takes says nothing about whether it is right; and how lines are spaced, measured."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import pytest
import shapely
from hypothesis import settings

from geometry.plane import Curve, distance, flat

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from geometry.fills.shape import FilledSection
    from geometry.plane import Line, Point

settings.register_profile("house", deadline=None)
settings.load_profile("house")

CLOSE = 0.03
"""Inches from one sample of a line to the next. A circle that touches no sample can reach over a line between two of them
by at most CLOSE squared over four times its diameter: diameters above 0.2 in are right to 0.002 in."""

MEETING = 1e-3
"""Inches within which two lines meet."""

NARROW = math.radians(40)


class Spaces(NamedTuple):
    """How the lines of a section are spaced, all in spacings as used.

    Attributes:
        across: diameter of the largest circle inside the section that no side and no line crosses.
        apart: least distance of two pieces of line, or of one and a diagonal, that share no end and do not meet, farther
            than a spacing from any corner under 40 degrees; at most 1 is told.
        narrow: whether the section has such a corner.
    """

    across: float
    apart: float
    narrow: bool


@pytest.fixture(scope="session")
def spaces() -> Callable[[FilledSection], Spaces]:
    """Measure a filled section, by means of its own: Voronoi's diagram of SciPy, distances of shapely."""

    def measure(filled: FilledSection) -> Spaces:
        lines, spacing = filled.fill.lines, filled.fill.spacing
        corners = list(filled.section.corners)
        narrow = [corner for corner, angle in zip(corners, _angles(corners), strict=True) if angle < NARROW - 1e-9]
        return Spaces(
            _largest_circle(corners, lines) / spacing, _least_distance(filled, narrow) / spacing, bool(narrow)
        )

    return measure


def _angles(corners: list[Point]) -> list[float]:
    """The angles of an outline between its sides, below 180 degrees."""
    around = zip(corners[-1:] + corners[:-1], corners, corners[1:] + corners[:1], strict=True)
    steps = (((a.x - b.x, a.y - b.y), (c.x - b.x, c.y - b.y)) for a, b, c in around)
    return [abs(math.atan2(u[0] * v[1] - u[1] * v[0], u[0] * v[0] + u[1] * v[1])) for u, v in steps]


def _largest_circle(corners: list[Point], lines: tuple[Line, ...]) -> float:
    """Diameter of the largest circle; its centre is a corner of the Voronoi diagram of samples of sides and lines."""
    from scipy.spatial import Voronoi, cKDTree  # noqa: PLC0415 - loaded by the few tests that measure

    section = shapely.Polygon(corners)
    rows = [section.exterior, *(shapely.LineString(flat(line)) for line in lines)]
    samples = np.concatenate([np.asarray(shapely.segmentize(row, CLOSE).coords) for row in rows])
    # points in line with each other have no diagram: shaken by far less than a stitch
    samples += np.random.default_rng(0).normal(0, 1e-7, samples.shape)
    centres = Voronoi(samples).vertices
    centres = centres[shapely.contains_xy(section, centres[:, 0], centres[:, 1])]
    return 2 * float(cKDTree(samples).query(centres)[0].max())


def _least_distance(filled: FilledSection, narrow: list[Point]) -> float:
    """Inches between the nearest pieces of line that do not meet, at most one spacing."""
    section, spacing = filled.section, filled.fill.spacing
    pieces = [piece for line in filled.fill.lines for piece in _pieces(line)]
    diagonals = [(section.left, section.tip), (section.tip, section.right)]
    shapes = np.array([shapely.LineString(piece) for piece in (*pieces, *diagonals)])
    one, other = shapely.STRtree(shapes).query(shapes, predicate="dwithin", distance=spacing)
    kept = (one < other) & (one < len(pieces))
    one, other = one[kept], other[kept]
    kept = shapely.distance(shapes[one], shapes[other]) > MEETING
    if narrow:
        shapes = shapely.difference(shapes, shapely.union_all([shapely.Point(c).buffer(spacing, 64) for c in narrow]))
    apart = shapely.distance(shapes[one[kept]], shapes[other[kept]])
    return float(min(spacing, np.nanmin(apart, initial=spacing)))


def _pieces(line: Line) -> Iterator[tuple[Point, ...]]:
    """Straight pieces, each as long as the line goes straight on, or the Béziers of a curve."""
    if isinstance(line, Curve):
        yield from (Curve(line[i : i + 4]).flat() for i in range(0, len(line) - 1, 3))
        return
    points = [line[0]]
    for here, after in itertools.pairwise(line):
        if len(points) > 1:
            came, goes = here.minus(points[-2]), after.minus(here)
            if abs(came.x * goes.y - came.y * goes.x) < 1e-6 * math.hypot(*came) * math.hypot(*goes):
                points.pop()
        if distance(points[-1], after) > MEETING:
            points.append(after)
    yield from itertools.pairwise(points)
