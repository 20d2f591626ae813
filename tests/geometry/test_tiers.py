"""Borders in tiers: bands that tile the border and share their points, stitched in one run."""

from __future__ import annotations

import itertools
import math
from collections import Counter
from typing import TYPE_CHECKING

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.errors import OptionError
from geometry.fills.catalogue import CATALOGUE
from geometry.graph import MEETING
from geometry.patchwork import Patchwork
from geometry.plan import BorderPlan, Request, lay_out
from geometry.plane import SAME_POINT, Point, distance, flat
from geometry.quilt import side_and_tier, side_in_words, tier_name
from geometry.tiers import LOWEST, NEAR_PIVOT, mid_lines

if TYPE_CHECKING:
    from collections.abc import Callable

    from geometry.order import Order

ELL = tuple(Point(x, y) for x, y in ((0, 0), (44, 0), (44, 40), (84, 40), (84, 80), (0, 80)))
"""An L with one inward corner."""

ORDERS: tuple[Order, ...] = ("sections", "zigzag", "across")


def polygon(count: int, radius: float, stretch: float = 1.0, turn: float = 0.0) -> tuple[Point, ...]:
    """A convex outline, clockwise as seen with y downwards, from the origin on."""
    corners = [
        Point(
            stretch * radius * math.cos(2 * math.pi * i / count + turn),
            radius * math.sin(2 * math.pi * i / count + turn),
        )
        for i in range(count)
    ]
    left, top = min(corner.x for corner in corners), min(corner.y for corner in corners)
    return tuple(Point(corner.x - left, corner.y - top) for corner in corners)


def request(outline: tuple[Point, ...], width: float, tiers: int, **options: object) -> Request:
    """A border round an outline."""
    wide, high = (max(corner[axis] for corner in outline) for axis in (0, 1))
    return Request(wide, high, (width,) * len(outline), outline=outline, tiers=tiers, **options)  # type: ignore[arg-type]


def check_tiling(plan: BorderPlan) -> None:
    """The sections lie between seam and stop line, side by side, and leave nothing out."""
    border = plan.border
    whole = shapely.Polygon(border.stop_line).difference(shapely.Polygon(border.seam))
    pieces = [shapely.Polygon(one.section.corners) for one in plan.sections]
    assert all(piece.is_valid for piece in pieces)
    assert sum(piece.area for piece in pieces) == pytest.approx(whole.area, rel=1e-6)
    together = shapely.union_all(shapely.set_precision(pieces, 1e-9))
    assert together.area == pytest.approx(whole.area, rel=1e-6)
    assert together.difference(whole.buffer(1e-6)).area < 1e-6 * whole.area


def check_shared(plan: BorderPlan, repeats: float = NEAR_PIVOT) -> None:
    """Each point of a tier is a dot of the next, the very same place; but beside a pivot on the stop line."""
    by_name = {zigzag.side.name: zigzag for zigzag in plan.zigzags}
    for zigzag in plan.zigzags:
        side, tier = side_and_tier(zigzag.side.name)
        above = by_name.get(tier_name(side, tier + 1))
        if above is None:
            continue
        shy = repeats * zigzag.fit.repeat_in
        for point in zigzag.points:
            place = above.side.place(point)
            start = shy if above.side.turned_start else SAME_POINT
            end = above.side.length - (shy if above.side.turned_end else SAME_POINT)
            if start < place < end:
                assert point in above.dots


def check_uncrossed(plan: BorderPlan) -> None:
    """Diagonals meet at their ends only."""
    pieces = [pair for zigzag in plan.zigzags for pair in itertools.pairwise(zigzag.line)]
    lines = [shapely.LineString(pair) for pair in pieces]
    tree = shapely.STRtree(lines)
    for i, j in zip(*tree.query(lines, predicate="crosses").tolist(), strict=True):
        meeting = lines[i].intersection(lines[j])
        # rounding may make a line that ends on another cross it
        spot = Point(meeting.centroid.x, meeting.centroid.y)
        assert min(distance(spot, end) for end in (*pieces[i], *pieces[j])) < SAME_POINT


