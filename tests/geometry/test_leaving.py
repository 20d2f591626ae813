"""Leave-and-return points: on whatever outline, near every so many inches, level on both flanks."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import STRtree
from shapely.geometry import LinearRing, LineString, Polygon
from shapely.geometry import Point as Spot

from geometry.errors import OptionError
from geometry.leaving import leave_points
from geometry.plan import BorderPlan, Request, lay_out
from geometry.plane import Point

CORNERS = ["mitred", "large", "square"]


def _plan(**options: object) -> BorderPlan:
    return lay_out(Request(**{"quilt_width": 30.0, "quilt_height": 40.0, "widths": (4.0,) * 4, **options}))


def _cost(pair: tuple[Point, Point], height: float) -> float:
    return sum(abs(dot.y - height) for dot in pair) + 2 * abs(pair[0].y - pair[1].y)


@given(
    st.floats(20, 100),
    st.floats(20, 100),
    st.tuples(*[st.floats(2, 6)] * 4),
    st.floats(1, 40),
    st.sampled_from(CORNERS),
)
@settings(max_examples=60, deadline=None, derandomize=True)
def test_leave_points_are_the_dots_nearest_to_every_so_many_inches(
    wide: float, high: float, widths: tuple[float, float, float, float], every: float, corner: str
) -> None:
    """A pair for each step, one dot on either side, as near to the height and as level as any two: tried all."""
    plan = _plan(quilt_width=wide, quilt_height=high, widths=widths, fill="none", corner=corner)
    top, bottom = widths[0], high - widths[2]
    if every >= bottom - top:
        with pytest.raises(OptionError, match=r"every .* less than the side, .*: please give"):
            leave_points(plan.border, plan.zigzags, every)
        return
    found = leave_points(plan.border, plan.zigzags, every)
    left, right = plan.zigzags[3].dots, plan.zigzags[1].dots
    assert len(set(found)) == len(found)
    assert set(found) <= {*left, *right}
    step = 1
    while top + step * every < bottom - 1e-9:
        height = top + step * every
        best = min(_cost(pair, height) for pair in itertools.product(left, right))
        mine = min(_cost(pair, height) for pair in itertools.product(set(left) & {*found}, set(right) & {*found}))
        assert mine == pytest.approx(best, abs=1e-9)
        step += 1


@pytest.mark.parametrize("every", [-1.0, 0.0, 1e-9, 0.5, 32.0, 1000.0])
def test_leave_points_that_cannot_be_had_are_refused(every: float) -> None:
    """No length, hardly any, or as long as the side: one sentence with the numbers."""
    plan = _plan(fill="none")
    with pytest.raises(OptionError, match=r"^Leave-and-return .*; it must be .*: please give a length such as 18\.$"):
        leave_points(plan.border, plan.zigzags, every)


def test_on_an_even_border_both_points_of_a_pair_are_level() -> None:
    """30 by 40 with 4 in: the seam is 32 high and its dots 8 apart, so 18 down is the one at 16."""
    plan = _plan(size="repeat", repeat=8.0)
    found = leave_points(plan.border, plan.zigzags, 18)
    assert sorted(found) == [Point(4, 20), Point(26, 20)]


def _outline(*corners: tuple[float, float]) -> tuple[Point, ...]:
    return tuple(Point(float(x), float(y)) for x, y in corners)


OUTLINES: dict[str, tuple[tuple[Point, ...], tuple[tuple[str, str], ...]]] = {
    "hexagon, flat on top": (
        _outline((20, 0), (60, 0), (80, 34.6), (60, 69.2), (20, 69.2), (0, 34.6)), (("5,6", "2,3"),),
    ),
    "hexagon, pointed on top": (
        _outline((34.6, 0), (69.2, 20), (69.2, 60), (34.6, 80), (0, 60), (0, 20)), (("4,5,6", "1,2,3"),),
    ),
    "octagon": (
        _outline((20, 0), (48, 0), (68, 20), (68, 48), (48, 68), (20, 68), (0, 48), (0, 20)), (("6,7,8", "2,3,4"),),
    ),
    "triangle": (_outline((0, 0), (80, 0), (40, 66)), (("3", "2"),)),
    "L": (_outline((0, 0), (30, 0), (30, 40), (70, 40), (70, 70), (0, 70)), (("6", "2,4"),)),
    "L, its foot's top aslant": (_outline((0, 0), (30, 0), (30, 40), (70, 43), (70, 70), (0, 70)), (("6", "2,4"),)),
    "T": (
        _outline((0, 0), (80, 0), (80, 28), (55, 28), (55, 75), (25, 75), (25, 28), (0, 28)), (("6,8", "2,4"),),
    ),
    "U": (
        _outline((0, 0), (26, 0), (26, 40), (60, 40), (60, 0), (86, 0), (86, 70), (0, 70)),
        (("8", "2"), ("4", "6"), ("8", "6")),
    ),
    "trapezium": (_outline((15, 0), (65, 2), (80, 60), (0, 57)), (("left", "right"),)),
    "square on its corner": (_outline((40, 0), (80, 40), (40, 80), (0, 40)), (("left,bottom", "top,right"),)),
}  # fmt: skip
"""Outlines, and the sides on the left and right flank of each stretch of the centre, looked up by eye."""


def _dots(plan: BorderPlan, names: str) -> set[Point]:
    return {dot for zigzag in plan.zigzags if zigzag.side.name in names.split(",") for dot in zigzag.dots}


@pytest.mark.parametrize("every", [9.0, 18.0, 25.0])
@pytest.mark.parametrize("name", OUTLINES)
def test_on_any_outline_a_pair_lies_on_both_flanks_as_level_as_any(name: str, every: float) -> None:
    """At every step down, wherever the centre is crossed there: no other two dots of its flanks are better, tried all."""
    outline, flanks = OUTLINES[name]
    wide, high = (max(corner[axis] for corner in outline) for axis in (0, 1))
    plan = _plan(quilt_width=wide, quilt_height=high, outline=outline, widths=(3.0,) * len(outline), fill="none")
    found = set(leave_points(plan.border, plan.zigzags, every))
    seam = plan.border.seam
    top, bottom = min(corner.y for corner in seam), max(corner.y for corner in seam)
    wanted = set()
    for step in range(1, math.ceil((bottom - top) / every)):
        height = top + step * every
        crossed = Polygon(seam).intersection(LineString([(-1, height), (wide + 1, height)]))
        for stretch in getattr(crossed, "geoms", [crossed]):
            left, right = (Point(x, height) for x in (stretch.bounds[0], stretch.bounds[2]))
            pair = next(
                pair for pair in flanks
                if len(flanks) == 1 or (_apart(plan, pair[0], left) < 1e-6 and _apart(plan, pair[1], right) < 1e-6)
            )  # fmt: skip
            options = list(itertools.product(_dots(plan, pair[0]), _dots(plan, pair[1])))
            best = min(_cost(option, height) for option in options)
            good = [option for option in options if _cost(option, height) < best + 1e-9 and found.issuperset(option)]
            assert good, height
            wanted |= {dot for option in good for dot in option}
    assert found <= wanted


def _apart(plan: BorderPlan, names: str, place: Point) -> float:
    """Inches from a place to the seam of some sides."""
    return min(
        LineString([z.side.seam_start, z.side.seam_end]).distance(Spot(place))
        for z in plan.zigzags if z.side.name in names.split(",")
    )  # fmt: skip


@pytest.mark.parametrize("order", ["sections", "zigzag", "across"])
@pytest.mark.parametrize("name", OUTLINES)
def test_the_run_stands_on_every_leave_point(name: str, order: str) -> None:
    """It comes to the seam there, so it can be left without a cut across anything."""
    outline, _ = OUTLINES[name]
    wide, high = (max(corner[axis] for corner in outline) for axis in (0, 1))
    plan = _plan(
        quilt_width=wide, quilt_height=high, outline=outline, widths=(4.0,) * len(outline), order=order, fill="channels"
    )
    found = leave_points(plan.border, plan.zigzags, 12)
    seam = LinearRing(plan.border.seam)
    places = STRtree([Spot(point) for run in plan.runs() for leg in run.legs for point in leg.line])
    for dot in found:
        assert seam.distance(Spot(dot)) < 1e-9
        assert len(places.query(Spot(dot), "dwithin", 1e-6))


def test_a_mirrored_outline_has_level_pairs() -> None:
    """The two flanks of a regular hexagon or octagon have the same dots, so both points of a pair are level."""
    for name in ("hexagon, flat on top", "hexagon, pointed on top", "octagon", "T"):
        outline, _ = OUTLINES[name]
        wide, high = (max(corner[axis] for corner in outline) for axis in (0, 1))
        plan = _plan(quilt_width=wide, quilt_height=high, outline=outline, widths=(4.0,) * len(outline), fill="none")
        found = leave_points(plan.border, plan.zigzags, 15)
        assert sorted((round(wide - dot.x, 6), round(dot.y, 6)) for dot in found) == sorted(
            (round(dot.x, 6), round(dot.y, 6)) for dot in found
        )


@pytest.mark.parametrize("sides", [("left",), ("right", "top"), ("left", "right")])
def test_strips_are_left_on_the_flanks_that_have_a_border(sides: tuple[str, ...]) -> None:
    """One dot at a height where only one flank has a border, the nearest."""
    plan = _plan(sides=sides, fill="none", quilt_width=60.0, quilt_height=80.0)
    found = leave_points(plan.border, plan.zigzags, 18)
    upright = [zigzag for zigzag in plan.zigzags if zigzag.side.name in {"left", "right"}]
    top = min(corner.y for corner in plan.border.seam)
    for zigzag in upright:
        mine = [dot for dot in found if dot in zigzag.dots]
        for step in (1, 2, 3, 4):
            if len(upright) == 1:
                assert min(zigzag.dots, key=lambda dot: abs(dot.y - top - 18 * step)) in mine
        assert mine
    assert all(any(dot in zigzag.dots for zigzag in upright) for dot in found)


def test_a_strip_across_the_quilt_has_none() -> None:
    """One sentence says so, and what to do."""
    plan = _plan(sides=("top", "bottom"), fill="none")
    with pytest.raises(OptionError, match=r"no side with a border runs down the quilt; .*: please leave them out"):
        leave_points(plan.border, plan.zigzags, 18)
