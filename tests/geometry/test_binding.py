"""Under the binding: which lines run on, where to, and the roads there."""

from __future__ import annotations

import math

import pytest
from shapely.geometry import LineString, MultiLineString
from shapely.geometry import Point as Dot

from geometry.binding import roads, run_on
from geometry.graph import build
from geometry.needle import Needle
from geometry.plan import Request, lay_out
from geometry.plane import Curve, Line, Point

BASE = (Point(0.0, 0.0), Point(12.0, 0.0))
TIP = Point(6.0, 6.0)
REACH = 0.2


def _line(*points: tuple[float, float]) -> Line:
    return tuple(Point(*point) for point in points)


def _places(line: Line) -> list[list[float]]:
    return [[round(x, 9) + 0.0, round(y, 9) + 0.0] for x, y in line]


def test_a_line_runs_straight_on_to_the_road() -> None:
    """Both ends; a straight piece stays one piece."""
    (line,) = run_on([_line((3, 0), (6, 3), (9, 0))], BASE, TIP, REACH)
    assert _places(line) == [[2.8, -0.2], [6, 3], [9.2, -0.2]]


def test_a_line_that_comes_in_too_flat_goes_square_across() -> None:
    """Under 30° it would run on for more than the whole room for the binding."""
    (line,) = run_on([_line((3, 0), (9, 2))], BASE, TIP, REACH)
    assert _places(line) == [[3, -0.2], [3, 0], [9, 2]]
    (line,) = run_on(
        [_line((3, 0), (3 + 2 * math.cos(math.radians(31)), 2 * math.sin(math.radians(31))))], BASE, TIP, REACH
    )
    assert len(line) == 2


def test_a_line_that_would_leave_beside_its_section_goes_square_across() -> None:
    """Beyond the end of the base lies the next section."""
    (line,) = run_on([_line((0.1, 0), (3, 2.9))], BASE, TIP, REACH)
    assert _places(line)[:2] == [[0.1, -0.2], [0.1, 0]]


def test_a_curve_stays_a_curve() -> None:
    """One more Bézier, straight on."""
    arc = Curve((Point(5.0, 3.0), Point(4.0, 2.5), Point(3.5, 1.5), Point(3.5, 0.0)))
    (line,) = run_on([arc], BASE, TIP, REACH)
    assert isinstance(line, Curve)
    assert line[:4] == arc
    assert line[-1] == pytest.approx((3.5, -0.2))


@pytest.mark.parametrize(
    "lines",
    [
        [_line((3, 0), (6, 3), (9, 1), (3, 0))],
        [_line((0, 0), (6, 3), (12, 0))],
        [_line((5, 1), (6, 2))],
        [_line((4, 1), (5, 0)), _line((5, 0), (6, 1))],
        [_line((4, 1), (5, 0), (6, 1)), _line((5, 0), (5, 1))],
    ],
    ids=["closed", "from corner to corner", "short of the base", "one goes on from the other", "ends in a turn"],
)
def test_a_line_that_does_not_end_open_on_the_base_stays_as_it_is(lines: list[Line]) -> None:
    """It needs no way on; the ends of the base belong to the zigzag."""
    assert run_on(lines, BASE, TIP, REACH) == tuple(lines)


def test_the_road_lies_beside_the_base_and_every_turn_leads_to_it() -> None:
    """Down from either end of the base, along, and down from a turn on it; lines that run on need no way."""
    lines = run_on([_line((3, 0), (6, 3), (9, 0)), _line((4, 1), (5, 0), (6, 1))], BASE, TIP, REACH)
    found = [_places(road) for road in roads(lines, BASE, TIP, REACH)]
    assert found == [[[0, 0], [0, -0.2], [12, -0.2], [12, 0]], [[5, 0], [5, -0.2]]]
    graph = build(lines, [("seam", tuple(Point(*spot) for spot in road)) for road in found])
    assert graph.node_at(Point(2.8, -0.2)) is not None


def test_the_road_turns_a_bent_base_s_corner() -> None:
    """A large corner: halfway in the room on either side, so to the corner of both."""
    base = _line((0, 6), (6, 6), (6, 0))
    (road,) = roads([], base, Point(1.0, 1.0), REACH)
    assert _places(road) == [[0, 6], [0, 6.2], [6.2, 6.2], [6.2, 0], [6, 0]]


def test_under_a_narrow_binding_too_the_needle_comes_round_every_corner() -> None:
    """1/16 in is the least."""
    for corner in ("mitred", "large", "square"):
        plan = lay_out(Request(40, 48, (4.0,) * 4, fill="wedges", corner=corner, binding=1 / 16, under=True))  # type: ignore[arg-type]
        assert not any(run.unreached for run in plan.runs())


@pytest.mark.parametrize("fill", ["wedges", "chevrons", "beadboard", "fans"])
def test_without_the_road_those_lines_could_not_be_reached(fill: str) -> None:
    """So it is the road that joins them."""
    plan = lay_out(Request(40, 48, (4.0,) * 4, fill=fill, under=True))
    outer = next(filled for filled in plan.sections if filled.section.base == "outer")
    corner = outer.section.tip
    for under, reached in ((0.0, False), (plan.request.reach, True)):
        needle = Needle(outer_seam=False, travel=0.5, under=under)
        needle.fill(outer, corner, corner)
        assert (not needle.done("one").unreached) == reached


def test_lines_hidden_under_the_binding_are_measured() -> None:
    """What each section reports is what shapely finds beyond the stop line."""
    plan = lay_out(Request(40, 48, (4.0,) * 4, fill="beadboard", under=True))
    stop = MultiLineString([[*plan.border.stop_line, plan.border.stop_line[0]]]).convex_hull
    for filled in plan.sections:
        beyond = sum(LineString(line).difference(stop).length for line in filled.fill.lines)
        assert filled.fill.hidden == pytest.approx(beyond, abs=1e-6)
        assert (filled.fill.hidden > 0) == (filled.section.base != "inner")
        for line in filled.fill.lines:
            ends = [Dot(line[0]), Dot(line[-1])]
            if filled.fill.hidden:
                assert all(stop.exterior.distance(end) == pytest.approx(0.375 / 2) for end in ends)