@pytest.mark.parametrize("corner", ["mitred", "large", "square"])
@pytest.mark.parametrize("tiers", [1, 2, 3])
def test_tiers_tile_a_rectangle(tiers: int, corner: str) -> None:
    """Whatever the corners; and as many bands as asked for, each as high as the others."""
    plan = lay_out(Request(60, 72, (9.0, 8.0, 9.0, 7.0), tiers=tiers, corner=corner, fill="none"))  # type: ignore[arg-type]
    check_tiling(plan)
    check_shared(plan)
    check_uncrossed(plan)
    assert len(plan.zigzags) == 4 * tiers
    for zigzag, side in zip(plan.zigzags, plan.border.sides * tiers, strict=True):
        assert zigzag.side.height == pytest.approx(side.height / tiers)


@settings(max_examples=25, deadline=None)
@given(
    count=st.integers(3, 12), width=st.floats(4, 9), tiers=st.integers(2, 3), angle=st.floats(35, 62),
    stretch=st.floats(0.8, 1.3), turn=st.floats(0, 6.28),
)  # fmt: skip
def test_tiers_tile_convex_outlines(
    count: int, width: float, tiers: int, angle: float, stretch: float, turn: float
) -> None:
    """Random convex outlines of 3 to 12 sides."""
    plan = lay_out(request(polygon(count, 60, stretch, turn), width, tiers, angle=angle, fill="none"))
    check_tiling(plan)
    check_shared(plan)
    check_uncrossed(plan)


@pytest.mark.parametrize("angle", [30, 45, 60])
@pytest.mark.parametrize("tiers", [2, 3])
@pytest.mark.parametrize("corner", ["mitred", "large"])
def test_tiers_tile_an_ell(tiers: int, angle: float, corner: str) -> None:
    """At an inward corner too."""
    plan = lay_out(request(ELL, 8.0, tiers, angle=angle, corner=corner, fill="none"))
    check_tiling(plan)
    check_shared(plan)
    check_uncrossed(plan)


def check_runs(plan: BorderPlan, order: Order) -> None:
    """As many runs as promised, each unbroken; every line of the border stitched new once."""
    runs = plan.runs(order)
    assert len(runs) == (3 if order == "zigzag" else 1)
    assert not any(run.unreached for run in runs)
    for run in runs:
        for before, after in itertools.pairwise(run.legs):
            assert distance(before.line[-1], after.line[0]) <= MEETING
        assert run.length == pytest.approx(sum(leg_length for leg_length in _lengths(run.legs)), rel=1e-3)
    new = sum(run.length - run.over - run.travel for run in runs)
    bones = [zigzag.line for zigzag in plan.zigzags] + [line for lines in plan.corner_lines for line in lines]
    wanted = sum(distance(*pair) for line in bones for pair in itertools.pairwise(line))
    wanted += sum(one.fill.length for one in plan.sections)
    assert new == pytest.approx(wanted, rel=1e-6)
    visits = Counter(visit.section for run in runs for visit in run.visits)
    assert visits == {one.section.name: 1 for one in plan.sections if one.fill.lines}
    sewn = shapely.union_all(
        [shapely.LineString(flat(leg.line)) for run in runs for leg in run.legs if leg.how != "travel"]
    )
    near = sewn.buffer(1e-3)
    for line in bones:
        assert near.covers(shapely.LineString(line))


def _lengths(legs: object) -> list[float]:
    return [sum(itertools.starmap(distance, itertools.pairwise(leg.line))) for leg in legs]  # type: ignore[attr-defined]


