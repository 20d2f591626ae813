"""Her own drawing as a fill: fitted by affine maps, joined, routed. Shapely, SciPy and networkx are the oracles."""

from __future__ import annotations

import itertools
import math

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar
from shapely import LineString, Polygon, union_all

from geometry.errors import OptionError
from geometry.fills.motif import MOST_PIECES, SMALLEST, Motif, draw, laid_out
from geometry.fills.shape import SET_IN, Fill, Shape
from geometry.plan import BorderPlan, Request, lay_out
from geometry.plane import Curve, Line, Point, area_of, distance, flat, halfway_foot, length_of

UNIT = Polygon([(-1, 0), (1, 0), (0, 1)])


def _line(*places: tuple[float, float]) -> Line:
    return tuple(Point(float(x), float(y)) for x, y in places)


LEAF = _line((0, 0), (2, -1), (5, -6), (3, -5), (1, -2), (0, 0))
"""A closed leaf, leaning; y grows downwards, as on the page."""

VEIN = _line((0, 0), (4, -5))


def _shape(base: float, height: float, **others: object) -> Shape:
    left, right, tip = Point(0.0, 0.0), Point(base, 0.0), Point(0.4 * base, height)
    given_: dict[str, object] = {"bent": False, "seam": True, "short": False, "room_at_tip": 4, **others}
    return Shape(left, halfway_foot(left, right, tip), right, tip, **given_)  # type: ignore[arg-type]


def _wheel(number: int) -> Line:
    """A closed line of so many nodes that crosses itself again and again."""
    turns = (2 * math.pi * i / number for i in range(number + 1))
    return tuple(Point(3 * math.cos(2 * t) - math.cos(9 * t), 2 * math.sin(2 * t) - math.sin(9 * t)) for t in turns)


def _points(lines: tuple[Line, ...]) -> list[Point]:
    return [point for line in lines for point in flat(line)]


# --- laid out -----------------------------------------------------------------------------------------------------------

spots = st.tuples(st.floats(-50, 50), st.floats(-50, 50))


@given(st.lists(spots, min_size=3, max_size=12))
@settings(max_examples=120, deadline=None, derandomize=True)
def test_the_triangle_round_a_drawing_is_the_smallest_there_is(places: list[tuple[float, float]]) -> None:
    """On its lowest line, its tip over its middle; SciPy finds none with less area."""
    drawing = _line(*places)
    xs, ys = [x for x, _ in places], [y for _, y in places]
    wide, tall = max(xs) - min(xs), max(ys) - min(ys)
    if min(wide, tall) < 0.01 * max(wide, tall) or wide < 0.01:
        return
    (placed,) = laid_out([drawing]).lines
    assert UNIT.buffer(1e-6).contains(LineString(placed))
    # one share of the unit's width and height for one of the drawing's: its triangle's half base and height
    half = wide / (max(p.x for p in placed) - min(p.x for p in placed))
    height = tall / (max(p.y for p in placed) - min(p.y for p in placed))
    centre, low = (max(xs) + min(xs)) / 2, max(ys)

    def area(trial: float) -> float:
        return trial * max((low - y) / (1 - abs(x - centre) / trial) for x, y in places)

    # steep on one side: looked for on a grid first, then finely
    trials = wide / 2 * (1 + np.geomspace(1e-6, 50, 400))
    areas = [area(trial) for trial in trials]
    best = int(np.argmin(areas))
    found = minimize_scalar(area, bounds=(trials[max(best - 1, 0)], trials[min(best + 1, 399)]), method="bounded")
    assert half * height <= min(float(found.fun), *areas) * (1 + 1e-6)
    assert min(p.y for p in placed) == pytest.approx(0, abs=1e-9)


@given(st.lists(st.tuples(spots, st.floats(0.5, 5)), min_size=2, max_size=8))
@settings(max_examples=60, deadline=None, derandomize=True)
def test_pieces_are_joined_by_the_shortest_lines(places: list[tuple[tuple[float, float], float]]) -> None:
    """As long in all as the shortest tree between them, by networkx."""
    drawing = [_line((x, y), (x + size, y), (x, y + size), (x, y)) for (x, y), size in places]
    motif = laid_out(drawing)
    placed, joins = motif.lines[: len(drawing)], motif.lines[len(drawing) :]
    shapes = [LineString(line) for line in placed]
    tree = nx.Graph()
    tree.add_weighted_edges_from(
        (i, j, shapes[i].distance(shapes[j])) for i, j in itertools.combinations(range(len(shapes)), 2)
    )
    least = sum(data["weight"] for *_, data in nx.minimum_spanning_edges(tree, data=True))
    assert sum(map(length_of, joins)) == pytest.approx(least, abs=1e-9)
    touching = nx.Graph()
    parts = [*shapes, *map(LineString, joins)]
    touching.add_nodes_from(range(len(parts)))
    touching.add_edges_from(
        (i, j) for i, j in itertools.combinations(range(len(parts)), 2) if parts[i].distance(parts[j]) < 1e-9
    )
    assert nx.is_connected(touching)


