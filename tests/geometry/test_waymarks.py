"""What shows the way: numbers clear of lines, arrowheads on the line, points to leave and return."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, MultiLineString, Polygon
from shapely.geometry import Point as Spot

from geometry.plan import BorderPlan, Request, lay_out
from geometry.plane import Point, distance, flat
from geometry.waymarks import ARROW, CLEAR, EVERY, LARGEST_TYPE, Waymarks, waymarks

CORNERS = ["mitred", "large", "square"]
ORDERS = ["sections", "zigzag", "across"]
LEAST = 7 / 72
"""Inches: seven points."""


def _plan(**options: object) -> BorderPlan:
    return lay_out(Request(**{"quilt_width": 30.0, "quilt_height": 40.0, "widths": (4.0,) * 4, **options}))


def _marked(plan: BorderPlan, least: float = LEAST) -> Waymarks:
    return waymarks(plan.runs(), plan.sections, min(side.height for side in plan.border.sides), least)


@pytest.mark.parametrize("order", ORDERS)
@pytest.mark.parametrize("corner", CORNERS)
@pytest.mark.parametrize("fill", ["diamonds", "fans", "wedges", "echoes"])
def test_every_section_is_numbered_once_inside_itself_in_the_order_of_stitching(
    fill: str, corner: str, order: str
) -> None:
    """1, 2, 3, … over all runs; the number stands in the section it means."""
    plan = _plan(fill=fill, corner=corner, order=order)
    marks = _marked(plan)
    begun = [visit.section for run in plan.runs() for visit in run.visits]
    assert [number.text for number in marks.numbers] == [str(n) for n in range(1, len(begun) + 1)]
    assert sorted(begun) == sorted(one.section.name for one in plan.sections if one.fill.lines)
    places = {one.section.name: Polygon(one.section.corners) for one in plan.sections}
    assert all(places[name].contains(Spot(number.at)) for name, number in zip(begun, marks.numbers, strict=True))


@pytest.mark.parametrize("spacing", [1.0, 1.5, 2.0])
@pytest.mark.parametrize("fill", ["diamonds", "fans", "wedges", "chevrons", "crosshatch", "beadboard"])
def test_a_number_stands_clear_of_lines_wherever_there_is_room(fill: str, spacing: float) -> None:
    """Where it does not, hardly any place of its section is clear, tried on a grid of our own."""
    plan = _plan(fill=fill, spacing=spacing)
    marks = _marked(plan)
    filled = {one.section.name: one for one in plan.sections}
    crowded = 0
    for visit, number in zip((v for run in plan.runs() for v in run.visits), marks.numbers, strict=True):
        one = filled[visit.section]
        lines = MultiLineString([flat(line) for line in one.fill.lines])
        outline = Polygon(one.section.corners)
        if (
            min(lines.distance(Spot(number.at)), outline.exterior.distance(Spot(number.at)))
            >= CLEAR * marks.size - 1e-6
        ):
            continue
        crowded += 1
        left, top, right, bottom = outline.bounds
        places = [
            Spot(left + (right - left) * i / 40, top + (bottom - top) * j / 40)
            for i, j in itertools.product(range(41), repeat=2)
        ]
        clear = [
            place
            for place in places
            if outline.contains(place)
            and min(lines.distance(place), outline.exterior.distance(place)) > 1.3 * CLEAR * marks.size
        ]
        assert not clear
    assert crowded < len(marks.numbers)


@pytest.mark.parametrize("order", ORDERS)
def test_arrowheads_lie_on_the_line_and_point_the_way_it_goes(order: str) -> None:
    """Each run has some; their middles are on the run, their tips further on, and they keep apart."""
    plan = _plan(order=order)
    marks = _marked(plan)
    assert len(marks.arrows) == len(plan.runs())
    height = plan.border.sides[0].height
    for run, arrows in zip(plan.runs(), marks.arrows, strict=True):
        way = LineString(run.line)
        pieces = [pair for leg in run.course for pair in itertools.pairwise(leg.line)]
        assert arrows
        for arrow in arrows:
            assert arrow[0] == arrow[-1]
            assert Polygon(arrow).is_valid
            tip, back = arrow[0], Point((arrow[1].x + arrow[3].x) / 2, (arrow[1].y + arrow[3].y) / 2)
            assert distance(tip, back) == pytest.approx(ARROW * marks.size)
            assert max(way.distance(Spot(tip)), way.distance(Spot(back))) < 1e-9
            ahead = tip.minus(back).times(1 / distance(tip, back))
            assert any(
                ahead.x * (b.x - a.x) + ahead.y * (b.y - a.y) > (1 - 1e-9) * distance(a, b)
                and LineString([a, b]).distance(Spot(tip)) < 1e-9
                and LineString([a, b]).distance(Spot(back)) < 1e-9
                for a, b in pieces
            )
        assert len(arrows) <= way.length / (EVERY * height) + 1


@pytest.mark.parametrize("order", ORDERS)
@pytest.mark.parametrize("fill", ["fans", "meander"])
def test_curved_fills_have_arrowheads_too(fill: str, order: str) -> None:
    """In nearly every section; their middles near the curve, pointing as the needle goes there; and never close together."""
    plan = _plan(fill=fill, order=order)
    marks = _marked(plan)
    every = EVERY * plan.border.sides[0].height
    places = [Polygon(one.section.corners).buffer(-0.05) for one in plan.sections]
    found: set[int] = set()
    for run, arrows in zip(plan.runs(), marks.arrows, strict=True):
        way = LineString(run.line)
        steps = [pair for pair in itertools.pairwise(run.line) if pair[0] != pair[1]]
        assert len(arrows) <= way.length / every + 1
        for arrow in arrows:
            tip, back = arrow[0], Point((arrow[1].x + arrow[3].x) / 2, (arrow[1].y + arrow[3].y) / 2)
            middle = Spot((tip.x + back.x) / 2, (tip.y + back.y) / 2)
            assert way.distance(middle) < 0.02
            ahead = tip.minus(back).times(1 / distance(tip, back))
            near = [(a, b) for a, b in steps if LineString([a, b]).distance(middle) < 0.02]
            assert any((b.x - a.x) * ahead.x + (b.y - a.y) * ahead.y > 0.9 * distance(a, b) for a, b in near)
            found |= {number for number, place in enumerate(places) if place.contains(middle)}
    assert len(found) >= 0.75 * len(places)


@pytest.mark.parametrize("order", ORDERS)
@pytest.mark.parametrize("corner", CORNERS)
def test_runs_start_and_stop_at_points_of_the_zigzag(corner: str, order: str) -> None:
    """And that is where their dots are."""
    plan = _plan(corner=corner, order=order)
    marks = _marked(plan)
    zigzag = [point for one in plan.zigzags for point in one.line]
    assert len(marks.starts) == len(marks.stops) == {"sections": 1, "zigzag": 3, "across": 1}[order]
    for place in (*marks.starts, *marks.stops):
        assert min(distance(place, point) for point in zigzag) < 1e-6


@given(st.floats(0.6, 14), st.floats(0.01, 3))
@settings(max_examples=30, deadline=None, derandomize=True)
def test_type_is_never_smaller_than_can_be_read_nor_larger_than_needed(width: float, least: float) -> None:
    """Seven points on paper, whatever the scale; 0.8 in at the most, unless that cannot be read."""
    plan = _plan(widths=(width,) * 4, quilt_width=60.0, quilt_height=60.0, fill="none")
    size = waymarks(plan.runs(), plan.sections, plan.border.sides[0].height, least).size
    assert least <= size <= max(least, LARGEST_TYPE)


@pytest.mark.parametrize("order", ORDERS)
@pytest.mark.parametrize("fill", ["diamonds", "wedges", "fans"])
def test_no_arrowhead_lies_on_a_number(fill: str, order: str) -> None:
    """Figures are 0.68 of the type wide and 0.72 high; some arrowheads would, if nobody looked."""
    marks = _marked(_plan(fill=fill, order=order))
    words = [
        Polygon.from_bounds(at.x - 0.34 * marks.size * len(text), at.y - 0.36 * marks.size,
                            at.x + 0.34 * marks.size * len(text), at.y + 0.36 * marks.size)
        for text, at in marks.numbers
    ]  # fmt: skip
    arrows = [Polygon(arrow) for found in marks.arrows for arrow in found]
    assert len(arrows) > 20
    assert not any(arrow.intersects(word) for arrow in arrows for word in words)