@pytest.mark.parametrize("order", ORDERS)
@pytest.mark.parametrize("corner", ["mitred", "large", "square"])
@pytest.mark.parametrize("tiers", [2, 3])
def test_one_run(tiers: int, corner: str, order: Order) -> None:
    """One run, or three where the zigzag comes first, whatever the corners."""
    for fill in ("diamonds", "channels", "echoes"):
        check_runs(
            lay_out(Request(50, 60, (4.0 * tiers,) * 4, tiers=tiers, corner=corner, order=order, fill=fill)), order
        )  # type: ignore[arg-type]


@pytest.mark.parametrize("order", ORDERS)
def test_one_run_round_an_ell(order: Order) -> None:
    """At inward corners too."""
    check_runs(lay_out(request(ELL, 8.0, 2, order=order)), order)


def test_nothing_goes_beyond_the_stop_line_or_along_a_mid_line() -> None:
    """Lines between tiers are no seams: no run travels or stitches along them."""
    for order in ORDERS:
        plan = lay_out(Request(50, 60, (9.0,) * 4, tiers=3, order=order, fill="channels"))
        inside = shapely.Polygon(plan.border.stop_line).buffer(1e-6)
        lines = [shapely.LinearRing(line) for line in mid_lines(plan.border, 3)]
        for leg in (leg for run in plan.runs() for leg in run.legs):
            stitched = shapely.LineString(flat(leg.line))
            assert inside.covers(stitched)
            if leg.how == "travel":
                assert all(stitched.intersection(line.buffer(1e-3)).length < 0.01 for line in lines)


def test_strips_are_runs_of_their_own() -> None:
    """Where some sides have no border, each tier of each strip is stitched by itself, and says so."""
    plan = lay_out(Request(50, 60, (8.0,) * 4, tiers=2, sides=("top", "bottom")))
    names = [run.name for run in plan.runs()]
    assert len(names) == 4
    assert {name.partition(":")[0] for name in names} == {
        "Top, tier 1", "Bottom, tier 1", "Top, tier 2", "Bottom, tier 2",
    }  # fmt: skip
    assert sum(shapely.Polygon(one.section.corners).area for one in plan.sections) == pytest.approx(plan.border.area)


def test_bands_too_low_are_refused() -> None:
    """With how many would do."""
    with pytest.raises(OptionError, match=r"3 tiers make bands 3/8 in high; each must be at least 1/2 in: .* 2 tiers"):
        lay_out(Request(40, 40, (1.5,) * 4, tiers=3))
    assert LOWEST == 0.5


def test_sides_are_called_by_their_tier() -> None:
    """In names and in words."""
    assert tier_name("top", 1) == "top"
    assert side_and_tier(tier_name("3", 2)) == ("3", 2)
    assert side_in_words(tier_name("left", 3)) == "tier 3 of the left side"
    assert side_in_words("left") == "the left side"


NOT_CLEAN = {"crosshatch": "zigzag"}
"""Fill and order in which a short piece of a diagonal is stitched four times in two tiers."""


@pytest.mark.parametrize("corner", ["mitred", "large", "square"])
@pytest.mark.parametrize("fill", sorted(CATALOGUE))
def test_a_check_finds_nothing_in_two_tiers(fill: str, corner: str, told: Callable[[BorderPlan], list[str]]) -> None:
    """Every fill in every corner and order, but for that named above."""
    for order in ORDERS:
        if NOT_CLEAN.get(fill) != order:
            plan = lay_out(
                Request(
                    40,
                    48,
                    (10.0,) * 4,
                    fill=fill,
                    corner=corner,
                    order=order,
                    tiers=2,
                    spacing=1.0 if fill == "meander" else 0.75,
                )  # type: ignore[arg-type]
            )
            assert told(plan) == [], order


@pytest.mark.parametrize("tiers", [2, 3])
def test_matched_fills_leave_nothing_open_beside_a_mid_line(
    tiers: int, told: Callable[[BorderPlan], list[str]]
) -> None:
    """They keep off it by half of their own spacing, not of that asked for."""
    plan = lay_out(Request(50, 60, (9.0,) * 4, tiers=tiers, match=True, outerfill="channels", cornerfill="echoes"))
    assert told(plan) == []