@pytest.mark.parametrize(
    ("drawing", "told"),
    [
        ([], "has no lines"),
        ([_line((1, 1))], "has no lines"),
        ([_line((1, 1), (1, 1))], "has no lines"),
        ([_line((0, 0), (5, 0))], "one straight line"),
        ([_line((2, 0), (2, 9)), _line((2, 20), (2, 30))], "one straight line"),
        ([_line((k, 0), (k, 1)) for k in range(MOST_PIECES + 1)], f"at most {MOST_PIECES}"),
    ],
)
def test_what_is_no_drawing_is_refused_in_one_sentence(drawing: list[Line], told: str) -> None:
    """It says what there is, what is needed and what to do."""
    with pytest.raises(OptionError, match=told) as refused:
        laid_out(drawing)
    assert "please" in str(refused.value)
    assert str(refused.value).endswith(".")


def test_as_many_pieces_as_are_allowed_can_be_had() -> None:
    """Four hundred strokes in a fan, joined to one."""
    motif = laid_out([_line((k, 0), (k / 2, -9)) for k in range(MOST_PIECES)])
    assert len(motif.lines) == 2 * MOST_PIECES - 1


# --- fitted -------------------------------------------------------------------------------------------------------------


def _expected(motif: Motif, corners: list[Point], inset: float) -> list[Point]:
    """Where the motif's nodes belong: by their shares of the corners of the section as shapely sets it in."""
    inner = Polygon(corners).buffer(-inset, join_style="mitre", mitre_limit=50).exterior.coords[:-1]
    left, right, tip = (min(inner, key=lambda spot: math.dist(spot, corner)) for corner in corners)
    found = []
    for line in motif.lines:
        for x, y in line:
            shares = ((1 - x - y) / 2, (1 + x - y) / 2, y)
            parts = list(zip(shares, (left, right, tip), strict=True))
            found.append(Point(sum(s * p[0] for s, p in parts), sum(s * p[1] for s, p in parts)))
    return found


@given(st.floats(4, 20), st.floats(3, 12), st.floats(0.2, 1.5))
@settings(max_examples=60, deadline=None, derandomize=True)
def test_every_node_lies_where_the_affine_map_takes_it(base: float, height: float, asked: float) -> None:
    """Corners to corners of the section set in, straight and curved lines alike; and everything lies inside."""
    arc = Curve(_line((1, -1), (2, -4), (4, -4), (4, -2)))
    motif = laid_out([LEAF, VEIN, arc])
    shape = _shape(base, height)
    corners = [shape.left, shape.right, shape.tip]
    fill = draw(motif, shape, asked)
    around = sum(distance(*pair) for pair in itertools.pairwise([*corners, corners[0]]))
    if 1 - SET_IN * asked * around / (2 * area_of(tuple(corners))) < SMALLEST:
        assert not fill.lines
        assert "too small" in fill.note
        return
    count = len(motif.lines)
    nodes = [point for line in fill.lines[:count] for point in line]
    assert [math.dist(*pair) for pair in zip(nodes, _expected(motif, corners, SET_IN * asked), strict=True)] == (
        pytest.approx([0] * len(nodes), abs=1e-6)
    )
    assert [isinstance(line, Curve) for line in fill.lines[:count]] == [isinstance(line, Curve) for line in motif.lines]
    assert Polygon(corners).buffer(1e-6).contains(union_all([LineString(flat(line)) for line in fill.lines]))


@pytest.mark.parametrize(
    ("others", "gates"),
    [
        ({}, ["right"]), ({"passage": "across"}, ["left", "right"]), ({"passage": "tip"}, ["right", "tip"]),
        ({"tip_only": True}, ["tip"]),
    ],
)  # fmt: skip
def test_straight_lines_lead_in_from_where_the_needle_stands(others: dict[str, object], gates: list[str]) -> None:
    """From each gate to the nearest place of the drawing, as shapely measures it."""
    motif, shape = laid_out([LEAF]), _shape(9, 5, **others)
    fill = draw(motif, shape, 0.8)
    (leaf, *leads) = fill.lines
    assert [lead[0] for lead in leads] == [getattr(shape, gate) for gate in gates]
    for lead in leads:
        assert len(lead) == 2
        assert length_of(lead) == pytest.approx(LineString(leaf).distance(LineString([lead[0], lead[0]])))
        assert LineString(leaf).distance(LineString([lead[1], lead[1]])) < 1e-9


