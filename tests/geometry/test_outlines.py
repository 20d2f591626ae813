"""Borders round any outline: closed formulae, and promises that hold for every convex polygon and every L."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

import pytest
import shapely
from hypothesis import assume, given, reject, settings
from hypothesis import strategies as st

from geometry.errors import OptionError, QuiltError, SizeError
from geometry.plan import BorderPlan, Request, lay_out
from geometry.plane import Point, distance, flat, length_of
from geometry.quilt import border_around, inward_corners, outset, side_names, widths_between

if TYPE_CHECKING:
    from collections.abc import Sequence

CORNERS = ("mitred", "large", "square")
ORDERS = ("sections", "zigzag", "across")


def regular(count: int, radius: float) -> tuple[Point, ...]:
    """A regular polygon, clockwise, its first side level and on top."""
    first = -math.pi / 2 - math.pi / count
    return tuple(
        Point(
            radius + radius * math.cos(first + 2 * math.pi * i / count),
            radius + radius * math.sin(first + 2 * math.pi * i / count),
        )
        for i in range(count)
    )


def ell(wide: float, high: float, arm: float, leg: float) -> tuple[Point, ...]:
    """An L: its upright `arm` wide, its foot `leg` high."""
    corners = ((0, 0), (arm, 0), (arm, high - leg), (wide, high - leg), (wide, high), (0, high))
    return tuple(Point(float(x), float(y)) for x, y in corners)


def request(outline: Sequence[Point], width: float | Sequence[float], **options: object) -> Request:
    """A border round an outline."""
    widths = tuple(width) if not isinstance(width, int | float) else (float(width),) * len(outline)
    wide, high = (max(corner[axis] for corner in outline) for axis in (0, 1))
    return Request(wide, high, widths, outline=tuple(outline), **options)  # type: ignore[arg-type]


def check_promises(plan: BorderPlan) -> None:
    """Sections tile the border, diagonals do not cross, nothing lies beyond the stop line, every pivot is met."""
    border = plan.border
    ring = shapely.union_all(
        [shapely.Polygon([s.seam_start, s.stop_start, s.stop_end, s.seam_end]) for s in border.sides]
    )
    sections = [shapely.Polygon(filled.section.corners) for filled in plan.sections]
    assert all(section.is_valid for section in sections)
    total = sum(section.area for section in sections)
    assert total == pytest.approx(ring.area, rel=1e-6)
    assert total == pytest.approx(border.area, rel=1e-6)
    assert shapely.union_all(sections).symmetric_difference(ring).area < 1e-6 * ring.area
    for zigzag in plan.zigzags:
        assert zigzag.line[0] == zigzag.side.start
        assert zigzag.line[-1] == zigzag.side.end
        assert len(zigzag.line) == 2 * zigzag.fit.count + 1
    bones = [pair for zigzag in plan.zigzags for pair in itertools.pairwise(zigzag.line)]
    bones += [(line[0], line[-1]) for lines in plan.corner_lines for line in lines]
    drawn = [shapely.LineString(bone) for bone in bones]
    tree = shapely.STRtree(drawn)
    for one, other in tree.query(drawn, predicate="crosses").T:
        # lines that meet in a dot or point do so at the ends of both
        here = shapely.intersection(drawn[one], drawn[other])
        assert min(here.distance(shapely.Point(end)) for end in bones[one]) < 1e-6
    inside = shapely.Polygon(border.stop_line).buffer(1e-6)
    centre = shapely.Polygon(border.seam).buffer(-1e-6)
    for line in [*bones, *(line for filled in plan.sections for line in filled.fill.lines)]:
        stitched = shapely.LineString(flat(line))
        assert inside.covers(stitched)
        assert not centre.intersects(stitched) or centre.intersection(stitched).length < 1e-3


@pytest.mark.parametrize("count", [3, 4, 5, 6, 8, 12])
@pytest.mark.parametrize("corner", CORNERS)
def test_a_regular_polygon_has_the_sides_of_the_closed_formula(count: int, corner: str) -> None:
    """Side 2·r·sin(180°/n); set in by w it loses 2·w·tan(180°/n) (elementary geometry)."""
    plan = lay_out(request(regular(count, 50), 4.0, corner=corner, number="even"))
    side = 2 * 50 * math.sin(math.pi / count) - 2 * 4 * math.tan(math.pi / count)
    assert len(plan.zigzags) == count
    for zigzag in plan.zigzags:
        assert zigzag.fit.ask.length == pytest.approx(side, rel=1e-12)
        assert zigzag.fit.count == plan.zigzags[0].fit.count
        # the asked repeat at 45 degrees is twice the height; the angle is that of the triangle drawn
        assert zigzag.fit.ask.repeat == pytest.approx(2 * (4 - 0.375))
        base, tip = distance(*zigzag.dots[:2]), zigzag.points[0]
        flank = distance(zigzag.dots[0], tip)
        assert math.degrees(math.acos(base / 2 / flank)) == pytest.approx(zigzag.fit.angle_deg, rel=1e-9)
        # the corner of a regular polygon is 180° - 360°/n; a mitre halves it and is w / sin(half) long, less the room
        if corner == "mitred":
            (mitre,) = plan.corner_lines[plan.zigzags.index(zigzag)]
            half = math.radians(90 - 180 / count)
            assert distance(*mitre) == pytest.approx((4 - 0.375) / math.sin(half), rel=1e-9)
            out = mitre[1].minus(mitre[0]).times(1 / distance(*mitre))
            ahead = zigzag.side.ahead
            assert math.acos(out.x * ahead.x + out.y * ahead.y) == pytest.approx(half, rel=1e-9)
    check_promises(plan)


@st.composite
def convex(draw: st.DrawFn) -> tuple[Point, ...]:
    """A convex polygon of 3 to 12 corners on an ellipse."""
    count = draw(st.integers(3, 12))
    steps = draw(st.lists(st.floats(0.6, 1.4), min_size=count, max_size=count))
    start = draw(st.floats(0, 2 * math.pi))
    wide, high = draw(st.floats(40, 70)), draw(st.floats(40, 70))
    angles = [start + 2 * math.pi * total / sum(steps) for total in itertools.accumulate(steps)]
    corners = [Point(wide + wide * math.cos(angle), high + high * math.sin(angle)) for angle in angles]
    assume(shapely.Polygon(corners).is_valid)
    return tuple(corners)


@settings(max_examples=60, deadline=None)
@given(convex(), st.floats(2, 5), st.sampled_from(CORNERS), st.sampled_from(ORDERS), st.sampled_from([30, 45, 60]))
def test_every_convex_polygon_is_tiled(
    outline: tuple[Point, ...], width: float, corner: str, order: str, angle: float
) -> None:
    """Whatever its corners, its border, corner, angle and order; and every line is stitched."""
    try:
        plan = lay_out(request(outline, width, corner=corner, order=order, angle=angle, fill="chevrons"))
    except SizeError:
        reject()
    check_promises(plan)
    check_runs(plan, 3 if order == "zigzag" else 1)


@settings(max_examples=40, deadline=None)
@given(
    convex(), st.lists(st.floats(2, 4.5), min_size=12, max_size=12), st.sampled_from(CORNERS), st.sampled_from(ORDERS)
)
def test_every_convex_polygon_is_tiled_whatever_the_width_of_each_side(
    outline: tuple[Point, ...], widths: list[float], corner: str, order: str
) -> None:
    """A square corner whose lines would miss the narrower border is refused; all else is tiled."""
    try:
        plan = lay_out(
            request(outline, widths[: len(outline)], corner=corner, order=order, fill="chevrons", together=False)
        )
    except (SizeError, OptionError) as refusal:
        assert "please" in str(refusal)  # noqa: PT017 - then the next example
        reject()
    check_promises(plan)
    check_runs(plan, 3 if order == "zigzag" else 1)


@settings(max_examples=60, deadline=None)
@given(
    st.floats(50, 80), st.floats(50, 80), st.floats(20, 30), st.floats(20, 30), st.floats(2, 5),
    st.sampled_from(["mitred", "large"]), st.sampled_from(ORDERS), st.sampled_from([30, 45, 60]),
    st.sampled_from(["any", "even", "odd"]),
)  # fmt: skip
def test_every_l_is_tiled(
    wide: float, high: float, arm: float, leg: float, width: float, corner: str, order: str, angle: float, number: str
) -> None:
    """An inward corner has its pivot on the stop line; the two sides that meet there have half a triangle more."""
    outline = ell(wide, high, arm, leg)
    plan = lay_out(
        request(outline, width, corner=corner, order=order, angle=angle, number=number, fill="wedges", together=False)
    )
    check_promises(plan)
    check_runs(plan, 3 if order == "zigzag" else 1)
    counts = [zigzag.fit.count for zigzag in plan.zigzags]
    assert [count % 1 for count in counts] == [0, 0.5, 0.5, 0, 0, 0]
    if number != "any":
        assert all(count % 2 == (number == "odd") for count in counts if count % 1 == 0)
    assert plan.zigzags[1].line[-1] == plan.border.stop_line[2] == plan.zigzags[2].line[0]
    pieces = [filled.section for filled in plan.of_side("2") if filled.section.base == "corner"]
    assert all(piece.on_seam for piece in pieces)
    assert all(plan.border.seam[2] in piece.corners for piece in pieces)


def check_runs(plan: BorderPlan, count: int) -> None:
    """So many runs, which stitch every line once and reach all; one less for each row without any fill."""
    runs = plan.runs()
    rows = {filled.section.on_seam for filled in plan.sections if filled.fill.lines}
    assert len(runs) == count or (count == 3 and len(runs) == 1 + len(rows))
    assert not any(run.unreached for run in runs)
    lines = [line for filled in plan.sections for line in filled.fill.lines]
    lines += [zigzag.line for zigzag in plan.zigzags] + [line for found in plan.corner_lines for line in found]
    lines += [(z.side.start, z.side.far_start) for z in plan.zigzags if z.side.open_start]
    stitched = sum(run.length - run.over - run.travel for run in runs)
    assert stitched == pytest.approx(sum(map(length_of, lines)), rel=2e-3)


@pytest.mark.parametrize("order", ORDERS)
@pytest.mark.parametrize("fill", ["diamonds", "channels", "crosshatch", "fans"])
@pytest.mark.parametrize("sides", [("top",), ("top", "bottom"), ("right", "left", "top"), ("left", "top")])
def test_strips_run_to_the_edge_and_are_stitched_each_by_itself(order: str, fill: str, sides: tuple[str, ...]) -> None:
    """Where a neighbour has no border, the strip goes on to the room for the binding; so many runs for each strip."""
    outline = tuple(Point(*at) for at in ((0.0, 2.0), (60.0, 0.0), (64.0, 70.0), (3.0, 68.0)))
    plan = lay_out(request(outline, (6.0, 5.0, 6.0, 4.0), sides=sides, order=order, fill=fill))
    assert {zigzag.side.name for zigzag in plan.zigzags} == set(sides)
    check_promises(plan)
    strips = 2 if sides == ("top", "bottom") else 1
    check_runs(plan, strips * (3 if order == "zigzag" else 1))
    stop = shapely.LinearRing(plan.border.stop_line)
    for zigzag in plan.zigzags:
        for end, is_open in ((zigzag.side.start, zigzag.side.open_start), (zigzag.side.end, zigzag.side.open_end)):
            assert (stop.distance(shapely.Point(end)) < 1e-9) == is_open


def test_widths_by_side_are_kept() -> None:
    """Each strip is as wide as asked, whatever its neighbours."""
    border = border_around(ell(60, 70, 28, 26), (3.0, 4.0, 5.0, 3.5, 4.5, 6.0), 0.25)
    for side, width in zip(border.sides, border.widths, strict=True):
        assert side.height == pytest.approx(width - 0.25)
    off, widths = widths_between(border.edge, [*border.seam[2:], *border.seam[:2]])
    assert off < 1e-9
    assert widths == pytest.approx(border.widths)
    assert max(map(distance, outset(border.seam, border.widths), border.edge)) < 1e-9


@pytest.mark.parametrize(
    ("outline", "width", "options", "told"),
    [
        (ell(60, 60, 9, 30), 5.0, {}, "must be less than"),
        (regular(6, 20), 18.0, {}, "leaves no centre"),
        (ell(60, 60, 30, 30), 4.0, {"corner": "square"}, "the corner between sides 2 and 3"),
        (ell(60, 60, 30, 30), 4.0, {"size": "count", "across": 4, "number": "odd"}, "odd"),
    ],
)
def test_what_cannot_be_drawn_is_refused_by_name(
    outline: tuple[Point, ...], width: float, options: dict[str, object], told: str
) -> None:
    """One sentence that says which corner, or how much is allowed, and what to do."""
    with pytest.raises(QuiltError, match=told) as refusal:
        lay_out(request(outline, width, **options))
    assert "please" in str(refusal.value)


def test_a_border_wider_than_an_inward_corner_allows_names_it() -> None:
    """The arm beside it may be crossed by no seam."""
    outline = tuple(
        Point(float(x), float(y)) for x, y in ((0, 0), (60, 0), (60, 60), (34, 60), (30, 6), (26, 60), (0, 60))
    )
    with pytest.raises(
        SizeError, match="inward corner allows, the corner between sides 4 and 5; there it must be less than"
    ):
        border_around(outline, (5.0,) * 7, 0.25)


def test_a_square_corner_is_refused_at_the_inward_corner_only() -> None:
    """The others would do."""
    with pytest.raises(OptionError, match="between sides 2 and 3 is an inward one"):
        lay_out(request(ell(60, 60, 30, 30), 4.0, corner="square"))
    assert inward_corners(ell(60, 60, 30, 30)) == (False, False, True, False, False, False)
    assert side_names(6) == ("1", "2", "3", "4", "5", "6")