@pytest.mark.parametrize("order", ORDERS)
@pytest.mark.parametrize("corner", ["mitred", "square"])
def test_no_line_of_a_corner_between_tiers_is_gone_over_often(corner: str, order: Order) -> None:
    """Lines and pieces of such a corner are one way: three times are the most, whatever the fill keeps off."""
    for fill in ("diamonds", "wedges"):
        plan = lay_out(Request(40, 48, (10.0,) * 4, fill=fill, corner=corner, order=order, tiers=2, spacing=0.75))  # type: ignore[arg-type]
        legs = [shapely.LineString(flat(leg.line)) for run in plan.runs() for leg in run.legs]
        for line in itertools.chain.from_iterable(plan.corner_lines):
            for share in (0.03, 0.3, 0.6, 0.97):
                spot = shapely.LineString(line).interpolate(share, normalized=True)
                pieces = [
                    piece
                    for leg in legs
                    if leg.distance(spot) < 1e-6
                    for piece in itertools.pairwise(leg.coords)
                    if shapely.LineString(piece).distance(spot) < 1e-6
                ]
                assert 1 <= len(pieces) <= 3


OPTIONS: tuple[dict[str, object], ...] = (
    {"under": True, "fill": "wedges"},
    {"echo": 2, "order": "across"},
    {"echo": 1, "step": 0.5, "order": "zigzag", "fill": "channels"},
    {"match": True, "outerfill": "crosshatch", "cornerfill": "echoes"},
    {"kind": "inner", "order": "across", "fill": "fans"},
    {"kind": "inner", "order": "zigzag", "corner": "large"},
    {"fit": "ease", "order": "zigzag", "corner": "square"},
    {"widths": (12.0, 8.0, 10.0, 9.0), "order": "zigzag", "fill": "arrowheads"},
    {"widths": (12.0, 8.0, 10.0, 9.0), "under": True, "order": "across"},
    {"outline": tuple(Point(x, y) for x, y in ((0, 0), (50.5, 0.6), (50, 60.3), (0.4, 59.8))), "order": "across"},
    {"outline": ELL, "under": True, "order": "zigzag", "fill": "echoes"},
    {"fit": "marks", "guide": Patchwork(every=2.0), "order": "across"},
    {"outerfill": "none", "fill": "meander", "cornerfill": "fans", "order": "zigzag"},
    {"fill": "none", "order": "zigzag", "corner": "square"},
)


@pytest.mark.parametrize("number", range(len(OPTIONS)))
def test_options_go_together_with_tiers(number: int) -> None:
    """As many runs as ever, nothing beyond the stop line but what hides under the binding; two tiers and three by turns."""
    options = OPTIONS[number]
    tiers = 2 + number % 2
    outline = options.get("outline", ())
    sides = len(outline) or 4  # type: ignore[arg-type]
    request_ = Request(50, 60, (4.5 * tiers,) * sides, tiers=tiers)._replace(**options)
    if outline:
        wide, high = (max(corner[axis] for corner in outline) for axis in (0, 1))  # type: ignore[attr-defined]
        request_ = request_._replace(quilt_width=wide, quilt_height=high)
    plan = lay_out(request_)
    check_tiling(plan)
    runs = plan.runs()
    filled = {one.section.base for one in plan.sections if one.fill.lines}
    assert len(runs) == (3 if request_.order == "zigzag" and filled else 1)
    assert not any(run.unreached for run in runs)
    room = request_.binding / 2 if request_.under else 0
    inside = shapely.Polygon(plan.border.stop_line).buffer(room + 1e-6, join_style="mitre")
    hole = shapely.Polygon(plan.border.seam).buffer(-1e-6)
    for run in runs:
        line = shapely.LineString(run.line)
        assert inside.covers(line)
        assert not hole.intersects(line)
