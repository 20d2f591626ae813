"""The whole plan: every side on its pivots, every fill inside, every run one line. Shapely is the oracle."""

from __future__ import annotations

import itertools
from collections import Counter

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import union_all
from shapely.geometry import LineString, MultiLineString, Polygon

from geometry.errors import QuiltError
from geometry.fills.catalogue import CATALOGUE
from geometry.plan import BorderPlan, Request, lay_out
from geometry.plane import Point, distance, flat, length_of

FILLS = sorted(CATALOGUE)
CORNERS = ["mitred", "large", "square"]
ORDERS = ["sections", "zigzag", "across"]

requests = st.builds(
    Request,
    st.floats(10, 130),
    st.floats(10, 130),
    st.floats(0.5, 14).map(lambda width: (width,) * 4),
    kind=st.sampled_from(["outer", "inner"]),
    binding=st.floats(0.25, 0.5),
    angle=st.floats(25, 68),
    together=st.booleans(),
    fit=st.sampled_from(["even", "ease"]),
    number=st.sampled_from(["any", "even", "odd"]),
    corner=st.sampled_from(CORNERS),
    fill=st.sampled_from([*FILLS, "none"]),
    outerfill=st.sampled_from(["same", *FILLS, "none"]),
    cornerfill=st.sampled_from(["same", *FILLS, "none"]),
    spacing=st.floats(0.4, 2),
    order=st.sampled_from(ORDERS),
)


def _planned(request: Request) -> BorderPlan:
    try:
        return lay_out(request)
    except QuiltError:
        assume(False)  # noqa: FBT003 - hypothesis' own signature
        raise


def _lines(lines: tuple[tuple[Point, ...], ...]) -> MultiLineString:
    return MultiLineString([LineString(flat(line)) for line in lines])


def test_the_sample_quilt_has_five_and_seven_triangles_of_exactly_eight() -> None:
    """48 by 64 with a border of 4: border seam 40 by 56."""
    plan = lay_out(Request(48, 64, (4,) * 4, size="repeat", repeat=8))
    assert [zigzag.fit.count for zigzag in plan.zigzags] == [5, 7, 5, 7]
    assert {zigzag.fit.repeat_in for zigzag in plan.zigzags} == {8}


def test_sides_that_do_not_agree_are_chosen_together() -> None:
    """50 by 65, 4 in at 45 degrees: 6 of 7 beside 8 of 7 1/8."""
    plan = lay_out(Request(50, 65, (4,) * 4))
    assert [(z.fit.count, z.fit.repeat_in) for z in plan.zigzags][:2] == [(6, 7), (8, 7.125)]


@given(requests)
@settings(max_examples=60, deadline=None, derandomize=True)
def test_every_side_lands_on_its_pivots_and_every_fill_inside(request: Request) -> None:
    """Sections, fills and stop line, for any quilt and all options."""
    plan = _planned(request)
    stop = Polygon(plan.border.stop_line).buffer(1e-7)
    for zigzag in plan.zigzags:
        assert (zigzag.line[0], zigzag.line[-1]) == (zigzag.side.start, zigzag.side.end)
        assert stop.contains(LineString(zigzag.line))
    for filled in plan.sections:
        section, fill = filled.section, filled.fill
        if not fill.lines:
            assert fill.note or filled.fill_name == "none"
            continue
        assert 0.7 - 1e-9 <= fill.spacing / request.spacing <= 1.05 + 1e-9
        drawn = _lines(fill.lines)
        assert drawn.difference(Polygon(section.corners).buffer(1e-6)).length == pytest.approx(0, abs=1e-9)
        assert stop.contains(drawn)
        assert union_all(list(drawn.geoms)).length == pytest.approx(sum(map(length_of, fill.lines)), rel=1e-5)
        for end in (section.left, section.right):
            # set in by far more than this, but points where lines arrive at a diagonal have a little length too
            along = drawn.intersection(LineString([end, section.tip]).buffer(1e-7)).length
            assert along < 1e-3


@given(requests)
@settings(max_examples=40, deadline=None, derandomize=True)
def test_every_run_is_one_line_over_everything_once(request: Request) -> None:
    """New stitching is exactly the lines drawn; each leg begins where the last ended; runs close."""
    plan = _planned(request)
    runs = plan.runs()
    drawn = sum(length_of(z.line) for z in plan.zigzags) + sum(length_of(x) for c in plan.corner_lines for x in c)
    drawn += sum(length_of(line) for filled in plan.sections for line in filled.fill.lines)
    stitched = 0.0
    for run in runs:
        assert not run.unreached
        assert run.bound <= run.extra + 1e-6
        assert run.length == pytest.approx(length_of(run.line))
        stitched += run.length - run.over - run.travel
        for one, other in itertools.pairwise(run.legs):
            assert distance(one.line[-1], other.line[0]) < 0.011
        assert distance(run.line[0], run.line[-1]) < 1e-6
    assert stitched == pytest.approx(drawn, rel=2e-3)
    if request.order != "zigzag":
        assert len(runs) == 1