def test_a_section_too_small_says_from_which_spacing_there_is_room() -> None:
    """At a hair less than what the note says, there is."""
    motif, shape = laid_out([LEAF]), _shape(6, 3)
    low, high = 0.5, 6.0
    for _ in range(60):
        half = (low + high) / 2
        low, high = (half, high) if draw(motif, shape, half).lines else (low, half)
    assert draw(motif, shape, low).lines
    left_out = draw(motif, shape, high)
    assert left_out.note
    assert not left_out.lines


# --- on a border ---------------------------------------------------------------------------------------------------------


def _plan(**options: object) -> BorderPlan:
    given_: dict[str, object] = {"motif": laid_out([LEAF, VEIN]), "fill": "motif", "spacing": 0.8, **options}
    return lay_out(Request(40, 50, (5.0,) * 4, **given_))  # type: ignore[arg-type]


def _fills(plan: BorderPlan) -> list[Fill]:
    return [filled.fill for filled in plan.sections]


@pytest.mark.parametrize("kind", ["outer", "inner"])
@pytest.mark.parametrize("corner", ["mitred", "large", "square"])
@pytest.mark.parametrize("order", ["sections", "zigzag", "across"])
def test_the_engine_stitches_every_line_once_and_counts_the_rest(order: str, corner: str, kind: str) -> None:
    """Whatever the order and corner: all new stitching is all lines, no more; runs hang together; as many as promised."""
    plan = _plan(order=order, corner=corner, kind=kind)
    assert all(fill.lines for fill in _fills(plan))
    runs = plan.runs()
    assert len(runs) == (3 if order == "zigzag" else 1)
    lines = [line for fill in _fills(plan) for line in fill.lines]
    lines += [zigzag.line for zigzag in plan.zigzags] + [line for found in plan.corner_lines for line in found]
    legs = [leg for run in runs for leg in run.legs]
    assert not any(run.unreached for run in runs)
    # lines may run on top of one another (the vein begins on the leaf): what counts is what is covered
    wanted = union_all([LineString(flat(line)) for line in lines], grid_size=1e-5)
    new = union_all([LineString(leg.line) for leg in legs if leg.how == "stitch"], grid_size=1e-5)
    assert wanted.difference(new.buffer(0.012)).length < 1e-6
    assert new.difference(wanted.buffer(0.012)).length < 1e-6
    stitched = sum(length_of(leg.line) for leg in legs if leg.how == "stitch")
    assert stitched == pytest.approx(wanted.length, rel=2e-3)
    for run in runs:
        assert run.length == pytest.approx(
            run.over + run.travel + sum(length_of(leg.line) for leg in run.legs if leg.how == "stitch"), rel=1e-6
        )
        for one, other in itertools.pairwise(run.legs):
            assert distance(one.line[-1], other.line[0]) < 0.02
        assert run.extra >= run.bound - 1e-9


def test_mirrored_sections_have_the_drawing_mirrored() -> None:
    """The border is its own mirror image left and right but for the one triangle astride the middle."""
    plan = _plan()
    wide = plan.request.quilt_width
    inner = [filled for filled in plan.of_side("top") if filled.section.base == "inner"]
    for one, other in zip(inner[: len(inner) // 2], reversed(inner), strict=False):
        here, there = _points(one.fill.lines), _points(other.fill.lines)
        assert len(here) == len(there)
        gaps = [distance(Point(wide - x, y), spot) for (x, y), spot in zip(here, there, strict=True)]
        assert max(gaps) < 1e-6


def test_a_motif_of_ten_thousand_nodes_works() -> None:
    """All its nodes are drawn in every section; the runs follow it to within a thousandth of an inch and a bit of meeting."""
    wheel = _wheel(10_000)
    plan = _plan(motif=laid_out([wheel]), corner="large")
    for filled in plan.sections:
        halves = 2 if filled.section.four_sided else 1
        assert [len(line) for line in filled.fill.lines[:halves]] == [10_001] * halves
    (run,) = plan.runs()
    assert not run.unreached
    way = LineString(run.line)
    for filled in plan.sections[::7]:
        drawn = LineString(filled.fill.lines[0])
        for place in np.linspace(0, 1, 150):
            assert way.distance(drawn.interpolate(place, normalized=True)) < 0.012
    drawn_length = sum(fill.length for fill in _fills(plan)) + sum(length_of(zigzag.line) for zigzag in plan.zigzags)
    drawn_length += sum(length_of(line) for lines in plan.corner_lines for line in lines)
    assert run.length - run.over - run.travel == pytest.approx(drawn_length, rel=5e-3)