@pytest.mark.parametrize("corner", CORNERS)
def test_sections_tile_the_border(corner: str) -> None:
    """From border seam to stop line, without gap or overlap, also where the widths differ."""
    plan = lay_out(Request(40, 52, (4, 5, 6, 3.5), corner=corner))  # type: ignore[arg-type]
    pieces = [Polygon(filled.section.corners) for filled in plan.sections]
    ring = Polygon(plan.border.stop_line).difference(Polygon(plan.border.seam))
    assert sum(piece.area for piece in pieces) == pytest.approx(ring.area, rel=1e-9)
    assert union_all(pieces).symmetric_difference(ring).area == pytest.approx(0, abs=1e-6)
    for zigzag in plan.zigzags:
        bases = Counter(filled.section.base for filled in plan.of_side(zigzag.side.name))
        count = zigzag.fit.count
        assert bases == {"inner": count, "outer": count - 1, "corner": {"mitred": 2, "large": 1, "square": 3}[corner]}


def _mirrored(
    plan: BorderPlan, *, left_right: bool, skip: set[str]
) -> tuple[set[tuple[float, float]], set[tuple[float, float]]]:
    width, height = plan.request.quilt_width, plan.request.quilt_height
    points = [
        point
        for filled in plan.sections
        if filled.section.name not in skip
        for line in filled.fill.lines
        for point in line
    ]

    def flipped(point: Point) -> Point:
        return Point(width - point.x, point.y) if left_right else Point(point.x, height - point.y)

    def rounded(point: Point) -> tuple[float, float]:
        return (round(point.x, 5) + 0.0, round(point.y, 5) + 0.0)

    return {rounded(point) for point in points}, {rounded(flipped(point)) for point in points}


@pytest.mark.parametrize("order", ORDERS)
@pytest.mark.parametrize("corner", CORNERS)
@pytest.mark.parametrize("fill", FILLS)
def test_a_rectangles_border_is_its_own_mirror_image(fill: str, corner: str, order: str) -> None:
    """Left to right and top to bottom; the one triangle astride a side's middle excepted."""
    plan = lay_out(Request(47.3, 61.9, (5.1,) * 4, fill=fill, corner=corner, order=order))  # type: ignore[arg-type]
    skip = set()
    for zigzag in plan.zigzags:
        count = zigzag.fit.count
        middle = f"in-{count // 2 + 1}" if count % 2 else f"out-{count // 2}"
        skip.add(f"{zigzag.side.name}-{middle}")
    for left_right in (True, False):
        here, there = _mirrored(plan, left_right=left_right, skip=skip)
        near = {(x + dx, y + dy) for x, y in here for dx in (-1e-5, 0, 1e-5) for dy in (-1e-5, 0, 1e-5)}
        rounded = {(round(x, 5) + 0.0, round(y, 5) + 0.0) for x, y in near}
        assert there <= rounded


@pytest.mark.parametrize("corner", CORNERS)
@pytest.mark.parametrize("fill", FILLS)
def test_no_more_than_six_lines_meet_at_a_point(fill: str, corner: str) -> None:
    """More is a knot of thread (common practice, no source)."""
    plan = lay_out(Request(48, 64, (4.5,) * 4, fill=fill, corner=corner, spacing=0.9))  # type: ignore[arg-type]
    ends: Counter[tuple[float, float]] = Counter()
    lines = [z.line for z in plan.zigzags] + [line for lines in plan.corner_lines for line in lines]
    lines += [flat(line) for filled in plan.sections for line in filled.fill.lines]
    for line in lines:
        for one, other in itertools.pairwise(line):
            for point in (one, other):
                ends[round(point.x, 4), round(point.y, 4)] += 1
    assert max(ends.values()) <= 6


@pytest.mark.parametrize("corner", CORNERS)
@pytest.mark.parametrize("fill", FILLS)
@pytest.mark.parametrize("order", ORDERS)
def test_little_is_stitched_over(fill: str, corner: str, order: str) -> None:
    """At most 20 % of the stitched length, and travel of at most one repeat for each section; diamonds, echoes and meander none."""
    plan = lay_out(Request(60, 72, (6,) * 4, fill=fill, corner=corner, order=order))  # type: ignore[arg-type]
    runs = plan.runs()
    over, travel = sum(run.over for run in runs), sum(run.travel for run in runs)
    new = sum(run.length for run in runs) - over - travel
    assert over <= 0.2 * new
    assert travel <= len(plan.sections) * plan.zigzags[0].fit.repeat_in
    if order == "across" and fill in {"diamonds", "echoes", "meander"}:
        assert over == pytest.approx(0, abs=1e-6)
        assert travel == pytest.approx(0, abs=1e-6)
